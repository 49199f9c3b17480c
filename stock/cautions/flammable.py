"""Flammable products on the shelf: the class of each, and the facts that are missing for it."""

from collections.abc import Iterable, Iterator
from functools import lru_cache
from typing import Any

from stock.cautions.classification import ANY, NFPA_CLASSES, NOT_FLAMMABLE, Classes, classify, worse
from stock.cautions.composition import all_named
from stock.cautions.facts import BottleFacts, Finding, MixPart, ProductFacts
from stock.cautions.hazards import contradictions_of, named
from stock.cautions.rules import RuleBook
from stock.cautions.substances import substance
from stock.language import _
from stock.named_tuples import NamedTuple
from stock.shelf.sheet_contradictions import BOILS_MC, BURNS_OTHERWISE
from stock.units import Microlitres, MilliCelsius, show_temperature

MARGIN_MC = 5_000
"""How far below an estimated flash point its class is taken: CLP annex I 2.6.4.2 counts a calculated value
only if it lies at least 5 K clear of the limit."""


_WORST_ESTIMATE = 2
BOILS_HIGH_MC = MilliCelsius(100_000)
"""An estimate knows no boiling point of its own, so it never makes a category worse than 2: it is taken to
boil well above the limits."""

_ALL_NAMED_MILLI = 99_000
"""Share of a product that its named solvents and its water must make up before its boiling point is bounded
by theirs."""


_WORSE_BELOW_MC = {"IA": 23_000, "IB": 23_000, "IC": 23_000, "II": 38_000, "IIIA": 60_001, "IIIB": 93_334}
"""Each class's lower limit by either reading of it: only an estimate below it makes the class worse."""


class Burning(NamedTuple):
    """The class of a product, and what it rests on.

    `sheet` is the class by its record alone, without estimates; the codes' limits use it. `known` is False where the
    class is only the worst case. `estimate_mc` is the blend's estimated flash point where that made the class worse
    than the record. `boils_above_mc` is the lower bound of its boiling point by its composition, where the record gives
    no boiling point and the flash point is so low that it matters.
    """

    classes: Classes
    known: bool
    sheet: Classes
    estimate_mc: MilliCelsius | None = None
    boils_above_mc: MilliCelsius | None = None

    def categories(self) -> tuple[int, ...]:
        """The GHS categories that its litres count against: every possible one if the category is unknown."""
        if not self.known:
            return ANY if self._boils_unknown else ANY[(self.sheet.ghs or 2) - 1 :]
        if self._boils_unknown:
            return ANY[:2]
        return (self.sheet.ghs,) if self.sheet.ghs else ()

    def nfpa_classes(self) -> tuple[str, ...]:
        """The NFPA 30 classes that its litres count against: every possible one if the class is unknown."""
        if not self.known:
            return NFPA_CLASSES if self._boils_unknown else NFPA_CLASSES[self.sheet.nfpa != "IA" :]
        if self._boils_unknown:
            return NFPA_CLASSES[:2]
        return (self.sheet.nfpa,) if self.sheet.nfpa in NFPA_CLASSES else ()

    @property
    def _boils_unknown(self) -> bool:
        return "boiling_point" in self.sheet.assumed


_BY_STATEMENT = {
    "H224": 1, "H220": 1, "H222": 1, "H232": 1, "H250": 1, "H225": 2, "H221": 2, "H223": 2, "H228": 2, "H226": 3,
    "H227": 4,
}  # fmt: skip
"""The category of flammable liquids that a hazard statement tells; a gas, an aerosol or a solid that burns counts as
the liquid that is as easily lit (a rule of this house)."""

_BY_GROUP = {"I": 1, "II": 2}
"""The same of class 3 by its packing group. Group III tells nothing sure: ADR 2.2.3.1.4 gives it to thick paints that
flash below 23 °C, too."""

_NFPA_AT_WORST = {1: "IA", 2: "IA", 3: "IC", 4: "II"}
"""The gravest NFPA 30 class that each category can be."""


def stated(product: ProductFacts) -> Classes | None:
    """The class by sections 2 and 14 of a product's safety data sheet; None where they say nothing about fire."""
    found = [_BY_STATEMENT[code] for code in product.h_statements or () if code in _BY_STATEMENT]
    if (product.transport_class or "").startswith("3"):
        found.append(_BY_GROUP.get(product.packing_group or "", 3))
    category = min(found, default=None)
    return Classes(category, category, _NFPA_AT_WORST[category]) if category is not None else None


def _section_2_is_known(product: ProductFacts) -> bool:
    """Whether all of section 2 is noted and uncontradicted, so that it may make the class milder."""
    parts = (product.h_statements, product.signal_word, product.pictograms)
    if any(part is None for part in parts) or contradictions_of(product):
        return False
    flame = "GHS02" in (product.pictograms or ())
    return flame == bool({"H224", "H225", "H226", *BURNS_OTHERWISE}.intersection(product.h_statements or ()))


def _measured(product: ProductFacts) -> Classes:
    """The class by section 9. H225 shows that it boils above 35 °C if its boiling point isn't noted."""
    if product.flash_point_mc is None:
        return NOT_FLAMMABLE
    boils_mc = product.boiling_point_mc
    if (
        boils_mc is None
        and "H225" in (product.h_statements or ())
        and "H224" not in (product.h_statements or ())
    ):
        boils_mc = MilliCelsius(BOILS_MC + 1)
    return classify(product.flash_point_mc, boils_mc)


def _by_sheet(product: ProductFacts) -> tuple[Classes, bool]:
    """The class by the record of a product, and whether it is known or only the worst case.

    Hazard statements can make the class by the flash point worse. They replace a missing flash point if they mean
    category 1 or 2, and a milder category only if all of section 2 is noted.
    """
    said = stated(product)
    if product.flash_point_mc is not None or product.no_flash_point:
        return worse(_measured(product), said or NOT_FLAMMABLE), True
    if said is not None and (said.ghs or 9) <= _WORST_ESTIMATE:
        return said, True
    if _section_2_is_known(product):
        return said or Classes(4, 4, _NFPA_AT_WORST[4]), True
    return classify(None, product.boiling_point_mc), False


@lru_cache(maxsize=2_048)
def burning(product: ProductFacts) -> Burning:
    """The class of a product: that of its sheet, which an estimate of its blend can only make worse.

    Without a flash point it counts as highly flammable, unless its sheet says that it has none. Without a boiling
    point a low flash point counts as category 1, unless its composition can't boil that low.
    """
    sheet, known = _by_sheet(product)
    recorded, above_mc = sheet, None
    if known and "boiling_point" in sheet.assumed:
        above_mc = boils_above(product)
        recorded = worse(classify(product.flash_point_mc, above_mc), stated(product) or NOT_FLAMMABLE)
    estimate_mc = None if (recorded.ghs or 9) <= _WORST_ESTIMATE else estimate(product, recorded)
    if estimate_mc is not None:
        graver = classify(MilliCelsius(estimate_mc - MARGIN_MC), product.boiling_point_mc or BOILS_HIGH_MC)
        if _rank(graver) < _rank(recorded):
            return Burning(graver, known, sheet, estimate_mc, above_mc)
    return Burning(recorded, known, sheet, None, above_mc)


@lru_cache(maxsize=2_048)
def accounted_for(product: ProductFacts) -> bool:
    """Whether the named composition is complete, can be estimated, and explains the flash point.

    A flash point of a worse class than the named composition has shows that it contains something else.
    """
    from stock.cautions.mixture import Blend, lowest_flash  # few shelves need it

    if not all_named(product) or Blend.of_product(product).lacks:
        return False
    said = stated(product)
    if product.flash_point_mc is None and said is None:
        return True
    flash_mc = lowest_flash([MixPart(product, Microlitres(1_000))])
    named = (
        classify(MilliCelsius(flash_mc - MARGIN_MC), BOILS_HIGH_MC) if flash_mc is not None else NOT_FLAMMABLE
    )
    sheet = (
        NOT_FLAMMABLE if product.flash_point_mc is None else classify(product.flash_point_mc, BOILS_HIGH_MC)
    )
    return worse(worse(named, sheet), said or NOT_FLAMMABLE) is named


def named_in_full(product: ProductFacts) -> bool:
    """Whether the composition is complete but can't be estimated, so that naming more would not help."""
    from stock.cautions.mixture import Blend  # few shelves need it

    return all_named(product) and bool(Blend.of_product(product).lacks)


def boils_above(product: ProductFacts) -> MilliCelsius | None:
    """A lower bound of its boiling point by its composition, thousandths of a degree C; None if unknown.

    Needs nearly the whole composition, because a little of something very light lowers the boiling point.
    """
    shares = product.solvents or ()
    named = sum(share.least_milli for share in shares) + (product.water_milli or 0)
    if named < _ALL_NAMED_MILLI or any(share.basis != "weight" for share in shares):
        return None
    from stock.cautions.mixture import lowest_boiling  # few products need it

    return lowest_boiling(
        [substance(share) for share in shares if share.percent_milli], water=bool(product.water_milli)
    )


def estimate(product: ProductFacts, recorded: Classes) -> MilliCelsius | None:
    """The blend's estimated flash point, where the composition allows one and it could make a class worse."""
    if not product.solvents:
        return None
    from stock.cautions.mixture import Blend, lowest_flash, may_burn_at  # few shelves need it

    blend = Blend.of_product(product)
    below_mc = MARGIN_MC + _WORSE_BELOW_MC[recorded.nfpa if recorded.nfpa and recorded.ghs else "IIIB"]
    if not blend.parts or not may_burn_at(blend, below_mc / 1000):
        return None
    return lowest_flash([MixPart(product, Microlitres(1_000))])


def _rank(classes: Classes) -> tuple[int, int]:
    order = ("IA", "IB", "IC", "II", "IIIA", "IIIB")
    return classes.ghs or 9, order.index(classes.nfpa) if classes.nfpa else 9


def limit_category(found: Burning) -> int | None:
    """The GHS category for storage, an estimate's worse one included; None if it doesn't burn.

    With neither flash nor boiling point known it is category 1, which has the strictest limits.
    """
    if not found.known:
        return found.categories()[0]
    return found.classes.ghs


def flammability(
    product: ProductFacts, bottles: list[BottleFacts], found: Burning, book: RuleBook, *, kept: bool = False
) -> Iterator[Finding]:
    """The findings about a flammable product, once for each product.

    Args:
        bottles: its bottles that hold something.
        found: its class.
        kept: whether all of it is known to be stored as it must be; `kept_flammable` then says that it burns.
    """
    if not bottles:
        return
    about = (product.id, product.name)
    classes = found.classes
    if not found.known:
        yield from book.find("flash-point-unknown", product=about, why=_why_unknown(product))
    elif classes.ghs is not None and not kept:
        yield from _flammable(product, found, book, severity=None if classes.ghs <= 2 else "note")
    if found.known and found.sheet.ghs == 1 and "boiling_point" in found.sheet.assumed:
        yield from book.find("boiling-point-unknown", product=about, counts=_boiling_words(found))
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


_IN_SHORT = {
    1: _("extremely flammable"), 2: _("highly flammable"), 3: _("flammable"), 4: _("combustible"),
}  # fmt: skip


def kept_flammable(kept: Iterable[tuple[ProductFacts, Burning]], book: RuleBook) -> Iterator[Finding]:
    """One note for each category with the flammable products that are stored correctly, so that nothing is to be done.

    Args:
        kept: the products of which every bottle is known to stand away from flames and spraying, each with its class.
        book: the studio's rules.
    """
    by_category: dict[int, list[tuple[ProductFacts, Burning]]] = {}
    for product, found in kept:
        if found.known and found.classes.ghs is not None and not book.silent_about("flammable", product.id):
            by_category.setdefault(found.classes.ghs, []).append((product, found))
    for category in sorted(by_category):
        alike = sorted(by_category[category], key=lambda each: each[0].flash_point_mc or 0)
        if len(alike) == 1:
            yield from _flammable(*alike[0], book, severity="note")
            continue
        words = _class_words(alike[0][1].classes, alike[0][0])
        goods = named(
            f"{product.name} ({_class_words(found.classes, product)['flash']})" for product, found in alike
        )
        words["flash"] = f"{_IN_SHORT[category]}: {goods}"
        words["nfpa"] = _(" and ").join(sorted({found.classes.nfpa or "" for __, found in alike}))
        yield from book.find(
            "flammable", severity="note", others=tuple(product.name for product, __ in alike), **words
        )


def _flammable(
    product: ProductFacts, found: Burning, book: RuleBook, *, severity: str | None
) -> Iterator[Finding]:
    words = _class_words(found.classes, product)
    words["flash"] = _flash_first(words["flash"], product, lower=found.estimate_mc is not None)
    yield from book.find("flammable", product=(product.id, product.name), severity=severity, **words)


def _boiling_words(found: Burning) -> str:
    if found.classes.ghs == 1 or found.boils_above_mc is None:
        return _("so its low flash point counts as category 1, extremely flammable")
    above = show_temperature(MilliCelsius(found.boils_above_mc // 1_000 * 1_000))
    return _(
        "but what is in it can't boil below {above}, so it is taken as category {ghs}; the "
        "limits of stores go by category 1 until it is noted",
        above=above,
        ghs=found.classes.ghs,
    )


def _why_unknown(product: ProductFacts) -> str:
    if product.solvents is None:
        return _("and nobody has noted what is in it")
    if not product.solvents:
        return _("and that there is none isn't noted")
    return _("and it bears ") + ", ".join(share.name for share in product.solvents[:3])


def _flash_first(flash: str, product: ProductFacts, *, lower: bool) -> str:
    """`26 °C is its flash point, by what is in it lower`."""
    said = (
        _("flash point {flash}", flash=flash)
        if product.flash_point_mc is None
        else _("{flash} is its flash point", flash=flash)
    )
    return said + (_(", by what is in it lower") if lower else "")


def _class_words(classes: Classes, product: ProductFacts) -> dict[str, Any]:
    flash = product.flash_point_mc
    unknown = _("none on its record") if product.no_flash_point else _("not noted")
    return {
        "category": classes.ghs,
        "hazard": classes.hazard,
        "phrase": classes.phrase,
        "signal": classes.signal,
        "nfpa": classes.nfpa,
        "flash": unknown if flash is None else show_temperature(flash),
    }
