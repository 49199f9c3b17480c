"""A spreadsheet as other programs save it: encodings, byte order marks, delimiters, quotes; read as a stream."""

import codecs
import hashlib
from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import islice
from pathlib import Path

from stock.errors import BadInput
from stock.exchange import csv_rows
from stock.exchange.cells import restored
from stock.exchange.csv_rows import CsvRow
from stock.remedies import Option, Remedy
from stock.store import paths
from stock.text import plain

DELIMITERS = {"comma": ",", "semicolon": ";", "tab": "\t", "bar": "|"}
MARKS = (
    (codecs.BOM_UTF8, "utf-8-sig"),
    (codecs.BOM_UTF32_LE, "utf-32"),
    (codecs.BOM_UTF32_BE, "utf-32"),
    (codecs.BOM_UTF16_LE, "utf-16"),
    (codecs.BOM_UTF16_BE, "utf-16"),
)
BLOCK = 1 << 20
LONGEST_CELL = 10_000
LONGEST_HEAD = 100_000
MOST_COLUMNS = 500
SAMPLE = 2_000


@dataclass(frozen=True, slots=True)
class Spreadsheet:
    """A spreadsheet file that was looked at: how it is to be read, its heads and its first rows.

    `heads` are cleaned for showing; `guessed` says that the encoding is a guess. `sample` is (line, cells). `lines`
    counts line breaks, of which a quoted cell may hold some; it tells how far the reading has come.
    """

    path: Path
    encoding: str
    delimiter: str
    heads: tuple[str, ...]
    head_line: int
    sample: tuple[tuple[int, tuple[str, ...]], ...]
    digest: str
    guessed: bool = False
    lines: int = 0

    def rows(self) -> Iterator[tuple[int, list[str], BadInput | None]]:
        """(line, cells, doubt) of every row below the heads that isn't wholly empty; cells stripped and restored.

        A row that is short is filled up with empty cells, since programs leave empty cells at the end away. The
        line is the one on which the row begins; `doubt` is why the row can't be taken as it stands, if it can't.
        """
        wide = len(self.heads)
        for row in _rows(self.path, self.encoding, self.delimiter):
            if row.line <= self.head_line:
                continue
            tidy = [restored(cell.strip()) if cell else cell for cell in row.cells]
            if any(tidy):
                yield row.line, tidy + [""] * (wide - len(tidy)), _doubt(row, wide, self.delimiter)


def _doubt(row: CsvRow, wide: int, delimiter: str) -> BadInput | None:
    """Why a row that reads as CSV may still not be what its writer meant."""
    if len(row.cells) > wide and any(cell.strip() for cell in row.cells[wide:]):
        return BadInput("it has more cells than heads", remedy="Is a cell with a comma unquoted?")
    if '"' in row.text and any(cell[:1].isspace() and cell.lstrip()[:1] == '"' for cell in row.cells):
        return BadInput("a blank stands before a quote", remedy="Take the blank away, or the quotes")
    if row.broken and swallows(row.cells, wide, delimiter):
        return BadInput(
            "a quoted cell of it runs on over what looks like further rows",
            remedy="Close the quote where its cell ends, or take the line breaks out of the cell",
        )
    return None


def swallows(cells: Iterable[str], wide: int, delimiter: str) -> bool:
    """Whether a cell holds a whole row of `wide` cells on a line of its own, as behind a quote left open."""
    inner = (line for cell in cells for line in cell.splitlines()[1:])
    return any(line.count(delimiter) >= max(wide - 1, 1) for line in inner)


def look(path: str, *, encoding: str | None = None, delimiter: str | None = None) -> Spreadsheet:
    """Find out how a file is written and read its heads.

    Args:
        encoding: a name such as `utf-8` or `cp1252`; found out when None.
        delimiter: a key of `DELIMITERS` or the character itself; found out when None.
    Raises:
        BadInput: it can't be read, holds no rows, or a head stands twice.
    """
    target = Path(path)
    try:
        _require_file(target)
        found, digest, breaks = _encoding(target, encoding)
        guessed = encoding is None and found == "cp1252"
        separator = _delimiter(target, found, delimiter)
    except OSError as error:
        raise BadInput(
            f"{plain(path)} can't be read: {error.strerror}", remedy="Name another file"
        ) from error
    rows = _rows(target, found, separator)
    head = next((row for row in rows if any(cell.strip() for cell in row.cells)), CsvRow(0, [], ""))
    if head.broken and swallows(head.cells, len(head.cells), separator):
        raise BadInput(
            f"a quoted head on line {head.line} of {plain(target.name)} runs on over what looks like further rows",
            remedy="Close the quote where its cell ends",
        )
    heads, head_line = head.cells, head.line
    tidy = [plain(" ".join(restored(head.strip()).split()), 80) for head in heads]
    while tidy and not tidy[-1]:
        tidy.pop()
    if len(tidy) > MOST_COLUMNS:
        raise BadInput(
            f"{plain(path)} has {len(tidy)} columns", remedy="Is it a table with heads in its first row?"
        )
    _refuse_twice(tidy)
    sheet = Spreadsheet(target, found, separator, tuple(tidy), head_line, (), digest, guessed)
    sample = tuple((line, tuple(cells)) for line, cells, _ in islice(sheet.rows(), SAMPLE))
    if not tidy or not sample:
        raise BadInput(
            f"{plain(path)} holds no rows", remedy="Its first row names the columns, the others hold them"
        )
    return Spreadsheet(target, found, separator, tuple(tidy), head_line, sample, digest, guessed, breaks)


def _require_file(path: Path) -> None:
    """Refuse what can't be read twice; a pipe or a device could be waited for without end.

    Raises:
        OSError: it can't be looked at.
    """
    kind = paths.odd(path)
    if kind:
        raise BadInput(f"{plain(str(path))} is {kind}", remedy="Save it as a file, and name that")
    if path.is_file():
        return
    raise BadInput(f"there is no file {plain(str(path))}", remedy="Name a CSV file or an exported folder")


def require_unchanged(sheet: Spreadsheet) -> None:
    """Refuse a file that was written to since it was looked at.

    Raises:
        BadInput: it was, or it can't be read any more.
    """
    try:
        _require_file(sheet.path)
        same = _encoding(sheet.path, sheet.encoding)[1] == sheet.digest
    except OSError:
        same = False
    if not same:
        raise BadInput(
            f"{plain(sheet.path.name)} was changed while it was looked at",
            remedy="Look at it again; nothing was booked",
        )


def _refuse_twice(heads: list[str]) -> None:
    twice = [head for head, count in Counter(head.casefold() for head in heads if head).items() if count > 1]
    if twice:
        raise BadInput(f"the column {twice[0]!r} stands twice", remedy="Give each column its own head")


def _encoding(path: Path, wanted: str | None) -> tuple[str, str, int]:
    """The encoding, the file's digest and its line breaks; a file that isn't UTF-8 counts as Windows-1252."""
    if wanted is not None:
        try:
            codecs.lookup(wanted)
        except LookupError:
            raise BadInput(f"{plain(wanted, 40)!r} is no encoding", remedy="Write utf-8 or cp1252") from None
    digest, decoder, good = hashlib.sha256(), codecs.getincrementaldecoder("utf-8")(), True
    start, breaks = b"", 0
    with path.open("rb") as file:
        while block := file.read(BLOCK):
            start = start or block[:4]
            digest.update(block)
            breaks += block.count(b"\n")
            if good:
                try:
                    decoder.decode(block)
                except UnicodeDecodeError:
                    good = False
        try:
            decoder.decode(b"", final=True)
        except UnicodeDecodeError:
            good = False
    marked = next((name for mark, name in MARKS if start.startswith(mark)), None)
    return wanted or marked or ("utf-8" if good else "cp1252"), digest.hexdigest(), breaks


def _delimiter(path: Path, encoding: str, wanted: str | None) -> str:
    if wanted is not None:
        sign = DELIMITERS.get(wanted, wanted)
        if len(sign) != 1 or sign in "\"'\r\n" or sign.isalnum():
            raise BadInput(
                f"{plain(wanted, 20)!r} is no delimiter", remedy=f"Write one of {', '.join(DELIMITERS)}"
            )
        return sign
    with path.open(encoding=encoding, errors="replace", newline="") as file:
        lines = (file.readline(LONGEST_HEAD) for _ in range(100))
        first = next((line for line in lines if line.strip()), "")
    bare, inside = [], False
    for letter in first:
        inside ^= letter == '"'
        if not inside:
            bare.append(letter)
    counts = Counter(letter for letter in bare if letter in DELIMITERS.values())
    return counts.most_common(1)[0][0] if counts else ","


def _rows(path: Path, encoding: str, delimiter: str) -> Iterator[CsvRow]:
    try:
        with path.open(encoding=encoding, newline="") as file:
            yield from csv_rows.read(file, name=plain(path.name), delimiter=delimiter, longest=LONGEST_CELL)
    except UnicodeError as error:
        raise BadInput(
            f"{plain(path.name)} is not written in {encoding}",
            remedy=Remedy("Name the encoding ", Option("encoding", "cp1252")),
        ) from error
    except OSError as error:
        raise BadInput(
            f"{plain(path.name)} can't be read: {error.strerror}", remedy="Name another file"
        ) from error
