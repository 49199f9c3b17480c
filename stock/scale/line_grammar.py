"""The grammar of a line that a scale sends over a serial port: sign, figure, unit, and whether it stands still.

Scales write `ST,GS,+  12.34 g`, `12,3 g`, `S D   -0.4 g`, `? 12 g`, `1.5oz` and much else, and no standard says how. So
a line is read leniently if it can mean only one thing, and refused if it can mean two: a wrong weight would be
booked as a wrong volume.
"""

import re
from fractions import Fraction

from stock.language import _
from stock.scale.reading import OVERLOAD, UNDERLOAD, UNITS, ScaleReading, unknown_unit, weighed
from stock.text import plain

LONGEST_LINE = 80
"""The most bytes of a line; a longer one is no reading."""
STABLE = {"ST", "S", "SS", "STABLE"}
UNSTABLE = {"US", "SD", "D", "UN", "UNSTABLE", "MO", "MOTION", "DYN", "?", "~"}
OVER = {"OL", "OVER", "OVERLOAD", "LD", "OF"}
UNDER = {"UL", "UNDER", "UNDERLOAD"}
_FIGURE = re.compile(r"([+-]?)\s*(\d+(?:[.,]\d+)*|\.\d+)\.?(?![\d.,])\s*([A-Za-z%]*)")
_NO_WEIGHT = re.compile(r"\d[eE][+-]?\d|\d[+-]\d")
"""An exponent, a date or a range, a part of which would look like a weight."""
_FLAG = re.compile(r"[A-Z]+|[?~]")
_OVER = re.compile(r"\+{2,}|\^{2,}|\bH{2,}\b|\bE{3,}\b|\+\s*$")
_UNDER = re.compile(r"-{2,}|_{2,}|\bL{2,}\b|-\s*$")


def read_line(line: bytes, *, unit: str = "") -> ScaleReading | None:
    """Read one line of a scale.

    Args:
        line: without its end.
        unit: the unit of a figure that has none, a value of `UNITS`; such a figure is refused when this is empty.
    Returns:
        The reading; None for an empty line.
    """
    bare = line.strip(b" \t\r\n\0\x02\x03")
    if not bare:
        return None
    heard = plain(bare.decode("ascii", "replace"), LONGEST_LINE)
    if len(bare) > LONGEST_LINE or any(not 32 <= byte < 127 and byte != 9 for byte in bare):
        return ScaleReading(heard, refused=_("the line was damaged on its way"), noise=True)
    text = bare.decode("ascii")
    flags = set(_FLAG.findall(text.upper()))
    limit = _beyond(text, flags)
    if limit:
        return ScaleReading(heard, stable=False, refused=limit)
    return _weight(text, heard, unit)


def _beyond(text: str, flags: set[str]) -> str:
    """The reason why a line says that the load is outside the scale's range; empty if it doesn't say so."""
    figures = any(letter.isdigit() for letter in text)
    if flags & OVER or (not figures and _OVER.search(text)):
        return OVERLOAD
    if flags & UNDER or (not figures and _UNDER.search(text)):
        return UNDERLOAD
    return ""


def _weight(text: str, heard: str, unit: str) -> ScaleReading:
    found = list(_FIGURE.finditer(text))
    with_unit = [each for each in found if each[3].lower() in UNITS]
    if len(with_unit) > 1:
        return ScaleReading(heard, refused=_("the scale shows two weights in one line: set it to grams"))
    if _NO_WEIGHT.search(text) or (not with_unit and len(found) != 1):
        return ScaleReading(heard, refused=_("the line holds no weight"), noise=True)
    one = (with_unit or found)[0]
    sign, digits, written = one.groups()
    known = UNITS.get(written.lower(), "") or ("" if written else unit)
    if not known:
        return unknown_unit(heard, written)
    decimal = _decimal(digits)
    if decimal is None:
        return ScaleReading(
            heard,
            refused=_(
                "{digits!r} has a comma that could be a decimal or a thousands mark: set the scale to a "
                "point",
                digits=digits,
            ),
        )
    beside = set(_FLAG.findall(f"{text[: one.start()]} {text[one.end() :]}".upper()))
    stable = False if beside & UNSTABLE else True if beside & STABLE else None
    places = len(decimal.partition(".")[2])
    figure = Fraction(decimal) * (-1 if sign == "-" else 1)
    return weighed(heard, figure, Fraction(1, 10**places), known, stable=stable)


def _decimal(digits: str) -> str | None:
    """A figure with a decimal point; None if its comma could mean two things."""
    whole, comma, rest = digits.rpartition(",")
    if not comma:
        return digits if digits.count(".") <= 1 else None
    if "." in digits or "," in whole:
        thousands = re.fullmatch(r"\d{1,3}(,\d{3})+(\.\d+)?", digits)
        return digits.replace(",", "") if thousands else None
    return None if len(rest) == 3 and whole.lstrip("0") else f"{whole}.{rest}"


class LineBuffer:
    """Bytes as they come in, cut into lines.

    A line that was already being sent when the port was opened has lost its beginning: `12.34 g` would be read from
    `112.34 g`. So everything before the first end of a line is dropped, unless the scale was silent before it.
    """

    ENDS = re.compile(rb"[\r\n\x02\x03]+")

    def __init__(self) -> None:
        self._rest = b""
        self._whole = False

    def begin_whole(self) -> None:
        """Note that the scale was silent, so what comes next is the beginning of a line."""
        self._whole = True

    def feed(self, data: bytes) -> list[bytes]:
        """The lines that these bytes end, in their order."""
        *lines, self._rest = self.ENDS.split(self._rest + data)
        if lines and not self._whole:
            self._whole = True
            lines = lines[1:]
        if len(self._rest) > LONGEST_LINE * 4:  # a line without an end is not from a scale
            self._rest, self._whole = b"", False
        return [line for line in lines if line]
