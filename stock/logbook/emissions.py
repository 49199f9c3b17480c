"""What a month's mixes and washes emitted, read from the books."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from stock.cautions.books import read_products
from stock.cautions.facts import ProductFacts
from stock.cautions.regulated import Compared, coatings, compared
from stock.cautions.voc import Content, content, together
from stock.logbook.booked_months import booked_months
from stock.logbook.months import Month, month_of
from stock.shelf.past_shelf import in_force
from stock.shelf.studio import settings
from stock.store.connection import connection, reading
from stock.store.models import Booking, Bottle, Count, Movement, Pour, Product
from stock.store.orm import pw
from stock.store.words import LOSSES

RULES = (
    "Three figures that are never mixed: the mass emitted, grams a litre of everything as applied, and grams a "
    "litre less water and exempt compounds. Masses and volumes are added up; contents a litre are never averaged.",
    "United States: compounds of carbon that take part in photochemistry, without those that 40 CFR 51.100(s) lists as "
    "negligibly reactive, acetone, methyl acetate, tert-butyl acetate and 4-chlorobenzotrifluoride (PCBTF) among them. "
    "Content less water and exempt compounds: (Wv - Ww - Wec) / (V - Vw - Vec), 40 CFR 59.104(a)(1). States and "
    "districts differ: some count tert-butyl acetate, PCBTF or others (from memory).",
    "European Union: organic compounds boiling at 250 °C or below at 101.3 kPa, grams a litre ready to use, acetone "
    "and the others as compounds like any other; 2004/42/EC article 2. Water counts in the litre, but for vehicle "
    "refinishing other than preparatory and cleaning products its content is left out (annex II B).",
    "A mix stands beside the lowest limit of each regime that one of its products is held to (40 CFR 59.102(b)).",
    "Everything poured into a mix of the month or used to wash counts as evaporated, even the part that was thrown "
    "away, and so does what was spilled, leaked or dried out. The contents of a jar were counted with their mix and "
    "are not counted again when they are poured. Bottles thrown away with their contents went as waste: "
    "they are not included.",
    "Composition and density of a product are those in the books today, for past months too. Enter a product whose "
    "composition changed as a new product.",
    "What is not noted about a product counts at its worst, and the report says so beside it.",
    "These are estimates from what was entered; the method of the competent authority and the data sheets decide.",
)


@dataclass(frozen=True, slots=True)
class EmissionLine:
    """One product's part: microlitres sprayed, washed with, and lost (spilled, leaked, dried out); what that held."""

    product: str
    role: str
    sprayed_ul: int
    washed_ul: int
    lost_ul: int
    held: Content


@dataclass(frozen=True, slots=True)
class Applied:
    """One mix as applied."""

    mix: int
    day: date
    what: str
    held: Content
    compared: tuple[Compared, ...] = ()


@dataclass(frozen=True, slots=True)
class Emissions:
    """A month's emissions: of mixes (`coatings`), of washes (`cleaning`), and of what was spilled or lost otherwise."""

    month: Month
    as_of: date
    measures: str
    lines: tuple[EmissionLine, ...]
    mixes: tuple[Applied, ...]
    coatings: Content
    cleaning: Content
    losses: Content

    @property
    def everything(self) -> Content:
        """Mixes, washes and losses together."""
        return together([self.coatings, self.cleaning, self.losses])


def read(month: Month | None = None, as_of: date | None = None) -> Emissions:
    """The emissions of a month (the current one when None), by what was booked up to `as_of`."""
    with connection(), reading():
        studio = settings()
        day = as_of or studio.today()
        whole = month or month_of(day)
        used = _used(whole, day)
        facts = read_products(day, {product for _, _, product, _ in used})
        days = _days(whole, day)
    lines, mixes = _lines(used, facts), _mixes(used, facts, days)
    return Emissions(
        month=whole,
        as_of=day,
        measures=studio.measures,
        lines=lines,
        mixes=mixes,
        coatings=_held(((number, ul) for _, kind, number, ul in used if kind == "poured"), facts),
        cleaning=_held(((number, ul) for _, kind, number, ul in used if kind == "washed"), facts),
        losses=_held(((number, ul) for _, kind, number, ul in used if kind == "counted"), facts),
    )


def monthly(as_of: date | None = None) -> list[Emissions]:
    """The emissions of every month with a booking until `as_of`, today when None."""
    with connection(), reading():
        last = as_of or settings().today()
        return [read(each, last) for each in booked_months(last)]


Used = Sequence[tuple[int | None, str, int, int]]


def _used(month: Month, day: date) -> Used:
    """(mix or None, kind of movement, product, microlitres) poured, washed with or lost; no jars, nothing undone."""
    lost = Count.select(Count.id).where(Count.reason.in_(LOSSES))
    query = (
        Movement.select(Pour.mix, Movement.kind, Bottle.product, pw.fn.SUM(Movement.change_ul))
        .join(Booking)
        .switch(Movement)
        .join(Bottle)
        .join(Product)
        .switch(Movement)
        .left_outer_join(Pour, on=(Pour.movement == Movement.id))
        .where(Movement.kind.in_(("poured", "washed")) | Movement.booking.in_(lost))
        .where(Product.role != "mixed")
        .where(
            (Booking.day >= month.first) & (Booking.day <= min(month.last, day)) & in_force(Booking.id, day)
        )
        .group_by(Pour.mix, Movement.kind, Bottle.product)
        .order_by(Pour.mix, Bottle.product)
    )
    return [(mix, kind, product, -int(change)) for mix, kind, product, change in query.tuples()]


def _days(month: Month, day: date) -> dict[int, date]:
    poured = (
        Pour.select(Pour.mix)
        .join(Movement)
        .join(Booking)
        .where((Booking.day >= month.first) & (Booking.day <= min(month.last, day)))
    )
    return dict(Booking.select(Booking.id, Booking.day).where(Booking.id.in_(poured)).tuples())


def _held(parts: Iterable[tuple[int, int]], facts: dict[int, ProductFacts]) -> Content:
    """The added contents of these volumes (product, microlitres)."""
    volumes: dict[int, int] = defaultdict(int)
    for product, volume_ul in parts:
        volumes[product] += volume_ul
    return together(content(facts[product]).times(ul / 1_000) for product, ul in volumes.items())


def _lines(used: Used, facts: dict[int, ProductFacts]) -> tuple[EmissionLine, ...]:
    sprayed: dict[int, int] = defaultdict(int)
    washed: dict[int, int] = defaultdict(int)
    lost: dict[int, int] = defaultdict(int)
    for _, kind, product, volume_ul in used:
        {"poured": sprayed, "washed": washed}.get(kind, lost)[product] += volume_ul
    lines = [
        EmissionLine(
            product=one.name,
            role=one.role,
            sprayed_ul=sprayed[number],
            washed_ul=washed[number],
            lost_ul=lost[number],
            held=content(one).times((sprayed[number] + washed[number] + lost[number]) / 1_000),
        )
        for number, one in facts.items()
    ]
    return tuple(sorted(lines, key=lambda line: (-line.held.us_g, line.product.casefold())))


def _mixes(used: Used, facts: dict[int, ProductFacts], days: dict[int, date]) -> tuple[Applied, ...]:
    by_mix: dict[int, list[tuple[int, int]]] = defaultdict(list)
    for mix, _, product, volume_ul in used:
        if mix is not None:
            by_mix[mix].append((product, volume_ul))
    return tuple(
        _applied(mix, days[mix], [(facts[product], ul) for product, ul in parts])
        for mix, parts in by_mix.items()
    )


def _applied(mix: int, day: date, parts: Sequence[tuple[ProductFacts, int]]) -> Applied:
    held = together(content(product).times(ul / 1_000) for product, ul in parts)
    products = [product for product, _ in parts]
    limits = tuple(compared(held, coatings(products)))
    return Applied(mix, day, ", ".join(each.name for each in products), held, limits)
