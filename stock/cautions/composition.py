"""How much of a product its record accounts for, and the part of it that nobody has named.

Shares are thousandths of a per cent by weight. The unnamed part counts as the worst that the product's own
flash and boiling point allow; the modules for fire, air, waste and neighbours each say what that is for them.
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
"""Below the density of every solvent that is used in paint: a share by volume is then small by weight."""


def unnamed_milli(product: ProductFacts) -> MilliPercent:
    """What its record leaves open, at the least that each of its solvents may make up."""
    return _left(product, [(share, share.least_milli) for share in product.solvents or ()])


def unlisted_milli(product: ProductFacts) -> MilliPercent:
    """What its record leaves open even where each of its solvents makes up the most that it may."""
    return _left(product, [(share, share.percent_milli) for share in product.solvents or ()])


def all_named(product: ProductFacts) -> bool:
    """Whether so little is left open that it can be no solvent worth a caution."""
    return unnamed_milli(product) <= SLACK_MILLI


def all_listed(product: ProductFacts) -> bool:
    """The same, where the ranges of its sheet may be taken at their high ends."""
    return unlisted_milli(product) <= SLACK_MILLI


def _left(product: ProductFacts, shares: list[tuple[SolventShare, MilliPercent]]) -> MilliPercent:
    """What solvents, water and solids leave of the whole.

    All of it where nobody has said which solvents there are. Nothing where it is noted that there are none,
    unless its flash point says that something in it burns.
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
    """Its density, or where none is recorded the heaviest plausible: a pigmented paint's, or its densest solvent's."""
    if product.density_ug_per_ml is not None:
        return product.density_ug_per_ml
    known = (substance(share) for share in product.solvents or ())
    named = [each.density_ug_per_ml or 0 for each in known if each is not None]
    return max([HEAVIEST_UG_PER_ML, *named])


def free_of_solvent(product: ProductFacts) -> bool:
    """Whether it is noted that there is no solvent in it, and its flash point does not say otherwise."""
    flash_mc = product.flash_point_mc
    return product.solvents == () and (flash_mc is None or flash_mc > _BURNS_TO_MC)


def _by_weight(product: ProductFacts, share: SolventShare, milli: int) -> int:
    """A share by weight; one by volume is taken as small as the densities allow."""
    if share.basis == "weight":
        return milli
    known = substance(share)
    solvent = (known.density_ug_per_ml if known else None) or _LIGHTEST_UG_PER_ML
    return milli * solvent // (product.density_ug_per_ml or HEAVIEST_UG_PER_ML)


def unnamed_in_words(product: ProductFacts) -> str:
    """What is not known of its composition, as a clause."""
    if product.solvents is None:
        return _("nobody has noted what is in it")
    left = unlisted_milli(product) or unnamed_milli(product)
    return _("{left} % of it is named nowhere on its record", left=max(left // 1000, 1))
