"""Looking back: the forecasts of each past month beside what then happened, from the books."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import count
from typing import Any

from stock import clock
from stock.forecast.books import NOT_FORECAST
from stock.forecast.review import PastForecast, ProductPast, Review, month_starts, review
from stock.forecast.use_history import from_arrays
from stock.forecast.uses import uses
from stock.language import _
from stock.ledger import zone
from stock.notation import show_day
from stock.shelf import products
from stock.shelf.past_shelf import in_force
from stock.shelf.studio import settings
from stock.store.connection import connection, reading
from stock.store.models import Booking, Bottle, Movement
from stock.store.orm import pw
from stock.units import Microlitres


@dataclass(frozen=True, slots=True)
class MonthReview:
    """All forecasts made on one day of the past."""

    day: date
    cases: tuple[PastForecast, ...]

    def as_json(self) -> dict[str, Any]:
        """The month for scripts; shares of the products, 0..1."""
        number = len(self.cases)
        return {
            "from": self.day.isoformat(),
            "products": number,
            "inside_p10_p90": round(sum(case.inside for case in self.cases) / number, 4),
            "would_have_run_dry": sum(case.short for case in self.cases),
            "warned": sum(case.short and case.warned for case in self.cases),
        }


@dataclass(frozen=True, slots=True)
class LookBack:
    """The review, and its cases by month."""

    as_of: date
    review: Review

    @property
    def months(self) -> list[MonthReview]:
        """Oldest first; months without a case are left out."""
        days = sorted({case.day for case in self.review.cases})
        return [
            MonthReview(day, tuple(case for case in self.review.cases if case.day == day)) for day in days
        ]

    def lines(self) -> list[str]:
        """The review as lines of text."""
        found = self.review
        if not found.cases:
            return [_("Nothing to look back on yet: it takes two mixes of a product and 28 days after them.")]
        return [
            _(
                "Looked back on {cases} forecasts of 28 days each, from {first} to {last}.",
                cases=len(found.cases),
                first=show_day(found.cases[0].day),
                last=show_day(found.cases[-1].day),
            ),
            _(
                "The use lay from P10 to P90 in {inside:.0%} (80 % or more is right: a slow product's "
                "P10 is nothing), above P90 in {over:.0%} (10 % is right).",
                inside=found.inside,
                over=found.over,
            ),
            _(
                "Running dry: {avoided} times warned of and resupplied in time, {missed} times not "
                "warned of.",
                avoided=found.avoided,
                missed=found.missed,
            ),
            "",
            *_month_lines(self.months),
        ]


def _month_lines(months: Iterable[MonthReview]) -> Iterable[str]:
    for month in months:
        month_json = month.as_json()
        dry = month_json["would_have_run_dry"]
        yield (
            _(
                "{day}  {products:>3} products  {inside_p10_p90:>4.0%} inside",
                day=show_day(month.day),
                products=month_json["products"],
                inside_p10_p90=month_json["inside_p10_p90"],
            )
            + (
                _("  {warned} of {dry} dry shelves warned of", warned=month_json["warned"], dry=dry)
                if dry
                else ""
            )
        )


def look_back(as_of: date | None = None, *, progress: Callable[[float], None] = lambda _: None) -> LookBack:
    """Repeat the forecasts of up to twelve months before `as_of` (today when None).

    Args:
        as_of: the day looked back from.
        progress: called with the share that is done, 0 to 1, twice a month; an exception that it raises ends the run.
    """
    with connection(), reading():
        studio = settings()
        today = as_of or studio.today()
        rows = [each for each in products.everything() if each.role not in NOT_FORECAST]
        used = uses(today, undos_until=as_of)
        first = date.fromordinal(int(used.day.min())) if len(used.day) else today
        days = month_starts(first, today)
        steps = count(1)

        def step_done() -> None:
            progress(next(steps) / (2 * len(days)))

        on_hand = {}
        for day in days:
            on_hand[day] = _on_hand(day, as_of)
            step_done()
    pasts = []
    for row in rows:
        own = used.of(row.id)
        if len(own.day):
            levels = {day.toordinal(): on_hand[day].get(row.id, Microlitres(0)) for day in days}
            pasts.append(ProductPast(row.name, from_arrays(own.day, own.volume_ul), levels))
    return LookBack(today, review(pasts, days, target=studio.dry_risk_milli / 100_000, progress=step_done))


def _on_hand(day: date, undos_until: date | None) -> dict[int, Microlitres]:
    """Microlitres of each product on the shelf at the end of a day, by what is booked now."""
    end = clock.start_of(day + timedelta(days=1), zone())
    query = (
        Movement.select(Bottle.product, pw.fn.SUM(Movement.change_ul))
        .join(Bottle)
        .switch(Movement)
        .join(Booking, on=(Movement.booking == Booking.id))
        .where((Movement.at < end) & (Movement.kind != "reversed") & in_force(Booking.id, undos_until))
        .group_by(Bottle.product)
    )
    return {product: Microlitres(int(volume)) for product, volume in query.tuples()}
