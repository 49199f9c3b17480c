"""Closing the books up to a day, and reopening them; each change is kept with its reason."""

from collections.abc import Sequence
from datetime import date

from stock import clock
from stock.errors import BadInput, UllageError
from stock.language import _
from stock.named_tuples import NamedTuple
from stock.notation import show_day
from stock.shelf.studio import settings
from stock.store import closed_periods
from stock.store.connection import connection, writing
from stock.store.models import PeriodChange, Studio


class PeriodView(NamedTuple):
    """One change: up to which day the books were closed from then on (None: not at all), why, and when."""

    closed_until: date | None
    reason: str
    on: date


def closed_until() -> date | None:
    """The last closed day; None if nothing is closed."""
    with connection():
        return closed_periods.closed_until()


def close(until: date, *, reason: str = "") -> date:
    """Close the books up to a day: from now on no errand can be dated on it or earlier.

    Args:
        until: the last closed day, which must be past and later than the present one.
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
    """Reopen the books, after a day that stays closed.

    Args:
        to: the last day that stays closed; None if none does.
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
