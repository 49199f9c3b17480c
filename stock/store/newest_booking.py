"""The newest booking, which a new one may not be dated before unknowingly, with the last closed day."""

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
"""Where the clock is behind the newest booking by no more than this, a new one takes that one's moment, so that the
order is kept. Behind by more, nobody knows which of the two is wrong: the clock is taken, and a later moment may be
named up to that of the newest booking."""


def newest_booking() -> str:
    """The query for the newest booking's `at` and `booked_at` and the last day that is `closed`; none or one row."""
    return NEWEST_ON_A_SERVER if database.obj.for_update else NEWEST


def newest_moment(now: datetime) -> tuple[datetime, date | None]:
    """When the newest booking happened or was written, `now` if there is none; and the last closed day."""
    row = run(newest_booking()).fetchone()
    if row is None:
        return now, hold_closed_until()
    *moments, closed = row
    return clock.read_stamp(max(moments)), date.fromisoformat(closed) if closed else None
