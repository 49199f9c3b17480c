"""Every finding about a studio on a day, and every finding about a mix before it is booked."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from datetime import date
from typing import Any

from stock.cautions.ageing import ageing, keeping_unknown
from stock.cautions.classification import Classes, classify, worse
from stock.cautions.compatibility import bench_rules, groups_of, together
from stock.cautions.facts import (
    ACTIONS,
    SEVERITIES,
    BottleFacts,
    Finding,
    MixPart,
    ProductFacts,
    StudioFacts,
)
from stock.cautions.flammable import MARGIN_MC, Burning, burning, flammability
from stock.cautions.mixture import Blend, blend_flash
from stock.cautions.rules import RuleBook, rule_book
from stock.cautions.storage import NOWHERE, Standing, may_freeze, storage
from stock.cautions.ventilation import air_findings
from stock.cautions.waste import waste_findings
from stock.units import show_temperature

_NO_STUDIO = StudioFacts()
_AZEOTROPE_MC = 5_000
"""How far below its lightest solvent a blend may begin to boil, from memory."""


def findings(facts: StudioFacts, as_of: date) -> list[Finding]:
    """Everything there is to say about a studio's stock on a day, gravest first.

    Args:
        facts: what the books say.
        as_of: the day asked about.
    """
    book = rule_book(facts.rule_sets, facts.changes)
    standing = stand(facts)
    said = [*_product_findings(facts.products, standing, book)]
    for each in standing:
        said += ageing(each.bottle, each.product, as_of, book)
    said += storage(standing, facts.day_use_ul, book)
    said += _temperature_unknown(standing, book)
    said += waste_findings(facts, standing, said, book)
    return in_order(said)


def stand(facts: StudioFacts) -> list[Standing]:
    """Every bottle that holds something, with its product, its class and its place."""
    products = {product.id: product for product in facts.products}
    places = {place.id: place for place in facts.places}
    burns: dict[int, Burning] = {}
    found = []
    for bottle in facts.bottles:
        if bottle.state in ("empty", "discarded") or bottle.on_hand_ul <= 0:
            continue
        product = products[bottle.product_id]
        if product.id not in burns:
            burns[product.id] = burning(product)
        place = places.get(bottle.place_id or 0, NOWHERE)
        found.append(Standing(bottle, product, burns[product.id], place))
    return found


def _product_findings(
    products: Iterable[ProductFacts], standing: list[Standing], book: RuleBook
) -> Iterator[Finding]:
    by_product: dict[int, list[Standing]] = {}
    for each in standing:
        by_product.setdefault(each.product.id, []).append(each)
    for product in products:
        here = by_product.get(product.id)
        if not here:
            continue
        bottles = [each.bottle for each in here]
        yield from flammability(product, bottles, here[0].found, book)
        yield from keeping_unknown(product, bottles, book)
        if product.solvents is None and here[0].found.known:
            yield from book.find("composition-unknown", product=(product.id, product.name))
        if product.discontinued:
            yield from book.find("discontinued", product=(product.id, product.name))


def _temperature_unknown(standing: list[Standing], book: RuleBook) -> Iterator[Finding]:
    places = {each.place for each in standing if each.place.low_mc is None and may_freeze(each.product)}
    for place in sorted(places, key=lambda place: place.id):
        if place.id:
            yield from book.find("place-temperature-unknown", place=(place.id, place.name))


def in_order(said: Iterable[Finding]) -> list[Finding]:
    """Gravest first, then by what to do about it, then by name and bottle."""

    def rank(finding: Finding) -> tuple[int, int, str, str, int, str]:
        return (
            -SEVERITIES.index(finding.severity),
            ACTIONS.index(finding.action),
            finding.code,
            finding.product or "",
            finding.bottle or 0,
            finding.place or "",
        )

    return sorted(said, key=rank)


def codes_by_bottle(said: Iterable[Finding], bottles: Iterable[BottleFacts]) -> dict[int, list[str]]:
    """The codes to show beside each bottle: its own and those of its product, gravest first, each once."""
    by_bottle: dict[int, list[str]] = {}
    by_product: dict[int, list[str]] = {}
    for finding in said:
        if finding.bottle is not None:
            by_bottle.setdefault(finding.bottle, []).append(finding.code)
        elif finding.product_id is not None:
            by_product.setdefault(finding.product_id, []).append(finding.code)
    return {
        bottle.id: list(dict.fromkeys(by_bottle.get(bottle.id, []) + by_product.get(bottle.product_id, [])))
        for bottle in bottles
        if bottle.id in by_bottle or (bottle.product_id in by_product and bottle.on_hand_ul > 0)
    }


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
        if product.role == "hardener" and "isocyanate" in groups_of(product):
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
    boils = [
        part.boiling_point_mc for part, _ in blend.parts if part.burns and part.boiling_point_mc is not None
    ]
    return classify(flash_mc - MARGIN_MC, min(boils) - _AZEOTROPE_MC if boils else None)


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
