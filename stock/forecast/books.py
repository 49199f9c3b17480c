"""The books read for the forecast: facts of every product, and the studio's priors.

A reading is kept for the day, so that after a mix only that product is read again.
"""

from collections.abc import Iterable, Sequence
from datetime import date
from functools import lru_cache
from typing import NamedTuple

from stock.forecast import orderbook
from stock.forecast.baskets import Terms
from stock.forecast.cuts import ASSUMED_SHARE, usual_cuts
from stock.forecast.facts import ENOUGH_EVENTS, Cut, Facts, Forecast, WhatIf
from stock.forecast.forecasting import forecasts
from stock.forecast.habit import Habit, from_arrays, habit
from stock.forecast.ordering import LeadTime, lead_time
from stock.forecast.packs import Pack
from stock.forecast.planned import Mixed, Plan, settle
from stock.forecast.pool import Pool, learn
from stock.forecast.usable import Held
from stock.forecast.uses import Uses, uses
from stock.shelf import products
from stock.shelf.bottles import BottleView, by_product, candidates, on_shelf
from stock.shelf.choosing import Candidate, order
from stock.shelf.studio import settings
from stock.shelf.suppliers import WEEKDAYS
from stock.spans import duration
from stock.store.connection import connection, reading
from stock.store.models import Pack as PackRow
from stock.store.models import Product

NOT_FORECAST = ("mixed",)


class Reading(NamedTuple):
    """Everything the forecast needs, read at one moment.

    Attributes:
        as_of: the day.
        pool: the studio's priors.
        facts: by product number, in the order of the shelf (by role and name).
        risk: the studio's target for running dry, e.g. 0.05.
        currency, measures: the studio's.
    """

    as_of: date
    pool: Pool
    facts: dict[int, Facts]
    risk: float
    currency: str
    measures: str

    def asked(self, what_if: WhatIf | None = None) -> WhatIf:
        """The question as the studio's settings put it."""
        return what_if or WhatIf(risk=self.risk)

    def forecasts(
        self, numbers: Iterable[int] | None = None, what_if: WhatIf | None = None
    ) -> list[Forecast]:
        """The forecasts of these products, of all when None."""
        wanted = self.facts if numbers is None else numbers
        return forecasts(self.pool, [self.facts[number] for number in wanted], self.asked(what_if))


def read(as_of: date | None = None) -> Reading:
    """Read the whole studio.

    Args:
        as_of: the day of the forecast; nothing that happened after it is known. Today when None.
    """
    with connection(), reading():
        studio = settings()
        day = as_of or studio.today()
        rows = [each for each in products.with_suppliers() if each.role not in NOT_FORECAST]
        shelf = by_product(on_shelf(as_of))
        used = uses(day, known=as_of)
        plans = orderbook.plans(day, as_of)
        told = _Told(
            day,
            {row.id: row for row in rows},
            _packs(),
            used,
            usual_cuts(used, {row.id: row.role for row in rows}, [row.id for row in rows]),
            _coming(day, as_of),
            orderbook.lead_days(day, as_of),
            studio.currency,
            studio.measures,
        )
        facts = {row.id: _facts(row, shelf.get(row.id, []), plans.get(row.id, []), told) for row in rows}
        _add_cuts(facts, told)
        _add_substitutes(facts, told)
        _add_sharers(facts)
    pool = learn([each.habit for each in facts.values()], day.toordinal())
    return Reading(day, pool, facts, studio.dry_risk_milli / 100_000, studio.currency, studio.measures)


def again(known: Reading, number: int) -> Reading:
    """The reading with one product's bottles and use read anew, after a mix or a delivery of it.

    The priors, prices and orders stay as they were read on that day; its usual reducer's stock is read too.
    """
    facts = dict(known.facts)
    with connection(), reading():
        before = facts[number]
        plans = orderbook.plans(known.as_of).get(number, [])
        planned, own = _habit(uses(known.as_of, product=number), plans, known.as_of, before.habit.since)
        bottles = _bottles(number, known.as_of)
        facts[number] = before._replace(
            habit=own,
            planned=planned,
            on_hand_ul=sum(each.on_hand_ul for each in bottles),
            bottles=_held(bottles, known.as_of, before.opened_days),
        )
        cut = before.cut
        if cut is not None:
            reducer = next((each for each in facts.values() if each.product == cut.reducer), None)
            if reducer is not None:
                usable = sum(
                    each.on_hand_ul
                    for each in _bottles(reducer.number, known.as_of)
                    if not _past(each.good_until, known.as_of)
                )
                facts[number] = facts[number]._replace(cut=cut._replace(usable_ul=usable))
    return known._replace(facts=facts)


def _bottles(product: int, day: date) -> list[Candidate]:
    return candidates(products.numbered([product]), came_by=day)[product]


class _Told(NamedTuple):
    """What the tables say, by product or supplier number."""

    day: date
    rows: dict[int, Product]
    packs: dict[int, list[Pack]]
    uses: Uses
    cuts: dict[int, tuple[int, float]]
    coming: dict[int, list[tuple[int, int]]]
    leads: dict[int | None, list[int]]
    currency: str
    measures: str


def _facts(row: Product, shelf: Sequence[BottleView], plans: Sequence[Plan], told: _Told) -> Facts:
    standing = [view for view in shelf if not view.gone]
    opened = _life(row.opened_life, told.day)
    first = min((view.received_on for view in shelf), default=None)
    since = None if first is None or first > told.day else first.toordinal()
    planned, own = _habit(told.uses.of(row.id), plans, told.day, since)
    supplier = row.supplier
    packs = told.packs.get(row.id, [])
    return Facts(
        number=row.id,
        product=row.name,
        role=row.role,
        habit=own,
        on_hand_ul=sum(view.on_hand_ul for view in standing),
        bottles=_held(
            [
                Candidate(view.id, view.on_hand_ul, view.opened_on is not None, view.good_until)
                for view in standing
            ],
            told.day,
            opened,
        ),
        lead=_lead(row, told),
        coming=tuple(told.coming.get(row.id, ())),
        planned=planned,
        packs=tuple(packs),
        supplier=supplier.name if supplier is not None else None,
        terms=Terms(supplier.shipping_minor, supplier.free_shipping_from_minor)
        if supplier is not None
        else None,
        order_days=tuple(WEEKDAYS.index(each) for each in supplier.order_days.split())
        if supplier is not None
        else (),
        opened_days=opened,
        sealed_days=_life(row.sealed_life, told.day),
        discontinued_on=row.discontinued_on,
        worth_minor=_worth(standing, packs),
        currency=told.currency,
        measures=told.measures,
    )


def _habit(
    used: Uses, plans: Sequence[Plan], day: date, since: int | None
) -> tuple[tuple[tuple[int, int], ...], Habit]:
    """What is planned and not yet mixed (days from today, microlitres), and the habit less what served it."""
    if not plans:
        return (), from_arrays(used.day, used.volume_ul, since)
    start = date.fromordinal(since) if since is not None else None
    each = zip(used.day.tolist(), used.volume_ul.tolist(), used.mix.tolist(), strict=True)
    jobs = orderbook.jobs_of(used.mix.tolist()) if any(plan.job is not None for plan in plans) else {}
    mixed = [Mixed(date.fromordinal(on), round(ul), jobs.get(mix)) for on, ul, mix in each]
    open_plans, rest = settle(plans, mixed, day)
    planned = tuple((max((plan.needed_on - day).days, 1), plan.volume_ul) for plan in open_plans)
    return planned, habit([(mix.day, mix.volume_ul) for mix in rest], day, since=start)


def _held(bottles: Sequence[Candidate], day: date, opened_life: int | None) -> tuple[Held, ...]:
    return tuple(
        Held(
            each.on_hand_ul,
            each.opened,
            None if each.good_until is None else (each.good_until - day).days,
            opened_life,
        )
        for each in order(bottles, day)
        if not _past(each.good_until, day)
    )


def _past(good_until: date | None, day: date) -> bool:
    return good_until is not None and good_until < day


@lru_cache(maxsize=64)
def _life(text: str | None, day: date) -> int | None:
    return None if text is None else (duration(text, zero=True).after(day) - day).days


def _lead(row: Product, told: _Told) -> LeadTime:
    supplier = row.supplier
    said = row.lead_time or (supplier.lead_time if supplier is not None else None)
    return lead_time(_life(said, told.day), told.leads.get(supplier.id, []) if supplier is not None else [])


def _packs() -> dict[int, list[Pack]]:
    found: dict[int, list[Pack]] = {}
    query = PackRow.select(PackRow.product, PackRow.size_ul, PackRow.price_minor).order_by(PackRow.size_ul)
    for product, size_ul, price in query.tuples():
        found.setdefault(product, []).append(Pack(size_ul, price))
    return found


def _coming(day: date, known: date | None) -> dict[int, list[tuple[int, int]]]:
    found: dict[int, list[tuple[int, int]]] = {}
    for line in orderbook.order_lines(day, known):
        if line.open:
            days = max((line.expected_on - day).days, 0) if line.expected_on is not None else 0
            found.setdefault(line.product_id, []).append((days, line.open * line.size_ul))
    return found


def _worth(bottles: Sequence[BottleView], packs: Sequence[Pack]) -> int | None:
    """What the stock on hand cost: each bottle's own price, or its size's, for the part that is left."""
    prices = {pack.size_ul: pack.price_minor for pack in packs}
    worth, known = 0.0, False
    for view in bottles:
        price = view.price_minor if view.price_minor is not None else prices.get(view.size_ul)
        if price is not None:
            known = True
            worth += price * view.on_hand_ul / view.size_ul
    return round(worth) if known else None


def _add_cuts(facts: dict[int, Facts], told: _Told) -> None:
    """Give each product its usual reducer: by its own mixes; by its record while it was never mixed."""
    usable = {number: sum(each.on_hand_ul for each in said.bottles) for number, said in facts.items()}
    for number, row in told.rows.items():
        if row.role in ("reducer", "cleaner"):
            continue
        cut = told.cuts.get(number)
        if cut is None and not facts[number].habit.events and row.usual_reducer_id is not None:
            cut = (row.usual_reducer_id, ASSUMED_SHARE)
        if cut is not None and cut[0] in facts:
            reducer, share = cut
            facts[number] = facts[number]._replace(cut=Cut(facts[reducer].product, share, usable[reducer]))


def _add_substitutes(facts: dict[int, Facts], told: _Told) -> None:
    """For what is discontinued: a product of its role mixed since it was last used, the nearest in colour."""
    for number, said in facts.items():
        if said.discontinued_on is None or not said.habit.events:
            continue
        last = int(said.habit.days[-1])
        own = told.rows[number]
        best: tuple[float, int, str] | None = None
        for other, row in told.rows.items():
            since = int((facts[other].habit.days > last).sum())
            if other == number or row.role != own.role or products.gone(row, told.day) or not since:
                continue
            rank = (_distance(own.color, row.color) + 30.0 * (row.line != own.line), -since, row.name)
            best = rank if best is None or rank < best else best
        if best is not None:
            facts[number] = said._replace(instead=best[2])


def _add_sharers(facts: dict[int, Facts]) -> None:
    """How many products in use each supplier sells."""
    in_use: dict[str | None, int] = {}
    for said in facts.values():
        if said.habit.events >= ENOUGH_EVENTS and said.discontinued_on is None:
            in_use[said.supplier] = in_use.get(said.supplier, 0) + 1
    for number, said in facts.items():
        facts[number] = said._replace(shared_by=in_use.get(said.supplier, 1))


def _distance(one: str | None, other: str | None) -> float:
    """How far two colours are apart, 0 to 441; 0 for products without a colour, far when one is not known."""
    if one is None or other is None:
        return 0.0 if one is other else 120.0
    parts = [(int(one[at : at + 2], 16) - int(other[at : at + 2], 16)) ** 2 for at in (1, 3, 5)]
    return float(sum(parts) ** 0.5)
