"""A spreadsheet of past mixes, from which the forecast and the advice learn the habit.

Their bottles are long gone, so each product gets one bottle that arrives before the first of these mixes, holds all
that they take, and is empty after them. The bottles on today's shelf are not touched.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from fractions import Fraction
from itertools import groupby
from typing import Any

from stock import clock
from stock.bench.named_parts import PART_OF_ROLE
from stock.errors import BadInput
from stock.exchange.bulk import Bulk
from stock.exchange.figures import Figures
from stock.exchange.stock_rows import BOOKING
from stock.language import _
from stock.shelf.deliveries import LOT_OF_PAST_MIXES
from stock.store.models import Booking, Bottle, Close, Mix, Movement, Pour
from stock.store.words import OUTCOMES
from stock.text import folded, plain
from stock.text import name as clean_name
from stock.text import note as clean_note
from stock.units import Microlitres, Micrometres

ALSO_CALLED = {
    "ok": "good", "fine": "good", "gut": "good", "bom": "good", "bon": "good", "bueno": "good", "too thick": "thick",
    "zu dick": "thick", "too thin": "thin", "zu dünn": "thin", "bad": "ruined", "failed": "ruined",
}  # fmt: skip
MIX = ("id", "job_id", "needle_um")
CLOSE = ("id", "mix_id", "outcome", "left_ul", "kept", "needle_um")
POUR = ("movement_id", "mix_id", "part")
MOST_JOBS = 100_000


@dataclass(frozen=True, slots=True)
class Poured:
    """One row, read: a paint and its reducer. Adjacent rows with the same `mix` are one mix."""

    line: int
    mix: str
    at: datetime
    product: str
    volume_ul: Microlitres
    reducer: str | None
    reducer_ul: Microlitres
    needle_um: Micrometres | None
    job: str | None
    outcome: str | None
    note: str


def read(line: int, cell: Mapping[str, str], figures: Figures) -> Poured:
    """Read one row.

    Raises:
        BadInput: the first cell that can't be read, and why.
    """
    for needed in ("day", "product", "amount"):
        if needed not in cell:
            raise BadInput(
                _("the {needed} is empty", needed=needed), remedy=_("Fill it in, or take the row out")
            )
    at = figures.instant("day", cell["day"])
    if at > figures.now:
        raise BadInput(_("{day} is to come", day=cell["day"]), remedy=_("Write when it was mixed"))
    volume_ul = figures.volume("amount", cell["amount"])
    reducer_ul = Microlitres(0)
    if "reducer_amount" in cell:
        reducer_ul = figures.volume("reducer_amount", cell["reducer_amount"], zero=True)
    elif "reduce" in cell:
        percent: Fraction = figures.percent("reduce", cell["reduce"])
        reducer_ul = Microlitres(round(volume_ul * percent / 100))
    if reducer_ul and "reducer" not in cell:
        raise BadInput(_("it says how much reducer but not which"), remedy=_("Fill in the reducer"))
    return Poured(
        line=line,
        mix=cell.get("mix", ""),
        at=at,
        product=clean_name(cell["product"], what=_("product name")),
        volume_ul=volume_ul,
        reducer=clean_name(cell["reducer"], what=_("reducer's name")) if reducer_ul else None,
        reducer_ul=reducer_ul,
        needle_um=figures.needle("needle", cell["needle"]) if "needle" in cell else None,
        job=clean_name(cell["job"], what=_("job's name")) if "job" in cell else None,
        outcome=_outcome(cell["outcome"]) if "outcome" in cell else None,
        note=clean_note(cell["note"]) if "note" in cell else "",
    )


def _outcome(text: str) -> str:
    word = ALSO_CALLED.get(folded(text), folded(text))
    if word not in OUTCOMES:
        raise BadInput(
            _("{text!r} is no outcome", text=plain(text, 30)),
            remedy=_("Write one of {outcomes}", outcomes=", ".join(OUTCOMES)),
        )
    return word


def mixes(rows: Iterable[Poured]) -> Iterator[list[Poured]]:
    """The rows of each mix: adjacent rows with the same mix number; any other row is a mix of its own."""
    for key, group in groupby(rows, key=lambda row: row.mix or row.line):
        together = list(group)
        if isinstance(key, int):
            yield from ([row] for row in together)
        else:
            yield together


@dataclass(slots=True)
class Totals:
    """The use of all rows together: microlitres and the first instant, by product."""

    volume_ul: dict[str, Microlitres] = field(default_factory=dict)
    first: dict[str, datetime] = field(default_factory=dict)
    jobs: dict[str, date] = field(default_factory=dict)
    mixes: int = 0

    def add(self, row: Poured, day: date) -> None:
        """Count one row."""
        for product, volume_ul in ((row.product, row.volume_ul), (row.reducer, row.reducer_ul)):
            if product is not None and volume_ul:
                self.volume_ul[product] = Microlitres(self.volume_ul.get(product, 0) + volume_ul)
                if product not in self.first or row.at < self.first[product]:
                    self.first[product] = row.at
        if row.job is not None:
            self.jobs[row.job] = min(day, self.jobs.get(row.job, day))


class Bencher:
    """Writes past mixes, from bottles that it makes for them."""

    def __init__(self, bulk: Bulk, zone: str, now: datetime, note: str) -> None:
        self.bulk, self.zone, self.note = bulk, zone, note
        self.booked_at = clock.stamp(now)
        self.bottles: dict[str, tuple[int, str]] = {}
        self.days: dict[str, str] = {}
        self.mixes = 0

    def stock(self, totals: Totals, products: Mapping[str, tuple[int, str]]) -> int:
        """Make the bottles of the past mixes, in one delivery before the first mix; returns its number.

        Args:
            totals: the volumes that they will give.
            products: number and role by name as written.
        """
        first = min(totals.first.values())
        at, day = clock.stamp(first), self._day(clock.stamp(first), first)
        booking = self.bulk.number(Booking)
        self.bulk.add(Booking, BOOKING, (booking, "delivery", at, day, self.booked_at, self.note))
        by_product: dict[int, Microlitres] = {}
        for name, volume_ul in totals.volume_ul.items():
            number = products[name][0]
            by_product[number] = Microlitres(by_product.get(number, 0) + volume_ul)
        made: dict[int, int] = {}
        for product, volume_ul in by_product.items():
            made[product] = bottle = self.bulk.number(Bottle)
            self.bulk.ledger.bottle(
                (
                    bottle,
                    day,
                    product,
                    booking,
                    None,
                    volume_ul,
                    LOT_OF_PAST_MIXES,
                    day,
                    None,
                    None,
                    None,
                    False,
                    False,
                    "",
                )
            )
            number = self.bulk.number(Movement)
            self.bulk.ledger.move(bottle, booking, "received", volume_ul, at=at, day=day, number=number)
        for name in totals.volume_ul:
            product, role = products[name]
            self.bottles[name] = (made[product], PART_OF_ROLE[role])
        return booking

    def write(self, rows: Sequence[Poured], jobs: Mapping[str, int]) -> None:
        """Write one mix, closed if its outcome is known."""
        first = rows[0]
        at = clock.stamp(first.at)
        day = self._day(at, first.at)
        booking = self.bulk.number(Booking)
        note = next((row.note for row in rows if row.note), "")
        self.bulk.add(Booking, BOOKING, (booking, "mix", at, day, self.booked_at, note))
        needle = next((row.needle_um for row in rows if row.needle_um is not None), None)
        job = next((jobs[row.job] for row in rows if row.job is not None), None)
        self.bulk.add(Mix, MIX, (booking, job, needle))
        for row in rows:
            self._pour(booking, at, day, row.product, row.volume_ul)
            if row.reducer is not None and row.reducer_ul:
                self._pour(booking, at, day, row.reducer, row.reducer_ul)
        outcome = next((row.outcome for row in rows if row.outcome is not None), None)
        if outcome is not None:
            close = self.bulk.number(Booking)
            self.bulk.add(Booking, BOOKING, (close, "close", at, day, self.booked_at, ""))
            self.bulk.add(Close, CLOSE, (close, booking, outcome, 0, False, needle))
        self.mixes += 1

    def _pour(self, mix: int, at: str, day: str, product: str, volume_ul: Microlitres) -> None:
        bottle, part = self.bottles[product]
        number = self.bulk.number(Movement)
        self.bulk.ledger.move(bottle, mix, "poured", Microlitres(-volume_ul), at=at, day=day, number=number)
        self.bulk.add(Pour, POUR, (number, mix, part))

    def _day(self, stamp: str, at: datetime) -> str:
        found = self.days.get(stamp)
        if found is None:
            if len(self.days) > MOST_JOBS:
                self.days.clear()
            found = self.days[stamp] = clock.day_of(at, self.zone).isoformat()
        return found

    def answer(self, delivery: int) -> dict[str, Any]:
        """The answer about the booked mixes."""
        return {
            "mixes": self.mixes,
            "bottles": len({bottle for bottle, _ in self.bottles.values()}),
            "delivery": delivery,
        }


FIELDS: Sequence[str] = ("amount", "reduce", "reducer_amount", "needle")
DAYS: Sequence[str] = ("day",)
