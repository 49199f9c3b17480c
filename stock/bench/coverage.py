"""From an area to an amount of paint, and back.

Spreading rate in m²/l is 10·VS/DFT, VS the volume solids in per cent and DFT the dry film in micrometres;
overspray is lost, so the paint needed is divided by the transfer efficiency. In a paint
thinned by p per cent the volume solids are VS/(1 + p/100). Volume solids are determined by ISO 23811
(from memory). Worked against published examples in tests/standards/test_coverage.py.
"""

from dataclasses import dataclass
from fractions import Fraction

from stock.bench.reduction import Reduction, reducer_for
from stock.errors import BadInput
from stock.grammar import figure_and_unit, refuse, tidy
from stock.language import _
from stock.units import Microlitres, Micrometres, MilliPercent

AIRBRUSH_TRANSFER_MILLI = MilliPercent(50_000)  # no published figure for an airbrush: a setting, not a fact
_MM2 = {"mm2": 1, "cm2": 100, "dm2": 10_000, "m2": 1_000_000}
_MM2 |= {unit.replace("2", "²"): mm2 for unit, mm2 in _MM2.items()}
_MM = {"mm": 1, "cm": 10, "dm": 100, "m": 1_000}
_SQUARE_FEET_MM2 = {"ft2": Fraction("304.8") ** 2, "in2": Fraction("25.4") ** 2}
_UM = {
    "um": Fraction(1),
    "µm": Fraction(1),
    "μm": Fraction(1),
    "mm": Fraction(1_000),
    "mil": Fraction("25.4"),
}
MOST_MM2 = 1_000_000_000  # 1,000 m²


@dataclass(frozen=True, slots=True)
class Film:
    """The film to spray onto the part.

    Args:
        dry_um: thickness of the dry film in micrometres, all coats together.
        solids_milli: volume solids of the paint, thousandths of a per cent.
        transfer_milli: share of the solids that reaches the part, thousandths of a per cent.
    Raises:
        BadInput: a thickness out of range, or a share of 0 or above 100 %.
    """

    dry_um: Fraction | Micrometres
    solids_milli: MilliPercent
    transfer_milli: MilliPercent = AIRBRUSH_TRANSFER_MILLI

    def __post_init__(self) -> None:
        if not 0 < self.dry_um <= 10_000:
            raise BadInput(
                _("the dry film's thickness is out of range"), remedy=_("Write 1 to 10000 micrometres")
            )
        if not (0 < self.solids_milli <= 100_000 and 0 < self.transfer_milli <= 100_000):
            raise BadInput(
                _("solids and transfer are out of range"), remedy=_("Write more than 0 % and at most 100 %")
            )

    def wet_um(self, reduction: Reduction | None = None) -> Fraction:
        """Thickness of the wet film in micrometres: of the paint, or of the mix with this reduction."""
        thinned = 1 + (reduction.percent_of_paint / 100 if reduction else Fraction(0))
        return Fraction(self.dry_um * 100_000, self.solids_milli) * thinned

    def square_metres_per_litre(self, reduction: Reduction | None = None) -> Fraction:
        """Spreading rate without losses: of the paint, or of the mix with this reduction."""
        return 1_000 / self.wet_um(reduction)

    def paint_ul(self, area_mm2: int) -> Microlitres:
        """Paint in microlitres for an area, overspray included; rounded up."""
        exact = area_mm2 * self.wet_um() / 1_000 * 100_000 / self.transfer_milli
        return Microlitres(-int(-exact // 1))

    def area_mm2(self, paint_ul: Microlitres) -> int:
        """The area in square millimetres that an amount of paint covers; rounded down."""
        return int(paint_ul * 1_000 * self.transfer_milli / (self.wet_um() * 100_000))


def to_mix(area_mm2: int, film: Film, thinned: Reduction | None = None) -> tuple[Microlitres, Microlitres]:
    """Paint and reducer in microlitres for an area in square millimetres, overspray included."""
    paint_ul = film.paint_ul(area_mm2)
    return paint_ul, reducer_for(paint_ul, thinned) if thinned is not None else Microlitres(0)


def film(text: str) -> Fraction:
    """Read the thickness of a dry film in micrometres: `25um`, `25 µm`, `0.025 mm`, `1 mil`.

    Raises:
        BadInput: no thickness with a known unit, or outside 1 to 10,000 µm.
    """
    accepted = _("a dry film such as 25um, 0.025 mm or 1 mil, from 1 to 10000 um")
    figure, unit = figure_and_unit(text, _("film"), accepted)
    scale = _UM.get(unit)
    if scale is None:
        refuse(_("film"), text, _("has no known unit"), accepted)
    if not 1 <= figure * scale <= 10_000:
        refuse(_("film"), text, _("is not a possible film of paint"), accepted)
    return Fraction(figure * scale)


def area(text: str) -> int:
    """Read an area in square millimetres: `0.5 m2`, `40x60 cm`, `300 cm2`, `2 ft2`.

    Raises:
        BadInput: no area with a known unit, an area of 0, or above 1,000 m².
    """
    accepted = _("an area such as 0.5 m2, 300 cm2 or 40x60 cm; most 1000 m2")
    tidied = tidy(text, _("area"), accepted).replace("×", "x")
    if "x" in tidied:
        wide, __, high = tidied.partition("x")
        width, no_unit = figure_and_unit(wide, _("area"), accepted)
        height, unit = figure_and_unit(high, _("area"), accepted)
        if unit not in _MM or no_unit not in {"", unit}:
            refuse(_("area"), text, _("has no known unit"), accepted)
        exact = width * height * _MM[unit] ** 2
    else:
        figure, unit = figure_and_unit(tidied, _("area"), accepted)
        scale = _MM2.get(unit) or _SQUARE_FEET_MM2.get(unit)
        if scale is None:
            refuse(_("area"), text, _("has no known unit"), accepted)
        exact = figure * scale
    if exact <= Fraction(1, 2):
        refuse(_("area"), text, _("is nothing"), accepted)
    if exact > MOST_MM2:
        refuse(_("area"), text, _("is too large"), accepted)
    return round(exact)
