"""The newest booking and the last closed day, by which the moment of a new booking is checked."""

from datetime import date, datetime, timedelta

from stock import clock
from stock.store.closed_periods import hold_closed_until
from stock.store.models import database
from stock.store.statements import run

NEWEST = (
    "SELECT at, booked_at, (SELECT closed_until FROM studio) AS closed FROM booking ORDER BY id DESC LIMIT 1"
)
NEWEST_ON_A_SERVER = NEWEST.replace("studio)", "studio FOR SHARE)")  # as `hold_closed_until`
SET_BACK = timedelta(days=1)
"""A new booking takes the newest booking's moment if the clock is behind it by no more than this, so that the order is
kept. If the clock is further behind, either may be wrong: the clock counts, and a person may name a moment up to that
of the newest booking."""


def newest_booking() -> str:
    """The query for the newest booking's `at` and `booked_at` and the last day that is `closed`; none or one row."""
    return NEWEST_ON_A_SERVER if database.obj.for_update else NEWEST


def newest_moment(now: datetime) -> tuple[datetime, date | None]:
    """The later of the newest booking's two moments (happened, written) or `now`, and the last closed day."""
    row = run(newest_booking()).fetchone()
    if row is None:
        return now, hold_closed_until()
    *moments, closed = row
    return clock.read_stamp(max(moments)), date.fromisoformat(closed) if closed else None
