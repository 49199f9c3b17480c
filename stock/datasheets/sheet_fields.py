"""The names of a sheet's figures for scripts, and their values for JSON: numbers in the unit of the field's name."""

from collections.abc import Mapping

from stock.grammar import exact, pointed
from stock.named_tuples import NamedTuple

FIELDS = {
    "flash_point": "flash_point_c", "boiling_point": "boiling_point_c", "density": "density_g_per_ml",
    "solids": "solids_percent", "water": "water_percent", "voc": "voc_g_per_l",
}  # fmt: skip
"""The names that include a unit; other proposals have the same name for scripts as in the record."""
LIVES = ("sealed_life", "opened_life", "pot_life")
NUMBERS = (*FIELDS, "ph", "store_at")
_LIFE_UNITS = {"months": "mo", "years": "y", "weeks": "w", "days": "d", "h": "h", "min": "min"}


class SheetValue(NamedTuple):
    """A value for scripts with its ends, which are equal where one exact figure is printed.

    Attributes:
        value: a number, a text, or a list of codes; the lower end of a range that can be booked; None for a bound.
        low, high: None on the open side of a bound, and for a field without a figure.
    """

    value: float | str | list[str] | None
    low: float | str | None
    high: float | str | None


def field(name: str, key: str, figures: Mapping[str, object]) -> str:
    """A proposal's name for scripts: `flash_point_c`, `store_low_c`, `solvent:67-64-1`.

    Args:
        name: the proposal's name.
        key: distinguishes several of one name.
        figures: its figures; a VOC in per cent isn't one in grams a litre.
    """
    if name == "store_at":
        return f"store_{key}_c"
    named = "voc_percent" if name == "voc" and figures.get("unit") == "%" else FIELDS.get(name, name)
    return f"{named}:{key}" if key else named


def value(name: str, text: str | None, figures: Mapping[str, object]) -> SheetValue:
    """The value of a proposal for scripts.

    Args:
        name: the proposal's name.
        text: the text to book.
        figures: its ends, and the words of a substance.
    """
    low, high = _ends(figures)
    if name in LIVES:
        unit = _LIFE_UNITS.get(str(figures.get("unit")), "")
        first = low if low is not None else high
        return SheetValue(_life(first, unit), _life(low, unit), _life(high, unit))
    if name == "solvent":
        return SheetValue(str(figures.get("name") or figures.get("cas") or ""), low, high)
    if name in NUMBERS and (low, high) != (None, None):
        return SheetValue(low if low == high or text is not None else None, low, high)
    if name in ("h_statements", "p_statements", "pictograms") and text is not None:
        return SheetValue(text.split(), None, None)
    return SheetValue(text, None, None)


def _ends(figures: Mapping[str, object]) -> tuple[float | None, float | None]:
    low, high = (figures.get(end) for end in ("low", "high"))
    return _number(low), _number(high)


def _number(figure: object) -> float | None:
    if not isinstance(figure, int | float):
        return None
    return int(figure) if figure == int(figure) else figure


def _life(figure: float | None, unit: str) -> str | None:
    return None if figure is None else f"{pointed(exact(figure))}{unit}"
