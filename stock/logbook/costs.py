"""What jobs and months cost in material, read from the books."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from stock.logbook import prices
from stock.logbook.costing import CostedMix, Costs, MaterialUse, costs
from stock.logbook.months import Month
from stock.shelf import jobs
from stock.shelf.bottles import label_of
from stock.shelf.past_shelf import in_force
from stock.shelf.studio import settings
from stock.store import closed_periods
from stock.store.connection import connection, reading
from stock.store.models import (
    Booking,
    Bottle,
    Close,
    Count,
    Job,
    Mix,
    Movement,
    Pour,
    Product,
    Wash,
    database,
)
from stock.store.words import LOSSES

TAKEN = ("poured", "washed", "discarded", "counted", "kept")


@dataclass(frozen=True, slots=True)
class CostsRead:
    """Costs and what they cover; `unpriced` names the bottles without a price and the volume taken from each."""

    as_of: date
    currency: str
    measures: str
    month: Month | None
    job: str | None
    costs: Costs
    unpriced: Sequence[tuple[str, int]]


def read(*, job: str | None = None, month: Month | None = None, as_of: date | None = None) -> CostsRead:
    """The costs of all jobs, of one, or of one month's mixes.

    Args:
        job: a job's name or a part of it.
        month: only mixes made in that month.
        as_of: bookings after that day are left out; today when None.
    Raises:
        NotFound, Ambiguous: the job.
    """
    with connection(), reading():
        studio = settings()
        day = as_of or studio.today()
        asked_job = jobs.find(job) if job is not None else None
        made = _made(day, month)
        asked = {one.mix for one in made if asked_job is None or one.job == asked_job.name}
        months = {one.month for one in made if one.mix in asked} if asked_job is not None else None
        within = [one for one in made if months is None or one.month in months]
        since = min((one.day.replace(day=1) for one in within), default=None)
        if month is not None:
            since = month.first
        uses = [use for use in _uses(day, since) if _belongs(use, months, month)]
        whole = costs(within, uses)
        asked_costs = Costs(
            tuple(each for each in whole.jobs if asked_job is None or each.name == asked_job.name),
            whole.unshared_in if asked_job is None else {},
            _of_mixes(whole.unpriced, uses, asked if asked_job is not None else None),
            whole.written_off_in if asked_job is None else {},
        )
        return CostsRead(
            as_of=day,
            currency=studio.currency,
            measures=studio.measures,
            month=month,
            job=asked_job.name if asked_job is not None else None,
            costs=asked_costs,
            unpriced=_named(asked_costs.unpriced),
        )


def _belongs(use: MaterialUse, months: set[str] | None, month: Month | None) -> bool:
    if use.mix is not None:
        return True
    if month is not None and use.month != str(month):
        return False
    return months is None or use.month in months


def _of_mixes(
    unpriced: Mapping[int, int], uses: Iterable[MaterialUse], asked: set[int] | None
) -> dict[int, int]:
    if asked is None:
        return dict(unpriced)
    found: dict[int, int] = defaultdict(int)
    for use in uses:
        if use.value is None and use.mix in asked:
            found[use.bottle] += use.volume_ul
    return dict(found)


def _rows(query: Any) -> list[tuple[Any, ...]]:
    # The rows are used as the driver returns them: converting every day of a large logbook would take most of the time.
    statement, values = query.sql()
    rows: list[tuple[Any, ...]] = database.execute_sql(statement, values).fetchall()
    return rows


def _made(day: date, month: Month | None) -> list[CostedMix]:
    query = (
        Mix.select(Mix.id, Booking.day, Job.name)
        .join(Booking, on=(Mix.id == Booking.id))
        .switch(Mix)
        .left_outer_join(Job)
        .where((Booking.day <= day) & in_force(Mix.id, day))
        .order_by(Mix.id)
    )
    if month is not None:
        query = query.where((Booking.day >= month.first) & (Booking.day <= month.last))
    return [CostedMix(mix, date.fromisoformat(on), job) for mix, on, job in _rows(query)]


def _uses(day: date, since: date | None) -> list[MaterialUse]:
    """Everything that was taken from `since` to `day` and not undone, with its price."""
    query = (
        Movement.select(
            Movement.id, Movement.bottle, Movement.kind, Movement.change_ul, Booking.day, Pour.mix, Wash.mix,
            Close.mix, Count.reason,
        )
        .join(Booking)
        .switch(Movement)
        .left_outer_join(Pour, on=(Pour.movement == Movement.id))
        .switch(Movement)
        .left_outer_join(Wash, on=((Wash.id == Movement.booking) & in_force(Wash.mix, day)))
        .switch(Movement)
        .left_outer_join(Close, on=(Close.id == Movement.booking))
        .switch(Movement)
        .left_outer_join(Count, on=(Count.id == Movement.booking))
        .where(Movement.kind.in_(TAKEN) & (Booking.day <= day) & in_force(Booking.id, day))
        .order_by(Movement.id)
    )  # fmt: skip
    if since is not None:
        query = query.where(Booking.day >= since)
    priced = prices.read(day)
    closed = closed_periods.closed_until()
    if closed is None or closed >= day or (since is not None and since > closed):
        return [_use(row, priced) for row in _rows(query)]
    then, last = (
        prices.read(closed),
        closed.isoformat(),
    )  # a day in a closed period keeps the prices that it was closed with
    return [_use(row, then if row[4] <= last else priced) for row in _rows(query)]


def _use(row: tuple[Any, ...], priced: prices.Prices) -> MaterialUse:
    movement, bottle, kind, change_ul, day, poured, washed, closed, reason = row
    mix = poured or washed or (closed if kind == "kept" else None)
    without_mix = "loss" if reason in LOSSES else "waste"
    what = without_mix if mix is None else "wash" if kind == "washed" else "material"
    value = priced.value(bottle, movement, -change_ul)
    return MaterialUse(what, bottle, -change_ul, value, day[:7], mix)


def _named(unpriced: Mapping[int, int]) -> list[tuple[str, int]]:
    rows = (
        Bottle.select(Bottle.id, Product.name)
        .join(Product)
        .where(Bottle.id.in_(sorted(unpriced)))
        .order_by(Product.name_key, Bottle.id)
    )
    return [(f"{name} {label_of(number)}", unpriced[number]) for number, name in rows.tuples()]
