"""Reading the books for the forecast: the facts of every product, and the studio's priors.

A reading is used for the whole day; after a mix only the product concerned is read again.
"""

from collections.abc import Collection, Iterable, Sequence
from datetime import date
from functools import lru_cache

from stock.forecast import orderbook
from stock.forecast.baskets import Terms
from stock.forecast.facts import ENOUGH_EVENTS, Facts, Forecast, UsualReducer, WhatIf
from stock.forecast.forecasting import forecasts
from stock.forecast.ordering import LeadTime, lead_time
from stock.forecast.packs import PackSize
from stock.forecast.planned import MixUse, PlannedNeed, settle
from stock.forecast.priors import StudioPriors, learn_priors
from stock.forecast.usable import StockBottle
from stock.forecast.use_history import UseHistory, from_arrays, history_of
from stock.forecast.uses import Uses, uses
from stock.forecast.usual_reducers import ASSUMED_SHARE, usual_reducers
from stock.named_tuples import NamedTuple
from stock.shelf import products
from stock.shelf.bottles import OPEN, BottleView, by_product, on_shelf
from stock.shelf.bottles_to_pour import candidates
from stock.shelf.choosing import Candidate, order
from stock.shelf.deliveries import LOT_OF_PAST_MIXES
from stock.shelf.past_shelf import in_force
from stock.shelf.studio import settings
from stock.shelf.suppliers import WEEKDAYS
from stock.spans import duration
from stock.store.connection import connection, reading
from stock.store.models import Booking, Bottle, Product
from stock.store.models import Pack as PackRow
from stock.units import Microlitres

NOT_FORECAST = ("mixed",)


class Reading(NamedTuple):
    """Everything the forecast needs, read at one moment.

    Attributes:
        as_of: the day.
        priors: the studio's priors.
        facts: by product number, in the order of the shelf (by role and name).
        risk: the studio's greatest accepted chance of running dry, e.g. 0.05.
        currency, measures: the studio's.
    """

    as_of: date
    priors: StudioPriors
    facts: dict[int, Facts]
    risk: float
    currency: str
    measures: str

    def asked(self, what_if: WhatIf | None = None) -> WhatIf:
        """The assumptions, by default with the studio's own risk."""
        return what_if or WhatIf(risk=self.risk)

    def forecasts(
        self, numbers: Iterable[int] | None = None, what_if: WhatIf | None = None
    ) -> list[Forecast]:
        """The forecasts of these products; of all when None."""
        asked = self.facts if numbers is None else numbers
        return forecasts(self.priors, [self.facts[number] for number in asked], self.asked(what_if))

    def due(self, days: int) -> list[Forecast]:
        """The forecasts of the products that must be ordered within `days` days; quicker than forecasting all."""
        return forecasts(self.priors, [*self.facts.values()], self.asked(), due_within=days)

    def usable_ul(self) -> dict[str, Microlitres]:
        """What the usable bottles hold, in microlitres, by product."""
        return {
            each.product: Microlitres(sum(bottle.on_hand_ul for bottle in each.bottles))
            for each in self.facts.values()
        }


def read(as_of: date | None = None) -> Reading:
    """Read the whole studio.

    Args:
        as_of: the day of the forecast; later bookings are ignored. Today when None.
    """
    with connection(), reading():
        studio = settings()
        day = as_of or studio.today()
        rows = [each for each in products.with_suppliers() if each.role not in NOT_FORECAST]
        shelf = by_product([view for view in on_shelf(as_of) if not view.owner])
        used = uses(day, undos_until=as_of)
        plans = orderbook.plans(day, as_of)
        tables = _Tables(
            day,
            {row.id: row for row in rows},
            _packs(day, as_of),
            used,
            usual_reducers(used, {row.id: row.role for row in rows}, [row.id for row in rows]),
            _coming(day, as_of),
            orderbook.lead_days(day, as_of),
            studio.currency,
            studio.measures,
        )
        facts = {row.id: _facts(row, shelf.get(row.id, []), plans.get(row.id, []), tables) for row in rows}
        _add_usual_reducers(facts, tables)
        _add_substitutes(facts, tables)
        _add_sharers(facts)
    priors = learn_priors([each.history for each in facts.values()], day.toordinal())
    return Reading(day, priors, facts, studio.dry_risk_milli / 100_000, studio.currency, studio.measures)


def reread(earlier: Reading, number: int) -> Reading:
    """The reading with one product's bottles and use read again, after a mix or a delivery of it.

    The priors, prices and orders stay as they were read; the stock of its usual reducer is read again too.
    """
    day = earlier.as_of
    facts = dict(earlier.facts)
    with connection(), reading():
        before = facts[number]
        plans = orderbook.plans(day).get(number, [])
        planned, own = _planned_and_history(uses(day, product=number), plans, day, before.history.since)
        bottles = _bottles(number, day)
        facts[number] = before._replace(
            history=own,
            planned=planned,
            on_hand_ul=Microlitres(sum(each.on_hand_ul for each in bottles)),
            bottles=_held(bottles, day, before.opened_days),
        )
        usual = before.usual_reducer
        if usual is not None:
            reducer = next((each for each in facts.values() if each.product == usual.reducer), None)
            if reducer is not None:
                usable = sum(
                    each.on_hand_ul
                    for each in _bottles(reducer.number, day)
                    if not _past(each.good_until, day)
                )
                facts[number] = facts[number]._replace(
                    usual_reducer=usual._replace(usable_ul=Microlitres(usable))
                )
    return earlier._replace(facts=facts)


def _bottles(product: int, day: date) -> list[Candidate]:
    return [
        each for each in candidates(products.numbered([product]), came_by=day)[product] if not each.not_ours
    ]


class _Tables(NamedTuple):
    """What was read from the tables, by product or supplier number."""

    day: date
    rows: dict[int, Product]
    packs: dict[int, list[PackSize]]
    uses: Uses
    usual_reducers: dict[int, tuple[int, float]]
    coming: dict[int, list[tuple[int, Microlitres]]]
    leads: dict[int | None, list[int]]
    currency: str
    measures: str


def _facts(row: Product, shelf: Sequence[BottleView], plans: Sequence[PlannedNeed], tables: _Tables) -> Facts:
    present = [view for view in shelf if not view.gone]
    opened = _life(row.opened_life, tables.day)
    first = min((view.received_on for view in shelf), default=None)
    since = None if first is None or first > tables.day else first.toordinal()
    planned, own = _planned_and_history(tables.uses.of(row.id), plans, tables.day, since)
    supplier = row.supplier
    packs = tables.packs.get(row.id, [])
    return Facts(
        number=row.id,
        product=row.name,
        role=row.role,
        history=own,
        on_hand_ul=Microlitres(sum(view.on_hand_ul for view in present)),
        bottles=_held(
            [Candidate(view.id, view.on_hand_ul, view.state == OPEN, view.good_until) for view in present],
            tables.day,
            opened,
        ),
        lead=_lead(row, tables),
        coming=tuple(tables.coming.get(row.id, ())),
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
        sealed_days=_life(row.sealed_life, tables.day),
        discontinued_on=row.discontinued_on,
        worth_minor=_worth(present, packs),
        currency=tables.currency,
        measures=tables.measures,
    )


def _planned_and_history(
    used: Uses, plans: Sequence[PlannedNeed], day: date, since: int | None
) -> tuple[tuple[tuple[int, Microlitres], ...], UseHistory]:
    """(days from today, microlitres) planned and not yet mixed, and the use history without what served plans."""
    if not plans:
        return (), from_arrays(used.day, used.volume_ul, since)
    start = date.fromordinal(since) if since is not None else None
    each = zip(used.day.tolist(), used.volume_ul.tolist(), used.mix.tolist(), strict=True)
    jobs = orderbook.jobs_of(used.mix.tolist()) if any(plan.job is not None for plan in plans) else {}
    mixed = [MixUse(date.fromordinal(on), round(ul), jobs.get(mix)) for on, ul, mix in each]
    open_plans, rest = settle(plans, mixed, day)
    planned = tuple((max((plan.needed_on - day).days, 1), plan.volume_ul) for plan in open_plans)
    return planned, history_of([(mix.day, mix.volume_ul) for mix in rest], day, since=start)


def _held(bottles: Sequence[Candidate], day: date, opened_life: int | None) -> tuple[StockBottle, ...]:
    return tuple(
        StockBottle(
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


def _lead(row: Product, tables: _Tables) -> LeadTime:
    supplier = row.supplier
    noted = row.lead_time or (supplier.lead_time if supplier is not None else None)
    return lead_time(
        _life(noted, tables.day), tables.leads.get(supplier.id, []) if supplier is not None else []
    )


def _packs(day: date, undos_until: date | None) -> dict[int, list[PackSize]]:
    """The sizes in which products are sold: the noted ones, else those of the bottles that came."""
    found: dict[int, list[PackSize]] = {}
    query = PackRow.select(PackRow.product, PackRow.size_ul, PackRow.price_minor).order_by(PackRow.size_ul)
    for product, size_ul, price in query.tuples():
        found.setdefault(product, []).append(PackSize(size_ul, price))
    return _came_in(day, undos_until, found) | found


def _came_in(day: date, undos_until: date | None, noted: Collection[int]) -> dict[int, list[PackSize]]:
    """The sizes of the bottles that came, for products without a noted size, with the last price paid for each."""
    rows = (
        Bottle.select(Bottle.product, Bottle.size_ul, Bottle.price_minor, Bottle.priced_ul)
        .join(Booking, on=(Bottle.delivery == Booking.id))
        .where((Booking.kind == "delivery") & (Booking.day <= day) & in_force(Booking.id, undos_until))
        .where((Bottle.owner == "") & (Bottle.lot != LOT_OF_PAST_MIXES))
        .order_by(Bottle.id)
    )
    sizes: dict[int, dict[Microlitres, int | None]] = {}
    for product, size_ul, price, part_ul in rows.tuples():
        if product not in noted:
            mine = sizes.setdefault(product, {})
            mine[size_ul] = price if price is not None and part_ul is None else mine.get(size_ul)
    return {
        product: [PackSize(size_ul, price) for size_ul, price in sorted(mine.items())]
        for product, mine in sizes.items()
    }


def _coming(day: date, undos_until: date | None) -> dict[int, list[tuple[int, Microlitres]]]:
    found: dict[int, list[tuple[int, Microlitres]]] = {}
    for line in orderbook.order_lines(day, undos_until):
        if line.open:
            days = max((line.expected_on - day).days, 0) if line.expected_on is not None else 0
            found.setdefault(line.product_id, []).append((days, Microlitres(line.open * line.size_ul)))
    return found


def _worth(bottles: Sequence[BottleView], packs: Sequence[PackSize]) -> int | None:
    """What the stock on hand cost: each bottle's own price, or its size's price, for the part that is left."""
    prices = {pack.size_ul: pack.price_minor for pack in packs}
    worth, priced = 0.0, False
    for view in bottles:
        price = view.price_minor if view.price_minor is not None else prices.get(view.size_ul)
        if price is not None:
            priced = True
            worth += price * view.on_hand_ul / (view.priced_ul or view.size_ul)
    return round(worth) if priced else None


def _add_usual_reducers(facts: dict[int, Facts], tables: _Tables) -> None:
    """Add each product's usual reducer: from its own mixes, or from its record if it was never mixed."""
    usable = {number: sum(each.on_hand_ul for each in own.bottles) for number, own in facts.items()}
    for number, row in tables.rows.items():
        if row.role in ("reducer", "cleaner"):
            continue
        usual = tables.usual_reducers.get(number)
        if usual is None and not facts[number].history.events and row.usual_reducer_id is not None:
            usual = (row.usual_reducer_id, ASSUMED_SHARE)
        if usual is not None and usual[0] in facts:
            reducer, share = usual
            facts[number] = facts[number]._replace(
                usual_reducer=UsualReducer(facts[reducer].product, share, Microlitres(usable[reducer]))
            )


def _add_substitutes(facts: dict[int, Facts], tables: _Tables) -> None:
    """Add the substitute of each discontinued product: the nearest in colour of the same role that was mixed since."""
    for number, old in facts.items():
        if old.discontinued_on is None or not old.history.events:
            continue
        last = int(old.history.days[-1])
        own = tables.rows[number]
        best: tuple[float, int, str] | None = None
        for other, row in tables.rows.items():
            since = int((facts[other].history.days > last).sum())
            if other == number or row.role != own.role or products.gone(row, tables.day) or not since:
                continue
            rank = (_distance(own.color, row.color) + 30.0 * (row.line != own.line), -since, row.name)
            best = rank if best is None or rank < best else best
        if best is not None:
            facts[number] = old._replace(instead=best[2])


def _add_sharers(facts: dict[int, Facts]) -> None:
    """Add how many products in use each product's supplier sells."""
    in_use: dict[str | None, int] = {}
    for product in facts.values():
        if product.history.events >= ENOUGH_EVENTS and product.discontinued_on is None:
            in_use[product.supplier] = in_use.get(product.supplier, 0) + 1
    for number, product in facts.items():
        facts[number] = product._replace(shared_by=in_use.get(product.supplier, 1))


def _distance(one: str | None, other: str | None) -> float:
    """The distance of two colours, 0 to 441; 0 if neither product has a colour, 120 if one has none."""
    if one is None or other is None:
        return 0.0 if one is other else 120.0
    parts = [(int(one[at : at + 2], 16) - int(other[at : at + 2], 16)) ** 2 for at in (1, 3, 5)]
    return float(sum(parts) ** 0.5)
