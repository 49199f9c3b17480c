"""The figures of rules as people read and write them: their words, their units, and how they are read.

A rule keeps its figures as whole numbers whose names end in their unit, e.g. `litres_milli` in millilitres; screens and
commands show and read them as `50 L`. `figures/rule_figures.csv` has for each name its words, its unit, and how many of
the rule's whole numbers make one of that unit.
"""

import csv
from collections.abc import Callable, Mapping
from fractions import Fraction
from functools import lru_cache
from typing import Any

from stock import units
from stock.errors import BadInput
from stock.grammar import figure_and_unit, plain_figure, refuse
from stock.language import N_, _
from stock.named_tuples import NamedTuple
from stock.shipped_files import text_of
from stock.text import plain

_GALLON_ML = {"us": Fraction(473_176_473, 125_000), "imperial": Fraction(454_609, 100)}
_MOST = 10**15
"""The largest whole number that is read: a million cubic metres in microlitres, a million tonnes in milligrams."""

_BARE = {
    "days": ("day", "d"),
    "months": ("month", "mo"),
    "times": ("x", "time", "×"),
    "cans": ("can",),
    "ml/min": ("cc/min",),
    "m³/h": ("m3/h",),
    "m³": ("m3",),
}
"""Spellings of the units that are no volume, mass, share or temperature."""


class FigureUnit(NamedTuple):
    """What a rule's figure is called, its unit, and how many of the rule's whole numbers make one of it."""

    words: str
    unit: str
    factor: int


@lru_cache(maxsize=1)
def figure_units() -> Mapping[str, FigureUnit]:
    """The unit of every figure's name."""
    text = text_of("cautions", "figures", "rule_figures.csv")
    return {
        row["name"]: FigureUnit(_(row["words"]), row["unit"], int(row["factor"]))
        for row in csv.DictReader(text.splitlines())
    }


def unit_of(name: str) -> FigureUnit:
    """Words, unit and factor of a figure, by its name in a rule.

    Raises:
        BadInput: no rule has a figure of that name.
    """
    try:
        return figure_units()[name]
    except KeyError:
        raise BadInput(
            _("no rule has a figure {name!r}", name=plain(name, 40)), remedy=_("Take its name from the rule")
        ) from None


def shown(name: str, value: int, measures: str = "metric") -> str:
    """A figure with its unit: `50 L`, `1 month`; in a US or imperial studio litres stand in gallons, too.

    Args:
        name: the figure's name in its rule.
        value: the whole number that the rule holds.
        measures: the studio's measures.
    """
    found = unit_of(name)
    exact = Fraction(value, found.factor)
    unit = found.unit.removesuffix("s") if exact == 1 and found.unit != "times" else found.unit
    text = f"{plain_figure(exact)} {unit}"
    if found.unit == "L" and measures in _GALLON_ML:
        text += _(" ({exact} gal)", exact=plain_figure(exact * 1000 / _GALLON_ML[measures], 2))
    return text


def in_words(name: str, value: int, measures: str = "metric") -> str:
    """A figure with its words and its unit: `volume, at most: 50 L`."""
    return f"{unit_of(name).words}: {shown(name, value, measures)}"


def all_in_words(figures: Mapping[str, int], measures: str = "metric") -> str:
    """Several figures with their words and units."""
    return "; ".join(in_words(name, value, measures) for name, value in figures.items())


def reader(name: str, measures: str = "metric", *, bare: bool = False) -> Callable[[str], int]:
    """A function that reads a figure in any unit of its kind, as the rule's whole number.

    Args:
        name: the figure's name in its rule.
        measures: the studio's measures, for gallons.
        bare: whether a figure without a unit has the one that is shown beside it. Else it has it only where the
            rule's own whole number is the same, so that 50000 millilitres are never taken for litres.
    """

    def read(text: str) -> int:
        return read_figure(name, text, measures, bare=bare)

    return read


def read_figure(name: str, text: str, measures: str = "metric", *, bare: bool = False) -> int:
    """One figure as a person writes it: `50 L`, `20 kg`, `40 °C`, `10 gal`, `60 days`.

    Args:
        name: the figure's name in its rule.
        text: what was typed.
        measures, bare: as for `reader`.
    Returns:
        The whole number that the rule holds; a part of one is rounded half-even.
    Raises:
        BadInput: no figure, another kind of unit, none where one is needed, or too large.
    """
    found = unit_of(name)
    example = _EXAMPLES.get(found.unit, f"20 {found.unit}")
    accepted = _("a figure in {unit}, such as {example}", unit=found.unit, example=example)
    figure, unit = figure_and_unit(text, _("figure"), accepted, signed=found.unit == "°C")
    if not unit and (bare or found.factor == 1):
        unit, text = found.unit.casefold(), f"{plain_figure(figure, 9)} {found.unit}"
    if not unit:
        refuse(_("figure"), text, _("has no unit"), accepted)
    if found.unit in _READERS:
        try:
            kept, one = _READERS[found.unit](text, measures)
        except BadInput as error:
            raise BadInput(
                _of_that_kind(error.message, found.unit), remedy=_("Write {accepted}", accepted=accepted)
            ) from None
        return round(Fraction(kept * found.factor, one))
    if unit not in (found.unit.casefold(), *_BARE.get(found.unit, ())):
        refuse(_("figure"), text, _("is not in {unit}", unit=found.unit), accepted)
    if figure * found.factor > _MOST:
        refuse(_("figure"), text, _("is too large"), accepted)
    return round(figure * found.factor)


_EXAMPLES = {
    "L": _("50 L or 10 us gal"), "kg": _("20 kg or 40 lb"), "%": "10%", "°C": _("40 °C or 104 °F"),
    "times": _("5 times"),
}  # fmt: skip

_READERS: Mapping[str, Callable[[str, str], tuple[int, int]]] = {
    "L": lambda text, measures: (
        units.volume(text, measures=measures, what=_("figure"), most=_MOST),
        1_000_000,
    ),
    "kg": lambda text, __: (units.mass(text, what=_("figure"), most=_MOST), 1_000_000),
    "%": lambda text, __: (units.percent(text, what=_("figure")), 1_000),
    "°C": lambda text, _: (units.temperature(text), 1_000),
}
"""For each unit the function that reads it, with the number of its results that make one of the unit."""

_NOT_OF_KIND = (_("has no known unit"), _("is neither in C nor in F"), _("is not a per cent"))


def _of_that_kind(message: str, unit: str) -> str:
    """The refusal of a figure; it says so if the unit is of another kind."""
    for words in _NOT_OF_KIND:
        message = message.replace(words, f"is not in {unit}")
    return message


_SCOPES = {
    "cabinet": N_("in one cabinet"),
    "outside": N_("outside cabinets"),
    "building": N_("in the building"),
    "dwelling": N_("in the dwelling"),
    "garage": N_("in the garage"),
    "home": N_("in the dwelling and its garage"),
}
"""The stock that a limit adds up, by the limit's scope."""


def limit_in_words(figures: Mapping[str, Any], figure_in_words: Callable[[str, int], str] = in_words) -> str:
    """The figures of one limit and the stock that it counts: `volume, at most: 50 L; categories 1, 2`.

    Args:
        figures: those of the limit.
        figure_in_words: writes a figure with its words and unit, as `in_words` does.
    """
    parts = [figure_in_words(name, value) for name, value in figures.items() if type(value) is int]
    for name, value in figures.items():
        if isinstance(value, list):
            parts.append(f"{name} {', '.join(str(each) for each in value)}")
        elif isinstance(value, str):
            parts.append(_(_SCOPES[value]))
        elif value is True:
            parts.append(_("and what flashes below the place's highest temperature"))
    return "; ".join(parts)
