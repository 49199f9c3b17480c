"""What a month's mixes and washes emitted, read from the books."""

from bisect import bisect_left
from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from stock.cautions.books import read_products
from stock.cautions.facts import ProductFacts
from stock.cautions.regulated import Compared, coatings, compared
from stock.cautions.voc import Content, content, together
from stock.language import _
from stock.logbook.booked_months import booked_months
from stock.logbook.months import Month, month_of
from stock.named_tuples import NamedTuple
from stock.shelf import dated_facts, dated_substances
from stock.shelf.past_shelf import in_force
from stock.shelf.studio import settings
from stock.store.connection import connection, reading
from stock.store.models import Booking, Bottle, Count, Movement, Pour, Product
from stock.store.orm import pw
from stock.store.words import LOSSES
from stock.units import Microlitres

KINDS = ("poured", "washed", "counted")
RULES = (
    _(
        "Three figures that are never mixed: the mass emitted, grams a litre of everything as "
        "applied, and grams a litre less water and exempt compounds. Masses and volumes are "
        "added up; contents a litre are never averaged."
    ),
    _(
        "United States: compounds of carbon that take part in photochemistry, without those that "
        "40 CFR 51.100(s) lists as negligibly reactive, acetone, methyl acetate, tert-butyl "
        "acetate and 4-chlorobenzotrifluoride (PCBTF) among them. Content less water and exempt "
        "compounds: (Wv - Ww - Wec) / (V - Vw - Vec), 40 CFR 59.104(a)(1). States and districts "
        "differ: some count tert-butyl acetate, PCBTF or others (from memory)."
    ),
    _(
        "European Union: organic compounds boiling at 250 °C or below at 101.3 kPa, grams a "
        "litre ready to use, acetone and the others as compounds like any other; 2004/42/EC "
        "article 2. Water counts in the litre, but for vehicle refinishing other than "
        "preparatory and cleaning products its content is left out (annex II B)."
    ),
    _(
        "A mix stands beside the lowest limit of each regime that one of its products is held to "
        "(40 CFR 59.102(b))."
    ),
    _(
        "Everything poured into a mix of the month or used to wash counts as evaporated, even "
        "the part that was thrown away, and so does what was spilled, leaked or dried out. The "
        "contents of a jar were counted with their mix and are not counted again when they are "
        "poured. Bottles thrown away with their contents went as waste: they are not included."
    ),
    _(
        "Composition and density of a product are those that were noted for the day of each mix: "
        "what is changed counts from that day on, and what is filled in where nothing was known "
        "counts for every day that is not closed."
    ),
    _("What is not noted about a product counts at its worst, and the report says so beside it."),
    _(
        "These are estimates from what was entered; the method of the competent authority and "
        "the data sheets decide."
    ),
)


@dataclass(frozen=True, slots=True)
class EmissionLine:
    """One product: microlitres sprayed, washed with and lost (spilled, leaked, dried out), and their contents."""

    product: str
    role: str
    sprayed_ul: Microlitres
    washed_ul: Microlitres
    lost_ul: Microlitres
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
    """A month's emissions: of mixes (`coatings`), of washes (`cleaning`), and of spills and other losses."""

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
    """The emissions of a month (the current one when None), from the bookings up to `as_of`."""
    with connection(), reading():
        studio = settings()
        day = as_of or studio.today()
        whole = month or month_of(day)
        used = _used(whole, day)
        facts = _facts(used, whole, day)
    lines, mixes = _lines(used, facts), _mixes(used, facts)
    return Emissions(
        month=whole,
        as_of=day,
        measures=studio.measures,
        lines=lines,
        mixes=mixes,
        coatings=_held((one for one in used if one.kind == "poured"), facts),
        cleaning=_held((one for one in used if one.kind == "washed"), facts),
        losses=_held((one for one in used if one.kind == "counted"), facts),
    )


def monthly(as_of: date | None = None) -> list[Emissions]:
    """The emissions of every month with a booking until `as_of`, today when None."""
    with connection(), reading():
        last = as_of or settings().today()
        return [read(each, last) for each in booked_months(last)]


class Use(NamedTuple):
    """Microlitres of a product that were poured into a mix, washed with or lost (`counted`) on a day."""

    mix: int | None
    kind: str
    product: int
    day: date
    volume_ul: Microlitres


Facts = Callable[[Use], ProductFacts]
"""The facts of a use's product as they were noted for its day."""


def _used(month: Month, day: date) -> list[Use]:
    """All uses of a period: poured, washed with or lost; without jars and undone bookings."""
    lost = Count.select(Count.id).where(Count.reason.in_(LOSSES))
    query = (
        Movement.select(Pour.mix, Movement.kind, Bottle.product, Booking.day, pw.fn.SUM(Movement.change_ul))
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
        .group_by(Pour.mix, Movement.kind, Bottle.product, Booking.day)
        .order_by(Pour.mix, Bottle.product, Booking.day)
    )
    return [
        Use(mix, kind, product, on, Microlitres(-int(change)))
        for mix, kind, product, on, change in query.tuples()
    ]


def _facts(used: Sequence[Use], month: Month, day: date) -> Facts:
    """The facts of the products in each part of the month; a part begins when their facts changed."""
    last, products = min(month.last, day), {one.product for one in used}
    until = last - timedelta(days=1)
    changed = {
        *dated_facts.last_days(products, month.first, until), *dated_substances.last_days(month.first, until),
    }  # fmt: skip
    ends = [*sorted(changed), last]
    parts = [read_products(end, products) for end in ends]
    return lambda use: parts[bisect_left(ends, use.day)][use.product]


def _held(uses: Iterable[Use], facts: Facts) -> Content:
    """The added contents of these uses."""
    volumes: dict[ProductFacts, int] = defaultdict(int)
    for one in uses:
        volumes[facts(one)] += one.volume_ul
    return together(content(product).times(ul / 1_000) for product, ul in volumes.items())


def _lines(used: Sequence[Use], facts: Facts) -> tuple[EmissionLine, ...]:
    by_product: dict[int, list[Use]] = defaultdict(list)
    for one in used:
        by_product[one.product].append(one)
    lines = []
    for uses in by_product.values():
        volumes = {kind: sum(one.volume_ul for one in uses if one.kind == kind) for kind in KINDS}
        newest = facts(max(uses, key=lambda one: one.day))
        lines.append(
            EmissionLine(
                product=newest.name,
                role=newest.role,
                sprayed_ul=Microlitres(volumes["poured"]),
                washed_ul=Microlitres(volumes["washed"]),
                lost_ul=Microlitres(volumes["counted"]),
                held=_held(uses, facts),
            )
        )
    return tuple(sorted(lines, key=lambda line: (-line.held.us_g, line.product.casefold())))


def _mixes(used: Sequence[Use], facts: Facts) -> tuple[Applied, ...]:
    by_mix: dict[int, list[Use]] = defaultdict(list)
    for one in used:
        if one.mix is not None:
            by_mix[one.mix].append(one)
    return tuple(_applied(mix, uses, facts) for mix, uses in by_mix.items())


def _applied(mix: int, uses: Sequence[Use], facts: Facts) -> Applied:
    """A mix as applied; its day is the day on which it was made, even if steps came later."""
    held = _held(uses, facts)
    products = list(dict.fromkeys(facts(one) for one in uses))
    limits = tuple(compared(held, coatings(products)))
    names = dict.fromkeys(each.name for each in products)
    return Applied(mix, min(one.day for one in uses), ", ".join(names), held, limits)
