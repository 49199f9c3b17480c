"""A product's pH as its sheet prints it: `12.5`, `11-13`, `> 12`, kept as both ends in thousandths.

A bound is open towards its end of the scale, so `> 12` is kept as 12 to 14. The scale is 0 to 14: a strong acid or a
strong lye can be measured beyond it, but no rule tells such figures from the scale's ends.
"""

import re
from typing import Any

from stock.errors import BadInput
from stock.grammar import figure_and_unit, tidy
from stock.language import _

LOWEST_MILLI, HIGHEST_MILLI = 0, 14_000
ACID_MILLI, LYE_MILLI = 2_000, 12_500
"""Ends of what is corrosive by its pH: 2 or below, 12.5 or above. 40 CFR 261.22(a)(1)."""
HOW = _("a pH from 0 to 14, such as 12.5, 11-13 or >12")
_RANGE = r"(?P<low>[^\s-].*?)\s*(?:\.\.|-|–|\bto\b)\s*(?P<high>\S.*)"
_BOUND = r"(?P<sign>[<>≤≥]=?)\s*(?P<figure>.+)"


def read(text: str) -> dict[str, Any]:
    """The columns of a product for its pH.

    Args:
        text: one figure, two as a range with the lower first, or a bound.
    Raises:
        BadInput: no pH, one outside 0 to 14, or a range whose higher end comes first.
    """
    tidied = tidy(text, _("pH"), HOW)
    bound, parts = re.fullmatch(_BOUND, tidied), re.fullmatch(_RANGE, tidied)
    if bound is not None:
        end = _milli(bound["figure"])
        low, high = (LOWEST_MILLI, end) if bound["sign"][0] in "<≤" else (end, HIGHEST_MILLI)
    elif parts is not None:
        low, high = _milli(parts["low"]), _milli(parts["high"])
        if low > high:
            raise BadInput(
                _("the pH {tidied!r} does not have the lower end first", tidied=tidied),
                remedy=_("Write {how}", how=HOW),
            )
    else:
        low = high = _milli(tidied)
    return {"ph_low_milli": low, "ph_high_milli": high}


def _milli(text: str) -> int:
    figure, unit = figure_and_unit(text, _("pH"), HOW, signed=True)
    milli = round(figure * 1_000)
    if unit or not LOWEST_MILLI <= milli <= HIGHEST_MILLI:
        end = 0 if milli < LOWEST_MILLI else 14
        beyond = _("; {end} where the sheet prints one beyond the scale", end=end) if not unit else ""
        raise BadInput(
            _("{text!r} is no pH", text=text), remedy=_("Write {how}{beyond}", how=HOW, beyond=beyond)
        )
    return milli


def written(row: Any) -> str:
    """The text that `read` reads back to a product's columns; empty where it isn't known."""
    from stock.shelf.record_texts import thousandths  # it shows a product's pH through this module

    if row.ph_low_milli is None or row.ph_high_milli is None:
        return ""
    low, high = thousandths(row.ph_low_milli), thousandths(row.ph_high_milli)
    return low if low == high else f"{low}-{high}"


def is_extreme(low_milli: int | None, high_milli: int | None) -> bool:
    """Whether the worse end of a pH is corrosive; False for an unknown pH."""
    return (low_milli is not None and low_milli <= ACID_MILLI) or (
        high_milli is not None and high_milli >= LYE_MILLI
    )


def of_parts(ends: list[tuple[int | None, int | None]]) -> tuple[int | None, int | None]:
    """Both ends of a mixture's pH; None if a part's is unknown and no other part's is corrosive."""
    lows = [low for low, _ in ends if low is not None]
    highs = [high for _, high in ends if high is not None]
    low, high = min(lows, default=None), max(highs, default=None)
    return (low, high) if len(lows) == len(ends) or is_extreme(low, high) else (None, None)


def refuse_forgetting(before: Any, now: Any) -> None:
    """Refuse an errand that makes a corrosive pH unknown, because waste codes depend on it.

    Args:
        before, now: the product or the line as it was, and as it would be.
    Raises:
        BadInput: the pH was corrosive and isn't known any more.
    """
    if now.ph_low_milli is None and is_extreme(before.ph_low_milli, before.ph_high_milli):
        raise BadInput(
            _("the pH {before} of {name} can't become unknown", before=written(before), name=before.name),
            remedy=_("Write what the sheet says instead; nothing was changed"),
        )
