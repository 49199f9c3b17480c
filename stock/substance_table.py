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


@lru_cache(maxsize=1)
def _lines() -> tuple[list[str], dict[str, list[str]]]:
    """The heads, and the cells of every row by each folded name that it goes by."""
    import csv  # only if a product names its solvents

    text = text_of("substances.csv")
    heads, *rows = csv.reader(text.splitlines())
    found: dict[str, list[str]] = {}
    for cells in rows:
        found.update(dict.fromkeys(";".join(cells[_NAMES]).casefold().split(";"), cells))
    found.pop("", None)
    return heads, found


@lru_cache(maxsize=512)
def _row(cas: str) -> Row:
    heads, found = _lines()
    return dict(zip(heads, found[cas], strict=True))


@lru_cache(maxsize=2_048)
def row_of(name: str) -> Row | None:
    """The row of a name or CAS number; None if the table has none.

    A name also matches without accents, with ä written as ae, and with other blanks and hyphens.
    """
    cells = _lines()[1].get(folded(name))
    if cells is not None:
        return _row(cells[0])
    cas = _by_bare_name().get(bare(name))
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
    for name, cells in _lines()[1].items():
        undotted = "".join(
            each for each in unicodedata.normalize("NFKD", name) if not unicodedata.combining(each)
        )
        for each in {bare(name), bare(undotted)}:
            found[each] = cells[0] if found.get(each, cells[0]) == cells[0] else ""
    return found


def rows_by_name() -> dict[str, Row]:
    """Every row by each of its folded names."""
    return {name: _row(cells[0]) for name, cells in _lines()[1].items()}


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
