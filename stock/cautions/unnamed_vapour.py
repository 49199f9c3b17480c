"""The worst vapour of a product's unnamed part, among the solvents of the table that its sheet doesn't rule out.

A fact of the sheet rules out a solvent, or limits its share, if more of it would make the product flash lower, boil
lower, or carry a hazard statement that it lacks. Each purpose takes the worst of the remaining solvents: the one that
burns at the least share of the air, and the one that harms at the least. A silent sheet rules out none, so a fact can
only make the figure milder.

Sources: Liaw's sum without activities for the flash point (`mixture`), vapour pressure over one atmosphere for the
boiling point; Regulation (EC) 1272/2008 annex I, generic concentration limits (3.2.3, 3.3.3, 3.4.5, 3.5.2, 3.6.2,
3.7.2, 3.8.3, 3.9.4) and the estimates of acute toxicity of table 3.1.2, from memory; specific limits aren't known.
"""

from collections.abc import Callable, Iterable
from functools import lru_cache

from stock.cautions.composition import SLACK_MILLI, WHOLE_MILLI, unlisted_milli
from stock.cautions.facts import ProductFacts
from stock.cautions.hazards import contradictions_of
from stock.cautions.mixture import ZERO_C, vapour_pressure_pa, vapour_pressure_ratio
from stock.cautions.substances import Substance, substance, substances_by_name
from stock.language import _
from stock.named_tuples import NamedTuple
from stock.units import MilliPercent

_SOLVENTS = frozenset((
    "hydrocarbon", "aromatic", "alcohol", "ketone", "ester", "glycol", "glycol_ether", "ether", "chlorinated", "amide",
    "nitro", "nitrile",
))  # fmt: skip
"""Groups of solvents for paints, reducers and cleaners; other groups of the table react or hardly evaporate."""

_EVAPORATES_TO_MC = 260_000
"""Above this boiling point hardly anything evaporates while it is sprayed; the European limit of a volatile compound is
250 °C (Directive 2004/42/EC, article 2)."""
_MARGIN_K = 5.0
"""The error, in kelvin, that a flash or boiling point may have before it rules anything out."""
_NO_FLASH_TO_C = 93.0
_ATMOSPHERE_PA = 101_325.0
_WATER_MOLAR_MG = 18_015
_ALL = 1.0
"""The share of something that may be all of what isn't named."""


class _Shows(NamedTuple):
    """The share of a substance, thousandths of a per cent, from which the product gets a statement, and which ones."""

    from_milli: MilliPercent
    as_any_of: tuple[str, ...]


_SHOWS = {
    "H340": _Shows(MilliPercent(100), ("H340",)),
    "H341": _Shows(MilliPercent(1_000), ("H341", "H340")),
    "H350": _Shows(MilliPercent(100), ("H350",)),
    "H351": _Shows(MilliPercent(1_000), ("H351", "H350")),
    "H360": _Shows(MilliPercent(300), ("H360",)),
    "H361": _Shows(MilliPercent(3_000), ("H361", "H360")),
    "H370": _Shows(MilliPercent(1_000), ("H370", "H371")),
    "H372": _Shows(MilliPercent(1_000), ("H372", "H373")),
    "H373": _Shows(MilliPercent(10_000), ("H373", "H372")),
    "H334": _Shows(MilliPercent(1_000), ("H334",)),
    "H317": _Shows(MilliPercent(1_000), ("H317",)),
    "H314": _Shows(MilliPercent(5_000), ("H314",)),
    "H318": _Shows(MilliPercent(3_000), ("H318", "H314")),
    "H315": _Shows(MilliPercent(10_000), ("H315", "H314")),
    "H319": _Shows(MilliPercent(10_000), ("H319", "H318", "H314")),
    "H335": _Shows(MilliPercent(20_000), ("H335",)),
    "H336": _Shows(MilliPercent(20_000), ("H336",)),
    "H330": _Shows(MilliPercent(2_500), ("H330", "H331", "H332")),
    "H331": _Shows(MilliPercent(15_000), ("H330", "H331", "H332")),
    "H332": _Shows(MilliPercent(55_000), ("H330", "H331", "H332")),
}
"""Of vapours an estimate of 20 mg/L still counts: 0.5 mg/L (H330, category 2), 3 mg/L (H331) and 11 mg/L (H332) over
it give the share from which a mixture carries one of the three."""


class WorstVapour(NamedTuple):
    """The worst vapour of a milligram of the unnamed part, and the substances it is taken from.

    `moles` is moles of vapour a milligram, of the substance that is worst to burn; `fire`, `health`, `shift`, `short`
    and `ceiling` are moles over the lower explosive limit (thousandths of a per cent) and each exposure limit (ppm),
    each of the substance that is worst for it; 0 where none of those left has such a limit. `to_burn` and `to_breathe`
    name them, `ruled_out_by` what of the sheet ruled others out.
    """

    moles: float
    fire: float
    health: float
    shift: float
    short: float
    ceiling: float
    to_burn: str
    to_breathe: str
    ruled_out_by: tuple[str, ...]


@lru_cache(maxsize=1)
def _pool() -> tuple[Substance, ...]:
    """The solvents of the table that an unnamed part may consist of."""
    every = {each.cas: each for each in substances_by_name().values()}
    return tuple(
        each
        for each in every.values()
        if each.group in _SOLVENTS
        and each.molar_mg
        and each.boiling_point_mc is not None
        and each.boiling_point_mc <= _EVAPORATES_TO_MC
    )


def worst_vapour(product: ProductFacts, excursion: int) -> WorstVapour | None:
    """The worst vapour of a product's unnamed part; None if too little is unnamed for a caution.

    Args:
        product: its record.
        excursion: the multiple of the 8-hour limit that replaces an unknown 15-minute limit.
    """
    unnamed = unlisted_milli(product)
    return worst_of_share(product, unnamed, excursion) if unnamed > SLACK_MILLI else None


@lru_cache(maxsize=1_024)
def worst_of_share(product: ProductFacts, unnamed: int, excursion: int) -> WorstVapour:
    """The worst vapour of a part of a product that may be any solvent not ruled out by the sheet.

    Args:
        product: its record.
        unnamed: the part, thousandths of a per cent by weight.
        excursion: as of `worst_vapour`.
    """
    ruled_out_by: dict[str, None] = {}
    left = [(each, _share(product, each, unnamed, ruled_out_by)) for each in _pool()]

    def worst(limit: Callable[[Substance], float | None]) -> tuple[float, str]:
        found = [
            (share / each.molar_mg / of_it, each.name)
            for each, share in left
            if each.molar_mg and (of_it := limit(each))
        ]
        return max(found, default=(0.0, ""))

    burns = {
        each.name: (share / each.molar_mg, each.lower_milli)
        for each, share in left
        if each.can_flash and each.molar_mg and each.lower_milli
    }
    _, to_burn = worst(lambda each: fire_air(each.lower_milli) if each.name in burns else None)
    health, to_breathe = worst(lambda each: each.limit_ppm)
    moles, fire = worst(lambda _: 1.0)[0], 0.0
    if to_burn:
        moles, lower_milli = burns[to_burn]
        fire = moles / lower_milli
    return WorstVapour(
        moles=moles,
        fire=fire,
        health=health,
        shift=worst(lambda each: each.exposure_ppm or each.limit_ppm)[0],
        short=worst(lambda each: _short(each, excursion))[0],
        ceiling=worst(lambda each: each.ceiling_ppm)[0],
        to_burn=to_burn,
        to_breathe=to_breathe,
        ruled_out_by=tuple(ruled_out_by),
    )


def fire_air(lower_milli: float | None) -> float | None:
    """The divisor of a vapour's volume that gives the air to keep it below a quarter of its lower explosive limit.

    It is the inverse of (100 - L/4) / (L/4), L in per cent of the air; the air for several vapours adds up.
    """
    return 1 / (400_000 / lower_milli - 1) if lower_milli else None


def _short(each: Substance, excursion: int) -> float | None:
    shift = each.exposure_ppm or each.limit_ppm
    return each.short_term_ppm or (shift * excursion if shift else None)


def _share(product: ProductFacts, each: Substance, unnamed: int, ruled_out_by: dict[str, None]) -> float:
    """The largest share of the unnamed part, 0 to 1, that a substance can have by each fact of the sheet.

    Args:
        ruled_out_by: gets the facts that leave the substance less than the whole.
    """
    share = _ALL
    for words, most in (
        (_("flash point"), _by_flash_point(product, each, unnamed)),
        (_("boiling point"), _by_boiling_point(product, each, unnamed)),
        (_("hazard statements"), _by_statements(product, each, unnamed)),
    ):
        if most < _ALL:
            ruled_out_by[words] = None
        share = min(share, most)
    return share


def _by_flash_point(product: ProductFacts, each: Substance, unnamed: int) -> float:
    """Its share of the unnamed part above which the product would flash lower than its sheet says; `_ALL` or more
    where that rules nothing out, as in the two that follow."""
    if product.no_flash_point:
        celsius = _NO_FLASH_TO_C
    elif product.flash_point_mc is not None:
        celsius = product.flash_point_mc / 1_000 - _MARGIN_K
    else:
        return _ALL
    if not each.can_flash or each.flash_point_mc is None:
        return _ALL
    return _diluted(product, each, unnamed, vapour_pressure_ratio(each, celsius + ZERO_C))


def _by_boiling_point(product: ProductFacts, each: Substance, unnamed: int) -> float:
    """Its share of the unnamed part above which the product would boil lower than its sheet says."""
    if product.boiling_point_mc is None:
        return _ALL
    kelvin = product.boiling_point_mc / 1_000 - _MARGIN_K + ZERO_C
    return _diluted(product, each, unnamed, vapour_pressure_pa(each, kelvin) / _ATMOSPHERE_PA)


def _diluted(product: ProductFacts, each: Substance, unnamed: int, times: float) -> float:
    """The share of the unnamed part at which its mole fraction times `times` is one if the rest is water.

    Water has the most moles a milligram, so this is the largest possible share. Where `times`
    is one or less that is all of it and more, for nothing here is lighter than water.
    """
    assert each.molar_mg is not None
    as_water = unnamed / _WATER_MOLAR_MG
    own = unnamed / each.molar_mg
    return (as_water + _other_moles(product, unnamed)) / (own * (times - 1) + as_water)


def _other_moles(product: ProductFacts, unnamed: int) -> float:
    """The largest possible number of moles of the named substances in 100,000 mg, within the rest of the product."""
    solvents = 0.0
    for share in product.solvents or ():
        found = substance(share)
        solvents += share.percent_milli / ((found.molar_mg if found else None) or _WATER_MOLAR_MG)
    named = solvents + (product.water_milli or 0) / _WATER_MOLAR_MG
    return min(named, (WHOLE_MILLI - unnamed) / _WATER_MOLAR_MG)


def _by_statements(product: ProductFacts, each: Substance, unnamed: int) -> float:
    """Its share of the unnamed part from which the product would carry a statement that its sheet doesn't have."""
    if product.h_statements is None or contradictions_of(product):
        return _ALL
    said = {part[:4] for code in product.h_statements for part in code.split("+")}
    least = min((shows.from_milli for shows in _unsaid(each.h_statements or (), said)), default=unnamed)
    return least / unnamed


def _unsaid(statements: Iterable[str], said: set[str]) -> Iterable[_Shows]:
    for code in statements:
        shows = _SHOWS.get(code[:4])
        if shows is not None and said.isdisjoint(shows.as_any_of):
            yield shows
