"""Missing facts of products: one finding for each product with everything that its record lacks."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any

from stock.cautions.composition import all_listed, unnamed_in_words
from stock.cautions.facts import Finding, PlaceFacts, ProductFacts
from stock.cautions.rules import RuleBook, graver
from stock.cautions.stored_bottles import StoredBottle
from stock.cautions.temperatures import in_danger, range_known, reaches
from stock.language import _
from stock.named_tuples import NamedTuple
from stock.units import MilliCelsius


class _Lack(NamedTuple):
    """A fact that a rule needs, in a few words, and the options of `product change` that note it."""

    words: str
    options: tuple[str, ...]


_COMPOSITION = _Lack(
    _("what is in it"), ("--solvent", "NAME=PERCENT", "--water", "PERCENT", "--solids", "PERCENT")
)
_OWN: Mapping[str, _Lack] = {
    "flash-point-unknown": _Lack(_("flash point"), ("--flash-point", "18C")),
    "boiling-point-unknown": _Lack(_("boiling point"), ("--boiling-point", "78C")),
    "composition-unknown": _COMPOSITION,
    "age-unknown": _Lack(_("how long it keeps"), ("--opened-life", "12mo", "--sealed-life", "3y")),
}
"""Findings of other modules about one missing fact of a product."""

_LACKS: Mapping[str, _Lack] = {
    **_OWN,
    "keeping-temperature-unknown": _Lack(_("how warm it may stand"), ("--store-at", "5C..35C")),
    "statements-unknown": _Lack(_("hazard statements"), ("--h-statements", "H317")),
}

_QUIET = ("keeping-temperature-unknown", "statements-unknown")
_JOINED = "not-noted"
_HIGHLY = _("highly flammable (H225, category 2)")


def of_a_record(finding: Finding) -> bool:
    """Whether a finding is about facts that a product's record lacks."""
    return finding.code in _LACKS or finding.code == _JOINED


def of_the_record_alone(finding: Finding) -> bool:
    """Whether the missing facts make no bottle count as worse, so that a fuller record could only add warnings."""
    return finding.code in _QUIET


def joined_by_product(
    said: Iterable[Finding], stored: Sequence[StoredBottle], book: RuleBook
) -> Iterator[Finding]:
    """The same findings, with those about missing facts joined into one for each product.

    Args:
        said: every finding about products.
        stored: every bottle that holds something.
    """
    missing: dict[int, list[Finding]] = {each.product.id: [] for each in stored}
    places: dict[int, list[PlaceFacts]] = {each.product.id: [] for each in stored}
    for each in stored:
        places[each.product.id].append(each.place)
    for finding in said:
        if finding.code in _OWN and finding.product_id is not None:
            missing[finding.product_id].append(finding)
        else:
            yield finding
    for product in {each.product.id: each.product for each in stored}.values():
        about = (product.id, product.name)
        parts = [
            *missing[product.id],
            *_keeping(product, places[product.id], book),
            *(book.find("statements-unknown", product=about) if _says_nothing(product) else ()),
        ]
        yield from _joined(product, parts, book) if len(parts) > 1 else parts


def _keeping(product: ProductFacts, places: Sequence[PlaceFacts], book: RuleBook) -> Iterator[Finding]:
    """The finding that its storage temperatures are unknown: a note, unless heat or frost is a danger to it.

    Heat or frost is a danger if its place is known to leave the range in which paints usually keep. Unknown
    temperatures of the place have a finding of their own.
    """
    if range_known(product):
        return
    code = "keeping-temperature-unknown"
    low_mc, high_mc = (MilliCelsius(book.figure(code, name)) for name in ("usual_low_mc", "usual_high_mc"))
    usual = product._replace(store_low_mc=low_mc, store_high_mc=high_mc)
    left = [(place, words) for place in dict.fromkeys(places) if (words := reaches(place, usual))]
    severity: str | None = None
    why = _("so no place can be confirmed as suitable for it")
    if grounds := in_danger(product):
        why = _("and heat is a danger to it: {grounds}", grounds=grounds)
    elif left:
        place, words = left[0]
        why = _("and {place} {reaches}", place=place.name, reaches=words)
    else:
        severity = "note"
    yield from book.find(code, product=(product.id, product.name), severity=severity, why=why)


def _says_nothing(product: ProductFacts) -> bool:
    """Whether the hazards of its safety data sheet are not noted."""
    return product.h_statements is None and product.role != "mixed"


def _joined(product: ProductFacts, parts: Sequence[Finding], book: RuleBook) -> Iterator[Finding]:
    """One finding for everything that is missing in a product's record."""
    lacks = {part.code: _LACKS[part.code] for part in parts}
    if "flash-point-unknown" in lacks and not all_listed(product):
        lacks["composition-unknown"] = _COMPOSITION
    words = [lack.words for lack in lacks.values()]
    if "composition-unknown" in lacks and product.solvents is not None:
        words[words.index(_COMPOSITION.words)] = unnamed_in_words(product)
    severity = parts[0].severity
    for part in parts[1:]:
        severity = graver(severity, part.severity)
    counts = _HIGHLY if "flash-point-unknown" in lacks else _("the worst that it could be")
    options: tuple[Any, ...] = tuple(option for lack in lacks.values() for option in lack.options)
    return book.find(
        _JOINED,
        product=(product.id, product.name),
        severity=severity,
        source="; ".join(dict.fromkeys(part.source for part in parts)),
        what=_listed(words),
        counts=counts,
        options=options,
        of_line=_("; what all of {line} share is noted once, in the record of the line", line=product.line)
        * bool(product.line),
    )


def _listed(words: Sequence[str]) -> str:
    """`flash point, what is in it and how long it keeps`."""
    return _("{first} and {last}", first=", ".join(words[:-1]), last=words[-1])
