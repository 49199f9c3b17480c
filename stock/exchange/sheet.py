"""A spreadsheet as other programs save it: encodings, byte order marks, delimiters, quotes; read as a stream."""

import codecs
import csv
import hashlib
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import islice
from pathlib import Path

from stock.errors import BadInput
from stock.exchange.cells import restored
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
MOST_COLUMNS = 500
SAMPLE = 2_000


@dataclass(frozen=True, slots=True)
class Sheet:
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

    def rows(self) -> Iterator[tuple[int, list[str]]]:
        """(line, cells) of every row below the heads that isn't wholly empty; cells stripped and restored.

        A row that is short is filled up with empty cells, since programs leave empty cells at the end away.
        """
        wide = len(self.heads)
        for line, cells in _lines(self.path, self.encoding, self.delimiter):
            if line <= self.head_line:
                continue
            tidy = [restored(cell.strip()) if cell else cell for cell in cells]
            if any(tidy):
                yield line, tidy + [""] * (wide - len(tidy))


def look(path: str, *, encoding: str | None = None, delimiter: str | None = None) -> Sheet:
    """Find out how a file is written and read its heads.

    Args:
        encoding: a name such as `utf-8` or `cp1252`; found out when None.
        delimiter: a key of `DELIMITERS` or the character itself; found out when None.
    Raises:
        BadInput: it can't be read, holds no rows, or a head stands twice.
    """
    target = Path(path)
    try:
        if not target.is_file():
            raise BadInput(f"there is no file {plain(path)}", remedy="Name a CSV file or an exported folder")
        found, digest, breaks = _encoding(target, encoding)
    except OSError as error:
        raise BadInput(
            f"{plain(path)} can't be read: {error.strerror}", remedy="Name another file"
        ) from error
    guessed = encoding is None and found == "cp1252"
    separator = _delimiter(target, found, delimiter)
    lines = _lines(target, found, separator)
    head_line, heads = next(
        ((line, cells) for line, cells in lines if any(cell.strip() for cell in cells)), (0, [])
    )
    tidy = [plain(" ".join(restored(head.strip()).split()), 80) for head in heads]
    while tidy and not tidy[-1]:
        tidy.pop()
    if len(tidy) > MOST_COLUMNS:
        raise BadInput(
            f"{plain(path)} has {len(tidy)} columns", remedy="Is it a table with heads in its first row?"
        )
    _refuse_twice(tidy)
    sheet = Sheet(target, found, separator, tuple(tidy), head_line, (), digest, guessed)
    sample = tuple((line, tuple(cells)) for line, cells in islice(sheet.rows(), SAMPLE))
    if not tidy or not sample:
        raise BadInput(
            f"{plain(path)} holds no rows", remedy="Its first row names the columns, the others hold them"
        )
    return Sheet(target, found, separator, tuple(tidy), head_line, sample, digest, guessed, breaks)


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
        first = next((line for line in islice(file, 100) if line.strip()), "")
    bare, inside = [], False
    for letter in first[:100_000]:
        inside ^= letter == '"'
        if not inside:
            bare.append(letter)
    counts = Counter(letter for letter in bare if letter in DELIMITERS.values())
    return counts.most_common(1)[0][0] if counts else ","


def _lines(path: Path, encoding: str, delimiter: str) -> Iterator[tuple[int, list[str]]]:
    csv.field_size_limit(LONGEST_CELL)
    try:
        with path.open(encoding=encoding, newline="") as file:
            reader = csv.reader(_without_nul(file), delimiter=delimiter)
            for cells in reader:
                yield reader.line_num, cells
    except UnicodeError as error:
        raise BadInput(
            f"{path.name} is not written in {encoding}",
            remedy="Name the encoding with --encoding, e.g. cp1252",
        ) from error
    except csv.Error as error:
        raise BadInput(f"{path.name} is no table ({error})", remedy="Save it as CSV") from error
    except OSError as error:
        raise BadInput(f"{path.name} can't be read: {error.strerror}", remedy="Name another file") from error


def _without_nul(lines: Iterator[str]) -> Iterator[str]:
    for line in lines:
        yield line.replace("\0", "\ufffd") if "\0" in line else line
