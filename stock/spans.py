"""Days, instants and lives as people write them."""

import datetime as dt
import re
from functools import lru_cache

from stock import clock, notation
from stock.errors import BadInput
from stock.grammar import LONGEST, figure_and_unit, refuse, tidy
from stock.language import _
from stock.named_tuples import NamedTuple
from stock.remedies import Do, Remedy
from stock.text import plain

_LIFE = _("a life such as 12mo, 3y, 90d or 2w")
_EXAMPLE = dt.date(2026, 3, 1)
_MONTHS = {"mo": 1, "month": 1, "months": 1, "y": 12, "year": 12, "years": 12, "yr": 12}
_DAYS = {"d": 1, "day": 1, "days": 1, "w": 7, "week": 7, "weeks": 7, "wk": 7}
_AGO = r"(?a:([-+−])(\d{1,4})([dw]))"
_WRITTEN_DAY = r"(?a:(\d{4})-(\d{2})-(\d{2}))"
_ORDERED_DAY = r"(?a:(\d{1,2})([./])(\d{1,2})\2(\d{4}))"
_SHORT_YEAR = r"(?a:\d{1,2}[./-]\d{1,2}[./-]\d{2})"
_WRITTEN_TIME = r"(?a:(\d{1,2}):(\d{2})(?::(\d{2}))?(Z|[+-]\d{2}:\d{2})?)"
_MOST_MONTHS, _MOST_DAYS = 1_200, 36_525
FIRST_YEAR, LAST_YEAR = 1970, 2199


class Duration(NamedTuple):
    """A life in whole months and days, as a label says it.

    Args:
        months: whole calendar months, 0 or more.
        days: whole days, 0 or more.
    """

    months: int = 0
    days: int = 0

    def after(self, day: dt.date) -> dt.date:
        """The day this long after `day`; the end of a month clamps.

        One month after 31 January is 28 or 29 February. ISO 8601 doesn't define month arithmetic; this rule is ours.
        """
        month = day.month - 1 + self.months
        year, month = day.year + month // 12, month % 12 + 1
        last = (dt.date(year, month % 12 + 1, 1) - dt.timedelta(1)).day  # any December has as many days
        return dt.date(year, month, min(day.day, last)) + dt.timedelta(self.days)

    def __str__(self) -> str:
        years = self.months >= 24 and self.months % 12 == 0
        months = f"{self.months // 12}y" if years else f"{self.months}mo" if self.months else ""
        return months + (f"{self.days}d" if self.days or not self.months else "")


@lru_cache(maxsize=256)
def duration(text: str, *, zero: bool = False) -> Duration:
    """Read a life or a lead time: `12mo`, `3y`, `90d`, `2w`, or months and days together as `12mo10d`.

    Args:
        text: the typed text.
        zero: whether `0d` is accepted, as for a lead time.
    Raises:
        BadInput: another form, 0, or longer than 100 years.
    """
    plainly = _plain_duration(text)
    if plainly is not None:
        return plainly
    tidied = tidy(text, _("duration"), _LIFE)
    parts = re.findall(r"\d[^a-zA-Z]*[a-zA-Z]+\s*", tidied) if "." not in tidied and "/" not in tidied else []
    found = Duration()
    for part in parts if "".join(parts) == tidied and len(parts) <= 2 else [tidied]:
        figure, unit = figure_and_unit(part, _("duration"), _LIFE)
        if unit not in _MONTHS and unit not in _DAYS:
            why = (
                _("could be months or minutes")
                if unit == "m"
                else _("has no unit")
                if not unit
                else _("has no known unit")
            )
            refuse(_("duration"), text, why, _LIFE)
        if figure.denominator != 1:
            refuse(_("duration"), text, _("is not in whole units"), _LIFE)
        length = int(figure)
        found = Duration(
            found.months + length * _MONTHS.get(unit, 0), found.days + length * _DAYS.get(unit, 0)
        )
    if found == Duration() and not zero:
        refuse(_("duration"), text, _("is no time at all"), _LIFE)
    if found.months > _MOST_MONTHS or found.days > _MOST_DAYS:
        refuse(_("duration"), text, _("is longer than 100 years"), _LIFE)
    return found


def _plain_duration(text: str) -> Duration | None:
    """A life that is written as the books keep nearly all, `18mo` or `90d`, without the grammar; None for any other."""
    figure = text.rstrip("dmowy")
    unit = text[len(figure) :]
    if not (figure.isascii() and figure.isdigit() and len(figure) <= 4):
        return None
    if unit in _MONTHS and 0 < int(figure) * _MONTHS[unit] <= _MOST_MONTHS:
        return Duration(months=int(figure) * _MONTHS[unit])
    if unit in _DAYS and 0 < int(figure) * _DAYS[unit] <= _MOST_DAYS:
        return Duration(days=int(figure) * _DAYS[unit])
    return None


def day(text: str, today: dt.date) -> dt.date:
    """Read a day: `2026-03-01`, `today`, `yesterday`, `tomorrow`, `-3d`, `+2w`, or `01.03.2026` in the studio's order.

    Raises:
        BadInput: no such day, a day whose order is not the studio's, or outside 1970 to 2199.
    """
    return _day(text, today, _("a day such as {example}, today, yesterday or -3d", example=_example()))


def _example(time: str = "") -> str:
    """An example of a day in the studio's order, for a refusal."""
    return notation.read().day(_EXAMPLE) + time


def _instants() -> str:
    return _(
        "an instant such as {day}, {day_and_time}, 14:30, now, yesterday or -3d",
        day=_example(),
        day_and_time=_example(" 14:30"),
    )


def _day(text: str, today: dt.date, accepted: str) -> dt.date:
    word = tidy(text, _("day"), accepted).casefold()
    named = {"today": 0, "yesterday": -1, "tomorrow": 1}
    if word in named:
        return today + dt.timedelta(named[word])
    if ago := re.fullmatch(_AGO, word):
        count = int(ago[2]) * (7 if ago[3] == "w" else 1)
        return today + dt.timedelta(count if ago[1] == "+" else -count)
    if re.fullmatch(_SHORT_YEAR, word):
        refuse(
            _("day"),
            text,
            _("has a year of two digits"),
            _("the year in full; {accepted}", accepted=accepted),
        )
    if ordered := re.fullmatch(_ORDERED_DAY, word):
        found = _ordered(ordered, text)
    else:
        written = re.fullmatch(_WRITTEN_DAY, word)
        if written is None:
            refuse(_("day"), text, _("is not a day"), accepted)
        there = _in_calendar(int(written[1]), int(written[2]), int(written[3]))
        if there is None:
            refuse(_("day"), text, _("is not in the calendar"), accepted)
        found = there
    if not FIRST_YEAR <= found.year <= LAST_YEAR:
        refuse(
            _("day"),
            text,
            _("lies outside {first_year} to {last_year}", first_year=FIRST_YEAR, last_year=LAST_YEAR),
            accepted,
        )
    return found


def _in_calendar(year: int, month: int, day_: int) -> dt.date | None:
    try:
        return dt.date(year, month, day_)
    except ValueError:
        return None


def _ordered(written: re.Match[str], text: str) -> dt.date:
    """Read a day in the studio's order: points and strokes if the day stands first, strokes if the month does.

    Raises:
        BadInput: the studio writes days as YYYY-MM-DD, points where it puts the month first, or no such day in its
            order.
    """
    first, second, year = int(written[1]), int(written[3]), int(written[4])
    order = notation.read().dates
    readings = {
        "day-first": _in_calendar(year, second, first),
        "month-first": _in_calendar(year, first, second),
    }
    there = list(dict.fromkeys(one.isoformat() for one in readings.values() if one is not None))
    found = readings.get(order)
    if order == "iso" or (order == "month-first" and written[2] == "."):
        if not there:
            refuse(_("day"), text, _("is not in the calendar"), _example())
        why = _("could be two days") if len(there) > 1 else _("is not written as the studio writes days")
        so = [
            one
            for one, read in readings.items()
            if read is not None and (one, written[2]) != ("month-first", ".")
        ]
        raise BadInput(
            _("the day {text!r} {why}", text=plain(text, LONGEST), why=why),
            remedy=Remedy(
                _("Write {there}", there=_(" or ").join(there)),
                *(
                    part
                    for one in so
                    for part in (_(", or have such days read: "), Do("studio change", "--dates", one))
                ),
            ),
        )
    if found is None:
        how = _(
            "with the {order} first, as the studio has it", order="day" if order == "day-first" else "month"
        )
        number = second if order == "day-first" else first
        what = (
            _("has month {number}", number=number) if not 1 <= number <= 12 else _("is not in the calendar")
        )
        refuse(
            _("day"),
            text,
            _("{what}, read {how}", what=what, how=how),
            there[0] if there else _("a day such as {example}", example=_example()),
        )
    return found


def instant(text: str, zone: str, now: dt.datetime) -> dt.datetime:
    """Read an instant in UTC: `2026-03-01 14:30`, `2026-03-01T14:30Z`, `14:30` (today), `now`, or a day alone.

    A day alone means noon in the time zone, or `now` if it is today. A time that occurs twice when the clocks go back
    is the first of the two.

    Args:
        text: the typed text.
        zone: the studio's time zone, e.g. `Europe/Lisbon`.
        now: the instant taken as now, aware.
    Raises:
        BadInput: no such instant, or one that the clocks skipped.
    """
    accepted = _instants()
    tidied = tidy(text, _("instant"), accepted)
    if tidied.casefold() == "now":
        return now
    today = clock.day_of(now, zone)
    written, __, time = tidied.replace("T", " ", 1).rpartition(" ") if ":" in tidied else (tidied, "", "")
    found = _day(written, today, accepted) if written else today
    if not time:
        if found == today:
            return now
        return dt.datetime.combine(found, dt.time(12), clock.zone(zone)).astimezone(dt.UTC)
    return _at(found, time, zone, text)


def _at(found: dt.date, time: str, zone: str, text: str) -> dt.datetime:
    written = re.fullmatch(_WRITTEN_TIME, time.upper())
    if written is None:
        refuse(_("instant"), text, _("has no such time"), _instants())
    try:
        clock_time = dt.time(int(written[1]), int(written[2]), int(written[3] or 0))
        if written[4]:
            offset = dt.datetime.fromisoformat(f"2000-01-01T00:00{written[4].replace('Z', '+00:00')}").tzinfo
            return dt.datetime.combine(found, clock_time, offset).astimezone(dt.UTC)
    except ValueError:
        refuse(_("instant"), text, _("has no such time"), _instants())
    local = dt.datetime.combine(found, clock_time, clock.zone(zone))
    read = local.astimezone(dt.UTC)
    if read.astimezone(local.tzinfo).replace(tzinfo=None) != local.replace(tzinfo=None):
        refuse(_("instant"), text, _("was skipped by the clocks in {zone}", zone=zone), _instants())
    return read
