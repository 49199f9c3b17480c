"""The rows of a CSV file, each with the line on which it begins; used for spreadsheets and exported folders.

Quotes are checked strictly, because a quote that is never closed would swallow the rows below it: such a file is
refused with the line on which the quote opens. A quoted cell may hold line breaks; a quote inside a bare cell
(`5" cup`) is a sign like any other. No more than one row is held at a time.
"""

import csv
from collections.abc import Iterator
from typing import IO

from stock.errors import BadInput
from stock.language import _
from stock.named_tuples import NamedTuple
from stock.notation import in_thousands
from stock.remedies import Option, Remedy

LONGEST_CELL = 1_000_000
"""Letters that the csv module may gather in one cell before it gives up; a caller's own limit is lower or equal."""
LONGEST_LINE = 5_000_000


class CsvRow(NamedTuple):
    """One row: the line on which it begins, its cells, and its text as it stands in the file."""

    line: int
    cells: list[str]
    text: str

    @property
    def broken(self) -> bool:
        """Whether the row spans several lines, as a quoted cell may."""
        return len(self.text.splitlines()) > 1


def read(file: IO[str], *, name: str, delimiter: str = ",", longest: int = LONGEST_CELL) -> Iterator[CsvRow]:
    """Every row of an open text file; a blank line is a row without cells.

    Args:
        file: opened with `newline=""`.
        name: what the file is called in a refusal.
        delimiter: the sign between two cells.
        longest: the most letters a cell may have, at most 1,000,000.
    Raises:
        BadInput: a quote that isn't closed, text behind a closing quote, a cell or line without end, or a NUL
            byte; says the line.
        UnicodeError, OSError: raised by the file itself.
    """
    csv.field_size_limit(LONGEST_CELL)
    lines = _Lines(file, name)
    rows = csv.reader(lines, delimiter=delimiter, strict=True)
    while True:
        lines.gathered.clear()
        begins = lines.number + 1
        try:
            cells = next(rows, None)
        except csv.Error:
            raise _refusal(name, begins, "".join(lines.gathered), delimiter, longest) from None
        if cells is None:
            return
        text = "".join(lines.gathered)
        if len(text) > longest and any(len(cell) > longest for cell in cells):
            raise _refusal(name, begins, text, delimiter, longest)
        yield CsvRow(begins, cells, text)


class _Lines:
    """The lines of a file; those of the row that is being read are gathered."""

    def __init__(self, file: IO[str], name: str) -> None:
        self.file, self.name = file, name
        self.number = 0
        self.gathered: list[str] = []

    def __iter__(self) -> Iterator[str]:
        return self

    def __next__(self) -> str:
        line = self.file.readline(LONGEST_LINE)
        if not line:
            raise StopIteration
        self.number += 1
        if len(line) == LONGEST_LINE:
            raise BadInput(
                _(
                    "line {number} of {name} is longer than {longest_line} letters",
                    number=self.number,
                    name=self.name,
                    longest_line=in_thousands(LONGEST_LINE),
                ),
                remedy=_("Is it a table? Save it as CSV, a row to a line"),
            )
        if "\0" in line:
            raise BadInput(
                _("line {number} of {name} holds a NUL byte", number=self.number, name=self.name),
                remedy=Remedy(
                    _("Save it anew as CSV in UTF-8, or name its encoding "), Option("encoding", "utf-16-le")
                ),
            )
        self.gathered.append(line)
        return line


def _refusal(name: str, begins: int, text: str, delimiter: str, longest: int) -> BadInput:
    """The cause of the csv module's failure, found by the quote that opens the last quoted cell of the row."""
    opened, closed, inside = _last_quoted_cell(text, delimiter)
    opens_on, ends_on = begins + _breaks(text[:opened]), begins + _breaks(text[:closed])
    if opened >= 0 and (inside or ends_on > opens_on):
        return BadInput(
            _(
                "a quote opens on line {opens_on} of {name} and isn't closed where its cell ends",
                opens_on=opens_on,
                name=name,
            ),
            remedy=_(
                "Close it on line {opens_on}, or write a quote that is meant as a sign twice",
                opens_on=opens_on,
            ),
        )
    if closed > opened >= 0 and text[closed : closed + 1] not in (delimiter, "\r", "\n", ""):
        return BadInput(
            _("on line {ends_on} of {name} text stands behind a closing quote", ends_on=ends_on, name=name),
            remedy=_("Write a quote inside a quoted cell twice, or take the quotes away"),
        )
    return BadInput(
        _(
            "a cell on line {begins} of {name} is longer than {longest} letters",
            begins=begins,
            name=name,
            longest=in_thousands(longest),
        ),
        remedy=_("Is it a table? Shorten the cell, or save the file anew as CSV"),
    )


def _last_quoted_cell(text: str, delimiter: str) -> tuple[int, int, bool]:
    """Where the last quoted cell of a row opens (-1 if none), where it is closed, and whether it never is."""
    opened, closed, at, starts = -1, -1, 0, True
    while at < len(text):
        if starts and text[at] == '"':
            opened, at = at, at + 1
            while True:
                quote = text.find('"', at)
                if quote < 0:
                    return opened, len(text), True
                if text[quote + 1 : quote + 2] != '"':
                    break
                at = quote + 2
            closed = at = quote + 1
            if text[at : at + 1] not in (delimiter, "\r", "\n", ""):
                return opened, closed, False
        starts = text[at : at + 1] == delimiter
        at += 1
    return opened, closed, False


def _breaks(text: str) -> int:
    """How many lines end in a text, as a file opened with `newline=""` counts them."""
    return text.count("\n") + text.count("\r") - text.count("\r\n")
