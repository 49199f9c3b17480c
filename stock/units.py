"""Amounts as people write them, and the integers that the books keep.

Volumes are whole microlitres, masses whole milligrams, money the currency's minor unit; nothing is a float. The grammar
of `stock.grammar` reads the figure. Metric units are converted by plain fractions, other units by pint, which is loaded
only then, with the exact definitions of `units.txt`. The result is rounded half-even, once, to an integer.
"""

from collections.abc import Sequence
from fractions import Fraction
from functools import lru_cache
from typing import Any, Literal, NewType, TypeVar, cast

from stock.errors import BadInput
from stock.grammar import figure_and_unit, in_short, plain_figure, refuse, tidy
from stock.language import _
from stock.money import currency, minor_digits, money, show_money
from stock.reductions import MOST_REDUCTION, reduction
from stock.shipped_files import path_of
from stock.spans import Duration, day, duration, instant

__all__ = [
    "MEASURES", "MOST_MG", "MOST_REDUCTION", "MOST_UL", "WATER_DROPS_MILLI", "Duration", "Measures",
    "currency", "day", "density", "duration", "instant", "mass", "milligrams", "minor_digits", "ml", "money", "needle",
    "percent", "plain_figure", "pressure", "reduction", "show_mass", "show_money", "show_needle",
    "show_percent", "show_pressure", "show_temperature", "show_volume", "split", "temperature",
    "temperature_range", "volume",
]  # fmt: skip

Measures = Literal["metric", "us", "imperial"]
MEASURES: tuple[Measures, ...] = ("metric", "us", "imperial")
MOST_UL = 1_000_000_000  # 1,000 litres
MOST_MG = 1_000_000_000  # 1,000 kilograms
WATER_DROPS_MILLI = 20_000  # 20 drops a millilitre, the pharmacopoeial dropper with water: USP <1101>

_VOLUME = _("an amount with a unit, such as 8 ml, 1/2 fl oz, 3 drops or 2 tsp; most 1000 l")
_MASS = _("a mass with a unit, such as 63.2 g, 500 mg or 1.2 kg; most 1000 kg")
_METRIC_UL = {"ul": 1, "ml": 1_000, "cc": 1_000, "cm3": 1_000, "cl": 10_000, "dl": 100_000, "l": 1_000_000}
_METRIC_UL |= {
    f"{name}{end}": ul
    for name, ul in (("millilit", 1_000), ("lit", 1_000_000))
    for end in ("re", "res", "er", "ers")
}
_METRIC_UL |= {"µl": 1, "μl": 1, "microlitre": 1, "microlitres": 1}
_METRIC_SPOON_UL = {"teaspoon": 5_000, "tablespoon": 15_000}
_DROPS = {"drop", "drops"}
_KITCHEN = {
    "fl oz": "fluid_ounce", "floz": "fluid_ounce", "fluid ounce": "fluid_ounce",
    "fluid ounces": "fluid_ounce", "oz": "fluid_ounce", "ounce": "fluid_ounce", "ounces": "fluid_ounce",
    "tsp": "teaspoon", "teaspoon": "teaspoon", "teaspoons": "teaspoon",
    "tbsp": "tablespoon", "tablespoon": "tablespoon", "tablespoons": "tablespoon",
    "pt": "pint", "pint": "pint", "pints": "pint", "qt": "quart", "quart": "quart", "quarts": "quart",
    "gal": "gallon", "gallon": "gallon", "gallons": "gallon",
    "dram": "fluid_dram", "drams": "fluid_dram", "fl dr": "fluid_dram", "drachm": "fluid_dram",
}  # fmt: skip
_FLUID_OUNCES = {"fl oz", "floz", "fluid ounce", "fluid ounces"}
_SYSTEMS = {"us": "us", "imp": "imperial", "imperial": "imperial", "uk": "imperial", "metric": "metric"}
_MASS_MG = {"mg": 1, "g": 1_000, "gram": 1_000, "grams": 1_000, "kg": 1_000_000}
_MASS_POUNDS = {
    **dict.fromkeys(("lb", "lbs", "pound", "pounds"), "pound"), **dict.fromkeys(("oz av", "oz wt"), "ounce"),
}  # fmt: skip
MASS_UNITS = frozenset((*_MASS_MG, *_MASS_POUNDS))
"""Every way to write a unit of mass."""
_OUNCE_UL = {"us": Fraction(473_176_473, 16_000), "imperial": Fraction(284_130_625, 10_000)}
"""A fluid ounce of each system: 231 cubic inches are 128 of the one, 4.54609 L are 160 of the other."""
_WEIGHED = {
    "oz": "ounce", "ozt": "troy_ounce", "lb": "pound", "ct": "carat", "gn": "grain", "dwt": "pennyweight",
}  # fmt: skip
_PRESSURE_PA = {"pa": 1, "hpa": 100, "mbar": 100, "kpa": 1_000, "bar": 100_000, "mpa": 1_000_000}

# Types that let mypy tell a per cent from a volume. At run time they are plain integers. The result of arithmetic is an
# `int` again and gets its type anew.
Microlitres = NewType("Microlitres", int)
Milligrams = NewType("Milligrams", int)
MilliPercent = NewType("MilliPercent", int)
"""Thousandths of a per cent."""
MilliCelsius = NewType("MilliCelsius", int)
"""Thousandths of a degree Celsius."""
Micrometres = NewType("Micrometres", int)
Pascals = NewType("Pascals", int)
_Whole = TypeVar("_Whole", bound=int)


@lru_cache(maxsize=1)
def _registry() -> Any:
    from pint import UnitRegistry  # takes a tenth of a second, which metric amounts don't need

    return UnitRegistry(path_of("units.txt"), non_int_type=Fraction)


def _converted(figure: Fraction, unit: str, wanted: str) -> Fraction:
    return Fraction(_registry().Quantity(figure, unit).to(wanted).magnitude)


def volume(
    text: str,
    *,
    measures: str = "metric",
    drops_milli: int = WATER_DROPS_MILLI,
    zero: bool = False,
    what: str = _("amount"),
    most: int = MOST_UL,
) -> Microlitres:
    """Read a volume in microlitres: `8ml`, `1.5 ml`, `1/2 oz`, `1 1/2 fl oz`, `3 drops`, `1 us pint`.

    In a US or imperial studio an ounce, a pint, a quart, a gallon and a dram are that system's. In a metric studio
    `fl oz` is the US one, as on bottle labels, and the others must say `us` or `imp`. Spoons are 5 and 15 ml except in
    a US studio; no statute defines an imperial spoon.

    Args:
        text: the typed text.
        measures: the studio's measures: metric, us or imperial.
        drops_milli: thousandths of a drop a millilitre, a figure of the product.
        zero: whether 0 is accepted, as in a count.
        what: the amount's name in a refusal.
        most: the largest accepted volume in microlitres.
    Raises:
        BadInput: no amount with a known unit, negative, 0, under 1 µl or above `most`.
    """
    figure, unit = figure_and_unit(text, what, _VOLUME)
    if not unit:
        refuse(what, text, _("has no unit"), _VOLUME)
    if unit in _DROPS:
        exact = figure * 1_000_000 / drops_milli
    elif unit in _METRIC_UL:
        exact = figure * _METRIC_UL[unit]
    else:
        exact = _kitchen_ul(figure, unit, measures, text, what)
    return Microlitres(_kept(exact, most, what, text, _VOLUME, zero=zero))


def _kitchen_ul(figure: Fraction, unit: str, measures: str, text: str, what: str) -> Fraction:
    system, __, rest = unit.partition(" ")
    named = _SYSTEMS.get(system)
    word = rest if named else unit
    measure = _KITCHEN.get(word)
    if measure is None:
        refuse(what, text, _("has no known unit"), _VOLUME)
    if named is None and measures == "metric" and word in _FLUID_OUNCES:
        named = "us"
    named = named or measures
    if measure.endswith("spoon") and named in {"metric", "imperial"}:
        return figure * _METRIC_SPOON_UL[measure]
    if named == "metric":
        spelled = "fl oz" if measure == "fluid_ounce" else measure.removeprefix("fluid_")
        refuse(
            what,
            text,
            _("could be two measures"),
            _("us {spelled} or imp {spelled}, or millilitres", spelled=spelled),
        )
    return _converted(figure, f"{named}_{measure}", "microlitre")


def _kept(exact: Fraction, most: int, what: str, text: str, accepted: str, *, zero: bool = False) -> int:
    kept = round(exact)
    if exact == 0 and not zero:
        refuse(what, text, _("is nothing"), accepted)
    if kept == 0 and exact != 0:
        refuse(what, text, _("is less than the books can hold"), accepted)
    if exact > most:
        refuse(what, text, _("is too large"), accepted)
    return kept


def mass(text: str, *, zero: bool = False, what: str = _("mass"), most: int = MOST_MG) -> Milligrams:
    """Read a mass in milligrams: `63.2g`, `500 mg`, `1.2 kg`, `1 lb`, `2 oz av`.

    Raises:
        BadInput: no mass with a known unit, negative, 0, above `most` milligrams, or a bare ounce, which could be a
            volume.
    """
    figure, unit = figure_and_unit(text, what, _MASS)
    if unit in {"oz", "ounce", "ounces"}:
        refuse(what, text, _("could be a volume"), _("2 oz av for a mass, or grams"))
    if unit in _MASS_MG:
        exact = figure * _MASS_MG[unit]
    elif unit in _MASS_POUNDS:
        exact = _converted(figure, _MASS_POUNDS[unit], "milligram")
    else:
        refuse(what, text, _("has no known unit") if unit else _("has no unit"), _MASS)
    return Milligrams(_kept(exact, most, what, text, _MASS, zero=zero))


def milligrams(figure: Fraction, unit: str) -> Fraction:
    """So many g, kg, mg, oz (a mass here), lb, ozt, ct, gn (grains) or dwt in milligrams, exact."""
    metric = _MASS_MG.get(unit)
    return figure * metric if metric else _converted(figure, _WEIGHED[unit], "milligram")


def percent(text: str, *, what: str = _("share"), most: int = 100) -> MilliPercent:
    """Read a share in thousandths of a per cent: `20%` is 20,000.

    Raises:
        BadInput: not a per cent, negative, or above `most` per cent.
    """
    accepted = _("a per cent from 0% to {most}%, such as 16.7%", most=most)
    figure, unit = figure_and_unit(text, what, accepted)
    if unit not in {"%", "percent", "per cent"}:
        refuse(what, text, _("is not a per cent"), accepted)
    if figure > most:
        refuse(what, text, _("is more than {most} %", most=most), accepted)
    return MilliPercent(round(figure * 1_000))


def temperature(text: str) -> MilliCelsius:
    """Read a temperature in thousandths of a degree Celsius: `18C`, `64F`, `-18 °C`.

    Raises:
        BadInput: no temperature in C or F, or outside -100 to 500 °C.
    """
    accepted = _("a temperature such as 18C or 64F, from -100C to 500C")
    figure, unit = figure_and_unit(text, _("temperature"), accepted, signed=True)
    scale = unit.removeprefix("°").removeprefix("deg").strip()
    if scale not in {"c", "f"}:
        refuse(_("temperature"), text, _("is neither in C nor in F"), accepted)
    celsius = figure if scale == "c" else (figure - 32) * 5 / 9
    if not -100 <= celsius <= 500:
        refuse(_("temperature"), text, _("is out of reach"), accepted)
    return MilliCelsius(round(celsius * 1_000))


def temperature_range(text: str) -> tuple[MilliCelsius, MilliCelsius]:
    """Read two temperatures, lower first, in thousandths of a degree Celsius: `5C..35C`, `5..35C`, `41F..95F`.

    Raises:
        BadInput: not two temperatures, or the lower is not the first.
    """
    accepted = _("two temperatures such as 5C..35C")
    tidied = tidy(text, _("temperature range"), accepted)
    first, dots, second = tidied.partition("..")
    if not dots:
        refuse(_("temperature range"), text, _("has no two points between two temperatures"), accepted)
    if first.strip() and first.strip()[-1].isdigit():
        first = f"{first.strip()}{second.strip()[-1:]}"
    low, high = temperature(first), temperature(second)
    if low >= high:
        refuse(_("temperature range"), text, _("does not have the lower one first"), accepted)
    return low, high


def needle(text: str) -> Micrometres:
    """Read the bore of a needle in micrometres: `0.35`, `0.35 mm`.

    Raises:
        BadInput: no figure, or outside 0.1 to 2.0 mm.
    """
    accepted = _("its bore in millimetres, such as 0.35, from 0.1 to 2.0")
    figure, unit = figure_and_unit(text, _("needle"), accepted)
    if unit not in {"", "mm"}:
        refuse(_("needle"), text, _("is not in millimetres"), accepted)
    if not Fraction(1, 10) <= figure <= 2:
        refuse(_("needle"), text, _("is no needle of an airbrush"), accepted)
    return Micrometres(round(figure * 1_000))


def pressure(text: str) -> Pascals:
    """Read a gauge pressure in pascals: `1.5 bar`, `20 psi`, `150 kPa`.

    Raises:
        BadInput: no pressure with a known unit, 0, or above 10 bar.
    """
    accepted = _("a pressure such as 1.5 bar, 20 psi or 150 kPa, most 10 bar")
    figure, unit = figure_and_unit(text, _("pressure"), accepted)
    if unit not in _PRESSURE_PA and unit != "psi":
        refuse(_("pressure"), text, _("has no known unit") if unit else _("has no unit"), accepted)
    exact = figure * _PRESSURE_PA[unit] if unit in _PRESSURE_PA else _converted(figure, "psi", "pascal")
    return Pascals(_kept(exact, 1_000_000, "pressure", text, accepted))


def density(text: str) -> int:
    """Read a density in micrograms a millilitre: `1.05`, `1.05 g/ml`, `1050 kg/m3`, all 1,050,000.

    Raises:
        BadInput: no density, or outside 0.3 to 5 g/ml.
    """
    accepted = _("a density in grams a millilitre, such as 1.05, from 0.3 to 5")
    figure, unit = figure_and_unit(text, _("density"), accepted)
    scale = {
        **dict.fromkeys(("", "g/ml", "kg/l", "g/cm3"), 1_000_000), **dict.fromkeys(("g/l", "kg/m3"), 1_000),
    }  # fmt: skip
    if unit not in scale:
        refuse(_("density"), text, _("has no known unit"), accepted)
    exact = figure * scale[unit]
    if not 300_000 <= exact <= 5_000_000:
        refuse(_("density"), text, _("is no density of a paint or a solvent"), accepted)
    return round(exact)


def split(total: _Whole, weights: Sequence[int | Fraction]) -> list[_Whole]:
    """Divide a whole in proportion to weights, into integers that add up to it exactly.

    The rest after rounding goes to the largest remainders, the earlier of equal ones first: 1,001 µl in halves is 501
    and 500.

    Args:
        total: the whole, 0 or more.
        weights: one for each share, 0 or more, not all 0.
    Raises:
        BadInput: a negative total or weight, or no weight at all.
    """
    whole = sum(weights, Fraction(0))
    if total < 0 or whole <= 0 or min(weights) < 0:
        raise BadInput(
            _("nothing can be shared out in those parts"), remedy=_("Write parts of 0 or more, one above 0")
        )
    exact = [Fraction(total * weight) / whole for weight in weights]
    shares = [int(share) for share in exact]
    by_remainder = sorted(range(len(shares)), key=lambda at: (shares[at] - exact[at], at))
    for at in by_remainder[: total - sum(shares)]:
        shares[at] += 1
    return cast("list[_Whole]", shares)  # the parts have the unit of the whole


def show_volume(volume_ul: Microlitres, measures: str = "metric", *, short: bool = False) -> str:
    """A volume to read: `8 ml`, exact unless `short`; in a US or imperial studio `2.03 fl oz`, under a tenth in ml."""
    ounce_ul = _OUNCE_UL.get(measures)
    if ounce_ul is None or abs(volume_ul) * 10 < ounce_ul:
        return f"{(in_short if short else plain_figure)(Fraction(volume_ul, 1_000))} ml"
    return f"{plain_figure(volume_ul / ounce_ul, 2)} fl oz"


def show_mass(mass_mg: Milligrams) -> str:
    """A mass to read: `63.2 g`."""
    return f"{plain_figure(Fraction(mass_mg, 1_000))} g"


def show_percent(milli: MilliPercent) -> str:
    """A share to read, to a tenth: `16.7 %`."""
    return f"{plain_figure(Fraction(milli, 1_000), 1)} %"


def show_temperature(temperature_mc: MilliCelsius) -> str:
    """A temperature to read, to a tenth: `18 °C`."""
    return f"{plain_figure(Fraction(temperature_mc, 1_000), 1)} °C"


def show_needle(needle_um: Micrometres) -> str:
    """A needle's bore to read: `0.35 mm`."""
    return f"{plain_figure(Fraction(needle_um, 1_000))} mm"


def show_pressure(pressure_pa: Pascals) -> str:
    """A pressure to read: `1.5 bar`."""
    return f"{plain_figure(Fraction(pressure_pa, 100_000), 2)} bar"


def ml(volume_ul: Microlitres) -> float | int:
    """Millilitres for JSON: exact thousandths, 8 and not 8.0."""
    return from_thousandths(volume_ul)


def per_cent(milli: MilliPercent) -> float | int:
    """Per cent for JSON: exact thousandths, 20 and not 20.0."""
    return from_thousandths(milli)


def from_thousandths(figure: int) -> float | int:
    """A whole number of thousandths as a number for JSON, exact: 8 and not 8.0."""
    return figure // 1_000 if figure % 1_000 == 0 else figure / 1_000
