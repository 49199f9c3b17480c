"""The class of a flammable liquid: GHS category, OSHA category, NFPA 30 class.

The classes are cut-offs on the closed-cup flash point and the initial boiling point. An unknown figure counts as the
worse case and is listed as assumed. Where a code's rounded and exact limits differ, the stricter reading counts and is
named.

Sources: UN GHS chapter 2.6; Regulation (EC) 1272/2008 annex I, 2.6 (consolidated 2025-09-01); 29 CFR
1910.106(a)(19); International Fire Code 2018 section 202, whose classes are those of NFPA 30.
"""

from stock.language import N_, _
from stock.named_tuples import NamedTuple
from stock.units import MilliCelsius

GHS_LOW_MC, GHS_MIDDLE_MC, GHS_HIGH_MC = MilliCelsius(23_000), MilliCelsius(60_000), MilliCelsius(93_000)
GHS_BOILS_MC = MilliCelsius(35_000)
HAZARDS = {
    1: ("H224", _("Extremely flammable liquid and vapour"), N_("Danger")),
    2: ("H225", _("Highly flammable liquid and vapour"), N_("Danger")),
    3: ("H226", _("Flammable liquid and vapour"), N_("Warning")),
    4: ("H227", _("Combustible liquid"), N_("Warning")),
}
_NFPA_F = (("IB", 73), ("IC", 100), ("II", 140), ("IIIA", 200))
"""NFPA 30 classes, each with the flash point in degrees F that it lies below."""

_NFPA_BOILS_F = 100
_ROUNDED_MC = ((73, MilliCelsius(23_000)), (100, MilliCelsius(38_000)), (200, MilliCelsius(93_000)))
"""Limits in degrees F (first) whose rounded degrees C (second) give another class."""


class Classes(NamedTuple):
    """The class of a liquid under each code; `None` where a code does not call it flammable.

    `assumed` names the unknown figures that count as the worse case. `between` says in words where two readings of a
    limit differ and the stricter counts (`nfpa30_limit` in the JSON list of assumptions).
    """

    ghs: int | None
    osha: int | None
    nfpa: str | None
    assumed: tuple[str, ...] = ()
    between: tuple[str, ...] = ()

    @property
    def hazard(self) -> str | None:
        """The GHS hazard statement's number, e.g. H225."""
        return HAZARDS[self.ghs][0] if self.ghs else None

    @property
    def phrase(self) -> str:
        """The GHS hazard statement in words; empty for none."""
        return HAZARDS[self.ghs][1] if self.ghs else ""

    @property
    def signal(self) -> str | None:
        """The GHS signal word."""
        return HAZARDS[self.ghs][2] if self.ghs else None

    def as_json(self) -> dict[str, object]:
        """As the `classify` command prints it."""
        return {
            "ghs": {"category": self.ghs, "hazard": self.hazard, "signal": self.signal} if self.ghs else None,
            "osha": {"category": self.osha} if self.osha else None,
            "nfpa30": {"class": self.nfpa} if self.nfpa else None,
            "assumed": [*self.assumed, *(["nfpa30_limit"] if self.between else [])],
        }


ANY = (1, 2, 3, 4)
NFPA_CLASSES = ("IA", "IB", "IC", "II", "IIIA")
NOT_FLAMMABLE = Classes(None, None, None)
"""A liquid that has no flash point."""


def classify(flash_point_mc: MilliCelsius | None, boiling_point_mc: MilliCelsius | None = None) -> Classes:
    """Classify a liquid.

    Args:
        flash_point_mc: closed cup, thousandths of a degree C; None when not known.
        boiling_point_mc: initial boiling point, likewise.
    Returns:
        The classes. Without a flash point it counts as highly flammable (category 2, class IB) until its
        safety data sheet says otherwise, or as extremely flammable if it is known to boil low enough.
        Without the boiling point a low flash point counts as the graver category 1 and class IA.
    """
    between: list[str] = []
    if flash_point_mc is None:
        low = boiling_point_mc is not None and boiling_point_mc <= GHS_BOILS_MC
        very_low = boiling_point_mc is not None and fahrenheit_milli(boiling_point_mc) < 1000 * _NFPA_BOILS_F
        assumed = ("flash_point",) if boiling_point_mc is not None else ("flash_point", "boiling_point")
        return Classes(1 if low else 2, 1 if low else 2, "IA" if very_low else "IB", assumed)
    category = _category(flash_point_mc, boiling_point_mc)
    nfpa = _nfpa(flash_point_mc, boiling_point_mc, between)
    unknown = boiling_point_mc is None and (category == 1 or nfpa == "IA")
    return Classes(category, category, nfpa, ("boiling_point",) if unknown else (), tuple(between))


def _category(flash_point_mc: MilliCelsius, boiling_point_mc: MilliCelsius | None) -> int | None:
    if flash_point_mc < GHS_LOW_MC:
        return 1 if boiling_point_mc is None or boiling_point_mc <= GHS_BOILS_MC else 2
    if flash_point_mc <= GHS_MIDDLE_MC:
        return 3
    return 4 if flash_point_mc <= GHS_HIGH_MC else None


def _nfpa(flash_point_mc: MilliCelsius, boiling_point_mc: MilliCelsius | None, between: list[str]) -> str:
    """The NFPA 30 class by degrees F, which the code states first, or by rounded degrees C where that is stricter."""
    by_f = _nfpa_below(fahrenheit_milli(flash_point_mc), {limit: 1000 * limit for _, limit in _NFPA_F})
    celsius = {limit: fahrenheit_milli(rounded) for limit, rounded in _ROUNDED_MC}
    by_c = _nfpa_below(
        fahrenheit_milli(flash_point_mc), {limit: celsius.get(limit, 1000 * limit) for _, limit in _NFPA_F}
    )
    order = [name for name, _ in _NFPA_F] + ["IIIB"]
    found = min(by_f, by_c, key=order.index)
    if by_f != by_c:
        between.append(
            _(
                "the clause's limit in °F gives class {by_f}, its rounded °C class {by_c}: the stricter, "
                "{found}, is taken",
                by_f=by_f,
                by_c=by_c,
                found=found,
            )
        )
    if found != "IB":
        return found
    low = boiling_point_mc is None or fahrenheit_milli(boiling_point_mc) < 1000 * _NFPA_BOILS_F
    return "IA" if low else "IB"


def _nfpa_below(flash_point_f: int, limits: dict[int, int]) -> str:
    return next((name for name, limit in _NFPA_F if flash_point_f < limits[limit]), "IIIB")


def fahrenheit_milli(celsius_mc: MilliCelsius) -> int:
    """Convert to thousandths of a degree F, rounded up to a whole one; exact at every limit of a class."""
    return -(-celsius_mc * 9 // 5) + 32_000


def worse(one: Classes, other: Classes) -> Classes:
    """The graver of two classes, by GHS category; the first if they are equal."""
    return other if (other.ghs or 9) < (one.ghs or 9) else one
