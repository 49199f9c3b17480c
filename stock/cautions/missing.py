"""What nobody has noted of products: one finding a product, with everything that is missing in its record.

Ignorance is told once. A product of which several things are missing gets one finding with all of them, and what
is missing of many products and asks for nothing else is one finding for all of them together.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any, NamedTuple

from stock.cautions.ageing import bottles_in_words
from stock.cautions.composition import all_listed, unnamed_in_words
from stock.cautions.facts import Finding, ProductFacts
from stock.cautions.rules import RuleBook, graver
from stock.cautions.standing import StoredBottle
from stock.cautions.temperatures import range_known


class _Lack(NamedTuple):
    """What one rule misses, in a few words, and the options of `product change` that note it."""

    words: str
    options: tuple[str, ...]


_COMPOSITION = _Lack(
    "what is in it", ("--solvent", "NAME=PERCENT", "--water", "PERCENT", "--solids", "PERCENT")
)
_OWN: Mapping[str, _Lack] = {
    "flash-point-unknown": _Lack("flash point", ("--flash-point", "18C")),
    "boiling-point-unknown": _Lack("boiling point", ("--boiling-point", "78C")),
    "composition-unknown": _COMPOSITION,
    "age-unknown": _Lack("how long it keeps", ("--opened-life", "12mo", "--sealed-life", "3y")),
}
"""Findings of one product each."""

_SHARED: Mapping[str, _Lack] = {
    "keeping-temperature-unknown": _Lack("how warm it may stand", ("--store-at", "5C..35C")),
    "statements-unknown": _Lack("hazard statements", ("--h-statements", "H317")),
}
"""Findings that all products share, unless one of them misses more."""

_FEW = 4
_HIGHLY = "highly flammable (H225, category 2)"


def told_once(said: Iterable[Finding], standing: Sequence[StoredBottle], book: RuleBook) -> Iterator[Finding]:
    """The same findings, with those about what is missing joined.

    Args:
        said: every finding about products.
        standing: every bottle that holds something.
    """
    missing: dict[int, list[Finding]] = {}
    for finding in said:
        if finding.code in _OWN and finding.product_id is not None:
            missing.setdefault(finding.product_id, []).append(finding)
        else:
            yield finding
    by_product: dict[int, list[StoredBottle]] = {}
    for each in standing:
        by_product.setdefault(each.product.id, []).append(each)
    shared: dict[str, list[StoredBottle]] = {code: [] for code in _SHARED}
    for number, here in by_product.items():
        product = here[0].product
        also = [code for code, lacks in _lacking(product) if lacks and not book.silent_about(code, number)]
        own = missing.get(number, [])
        if not own:
            for code in also:
                shared[code] += here
            continue
        parts = [*own, *(one for code in also for one in _together(code, here, book))]
        yield from _joined(product, parts, book) if len(parts) > 1 else own
    for code, here in shared.items():
        yield from _together(code, here, book) if here else ()


def _lacking(product: ProductFacts) -> tuple[tuple[str, bool], ...]:
    return (
        ("keeping-temperature-unknown", not range_known(product)),
        ("statements-unknown", product.h_statements is None and product.role != "mixed"),
    )


def _together(code: str, here: Sequence[StoredBottle], book: RuleBook) -> Iterator[Finding]:
    """One finding for all of these bottles."""
    names = list(dict.fromkeys(each.product.name for each in here))
    shown = ", ".join(names[:_FEW]) + (f" and {len(names) - _FEW} more" if len(names) > _FEW else "")
    numbers = [each.bottle.id for each in here]
    return book.find(code, bottles=tuple(numbers), names=shown, which=bottles_in_words(numbers))


def _joined(product: ProductFacts, parts: Sequence[Finding], book: RuleBook) -> Iterator[Finding]:
    """One finding for everything that is missing in a product's record."""
    codes = [part.code for part in parts]
    known = {**_OWN, **_SHARED}
    lacks = {code: known[code] for code in codes}
    if "flash-point-unknown" in lacks and not all_listed(product):
        lacks["composition-unknown"] = _COMPOSITION
    words = [lack.words for lack in lacks.values()]
    if "composition-unknown" in lacks and product.solvents is not None:
        words[words.index(_COMPOSITION.words)] = unnamed_in_words(product)
    severity = parts[0].severity
    for part in parts[1:]:
        severity = graver(severity, part.severity)
    counts = _HIGHLY if "flash-point-unknown" in lacks else "the worst that it could be"
    options: tuple[Any, ...] = tuple(option for lack in lacks.values() for option in lack.options)
    return book.find(
        "not-noted",
        product=(product.id, product.name),
        severity=severity,
        source="; ".join(dict.fromkeys(part.source for part in parts)),
        what=_listed(words),
        counts=counts,
        options=options,
    )


def _listed(words: Sequence[str]) -> str:
    """`Flash point, what is in it and how long it keeps`."""
    first = words[0][:1].upper() + words[0][1:]
    return f"{', '.join([first, *words[1:-1]])} and {words[-1]}"
