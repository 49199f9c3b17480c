"""Volumes of bottles now and at past moments, and the reasons why more can't be taken."""

from collections.abc import Collection
from datetime import date, datetime
from fractions import Fraction

from stock import clock
from stock.errors import BadInput, NotEnough, NotFound
from stock.grammar import in_full
from stock.language import _
from stock.notation import show_day
from stock.remedies import Do, Option, Remedy
from stock.store.models import Bottle
from stock.store.statements import run

HELD_NOW = "SELECT on_hand_ul FROM bottle WHERE id = ?"
MOVED_LATER = "SELECT change_ul FROM movement WHERE bottle_id = ? AND at > ? ORDER BY at DESC, id DESC"
# Movements of one moment count together, as they do in MOVED_LATER.
BELOW_EMPTY = """
    SELECT bottle_id, at, held FROM (
        SELECT bottle_id, at, SUM(change_ul) OVER (PARTITION BY bottle_id ORDER BY at) AS held
        FROM movement WHERE bottle_id IN (%s)
    ) AS history WHERE held < 0 ORDER BY bottle_id, at LIMIT 1
"""


def held_since(bottle: int, at: datetime | None) -> list[int]:
    """Microlitres in a bottle: now, and before each movement later than a moment.

    Args:
        bottle: its number.
        at: the moment; None for now, which gives a single figure.
    """
    held = [int(run(HELD_NOW, bottle).fetchall()[0][0])]
    if at is not None:
        for (moved_ul,) in run(MOVED_LATER, bottle, clock.stamp(at)).fetchall():
            held.append(held[-1] - moved_ul)
    return held


def below_empty(bottles: Collection[int]) -> tuple[int, str, int] | None:
    """The first of these bottles that was ever below empty: its number, the moment, and its volume, below 0 µl."""
    row: tuple[int, str, int] | None = run(BELOW_EMPTY % ", ".join("?" * len(bottles)), *bottles).fetchone()
    return row


def why_not(bottle: int, change_ul: int, day: date) -> Exception:
    """The refusal to change a bottle's volume by so many microlitres on a day."""
    row = Bottle.get_or_none(Bottle.id == bottle)
    if row is None:
        return NotFound(
            _("there is no bottle {bottle}", bottle=bottle), remedy=Remedy(Do("shelf"), _(" lists them"))
        )
    if row.received_on > day:
        return BadInput(
            _(
                "bottle {bottle} came on {received_on}, after {day}",
                bottle=bottle,
                received_on=show_day(row.received_on),
                day=show_day(day),
            ),
            remedy=_("Give a later day; nothing was booked"),
        )
    return NotEnough(
        _(
            "bottle {bottle} holds {on_hand_ul} ml and {change_ul} ml were asked of it",
            bottle=bottle,
            on_hand_ul=show_ml(row.on_hand_ul),
            change_ul=show_ml(-change_ul),
        ),
        remedy=_("Pour what is left and open another bottle, or count this one first; nothing was booked"),
    )


def why_not_since(bottle: int, change_ul: int, day: date, held_ul: int) -> NotEnough:
    """The refusal to take so much from a bottle on a past day, because it held less then or later.

    Args:
        bottle: its number.
        change_ul: the change, below 0.
        day: the day of the change.
        held_ul: the least that the bottle held on that day or after it, without the change.
    """
    return NotEnough(
        _(
            "on {day} or after it bottle {bottle} held {held} ml and {change_ul} ml were asked of it",
            day=show_day(day),
            bottle=bottle,
            held=show_ml(held_ul),
            change_ul=show_ml(-change_ul),
        ),
        remedy=Remedy(
            _("Pour from another bottle "), Option("from"), _(", or give a later day; nothing was booked")
        ),
    )


def why_never(bottle: int, at: str, held_ul: int) -> NotEnough:
    """The refusal of many movements that put a bottle below empty, as `below_empty` found."""
    return NotEnough(
        _(
            "on {day} bottle {bottle} would have held {lacking_ml} ml less than nothing",
            day=at[:10],
            bottle=bottle,
            lacking_ml=show_ml(-held_ul),
        ),
        remedy=_("Correct the days or the amounts; nothing was booked"),
    )


def show_ml(volume_ul: int) -> str:
    """Millilitres in words, without needless zeros."""
    return in_full(Fraction(volume_ul, 1_000))
