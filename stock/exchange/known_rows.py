"""Comparing a row of a sheet of stock with the bottle that an earlier import of that sheet made from it."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from stock.errors import BadInput
from stock.exchange.earlier_stock import CameBefore
from stock.exchange.stock_rows import BottleRow
from stock.grammar import in_full
from stock.language import _
from stock.money import money_figure
from stock.notation import show_day
from stock.remedies import Do, Remedy
from stock.shelf.studio import settings
from stock.text import folded
from stock.units import Microlitres

FACTS: Mapping[str, str] = {
    "best_before": _("the day it is best before"), "price_minor": _("the price"), "owner": _("the owner"),
    "lot": _("the lot"), "opened_on": _("the day of opening"), "opened_unknown": _("the day of opening"),
    "received_on": _("the day of arrival"), "place": _("the place"),
}  # fmt: skip
"""Columns of a bottle that a sheet can correct, in words."""
DAYS = ("best_before", "opened_on", "received_on")
CELLS: Mapping[str, tuple[str, ...]] = {
    "best_before": ("best_before",), "price": ("price_minor",), "owner": ("owner",), "lot": ("lot",),
    "opened": ("opened_on", "opened_unknown"),
}  # fmt: skip
"""The bottle's columns that a cell sets; an empty cell sets none."""


@dataclass(slots=True)
class EarlierRow:
    """A row that was imported before, and the bottles that were made from it."""

    line: int
    row: BottleRow
    came: list[CameBefore]


@dataclass(slots=True)
class Correction:
    """The differences between a row about a bottle and its earlier sheet, or for `facts` the books.

    `stood` are microlitres left and place in the earlier sheet. `left` is (before, now) in microlitres; if `of_then`,
    only the difference counts. `place` is (before, now) by name. `facts` are (before, now) by the bottle's column, with
    places by name; `emptied` are the same for cells that were filled before and are empty now. `stays` says in words
    which differences are not booked.
    """

    line: int
    bottle: int
    product: str
    on_hand_ul: Microlitres
    stood: tuple[Microlitres, str]
    left: tuple[Microlitres, Microlitres] | None = None
    place: tuple[str, str] | None = None
    stands_there: bool = False
    facts: dict[str, tuple[Any, Any]] = field(default_factory=dict)
    emptied: dict[str, tuple[Any, Any]] = field(default_factory=dict)
    of_then: bool = False
    stays: list[str] = field(default_factory=list)

    @classmethod
    def nothing(cls, line: int, row: BottleRow, came: CameBefore) -> "Correction":
        """A row that says the same as the earlier sheet."""
        return cls(line, came.bottle, row.product, came.on_hand_ul, (came.left_ul, came.place))

    @property
    def says_anything(self) -> bool:
        """Whether there is anything to correct."""
        return self.left is not None or self.place is not None or bool(self.facts or self.emptied)

    def measured_ul(self) -> Microlitres:
        """Microlitres in the bottle after this correction; below 0 if that is impossible."""
        assert self.left is not None
        before, now = self.left
        return Microlitres(self.on_hand_ul + now - before) if self.of_then else now

    def said(self) -> tuple[Microlitres, str]:
        """Microlitres left and place in the sheet now."""
        left_ul, place = self.stood
        return (self.left[1] if self.left else left_ul), (self.place[1] if self.place else place)

    def words(self) -> list[str]:
        """The differences, each in words."""
        found = []
        if self.left is not None:
            before, now = (in_full(one / 1_000) for one in self.left)
            used = self.on_hand_ul != self.left[0]
            held = (
                _(" (the books have {on_hand_ul} ml)", on_hand_ul=in_full(self.on_hand_ul / 1000))
                if used
                else ""
            )
            found.append(
                _("{before} ml were left, now {now} ml are{held}", before=before, now=now, held=held)
            )
        if self.place is not None:
            before, now = self.place
            stands = _("it stands in {now}", now=now) if now else _("it stands in no place")
            found.append(stands + (_(", no longer in {before}", before=before) if before else ""))
        return found + self._fact_words() + self.emptied_words() + self.stays

    def _fact_words(self) -> list[str]:
        """The differences in columns, each in words; a day of opening with what is known about it."""
        said: dict[str, tuple[list[str], list[str]]] = {}
        for column, pair in self.facts.items():
            if all(_no(now) for own, (_before, now) in self.facts.items() if FACTS[own] == FACTS[column]):
                continue
            shown = said.setdefault(FACTS[column], ([], []))
            for at, value in enumerate(pair):
                if not _no(value):
                    shown[at].insert(0, _shown(column, value))
        return [
            _("{what}: {before} → {now}", what=what, before=before[0] if before else _("nothing"), now=now[0])
            for what, (before, now) in said.items()
        ]

    def emptied_words(self) -> list[str]:
        """The cells that were filled before and are empty now, each in words."""
        gone = {
            column: before
            for column, (before, now) in (self.facts | self.emptied).items()
            if _no(now) and not _no(before)
        }
        return [
            _("{what} was {before}, now its cell is empty", what=FACTS[column], before=_shown(column, before))
            for column, before in gone.items()
        ]


def came_otherwise(row: BottleRow, came: CameBefore) -> bool:
    """Whether a row has another day of arrival than its bottle."""
    return "received" in row.said and row.received != came.received_on


def odd(row: BottleRow, came: CameBefore) -> BadInput | None:
    """Why a row can't be a correction of its bottle; None if it can."""
    again = Remedy(
        _("Take the file back and import it anew: "),
        Do("undo", "import", came.number),
        _("; or correct the row"),
    )
    if (folded(row.product), row.size_ul) != (came.product, came.size_ul):
        return BadInput(
            _(
                "the label {label} is on bottle {bottle}, which is another product or size",
                label=row.label,
                bottle=came.bottle,
            ),
            remedy=again,
        )
    differs = row.left_ul != came.left_ul if "left" in row.said else False
    if came.discarded_on is not None and (
        differs or (row.place and folded(row.place) not in map(folded, (came.place, came.place_now)))
    ):
        return BadInput(
            _(
                "bottle {bottle} was thrown away on {discarded_on}",
                bottle=came.bottle,
                discarded_on=show_day(came.discarded_on),
            ),
            remedy=_("Take the row out"),
        )
    return None


def _no(value: Any) -> bool:
    """Whether a column is empty; a price of 0 is not empty."""
    return value is None or value is False or value == ""


def _shown(column: str, value: Any) -> str:
    if column == "price_minor":
        currency = settings().currency
        return f"{money_figure(value, currency)} {currency}"
    if column == "opened_unknown":
        return _("a day that nobody knows")
    return show_day(date.fromisoformat(value)) if column in DAYS else str(value)


def against(line: int, row: BottleRow, came: CameBefore, columns: Collection[str] = ()) -> Correction | None:
    """The differences of a row; None if there are none.

    Args:
        line, row: the row.
        came: its bottle.
        columns: the columns that the file has; an empty cell clears what the file said before, but nothing that was
            booked on the bottle since.
    """
    found = Correction.nothing(line, row, came)
    if "left" in row.said and row.left_ul != came.left_ul:
        found.left = came.left_ul, row.left_ul
    if row.place and folded(row.place) != folded(came.place):
        found.place = came.place, row.place
        found.stands_there = folded(row.place) == folded(came.place_now)
    elif "place" in columns and not row.place and came.place and folded(came.place) == folded(came.place_now):
        found.emptied["place"] = came.place, ""
    now = {
        "best_before": row.best_before, "price_minor": row.price_minor, "owner": row.owner, "lot": row.lot,
        "opened_on": row.opened, "opened_unknown": row.opened_unknown,
    }  # fmt: skip
    for cell, own in CELLS.items():
        differs = any(getattr(came, one) != now[one] for one in own)
        pairs = {one: (_plain(getattr(came, one)), _plain(now[one])) for one in own} if differs else {}
        if cell in row.said and pairs:
            found.facts |= pairs
        elif cell in columns and pairs and not came.changed.intersection(own):
            found.emptied |= pairs
    return found if found.says_anything else None


def staying(row: BottleRow, came: CameBefore, columns: Collection[str]) -> list[str]:
    """The differences that are not booked, each in words with the reason and a remedy."""
    kept = []
    if "left" in columns and "left" not in row.said and came.left_ul != row.left_ul:
        left = in_full(came.left_ul / 1_000)
        kept.append(
            _(
                "{left} ml were left, now that cell is empty, which is no amount: the books keep theirs; write 0 "
                "where the bottle is empty",
                left=left,
            )
        )
    if "place" in columns and not row.place and came.place and folded(came.place) != folded(came.place_now):
        kept.append(
            _(
                "it stood in {place}, now that cell is empty, and it was moved since: it stays where it is",
                place=came.place,
            )
        )
    if came_otherwise(row, came):
        kept.append(
            _(
                "the file says that it came on {said}: the books keep {kept}",
                said=show_day(row.received),
                kept=show_day(came.received_on),
            )
        )
    return kept


def _plain(value: Any) -> Any:
    return value.isoformat() if isinstance(value, date) else value
