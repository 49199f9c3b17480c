"""The rows of substances.csv by name: CAS number, English, German and French sheet names, and short names.

The file is split into rows only if a product names its solvents, and a row is parsed only when it is needed.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Mapping
from functools import lru_cache

from stock.errors import BadInput
from stock.language import _
from stock.shipped_files import text_of
from stock.text import folded, plain

Row = Mapping[str, str]
_NAMES = slice(0, 5)
"""The columns of names: CAS number, English, German, French, and others between semicolons."""
_BETWEEN_NAMES = b',;"\n'


@lru_cache(maxsize=1)
def _file() -> tuple[bytes, bytes]:
    """What the file holds, and the same in small letters, those beyond ASCII as they are."""
    written = text_of("substances.csv").encode()
    return written, written.lower()


def _cells(line: bytes) -> list[str]:
    import csv  # only where a product names its solvents

    return next(csv.reader([line.decode()]))


def _names(cells: list[str]) -> list[str]:
    """The folded names that a row goes by."""
    return ";".join(cells[_NAMES]).casefold().split(";")


@lru_cache(maxsize=1)
def _heads() -> list[str]:
    return _cells(_file()[0].partition(b"\n")[0])


@lru_cache(maxsize=1)
def _lines() -> dict[str, list[str]]:
    """The cells of every row by each folded name that it goes by."""
    found: dict[str, list[str]] = {}
    for line in _file()[0].splitlines()[1:]:
        cells = _cells(line)
        found.update(dict.fromkeys(_names(cells), cells))
    found.pop("", None)
    return found


def _searched(name: str) -> Row | None:
    """The row that goes by a folded name, found without taking other rows apart; no two go by the same.

    To take all of them apart takes a twentieth of a short command. None if it isn't found so: a capital letter beyond
    ASCII may stand in the file.
    """
    lowered = _file()[1]
    wanted = name.encode()
    at = lowered.find(wanted, 1) if wanted else -1
    while at > 0:
        if lowered[at - 1] in _BETWEEN_NAMES and lowered[at + len(wanted)] in _BETWEEN_NAMES:
            begin = lowered.rfind(b"\n", 0, at) + 1
            if begin and name in _names(list(_row_at(begin).values())):  # the first line holds the heads
                return _row_at(begin)
        at = lowered.find(wanted, at + 1)
    return None


@lru_cache(maxsize=512)
def _row_at(begin: int) -> Row:
    written = _file()[0]
    return dict(zip(_heads(), _cells(written[begin : written.index(b"\n", begin)]), strict=True))


@lru_cache(maxsize=2_048)
def row_of(name: str) -> Row | None:
    """The row of a name or CAS number, or None when it isn't known here.

    A name is found without its accents, with ä written as ae, and with other blanks and hyphens, too.
    """
    wanted = folded(name)
    found = _searched(wanted)
    if found is not None:
        return found
    cells = _lines().get(wanted)
    cas = cells[0] if cells is not None else _by_bare_name().get(bare(name))
    return _row(cas) if cas else None


_WRITTEN_OUT = str.maketrans(
    {"ä": "ae", "ö": "oe", "ü": "ue", "ß": "ss", "-": "", " ": "", "\u2010": "", "\u2011": ""}
)


def bare(name: str) -> str:
    """A folded name without accents, blanks and hyphens, its umlauts written as two letters."""
    written = unicodedata.normalize("NFKD", folded(name).translate(_WRITTEN_OUT))
    return "".join(letter for letter in written if not unicodedata.combining(letter))


@lru_cache(maxsize=1)
def _by_bare_name() -> dict[str, str]:
    """The CAS number of each bare name that belongs to a single row; also with umlauts written without dots."""
    found: dict[str, str] = {}
    for name, cells in _lines().items():
        undotted = "".join(
            each for each in unicodedata.normalize("NFKD", name) if not unicodedata.combining(each)
        )
        for each in {bare(name), bare(undotted)}:
            found[each] = cells[0] if found.get(each, cells[0]) == cells[0] else ""
    return found


@lru_cache(maxsize=512)
def _row(cas: str) -> Row:
    return dict(zip(_heads(), _lines()[cas], strict=True))


def rows_by_name() -> dict[str, Row]:
    """Every row by each of its folded names."""
    return {name: _row(cells[0]) for name, cells in _lines().items()}


def called(name: str, cas: str, aliases: str) -> set[str]:
    """The folded names and the CAS number by which a substance is found; `aliases` stand between semicolons."""
    return {folded(one) for one in (name, cas, *aliases.split(";")) if one.strip()}


@lru_cache(maxsize=1)
def families() -> frozenset[str]:
    """The families in the table: ester, ketone, isocyanate …"""
    return frozenset(row["group"] for row in rows_by_name().values())


def is_cas(text: str) -> bool:
    """Whether a text has the form of a CAS number, whatever its check digit."""
    parts = text.strip().split("-")
    return (
        len(parts) == 3
        and all(part.isascii() and part.isdigit() for part in parts)
        and 2 <= len(parts[0]) <= 7
        and (len(parts[1]), len(parts[2])) == (2, 1)
    )


def cas_number(text: str) -> str:
    """Check a CAS number and return it.

    Raises:
        BadInput: it has another form, or its check digit is wrong, as in a miscopied number.
    """
    cas = text.strip()
    if not is_cas(cas):
        raise BadInput(_("{cas!r} is no CAS number", cas=plain(cas, 20)), remedy=_("Write it like 67-64-1"))
    if int(cas[-1]) != check_digit(cas):
        raise BadInput(
            _("{cas!r} is no CAS number: its last digit would be {digit}", cas=cas, digit=check_digit(cas)),
            remedy=_("Write it as section 3 of the safety data sheet has it, or write the substance's name"),
        )
    return cas


def check_digit(cas: str) -> int:
    """The check digit of a CAS number: the sum of each other digit times its place from the right, modulo 10."""
    digits = [int(digit) for digit in cas.replace("-", "")[:-1]]
    return sum(place * digit for place, digit in enumerate(reversed(digits), 1)) % 10
