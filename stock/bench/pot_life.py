"""Until when a two-part mix can be used: its pot life starts when it is mixed, and the shortest noted one counts.

Only a mix with a hardener has a pot life. Nothing is guessed: heat shortens it only if a sheet says so.
"""

from collections.abc import Iterable
from datetime import datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from stock import clock
from stock.language import _
from stock.named_tuples import NamedTuple
from stock.notation import show_minute
from stock.shelf.pot_life import in_words
from stock.units import MilliCelsius, show_temperature

NOT_NOTED = _("pot life not noted: see the sheet")


class NotedLife(NamedTuple):
    """The pot life noted for one product of a mix, in minutes, and the one that applies at `hot_mc` or warmer."""

    name: str
    hardens: bool
    minutes: int | None = None
    hot_minutes: int | None = None
    hot_mc: MilliCelsius | None = None


class PotLife(NamedTuple):
    """The pot life of a mix; `minutes` is None if none of its products has one noted.

    `by` names the product whose record gives it, `since` is when it was mixed, `zone` the studio's time zone.
    """

    since: datetime
    minutes: int | None = None
    by: str = ""
    hot_minutes: int | None = None
    hot_mc: MilliCelsius | None = None
    zone: str = "UTC"

    @property
    def until(self) -> datetime | None:
        """When it ends; None if that isn't known."""
        return None if self.minutes is None else self.since + timedelta(minutes=self.minutes)

    @property
    def hot_until(self) -> datetime | None:
        """When it ends in the heat; None if no sheet says so."""
        return None if self.hot_minutes is None else self.since + timedelta(minutes=self.hot_minutes)

    def left_minutes(self, now: datetime) -> int | None:
        """Whole minutes left, 0 once it is over; None if that isn't known."""
        return None if self.until is None else max(0, int((self.until - now).total_seconds() // 60))

    def gone(self, now: datetime) -> bool:
        """Whether it is over; an unknown pot life does not count as over."""
        return self.until is not None and now >= self.until

    def short(self, now: datetime) -> str:
        """The time left in a few letters: `85 min`, `3 h`, `over`, or `?` if it isn't known."""
        left = self.left_minutes(now)
        if left is None:
            return "?"
        if self.gone(now):
            return "over"
        return f"{left} min" if left < 100 else f"{left // 60} h"

    def brief(self, now: datetime) -> str:
        """Until when it can be used, in few words."""
        if self.until is None:
            return NOT_NOTED
        until = _moment(self.until, now, self.zone)
        return (
            _("over since {until}: don't spray it", until=until)
            if self.gone(now)
            else _("usable until {until}", until=until)
        )

    def words(self, now: datetime) -> str:
        """Until when it can be used, how much time is left, and whose record says so."""
        if self.gone(now) and self.until is not None:
            until = _moment(self.until, now, self.zone)
            return _("pot life over since {until}: don't spray it, let it set in the open", until=until)
        if self.until is None:
            return NOT_NOTED
        return _(
            "{time_left} left, {promise}",
            time_left=in_words(self.left_minutes(now) or 0),
            promise=self.promise(now),
        )

    def promise(self, now: datetime) -> str:
        """Until when it can be used, and whose record says so."""
        if self.until is None:
            return NOT_NOTED
        said = _(
            "usable until {until} ({minutes} by {by})",
            until=_moment(self.until, now, self.zone),
            minutes=in_words(self.minutes or 0),
            by=self.by,
        )
        if self.hot_until is not None and self.hot_mc is not None:
            degrees = show_temperature(self.hot_mc)
            over = _("it is over since") if now >= self.hot_until else _("until")
            said += _(
                "; from {degrees} on {over} {hot_until}",
                degrees=degrees,
                over=over,
                hot_until=_moment(self.hot_until, now, self.zone),
            )
        return said

    def as_json(self) -> dict[str, Any]:
        """The pot life as JSON, as it is when the mix is made (a repeat gets the same answer); instants in UTC."""
        return {
            "minutes": self.minutes,
            "until": clock.stamp(self.until) if self.until else None,
            "by": self.by or None,
            "hot_from_c": self.hot_mc / 1_000 if self.hot_mc is not None else None,
            "hot_until": clock.stamp(self.hot_until) if self.hot_until else None,
            "words": self.promise(self.since),
        }

    def counted_down(self, now: datetime) -> dict[str, Any]:
        """`as_json` with the minutes that are left."""
        left = {"left_minutes": self.left_minutes(now), "over": self.gone(now)}
        return {**self.as_json(), **left, "words": self.words(now)}


def _moment(instant: datetime, now: datetime, zone: str) -> str:
    """The time of day, with the day if it isn't today."""
    there, here = instant.astimezone(ZoneInfo(zone)), now.astimezone(ZoneInfo(zone))
    return f"{there:%H:%M}" if there.date() == here.date() else show_minute(there)


def pot_life(products: Iterable[NotedLife], since: datetime, zone: str) -> PotLife | None:
    """The pot life of a mix that was made at a moment; None if it has no hardener.

    The shortest noted pot life counts; in the heat, the shortest that is noted for heat.
    """
    every = list(products)
    if not any(each.hardens for each in every):
        return None
    noted = [each for each in every if each.minutes is not None]
    if not noted:
        return PotLife(since, zone=zone)
    shortest = min(noted, key=lambda each: each.minutes or 0)
    hot = min(
        (
            each
            for each in noted
            if each.hot_minutes is not None and each.hot_minutes < (shortest.minutes or 0)
        ),
        key=lambda each: each.hot_minutes or 0,
        default=None,
    )
    return PotLife(
        since,
        shortest.minutes,
        shortest.name,
        hot.hot_minutes if hot is not None else None,
        hot.hot_mc if hot is not None else None,
        zone,
    )


def of_rows(rows: Iterable[tuple[Any, bool]], since: datetime, zone: str) -> PotLife | None:
    """The pot life of a mix of these products, read from their rows.

    Args:
        rows: each product, and whether it was poured as a hardener.
        since: when it was mixed.
        zone: the studio's time zone.
    """
    return pot_life(
        [
            NotedLife(
                row.name,
                as_hardener or row.role == "hardener",
                row.pot_life_minutes,
                row.hot_pot_life_minutes,
                row.hot_pot_life_mc,
            )
            for row, as_hardener in rows
        ],
        since,
        zone,
    )
