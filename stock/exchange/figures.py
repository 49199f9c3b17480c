"""Cells of a foreign spreadsheet as our figures: decimal commas, units in the head, days in three orders.

Each distinct text is read once, since a column of a million cells holds few of them.
"""

import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Any

from stock import clock, units
from stock.errors import BadInput, UllageError
from stock.remedies import Option, Remedy

_BARE = re.compile(r"\d+(?:\.\d+)?", re.ASCII)
_COMMA = re.compile(r"(?<![\d.])(\d{1,3}(?:\.\d{3})+|\d+),(\d+)(?![\d,])", re.ASCII)
_POINTED = re.compile(r"(?:^|[^\d.])(?:\d{1,3}(?:,\d{3})+|\d+)\.\d+(?![\d.,])", re.ASCII)
_THOUSANDS = re.compile(r"(?<!\d)[1-9]\d{0,2}(?:,\d{3})+(?:\.\d+)?(?![\d,])", re.ASCII)
_POINT_GROUPS = re.compile(r"(?<![\d.,])[1-9]\d{0,2}(?:\.\d{3})+(?![\d.,])", re.ASCII)
_DOUBTFUL = re.compile(r"(?<![\d.,])([1-9]\d{0,2})[.,](\d{3})(?![\d.,])", re.ASCII)
_WRITTEN = re.compile(r"(\d{1,2})([./-])(\d{1,2})\2(\d{4})(?:[ T]+(\d{1,2}:\d{2}(?::\d{2})?))?", re.ASCII)
_ISO = re.compile(r"\d{4}-\d{2}-\d{2}[ T]\d{2}:\d{2}(:\d{2})?(\.\d+)?", re.ASCII)
ORDERS = ("dmy", "mdy")
LARGEST_CACHE = 200_000


@dataclass(frozen=True, slots=True)
class Manner:
    """How figures are written: `decimal` "comma" or "point", `order` of days "dmy" or "mdy"; None: not known."""

    decimal: str | None
    order: str | None


def manner(
    numbers: Iterable[str], days: Iterable[str], *, decimal: str | None = None, order: str | None = None
) -> Manner:
    """Find out how figures are written from some of them; what a person says goes before it.

    Raises:
        BadInput: an unknown word for either.
    """
    if decimal not in (None, "comma", "point"):
        raise BadInput(f"{decimal!r} is no decimal sign", remedy="Write comma or point")
    if order not in (None, *ORDERS):
        raise BadInput(f"{order!r} is no order of days", remedy="Write dmy or mdy")
    if decimal is None:
        texts = list(numbers)
        commas = sum(bool(_COMMA.search(text)) and not _THOUSANDS.search(text) for text in texts)
        # 1.000 may be one or a thousand, so it is no evidence for how the others are written.
        points = sum(bool(_POINTED.search(text)) and not _POINT_GROUPS.search(text) for text in texts)
        decimal = None if bool(commas) == bool(points) else "comma" if commas else "point"
    return Manner(decimal, order or _order(days))


def _order(days: Iterable[str]) -> str | None:
    """Day first or month first, if some day can only be read in one way; points are always day first."""
    seen = {
        "dmy" if sign == "." or first > 12 else "mdy" if second > 12 else None
        for first, sign, second in _parts(days)
    } - {None}
    return seen.pop() if len(seen) == 1 else None


def _parts(days: Iterable[str]) -> Iterable[tuple[int, str, int]]:
    for text in days:
        found = _WRITTEN.fullmatch(text.strip())
        if found is not None:
            yield int(found[1]), found[2], int(found[3])


@dataclass(slots=True)
class Figures:
    """Reads cells in one manner; `unit` is what a bare figure of a column means, by field."""

    manner: Manner
    unit: dict[str, str]
    measures: str
    currency: str
    zone: str
    now: datetime
    known: dict[tuple[str, str], Any] = field(default_factory=dict)

    def _once(self, what: str, text: str, read: Callable[[str], Any]) -> Any:
        key = (what, text)
        found = self.known.get(key)
        if found is None:
            try:
                found = read(text)
            except UllageError as error:
                found = error
            if len(self.known) >= LARGEST_CACHE:
                self.known.clear()
            self.known[key] = found
        if isinstance(found, UllageError):
            raise found.with_traceback(
                None
            )  # raised again and again, it would gather the frames of every row
        return found

    def _number(self, text: str) -> str:
        if self.manner.decimal == "comma":
            grouped = _POINT_GROUPS.sub(lambda found: found[0].replace(".", ""), text)
            return _COMMA.sub(lambda found: f"{found[1].replace('.', '')}.{found[2]}", grouped)
        doubtful = _DOUBTFUL.search(text)
        if self.manner.decimal is None and doubtful is not None:
            whole, rest = doubtful[1], doubtful[2]
            raise BadInput(
                f"{text!r} can be read in two ways: {whole}.{rest} or {whole}{rest}",
                remedy=Remedy("Say comma or point ", Option("decimal")),
            )
        if self.manner.decimal is None:
            text = _POINT_GROUPS.sub(lambda found: found[0].replace(".", ""), text)
        return _THOUSANDS.sub(lambda found: found[0].replace(",", ""), text)

    def _with_unit(self, name: str, text: str) -> str:
        number = self._number(text)
        unit = self.unit.get(name) or self.unit.get("")
        return f"{number} {unit}" if unit and _BARE.fullmatch(number) else number

    def volume(self, name: str, text: str, *, zero: bool = False) -> int:
        """Microlitres."""

        def read(cell: str) -> int:
            return units.volume(self._with_unit(name, cell), measures=self.measures, zero=zero, what=name)

        return int(self._once(name, text, read))

    def money(self, name: str, text: str) -> int:
        """The currency's minor unit; a currency's own sign is left away."""
        return int(
            self._once(name, text, lambda cell: units.money(self._number(cell.strip("€$£¥ ")), self.currency))
        )

    def percent(self, name: str, text: str) -> Any:
        """Reducer in per cent of the paint, as a fraction; a bare figure is per cent."""

        def read(cell: str) -> Any:
            number = self._number(cell)
            return units.reduction(f"{number}%" if _BARE.fullmatch(number) else number)

        return self._once(name, text, read)

    def needle(self, name: str, text: str) -> int:
        """Micrometres."""
        return int(self._once(name, text, lambda cell: units.needle(self._number(cell))))

    def count(self, name: str, text: str) -> int:
        """A whole number from 1 to 1,000."""
        if not (text.isascii() and text.isdigit() and 1 <= int(text[:6]) <= 1_000 and len(text) <= 6):
            raise BadInput(f"the {name} {text[:20]!r} is no number of bottles", remedy="Write 1 to 1,000")
        return int(text)

    def day(self, name: str, text: str) -> date:
        """A calendar day that isn't to come, or a best-before day that may be."""
        return self._once(name, text, self._day)

    def _day(self, text: str) -> date:
        return units.day(self._iso(text)[:10], clock.day_of(self.now, self.zone))

    def instant(self, name: str, text: str) -> datetime:
        """An instant in UTC; a day alone is its noon."""

        def read(cell: str) -> datetime:
            return units.instant(self._iso(cell), self.zone, self.now)

        return self._once(name, text, read)

    def _iso(self, text: str) -> str:
        """A day as 2026-03-01, whatever the order it was written in."""
        found = _WRITTEN.fullmatch(text)
        if found is None:
            return text.replace("T", " ", 1).partition(".")[0] if _ISO.fullmatch(text) else text
        first, second = int(found[1]), int(found[3])
        order = "dmy" if found[2] == "." else self.manner.order
        if order is None:
            raise BadInput(
                f"the day {text!r} can be read in two ways", remedy=Remedy("Say dmy or mdy ", Option("days"))
            )
        month, day = (second, first) if order == "dmy" else (first, second)
        return f"{found[4]}-{month:02}-{day:02}" + (f" {found[5]:0>5}" if found[5] else "")
