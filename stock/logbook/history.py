"""Everything that was ever booked, filtered and newest first."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from stock.errors import BadInput
from stock.ledger import zone
from stock.shelf import products
from stock.shelf.bottles import numbered
from stock.store.connection import connection, reading
from stock.store.models import BOOKING_KINDS, Booking, Bottle, Job, Mix, Movement, Product, Undone
from stock.text import folded
from stock.units import ml, show_volume

WINDOW = 200


@dataclass(frozen=True, slots=True)
class Line:
    """One movement of an entry; the change is signed microlitres."""

    movement: int
    bottle: int
    product: str
    kind: str
    change_ul: int


@dataclass(frozen=True, slots=True)
class Entry:
    """One booking as the logbook tells it."""

    id: int
    kind: str
    at: datetime
    day: date
    note: str
    job: str | None
    undoes: int | None
    undone_by: int | None
    lines: tuple[Line, ...]

    def as_json(self) -> dict[str, Any]:
        """The entry as `ullage logbook --json` prints it."""
        return {
            "id": self.id,
            "kind": self.kind,
            "at": self.at.isoformat().replace("+00:00", "Z"),
            "day": self.day.isoformat(),
            "what": self.words(),
            "note": self.note,
            "job": self.job,
            "undoes": self.undoes,
            "undone_by": self.undone_by,
            "movements": [
                {
                    "id": line.movement,
                    "bottle": line.bottle,
                    "product": line.product,
                    "kind": line.kind,
                    "change_ml": ml(line.change_ul),
                }
                for line in self.lines
            ],
        }

    def words(self, measures: str = "metric") -> str:
        """What happened, in one line."""
        if self.kind == "undo":
            return f"undo of {self.undoes}: " + _amounts(self.lines, measures, signed=True)
        if self.kind == "count":
            return _amounts(self.lines, measures, signed=True)
        return _amounts(self.lines, measures)


def _amounts(lines: Iterable[Line], measures: str, *, signed: bool = False) -> str:
    sums: dict[str, int] = defaultdict(int)
    for line in lines:
        sums[line.product] += line.change_ul
    shown = []
    for product, change in sums.items():
        sign = ("+" if change > 0 else "−" if change < 0 else "±") if signed else ""
        shown.append(f"{product} {sign}{show_volume(abs(change), measures)}")
    return ", ".join(shown)


@dataclass(frozen=True, slots=True)
class Filter:
    """What to look for; every field that is set must hold."""

    product: str | None = None
    bottle: str | None = None
    lot: str | None = None
    job: str | None = None
    kind: str | None = None
    since: date | None = None
    until: date | None = None


def entries(wanted: Filter | None = None, *, limit: int = WINDOW, offset: int = 0) -> list[Entry]:
    """Bookings that fit, newest first; at most two queries besides the names looked up.

    Args:
        wanted: what to look for; everything when None.
        limit, offset: a window onto the list.
    Raises:
        BadInput: an unknown kind.
        NotFound, Ambiguous: the product, bottle or job.
    """
    with connection(), reading():
        rows = list(_bookings(wanted or Filter()).limit(limit).offset(offset).tuples())
        lines = _lines([row[0] for row in rows])
    return [
        Entry(
            id=number, kind=kind, at=at, day=day, note=note, job=job, undoes=undoes, undone_by=undone_by,
            lines=tuple(lines.get(number, ())),
        )
        for number, kind, at, day, note, undoes, undone_by, job in rows
    ]  # fmt: skip


def how_many(wanted: Filter | None = None) -> int:
    """How many bookings fit."""
    with connection():
        return int(_bookings(wanted or Filter()).count())


def _bookings(wanted: Filter) -> Any:
    query = (
        Booking.select(
            Booking.id,
            Booking.kind,
            Booking.at,
            Booking.day,
            Booking.note,
            Booking.undoes,
            Undone.by,
            Job.name,
        )
        .left_outer_join(Undone, on=(Undone.booking == Booking.id))
        .switch(Booking)
        .left_outer_join(Mix, on=(Mix.id == Booking.id))
        .left_outer_join(Job)
        .order_by(Booking.at.desc(), Booking.id.desc())
    )
    if wanted.kind is not None:
        if wanted.kind not in BOOKING_KINDS:
            raise BadInput(
                f"{wanted.kind!r} is no kind of entry", remedy=f"Write one of {', '.join(BOOKING_KINDS)}"
            )
        query = query.where(Booking.kind == wanted.kind)
    if wanted.since is not None:
        query = query.where(Booking.day >= wanted.since)
    if wanted.until is not None:
        query = query.where(Booking.day <= wanted.until)
    if wanted.job is not None:
        query = query.where(Job.name_key.contains(folded(wanted.job)))
    touched = _touched(wanted)
    return query.where(Booking.id.in_(touched)) if touched is not None else query


def _touched(wanted: Filter) -> Any:
    """The bookings that moved something in the bottles looked for, or None where any will do."""
    conditions = []
    if wanted.product is not None:
        conditions.append(Bottle.product == products.find(wanted.product).id)
    if wanted.bottle is not None:
        conditions.append(Bottle.id == numbered(wanted.bottle).id)
    if wanted.lot is not None:
        conditions.append(Bottle.lot == wanted.lot)
    if not conditions:
        return None
    query = Movement.select(Movement.booking).join(Bottle)
    for condition in conditions:
        query = query.where(condition)
    return query


def _lines(bookings: list[int]) -> dict[int, list[Line]]:
    rows = (
        Movement.select(
            Movement.booking,
            Movement.id,
            Movement.bottle,
            Product.name,
            Movement.proof_kind,
            Movement.change_ul,
        )
        .join(Bottle)
        .join(Product)
        .where(Movement.booking.in_(bookings))
        .order_by(Movement.id)
    )
    lines: dict[int, list[Line]] = defaultdict(list)
    for booking, movement, bottle, product, kind, change in rows.tuples():
        lines[booking].append(Line(movement, bottle, product, kind, change))
    return lines


def zone_name() -> str:
    """The time zone in which the logbook shows its instants."""
    with connection():
        return zone()
