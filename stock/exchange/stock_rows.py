"""A spreadsheet of stock: each row is one bottle or several equal ones, as they stand now."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from stock import clock
from stock.errors import BadInput
from stock.exchange import product_cells
from stock.exchange.bad_cells import RowCells
from stock.exchange.bulk import Bulk
from stock.exchange.figures import Figures
from stock.grammar import in_full
from stock.language import _
from stock.notation import in_thousands, show_day
from stock.shelf.deliveries import MOST_BOTTLES
from stock.shelf.life import opened_at_worst
from stock.store.models import Booking, Bottle, Movement
from stock.text import folded
from stock.text import name as clean_name
from stock.units import Microlitres

UNKNOWN = ("unknown", "not known", "?", "open", "yes")
"""Words in place of the day of opening: the bottle is open, and nobody knows since when."""
SEALED = ("no", "sealed", "unopened", "closed", "-")
UNREAD_SIZE_UL = 1_000_000_000
"""Replaces a size that can't be read, so that the volume left is checked all the same."""
BOOKING = ("id", "kind", "at", "day", "booked_at", "note")


@dataclass(frozen=True, slots=True)
class BottleRow:
    """One row, read: bottles of one kind. Without a day of receipt and a price it is opening stock.

    If a bottle is open since an unknown day, `opened` is the earliest possible day. `said` are the fields whose
    cells are filled.
    `product` and `place` are names as written; volumes in microlitres."""

    product: str
    size_ul: Microlitres
    left_ul: Microlitres
    count: int
    received: date
    opened: date | None
    opened_unknown: bool
    opening_stock: bool
    owner: str
    best_before: date | None
    lot: str
    place: str
    price_minor: int | None
    label: str | None
    new: Mapping[str, Any]
    said: Collection[str] = ()


def read(cell: Mapping[str, str], figures: Figures, today: date) -> BottleRow:
    """Read one row.

    Args:
        cell: the row's cells by our field; empty ones are not given.
        figures: how its figures are written.
        today: the studio's day.
    Raises:
        BadInput, BadCells: the cells that can't be read, and why.
    """
    row = RowCells()
    name = row.read("product", "", lambda: clean_name(_needed(cell, "product"), what=_("product name")))
    many, size = row.read("size", (1, ""), lambda: figures.several("size", _needed(cell, "size")))
    size_ul = row.read("size", Microlitres(0), figures.volume, "size", size) if size else Microlitres(0)
    count = row.read("count", many, _count, cell, many, figures)
    left_ul = row.read("left", size_ul, _left, cell, size_ul or UNREAD_SIZE_UL, figures)
    received = row.read("received", today, _past, "received", cell, figures, today) or today
    word = folded(cell.get("opened", ""))
    unknown, sealed = word in UNKNOWN, word in SEALED
    opened = None
    if word and not unknown and not sealed:
        opened = row.read("opened", None, _past, "opened", cell, figures, today)
    if sealed and left_ul < size_ul:
        row.refuse(
"opened", BadInput(
            _("it is said to be sealed and not full"), remedy=_("Write since when it is open, or unknown")
        ))  # fmt: skip
    unknown = unknown or (opened is None and left_ul < size_ul)
    if unknown:
        opened = opened_at_worst(received if "received" in cell else None)
    label = None
    if "label" in cell:
        label = row.read("label", None, clean_name, cell["label"], what=_("label"), most=40)
    if label is not None and count > 1:
        row.refuse(
            "label",
            BadInput(_("one label can't be on several bottles"), remedy=_("Give each bottle a row")),
        )
    names = {
        key: row.read(key, "", lambda key=key, what=what: clean_name(cell[key], what=what))
        for key, what in (("owner", "owner"), ("lot", "lot"), ("place", _("place's name")))
        if key in cell
    }
    best_before = None
    if "best_before" in cell:
        best_before = row.read("best_before", None, figures.day, "best_before", cell["best_before"])
    price = row.read("price", None, figures.money, "price", cell["price"]) if "price" in cell else None
    new = row.read("product", {}, product_cells.read, cell, figures)
    row.end()
    return BottleRow(
        product=name,
        size_ul=size_ul,
        left_ul=left_ul,
        count=count,
        received=received,
        opened=opened,
        opened_unknown=unknown,
        opening_stock="received" not in cell and "price" not in cell,
        owner=names.get("owner", ""),
        best_before=best_before,
        lot=names.get("lot", ""),
        place=names.get("place", ""),
        price_minor=price,
        label=label,
        new=new,
        said=cell.keys(),
    )


def _left(cell: Mapping[str, str], size_ul: Microlitres, figures: Figures) -> Microlitres:
    left_ul = figures.left("left", cell["left"], size_ul) if "left" in cell else size_ul
    if left_ul * 10 > size_ul * 11:
        raise BadInput(
            _("more is left than a bottle of {size_ul} ml holds", size_ul=in_full(size_ul / 1000)),
            remedy=_("Swap or correct them"),
        )
    return left_ul


def _count(cell: Mapping[str, str], many: int, figures: Figures) -> int:
    count = figures.count("count", cell["count"]) if "count" in cell else many
    if many > 1 and "count" in cell:
        raise BadInput(
            _("the size names {many} bottles and the count {count}", many=many, count=count),
            remedy=_("Write how many in one of them"),
        )
    if count > MOST_BOTTLES:
        raise BadInput(
            _("{count} bottles in one row", count=count),
            remedy=_("Write at most {most_bottles}", most_bottles=in_thousands(MOST_BOTTLES)),
        )
    return count


def _past(what: str, cell: Mapping[str, str], figures: Figures, today: date) -> date | None:
    day = figures.day(what, cell[what]) if what in cell else None
    if day is not None and day > today:
        raise BadInput(
            _("it can't have been {what} on {day}, which is to come", what=what, day=show_day(day)),
            remedy=_("Correct the day"),
        )
    return day


def _needed(cell: Mapping[str, str], field: str) -> str:
    if field not in cell:
        raise BadInput(
            _("the {replace} is empty", replace=field.replace("_", " ")),
            remedy=_("Fill it in, or take the row out"),
        )
    return cell[field]


class Shelver:
    """Writes rows of stock: one delivery a day of receipt."""

    def __init__(self, bulk: Bulk, zone: str, now: datetime, note: str) -> None:
        self.bulk, self.zone, self.now, self.note = bulk, zone, now, note
        self.deliveries: dict[date, tuple[int, str]] = {}
        self.bottles = 0

    def write(self, row: BottleRow, product: int, place: int | None) -> None:
        """Write one row's bottles."""
        booking, at = self._delivery(row.received)
        received = row.received.isoformat()
        for __ in range(row.count):
            bottle = self.bulk.number(Bottle)
            self.bulk.ledger.bottle(
                (
                    bottle, received, product, booking, row.label, row.size_ul, row.lot, _iso(row.opened),
                    _iso(row.best_before), place, row.price_minor,
                    row.opened_unknown, row.opening_stock, row.owner,
                )
            )  # fmt: skip
            number = self.bulk.number(Movement)
            self.bulk.ledger.move(
                bottle, booking, "received", row.left_ul, at=at, day=received, number=number
            )
            self.bottles += 1

    def _delivery(self, day: date) -> tuple[int, str]:
        found = self.deliveries.get(day)
        if found is None:
            today = clock.day_of(self.now, self.zone)
            at = clock.stamp(self.now if day == today else clock.start_of(day, self.zone))
            found = self.bulk.number(Booking), at
            row = (found[0], "delivery", at, day.isoformat(), clock.stamp(self.now), self.note)
            self.bulk.add(Booking, BOOKING, row)
            self.deliveries[day] = found
        return found

    def answer(self) -> dict[str, Any]:
        """The answer about the booked bottles."""
        return {
            "bottles": self.bottles,
            "deliveries": sorted(number for number, _ in self.deliveries.values()),
        }


def _iso(day: date | None) -> str | None:
    return day.isoformat() if day is not None else None


FIELDS: Sequence[str] = ("size", "left", "price")
DAYS: Sequence[str] = ("received", "opened", "best_before")
