"""How long a two-part product can be used once mixed, as its sheet says: `4h`, `4h; 2h from 30C`.

Heat shortens it only if the sheet says so; no rule of thumb is applied.
"""

import re
from typing import Any

from stock import units
from stock.errors import BadInput
from stock.grammar import tidy
from stock.language import _
from stock.units import MilliCelsius, show_temperature

_PART = re.compile(r"(\d+(?:[.,]\d+)?)\s*(days?|d|hours?|hrs?|h|minutes?|mins?|min)\s*", re.IGNORECASE)
_MINUTES = {"d": 24 * 60, "h": 60, "m": 1}
_HOT = re.compile(r"\s*(?:;|,)\s*(?P<life>.+?)\s+(?:from|at)\s+(?P<degrees>.+)", re.IGNORECASE)
LONGEST_MINUTES = 30 * 24 * 60
HOW = _("Write it as 4h, 45min or 1h30min, and with heat as 4h; 2h from 30C")


def minutes_of(text: str) -> int:
    """A pot life in minutes.

    Raises:
        BadInput: no time in minutes, hours or days, less than a minute, or more than 30 days.
    """
    tidied = tidy(text, _("pot life"), HOW)
    parts = list(_PART.finditer(tidied))
    if not parts or "".join(part.group() for part in parts) != tidied:
        raise BadInput(_("{text!r} is no pot life", text=text[:40]), remedy=HOW)
    figures = [float(part[1].replace(",", ".")) * _MINUTES[part[2][0].lower()] for part in parts]
    minutes = round(sum(figures))
    if not 1 <= minutes <= LONGEST_MINUTES:
        raise BadInput(_("{text!r} is no pot life from a minute to 30 days", text=text[:40]), remedy=HOW)
    return minutes


def read(text: str) -> dict[str, Any]:
    """The columns of a product for its pot life, and for its pot life in the heat if given.

    Raises:
        BadInput: it can't be read, or heat doesn't shorten it.
    """
    hot = _HOT.search(text)
    minutes = minutes_of(text[: hot.start()] if hot else text)
    if hot is None:
        return {"pot_life_minutes": minutes, "hot_pot_life_minutes": None, "hot_pot_life_mc": None}
    hot_minutes = minutes_of(hot["life"])
    if hot_minutes >= minutes:
        raise BadInput(
            _(
                "{hot_minutes} in the heat is no shorter than {minutes}",
                hot_minutes=in_words(hot_minutes),
                minutes=in_words(minutes),
            ),
            remedy=_("Write the shorter one after the semicolon"),
        )
    degrees = units.temperature(hot["degrees"])
    return {"pot_life_minutes": minutes, "hot_pot_life_minutes": hot_minutes, "hot_pot_life_mc": degrees}


def written(row: Any) -> str:
    """The text that `read` reads back to a product's columns; empty if nothing is known."""
    if row.pot_life_minutes is None:
        return ""
    text = in_words(row.pot_life_minutes).replace(" ", "")
    if row.hot_pot_life_minutes is None or row.hot_pot_life_mc is None:
        return text
    degrees = show_temperature(MilliCelsius(row.hot_pot_life_mc)).replace(" ", "").replace("°", "")
    return _(
        "{text}; {replace} from {degrees}",
        text=text,
        replace=in_words(row.hot_pot_life_minutes).replace(" ", ""),
        degrees=degrees,
    )


def in_words(minutes: int) -> str:
    """`45 min`, `4 h`, `1 h 30 min`."""
    hours, rest = divmod(minutes, 60)
    return " ".join([*([f"{hours} h"] if hours else []), *([f"{rest} min"] if rest or not hours else [])])
