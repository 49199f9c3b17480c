"""Column types that both engines store as the same text: days, instants and lives."""

from datetime import date, datetime

from stock import clock
from stock.errors import BadInput
from stock.spans import duration
from stock.store.orm import pw


class DayField(pw.TextField):
    """A calendar day in the studio's time zone, stored as YYYY-MM-DD so that text order is time order."""

    def db_value(self, value: date | str | None) -> str | None:
        """The text that the database keeps."""
        return value.isoformat() if isinstance(value, date) else value

    def python_value(self, value: str | None) -> date | None:
        """The day that the text says."""
        if value is None:
            return None
        try:
            return date.fromisoformat(value)
        except (TypeError, ValueError):
            raise pw.DatabaseError(f"malformed day {value!r}") from None


class InstantField(pw.TextField):
    """An instant in UTC, stored in the fixed format of `clock.stamp`."""

    def db_value(self, value: datetime | str | None) -> str | None:
        """The text that the database keeps."""
        return clock.stamp(value) if isinstance(value, datetime) else value

    def python_value(self, value: str | None) -> datetime | None:
        """The instant that the text says."""
        if value is None:
            return None
        try:
            return clock.read_stamp(value)
        except (TypeError, BadInput):
            raise pw.DatabaseError(f"malformed instant {value!r}") from None


class LifeField(pw.TextField):
    """A life or a lead time, as `spans.duration` reads it: 12mo, 3y, 90d."""

    def python_value(self, value: str | None) -> str | None:
        """The text, checked to be a duration.

        Raises:
            DatabaseError: it is none.
        """
        if value is None:
            return None
        try:
            duration(value)
        except BadInput:
            raise pw.DatabaseError(f"malformed life {value!r}") from None
        return value
