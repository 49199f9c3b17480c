"""Output on a plain terminal: tables, and a progress bar."""

import sys
import unicodedata
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from datetime import date
from itertools import accumulate
from typing import TYPE_CHECKING

from stock.language import _
from stock.notation import in_thousands, show_day, shown
from stock.text import plain

if TYPE_CHECKING:
    from stock.exchange.progress import OnProgress

GAP = "  "
BAR = 24


def _columns(letter: str) -> int:
    if unicodedata.combining(letter):
        return 0
    return 2 if unicodedata.east_asian_width(letter) in "WF" else 1


def width(text: str) -> int:
    """The columns that a text takes: wide letters take two, combining marks none."""
    return sum(map(_columns, text))


def fit(text: str, columns: int, *, right: bool = False) -> str:
    """The text in exactly that many columns, cut with an ellipsis or padded."""
    cut = text
    if width(text) > columns:
        kept = sum(reached < columns for reached in accumulate(map(_columns, text)))
        cut = text[:kept] + "…"
    pad = " " * (columns - width(cut))
    return pad + cut if right else cut + pad


def _words(cell: object) -> str:
    """A cell in words, with days and figures in the studio's notation."""
    if cell is None:
        return ""
    if isinstance(cell, date):
        return show_day(cell)
    return shown().figure(str(cell)) if isinstance(cell, int | float) else str(cell)


def table(heads: Sequence[str], rows: Iterable[Sequence[object]], *, most: int = 34) -> list[str]:
    """Lines of a table; a head that ends with `>` sets its column to the right."""
    right = [head.endswith(">") for head in heads]
    cells = [[head.rstrip(">") for head in heads]] + [[plain(_words(cell)) for cell in row] for row in rows]
    widths = [min(most, max(width(row[column]) for row in cells)) for column in range(len(heads))]
    return [
        GAP.join(fit(cell, widths[column], right=right[column]) for column, cell in enumerate(row)).rstrip()
        for row in cells
    ]


@contextmanager
def progress() -> Iterator["OnProgress | None"]:
    """A function that draws a progress bar on stderr and removes it at the end; None if stderr is no terminal."""
    if not sys.stderr.isatty():
        yield None
        return

    def draw(what: str, rows: int, of: int) -> None:
        done = min(rows / of, 1.0) if of else 0.0
        sys.stderr.write(
            _(
                "\r\x1b[K{what} [{bar:<{width}}] {done:4.0%} {rows} rows",
                what=what,
                bar="#" * round(BAR * done),
                width=BAR,
                done=done,
                rows=in_thousands(rows),
            )
        )
        sys.stderr.flush()

    try:
        yield draw
    finally:
        sys.stderr.write("\r\x1b[K")
