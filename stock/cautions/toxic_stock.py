"""Limits, in kilograms, of products outside stores that poison, cause cancer or harm organs.

A product counts by the statements that a limit names. A product of unknown statements counts in each, because it could
have any of them.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from stock.cautions.facts import Finding, PlaceFacts, ProductFacts
from stock.cautions.limits import kilograms, mass_of
from stock.cautions.rules import Limit, RuleBook
from stock.cautions.stored_bottles import StoredBottle
from stock.language import _

CODE = "toxic-over-limit"
_STORE = "store"
_CODE_LETTERS = 4


def outside_stores(place: PlaceFacts) -> bool:
    """Whether the stock of a place counts."""
    return place.kind != _STORE


def toxic_stock(stored: Sequence[StoredBottle], book: RuleBook) -> Iterator[Finding]:
    """A finding for each limit that the stock outside stores exceeds."""
    loose = [each for each in stored if outside_stores(each.place)]
    for limit in book.limits(CODE):
        counted = [each for each in loose if _counts(each.product, limit)]
        held_mg = mass_of(counted)
        most_mg = limit.figures["kilograms_milli"] * 1_000
        if held_mg <= most_mg:
            continue
        unsure_mg = mass_of(each for each in counted if each.product.h_statements is None)
        yield from book.find(
            CODE,
            source=limit.source,
            bottles=tuple(each.bottle.id for each in counted),
            over=kilograms(held_mg - most_mg),
            held=kilograms(held_mg),
            what=limit.what,
            limit=kilograms(most_mg),
            unsure=_(
                "; {unsure_mg} of it only because its hazard statements aren't noted",
                unsure_mg=kilograms(unsure_mg),
            )
            * bool(unsure_mg),
        )


def _counts(product: ProductFacts, limit: Limit) -> bool:
    if product.h_statements is None:
        return product.role != "mixed"
    said = {part[:_CODE_LETTERS] for code in product.h_statements for part in code.split("+")}
    return not said.isdisjoint(limit.figures["statements"])
