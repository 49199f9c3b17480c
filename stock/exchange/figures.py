"""Cells of a foreign spreadsheet as our figures: decimal commas, units in the head, days in three orders.

Each distinct text is read once, because a column of a million cells has few of them. A text that can be read in two
ways raises a question; until it is answered the first reading is used, and nothing is booked.
"""

import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from fractions import Fraction
from functools import partial
from typing import Any

from stock import clock, units
from stock.errors import BadInput, UllageError
from stock.exchange import written_days
from stock.exchange.questions import Question, Questions
from stock.exchange.written_days import ORDERS
from stock.grammar import pointed
from stock.language import _
from stock.named_tuples import NamedTuple
from stock.remedies import Option, Remedy
from stock.text import plain
from stock.units import Microlitres, Micrometres

_BARE = re.compile(r"\d+(?:\.\d+)?", re.ASCII)
_COMMA = re.compile(r"(?<![\d.])(\d{1,3}(?:\.\d{3})+|\d+),(\d+)(?![\d,])", re.ASCII)
_POINTED = re.compile(r"(?:^|[^\d.])(?:\d{1,3}(?:,\d{3})+|\d+)\.\d+(?![\d.,])", re.ASCII)
_THOUSANDS = re.compile(r"(?<!\d)[1-9]\d{0,2}(?:,\d{3})+(?:\.\d+)?(?![\d,])", re.ASCII)
_POINT_GROUPS = re.compile(r"(?<![\d.,])[1-9]\d{0,2}(?:\.\d{3})+(?![\d.,])", re.ASCII)
_DOUBTFUL = re.compile(r"(?<![\d.,])([1-9]\d{0,2})[.,](\d{3})(?![\d.,])", re.ASCII)
_BLANK_GROUPS = re.compile(r"(?<=\d)[\u00a0\u202f\u2009 ](?=\d{3}(?!\d))")
_ABOUT = re.compile(
    r"\s*\?$|^(~|≈|ca\.?|circa|approx\.?|approximately|about|around|etwa|env\.?|aprox\.?)\s*", re.IGNORECASE
)
_SEVERAL = re.compile(r"(\d{1,4})\s*[x×*]\s*(\d.*)", re.ASCII | re.IGNORECASE)
_OUNCE = re.compile(r"([\d./\s]+)\s*(oz|ounces?)\.?", re.ASCII | re.IGNORECASE)
_SIGNS = {
    "€": ("EUR",),
    "£": ("GBP",),
    "¥": ("JPY", "CNY"),
    "$": ("USD", "CAD", "AUD", "NZD", "MXN", "SGD", "HKD"),
}
OUNCES = {"US fluid ounces": "us fl oz", "imperial fluid ounces": "imp fl oz"}
LEVELS = {
    "sealed": "full", "unopened": "full", "new": "full", "voll": "full", "ungeöffnet": "full", "cheio": "full",
    "lleno": "full", "plein": "full", "1/2 full": "half", "halb": "half", "halb voll": "half", "halbvoll": "half",
    "meio": "half", "metade": "half", "medio": "half", "mitad": "half", "moitié": "half", "à moitié": "half",
    "viertel": "quarter", "ein viertel": "quarter", "almost empty": "nearly empty", "fast leer": "nearly empty",
    "quase vazio": "nearly empty", "casi vacío": "nearly empty", "presque vide": "nearly empty", "leer": "empty",
    "vazio": "empty", "vacío": "empty", "vide": "empty",
}  # fmt: skip
"""Words for how full a bottle is, beside those that `left_in` reads."""
BARE_LEFT = ("ml", "%")
BARE_UNITS = ("ml", "us fl oz", "imp fl oz", "cl", "l")
LARGEST_CACHE = 200_000


class Number(str):
    """A cell that a program kept as a number: its point is a decimal point, whatever the other texts have."""

    __slots__ = ()


class _Asked(NamedTuple):
    """A figure that depends on a question; `value` is that of the answer, or of the first reading until then."""

    question: Question
    value: Any


@dataclass(frozen=True, slots=True)
class Manner:
    """How figures are written: `decimal` "comma" or "point", `order` of days "dmy" or "mdy"; None: not known."""

    decimal: str | None
    order: str | None
    said: bool = False
    """Whether a person chose the decimal sign; if not, a thousandfold difference raises a question."""


def manner(
    numbers: Iterable[str], days: Iterable[str], *, decimal: str | None = None, order: str | None = None
) -> Manner:
    """Find out how figures are written from some of them; a person's own choice comes first.

    Raises:
        BadInput: an unknown word for either.
    """
    if decimal not in (None, "comma", "point"):
        raise BadInput(_("{decimal!r} is no decimal sign", decimal=decimal), remedy=_("Write comma or point"))
    if order not in (None, *ORDERS):
        raise BadInput(_("{order!r} is no order of days", order=order), remedy=_("Write dmy or mdy"))
    said = decimal is not None
    if decimal is None:
        texts = [text for text in numbers if not isinstance(text, Number)]
        commas = sum(bool(_COMMA.search(text)) and not _THOUSANDS.search(text) for text in texts)
        # 1.000 may be one or a thousand, so it is no evidence for how the others are written.
        points = sum(bool(_POINTED.search(text)) and not _POINT_GROUPS.search(text) for text in texts)
        decimal = None if bool(commas) == bool(points) else "comma" if commas else "point"
    return Manner(decimal, order or written_days.order(days), said)


@dataclass(slots=True)
class Figures:
    """Reads cells in one manner; `unit` is the unit of a column's bare figures, by field."""

    manner: Manner
    unit: dict[str, str]
    measures: str
    currency: str
    zone: str
    now: datetime
    questions: Questions = field(default_factory=Questions)
    known: dict[tuple[str, str, bool], Any] = field(default_factory=dict)
    bare_left: Question | None = None
    """Asks what bare figures of the volume left mean (`BARE_LEFT`); None if their column says it."""

    def _once(self, what: str, text: str, read: Callable[[str], Any]) -> Any:
        key = (what, text, isinstance(text, Number))
        found = self.known.get(key)
        if found is None:
            try:
                found = read(text)
            except UllageError as error:
                error.column = error.column or what
                found = error
            if len(self.known) >= LARGEST_CACHE:
                self.known.clear()
            self.known[key] = found
        if isinstance(found, UllageError):
            raise found.with_traceback(
                None
            )  # raised again and again, the same error would gather the frames of every row
        if isinstance(found, _Asked):
            if found.question.chosen is None:
                self.questions.touch(found.question)
            return found.value
        return found

    def _numbers(self, text: str) -> list[str]:
        """The texts that a cell may mean, with a decimal point: one, or two that differ a thousandfold."""
        if isinstance(text, Number):
            return [str(text)]
        text = _BLANK_GROUPS.sub("", text)
        doubtful = _DOUBTFUL.search(text)
        if doubtful is not None and not self.manner.said:
            before, behind = text[: doubtful.start()], text[doubtful.end() :]
            return [
                f"{before}{figure}{behind}"
                for figure in (f"{doubtful[1]}{doubtful[2]}", f"{doubtful[1]}.{doubtful[2]}")
            ]
        comma = self.manner.decimal == "comma"
        if comma or (self.manner.decimal is None and not _THOUSANDS.search(text)):
            grouped = _POINT_GROUPS.sub(lambda found: found[0].replace(".", ""), text) if comma else text
            return [_COMMA.sub(lambda found: f"{found[1].replace('.', '')}.{found[2]}", grouped)]
        if self.manner.decimal is None:
            text = _POINT_GROUPS.sub(lambda found: found[0].replace(".", ""), text)
        return [_THOUSANDS.sub(lambda found: found[0].replace(",", ""), text)]

    def _either(
        self, name: str, text: str, read: Callable[[str], Any], show: Callable[[str], str] = str.strip
    ) -> Any:
        """Read a cell's figure; if it can mean two, a question is raised."""
        return self._choose(
            name, text, [(show(number), partial(read, number)) for number in self._numbers(text)]
        )

    def _choose(self, name: str, text: str, readings: Sequence[tuple[str, Callable[[], Any]]]) -> Any:
        """The only possible reading, or a question which of several is meant."""
        can_be: dict[Any, str] = {}
        refusal: UllageError | None = None
        for shown, read in readings:
            try:
                can_be.setdefault(read(), shown)
            except UllageError as error:
                refusal = refusal or error
        if not can_be:
            assert refusal is not None
            raise refusal
        values = list(can_be)
        if len(values) == 1:
            return values[0]
        field_name = name.replace("_", " ")
        asked = self.questions.ask(name, text, f"the {field_name} {plain(text, 40)!r}", list(can_be.values()))
        return _Asked(asked, values[asked.chosen or 0])

    def _with_unit(self, name: str, number: str) -> str:
        unit = self.unit.get(name) or self.unit.get("")
        return f"{number} {unit}" if unit and _BARE.fullmatch(number) else number

    def volume(self, name: str, text: str, *, zero: bool = False) -> Microlitres:
        """Microlitres; `~30 ml` is 30 ml."""

        def one(number: str) -> int:
            return units.volume(number, measures=self.measures, zero=zero, what=name)

        def read(cell: str) -> Any:
            bare = cell if isinstance(cell, Number) else _ABOUT.sub("", cell)
            numbers = [self._with_unit(name, number) for number in self._numbers(bare)]
            if all(_BARE.fullmatch(number) for number in numbers):
                return self._bare(numbers, one)
            ounce = _OUNCE.fullmatch(numbers[0])
            if ounce is not None and self.measures == "metric" and len(numbers) == 1:
                return self._ounces(ounce[1], one)
            return self._choose(name, cell, [(_shown(number), partial(one, number)) for number in numbers])

        return Microlitres(self._once(name, text, read))

    def _bare(self, numbers: Sequence[str], one: Callable[[str], int]) -> Any:
        """Bare figures of a column without a unit; asked once for the whole file, unless `--unit` was given."""
        asked = self.questions.ask("unit", "", _("what amounts without a unit are"), BARE_UNITS)
        if asked.chosen is None:
            self.questions.touch(asked)
        unit = BARE_UNITS[asked.chosen or 0]
        values = [one(f"{number} {unit}") for number in numbers]
        if len(set(values)) > 1:
            shown = [f"{number} {unit}" for number in numbers]
            return self._choose("amount", numbers[0], [(text, partial(one, text)) for text in shown])
        return _Asked(asked, values[0])

    def _ounces(self, figure: str, one: Callable[[str], int]) -> Any:
        """An ounce of an unnamed system in a metric studio; asked once for the whole file."""
        values = [one(f"{figure.strip()} {unit}") for unit in OUNCES.values()]
        shown = [f"{words} of {one(f'1 {unit}') / 1000:.3f} ml" for words, unit in OUNCES.items()]
        asked = self.questions.ask("ounce", "", _("an ounce, which is not the same everywhere"), shown)
        return _Asked(asked, values[asked.chosen or 0])

    def several(self, name: str, text: str) -> tuple[int, str]:
        """How many bottles a size names, and the size of one: `2 x 60 ml` is 2 and `60 ml`."""
        found = None if isinstance(text, Number) else _SEVERAL.fullmatch(text)
        return (self.count(name, found[1]), found[2]) if found else (1, text)

    def left(self, name: str, text: str, size_ul: Microlitres) -> Microlitres:
        """The volume left in a bottle in microlitres: a volume, or a share of the bottle as `half`, `¾` or `40 %`.

        A bare figure in a column without a unit is a share from 0 to 1; a larger one raises a question.
        """
        from stock.bench import left_in  # only where a file says what is left

        bare = text if isinstance(text, Number) else _ABOUT.sub("", text)
        number = self._numbers(bare)[0]
        unit = self.unit.get(name) or self.unit.get("")
        if _BARE.fullmatch(number) and not unit and self.bare_left is not None:
            if self.bare_left.chosen is None:
                self.questions.touch(self.bare_left)
            unit = BARE_LEFT[self.bare_left.chosen or 0]
            number = f"{number} {unit}"
            text = number
        if _BARE.fullmatch(number) and unit in ("%", "percent"):
            number = self._share(name, text, number)
        word = " ".join(number.casefold().split())
        word = LEVELS.get(word, word)
        fraction = re.fullmatch(r"\d+\s*/\s*\d+", word) and not unit
        share = _BARE.fullmatch(word) and not unit and ("." in word or word == "0")
        if word in left_in.WORDS or word in left_in.SIGNS or word.endswith("%") or fraction or share:
            try:
                return left_in.read(word, size_ul)
            except UllageError as error:
                error.column = name
                raise
        return self.volume(name, text, zero=True)

    def ask_of_bare_left(self, texts: Iterable[str]) -> None:
        """Ask what bare figures of the volume left mean, if one of them is larger than a share can be."""
        if self.unit.get("left") or self.unit.get(""):
            return
        bare = (number for text in texts for number in self._numbers(text) if _BARE.fullmatch(number))
        if any(Fraction(number) > 1 for number in bare):
            about = _("what a bare figure of what is left is")
            self.bare_left = self.questions.ask("left", "", about, BARE_LEFT)

    def _share(self, name: str, text: str, number: str) -> str:
        """A bare figure under a head in per cent; a program keeps 40 % as 0.4, so one up to 1 raises a question."""
        if not isinstance(text, Number) or not 0 < Fraction(number) <= 1:
            return f"{number} %"
        readings = [f"{pointed(100 * Fraction(number))} %", f"{number} %"]
        asked = self.questions.ask(name, text, f"the {name} {text}", readings)
        if asked.chosen is None:
            self.questions.touch(asked)
        return readings[asked.chosen or 0]

    def money(self, name: str, text: str) -> int:
        """Money in the currency's minor unit; a sign that can be the currency's own is dropped.

        Raises:
            BadInput: no amount, or the sign of another currency.
        """

        def read(cell: str) -> Any:
            self._refuse_currency(name, cell)
            bare = cell if isinstance(cell, Number) else cell.strip("€$£¥ \u00a0\u202f").removesuffix(",-")
            return self._either(name, bare, lambda number: units.money(number, self.currency), _shown)

        return int(self._once(name, text, read))

    def _refuse_currency(self, name: str, cell: str) -> None:
        """Refuse a price whose sign, or whose head, names another currency."""
        written = f"{cell} {self.unit.get(name, '')}"
        signs = {codes for sign, codes in _SIGNS.items() if sign in written}
        head = self.unit.get(name, "").upper()
        known = {code for codes in _SIGNS.values() for code in codes} | {"CHF"}
        other = head in known and head != self.currency
        if other or any(self.currency not in codes for codes in signs):
            raise BadInput(
                _(
                    "the {name} {written!r} is not in {currency}",
                    name=name,
                    written=plain(written.strip(), 30),
                    currency=self.currency,
                ),
                remedy=Remedy(
                    _("Write what it was in {currency}, or leave it out ", currency=self.currency),
                    Option("map", f"{name}=-"),
                ),
            )

    def percent(self, name: str, text: str) -> Any:
        """Reducer in per cent of the paint, as a fraction; a bare figure is per cent."""

        def one(number: str) -> Any:
            return units.reduction(f"{number}%" if _BARE.fullmatch(number) else number)

        return self._once(name, text, lambda cell: self._either(name, cell, one))

    def plain(self, name: str, text: str, read: Callable[[str], str]) -> str:
        """A text with a figure in it, its decimals behind a point and with the unit of its head; `read` checks it."""
        return str(
            self._once(
                name,
                text,
                lambda cell: self._either(name, cell, lambda number: read(self._with_unit(name, number))),
            )
        )

    def text(self, name: str, text: str, read: Callable[[str], Any]) -> Any:
        """The value that `read` gives for a text; each text is read once."""
        return self._once(name, text, read)

    def today(self) -> date:
        """The studio's day."""
        return clock.day_of(self.now, self.zone)

    def needle(self, name: str, text: str) -> Micrometres:
        """A needle's bore in micrometres."""
        return Micrometres(self._once(name, text, lambda cell: self._either(name, cell, units.needle)))

    def count(self, name: str, text: str) -> int:
        """A whole number from 1 to 1,000."""
        if not (text.isascii() and text.isdigit() and 1 <= int(text[:6]) <= 1_000 and len(text) <= 6):
            raise BadInput(
                _("the {name} {text!r} is no number of bottles", name=name, text=text[:20]),
                remedy=_("Write 1 to 1,000"),
            )
        return int(text)

    def day(self, name: str, text: str) -> date:
        """A calendar day; a month or a year alone means its first day, which is the worse case."""

        def one(written: str) -> date:
            return units.day(written[:10] if written[:4].isdigit() else written, self.today())

        return self._once(name, text, lambda cell: self._of_days(name, cell, one))

    def instant(self, name: str, text: str) -> datetime:
        """An instant in UTC; a day alone is its noon."""

        def one(written: str) -> datetime:
            return units.instant(written, self.zone, self.now)

        return self._once(name, text, lambda cell: self._of_days(name, cell, one))

    def _of_days(self, name: str, text: str, one: Callable[[str], Any]) -> Any:
        written = written_days.readings(text, self.manner.order, self.today())
        return self._choose(name, text, [(day, partial(one, day)) for day in written])


def _shown(text: str) -> str:
    """A reading as a question shows it: `1.000ml` as `1 ml`."""
    found = re.fullmatch(r"(\d+(?:\.\d+)?)\s*(.*)", text.strip(), re.ASCII)
    return f"{pointed(Fraction(found[1]))} {found[2]}".strip() if found else text.strip()
