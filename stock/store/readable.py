"""Finds values in the books that can't be read and would stop opening them or a command.

The engines only know whole numbers and texts. This module checks that a text is a day, an instant, a life, a currency
or an answer, and that values which are stored twice (a name and its form for comparing) agree.
"""

import json
import re
import unicodedata
from collections.abc import Callable, Iterable, Mapping
from datetime import date
from functools import lru_cache
from typing import Any

from stock import hazard_statements, voc_categories
from stock.errors import UllageError
from stock.language import _
from stock.money import currency
from stock.spans import FIRST_YEAR, LAST_YEAR, duration
from stock.store import migrations, models
from stock.store.fields import DayField, InstantField, LifeField
from stock.store.orm import pw
from stock.store.table import Table
from stock.substance_table import cas_number
from stock.text import folded

Ask = Callable[[str], Iterable[tuple[Any, ...]]]
"""Runs a query on an engine and gives its rows."""
MOST_PROBLEMS = 20
INSTANT = re.compile(r"(\d{4}-\d\d-\d\d)T([01]\d|2[0-3]):[0-5]\d:[0-5]\d\.\d{6}Z", re.ASCII)
COLOR = re.compile(r"#[0-9a-f]{6}")
CODE = re.compile(r"[a-z0-9]+([-_][a-z0-9]+)*( [a-z0-9]+([-_][a-z0-9]+)*)*|", re.ASCII)
ABOVE_NOTHING = (("studio", "drops_milli"), ("studio", "dry_risk_milli"))
"""Divisors that no CHECK of the tables keeps from being 0."""


@lru_cache(maxsize=4_096)
def is_day(text: str) -> bool:
    """Whether a text is a day as the books write it, of a year that they can hold."""
    try:
        found = date.fromisoformat(text)
    except ValueError:
        return False
    return found.isoformat() == text and FIRST_YEAR <= found.year <= LAST_YEAR


def is_instant(text: str) -> bool:
    """Whether a text is an instant as `clock.stamp` writes it."""
    match = INSTANT.fullmatch(text)
    return match is not None and is_day(match[1])


@lru_cache(maxsize=1_024)
def is_life(text: str) -> bool:
    """Whether a text is a life or a lead time."""
    return _taken(lambda: duration(text, zero=True))


def _is_currency(text: str) -> bool:
    return _taken(lambda: currency(text))


def _is_json(text: str) -> bool:
    return _taken(lambda: json.loads(text))


def _taken(read: Callable[[], object]) -> bool:
    try:
        read()
    except (UllageError, ValueError, RecursionError):
        return False
    return True


SPECIAL: Mapping[tuple[str, str], Callable[[str], bool]] = {
    ("studio", "currency"): _is_currency,
    ("studio", "rule_sets"): lambda text: CODE.fullmatch(text) is not None,
    ("product", "color"): lambda text: COLOR.fullmatch(text) is not None,
    ("product", "h_statements"): lambda text: _taken(lambda: hazard_statements.read(text)),
    ("product", "voc_categories"): lambda text: _taken(lambda: voc_categories.read(text)),
    ("product", "pictograms"): lambda text: _taken(lambda: hazard_statements.read_pictograms(text)),
    ("own_substance", "cas"): lambda text: not text or _taken(lambda: cas_number(text)),
    ("own_substance", "h_statements"): lambda text: _taken(lambda: hazard_statements.read(text)),
    ("request", "answer"): _is_json,
    ("sheet_map", "meant"): _is_json,
}
BY_FIELD: tuple[tuple[type, Callable[[str], bool]], ...] = (
    (DayField, is_day),
    (InstantField, is_instant),
    (LifeField, is_life),
    (pw.TextField, lambda _: True),  # read without a check, because invalid bytes make reading fail
)


def problems(ask: Ask, schema: int = migrations.NEWEST) -> list[str]:
    """Every value that can't be read, in words, with its table, column and row.

    Args:
        ask: runs a query on the books.
        schema: their schema; columns that came later are skipped.
    """
    found: list[str] = []
    for table in migrations.tables(schema):
        found += _in_table(ask, table, schema)
        if len(found) >= MOST_PROBLEMS:
            break
    found += _changes(ask)
    return found[:MOST_PROBLEMS]


def _in_table(ask: Ask, table: type[Table], schema: int) -> list[str]:
    name, key = table._meta.table_name, table._meta.primary_key.column_name
    fields = [one for one in table._meta.sorted_fields if migrations.knows(schema, name, one.column_name)]
    tests = [(one.column_name, test) for one in fields if (test := _test_of(name, one)) is not None]
    found = []
    if tests:
        columns = ", ".join(f'"{column}"' for column, _ in tests)
        for row in ask(f'SELECT "{key}", {columns} FROM "{name}"'):  # noqa: S608 - names of ours
            for (column, test), value in zip(tests, row[1:], strict=True):
                if value is not None and not test(value):
                    found.append(
                        _(
                            "{name} {row}: its {replace} can't be read",
                            name=name,
                            row=row[0],
                            replace=column.replace("_", " "),
                        )
                    )
    if "name_key" in {one.column_name for one in fields}:
        for number, said, compared in ask(f'SELECT "{key}", name, name_key FROM "{name}"'):  # noqa: S608
            if _is_settled(said) and folded(said) != compared:
                found.append(
                    _(
                        "{name} {number}: its name is not the one that it is found by",
                        name=name,
                        number=number,
                    )
                )
    for column in (column for table, column in ABOVE_NOTHING if table == name):
        if [row for row in ask(f'SELECT "{column}" FROM "{name}"') if row[0] <= 0]:  # noqa: S608
            found.append(
                _("{name}: its {replace} is not above 0", name=name, replace=column.replace("_", " "))
            )
    return found


def _changes(ask: Ask) -> list[str]:
    """Logged changes of bottles whose values the changed columns can't hold."""
    columns: dict[str, Callable[[str], bool]] = {}
    for one in models.Bottle._meta.sorted_fields:
        number = isinstance(one, pw.ForeignKeyField)
        columns[one.name] = str.isdecimal if number else _test_of("bottle", one) or bool
    return [
        _("bottle_change {number}: what it says of {field!r} can't be read", number=number, field=field)
        for number, field, *said in ask('SELECT "id", "field", "before", "after" FROM "bottle_change"')
        if field not in columns or not all(text is None or columns[field](text) for text in said)
    ]


def _test_of(table: str, field: "pw.Field") -> Callable[[str], bool] | None:
    special = SPECIAL.get((table, field.column_name))
    return special or next((test for kind, test in BY_FIELD if isinstance(field, kind)), None)


def _is_settled(name: str) -> bool:
    """Whether every Python folds the name alike; letters that Unicode added later may be folded differently."""
    return name.isascii() or all(unicodedata.ucd_3_2_0.category(letter) != "Cn" for letter in name)
