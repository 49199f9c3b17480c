"""What can burn on the shelf: each product's class, and what isn't known about it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from stock.cautions.classification import NOT_FLAMMABLE, Classes, classify
from stock.cautions.facts import BottleFacts, Finding, ProductFacts
from stock.cautions.rules import RuleBook
from stock.cautions.substances import bears_solvent
from stock.units import show_temperature

MARGIN_MC = 5_000
"""How far below an estimated flash point its class is taken: CLP annex I 2.6.4.2 counts a calculated value
only if it lies at least 5 K clear of the limit."""


_WORST_ESTIMATE = 2
"""An estimate knows no boiling point of its own, so it never makes a category worse than this one."""


_WORSE_BELOW_MC = {"IA": 23_000, "IB": 23_000, "IC": 23_000, "II": 38_000, "IIIA": 60_001, "IIIB": 93_334}
"""Each class's lower limit by either reading of it: only an estimate below it makes the class worse."""


@dataclass(frozen=True, slots=True)
class Burning:
    """What a product counts as, and on what ground.

    `known` is False where nothing but the worse case speaks; `estimate_mc` is the blend's estimated flash
    point where it made the class worse than the record.
    """

    classes: Classes
    known: bool
    estimate_mc: int | None = None


def burning(product: ProductFacts) -> Burning:
    """What a product counts as: by its sheet, made worse but never better by an estimate of its blend.

    Without a flash point it counts as highly flammable if it bears a solvent or nobody has said what is in
    it; a product known to bear none, or whose sheet says that it has no flash point, doesn't count.
    """
    if product.flash_point_mc is not None:
        recorded, known = classify(product.flash_point_mc, product.boiling_point_mc), True
    elif product.no_flash_point or bears_solvent(product) is False:
        recorded, known = NOT_FLAMMABLE, True
    else:
        recorded, known = classify(None, product.boiling_point_mc), False
    estimate_mc = None if (recorded.ghs or 9) <= _WORST_ESTIMATE else estimate(product, recorded)
    if estimate_mc is None:
        return Burning(recorded, known)
    worse = classify(estimate_mc - MARGIN_MC, product.boiling_point_mc)
    if _rank(worse) < _rank(recorded):
        return Burning(worse, known, estimate_mc)
    return Burning(recorded, known)


def estimate(product: ProductFacts, recorded: Classes) -> int | None:
    """The blend's estimated flash point, where the composition allows one and it could make a class worse."""
    if not product.solvents:
        return None
    from stock.cautions.mixture import Blend, blend_flash, may_burn_at  # noqa: PLC0415 - few shelves need it

    blend = Blend.of_product(product)
    if blend is None or not blend.parts:
        return None
    below_mc = MARGIN_MC + _WORSE_BELOW_MC[recorded.nfpa if recorded.nfpa and recorded.ghs else "IIIB"]
    return blend_flash(blend) if may_burn_at(blend, below_mc / 1000) else None


def _rank(classes: Classes) -> tuple[int, int]:
    order = ("IA", "IB", "IC", "II", "IIIA", "IIIB")
    return classes.ghs or 9, order.index(classes.nfpa) if classes.nfpa else 9


def limit_category(found: Burning, product: ProductFacts) -> int | None:
    """The category whose limits its litres count against.

    With neither flash nor boiling point known that is category 1, for the strictest limits are its.
    """
    if not found.known and product.boiling_point_mc is None:
        return 1
    return found.classes.ghs


def flammability(
    product: ProductFacts, bottles: list[BottleFacts], found: Burning, book: RuleBook
) -> Iterator[Finding]:
    """What to say of a product that can burn, once a product.

    Args:
        bottles: those of it that hold something.
        found: what it counts as.
    """
    if not bottles:
        return
    about = (product.id, product.name)
    classes = found.classes
    if not found.known:
        yield from book.find("flash-point-unknown", product=about, why=_why_unknown(product))
    elif classes.ghs is not None:
        severity = None if classes.ghs <= 2 else "note"
        words = _class_words(classes, product)
        if found.estimate_mc is not None:
            words["flash"] += ", by what is in it lower"
        yield from book.find("flammable", product=about, severity=severity, **words)
    if found.known and "boiling_point" in classes.assumed:
        yield from book.find("boiling-point-unknown", product=about)
    if found.estimate_mc is not None and found.known:
        yield from book.find(
            "blend-burns-lower",
            product=about,
            severity=None if classes.ghs is not None and classes.ghs <= 2 else "note",
            estimate=show_temperature(found.estimate_mc),
            **_class_words(classes, product),
        )
    for between in classes.between:
        yield from book.find("between-codes", product=about, between=between)


def _why_unknown(product: ProductFacts) -> str:
    if product.solvents is None:
        return "and nobody has noted what is in it"
    return "and it bears " + ", ".join(share.name for share in product.solvents[:3])


def _class_words(classes: Classes, product: ProductFacts) -> dict[str, Any]:
    flash = product.flash_point_mc
    return {
        "category": classes.ghs,
        "hazard": classes.hazard,
        "phrase": classes.phrase,
        "signal": classes.signal,
        "nfpa": classes.nfpa,
        "flash": "none on its record" if flash is None else show_temperature(flash),
    }
