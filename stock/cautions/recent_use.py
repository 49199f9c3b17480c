"""Recent use and waste, read from the books for the cautions about a day's supply and about waste."""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from datetime import date, timedelta

from stock.cautions.facts import ProductFacts, WasteMade
from stock.cautions.flammable import burning, limit_category
from stock.cautions.waste import mass_mg, waste_of
from stock.shelf.past_shelf import in_force
from stock.store.models import Booking, Bottle, BottleChange, Close, Count, Movement, Pour, Wash
from stock.store.orm import pw
from stock.units import Microlitres, Milligrams

LOOK_BACK_DAYS = 90
Thrown = tuple[date, set[int], bool, Microlitres]


def day_use_ul(products: Mapping[int, ProductFacts], day: date) -> Microlitres | None:
    """Microlitres of flammable stock poured on the busiest of the last 90 days; None without any pour of it.

    Products of unknown flammability are left out, because counting them would raise the stock allowed near spraying.

    Args:
        products: all products, by number.
        day: the last day looked at.
    """
    found = {product.id: burning(product) for product in products.values()}
    counts = {number for number, each in found.items() if each.known and limit_category(each) is not None}
    by_day: dict[date, int] = defaultdict(int)
    for poured_on, product, taken_ul in _taken(["poured"], day - timedelta(days=LOOK_BACK_DAYS), day):
        if product in counts:
            by_day[poured_on] += taken_ul
    return Microlitres(max(by_day.values())) if by_day else None


def waste(
    products: Mapping[int, ProductFacts], day: date, since: date | None
) -> tuple[tuple[WasteMade, ...], Milligrams]:
    """Hazardous waste made in the calendar month of `day` by kind, most first, and the milligrams on hand.

    Waste is discarded stock, cleaner used in washes, leftovers thrown away, and spills and leaks. On hand is all waste
    since it last left, that day included.

    Args:
        products: all products, by number.
        day: the last day looked at.
        since: the day on which the waste last left; None if that isn't known, so that all counts.
    """
    month: dict[tuple[frozenset[int], bool], int] = defaultdict(int)
    on_hand = 0
    for made_on, numbers, spent, taken_ul in _thrown(day):
        makes = [products[number] for number in numbers]
        if not any(waste_of(product, spent=spent).hazardous for product in makes):
            continue
        thrown_mg = mass_mg(taken_ul, makes)
        if made_on >= day.replace(day=1):
            month[frozenset(numbers), spent] += thrown_mg
        on_hand += thrown_mg * (since is None or made_on >= since)
    made = [
        WasteMade(tuple(products[number] for number in sorted(numbers)), spent, Milligrams(mass))
        for (numbers, spent), mass in month.items()
    ]
    return tuple(sorted(made, key=lambda each: -each.mass_mg)), Milligrams(on_hand)


def _thrown(last: date) -> Iterator[Thrown]:
    """Day, products, whether used as a solvent, and microlitres of all that became waste; no undone ones.

    Bottles thrown away and washes are few beside the movements, so these are found by them. What was thrown away and
    taken back since was waste on the days between.
    """
    left = (
        Movement.select(Booking.day, Bottle.product, Movement.change_ul)
        .join(Booking)
        .switch(Movement)
        .join(Bottle)
    )
    still = (Booking.day <= last) & in_force(Movement.booking, last)
    thrown_away = BottleChange.select(BottleChange.booking).where(BottleChange.field == "discarded_on")
    discards = left.where(Movement.booking.in_(thrown_away) & (Movement.kind == "discarded") & still)
    washes = left.where(Movement.booking.in_(Wash.select(Wash.id)) & (Movement.kind == "washed") & still)
    soaked_up = Count.select(Count.id).where(Count.reason.in_(("spilled", "leaked")))
    spills = left.where(Movement.booking.in_(soaked_up) & (Movement.kind == "counted") & still)
    for query, spent in ((discards, False), (washes, True), (spills, False)):
        for on, product, change_ul in query.tuples():
            yield on, {product}, spent, Microlitres(-int(change_ul))
    yield from _thrown_of_mixes(last)


def _thrown_of_mixes(last: date) -> Iterator[Thrown]:
    some = (Close.left_ul > 0) & ~Close.kept
    closes = (
        Close.select(Close.mix, Booking.day, Close.left_ul)
        .join(Booking)
        .where(some & (Booking.day <= last) & in_force(Close.id, last))
    )
    thrown = {mix: (on, left_ul) for mix, on, left_ul in closes.order_by(Close.id).tuples()}
    parts: dict[int, set[int]] = defaultdict(set)
    pours = Pour.select(Pour.mix, Bottle.product).join(Movement).join(Bottle)
    for mix, product in pours.where(Pour.mix.in_(Close.select(Close.mix).where(some))).tuples():
        parts[mix].add(product)
    for mix, (on, left_ul) in thrown.items():
        if parts[mix]:
            yield on, parts[mix], False, left_ul


def _taken(kinds: Iterable[str], first: date, last: date) -> Iterable[tuple[date, int, int]]:
    """Day, product and summed microlitres of these kinds of movement; undone ones are left out."""
    query = (
        Movement.select(Booking.day, Bottle.product, pw.fn.SUM(Movement.change_ul))
        .join(Booking)
        .switch(Movement)
        .join(Bottle)
        .where(Movement.kind.in_(list(kinds)) & Booking.day.between(first, last))
        .where(in_force(Movement.booking, last))
        .group_by(Booking.day, Bottle.product)
    )
    return ((on, product, -int(change)) for on, product, change in query.tuples())
