"""A spreadsheet as other programs save it: encodings, byte order marks, delimiters, quotes; read as a stream."""

import codecs
import hashlib
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import islice
from pathlib import Path

from stock.errors import BadInput
from stock.exchange import csv_rows, workbooks
from stock.exchange.cells import restored
from stock.exchange.csv_rows import CsvRow
from stock.exchange.figures import Number
from stock.exchange.workbooks import Workbook
from stock.language import _
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
TITLE_ROWS = 40
"""Rows among which the heads are looked for."""


@dataclass(frozen=True, slots=True)
class Spreadsheet:
    """A spreadsheet file that was examined: how to read it, its heads and its first rows.

    `heads` are cleaned for showing; `guessed` says that the encoding is a guess. `sample` is (line, cells). `lines`
    counts line breaks (quoted cells may hold some) and shows how far the reading is. `above` are the
    lines above the heads that aren't blank. `workbook` is set where the rows are those of a workbook's sheet, which has
    no encoding and no delimiter; its kind stands for the one, and the other is empty.
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
    above: tuple[int, ...] = ()
    workbook: Workbook | None = None

    @property
    def named(self) -> str:
        """Its name in a refusal: the file, and the sheet of a workbook."""
        return self.path.name + (_(", sheet {name}", name=self.workbook.name) if self.workbook else "")

    def rows(self) -> Iterator[tuple[int, list[str], BadInput | None]]:
        """(line, cells, doubt) of every row below the heads; a blank one has no cells. Cells are stripped and restored.

        A row that is short is filled up with empty cells, since programs leave empty cells at the end away. The
        line is the one on which the row begins; `doubt` is why the row can't be taken as it stands, if it can't.
        """
        wide = len(self.heads)
        read = (
            self.workbook.rows(beside=True)
            if self.workbook
            else _rows(self.path, self.encoding, self.delimiter)
        )
        for row in read:
            if row.line <= self.head_line:
                continue
            tidy = [
                restored(cell.strip()) if cell and not isinstance(cell, Number) else cell
                for cell in row.cells
            ]
            if any(tidy):
                yield row.line, tidy + [""] * (wide - len(tidy)), _doubt(row, wide, self.delimiter)
            else:
                yield row.line, [], None


def _doubt(row: CsvRow, wide: int, delimiter: str) -> BadInput | None:
    """Why a row that is valid CSV may still not be what its writer meant."""
    if len(row.cells) > wide and any(cell.strip() for cell in row.cells[wide:]):
        return BadInput(_("it has more cells than heads"), remedy=_("Is a cell with a comma unquoted?"))
    if '"' in row.text and any(cell[:1].isspace() and cell.lstrip()[:1] == '"' for cell in row.cells):
        return BadInput(_("a blank stands before a quote"), remedy=_("Take the blank away, or the quotes"))
    if row.broken and swallows(row.cells, wide, delimiter):
        return BadInput(
            _("a quoted cell of it runs on over what looks like further rows"),
            remedy=_("Close the quote where its cell ends, or take the line breaks out of the cell"),
        )
    return None


def swallows(cells: Iterable[str], wide: int, delimiter: str) -> bool:
    """Whether a cell holds a whole row of `wide` cells on a line of its own, as after a quote left open."""
    inner = (line for cell in cells for line in cell.splitlines()[1:])
    return any(line.count(delimiter) >= max(wide - 1, 1) for line in inner)


def look(
    path: str,
    *,
    encoding: str | None = None,
    delimiter: str | None = None,
    head: int | None = None,
    sheet_name: str | None = None,
    are_heads: Callable[[Sequence[str]], bool] = any,
) -> Spreadsheet:
    """Find out how a file is written and read its heads.

    Args:
        encoding: a name such as `utf-8` or `cp1252`; found out when None.
        delimiter: a key of `DELIMITERS` or the character itself; found out when None.
        head: the line of the heads; looked for when None.
        sheet_name: the sheet of a workbook, if several hold something.
        are_heads: says whether cells name the columns; the first such row among the first forty has the heads, or, if
            there is none, the first row with two cells.
    Raises:
        BadInput: it can't be read, holds no rows, or a head stands twice.
    """
    target = Path(path)
    try:
        _require_file(target)
        workbook = workbooks.load(target, sheet_name) if workbooks.is_workbook(target) else None
        found, digest, breaks = _encoding(target, encoding if workbook is None else None)
        guessed = workbook is None and encoding is None and found == "cp1252"
        separators = [""] if workbook else _delimiters(target, found, delimiter)
    except OSError as error:
        raise BadInput(
            _("{path} can't be read: {strerror}", path=plain(path), strerror=error.strerror),
            remedy=_("Name another file"),
        ) from error
    if workbook is None and sheet_name is not None:
        raise BadInput(
            _("{name} has no sheets", name=plain(target.name)), remedy=_("Leave the sheet's name away")
        )

    def rows_at(separator: str) -> Iterator[CsvRow]:
        return workbook.rows() if workbook else _rows(target, found, separator)

    row, above, separator = _heads(target, rows_at, separators, head, are_heads)
    if row.broken and swallows(row.cells, len(row.cells), separator):
        raise BadInput(
            _(
                "a quoted head on line {line} of {name} runs on over what looks like further rows",
                line=row.line,
                name=plain(target.name),
            ),
            remedy=_("Close the quote where its cell ends"),
        )
    tidy = _tidy(row)
    while tidy and not tidy[-1]:
        tidy.pop()
    if len(tidy) > MOST_COLUMNS:
        raise BadInput(
            _("{path} has {tidy} columns", path=plain(path), tidy=len(tidy)),
            remedy=_("Is it a table with heads in its first row?"),
        )
    _refuse_twice(tidy)
    if workbook is not None:
        found, digest = workbook.kind, f"{digest} {workbook.name}"
    sheet = Spreadsheet(
        target, found, separator, tuple(tidy), row.line, (), digest, guessed, breaks, tuple(above), workbook
    )
    filled = ((line, tuple(cells)) for line, cells, _ in sheet.rows() if cells)
    sample = tuple(islice(filled, SAMPLE))
    if not tidy or not sample:
        raise BadInput(
            _("{path} holds no rows", path=plain(path)),
            remedy=_("Its first row names the columns, the others hold them"),
        )
    return replace(sheet, sample=sample)


def _tidy(row: CsvRow) -> list[str]:
    """The cells of a row as heads."""
    return [plain(" ".join(restored(cell.strip()).split()), 80) for cell in row.cells]


def _heads(
    path: Path,
    rows_at: Callable[[str], Iterator[CsvRow]],
    separators: Sequence[str],
    wanted: int | None,
    are_heads: Callable[[Sequence[str]], bool],
) -> tuple[CsvRow, list[int], str]:
    """The row of the heads, the lines above it that aren't blank, and the delimiter by which it was found.

    Raises:
        BadInput: no row stands on the wanted line, or the file can't be read by its likeliest delimiter.
    """
    refusal: BadInput | None = None
    for separator in separators:
        try:
            first = list(islice(rows_at(separator), wanted or TITLE_ROWS))
        except BadInput as error:
            refusal = refusal or error
            continue
        filled = [row for row in first if any(cell.strip() for cell in row.cells)]
        fitting = (
            row for row in filled if (row.line == wanted if wanted is not None else are_heads(_tidy(row)))
        )
        found = next(fitting, None)
        if found is not None:
            return found, [row.line for row in filled if row.line < found.line], separator
    if refusal is not None:
        raise refusal
    if wanted is not None:
        raise BadInput(
            _("no row stands on line {wanted} of {name}", wanted=wanted, name=plain(path.name)),
            remedy=Remedy(_("Name the heads' line "), Option("head", "3")),
        )
    rows = list(islice(rows_at(separators[0]), TITLE_ROWS))
    filled = [row for row in rows if any(cell.strip() for cell in row.cells)]
    several = (row for row in filled if sum(bool(cell.strip()) for cell in row.cells) > 1)
    found = next(several, filled[0] if filled else CsvRow(0, [], ""))
    return found, [row.line for row in filled if row.line < found.line], separators[0]


def _require_file(path: Path) -> None:
    """Refuse a file that can't be read twice; reading a pipe or a device could wait forever.

    Raises:
        OSError: its kind can't be found out.
    """
    kind = paths.odd(path)
    if kind:
        raise BadInput(
            _("{path} is {kind}", path=plain(str(path)), kind=kind),
            remedy=_("Save it as a file, and name that"),
        )
    if path.is_file():
        return
    raise BadInput(
        _("there is no file {path}", path=plain(str(path))), remedy=_("Name a CSV file or an exported folder")
    )


def require_unchanged(sheet: Spreadsheet) -> None:
    """Refuse a file that was changed since it was examined.

    Raises:
        BadInput: it was, or it can't be read any more.
    """
    try:
        _require_file(sheet.path)
        encoding = None if sheet.workbook else sheet.encoding
        same = _encoding(sheet.path, encoding)[1] == sheet.digest.partition(" ")[0]
    except OSError:
        same = False
    if not same:
        raise BadInput(
            _("{name} was changed while it was looked at", name=plain(sheet.path.name)),
            remedy=_("Look at it again; nothing was booked"),
        )


def _refuse_twice(heads: list[str]) -> None:
    twice = [head for head, count in Counter(head.casefold() for head in heads if head).items() if count > 1]
    if twice:
        raise BadInput(
            _("the column {twice!r} stands twice", twice=twice[0]), remedy=_("Give each column its own head")
        )


def _encoding(path: Path, wanted: str | None) -> tuple[str, str, int]:
    """The encoding, the file's digest and its line breaks; a file that isn't UTF-8 counts as Windows-1252."""
    if wanted is not None:
        try:
            codecs.lookup(wanted)
        except LookupError:
            raise BadInput(
                _("{wanted!r} is no encoding", wanted=plain(wanted, 40)), remedy=_("Write utf-8 or cp1252")
            ) from None
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


def _delimiters(path: Path, encoding: str, wanted: str | None) -> list[str]:
    """The possible delimiters of the file, the likeliest first: that of its first line."""
    if wanted is not None:
        sign = DELIMITERS.get(wanted, wanted)
        if len(sign) != 1 or sign in "\"'\r\n" or sign.isalnum():
            raise BadInput(
                _("{wanted!r} is no delimiter", wanted=plain(wanted, 20)),
                remedy=_("Write one of {delimiters}", delimiters=", ".join(DELIMITERS)),
            )
        return [sign]
    with path.open(encoding=encoding, errors="replace", newline="") as file:
        lines = [line for line in (file.readline(LONGEST_HEAD) for _ in range(100)) if line.strip()]
    first = _counted(lines[:1]) if lines else Counter()
    both = [*first.most_common(), *_counted(lines[:TITLE_ROWS]).most_common()]
    tabs = ["\t"] if path.suffix.lower() in (".tsv", ".tab") else []
    return list(dict.fromkeys([*tabs, *(letter for letter, _ in both)])) or [","]


def _counted(lines: Iterable[str]) -> Counter[str]:
    """How often each delimiter stands in these lines outside quotes."""
    bare, inside = [], False
    for letter in "".join(lines):
        inside ^= letter == '"'
        if not inside:
            bare.append(letter)
    return Counter(letter for letter in bare if letter in DELIMITERS.values())


def _rows(path: Path, encoding: str, delimiter: str) -> Iterator[CsvRow]:
    try:
        with path.open(encoding=encoding, newline="") as file:
            yield from csv_rows.read(file, name=plain(path.name), delimiter=delimiter, longest=LONGEST_CELL)
    except UnicodeError as error:
        raise BadInput(
            _("{name} is not written in {encoding}", name=plain(path.name), encoding=encoding),
            remedy=Remedy(_("Name the encoding "), Option("encoding", "cp1252")),
        ) from error
    except OSError as error:
        raise BadInput(
            _("{name} can't be read: {strerror}", name=plain(path.name), strerror=error.strerror),
            remedy=_("Name another file"),
        ) from error
