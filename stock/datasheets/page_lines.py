"""Words of a page and the lines that they make: rows of cells, columns, and lines that repeat on every page."""

import re
import unicodedata
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from types import MappingProxyType

from stock.datasheets.section_titles import heading
from stock.named_tuples import NamedTuple

_SIGNS = str.maketrans(
    {
        "º": "°", "˚": "°", "⁰": "°", "–": "-", "—": "-", "−": "-", "‐": "-", "‑": "-", "‒": "-", "⩾": "≥",
        "⩽": "≤", "÷": "-", "≧": "≥", "≦": "≤", "＜": "<", "＞": ">", "’": "'", "´": "'", "ʼ": "'", "\u00ad": None,
        "\u200b": None, "\u200c": None, "\u200d": None, "\ufeff": None, "\u2060": None, "\t": "  ", "\u00a0": " ",
    }
)  # fmt: skip
_LEADERS = re.compile(r"\s*(?:[.·…_]\s?){4,}\s*")
_BOUNDS = re.compile(r">\s?=|=\s?>|<\s?=|=\s?<")
LONGEST_LINE = 1_000
"""Letters of a line that are read; a page is some 200 wide."""
MOST_LINES = 5_000
"""Lines of a file that are read; a data sheet has up to 2,000."""
WIDE_GAP = 0.9
"""The gap between two words that separates cells, in letter heights; a blank is about a third of the height."""


class Word(NamedTuple):
    """A word and its place on the page in points from the top left corner."""

    text: str
    x0: float
    x1: float
    top: float
    bottom: float


class Cell(NamedTuple):
    """Words of one line that stand close together, and where they begin: in points, or in letters of plain text."""

    text: str
    x0: float = 0


class SheetLine(NamedTuple):
    """One line of a sheet: the page, from 1 (0 where the file has no pages), and its number on it, from 1."""

    page: int
    number: int
    cells: tuple[Cell, ...]

    @property
    def text(self) -> str:
        """All its words, cells parted by two blanks."""
        return "  ".join(cell.text for cell in self.cells)


class SheetText(NamedTuple):
    """The text that one reader found in a file.

    Attributes:
        name: the reader.
        lines: of the body, in the order read.
        running: lines that repeat in page headers or footers, each once.
        begins: if the reader skipped pages, the section in which each of its pages begins.
        scanned: whether the text was recognised by a machine from the picture of a page.
    """

    name: str
    lines: tuple[SheetLine, ...]
    running: tuple[SheetLine, ...] = ()
    begins: Mapping[int, int | None] = MappingProxyType({})
    scanned: bool = False


def tidied(text: str) -> str:
    """A text in the signs that the parsers know: one kind of dash, blank, degree sign and bound; no superscripts.

    Dot leaders become a colon.
    """
    plain = unicodedata.normalize("NFKC", text.translate(_SIGNS)).translate(_SIGNS)
    plain = "".join(" " if unicodedata.category(sign) in ("Zs", "Cc") else sign for sign in plain)
    plain = _BOUNDS.sub(lambda found: "≥" if ">" in found[0] else "≤", plain)
    return _LEADERS.sub(": ", plain).strip()


def joined(line: SheetLine, *below: SheetLine) -> SheetLine:
    """A line joined with the lines below in which its text continues."""
    return line._replace(cells=tuple(cell for each in (line, *below) for cell in each.cells))


def of_text(page: int, number: int, text: str) -> SheetLine:
    """A line of plain text; two blanks, a tab or an upright stroke separate cells, which are placed by letters."""
    plain = text[:LONGEST_LINE].translate(_SIGNS)
    parts = re.finditer(r"(?:(?!\s{2,}|\s*\|).)+", plain)
    cells = [Cell(tidied(part[0].strip(" |")), float(part.start())) for part in parts]
    return SheetLine(page, number, tuple(cell for cell in cells if cell.text))


def of_words(page: int, width: float, words: Sequence[Word]) -> list[SheetLine]:
    """The lines of a page from its placed words: column by column, rows from the top, cells from the left."""
    lines: list[SheetLine] = []
    for column in _columns(width, _rows(words)):
        for row in column:
            cells = tuple(_cells(row))
            if cells:
                lines.append(SheetLine(page, len(lines) + 1, cells))
    return lines


def _rows(words: Iterable[Word]) -> list[list[Word]]:
    """Words whose middles lie within the height of the row's first word; each row from the left."""
    rows: list[list[Word]] = []
    for word in sorted(words, key=lambda each: (each.top + each.bottom, each.x0)):
        middle = (word.top + word.bottom) / 2
        if rows and _within(middle, rows[-1]):
            rows[-1].append(word)
        else:
            rows.append([word])
    return [sorted(row, key=lambda each: each.x0) for row in rows]


def _within(middle: float, row: Sequence[Word]) -> bool:
    """Whether a middle, which lies no higher than that of the row's first word, is beside that word."""
    first = row[0]
    return middle <= first.bottom - 0.25 * (first.bottom - first.top)


def _cells(row: Sequence[Word]) -> Iterator[Cell]:
    held: list[Word] = []
    for word in row:
        if held and word.x0 - held[-1].x1 > WIDE_GAP * (word.bottom - word.top):
            yield _cell(held)
            held = []
        held.append(word)
    if held:
        yield _cell(held)


def _cell(words: Sequence[Word]) -> Cell:
    return Cell(tidied(" ".join(word.text for word in words)[:LONGEST_LINE]), words[0].x0)


def _columns(width: float, rows: Sequence[list[Word]]) -> list[list[list[Word]]]:
    """The rows of each column: two where a gutter near the middle parts a page of running text, else one.

    A table of labels and values has such a gap, too; its left cells are short, and it stays one column.
    """
    gutter = _gutter(width, rows)
    if gutter is None:
        return [list(rows)]
    columns: list[list[list[Word]]] = []
    left: list[list[Word]] = []
    right: list[list[Word]] = []
    for row in rows:
        if any(word.x0 < gutter < word.x1 for word in row):
            columns += [left, right, [row]]
            left, right = [], []
        else:
            left.append([word for word in row if word.x0 < gutter])
            right.append([word for word in row if word.x0 >= gutter])
    filled = ([row for row in column if row] for column in (*columns, left, right))
    return [column for column in filled if column]


def _gutter(width: float, rows: Sequence[list[Word]]) -> float | None:
    """The place of the gutter on a page with two columns of text, or None."""
    if len(rows) < 12:
        return None
    best: tuple[int, float] | None = None
    for step in range(36, 65):
        at = width * step / 100
        crossing = sum(_crosses(row, at) for row in rows)
        if best is None or crossing < best[0]:
            best = crossing, at
    assert best is not None
    crossing, at = best
    if crossing > 0.15 * len(rows):
        return None
    both = [row for row in rows if row[0].x0 < at <= row[-1].x0 and not _crosses(row, at)]
    left = [[word for word in row if word.x0 < at] for row in both]
    headed = any(_heads(row, at) for row in rows)
    # Running text is one cell; a row of a table that fills the room has several.
    long = sum(_filled(words, at) > 0.6 and len(list(_cells(words))) == 1 for words in left)
    if len(both) >= 8 and (headed or long > 0.5 * len(both)):
        return at
    return None


def _crosses(row: Sequence[Word], at: float) -> bool:
    return any(word.x0 - 2 < at < word.x1 + 2 for word in row)


def _filled(words: Sequence[Word], edge: float) -> float:
    """The share of the space left of the gutter that is filled, from the first word on."""
    start = words[0].x0
    return (words[-1].x1 - start) / max(edge - start, 1)


def _heads(row: Sequence[Word], at: float) -> bool:
    """Whether a section begins to the right of the gutter."""
    right = " ".join(word.text for word in row if word.x0 >= at)
    return heading(tidied(right)) is not None


def without_running(name: str, lines: Sequence[SheetLine]) -> SheetText:
    """A reading with the lines of page headers and footers kept apart; they repeat, apart from digits."""
    pages: dict[int, list[SheetLine]] = {}
    for line in lines[:MOST_LINES]:
        pages.setdefault(line.page, []).append(line)
    seen = Counter(key for each in pages.values() for key in {_blurred(line) for line in _edges(each)})
    least = max(2, round(0.6 * len(pages)))
    repeated = {key for key, times in seen.items() if times >= least}
    body: list[SheetLine] = []
    running: dict[str, SheetLine] = {}
    for each in pages.values():
        edge = set(_edges(each))
        for line in each:
            key = _blurred(line)
            if key in repeated and line in edge and heading(line.text) is None:
                running.setdefault(key, line)
            else:
                body.append(line)
    return SheetText(name, tuple(body), tuple(running.values()))


def _edges(lines: Sequence[SheetLine]) -> list[SheetLine]:
    return [*lines[:6], *lines[-5:]]


def _blurred(line: SheetLine) -> str:
    return re.sub(r"\d+", "#", re.sub(r"\s+", " ", line.text.casefold()))
