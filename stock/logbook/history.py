"""Everything that was ever booked, filtered and newest first."""

from collections import defaultdict
from collections.abc import Iterable
from datetime import date, datetime
from typing import Any

from stock.errors import BadInput
from stock.language import _
from stock.ledger import zone
from stock.logbook.details import Detail, UndoneErrand, details, errands
from stock.named_tuples import NamedTuple
from stock.shelf import jobs, products
from stock.shelf.bottles import numbered
from stock.shelf.past_shelf import undone_then
from stock.store.connection import connection, reading
from stock.store.models import (
    Booking,
    Bottle,
    BottleChange,
    Close,
    Job,
    Mix,
    Movement,
    OrderEvent,
    OrderLine,
    PlannedUse,
    Product,
    Step,
    Undone,
    Wash,
)
from stock.store.orm import pw
from stock.store.words import BOOKING_KINDS
from stock.text import plain
from stock.units import Microlitres, ml, show_volume

WINDOW = 200


class HistoryLine(NamedTuple):
    """One movement of an entry; the change is signed microlitres."""

    movement: int
    bottle: int
    product: str
    kind: str
    change_ul: Microlitres


class LogEntry(NamedTuple):
    """One booking as the logbook shows it."""

    id: int
    kind: str
    at: datetime
    day: date
    note: str
    job: str | None
    undoes: int | None
    undone_by: int | None
    lines: tuple[HistoryLine, ...]
    details: tuple[Detail, ...] = ()
    turned: UndoneErrand | None = None

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
        first = self.turned.words() if self.turned is not None else ""
        amounts = _amounts(self.lines, measures, signed=self.kind in ("undo", "count"))
        more = ", ".join(detail.words(measures) for detail in self.details)
        return ": ".join(part for part in (first, " ".join(part for part in (amounts, more) if part)) if part)


def _amounts(lines: Iterable[HistoryLine], measures: str, *, signed: bool = False) -> str:
    """Each product with the volume that moved, largest first; a decant counts once, as what left its bottle."""
    sums: dict[str, int] = defaultdict(int)
    for line in lines:
        sums[line.product] += line.change_ul if line.kind != "moved_in" else 0
    shown = []
    for product, change in sorted(sums.items(), key=lambda one: -abs(one[1])):
        sign = ("+" if change > 0 else "−" if change < 0 else "±") if signed else ""
        shown.append(f"{product} {sign}{show_volume(Microlitres(abs(change)), measures)}")
    return ", ".join(shown)


class Filter(NamedTuple):
    """What to look for; an entry must match every field that is set."""

    product: str | None = None
    bottle: str | None = None
    lot: str | None = None
    job: str | None = None
    kind: str | None = None
    since: date | None = None
    until: date | None = None


def entries(
    criteria: Filter | None = None, *, limit: int = WINDOW, offset: int = 0, as_of: date | None = None
) -> list[LogEntry]:
    """The bookings that match, newest first. The number of queries doesn't grow with the number of matches.

    Args:
        criteria: what to look for; everything when None.
        limit, offset: a window onto the list.
        as_of: undos and redos after this day are ignored; none is ignored when this is None.
    Raises:
        BadInput: an unknown kind.
        NotFound, Ambiguous: the product, bottle or job.
    """
    with connection(), reading():
        rows = list(_bookings(criteria or Filter()).limit(limit).offset(offset).tuples())
        then = undone_then([row[0] for row in rows], as_of) if as_of is not None else None
        lines = _lines([row[0] for row in rows])
        more = details({row[0]: row[1] for row in rows})
        turned = errands({row[0]: row[5] for row in rows if row[5] is not None})
    return [
        LogEntry(
            id=number, kind=kind, at=at, day=day, note=note, job=job, undoes=undoes,
            undone_by=undone_by if then is None else then.get(number),
            lines=tuple(lines.get(number, ())), details=more.get(number, ()), turned=turned.get(number),
        )
        for number, kind, at, day, note, undoes, undone_by, job in rows
    ]  # fmt: skip


def how_many(criteria: Filter | None = None) -> int:
    """How many bookings match."""
    with connection():
        return int(_bookings(criteria or Filter()).count())


def _bookings(criteria: Filter) -> Any:
    query = (
        Booking.select(
            Booking.id, Booking.kind, Booking.at, Booking.day, Booking.note, Booking.undoes,
            Undone.by, Job.name,
        )
        .left_outer_join(Undone, on=(Undone.booking == Booking.id))
        .left_outer_join(Mix, on=(Mix.id == Booking.id))
        .left_outer_join(Job)
        # A later instant is never on an earlier day, and days have an index: a large logbook isn't sorted whole.
        .order_by(Booking.day.desc(), Booking.at.desc(), Booking.id.desc())
    )  # fmt: skip
    if criteria.kind is not None:
        if criteria.kind not in BOOKING_KINDS:
            raise BadInput(
                _("{kind!r} is no kind of entry", kind=plain(criteria.kind, 40)),
                remedy=_("Write one of {booking_kinds}", booking_kinds=", ".join(BOOKING_KINDS)),
            )
        query = query.where(Booking.kind == criteria.kind)
    if criteria.since is not None:
        query = query.where(Booking.day >= criteria.since)
    if criteria.until is not None:
        query = query.where(Booking.day <= criteria.until)
    for numbers in (_of_job(criteria), _touched(criteria)):
        if numbers is not None:
            query = query.where(Booking.id.in_(numbers))
    return query


def _of_job(criteria: Filter) -> Any:
    """The bookings of a job: its mixes with their steps, closes and washes, and its planned uses."""
    if criteria.job is None:
        return None
    job = jobs.find(criteria.job).id
    mixes = Mix.select(Mix.id).where(Mix.job == job)
    found = Mix.select(Mix.id).where(Mix.job == job)
    for table in (Step, Close, Wash):
        found = found | table.select(table.id).where(table.mix.in_(mixes))
    return found | PlannedUse.select(PlannedUse.id).where(PlannedUse.job == job)


def _touched(criteria: Filter) -> Any:
    """The bookings about the bottles or products that the filter names; None if it names neither."""
    bottles = Bottle.select(Bottle.id)
    product = products.find(criteria.product).id if criteria.product is not None else None
    if product is not None:
        bottles = bottles.where(Bottle.product == product)
    if criteria.bottle is not None:
        bottles = bottles.where(Bottle.id == numbered(criteria.bottle).id)
    if criteria.lot is not None:
        lot = criteria.lot.strip()
        bottles = bottles.where((Bottle.lot == lot) | (pw.fn.LOWER(Bottle.lot) == lot.lower()))
    elif product is None and criteria.bottle is None:
        return None
    found = Movement.select(Movement.booking).where(Movement.bottle.in_(bottles)) | BottleChange.select(
        BottleChange.booking
    ).where(BottleChange.bottle.in_(bottles))
    if product is not None and criteria.bottle is None and criteria.lot is None:
        lines = OrderLine.select(OrderLine.id).where(OrderLine.product == product)
        found = found | OrderLine.select(OrderLine.order).where(OrderLine.product == product)
        found = found | OrderEvent.select(OrderEvent.booking).where(OrderEvent.line.in_(lines))
        found = found | PlannedUse.select(PlannedUse.id).where(PlannedUse.product == product)
    return found


def _lines(bookings: list[int]) -> dict[int, list[HistoryLine]]:
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
    lines: dict[int, list[HistoryLine]] = defaultdict(list)
    for booking, movement, bottle, product, kind, change in rows.tuples():
        lines[booking].append(HistoryLine(movement, bottle, product, kind, change))
    return lines


def zone_name() -> str:
    """The time zone in which the logbook shows its instants."""
    with connection():
        return zone()
