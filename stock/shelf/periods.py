"""Closing the books until a day, and opening them again; each change is written down with its reason."""

from collections.abc import Sequence
from datetime import date
from typing import NamedTuple

from stock import clock
from stock.errors import BadInput, UllageError
from stock.language import _
from stock.notation import show_day
from stock.shelf.studio import settings
from stock.store import closed_periods
from stock.store.connection import connection, writing
from stock.store.models import PeriodChange, Studio


class PeriodView(NamedTuple):
    """One change: until when the books were closed from then on (None: not at all), why, and on which day."""

    closed_until: date | None
    reason: str
    on: date


def closed_until() -> date | None:
    """The last day on which nothing can be booked any more; None where nothing is closed."""
    with connection():
        return closed_periods.closed_until()


def close(until: date, *, reason: str = "") -> date:
    """Close the books until a day: no errand is dated on it or before any more.

    Args:
        until: the last closed day; it is past, and after what is closed already.
        reason: a person's words about it.
    Raises:
        BadInput: today or a day to come, or one that is closed already.
    """
    with connection(), writing():
        if until >= settings().today():
            raise BadInput(
                _("{until} is not over yet", until=show_day(until)), remedy=_("Give a past day or month")
            )
        now = closed_periods.hold_closed_until(to_change=True)
        if now is not None and until <= now:
            raise BadInput(
                _("the books are closed until {now} already", now=show_day(now)),
                remedy=_("Give a later day or month"),
            )
        _note(until, reason)
    return until


def reopen(to: date | None, *, reason: str) -> date | None:
    """Open the books again, behind a day that stays closed.

    Args:
        to: the last day that stays closed; None where none does.
        reason: why; a bookkeeper will ask.
    Raises:
        BadInput: no reason, or a day that is not closed.
        UllageError: nothing is closed.
    """
    if not reason.strip():
        raise BadInput(
            _("a period is not opened again without a reason"),
            remedy=_("Write why, for whoever reads the books"),
        )
    with connection(), writing():
        now = closed_periods.hold_closed_until(to_change=True)
        if now is None:
            raise UllageError(
                _("no period is closed"), remedy=_("Nothing needs to be opened"), code="not-closed"
            )
        if to is not None and to >= now:
            raise BadInput(
                _("the books are closed until {now}", now=show_day(now)),
                remedy=_("Give an earlier day, which then stays closed"),
            )
        _note(to, reason.strip())
    return to


def _note(until: date | None, reason: str) -> None:
    PeriodChange.insert(closed_until=until, reason=reason, at=clock.now()).execute()
    Studio.update(closed_until=until).where(Studio.id == 1).execute()


def changes() -> Sequence[PeriodView]:
    """Every closing and opening, the newest first."""
    with connection():
        zone = settings().time_zone
        rows = PeriodChange.select().order_by(PeriodChange.id.desc())
        return [PeriodView(row.closed_until, row.reason, clock.day_of(row.at, zone)) for row in rows]
