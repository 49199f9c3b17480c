"""Reading how full a bottle is, and its inner diameter, as a person types them."""

from fractions import Fraction

from stock.grammar import figure_and_unit, refuse
from stock.language import _
from stock.named_tuples import NamedTuple
from stock.units import Micrometres


class BottleLevel(NamedTuple):
    """How full a bottle is: a fraction of it, or a height in micrometres."""

    share: Fraction | None = None
    height_um: Micrometres | None = None


def read_level(text: str) -> BottleLevel:
    """Read a level: `3/4`, `0.75`, `75%` of the bottle, or `32 mm`.

    Raises:
        BadInput: none of them, or more than the whole bottle.
    """
    accepted = _("a level such as 3/4, 75% or 32 mm")
    figure, unit = figure_and_unit(text, _("level"), accepted)
    if unit == "mm":
        if not 0 <= figure <= 500:
            refuse(_("level"), text, _("is not a possible height in a bottle"), accepted)
        return BottleLevel(height_um=Micrometres(round(figure * 1_000)))
    if unit not in {"", "%"}:
        refuse(_("level"), text, _("has no known unit"), accepted)
    share = figure / 100 if unit else figure
    if share > 1:
        refuse(_("level"), text, _("is more than the whole bottle"), accepted)
    return BottleLevel(share=share)


def read_diameter(text: str) -> Micrometres:
    """Read an inner diameter in micrometres: `34 mm`.

    Raises:
        BadInput: no figure in millimetres, or outside 5 to 300 mm.
    """
    accepted = _("a diameter such as 34 mm, from 5 to 300")
    figure, unit = figure_and_unit(text, _("diameter"), accepted)
    if unit not in {"", "mm"} or not 5 <= figure <= 300:
        refuse(_("diameter"), text, _("is not the inner diameter of a bottle"), accepted)
    return Micrometres(round(figure * 1_000))
