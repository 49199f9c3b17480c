"""The one "now" and "today": instants in UTC, days in the studio's own time zone."""

import datetime as dt
from functools import lru_cache

from stock import notation
from stock.errors import BadInput
from stock.language import _
from stock.text import plain


def now() -> dt.datetime:
    """The present instant, aware, in UTC."""
    return dt.datetime.now(dt.UTC)


def today(zone_name: str) -> dt.date:
    """The present calendar day in a time zone."""
    return day_of(now(), zone_name)


def day_of(instant: dt.datetime, zone_name: str) -> dt.date:
    """The calendar day of an instant in a time zone."""
    return instant.astimezone(zone(zone_name)).date()


def local_minute(instant: dt.datetime, zone_name: str) -> str:
    """An instant in local time as a person reads and types it: `2026-03-01 14:30`, in the studio's order of dates."""
    return notation.show_minute(instant.astimezone(zone(zone_name)))


def start_of(day: dt.date, zone_name: str) -> dt.datetime:
    """The first instant of a day in a time zone, in UTC; if the clocks skip midnight, the instant after the gap."""
    return dt.datetime.combine(day, dt.time(), zone(zone_name)).astimezone(dt.UTC)


def stamp(instant: dt.datetime) -> str:
    """An instant as the books write it, `2026-03-01T14:30:00.000000Z`: one length, so text sorts by time."""
    in_utc = instant if instant.tzinfo is dt.UTC else instant.astimezone(dt.UTC)
    return in_utc.isoformat(timespec="microseconds").removesuffix("+00:00") + "Z"


def read_stamp(text: str) -> dt.datetime:
    """The instant that `stamp` wrote.

    Raises:
        BadInput: the text is not such a stamp.
    """
    try:
        found = dt.datetime.fromisoformat(text)
    except ValueError:
        found = None
    # `fromisoformat` takes a tenth of the time of `strptime`, and reads other spellings than ours, too.
    if found is None or not text.endswith("Z") or stamp(found) != text:
        raise BadInput(_("{text!r} is not an instant of the books", text=plain(text, 40)))
    return found.replace(tzinfo=dt.UTC)


def _offsets(zone_name: str) -> tuple[dt.timedelta | None, ...]:
    """A zone's offsets in the winters and summers of 60 years, which are the same for two names of one zone."""
    there = zone(zone_name)
    return tuple(
        there.utcoffset(dt.datetime(year, month, 1)) for year in range(1980, 2040) for month in (1, 7)
    )


def zone_named(text: str) -> str:
    """The IANA name of a time zone, which may be given by its city alone: `lisbon`, `Buenos Aires`.

    Raises:
        BadInput: no such zone, or several of that city.
    """
    from zoneinfo import available_timezones  # reads a folder; needed only to make a studio

    wanted = text.strip().casefold().replace(" ", "_")
    known = sorted(name for name in available_timezones() if not name.startswith(("posix/", "right/")))
    whole = [name for name in known if name.casefold() == wanted]
    cities = [name for name in known if "/" in name and name.casefold().endswith(f"/{wanted}")]
    if not whole and len({_offsets(name) for name in cities}) > 1:
        raise BadInput(
            _("{text!r} could be {cities}", text=plain(text, 40), cities=_(" or ").join(cities[:4])),
            remedy=_("Write the whole name"),
        )
    for name in whole or cities[:1]:
        zone(name)
        return name
    zone(text.strip())  # a name that the machine knows but doesn't list; refuses any other
    return text.strip()


@lru_cache(maxsize=8)
def zone(zone_name: str) -> dt.tzinfo:
    """The time zone of that name.

    Raises:
        BadInput: no such zone.
    """
    from zoneinfo import ZoneInfo  # costs milliseconds that most commands can do without

    try:
        return ZoneInfo(zone_name)
    except (KeyError, ValueError, OSError):
        raise BadInput(
            _("there is no time zone named {zone_name!r}", zone_name=plain(zone_name, 40)),
            remedy=_("Write one such as Europe/Lisbon, America/Chicago or UTC"),
        ) from None
