"""Coloured text as the terminal shows it: fitted to cells, with the colours of the theme."""

from collections.abc import Iterable, Sequence
from functools import lru_cache
from itertools import takewhile
from typing import Protocol

from rich.cells import cell_len, set_cell_size
from rich.segment import Segment
from rich.style import Style
from textual.color import Color
from textual.strip import Strip

from stock.text import SELECTORS, plain
from tui.drawing.bottle import Inks, Line, Run
from tui.themes import LAMP, NAMES

MORE = "…"


class Themed(Protocol):
    """The part of the app that is needed here: the name of its theme, and whether colours are off."""

    theme: str
    no_color: bool


def colours(app: Themed) -> dict[str, str]:
    """The colours of the current theme by name."""
    return NAMES.get(app.theme, LAMP)


def inks(app: Themed) -> Inks:
    """The inks of bottles in the current theme."""
    named = colours(app)
    return Inks(
        outline="outline",
        glass=named["glass"],
        pale_glass=named["pale-glass"],
        dark_glass=named["dark-glass"],
        caution="stop",
        liquid=named["liquid"],
        one_ink=named["outline"] if app.no_color else "",
    )


@lru_cache(maxsize=2048)
def pen(ink: str, ground: str, bold: bool = False) -> Style:
    """A style in two colours, each `#rrggbb` or one of the terminal's own."""
    return Style(color=Color.parse(ink).rich_color, bgcolor=Color.parse(ground).rich_color, bold=bold)


def shown(text: str) -> str:
    """The text with every character replaced that would control the terminal."""
    return text.translate(SELECTORS) if text.isprintable() else plain(text, len(text))


def fit(text: str, width: int, *, right: bool = False) -> str:
    """Exactly `width` cells of text, cut with an ellipsis or padded; wide letters count as two."""
    text = shown(text)
    length = cell_len(text)
    if length > width:
        return set_cell_size(text, width - 1) + "…" if width > 0 else ""
    return " " * (width - length) + text if right else text + " " * (width - length)


def fit_middle(text: str, width: int) -> str:
    """Exactly `width` cells of text, cut in its middle: names of one line differ at their ends."""
    text = shown(text)
    if cell_len(text) <= width or width < 4:
        return fit(text, width)
    head = set_cell_size(text, (width - 1) // 3).rstrip()
    room, tail = width - 1 - cell_len(head), text
    while cell_len(tail) > room:
        tail = tail[1:]
    return fit(f"{head}…{tail}", width)


def apart(name: str, beside: Sequence[str], width: int) -> str:
    """A name in exactly `width` cells, shortened so that it differs from the other names (which include it).

    A name that is too long loses the words with which all the names of its first word begin; if that leaves two of
    them alike, it is cut in its middle, too.
    """
    if cell_len(shown(name)) <= width:
        return fit(name, width)
    alike = [each.split() for each in beside if each.split()[:1] == name.split()[:1]]
    common = len(list(takewhile(lambda each: len(set(each)) == 1, zip(*alike, strict=False))))
    if len(alike) < 2:
        common = 0
    rests = [" ".join(words[min(common, len(words) - 1) :]) for words in alike]
    rest = " ".join(name.split()[min(common, len(name.split()) - 1) :])
    lead = MORE if rest != name else ""
    room = width - cell_len(lead)
    distinct = len(alike) > 1 and len({fit(each, room) for each in rests}) == len(set(rests))
    return lead + (fit if distinct else fit_middle)(rest, room)


def width_of(line: Iterable[Run]) -> int:
    """The width of a line in cells."""
    return sum(cell_len(run.text) for run in line)


def strip_of(
    line: Iterable[Run], width: int, named: dict[str, str], ground: str = "ground", ink: str | None = None
) -> Strip:
    """A line of exactly `width` cells.

    Args:
        line: its runs; colours are the theme's names or `#rrggbb`.
        width: cells to fill; longer lines are cropped.
        named: the theme's colours.
        ground: the ground of runs without one of their own.
        ink: if given, replaces the ink of every run without a ground of its own, as in the selected row.
    """
    behind = named.get(ground, ground)
    segments = []
    for run in line:
        own = run.ground is not None
        colour = run.ink if own or ink is None else ink
        under = named.get(run.ground, run.ground) if run.ground is not None else behind
        segments.append(Segment(shown(run.text), pen(named.get(colour, colour), under, run.bold)))
    filler = pen(named["ink"], behind)
    return Strip(segments).adjust_cell_length(width, filler)


def said(text: str, ink: str = "ink", *, bold: bool = False) -> Line:
    """A line of one colour."""
    return (Run(text, ink, None, bold),)


def heading(text: str, width: int, note: str = "") -> Line:
    """A heading on a strip of tape, a rule nearly to the edge and a note at its end; a cell short of `width`."""
    from rich.cells import cell_len

    tail = f" {note} " if note and cell_len(note) + 16 <= width else ""
    text = fit(text, min(cell_len(text), max(4, width - 5 - cell_len(tail))))
    rest = max(0, width - cell_len(text) - cell_len(tail) - 5)
    return (
        Run("▐", "tape"),
        Run(f" {text} ", "tape-ink", "tape", bold=True),
        Run("▌", "tape"),
        Run("─" * rest, "rule"),
        Run(tail, "quiet"),
    )


def wrapped(text: str, width: int) -> list[str]:
    """The text in lines of at most `width` cells."""
    import textwrap  # only where a caution is shown

    return textwrap.wrap(text, max(12, width)) or [""]
