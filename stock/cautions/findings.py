"""Every finding about a studio's stock on a day."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from datetime import date

from stock.cautions.ageing import age, ageing, bottles_in_words, keeping_unknown
from stock.cautions.composition import all_listed, unnamed_in_words
from stock.cautions.containers import aerosol_findings, container_findings, two_part_can
from stock.cautions.facts import ACTIONS, SEVERITIES, BottleFacts, Finding, ProductFacts, StudioFacts
from stock.cautions.flammable import Burning, burning, flammability, kept_flammable
from stock.cautions.hazards import contradiction_findings, hazard_findings
from stock.cautions.missing import joined_by_product, of_the_record_alone
from stock.cautions.rags import rag_findings
from stock.cautions.rules import RuleBook, rule_book
from stock.cautions.storage import storage
from stock.cautions.stored_bottles import NOWHERE, StoredBottle, away_from_flames, not_silenced
from stock.cautions.toxic_stock import toxic_stock

NO_LINES: Mapping[int, str] = {}


def findings(facts: StudioFacts, as_of: date) -> list[Finding]:
    """Every finding about a studio's stock on a day, gravest first.

    Args:
        facts: the facts of that day.
        as_of: the day.
    """
    book = rule_book(facts.rule_sets, facts.changes)
    stored = stored_bottles(facts)
    said = [*joined_by_product(_product_findings(facts.products, stored, book), stored, book)]
    said += _regulated(stored, facts, as_of, book)
    for each in stored:
        said += ageing(each.bottle, each.product, as_of, book)
        said += two_part_can(each.bottle, each.product, as_of, book)
    said += storage(stored, facts.day_use_ul, book)
    said += container_findings(stored, book)
    said += aerosol_findings(stored, book)
    said += toxic_stock(stored, book)
    said += rag_findings(facts.places, stored, book)
    said += labels_unknown(stored, book)
    if facts.waste_mg or facts.waste_on_hand_mg or any(finding.action == "throw_away" for finding in said):
        from stock.cautions.waste import waste_findings  # most shelves throw nothing away

        said += waste_findings(facts, stored, said, book)
    return in_order(said, {product.id: product.line for product in facts.products})


def stored_bottles(facts: StudioFacts) -> list[StoredBottle]:
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
        found.append(StoredBottle(bottle, product, burns[product.id], place))
    return found


def _product_findings(
    products: Iterable[ProductFacts], stored: list[StoredBottle], book: RuleBook
) -> Iterator[Finding]:
    by_product: dict[int, list[StoredBottle]] = {}
    for each in stored:
        by_product.setdefault(each.product.id, []).append(each)
    stocked = [product for product in products if product.id in by_product]
    yield from hazard_findings(stocked, book, bench=False)
    kept = {number for number, here in by_product.items() if all(map(away_from_flames, here))}
    yield from kept_flammable(
        ((product, by_product[product.id][0].found) for product in stocked if product.id in kept), book
    )
    for product in stocked:
        here = by_product[product.id]
        bottles = [each.bottle for each in here]
        yield from flammability(product, bottles, here[0].found, book, kept=product.id in kept)
        yield from keeping_unknown(product, bottles, book)
        if here[0].found.known and not all_listed(product):
            about = (product.id, product.name)
            yield from book.find("composition-unknown", product=about, what=unnamed_in_words(product))
        yield from contradiction_findings(product, book)
        if product.discontinued:
            yield from book.find("discontinued", product=(product.id, product.name))


def _regulated(
    stored: Iterable[StoredBottle], facts: StudioFacts, as_of: date, book: RuleBook
) -> Iterator[Finding]:
    """The findings of legal rules on the stored products."""
    from stock.cautions.regulated import of_product

    for product in {each.product.id: each.product for each in stored}.values():
        yield from of_product(product, as_of, facts.trained, book, poured=False)


def labels_unknown(stored: Iterable[StoredBottle], book: RuleBook) -> Iterator[Finding]:
    """One finding about all bottles without a day from their label, whose sealed life counts from the day they came."""
    guessed = [
        each.bottle.id
        for each in not_silenced("label-unknown", stored, book)
        if not each.bottle.kept and age(each.bottle, each.product).guessed
    ]
    if guessed:
        yield from book.find(
            "label-unknown",
            bottles=tuple(guessed),
            count=len(guessed),
            which=bottles_in_words(guessed),
            first=guessed[0],
        )


def in_order(said: Iterable[Finding], lines: Mapping[int, str] = NO_LINES) -> list[Finding]:
    """Findings in order: gravest first, a gas that kills before all else; then by action, line, name and bottle.

    Args:
        said: the findings.
        lines: the line of each product, by its number.
    """

    def rank(finding: Finding) -> tuple[bool, int, int, int, str, str, str, int, str]:
        return (
            not finding.deadly,
            -SEVERITIES.index(finding.severity),
            -finding.danger,
            ACTIONS.index(finding.action),
            finding.code,
            finding.line,
            finding.product or "",
            finding.bottle or 0,
            finding.place or "",
        )

    placed = (each._replace(line=lines.get(each.product_id or 0, "")) for each in said)
    return sorted(placed if lines else said, key=rank)


def by_bottle(said: Iterable[Finding], bottles: Iterable[BottleFacts]) -> dict[int, list[Finding]]:
    """The findings to show beside each bottle, gravest first: its own, and those of its product while it isn't empty.

    Findings about the whole studio are left out, and so are missing facts that make no bottle count as worse.
    """
    held: dict[int, list[int]] = {}
    for bottle in bottles:
        if bottle.on_hand_ul > 0:
            held.setdefault(bottle.product_id, []).append(bottle.id)
    beside: dict[int, list[Finding]] = {}
    for finding in said:
        if finding.product is None and finding.bottle is None and finding.place is None:
            continue
        meant: Iterable[int] = finding.bottles if finding.bottle is None else (finding.bottle,)
        if not meant and not of_the_record_alone(finding):
            meant = held.get(finding.product_id or 0, ())
        for number in meant:
            beside.setdefault(number, []).append(finding)
    return beside


def codes_by_bottle(said: Iterable[Finding], bottles: Iterable[BottleFacts]) -> dict[int, list[str]]:
    """The codes to show beside each bottle, gravest first, each once."""
    beside = by_bottle(said, bottles)
    return {number: list(dict.fromkeys(each.code for each in mine)) for number, mine in beside.items()}
