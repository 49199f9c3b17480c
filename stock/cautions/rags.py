"""Rags, masking and overspray that heat up by themselves, and the bin for them.

Drying oils take up oxygen and grow warm in a heap until they burn; residues of nitrocellulose do so beside other
coatings. The bin is a place of its own kind.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from stock.cautions.ageing import bottles_in_words
from stock.cautions.facts import Finding, PlaceFacts
from stock.cautions.hazards import hazards_of, named
from stock.cautions.rules import RuleBook
from stock.cautions.standing import StoredBottle

RAG_BIN = "rag_bin"
_HEATS = {
    "drying_oil": "a drying oil", "nitrocellulose": "nitrocellulose", "self_heating": "what heats up by itself",
}  # fmt: skip


def rag_findings(
    places: Iterable[PlaceFacts], standing: Sequence[StoredBottle], book: RuleBook
) -> Iterator[Finding]:
    """What to do with the rags of what is on the shelf, and with what is sprayed one after the other."""
    by_hazard: dict[str, dict[int, str]] = {}
    for each in standing:
        for hazard in _HEATS.keys() & hazards_of(each.product).keys():
            by_hazard.setdefault(hazard, {})[each.product.id] = each.product.name
    if not by_hazard:
        return
    of = named(
        {number: name for products in by_hazard.values() for number, name in products.items()}.values()
    )
    what = " and ".join(text for hazard, text in _HEATS.items() if hazard in by_hazard)
    bins = [place for place in places if place.kind == RAG_BIN]
    if not bins:
        yield from book.find("rag-bin-missing", what=what, products=of)
    for place in bins:
        sure = place.ignition is False
        yield from book.find(
            "rags-heat-up",
            place=(place.id, place.name),
            severity="note" if sure else None,
            what=what,
            products=of,
            flame="" if sure else _flame(place),
        )
    oils, cellulose = by_hazard.get("drying_oil", {}), by_hazard.get("nitrocellulose", {})
    if oils and cellulose:
        yield from book.find(
            "residues-ignite", products=named(cellulose.values()), others=named(oils.values())
        )


def _flame(place: PlaceFacts) -> str:
    if place.ignition:
        return "; and a flame, a heater or sparking gear is near the bin"
    return "; and nobody has noted whether a flame or a heater is near the bin"


def bottles_in_bin(place: PlaceFacts, here: Iterable[StoredBottle], book: RuleBook) -> Iterator[Finding]:
    """Bottles that stand in a rag bin."""
    numbers = [each.bottle.id for each in here] if place.kind == RAG_BIN else []
    if numbers:
        about = (place.id, place.name)
        yield from book.find(
            "bottle-in-rag-bin", place=about, bottles=tuple(numbers), which=bottles_in_words(numbers)
        )
