"""Findings about a mix before it is booked: reactions, fire, age, and the air that it needs."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date
from typing import Any

from stock.cautions.ageing import ageing, keeping_unknown
from stock.cautions.classification import NOT_FLAMMABLE, Classes, classify, worse
from stock.cautions.compatibility import together
from stock.cautions.facts import BottleFacts, Finding, MixPart, ProductFacts, StudioFacts
from stock.cautions.findings import in_order
from stock.cautions.flammable import BOILS_HIGH_MC, MARGIN_MC, Burning, accounted_for, burning, named_in_full
from stock.cautions.groups import groups_of
from stock.cautions.hazards import hazard_findings
from stock.cautions.mixture import Blend, lowest_boiling, lowest_flash
from stock.cautions.paint_and_reducer import bench_rules
from stock.cautions.regulated import TRAINING_FROM, Trained, of_mix, of_product
from stock.cautions.rules import RuleBook, rule_book
from stock.cautions.ventilation import air_findings
from stock.language import _, within
from stock.notation import remembered
from stock.units import Microlitres, MilliCelsius, show_temperature

ANY_AMOUNT = Microlitres(1)
_NO_STUDIO = StudioFacts()


def mix_findings(parts: Sequence[MixPart], as_of: date, studio: StudioFacts = _NO_STUDIO) -> list[Finding]:
    """Every finding about a mix before it is booked, gravest first.

    Args:
        parts: what is poured; one entry a bottle, or a product whose bottle isn't settled.
        as_of: the day it is mixed.
        studio: its rule sets, its changes of rules, its fan and its spray rate; its products and bottles are ignored.
    """
    settled = [
        part if bottle is None else MixPart(product, volume_ul, bottle._replace(on_hand_ul=ANY_AMOUNT))
        for part in parts
        for product, volume_ul, bottle in (part,)
    ]
    choices = StudioFacts(
        rule_sets=studio.rule_sets, changes=studio.changes, trained=studio.trained,
        fan_l_per_h=studio.fan_l_per_h, spray_ul_per_min=studio.spray_ul_per_min, room_l=studio.room_l,
    )  # fmt: skip
    return list(_judged(tuple(settled), as_of, choices))


@remembered(256)
def _judged(parts: tuple[MixPart, ...], as_of: date, studio: StudioFacts) -> tuple[Finding, ...]:
    """The findings of a mix whose bottles hold `ANY_AMOUNT`, since a bottle's age doesn't depend on its content.

    Cached, because the bench judges a mix while it is typed, when it is booked, and when the same is mixed again.
    """
    book = rule_book(studio.rule_sets, studio.changes)
    products = {part.product.id: part.product for part in parts}
    said = [*_whatever_amounts(tuple(part.product for part in parts), as_of, studio.trained, book)]
    blind = _blind(tuple(products.values()), book)
    said += _mix_class(parts, list(products.values()), book) if blind is None else blind
    said += air_findings(parts, studio, book)
    said += of_mix(parts, book)
    bottles: dict[int, list[BottleFacts]] = {}
    for part in parts:
        if part.bottle is not None:
            bottles.setdefault(part.product.id, []).append(part.bottle)
    for number, there in bottles.items():
        said += _of_bottles(products[number], tuple(there), as_of, book)
    return tuple(in_order(said))


@remembered(512)
def _whatever_amounts(
    poured: tuple[ProductFacts, ...], as_of: date, trained: Trained, book: RuleBook
) -> tuple[Finding, ...]:
    """The findings about products poured together that depend on neither amounts nor bottles.

    Cached, so that they are kept while the amounts are typed.
    """
    products = list({product.id: product for product in poured}.values())
    said = [*together(products, book), *bench_rules(poured, book)]
    mist = [product for product in products if "isocyanate" in groups_of(product)]
    said += hazard_findings(products, book, bench=True, needless=("breathing-allergy",) if mist else ())
    for product in products:
        about = (product.id, product.name)
        if product.discontinued:
            said += book.find("discontinued", product=about)
        said += of_product(product, as_of, trained, book)
        if product in mist:
            said += book.find("isocyanate-mist", product=about)
    return tuple(said)


@remembered(2_048)
def _of_bottles(
    product: ProductFacts, bottles: tuple[BottleFacts, ...], as_of: date, book: RuleBook
) -> tuple[Finding, ...]:
    """The findings on the age of the bottles that a product is poured from; cached like those on products.

    Args:
        product: the product.
        bottles: its bottles, each with `ANY_AMOUNT` in it.
        as_of: the day of the mix.
        book: the studio's rules.
    """
    said = [*keeping_unknown(product, list(bottles), book)]
    for bottle in {bottle.id: bottle for bottle in bottles}.values():
        said += ageing(bottle, product, as_of, book)
    return tuple(said)


@remembered(512)
def _blind(products: tuple[ProductFacts, ...], book: RuleBook) -> tuple[Finding, ...] | None:
    """The class of a mix with a part of unknown composition, which can't be estimated; None without such a part."""
    found = {product.id: burning(product) for product in products}
    open_ = [product for product in products if not accounted_for(product)]
    blind = [product for product in open_ if product.solvents is None or not found[product.id].known]
    return tuple(_class_unknown(blind[0], products, found, book)) if blind else None


def wash_findings(
    cleaner: MixPart,
    washed: Sequence[ProductFacts],
    studio: StudioFacts = _NO_STUDIO,
    *,
    as_of: date = TRAINING_FROM,
) -> list[Finding]:
    """Every finding about a wash-out before it is booked, gravest first.

    Args:
        cleaner: the cleaner and its amount.
        washed: the products that were in the mix; empty if the mix isn't known.
        studio: as for a mix.
        as_of: the day of the wash.
    """
    book = rule_book(studio.rule_sets, studio.changes)
    said: list[Finding] = []
    for product in washed:
        if product.id != cleaner.product.id:
            said += together([cleaner.product, product], book, where=_("the wash-out"), kept=False)
    said += hazard_findings([cleaner.product], book, bench=True)
    found = burning(cleaner.product)
    code = "wash-burns" if found.known else "wash-flash-unknown"
    said += _burns(code, found.classes, book, product=cleaner.product)
    said += of_product(cleaner.product, as_of, studio.trained, book)
    said += air_findings([cleaner], studio, book)
    return in_order(said)


def _mix_class(parts: Sequence[MixPart], products: list[ProductFacts], book: RuleBook) -> Iterator[Finding]:
    """The class of the mix: the worst of its paints' classes by their labels, of the estimate, and of unnamed parts.

    A part with an incomplete composition, or one that doesn't explain its flash point, counts with the class of its
    sheet however much it is thinned, and so does a complete one that can't be estimated. Parts of unknown composition
    are judged by `_blind` before.
    """
    found = {product.id: burning(product) for product in products}
    open_ = [product for product in products if not accounted_for(product)]
    flash_mc = lowest_flash(parts)
    worst = _estimated(parts, flash_mc)
    by: tuple[str, ProductFacts] | None = None
    for product in products:
        label = product.role not in ("reducer", "cleaner")
        ways = [("mix-burns-by-label", found[product.id].classes)] if label else []
        if product in open_:
            code = "mix-burns-by-label" if named_in_full(product) else "mix-flash-unknown"
            ways.append((code, _unnamed_class(product, products, found)))
        for code, classes in ways:
            if worse(worst, classes) is not worst:
                worst, by = classes, (code, product)
    if by is not None:
        yield from _burns(by[0], worst, book, product=by[1])
    elif flash_mc is not None:
        yield from _burns("mix-burns", worst, book, flash=show_temperature(MilliCelsius(round(flash_mc, -3))))


def _unnamed_class(product: ProductFacts, products: list[ProductFacts], found: dict[int, Burning]) -> Classes:
    """The class that a product's unnamed part gives a mix: that of its sheet.

    If other parts burn, too, the flash point counts 5 K lower, as an estimate does, because two liquids together can
    flash a little lower than either.
    """
    own = found[product.id].classes
    others = any(found[each.id].classes.ghs is not None for each in products if each.id != product.id)
    if not others or product.flash_point_mc is None:
        return own
    together_mc = MilliCelsius(product.flash_point_mc - MARGIN_MC)
    return worse(own, classify(together_mc, product.boiling_point_mc or BOILS_HIGH_MC))


def _estimated(parts: Sequence[MixPart], flash_mc: MilliCelsius | None) -> Classes:
    if flash_mc is None:
        return NOT_FLAMMABLE
    named = [part for part, _ in Blend.of_parts(parts).parts]
    return classify(MilliCelsius(flash_mc - MARGIN_MC), lowest_boiling(named, water=False))


def _class_unknown(
    unknown: ProductFacts, products: Sequence[ProductFacts], found: dict[int, Burning], book: RuleBook
) -> Iterator[Finding]:
    """The finding that a blend can't be estimated: it counts as its worst part, and at least as highly flammable."""
    whole = classify(None, None)
    for product in products:
        whole = worse(whole, found[product.id].classes)
    yield from _burns("mix-flash-unknown", whole, book, product=unknown)


def _burns(
    code: str, classes: Classes, book: RuleBook, *, product: ProductFacts | None = None, **words: Any
) -> Iterator[Finding]:
    if classes.ghs is None:
        return
    yield from book.find(
        code,
        severity=None if classes.ghs <= 2 else "note",
        product=(product.id, product.name) if product else None,
        category=classes.ghs,
        hazard=classes.hazard,
        phrase_small=within(classes.phrase),
        signal=classes.signal,
        **words,
    )
