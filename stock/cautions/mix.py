"""Every finding about a mix before it is booked: what meets, what burns, what is too old, what air it needs."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date
from typing import Any

from stock.cautions.ageing import ageing, keeping_unknown
from stock.cautions.classification import Classes, classify, worse
from stock.cautions.compatibility import bench_rules, groups_of, together
from stock.cautions.facts import Finding, MixPart, ProductFacts, StudioFacts
from stock.cautions.findings import in_order
from stock.cautions.flammable import MARGIN_MC, Burning, burning
from stock.cautions.mixture import Blend, blend_flash, lowest_boiling
from stock.cautions.rules import RuleBook, rule_book
from stock.cautions.ventilation import air_findings
from stock.units import show_temperature

_NO_STUDIO = StudioFacts()


def mix_findings(parts: Sequence[MixPart], as_of: date, studio: StudioFacts = _NO_STUDIO) -> list[Finding]:
    """Everything to know about a mix before it is booked, gravest first.

    Args:
        parts: what is poured; one entry a bottle, or a product whose bottle isn't settled.
        as_of: the day it is mixed.
        studio: its rule sets, its changes, its fan and its spray rate; products and bottles aren't looked at.
    """
    book = rule_book(studio.rule_sets, studio.changes)
    products = list({part.product.id: part.product for part in parts}.values())
    said = [*together(products, book), *bench_rules(parts, book)]
    said += _mix_class(parts, products, book)
    said += air_findings(parts, studio.fan_l_per_h, studio.spray_ul_per_min, book)
    for product in products:
        about = (product.id, product.name)
        if product.discontinued:
            said += book.find("discontinued", product=about)
        if "isocyanate" in groups_of(product):
            said += book.find("isocyanate-mist", product=about)
        bottles = [part.bottle for part in parts if part.bottle is not None and part.product.id == product.id]
        said += keeping_unknown(product, bottles, book)
        for bottle in {bottle.id: bottle for bottle in bottles}.values():
            said += ageing(bottle, product, as_of, book)
    return in_order(said)


def _mix_class(parts: Sequence[MixPart], products: list[ProductFacts], book: RuleBook) -> Iterator[Finding]:
    """The mix's own class: its paints' by their labels, made worse by the estimate, never better."""
    found = {product.id: burning(product) for product in products}
    blend = Blend.of_parts(parts)
    if blend is None:
        yield from _class_unknown(products, found, book)
        return
    labels = [product for product in products if product.role not in ("reducer", "cleaner")]
    flash_mc = blend_flash(blend) if blend.parts else None
    estimated = _estimated(blend, flash_mc)
    for product in labels:
        if worse(estimated, found[product.id].classes) is not estimated:
            yield from _burns("mix-burns-by-label", found[product.id].classes, book, product=product)
            return
    if flash_mc is not None:
        yield from _burns("mix-burns", estimated, book, flash=show_temperature(round(flash_mc, -3)))


def _estimated(blend: Blend, flash_mc: int | None) -> Classes:
    if flash_mc is None:
        return Classes(None, None, None)
    return classify(flash_mc - MARGIN_MC, lowest_boiling([part.cas for part, _ in blend.parts], water=False))


def _class_unknown(
    products: list[ProductFacts], found: dict[int, Burning], book: RuleBook
) -> Iterator[Finding]:
    """A mix whose blend can't be estimated counts as its worst part, and as highly flammable at least."""
    whole = classify(None, None)
    for product in products:
        whole = worse(whole, found[product.id].classes)
    unknown = next((each for each in products if Blend.of_product(each) is None), products[0])
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
        phrase_small=classes.phrase.lower(),
        signal=classes.signal,
        **words,
    )
