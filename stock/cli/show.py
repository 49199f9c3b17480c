"""How answers look on a plain terminal: tables, and texts that can't do anything but be read."""

import unicodedata
from collections.abc import Iterable, Sequence

from stock.text import plain

GAP = "  "


def width(text: str) -> int:
    """Columns a text takes: wide letters take two, combining marks none."""
    return sum(
        0 if unicodedata.combining(letter) else 2 if unicodedata.east_asian_width(letter) in "WF" else 1
        for letter in text
    )


def fit(text: str, columns: int, *, right: bool = False) -> str:
    """The text in exactly that many columns, cut with an ellipsis or padded."""
    cut = text
    while width(cut) > columns:
        cut = cut[:-2] + "…" if cut.endswith("…") else cut[:-1] + "…"
    pad = " " * (columns - width(cut))
    return pad + cut if right else cut + pad


def table(heads: Sequence[str], rows: Iterable[Sequence[object]], *, most: int = 34) -> list[str]:
    """Lines of a table; a head that ends with `>` sets its column to the right."""
    right = [head.endswith(">") for head in heads]
    cells = [[head.rstrip(">") for head in heads]] + [
        ["" if cell is None else plain(str(cell)) for cell in row] for row in rows
    ]
    widths = [min(most, max(width(row[column]) for row in cells)) for column in range(len(heads))]
    return [
        GAP.join(fit(cell, widths[column], right=right[column]) for column, cell in enumerate(row)).rstrip()
        for row in cells
    ]
