"""How a studio writes figures and days: its decimal mark, and the order of a date.

The setting belongs to the opened books: `stock.store.settings` registers here the function that reads it, and this
module keeps no copy. Without open books, figures have a point and days are YYYY-MM-DD. Output for machines (JSON, CSV,
folders, calendars, the Python API) has that form in every studio, because it is made inside `exactly()`, which affects
only its own thread.
"""

import re
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from datetime import date, datetime
from functools import lru_cache, wraps
from typing import Literal, ParamSpec, TypeVar

from stock.named_tuples import NamedTuple

DecimalMark = Literal["point", "comma"]
DateOrder = Literal["iso", "day-first", "month-first"]
DECIMAL_MARKS: tuple[DecimalMark, ...] = ("point", "comma")
DATE_ORDERS: tuple[DateOrder, ...] = ("iso", "day-first", "month-first")
P = ParamSpec("P")
T = TypeVar("T")
NO_BREAK = "\N{NO-BREAK SPACE}"


class Notation(NamedTuple):
    """How one studio writes figures and days.

    Args:
        comma: whether a comma stands before the decimals; a point otherwise.
        dates: iso (`2026-11-27`), day-first (`27.11.2026`) or month-first (`11/27/2026`).
    """

    comma: bool = False
    dates: str = "iso"

    def figure(self, text: str) -> str:
        """A figure written with a point, as the studio writes it."""
        return text.replace(".", ",") if self.comma else text

    def day(self, day: date) -> str:
        """A day as the studio writes it."""
        if self.dates == "day-first":
            return f"{day.day:02}.{day.month:02}.{day.year}"
        if self.dates == "month-first":
            return f"{day.month:02}/{day.day:02}/{day.year}"
        return date.isoformat(day) if not isinstance(day, datetime) else day.date().isoformat()


EXACT = Notation()
"""A point, and YYYY-MM-DD: what machines read."""
_asks: list[Callable[[], Notation]] = []
_exact: ContextVar[tuple[bool, bool]] = ContextVar("exact", default=(False, False))
"""Whether this thread now shows, and reads, figures and days exactly."""


def follow(ask: Callable[[], Notation]) -> None:
    """Register the function that returns the notation of the opened books' studio, or `EXACT` while none are open."""
    _asks[:] = [ask]


def of_studio() -> Notation:
    """The notation of the opened books' studio."""
    return _asks[0]() if _asks else EXACT


def shown() -> Notation:
    """The notation in which to show figures and days now."""
    return EXACT if _exact.get()[0] else of_studio()


def read() -> Notation:
    """The notation in which to read figures and days now."""
    return EXACT if _exact.get()[1] else of_studio()


@contextmanager
def exactly(*, shown: bool = True, read: bool = True) -> Iterator[None]:
    """Show and read figures with a point and days as YYYY-MM-DD inside the block, whatever the studio says.

    Args:
        shown: whether it holds for what is shown.
        read: whether it holds for what is read.
    """
    before = _exact.get()
    token = _exact.set((before[0] or shown, before[1] or read))
    try:
        yield
    finally:
        _exact.reset(token)


def remembered(most: int) -> Callable[[Callable[P, T]], Callable[P, T]]:
    """`functools.lru_cache` for results that contain figures or days in words; each notation has its own results.

    Args:
        most: how many results are cached.
    """

    def of(work: Callable[P, T]) -> Callable[P, T]:
        @lru_cache(maxsize=most)
        def kept(how: Notation, *args: P.args, **more: P.kwargs) -> T:
            del how
            return work(*args, **more)

        @wraps(work)
        def answer(*args: P.args, **more: P.kwargs) -> T:
            return kept(shown(), *args, **more)  # type: ignore[arg-type] # what is remembered is hashable

        answer.cache_clear = kept.cache_clear  # type: ignore[attr-defined] # as `lru_cache` has it
        return answer

    return of


def show_day(day: date | str | None) -> str:
    """A day for a person to read, as the studio writes it; a text is a day as YYYY-MM-DD, and None is nothing.

    >>> show_day("2026-11-27")
    '2026-11-27'
    """
    if day is None:
        return ""
    return shown().day(date.fromisoformat(day) if isinstance(day, str) else day)


_EXAMPLES = r"(?a)\b\d{4}-\d{2}-\d{2}\b|\d+(?:\.\d+){2,}|(?<=\d)\.(?=\d)"


def example(text: str) -> str:
    """A text of the program with the figures and the days YYYY-MM-DD of its examples in the studio's notation."""
    how = shown()
    if how == EXACT:
        return text

    def turned(found: re.Match[str]) -> str:
        if found[0] == ".":
            return how.figure(".")
        return how.day(date.fromisoformat(found[0])) if "-" in found[0] else found[0]

    return re.sub(_EXAMPLES, turned, text)


def show_minute(moment: datetime) -> str:
    """A local date and time for a person to read: `2026-11-27 14:30` in the studio's order of dates."""
    return f"{shown().day(moment.date())} {moment:%H:%M}"


def in_thousands(number: int) -> str:
    """A whole number for a person to read: `1,200`; with a no-break space where the comma stands before decimals."""
    grouped = f"{number:,}"
    return grouped.replace(",", NO_BREAK) if shown().comma else grouped
