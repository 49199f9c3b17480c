"""The state on a past day: which bookings stood, and since when bottles were open, moved, frozen or thrown away.

A booking can be undone, done again and undone again; on a past day it stood if, of all the undos in its chain, an
even number had been booked by the end of that day.
"""

from collections import defaultdict
from collections.abc import Collection, Sequence
from datetime import date
from typing import Any

from stock.store import models
from stock.store.models import Booking, BottleChange, Movement, Place, Undone
from stock.store.orm import pw

OPENS = ("poured", "washed", "moved_out", "moved_in")
"""Kinds of movement that can't happen to a sealed bottle."""
FOLLOWED = ("place", "discarded_on", "frozen_on")
# Written out as SQL, because Peewee would give the tables of a recursive query new names wherever it is used.
TURNED = (
    "(WITH RECURSIVE turned (root, tip) AS ("
    "SELECT undoes_id, id FROM booking WHERE undoes_id > 0 AND day <= '{day}' "
    "UNION ALL SELECT root, id FROM turned JOIN booking ON undoes_id = tip WHERE day <= '{day}') "
    "SELECT root FROM turned GROUP BY root HAVING (count(*) & 1) = 1)"
)


def in_force(booking: Any, as_of: date | None) -> "pw.Expression":
    """The condition that a booking stood at the end of that day, or stands now when None."""
    gone: Any = Undone.select(Undone.booking)
    if as_of is not None:
        gone = pw.SQL(TURNED.format(day=as_of.isoformat()))
    expression: pw.Expression = booking.not_in(gone)
    return expression


def undone_then(bookings: Collection[int], as_of: date) -> dict[int, int]:
    """The bookings among these that didn't stand at the end of a day, each with the undo that took it back."""
    followed: dict[int, list[int]] = {number: [] for number in bookings}
    tips = {number: number for number in bookings}
    while tips:
        above = Booking.select(Booking.undoes, Booking.id).where(
            Booking.undoes.in_(list(tips)) & (Booking.day <= as_of.isoformat())
        )
        found = dict(above.tuples())
        tips = {found[tip]: root for tip, root in tips.items() if tip in found}
        for tip, root in tips.items():
            followed[root].append(tip)
    return {number: undos[0] for number, undos in followed.items() if len(undos) % 2}


def otherwise(as_of: date) -> dict[int, dict[str, Any]]:
    """The facts of bottles that were different on a past day: `place_id`, `place`, `owner` and days, by bottle.

    Only facts that errands wrote down are followed: where a bottle was moved to, and since when it was frozen, thrown
    away or, if an undo changed that, open.
    """
    first: dict[tuple[int, str], str | None] = {}
    rows = BottleChange.select(BottleChange.bottle, BottleChange.field, BottleChange.before)
    for bottle, field, before in (
        rows.where(BottleChange.field.in_(FOLLOWED)).order_by(BottleChange.id).tuples()
    ):
        first.setdefault((bottle, field), before)
    then = (
        BottleChange.select(BottleChange.bottle, BottleChange.field, BottleChange.after)
        .join(Booking)
        .where(BottleChange.field.in_(FOLLOWED) & (Booking.kind != "undo"))
        .where((Booking.day <= as_of.isoformat()) & in_force(Booking.id, as_of))
        .order_by(BottleChange.id)
    )
    for bottle, field, after in then.tuples():
        first[bottle, field] = after
    names = dict(Place.select(Place.id, Place.name).tuples())
    changed: dict[int, dict[str, Any]] = defaultdict(dict)
    for (bottle, field), value in first.items():
        if field == "place":
            number = int(value) if value is not None else None
            changed[bottle] |= {"place_id": number, "place": names.get(number)}
        else:
            changed[bottle][field] = _day(value)
    for bottle, opened in _opened(as_of).items():
        changed[bottle]["opened_on"] = opened
    for bottle, owner in owners(as_of).items():
        changed[bottle]["owner"] = owner
    return changed


def owners(as_of: date) -> dict[int, str]:
    """The owners on a past day of bottles whose owner has changed since; empty for the studio."""
    found: dict[int, str] = {}
    rows = models.PastOwner.select(models.PastOwner.bottle, models.PastOwner.owner).where(
        models.PastOwner.until >= as_of
    )
    for bottle, owner in rows.order_by(models.PastOwner.until).tuples():
        found.setdefault(bottle, owner)
    return found


def _opened(as_of: date) -> dict[int, date | None]:
    """Since when bottles were open on a past day, for those whose day of opening an undo ever changed."""
    noted = (
        BottleChange.select(
            BottleChange.bottle, BottleChange.before, BottleChange.after, Booking.id, Booking.kind
        )
        .join(Booking)
        .where(BottleChange.field == "opened_on")
        .order_by(BottleChange.id)
    )
    undone = noted.where(Booking.kind == "undo").tuples()
    bottles = sorted({row[0] for row in undone})
    if not bottles:
        return {}
    rows = list(noted.where(BottleChange.bottle.in_(bottles)).tuples())
    stood = _stood([row[3] for row in rows], as_of)
    days: dict[int, list[str]] = {bottle: [] for bottle in bottles}
    for bottle in bottles:
        came = next(row[1] for row in rows if row[0] == bottle)
        days[bottle] += [came] if came is not None else []
    for bottle, _, after, number, kind in rows:
        if kind == "open" and number in stood and after is not None:
            days[bottle].append(after)
    taken = (
        Movement.select(Movement.bottle, pw.fn.MIN(Booking.day))
        .join(Booking)
        .where(Movement.bottle.in_(bottles) & Movement.kind.in_(OPENS))
        .where((Booking.day <= as_of.isoformat()) & in_force(Booking.id, as_of))
        .group_by(Movement.bottle)
    )
    for bottle, day in taken.tuples():
        days[bottle].append(day.isoformat() if isinstance(day, date) else day)
    return {bottle: _day(min(each, default=None)) for bottle, each in days.items()}


def _stood(bookings: Sequence[int], as_of: date) -> set[int]:
    rows = Booking.select(Booking.id).where(Booking.id.in_(list(bookings)))
    there = rows.where((Booking.day <= as_of.isoformat()) & in_force(Booking.id, as_of))
    return {number for (number,) in there.tuples()}


def _day(text: str | None) -> date | None:
    return date.fromisoformat(text) if text is not None else None
