"""The layout of one label: its code, its number and its words, all in millimetres, independent of the file format.

The number is never cut: it shrinks, and is broken into lines if that isn't enough. If there is no room for words beside
a code that a scanner can read, only a short code is put beneath it. A name shrinks, then wraps, and is cut last.
"""

from collections.abc import Iterator, Sequence
from typing import Any
from unicodedata import east_asian_width

from stock.errors import UllageError
from stock.language import _
from stock.named_tuples import NamedTuple
from stock.notation import show_day
from stock.shelf.bottles import BottleView, label_of
from stock.text import plain
from stock.units import show_volume

EDGE = 1.0
GAP = 1.0
QUIET = 4
"""Modules left free around a QR code: ISO/IEC 18004."""
FINEST = 0.36
"""Millimetres of a module below which a printer of 203 dots an inch (8 a mm) no longer draws it well: three dots."""
LEAST_CODE = 10.4
"""Millimetres of the smallest code, 21 modules and the quiet ones, at `FINEST`."""
LARGEST_NUMBER, SMALLEST_NUMBER = 4.2, 1.6
LARGEST_NAME, SMALLEST_NAME = 3.4, 1.8
SMALL = 2.8
MOST_NAME_LINES = 3
LEADING = 1.15
_NARROW, _WIDE = "ijl.,:;|!'()[] ", "MW@%mw"


class Words(NamedTuple):
    """A line of text: the left end of its base line, its size, and whether it is bold."""

    x: float
    y: float
    size: float
    bold: bool
    text: str


class Code(NamedTuple):
    """A QR code: its left upper corner, its side with the quiet zone, and the dark modules as (column, row)."""

    x: float
    y: float
    side: float
    modules: int
    dark: tuple[tuple[int, int], ...]


class Swatch(NamedTuple):
    """A small square of the paint's colour: its left upper corner and its colour."""

    x: float
    y: float
    color: str


class Layout(NamedTuple):
    """Everything on one label."""

    code: Code
    words: Sequence[Words]
    swatch: Swatch | None


def lay_out(view: BottleView, width: float, height: float, measures: str) -> Layout:
    """Lay out the label of a bottle.

    Args:
        view: the bottle.
        width, height: the label's, in millimetres.
        measures: the studio's.
    Raises:
        UllageError: the library that draws QR codes isn't installed.
    """
    beside = min(height - 2 * EDGE, width / 2 - EDGE)
    room = width - 2 * EDGE - beside - GAP
    swatched = bool(view.color) and room > 16
    said = _number_lines(view.label, room - 4 if swatched else room, height - 2 * EDGE)
    if beside < LEAST_CODE or said is None:
        return _alone(view, width, height)
    code = _code(view.label, EDGE, (height - beside) / 2, beside) or _short(
        view, EDGE, (height - beside) / 2, beside
    )
    if code is None:
        return _alone(view, width, height)
    left = EDGE + beside + GAP
    swatch = Swatch(width - EDGE - 3, EDGE, view.color) if swatched and view.color else None
    return Layout(
        code,
        list(
            _beside(
                view,
                left=left,
                room=room,
                height=height,
                number=said,
                measures=measures,
                swatch=swatch is not None,
            )
        ),
        swatch,
    )


def _alone(view: BottleView, width: float, height: float) -> Layout:
    """A code, and beneath it only the text that a person can type in its place."""
    own = view.label if len(view.label) <= len(label_of(view.id)) + 2 else label_of(view.id)
    size = min(SMALL, (width - 2 * EDGE) / width_of(own, 1.0, bold=True))
    side = min(width - EDGE, height - EDGE - size * LEADING)
    top = (height - side - size * LEADING) / 2
    code = _code(own, (width - side) / 2, top, side) or _short(view, (width - side) / 2, top, side)
    assert code is not None
    text = own if len(code.dark) else label_of(view.id)
    x = (width - width_of(text, size, bold=True)) / 2
    return Layout(code, [Words(max(x, 0.0), top + side + size * 0.9, size, True, text)], None)


def _short(view: BottleView, x: float, y: float, side: float) -> Code | None:
    """The code of the bottle's number, which is read like its own label."""
    return _code(label_of(view.id), x, y, side)


def _code(text: str, x: float, y: float, side: float) -> Code | None:
    """A QR code of that side length; None if its modules would be too fine for a scanner."""
    matrix: Any = _segno().make(text, error="m", micro=False).matrix
    modules = len(matrix) + 2 * QUIET
    if side / modules < FINEST - 0.01:
        return None
    dark = tuple(
        (column + QUIET, line + QUIET)
        for line, row in enumerate(matrix)
        for column, bit in enumerate(row)
        if bit
    )
    return Code(x, y, side, modules, dark)


def _segno() -> Any:
    try:
        import segno  # an extra, only for labels
    except ImportError:
        raise UllageError(
            _("QR codes can't be drawn here"),
            remedy=_("Install them: pip install 'ullage[labels]'"),
            code="not-installed",
        ) from None
    return segno


def _sizes(largest: float, smallest: float) -> list[float]:
    return [round(largest - 0.2 * step, 1) for step in range(round((largest - smallest) / 0.2) + 1)]


def _number_lines(text: str, room: float, height: float) -> tuple[float, list[str]] | None:
    """The size and the lines of a number that is never cut; None if the room is too small.

    It is on one line if possible, else it is broken at blanks, and within a word only if nothing else helps.
    """
    if room <= 0:
        return None
    sizes = _sizes(LARGEST_NUMBER, SMALLEST_NUMBER)
    for most, whole in ((1, True), (4, True), (4, False)):
        for size in sizes if most == 1 else sizes[4:]:
            lines = wrapped(text, room, size, bold=True, whole=whole)
            if lines and len(lines) <= most and len(lines) * size * LEADING <= height:
                return size, lines
    return None


def _beside(
    view: BottleView,
    *,
    left: float,
    room: float,
    height: float,
    number: tuple[float, list[str]],
    measures: str,
    swatch: bool,
) -> Iterator[Words]:
    """The number, then the name as large as possible, then whatever else fits."""
    size, lines = number
    y = EDGE
    for text in lines:
        y += size * LEADING
        yield Words(left, y - size * (LEADING - 0.95), size, True, text)
    bottom = height - EDGE / 2
    beneath = room if y >= EDGE + 3 or not swatch else room - 4
    size, lines = _name_lines(plain(view.product), beneath, bottom - y)
    for text in lines:
        y += size * LEADING
        yield Words(left, y - size * (LEADING - 0.95), size, True, text)
    about = show_volume(view.size_ul, measures)
    for choices in (
        (_("{about}, lot {lot}", about=about, lot=plain(view.lot)), about) if view.lot else (about,),
        (_("good until {good_until}", good_until=show_day(view.good_until)),) if view.good_until else (),
        (_("open since {opened_on}", opened_on=show_day(view.opened_on)),)
        if view.opened_on
        else ("opened:",),
    ):
        fits = (
            (text, one)
            for text in choices
            for one in _sizes(SMALL, SMALLEST_NUMBER)
            if width_of(text, one) <= room
        )
        text, size = next(fits, ("", 0.0))
        if text and y + size * LEADING <= bottom:
            y += size * LEADING
            yield Words(left, y - size * (LEADING - 0.95), size, False, text)


def _name_lines(text: str, room: float, height: float) -> tuple[float, list[str]]:
    """The largest size at which a name fits in three lines; words are broken last, and the smallest size is cut."""
    for whole in (True, False):
        for size in _sizes(LARGEST_NAME, SMALLEST_NAME):
            lines = wrapped(text, room, size, bold=True, whole=whole)
            if lines and len(lines) <= min(MOST_NAME_LINES, int(height // (size * LEADING))):
                return size, lines
    kept = wrapped(text, room, SMALLEST_NAME, bold=True)[: int(height // (SMALLEST_NAME * LEADING))]
    if kept:
        kept[-1] = _ended(kept[-1], room, SMALLEST_NAME)
    return SMALLEST_NAME, kept


def width_of(text: str, size: float, *, bold: bool = False) -> float:
    """The width of a line in a plain typeface, a little overestimated."""
    ems = sum(
        1.0 if east_asian_width(one) in "WF"
        else 0.34 if one in _NARROW
        else 0.95 if one in _WIDE
        else 0.74 if one.isupper()
        else 0.6
        for one in text
    )  # fmt: skip
    return ems * size * (1.04 if bold else 1.0)


def wrapped(text: str, room: float, size: float, *, bold: bool = False, whole: bool = False) -> list[str]:
    """A text broken into lines that fit the room: at blanks, and within a word that is wider than a line.

    Args:
        text: the text.
        room: millimetres.
        size: of the letters, in millimetres.
        bold: whether they are bold.
        whole: whether no word may be broken; then the result is empty if one would have to be.
    """
    lines = [""]
    for word in text.split(" "):
        longer = f"{lines[-1]} {word}" if lines[-1] else word
        if width_of(longer, size, bold=bold) <= room:
            lines[-1] = longer
            continue
        if whole and width_of(word, size, bold=bold) > room:
            return []
        if lines[-1]:
            lines.append("")
        for letter in word:
            if lines[-1] and width_of(lines[-1] + letter, size, bold=bold) > room:
                lines.append("")
            lines[-1] += letter
    return lines


def _ended(text: str, room: float, size: float) -> str:
    """A bold line, cut to the room and ended with an ellipsis."""
    while text and width_of(text + "…", size, bold=True) > room:
        text = text[:-1]
    return text.rstrip() + "…"
