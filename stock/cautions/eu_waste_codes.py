"""The code of the European list of waste for a product that is thrown away.

The list of waste of Decision 2000/532/EC; its texts of chapter 14 and 08 01 11* were seen in translations, the others
are from memory. What isn't known counts as the worse case, and the code says that it is assumed. The generator and the
local authority decide.
"""

from __future__ import annotations

from stock.cautions.composition import SLACK_MILLI, unlisted_milli
from stock.cautions.facts import ProductFacts, SolventShare
from stock.cautions.groups import groups_of
from stock.cautions.substances import may_burn, substance
from stock.cautions.waste_codes import STATED_FROM_MILLI, WATER_FROM_MILLI, WasteCode, group_of, us_codes
from stock.language import _
from stock.shelf import ph

EU_TEXTS = {
    "06 01 06*": _("other acids"), "06 02 03*": _("ammonium hydroxide"),
    "06 02 04*": _("sodium and potassium hydroxide"), "06 02 05*": _("other bases"),
    "08 01 11*": _("waste paint and varnish containing organic solvents or other hazardous substances"),
    "08 01 12": _("waste paint and varnish other than those mentioned in 08 01 11"),
    "08 05 01*": _("waste isocyanates"), "14 06 02*": _("other halogenated solvents and solvent mixtures"),
    "14 06 03*": _("other solvents and solvent mixtures"), "16 09 03*": "peroxides",
    "16 09 04*": _("oxidising substances, not otherwise specified"),
    "16 10 02": _("aqueous liquid wastes other than those mentioned in 16 10 01"),
    "16 05 04*": _("gases in pressure containers (including halons) containing hazardous substances"),
}  # fmt: skip
"""The texts of the codes of the list of waste that can apply in a studio."""


def eu_code(product: ProductFacts, container: str | None = None) -> WasteCode:
    """The code of the European list of waste that fits best; an asterisk marks hazardous waste.

    Args:
        product: its facts.
        container: the bottle's, for a pressurised can has a code of its own.
    """
    code, why = _eu(product, container)
    assumed = unlisted_milli(product) > SLACK_MILLI and code not in ("16 05 04*", "08 05 01*", "16 09 03*")
    return WasteCode(code, why, assumed)


_EU_BY_GROUP = (
    (("isocyanate",), "08 05 01*", _("an isocyanate, or it may be")),
    (("organic_peroxide", "peroxide"), "16 09 03*", _("a peroxide, or it may be")),
    (("bleach", "oxidiser"), "16 09 04*", _("it oxidises")),
    (("sodium hydroxide", "potassium hydroxide"), "06 02 04*", _("a lye")),
    (("base",), "06 02 05*", _("a base")),
    (("acid", "oxidising_acid", "organic_acid"), "06 01 06*", _("an acid")),
    (("ammonia",), "06 02 03*", _("ammonia in water")),
)
"""Groups and names by which a reducer, cleaner or hardener gets its code; the first that fits counts."""


def _eu(product: ProductFacts, container: str | None) -> tuple[str, str]:
    if container == "aerosol_can":
        return "16 05 04*", _("a pressurised can")
    if product.role in ("paint", "clear", "mixed", "additive"):
        return _eu_of_paint(product)
    groups = groups_of(product)
    for words, code, why in _EU_BY_GROUP:
        if not groups.isdisjoint(words):
            return code, why
    if product.role == "hardener":
        return _eu_of_paint(product)
    if product.ph_high_milli is not None and product.ph_high_milli >= ph.LYE_MILLI:
        return "06 02 05*", _("a base, by its pH")
    if product.ph_low_milli is not None and product.ph_low_milli <= ph.ACID_MILLI:
        return "06 01 06*", _("an acid, by its pH")
    if any(group_of(share) == "chlorinated" for share in product.solvents or ()):
        return "14 06 02*", _("a halogenated solvent; 08 01 21* where it took off paint")
    if _bears_harm(product):
        return "14 06 03*", _("a solvent, or it may hold one")
    return "16 10 02", _("water with hardly any solvent, and none that harms")


def _eu_of_paint(product: ProductFacts) -> tuple[str, str]:
    if _bears_harm(product) or us_codes(product):
        return "08 01 11*", _("solvent or another hazardous substance is in it, or may be")
    return "08 01 12", _("nothing hazardous is noted in it")


def _bears(product: ProductFacts) -> bool:
    """Whether it contains or may contain solvent."""
    open_ = product.solvents is None or unlisted_milli(product) > SLACK_MILLI
    return open_ or any(
        may_burn(share) or group_of(share) == "chlorinated" for share in product.solvents or ()
    )


def _bears_harm(product: ProductFacts) -> bool:
    """Whether it contains, or may contain, solvent with a hazard statement or other solvent with little water."""
    if not _bears(product):
        return False
    watery = (product.water_milli or 0) >= WATER_FROM_MILLI // 2
    if not watery or unlisted_milli(product) > SLACK_MILLI:
        return True
    return any(share.percent_milli >= STATED_FROM_MILLI and _harms(share) for share in product.solvents or ())


def _harms(share: SolventShare) -> bool:
    entry = substance(share)
    return entry is None or entry.h_statements is None or bool(entry.h_statements)
