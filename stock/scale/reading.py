"""One reading of a scale: what it sent, and the mass in milligrams or why there is none."""

from fractions import Fraction
from math import ceil

from stock.language import _
from stock.named_tuples import NamedTuple
from stock.units import MOST_MG, Milligrams, milligrams, show_mass

OVERLOAD = _("the scale is overloaded: take something off it")
UNDERLOAD = _("the scale shows less than it can: put its pan on, or set it to zero")


class ScaleReading(NamedTuple):
    """One reading of a scale.

    Args:
        heard: what the scale sent, as text that can be shown.
        mass_mg: milligrams, below 0 where the scale shows less than its zero; None where `refused` says why.
        resolution_mg: the last digit of the reading, milligrams, rounded up. The steps of a scale that counts by twos
            or fives are wider, which one reading doesn't show.
        stable: whether the scale says that the weight stands still; None where it doesn't say.
        unit: the unit that the scale shows, such as `g` or `oz`.
        refused: why the reading has no mass, as a sentence without a full stop; empty where it has one.
        noise: whether it was no reading at all: damaged, cut off, or something else that the scale printed.
    """

    heard: str
    mass_mg: Milligrams | None = None
    resolution_mg: Milligrams = Milligrams(0)
    stable: bool | None = None
    unit: str = ""
    refused: str = ""
    noise: bool = False

    @property
    def words(self) -> str:
        """The reading as a person reads it: `63.2 g`, or why there is none."""
        if self.mass_mg is None:
            return self.refused
        converted = "" if self.unit in GRAMS else _(" (the scale shows {unit})", unit=self.unit)
        return f"{show_mass(self.mass_mg)}{converted}"


GRAMS = ("g", "kg", "mg")
UNITS = {
    **dict.fromkeys(("g", "gm", "gram", "grams"), "g"),
    **dict.fromkeys(("kg", "kgs", "kilogram", "kilograms"), "kg"),
    "mg": "mg",
    **dict.fromkeys(("oz", "ounce", "ounces"), "oz"),
    **dict.fromkeys(("ozt", "toz", "troy ounce"), "ozt"),
    **dict.fromkeys(("lb", "lbs", "pound", "pounds"), "lb"),
    **dict.fromkeys(("ct", "ctm", "car", "carat", "carats"), "ct"),
    **dict.fromkeys(("gn", "grain", "grains"), "gn"),
    **dict.fromkeys(("dwt", "pennyweight"), "dwt"),
}
"""Units that scales write, and the one word for each. On a scale an `oz` is a mass."""
OTHER_UNITS = {
    **dict.fromkeys(("pcs", "pc", "st", "stk", "count"), _("pieces")),
    "%": _("per cent"),
    **dict.fromkeys(
        ("tl", "tael", "taels", "tlh", "tlt", "tls"), _("taels, which weigh 37.5 g here and 37.8 g there")
    ),
    **dict.fromkeys(("t", "ton", "tons"), _("tons")),
    "gr": _("gr, which is read as grams and as grains"),
    **dict.fromkeys(("ml", "l", "floz"), _("a volume, and it can't know the density")),
    "n": _("newtons"),
}
"""Units that are refused, and their names in the refusal."""


def weighed(
    heard: str, figure: Fraction, digit: Fraction, unit: str, *, stable: bool | None = None
) -> ScaleReading:
    """A reading of a figure in one of the units of `UNITS`; too large a mass is refused.

    Args:
        heard: what the scale sent.
        figure: as shown, with its sign.
        digit: what the last digit of it stands for, in the same unit.
        unit: a value of `UNITS`.
        stable: what the scale says of it.
    """
    mass = milligrams(figure, unit)
    if abs(mass) > MOST_MG:
        return ScaleReading(heard, stable=stable, unit=unit, refused=_("the scale shows more than 1,000 kg"))
    return ScaleReading(
        heard, Milligrams(round(mass)), Milligrams(ceil(milligrams(digit, unit))), stable, unit
    )


def unknown_unit(heard: str, unit: str) -> ScaleReading:
    """The refusal of a reading without a unit, or with one that is not a unit of mass."""
    shows = OTHER_UNITS.get(unit.lower(), f"{unit[:12]!r}" if unit else _("a figure without a unit"))
    more = _(", or say the unit behind the port: unit=g") if not unit else ""
    return ScaleReading(
        heard, unit=unit, refused=_("the scale shows {shows}: set it to grams{more}", shows=shows, more=more)
    )
