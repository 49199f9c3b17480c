"""The facts of products on past days: a changed fact counts from a day on, and the earlier value is kept.

A change counts from today, or from a named day; on the day of its entry, a product is corrected for all days. Filling
in an unknown fact is no change: it counts for every day that is not closed. A closed day always keeps the facts that
it was closed with.
"""

import json
from collections.abc import Collection, Iterable, Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from datetime import date, timedelta
from typing import Any

from stock import clock
from stock.language import _
from stock.notation import show_day
from stock.shelf.studio import settings
from stock.store import closed_periods, models
from stock.store.models import Booking, Bottle, NotWith, Product, Solvent
from stock.store.row_values import value_of, values_of

COLUMNS = (
    "water_milli", "solids_milli", "no_solvent", "no_flash_point", "groups", "flash_point_mc", "boiling_point_mc",
    "ph_low_milli", "ph_high_milli",
    "density_ug_per_ml", "opened_life", "sealed_life", "store_low_mc", "store_high_mc", "h_statements", "signal_word",
    "pictograms", "gloves", "eye_protection", "breathing_protection", "un_number", "transport_class", "packing_group",
    "voc_categories",
)  # fmt: skip
"""The product's facts from which cautions and emissions are worked out, beside its solvents, the products that it may
not meet, and the prices of its sizes."""
SOLVENTS, NOT_WITH, PRICES = "solvents", "not_with", "prices"
SHARE = (Solvent.name, Solvent.percent_milli, Solvent.basis, Solvent.low_milli)
Facts = dict[str, Any]
_under_way: ContextVar[frozenset[int]] = ContextVar("_under_way", default=frozenset())


def _now(products: Collection[int]) -> dict[int, Facts]:
    found = {
        row.id: {name: value_of(row, name) for name in COLUMNS} | {SOLVENTS: [], NOT_WITH: [], PRICES: {}}
        for row in Product.select().where(Product.id.in_(list(products)))
    }
    shares = Solvent.select(Solvent.product, *SHARE).where(Solvent.product.in_(list(products)))
    for product, *share in shares.order_by(Solvent.name).tuples():
        found[product][SOLVENTS].append(share)
    apart = NotWith.select(NotWith.product, NotWith.other).where(NotWith.product.in_(list(products)))
    for product, other in apart.order_by(NotWith.other).tuples():
        found[product][NOT_WITH].append(other)
    packs = models.Pack.select(models.Pack.product, models.Pack.size_ul, models.Pack.price_minor)
    for product, size_ul, price in packs.where(models.Pack.product.in_(list(products))).tuples():
        if price is not None:
            found[product][PRICES][str(size_ul)] = price
    return found


@contextmanager
def changing(products: Collection[int], since: date | None = None) -> Iterator[None]:
    """Keep the facts of products as they were before the change made inside the block, in its transaction.

    Args:
        products: their numbers.
        since: the day from which the change counts; today when None.
    Raises:
        BadInput: `since` is a day to come.
        UllageError: `since` is closed.
    """
    mine = frozenset(products) - _under_way.get()
    if since is not None:
        _refuse_day(since)
    before = _now(mine)
    outer = _under_way.set(_under_way.get() | mine)
    try:
        yield
    finally:
        _under_way.reset(outer)
    after = _now(mine)
    for product, facts in before.items():
        changed = {name for name in facts if facts[name] != after[product][name]}
        if changed and since is None and all(_only_fills(name, facts, after[product]) for name in changed):
            _fill(product, facts, after[product], changed)
        elif changed:
            until = _last_day_before(product, since)
            if until is not None:
                _keep(product, facts, until)


def _last_day_before(product: int, since: date | None) -> date | None:
    """The last day on which the earlier facts count; None if they never did.

    If nothing was booked for a product before today, no figure of it was used yet: a correction on the day of its entry
    also counts for past mixes that were written down late.
    """
    today = settings().today()
    if since is not None:
        return since - timedelta(days=1)
    begun = clock.stamp(clock.start_of(today, settings().time_zone))
    bottles = Bottle.select().join(Booking, on=(Bottle.delivery == Booking.id))
    if bottles.where((Bottle.product == product) & (Booking.booked_at < begun)).exists():
        return today - timedelta(days=1)
    return closed_periods.closed_until()


def _refuse_day(since: date) -> None:
    from stock.errors import BadInput  # only where a day is named

    if since > settings().today():
        raise BadInput(
            _("{since} is still to come", since=show_day(since)),
            remedy=_("Give today or a past day; nothing was changed"),
        )
    closed_periods.require_open(since, closed_periods.closed_until())


def _unknown(name: str, facts: Facts) -> bool:
    """Whether a fact was unknown; solvents are also known if it is noted that there are none."""
    if name in ("no_solvent", SOLVENTS):
        return not facts["no_solvent"] and not facts[SOLVENTS]
    if name in ("no_flash_point", "flash_point_mc"):
        return not facts["no_flash_point"] and facts["flash_point_mc"] is None
    return name in facts and facts[name] in (None, "", False, [])


def _only_fills(name: str, before: Facts, now: Facts) -> bool:
    """Whether a change only fills in unknown facts; for prices, whether the known ones stay."""
    if name == PRICES:
        return before[PRICES].items() <= now[PRICES].items()
    return _unknown(name, before)


def _written(facts: Facts) -> str:
    return json.dumps(facts, ensure_ascii=False, sort_keys=True)


def _keep(product: int, facts: Facts, until: date) -> None:
    """Note that these facts counted until a day; what was kept of later days counts until then, too."""
    later = list(models.PastFacts.select().where(*_of(product, until)).order_by(models.PastFacts.until))
    if not later:
        models.PastFacts.create(product=product, until=until, facts=_written(facts))
        return
    first, *others = later
    models.PastFacts.delete().where(models.PastFacts.id.in_([row.id for row in others])).execute()
    if first.until != until:
        models.PastFacts.update(until=until).where(models.PastFacts.id == first.id).execute()


def _of(product: int, since: date) -> tuple[Any, Any]:
    return models.PastFacts.product == product, models.PastFacts.until >= since


def _fill(product: int, before: Facts, after: Facts, filled: Collection[str]) -> None:
    """Fill in the facts that are known now for every day that is not closed; closed days stay as they were."""
    closed = closed_periods.closed_until()
    since = closed + timedelta(days=1) if closed is not None else date.min
    later = list(models.PastFacts.select().where(*_of(product, since)).order_by(models.PastFacts.until))
    if (
        closed is not None
        and not models.PastFacts.select()
        .where((models.PastFacts.product == product) & (models.PastFacts.until == closed))
        .exists()
    ):
        then = later[0].facts if later else _written(before)
        models.PastFacts.create(product=product, until=closed, facts=then)
    for row in later:
        then = json.loads(row.facts)
        then |= {name: after[name] for name in filled if name != PRICES and _unknown(name, then)}
        if PRICES in filled and PRICES in then:
            then[PRICES] = after[PRICES] | then[PRICES]
        models.PastFacts.update(facts=_written(then)).where(models.PastFacts.id == row.id).execute()


def on(day: date, products: Collection[int] | None = None) -> Mapping[int, Facts]:
    """The facts on a day of the products that were changed since; call it inside `connection()`.

    Args:
        day: the day; nothing is kept for today and later days.
        products: their numbers; all when None.
    """
    if day >= settings().today():
        return {}
    rows = models.PastFacts.select(models.PastFacts.product, models.PastFacts.facts).where(
        models.PastFacts.until >= day
    )
    if products is not None:
        rows = rows.where(models.PastFacts.product.in_(list(products)))
    found: dict[int, Facts] = {}
    for product, facts in rows.order_by(models.PastFacts.until).tuples():
        if product not in found:
            found[product] = json.loads(facts)
    return found


def as_noted(
    rows: Iterable[Any], solvents: Iterable[tuple[Any, ...]], day: date
) -> tuple[list[Any], list[tuple[Any, ...]]]:
    """Rows of products and of their solvents as they were noted on a day.

    Args:
        rows: products, as Peewee's rows or as named tuples.
        solvents: (product's number, *`SHARE`) of each of their solvents.
        day: the day.
    Returns:
        The rows and the solvents.
    """
    products = list(rows)
    then = on(day, [row.id for row in products]) if products else {}
    if not then:
        return products, list(solvents)
    shares = [share for share in solvents if share[0] not in then]
    shares += [(number, *share) for number, kept in then.items() for share in kept[SOLVENTS]]
    return [_row_as_noted(row, then.get(row.id, {})) for row in products], shares


def _row_as_noted(row: Any, then: Facts) -> Any:
    kept = {name: then[name] for name in COLUMNS if name in then}
    if not kept:
        return row
    return Product(**values_of(row) | kept) if isinstance(row, Product) else row._replace(**kept)


def not_with(pairs: Iterable[tuple[int, int]], day: date) -> list[tuple[int, int]]:
    """Pairs of products that may not meet, as they were noted on a day.

    Args:
        pairs: the pairs that are noted now: a product, and one that it may not meet.
        day: the day.
    """
    then = {product: kept[NOT_WITH] for product, kept in on(day).items() if NOT_WITH in kept}
    now = [pair for pair in pairs if pair[0] not in then]
    return now + [(product, other) for product, others in then.items() for other in others]


def prices(day: date) -> dict[int, dict[int, int]]:
    """Minor units of each size as noted on a day, for the products whose prices were changed since."""
    return {
        product: {int(size): price for size, price in kept[PRICES].items()}
        for product, kept in on(day).items()
        if PRICES in kept
    }


def last_days(products: Collection[int], first: date, last: date) -> list[date]:
    """The days in a period on which a noted fact of these products counted for the last time, in order."""
    rows = models.PastFacts.select(models.PastFacts.until).where(
        models.PastFacts.product.in_(list(products)) & models.PastFacts.until.between(first, last)
    )
    return sorted({until for (until,) in rows.tuples()})
