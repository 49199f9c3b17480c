"""The part of a product that its record names, and the unnamed rest.

Shares are thousandths of a per cent by weight. The unnamed part counts as the worst that the product's own flash and
boiling points allow; the modules on fire, air, waste and neighbours each define that worst case.
"""

from __future__ import annotations

from stock.cautions.facts import ProductFacts, SolventShare
from stock.cautions.substances import HEAVIEST_UG_PER_ML, substance
from stock.language import _
from stock.units import MilliPercent

WHOLE_MILLI = MilliPercent(100_000)

SLACK_MILLI = 1_000
"""How much may stay unnamed: the figures of a sheet are rounded, and 1 % of acetone in water, the worst that it
could well be, does not flash below 60 °C (tests/standards/test_flash_points.py)."""

_BURNS_TO_MC = 93_000
"""The highest flash point that any code calls flammable or combustible."""
_LIGHTEST_UG_PER_ML = 600_000
"""A density below that of every solvent used in paint, so that a share by volume becomes small by weight."""


def unnamed_milli(product: ProductFacts) -> MilliPercent:
    """The unnamed share if each solvent counts at the low end of its range."""
    return _left(product, [(share, share.least_milli) for share in product.solvents or ()])


def unlisted_milli(product: ProductFacts) -> MilliPercent:
    """The unnamed share if each solvent counts at the high end of its range."""
    return _left(product, [(share, share.percent_milli) for share in product.solvents or ()])


def all_named(product: ProductFacts) -> bool:
    """Whether the unnamed share is too small to be a solvent worth a caution, with solvents at their low ends."""
    return unnamed_milli(product) <= SLACK_MILLI


def all_listed(product: ProductFacts) -> bool:
    """Whether the unnamed share is too small to be a solvent worth a caution, with solvents at their high ends."""
    return unlisted_milli(product) <= SLACK_MILLI


def _left(product: ProductFacts, shares: list[tuple[SolventShare, MilliPercent]]) -> MilliPercent:
    """The share that solvents, water and solids leave unnamed.

    Everything if the solvents are not known. Nothing if the record says that there are none, unless its flash point
    shows that something in it burns.
    """
    if product.solvents is None:
        return WHOLE_MILLI
    if free_of_solvent(product):
        return MilliPercent(0)
    others = (product.water_milli or 0) + (product.solids_milli or 0)
    by_volume = all(share.basis == "volume" for share, _ in shares)
    if by_volume and not others:
        return MilliPercent(max(WHOLE_MILLI - sum(milli for _, milli in shares), 0))
    named = sum(_by_weight(product, share, milli) for share, milli in shares)
    return MilliPercent(max(WHOLE_MILLI - others - named, 0))


def heaviest_ug_per_ml(product: ProductFacts) -> int:
    """Its density in micrograms a millilitre; if unknown, that of a pigmented paint or of its densest solvent."""
    if product.density_ug_per_ml is not None:
        return product.density_ug_per_ml
    entries = (substance(share) for share in product.solvents or ())
    named = [each.density_ug_per_ml or 0 for each in entries if each is not None]
    return max([HEAVIEST_UG_PER_ML, *named])


def free_of_solvent(product: ProductFacts) -> bool:
    """Whether its record says that it contains no solvent and its flash point doesn't contradict that."""
    flash_mc = product.flash_point_mc
    return product.solvents == () and (flash_mc is None or flash_mc > _BURNS_TO_MC)


def _by_weight(product: ProductFacts, share: SolventShare, milli: int) -> int:
    """A share by weight; a share by volume counts as the smallest weight that the densities allow."""
    if share.basis == "weight":
        return milli
    entry = substance(share)
    solvent = (entry.density_ug_per_ml if entry else None) or _LIGHTEST_UG_PER_ML
    return milli * solvent // (product.density_ug_per_ml or HEAVIEST_UG_PER_ML)


def unnamed_in_words(product: ProductFacts) -> str:
    """The unknown part of its composition, as a clause."""
    if product.solvents is None:
        return _("nobody has noted what is in it")
    left = unlisted_milli(product) or unnamed_milli(product)
    return _("{left} % of it is named nowhere on its record", left=max(left // 1000, 1))
