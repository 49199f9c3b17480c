"""Short forms of days, ages, volumes and counts."""

import re
from datetime import date
from fractions import Fraction
from typing import TYPE_CHECKING

from stock.grammar import in_figures, in_full, in_short
from stock.language import _, ngettext
from stock.notation import in_thousands

if TYPE_CHECKING:
    from stock.units import Microlitres

WEEKDAYS = (_("Mon"), _("Tue"), _("Wed"), _("Thu"), _("Fri"), _("Sat"), _("Sun"))
MONTHS = (
    _("Jan"),
    _("Feb"),
    _("Mar"),
    _("Apr"),
    _("May"),
    _("Jun"),
    _("Jul"),
    _("Aug"),
    _("Sep"),
    _("Oct"),
    _("Nov"),
    _("Dec"),
)
LONG_MONTHS = (
    _("January"), _("February"), _("March"), _("April"), _("May"), _("June"),
    _("July"), _("August"), _("September"), _("October"), _("November"), _("December"),
)  # fmt: skip


def short_day(day: date | None, today: date | None = None) -> str:
    """`3 Oct`, with the year unless it is that of `today`; `-` for None."""
    if day is None:
        return "-"
    short = f"{day.day} {MONTHS[day.month - 1]}"
    return short if today is not None and day.year == today.year else f"{short} {day.year}"


def span(days: int) -> str:
    """A number of days in days, weeks, months or years, without a sign: `5 d`, `7 wk`, `14 mo`, `3 y`."""
    days = abs(days)
    if days < 21:
        return _("{days} d", days=days)
    if days < 120:
        return _("{days} wk", days=days // 7)
    if days < 730:
        return _("{days} mo", days=days * 12 // 365)
    return _("{days} y", days=days // 365)


def since(day: date | None, today: date) -> str:
    """How long ago the day was, or how far ahead it is: `3 wk ago`, `in 5 d`."""
    if day is None:
        return _("not known")
    days = (today - day).days
    if days == 0:
        return _("today")
    return _("{days} ago", days=span(days)) if days > 0 else _("in {days}", days=span(days))


def ml(volume_ul: "Microlitres") -> str:
    """Millilitres, rounded by their size: `120`, `41.5`, `0.05`."""
    return _rounded(volume_ul)


def _rounded(thousandths: int) -> str:
    short = in_short(Fraction(thousandths, 1_000))
    return short if not short.lstrip("-").isdigit() else in_thousands(int(short))


def ml_change(before_ul: "Microlitres", after_ul: "Microlitres") -> tuple[str, str]:
    """Millilitres before and after a change, with as many places as it takes to see it: `221.3`, `221.1`."""
    before, after = ml(before_ul), ml(after_ul)
    digits = 0
    while before == after and before_ul != after_ul:
        digits += 1
        before, after = (in_figures(Fraction(each, 1_000), digits) for each in (before_ul, after_ul))
    return before, after


def spelt(text: str) -> str:
    """Typed measures as a page shows them: `5C` as 5 °C, `18mo` as 18 months, `56%` as 56 %."""
    degrees = re.sub(r"(?<![\w.])(-?\d+(?:\.\d+)?)C\b", r"\1 °C", text)
    spaced = re.sub(r"(?<=\d)%", " %", degrees)
    return re.sub(r"(?<![\w.])(\d+)(y|mo|wk|w|d|h|min)\b", _spelt_span, spaced)


def _spelt_span(found: re.Match[str]) -> str:
    number = int(found[1])
    return {
        "y": ngettext("{number} year", "{number} years", number),
        "mo": ngettext("{number} month", "{number} months", number),
        "w": ngettext("{number} week", "{number} weeks", number),
        "d": ngettext("{number} day", "{number} days", number),
        "h": ngettext("{number} hour", "{number} hours", number),
        "min": ngettext("{number} minute", "{number} minutes", number),
    }[found[2].removesuffix("k")]


def ml_of(millilitres: float) -> str:
    """Millilitres from an answer of the books, with as many places as `ml` shows."""
    return _rounded(round(millilitres * 1_000))


def count(number: int, one: str, many: str = "") -> str:
    """`1 bottle`, `3 bottles`."""
    forms = f"{{number:,}} {one}", f"{{number:,}} {many or one + 's'}"  # collected where `count` is called
    text = ngettext(*forms, number)
    return text.replace(f"{number:,}", in_thousands(number), 1)


def bar(share: float, wide: int = 24) -> str:
    """A share from 0 to 1 as a bar and a per cent figure."""
    share = min(1.0, max(0.0, share))
    full = round(share * wide)
    return f"{'█' * full}{'░' * (wide - full)} {share:4.0%}"


def written(day: date) -> str:
    """A day as the masthead shows it, in English in every locale."""
    return f"{WEEKDAYS[day.weekday()]} {day.day} {MONTHS[day.month - 1]} {day.year}"


def ml_exact(volume_ul: "Microlitres") -> str:
    """Millilitres to the microlitre, so that reading the text gives the same volume."""
    return in_full(Fraction(volume_ul, 1_000))
