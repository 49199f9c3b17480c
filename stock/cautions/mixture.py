"""The estimated flash point of a blend, which is only used to make a class worse.

Liaw's method: the temperature at which the flammable components, each weighed by its mole fraction,
activity and vapour pressure over its vapour pressure at its own flash point, sum to one. Water only changes
fractions and activities. Liaw et al., J. Loss Prev. Process Ind. 15 (2002) 429; Liaw & Chiu 2003 for aqueous
solutions (both from memory; the form as in Vidal et al. 2006).

Against published ethanol and water the error is within 3 K (tests/standards/test_flash_points.py).
"""

from collections.abc import Collection, Iterable, Sequence
from math import exp, log

from stock.cautions.activity import coefficients
from stock.cautions.facts import MixPart, ProductFacts, SolventShare
from stock.cautions.substances import HEAVIEST_UG_PER_ML, Substance, substance
from stock.named_tuples import NamedTuple
from stock.units import Microlitres, MilliCelsius

ZERO_C = 273.15
COLDEST_C, HOTTEST_C = -60.0, 130.0
_LIGHTEST = 780_000
"""Density (micrograms per mL) of a watery product whose density isn't known: as light as an alcohol. Solvents
count as heavy as a pigmented paint; both make the blend burn sooner."""
_NEARLY_WHOLE_MILLI = 95_000
"""Weight shares that make up this much give the density of the whole."""

_TROUTON = 88.0
"""Entropy of boiling, J/(mol K), of a normal liquid (Trouton's rule, from memory). Glycol ethers lie above
it, so it errs to the burning side; used only where no vapour pressure is known."""

_GAS = 8.314462618
_ONE_ATMOSPHERE_PA = 101_325.0


class Blend(NamedTuple):
    """The volatile part of a liquid: its substances and their moles, on any scale.

    `lacks` says that something is left out: a solvent of unknown figures, or a whole product whose solvents aren't
    known.
    """

    parts: tuple[tuple[Substance, float], ...]
    lacks: bool = False

    @staticmethod
    def of_product(product: ProductFacts) -> "Blend":
        """The known volatile part of a product."""
        return Blend.of_parts([MixPart(product, Microlitres(1_000))])

    @staticmethod
    def of_parts(parts: Iterable[MixPart]) -> "Blend":
        """The known volatile part of products poured together.

        Unknown water and everything unnamed count as absent, which is the worse case. Solids are left out: they don't
        evaporate, and without them the blend flashes lower.
        """
        moles: dict[str, float] = {}
        found: dict[str, Substance] = {}
        lacks = False
        for part in parts:
            lacks = lacks or part.product.solvents is None
            for named, mg in _milligrams(part.product, part.volume_ul):
                entry = substance(named)
                if entry is None or (entry.can_flash and not (entry.unifac and entry.molar_mg)):
                    lacks = True
                elif entry.unifac and entry.molar_mg:
                    found[entry.cas] = entry
                    moles[entry.cas] = moles.get(entry.cas, 0.0) + mg / entry.molar_mg
        return Blend(tuple((found[cas], amount) for cas, amount in moles.items() if amount > 0), lacks)

    def fractions(self) -> list[float]:
        """Mole fractions, in the order of `parts`."""
        whole = sum(amount for _, amount in self.parts)
        return [amount / whole for _, amount in self.parts]


def _milligrams(product: ProductFacts, volume_ul: Microlitres) -> Iterable[tuple[SolventShare | str, float]]:
    """Milligrams of each volatile substance in `volume_ul` of a product."""
    shares = product.solvents or ()
    for share in shares:
        if share.percent_milli:
            yield share, solvent_mg(product, share, volume_ul)
    if product.water_milli:
        density = product.density_ug_per_ml or (_own_density(product) if _weighed(product) else _LIGHTEST)
        yield "water", volume_ul * density / 1_000_000 * product.water_milli / 100_000


_SHRINKS = 1.04
"""Ethanol and water shrink by so much when they are mixed, the most of what studios mix: a density that is worked out
is taken that much higher."""


def solvent_mg(product: ProductFacts, share: SolventShare, volume_ul: Microlitres) -> float:
    """Milligrams of one solvent in `volume_ul` of a product; an unknown density is taken high."""
    if share.basis == "volume":
        entry = substance(share)
        density = (entry.density_ug_per_ml if entry else None) or HEAVIEST_UG_PER_ML
    else:
        density = product.density_ug_per_ml or _own_density(product)
    return volume_ul * density / 1_000_000 * share.percent_milli / 100_000


def _weighed(product: ProductFacts) -> bool:
    return all(share.basis == "weight" for share in product.solvents or ())


def _own_density(product: ProductFacts) -> int:
    """The density of a product: from its parts if it is all solvent and water, else that of a paint."""
    shares: list[tuple[SolventShare | str, int]] = [
        (share, share.percent_milli) for share in product.solvents or ()
    ]
    shares.append(("water", product.water_milli or 0))
    if not _weighed(product) or sum(milli for _, milli in shares) < _NEARLY_WHOLE_MILLI:
        return HEAVIEST_UG_PER_ML
    volume = 0.0
    for named, milli in shares:
        entry = substance(named)
        volume += milli / ((entry.density_ug_per_ml if entry else None) or HEAVIEST_UG_PER_ML)
    return min(round(_SHRINKS * sum(milli for _, milli in shares) / volume), HEAVIEST_UG_PER_ML)


def vapour_pressure_ratio(entry: Substance, kelvin: float) -> float:
    """A substance's vapour pressure over that at its own flash point.

    Raises:
        ValueError: the substance has no flash point.
    """
    if entry.flash_point_mc is None:
        raise ValueError(entry.name)
    flash = entry.flash_point_mc / 1000 + ZERO_C
    if entry.antoine is not None:
        _, b, c = entry.antoine
        return float(10 ** (b / (flash + c) - b / (kelvin + c)))
    boils = (entry.boiling_point_mc or 100_000) / 1000 + ZERO_C
    return exp(_TROUTON * boils / _GAS * (1 / flash - 1 / kelvin))


def may_burn_at(blend: Blend, celsius: float) -> bool:
    """Whether a blend could burn at a temperature, by a bound that needs no activity coefficients.

    No component is more active than when pure, so the blend can't burn where the vapour pressure ratios of its
    flammable components, unweighed, sum to less than one.
    """
    kelvin = celsius + ZERO_C
    return sum(vapour_pressure_ratio(part, kelvin) for part, _ in blend.parts if part.burns) >= 1


def burns_at(blend: Blend, celsius: float) -> float:
    """Liaw's sum at a temperature; at one or more the vapour over the blend can be lit.

    An activity above one means that the liquid separates; the flammable component then counts as active as when pure.
    """
    kelvin = celsius + ZERO_C
    fractions = blend.fractions()
    gammas = coefficients([part.unifac for part, _ in blend.parts], fractions, kelvin)
    return sum(
        min(1.0, x * gamma) * vapour_pressure_ratio(part, kelvin)
        for (part, _), x, gamma in zip(blend.parts, fractions, gammas, strict=True)
        if part.burns
    )


def vapour_pressure_pa(entry: Substance, kelvin: float) -> float:
    """A substance's vapour pressure, Pa; if unknown, too high by Trouton's rule from its boiling point."""
    if entry.antoine is not None:
        a, b, c = entry.antoine
        return float(10 ** (a - b / (kelvin + c)))
    boils = (entry.boiling_point_mc or 0) / 1000 + ZERO_C
    return _ONE_ATMOSPHERE_PA * exp(_TROUTON * boils / _GAS * (1 / boils - 1 / kelvin))


def lowest_boiling(solvents: Sequence[Substance | None], *, water: bool) -> MilliCelsius | None:
    """A lower bound of the boiling point of any blend of these, thousandths of a degree C.

    No component is more active than when pure, so nothing boils while the sum of the pure vapour pressures stays below
    one atmosphere. This holds for azeotropes and for liquids that separate, too.

    Args:
        solvents: the substances; None for one that the table lacks.
        water: whether the blend contains water.
    Returns:
        The bound; None if a substance is unknown.
    """
    parts = [*solvents, *([substance("water")] if water else [])]
    known = [part for part in parts if part is not None and part.boiling_point_mc is not None]
    if not parts or len(known) < len(parts):
        return None
    low, high = COLDEST_C, HOTTEST_C
    for _ in range(40):
        middle = (low + high) / 2
        pressure = sum(vapour_pressure_pa(part, middle + ZERO_C) for part in known)
        low, high = (middle, high) if pressure < _ONE_ATMOSPHERE_PA else (low, middle)
    return MilliCelsius(int(low * 1000))


def blend_flash(blend: Blend) -> MilliCelsius | None:
    """The estimated flash point in thousandths of a degree C.

    Returns:
        None where nothing in it burns, or not below 130 °C.
    """
    low, high = COLDEST_C, HOTTEST_C
    at_hottest = burns_at(blend, high) if any(part.burns for part, _ in blend.parts) else 0
    if at_hottest < 1:
        return None
    at_low, at_high = log(max(burns_at(blend, low), 1e-30)), log(at_hottest)
    if at_low >= 0:
        return MilliCelsius(round(low * 1000))
    for _ in range(60):
        # Regula falsi on the logarithm over 1/T, where the sum is almost a straight line (Illinois variant).
        a, b = 1 / (low + ZERO_C), 1 / (high + ZERO_C)
        middle = 1 / (a - at_low * (b - a) / (at_high - at_low)) - ZERO_C
        value = log(burns_at(blend, middle))
        if abs(value) < 1e-4:
            return MilliCelsius(round(middle * 1000))
        if value < 0:
            low, at_low, at_high = middle, value, at_high / 2
        else:
            high, at_high, at_low = middle, value, at_low / 2
    return MilliCelsius(round(low * 1000))


def lowest_flash(parts: Sequence[MixPart]) -> MilliCelsius | None:
    """The lowest estimated flash point of products poured together, thousandths of a degree C; None as `blend_flash`.

    If shares are ranges, the blend is estimated with all of them high, and with each one high and the others low,
    because one solvent may dilute the vapour of another. A part of unknown density is estimated as heavy as a paint and
    as light as an alcohol.
    """
    flashes = [blend_flash(blend) for blend in blends(parts) if blend.parts]
    return min((flash for flash in flashes if flash is not None), default=None)


def blends(parts: Sequence[MixPart]) -> list[Blend]:
    """The blends at the ends of the ranges and of unknown densities; a single one if everything is exact."""
    ranged = {
        (part.product.id, share.name)
        for part in parts
        for share in part.product.solvents or ()
        if share.least_milli < share.percent_milli
    }
    ends = [parts, *([_with_high(part, one) for part in parts] for one in sorted(ranged))]
    unweighed = {part.product.id for part in parts if part.product.density_ug_per_ml is None}
    alone = len({part.product.id for part in parts}) == 1  # then the density changes no share
    light = [] if alone else [{one} for one in sorted(unweighed)] + [unweighed] * (len(unweighed) > 1)
    return [
        Blend.of_parts([_light(part, of) for part in end])
        for end in ends
        for of in (frozenset[int](), *light)
    ]


def _light(part: MixPart, of: Collection[int]) -> MixPart:
    """The same part, as light as an alcohol where it is one of these products."""
    if part.product.id not in of:
        return part
    return part._replace(product=part.product._replace(density_ug_per_ml=_LIGHTEST))


def _with_high(part: MixPart, one: tuple[int, str]) -> MixPart:
    """The same part with one solvent of a product at the high end of its range and the others at the low."""
    shares = tuple(
        share if (part.product.id, share.name) == one else share._replace(percent_milli=share.least_milli)
        for share in part.product.solvents or ()
    )
    solvents = None if part.product.solvents is None else shares
    return part._replace(product=part.product._replace(solvents=solvents))
