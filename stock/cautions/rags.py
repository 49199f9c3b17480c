"""Rags, masking and overspray that heat up by themselves, and the bin for them.

Drying oils take up oxygen and grow warm in a heap until they burn; residues of nitrocellulose do so beside other
coatings. The bin is a place of its own kind.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import Any

from stock.cautions.ageing import bottles_in_words
from stock.cautions.facts import Finding, PlaceFacts
from stock.cautions.hazards import hazards_of, named
from stock.cautions.rules import RuleBook
from stock.cautions.stored_bottles import StoredBottle, not_silenced
from stock.language import _

RAG_BIN = "rag_bin"
_HEATS = {
    "drying_oil": _("a drying oil"), "nitrocellulose": "nitrocellulose", "self_heating": _("what heats up by itself"),
}  # fmt: skip


def rag_findings(
    places: Iterable[PlaceFacts], stored: Sequence[StoredBottle], book: RuleBook
) -> Iterator[Finding]:
    """Findings about rags of the stored products, and about products sprayed one after the other."""
    bins = [place for place in places if place.kind == RAG_BIN]
    if not bins and (by_hazard := _heats("rag-bin-missing", stored, book)):
        yield from book.find("rag-bin-missing", **_words(by_hazard))
    if bins and (by_hazard := _heats("rags-heat-up", stored, book)):
        for place in bins:
            sure = place.ignition is False
            yield from book.find(
                "rags-heat-up",
                place=(place.id, place.name),
                severity="note" if sure else None,
                flame="" if sure else _flame(place),
                **_words(by_hazard),
            )
    residues = _heats("residues-ignite", stored, book)
    oils, cellulose = residues.get("drying_oil", {}), residues.get("nitrocellulose", {})
    if oils and cellulose:
        both = list(dict.fromkeys([*cellulose.values(), *oils.values()]))
        yield from book.find(
            "residues-ignite",
            products=named(cellulose.values()),
            oils=named(oils.values()),
            others=tuple(both),
        )


def _heats(code: str, stored: Sequence[StoredBottle], book: RuleBook) -> dict[str, dict[int, str]]:
    """The products of a rule, by the hazard that heats their rags."""
    by_hazard: dict[str, dict[int, str]] = {}
    for each in not_silenced(code, stored, book):
        for hazard in _HEATS.keys() & hazards_of(each.product).keys():
            by_hazard.setdefault(hazard, {})[each.product.id] = each.product.name
    return by_hazard


def _words(by_hazard: dict[str, dict[int, str]]) -> dict[str, Any]:
    names = list({number: name for of in by_hazard.values() for number, name in of.items()}.values())
    what = _(" and ").join(text for hazard, text in _HEATS.items() if hazard in by_hazard)
    return {"what": what, "products": named(names), "others": tuple(names)}


def _flame(place: PlaceFacts) -> str:
    if place.ignition:
        return _("; and a flame, a heater or sparking gear is near the bin")
    return _("; and nobody has noted whether a flame or a heater is near the bin")


def bottles_in_bin(place: PlaceFacts, here: Iterable[StoredBottle], book: RuleBook) -> Iterator[Finding]:
    """Bottles that stand in a rag bin."""
    there = not_silenced("bottle-in-rag-bin", here, book) if place.kind == RAG_BIN else []
    numbers = [each.bottle.id for each in there]
    if numbers:
        about = (place.id, place.name)
        yield from book.find(
            "bottle-in-rag-bin", place=about, bottles=tuple(numbers), which=bottles_in_words(numbers)
        )
