"""The facts that the cautions judge, read from the books in a fixed number of queries whatever the shelf's size."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from datetime import date, timedelta
from functools import lru_cache
from typing import TYPE_CHECKING, Any

from stock import clock
from stock.cautions.facts import (
    BottleFacts,
    Finding,
    MixPart,
    PlaceFacts,
    ProductFacts,
    RuleChange,
    SolventShare,
    StudioFacts,
)
from stock.cautions.own_substances import own_substances
from stock.shelf import dated_facts, hazard_entry
from stock.shelf.bottles import BottleView, on_shelf
from stock.shelf.bottles_to_pour import ChosenBottle
from stock.shelf.noted_products import ALL_NOTED, SHARES, Noted, kinds_noted, noted
from stock.shelf.products import ProductRecord, numbered
from stock.shelf.reactive import said_to_hold_solvent
from stock.shelf.studio import settings
from stock.spans import duration
from stock.store.connection import connection, reading
from stock.store.models import NotWith, Place, Product, RuleChoice, Silence, Solvent
from stock.store.prepared import Prepared
from stock.text import folded
from stock.units import Microlitres, Milligrams

if TYPE_CHECKING:
    from stock.cautions.moves import Plan
    from stock.cautions.substances import Substance

EVERY_PRODUCT = Prepared(Product.select)
PAIRS = (NotWith.product, NotWith.other)
Trained = tuple[tuple[str, date], ...]
APART = Prepared(
    lambda ids, same: NotWith.select(*PAIRS).where(NotWith.product.in_(ids) | NotWith.other.in_(same))
)
CHOICES = Prepared(
    lambda end: (
        RuleChoice.select(RuleChoice.code, RuleChoice.choice, RuleChoice.figure, RuleChoice.reason)
        .where(RuleChoice.at < end)
        .order_by(RuleChoice.id)
    )
)
SILENCES = Prepared(
    lambda end: (
        Silence.select(
            Silence.code,
            Silence.product,
            Silence.bottle,
            Silence.place,
            Silence.reason,
            Silence.asked_again_on,
            Silence.other,
        )
        .where(Silence.at < end)
        .order_by(Silence.id)
    )
)


def facts(
    as_of: date | None = None, shelf: Sequence[BottleView] | None = None, *, bottles_only: bool = False
) -> StudioFacts:
    """The facts that the cautions judge, as they stood at the end of a day (today when None).

    Args:
        as_of: the day.
        shelf: that day's bottles, where the caller has read them already.
        bottles_only: leave out what only findings about places and waste need.
    """
    with connection(), reading():
        day = as_of or settings().today()
        known = kinds_noted()
        products = read_products(day, known=known)
        bottles = _by_number(shelf if shelf is not None else on_shelf(as_of))
        stands = Place.select() if as_of is not None else Place.select().where(~Place.taken_back)
        places = tuple(_place(row) for row in stands)
        studio = _studio(as_of, known)._replace(
            products=tuple(products.values()), bottles=tuple(bottles.values()), places=places
        )
        studio = studio._replace(trained=_trained(products.values(), day))
        if bottles_only:
            return studio
        from stock.cautions import recent_use  # what a shelf does without

        made, on_hand_mg = recent_use.waste(products, day, studio.waste_since)
        return studio._replace(
            day_use_ul=recent_use.day_use_ul(products, day),
            waste_mg=Milligrams(sum(each.mass_mg for each in made)),
            waste_made=made, waste_on_hand_mg=on_hand_mg,
        )  # fmt: skip


def _studio(as_of: date | None, noted: Noted = ALL_NOTED, trained: Trained = ()) -> StudioFacts:
    """The studio's own settings: its rule sets, its word on single rules, its fan; and who is `trained`."""
    studio = settings()
    choices = choices_in_force(as_of) if noted.choices else ()
    silences = silences_in_force(as_of) if noted.silences else ()
    collected = studio.waste_collected_on
    if collected is not None and as_of is not None and collected > as_of:
        collected = None  # on that day the noted collection was still to come, and the one before it is no longer noted
    return StudioFacts(
        rule_sets=studio.rule_sets or StudioFacts().rule_sets,
        changes=(*choices, *silences),
        fan_l_per_h=studio.fan_m3_per_h * 1_000 if studio.fan_m3_per_h is not None else None,
        spray_ul_per_min=studio.spray_ul_per_min,
        waste_since=collected,
        room_l=studio.room_l,
        trained=trained,
    )


def _trained(products: Iterable[ProductFacts], day: date) -> Trained:
    """Who was trained for diisocyanates by a day and until when; read only if one of the products contains any."""
    from stock.cautions.groups import groups_of  # the matrix is read only when asked

    if not any("isocyanate" in groups_of(product) for product in products):
        return ()
    from stock.shelf import training  # few studios use any

    return training.by(day)


def _by_number(views: Iterable[BottleView | ChosenBottle]) -> dict[int, BottleFacts]:
    """The bottles as `BottleFacts`, by number."""
    return {view.id: _bottle(view) for view in views}


def read_products(
    day: date, ids: Iterable[int] | None = None, *, known: Noted = ALL_NOTED
) -> dict[int, ProductFacts]:
    """Products with their solvents and what they may not meet, by number; all, or those of `ids`.

    Args:
        day: the day for which the facts are wanted; a past one has those that were noted then.
        ids: the products' numbers.
        known: which rare kinds of things the studio noted at all, where all products are read.
    """
    if ids is not None:
        wanted = list(ids)
        return _these_products(numbered(wanted).values(), noted(wanted), day) if wanted else {}
    return _described(
        EVERY_PRODUCT.records(ProductRecord),
        Solvent.select(*SHARES).tuples(),
        NotWith.select(*PAIRS).tuples(),
        own_substances() if known.substances else {},
        day,
    )


def _these_products(rows: Collection[ProductRecord], noted: Noted, day: date) -> dict[int, ProductFacts]:
    """The same of some products, with what was noted of them."""
    ids = [row.id for row in rows]
    apart = APART.rows(ids, ids) if noted.apart else ()
    own = own_substances() if noted.substances and noted.solvents else {}
    return _described(rows, noted.solvents, apart, own, day)


def _described(
    rows: Iterable[Any],
    solvents: Iterable[tuple[Any, ...]],
    apart: Iterable[tuple[Any, ...]],
    own: "Mapping[str, Substance]",
    day: date,
) -> dict[int, ProductFacts]:
    if day < settings().today():
        rows, solvents = dated_facts.as_noted(rows, solvents, day)
        own, apart = own_substances(day), dated_facts.not_with(apart, day)
    shares: dict[int, list[SolventShare]] = defaultdict(list)
    for product, name, milli, basis, low in solvents:
        shares[product].append(SolventShare(name, milli, basis, low, own.get(folded(name)) if own else None))
    not_with: dict[int, list[int]] = defaultdict(list)
    for one, other in apart:
        not_with[one].append(other)
        not_with[other].append(one)
    return {
        row.id: (_product if isinstance(row, Product) else _remembered)(
            row, tuple(shares.get(row.id, ())), tuple(not_with.get(row.id, ())), day
        )
        for row in rows
    }


def _product(
    row: Any, shares: tuple[SolventShare, ...], not_with: tuple[int, ...], day: date
) -> ProductFacts:
    return ProductFacts(
        id=row.id,
        name=row.name,
        role=row.role,
        solvents=_shares(row, shares),
        water_milli=row.water_milli,
        solids_milli=row.solids_milli,
        no_flash_point=row.no_flash_point,
        groups=tuple(row.groups.split()),
        flash_point_mc=row.flash_point_mc,
        boiling_point_mc=row.boiling_point_mc,
        ph_low_milli=row.ph_low_milli,
        ph_high_milli=row.ph_high_milli,
        density_ug_per_ml=row.density_ug_per_ml,
        opened_life=duration(row.opened_life) if row.opened_life else None,
        sealed_life=duration(row.sealed_life) if row.sealed_life else None,
        store_low_mc=row.store_low_mc,
        store_high_mc=row.store_high_mc,
        not_with=not_with,
        discontinued=row.discontinued_on is not None and row.discontinued_on <= day,
        h_statements=_split(row.h_statements),
        signal_word=row.signal_word,
        pictograms=_split(row.pictograms),
        un_number=row.un_number,
        transport_class=row.transport_class,
        packing_group=row.packing_group,
        protection=hazard_entry.protection(row),
        incompatible=row.incompatible,
        voc_categories=tuple(row.voc_categories.split()),
        line=row.line,
    )


_remembered = lru_cache(maxsize=2_048)(_product)
"""`_product`, cached by the row's values."""


def _split(words: str | None) -> tuple[str, ...] | None:
    return None if words is None else tuple(words.split())


def _shares(row: Any, shares: Iterable[SolventShare]) -> tuple[SolventShare, ...] | None:
    """A product's solvents: empty only if its record says so and no group contradicts it, None if they are not known.

    A share of 0 %, which older books may hold, is ignored.
    """
    named = tuple(share for share in shares if share.percent_milli)
    if named:
        return named
    return () if row.no_solvent and said_to_hold_solvent(row.groups.split()) is None else None


def _bottle(view: BottleView | ChosenBottle) -> BottleFacts:
    return BottleFacts(
        id=view.id,
        product_id=view.product_id,
        state=view.state,
        size_ul=view.size_ul,
        on_hand_ul=view.on_hand_ul,
        place_id=view.place_id,
        received_on=view.received_on,
        made_on=view.made_on,
        opened_on=None if isinstance(view, ChosenBottle) and view.opened_unknown else view.opened_on,
        best_before=view.best_before,
        frozen_on=view.frozen_on,
        kept=view.left_of is not None,
        container=view.container,
        tested_until=view.tested_until,
    )


def _place(row: Any) -> PlaceFacts:
    return PlaceFacts(
        id=row.id, name=row.name, kind=row.kind, premises=row.premises, building=row.building,
        limit_ul=row.flammable_limit_ul, limit_mg=row.flammable_limit_mg,
        low_mc=row.low_mc, high_mc=row.high_mc, ignition=row.ignition,
    )  # fmt: skip


def choices_in_force(as_of: date | None) -> list[RuleChange]:
    """The studio's choices about rules that hold for the whole studio, as in force on a day."""
    rows = CHOICES.rows(_end(as_of))
    if not rows:
        return []
    from stock.cautions.choices import in_force  # most studios chose nothing

    return in_force(rows)


def silences_in_force(as_of: date | None) -> list[RuleChange]:
    """The studio's silences for single products, bottles and places, as in force on a day."""
    rows = SILENCES.rows(_end(as_of))
    if not rows:
        return []
    from stock.cautions.silences import changes_of  # most studios silenced nothing

    return changes_of(rows, as_of or settings().today())


def _end(as_of: date | None) -> str:
    """The instant at which a day ended, as text; later than every one for today."""
    if as_of is None:
        return "9999"
    return clock.stamp(clock.start_of(as_of + timedelta(days=1), settings().time_zone))


def findings(as_of: date | None = None, studio: StudioFacts | None = None) -> list[Finding]:
    """Every caution about the stock at the end of a day, gravest first.

    Args:
        as_of: the day; today when None.
        studio: that day's facts, where the caller has read them already.
    """
    from stock.cautions.findings import findings as judge  # the rules are read only when asked

    return judge(studio or facts(as_of), as_of or settings().today())


def moves(studio: StudioFacts) -> "Plan":
    """The moves that solve findings about places, and the findings that no move solves."""
    from stock.cautions.moves import plan  # only where asked

    return plan(studio)


def for_wash(cleaner: int, volume_ul: Microlitres, products: Iterable[int], *, as_of: date) -> list[Finding]:
    """Every caution about a wash-out, gravest first: fire, air, and products that react.

    Args:
        cleaner: the cleaner's number.
        volume_ul: microlitres of it.
        products: the numbers of the products that were in the mix.
        as_of: the day of the wash.
    """
    from stock.cautions.mix import wash_findings  # the rules are read only when asked

    washed = set(products) - {cleaner}
    with connection(), reading():
        about = noted([cleaner, *washed])
        known = _these_products(numbered([cleaner, *washed]).values(), about, as_of)
        studio_facts = _studio(as_of, about)
    others = [known[number] for number in sorted(washed)]
    return wash_findings(MixPart(known[cleaner], volume_ul), others, studio_facts, as_of=as_of)


def for_mix(
    parts: Sequence[tuple[int, int, int]],
    *,
    as_of: date,
    rows: Mapping[int, Product] | None = None,
    bottles: Iterable[ChosenBottle] | None = None,
    about: Noted | None = None,
) -> list[Finding]:
    """Every caution about pouring these together, gravest first; only these products and bottles are read.

    Args:
        parts: (product's number, microlitres, bottle's number) of each pour.
        as_of: the day of the mix.
        rows: the products by number, where they are read already.
        bottles: the bottles as they stand now, where they are read already.
        about: what is noted of these products, where it is read already.
    """
    from stock.cautions.mix import mix_findings  # the rules are read only when asked

    with connection(), reading():
        ids = list(dict.fromkeys(product for product, _, _ in parts))
        if about is None:
            about = noted(ids) if ids else ALL_NOTED
        known = numbered(ids) if rows is None else rows
        products = _these_products([known[number] for number in ids], about, as_of)
        past = as_of if as_of < settings().today() else None
        if past is not None or bottles is None:
            stood = _by_number(on_shelf(past, only={bottle for _, _, bottle in parts}))
        else:
            stood = _by_number(bottles)
        studio = _studio(as_of, about, _trained(products.values(), as_of))
    mixed = [MixPart(products[one], Microlitres(ul), stood.get(bottle)) for one, ul, bottle in parts]
    return mix_findings(mixed, as_of, studio)
