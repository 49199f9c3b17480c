"""A report as lines of a screen: its tables as wide as they are, in fewer cells folded, wrapped, or one fact a part."""

from collections.abc import Sequence
from itertools import zip_longest
from typing import TYPE_CHECKING

from rich.cells import cell_len

from tui.drawing.bottle import Line, Run
from tui.drawing.strips import fit, heading, wrapped

if TYPE_CHECKING:
    from stock.logbook.report import Cell, Report, ReportTable

GAP = 2
LEAST_CELLS = 14
"""A column of words isn't made narrower: fewer cells break most words."""


def lines_of_report(report: "Report", width: int) -> list[Line]:
    """A report in lines of at most `width` cells: title, tables, and the rules beneath. No figure is ever cut."""
    lines: list[Line] = [(Run(report.title, "ink", None, bold=True),)]
    lines += [(Run(text, "quiet"),) for text in wrapped(f"{report.studio}, {report.about}", width)]
    for table in report.tables:
        lines += [(), heading(table.title, width), *_table(table, width)]
    lines += [()]
    for note in report.notes:
        lines += [(Run(text, "quiet"),) for text in wrapped(note, width)]
    return lines


def _table(table: "ReportTable", width: int) -> list[Line]:
    rows = [_texts(row) for row in table.rows]
    if not rows:
        return [(Run(" none", "quiet"),)]
    totals = _texts(table.totals) if table.totals else []
    right = [head.endswith(">") for head in table.heads]
    heads = [head.rstrip(">") for head in table.heads]
    every = [*rows, *([totals] if totals else [])]
    longest = [max(cell_len(row[n]) for row in every) for n in range(len(heads))]
    words = [max((cell_len(part) for part in head.split()), default=0) for head in heads]
    wide = [max(pair) for pair in zip(longest, words, strict=True)]
    folded = _all_cells(wide) > width and not right[0]
    columns = list(range(1 if folded else 0, len(heads)))
    if not _narrow(wide, words, right, columns, width):
        return _parts(heads, rows, totals, width)
    drawn = _row(heads, wide, right, columns, "quiet")
    for row in rows:
        drawn += _folded(row, folded) + _row(row, wide, right, columns, "ink")
    if totals:
        drawn += _folded(totals, folded) + _row(totals, wide, right, columns, "ink", bold=True)
    return drawn


def _texts(row: "Sequence[Cell]") -> list[str]:
    return ["" if cell is None else str(cell) for cell in row]


def _all_cells(wide: Sequence[int]) -> int:
    return 1 + sum(wide) + GAP * (len(wide) - 1)


def _narrow(wide: list[int], words: list[int], right: list[bool], columns: list[int], width: int) -> bool:
    """Take cells from the widest columns of words until all fit; whether they do."""
    while _all_cells([wide[n] for n in columns]) > width:
        spare = [n for n in columns if not right[n] and wide[n] > max(LEAST_CELLS, words[n])]
        if not spare:
            return False
        wide[max(spare, key=wide.__getitem__)] -= 1
    return True


def _folded(row: list[str], folded: bool) -> list[Line]:
    """The first cell on a line of its own."""
    return [(Run(f" {row[0]}", "ink", None, True),)] if folded and row[0] else []


def _row(
    row: list[str], wide: list[int], right: list[bool], columns: list[int], ink: str, *, bold: bool = False
) -> list[Line]:
    """A row in as many lines as its longest cell needs."""
    cells = [_cell(row[n], wide[n]) for n in columns]
    return [
        (Run(" " + (" " * GAP).join(_placed(parts, wide, right, columns)), ink, None, bold),)
        for parts in zip_longest(*cells, fillvalue="")
    ]


def _cell(text: str, room: int) -> list[str]:
    """A cell's lines, which `wrapped` alone would make at least 12 cells wide."""
    import textwrap

    return [text] if cell_len(text) <= room else textwrap.wrap(text, room) or [""]


def _placed(parts: Sequence[str], wide: list[int], right: list[bool], columns: list[int]) -> list[str]:
    return [fit(part, wide[n], right=right[n]) for part, n in zip(parts, columns, strict=True)]


def _parts(heads: list[str], rows: list[list[str]], totals: list[str], width: int) -> list[Line]:
    """Each row as its first cell, and beneath it the others, each behind its heading."""
    drawn: list[Line] = []
    for row in [*rows, *([totals] if totals else [])]:
        drawn += [(Run(f" {text}", "ink", None, True),) for text in wrapped(row[0], width - 1)]
        others = [(head, cell) for head, cell in zip(heads[1:], row[1:], strict=True) if cell]
        details = "; ".join(f"{head}: {cell}" if head else cell for head, cell in others)
        drawn += [(Run(f"  {text}", "ink"),) for text in wrapped(details, width - 2)]
    return drawn
