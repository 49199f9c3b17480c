"""Colours by name: the 148 named colours of CSS Color Module Level 4, section 6.1, and hexadecimal ones.

A name stands for a swatch on the shelf, not for the maker's name of the paint.
"""

import re
from difflib import get_close_matches
from functools import cache
from importlib import resources

from stock.errors import BadInput
from stock.language import _
from stock.text import folded, plain

HEX = re.compile(r"#?([0-9a-f]{6}|[0-9a-f]{3})")
ACCEPTED = _("Write a name such as navy or dark orange, or #2a6f97")


@cache
def by_name() -> dict[str, str]:
    """Each name and its #rrggbb, in the order of the standard."""
    text = resources.files("stock.shelf").joinpath("colour_names.txt").read_text(encoding="utf-8")
    lines = [line for line in text.splitlines() if not line.startswith("#")]
    return {name: color for name, _, color in (line.rpartition(" ") for line in lines)}


def read(text: str) -> str:
    """A colour as #rrggbb.

    Args:
        text: a name with or without blanks and hyphens, or three or six hexadecimal digits.
    Raises:
        BadInput: neither; the closest names are listed.
    """
    written = folded(text)
    found = HEX.fullmatch(written)
    if found is not None:
        digits = found[1] if len(found[1]) == 6 else "".join(digit * 2 for digit in found[1])
        return f"#{digits}"
    run_together = {_together(name): color for name, color in by_name().items()}
    if _together(written) in run_together:
        return run_together[_together(written)]
    close = get_close_matches(written, by_name(), n=3)
    remedy = (
        _("Did you mean {close}? {accepted}", close=", ".join(close), accepted=ACCEPTED)
        if close
        else ACCEPTED
    )
    raise BadInput(_("{text!r} is no colour", text=plain(text, 40)), remedy=remedy)


def name_of(color: str | None) -> str:
    """The first name of a colour; empty if it has none."""
    return next((name for name, known in by_name().items() if known == color), "")


def _together(name: str) -> str:
    return name.replace(" ", "").replace("-", "")
