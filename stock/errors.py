"""The errors that a person can meet: each a sentence that says what was wrong, what to do, and what was not done.

The command line prints an error as one line and exits with its `exit_status`; a screen shows the same sentence beside
the field that it belongs to.
"""

from collections.abc import Mapping, Sequence
from types import MappingProxyType
from typing import Any

from stock.language import _
from stock.remedies import Remedy

NOTHING_BOOKED = _("nothing was booked")


class UllageError(Exception):
    """A refusal that a person can act on.

    Args:
        message: what was wrong, as a sentence without a full stop at the end.
        remedy: what to do about it, a `Remedy` where it names a command or an option; may be empty.
        code: a word for scripts, lower case with hyphens; the class has a default.

    Attributes:
        lines: details beneath the sentence, such as the bad rows of a file; empty for most.
        data: the same details for JSON, beside code, message and remedy.
        column: the field of a file's row that the refusal is about; empty where it isn't about one.
    """

    code = "refused"
    exit_status = 2
    lines: Sequence[str] = ()
    data: Mapping[str, Any] = MappingProxyType({})
    column: str = ""

    def __init__(self, message: str, *, remedy: str = "", code: str | None = None) -> None:
        super().__init__(message)
        self.message = message
        self.remedy = remedy
        if code is not None:
            self.code = code

    def after_booking(self) -> str:
        """The message for a failure after a booking: without the remedy, and without "nothing was booked"."""
        return self.message.replace(f"; {NOTHING_BOOKED}", "")

    @property
    def sentence(self) -> Remedy:
        """What was wrong and what to do."""
        return Remedy(f"{self.message}. ", self.remedy) if self.remedy else Remedy(self.message)

    def __str__(self) -> str:
        return str(self.sentence)


class BadInput(UllageError):
    """A text or a figure that the field doesn't accept."""

    code = "bad-input"


class NotFound(UllageError):
    """A name or a number that is not in the books."""

    code = "not-found"


class Ambiguous(UllageError):
    """A name that fits several things; the message lists them."""

    code = "ambiguous"


class NotEnough(UllageError):
    """A bottle, or all usable bottles together, hold less than was asked for."""

    code = "not-enough"


class Stopped(UllageError):
    """A caution of severity `stop` that was not accepted by its code."""

    code = "stopped"


class BooksUnreachable(UllageError):
    """The studio's books could not be opened, read or written."""

    code = "books-unreachable"
    exit_status = 3
