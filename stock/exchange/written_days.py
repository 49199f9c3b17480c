"""Days as people write them in a spreadsheet, each as 2026-03-01.

A month or a year alone means its first day, so that a bottle opened, received or expiring then counts as older. A year
of two digits is of this century, or of the last one if that would be more than 20 years ahead.
"""

import re
from collections.abc import Iterable
from datetime import date, timedelta

ORDERS = ("dmy", "mdy")
SERIAL_ZERO = date(1899, 12, 30)
"""Day 0 of the serial numbers of days that spreadsheet programs keep, as they count since 1 March 1900."""
SERIALS = range(20_000, 80_000)
"""Serial numbers that are read as days, 1954 to 2119."""
_TIME = r"(?:[ T]+(\d{1,2}:\d{2}(?::\d{2})?))?"
_WRITTEN = re.compile(rf"(\d{{1,2}})([./-])\s?(\d{{1,2}})\2\s?(\d{{4}}|\d{{2}}){_TIME}", re.ASCII)
_ISO = re.compile(r"\d{4}-\d{2}-\d{2}[ T]\d{2}:\d{2}(:\d{2})?(\.\d+)?", re.ASCII)
_YEAR_FIRST = re.compile(rf"(\d{{4}})([./-])(\d{{1,2}})\2(\d{{1,2}}){_TIME}", re.ASCII)
_MONTH = re.compile(r"(\d{1,2})\s?[./-]\s?(\d{4})", re.ASCII)
_YEAR_MONTH = re.compile(r"(\d{4})\s?[./-]\s?(\d{1,2})(?:\s?[./-]\s?[-?x]{0,2})?", re.ASCII)
_YEAR = re.compile(r"(19[7-9]\d|20\d\d)(?:[/.-][-?]{1,2}){0,2}", re.ASCII)
_NAMED = re.compile(r"(?:(\d{1,2})\.?\s+)?([^\W\d_]{3,})\.?,?\s+(?:(\d{1,2}),?\s+)?(\d{4})")
_SHORT_NAMED = re.compile(r"(\d{1,2})\.?[\s-]([^\W\d_]{3,})\.?[\s-](\d{2}|\d{4})")
_NAMED_SHORT = re.compile(r"([^\W\d_]{3,})\.?\s?[\s'-]\s?(\d{2})")
_YEAR_NAMED = re.compile(r"(\d{4}),?\s+([^\W\d_]{3,})\.?(?:\s+(\d{1,2}))?")
_MONTHS = (
    "january januar janvier enero janeiro jan janv ene", "february februar février febrero fevereiro feb fév fev fevr",
    "march märz mars marzo março mar mrz", "april avril abril apr avr abr", "may mai mayo maio",
    "june juni juin junio junho jun", "july juli juillet julio julho jul juil",
    "august août agosto aug aoû ago", "september septembre septiembre setembro sep sept set",
    "october oktober octobre octubre outubro oct okt out", "november novembre noviembre novembro nov",
    "december dezember décembre diciembre dezembro dec dez déc dic",
)  # fmt: skip
_NUMBERED = {word: number for number, words in enumerate(_MONTHS, 1) for word in words.split()}


def order(days: Iterable[str]) -> str | None:
    """Day first or month first, if some day can only be read in one way; points are always day first."""
    seen = set()
    for text in days:
        found = _WRITTEN.fullmatch(text.strip())
        if found is not None:
            first, second = int(found[1]), int(found[3])
            seen.add("dmy" if found[2] == "." or first > 12 else "mdy" if second > 12 else None)
    seen -= {None}
    return seen.pop() if len(seen) == 1 else None


def readings(text: str, order_of_days: str | None, today: date) -> list[str]:
    """The possible readings of a text, each as 2026-03-01 with its time of day if any; the text itself if it is no day.

    Args:
        text: as it stands in the cell.
        order_of_days: `dmy` or `mdy`; None if both are possible, and then both readings are returned.
        today: the day that decides the century of two digits.
    """
    text = text.strip()
    if _ISO.fullmatch(text):
        return [text.replace("T", " ", 1).partition(".")[0]]
    found = _WRITTEN.fullmatch(text)
    if found is not None:
        return _in_orders(found, order_of_days, today)
    if found := _YEAR_FIRST.fullmatch(text):
        return [f"{found[1]}-{int(found[3]):02}-{int(found[4]):02}{_time(found[5])}"]
    if text.isascii() and text.isdigit() and len(text) == 5 and int(text) in SERIALS:
        return [(SERIAL_ZERO + timedelta(int(text))).isoformat()]
    return _with_short_year(text, today) or [_month(text) or text]


def _with_short_year(text: str, today: date) -> list[str]:
    """A day as 4-Mar-25; `Mar-25` is a month of 2025, or the last 25th of a March."""
    if found := _SHORT_NAMED.fullmatch(text):
        month, year = _NUMBERED.get(found[2].casefold()), int(found[3])
        if month and len(found[3]) == 2:
            year += 2000 if 2000 + year <= today.year + 20 else 1900
        return [f"{year}-{month:02}-{int(found[1]):02}"] if month else []
    found = _NAMED_SHORT.fullmatch(text)
    month = _NUMBERED.get(found[1].casefold()) if found else None
    if found is None or month is None:
        return []
    number = int(found[2])
    year = number + (2000 if 2000 + number <= today.year + 20 else 1900)
    last = today.year - ((month, number) > (today.month, today.day))
    alone = [f"{year}-{month:02}-01"]
    return [*alone, f"{last}-{month:02}-{number:02}"] if 1 <= number <= 31 else alone


def _in_orders(found: re.Match[str], order_of_days: str | None, today: date) -> list[str]:
    first, second = int(found[1]), int(found[3])
    year = int(found[4])
    if len(found[4]) == 2:
        year += 2000 if 2000 + year <= today.year + 20 else 1900
    wanted = "dmy" if found[2] == "." else order_of_days
    orders = [wanted] if wanted else ["dmy"] if first > 12 else ["mdy"] if second > 12 else list(ORDERS)
    each = [(second, first) if one == "dmy" else (first, second) for one in orders]
    return [f"{year}-{month:02}-{day:02}{_time(found[5])}" for month, day in dict.fromkeys(each)]


def _time(text: str | None) -> str:
    return f" {text:0>5}" if text else ""


def _month(text: str) -> str | None:
    """The first day of a month or a year, or a day whose month is written as a word."""
    if found := _MONTH.fullmatch(text):
        return f"{found[2]}-{int(found[1]):02}-01"
    if found := _YEAR_MONTH.fullmatch(text):
        return f"{found[1]}-{int(found[2]):02}-01"
    if found := _YEAR.fullmatch(text):
        return f"{found[1]}-01-01"
    if found := _NAMED.fullmatch(text):
        year, word, day = found[4], found[2], found[1] or found[3]
    elif found := _YEAR_NAMED.fullmatch(text):
        year, word, day = found[1], found[2], found[3]
    else:
        return None
    month = _NUMBERED.get(word.casefold())
    return f"{year}-{month:02}-{int(day or 1):02}" if month else None
