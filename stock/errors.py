"""What can go wrong, in one sentence each: what it was, what to do, and that nothing was booked.

Every error a person can meet is an `UllageError`; the command prints it as one line and leaves with its
`exit_status`, a screen shows the same sentence beside the field it belongs to.
"""

from collections.abc import Mapping, Sequence
from types import MappingProxyType
from typing import Any

from stock.remedies import Remedy

NOTHING_BOOKED = "nothing was booked"


class UllageError(Exception):
    """A refusal that a person can act on.

    Args:
        message: what was wrong, as a sentence without a full stop at the end.
        remedy: what to do about it, a `Remedy` where it names a command or an option; may be empty.
        code: a word for scripts, lower case with hyphens; the class has a default.

    Attributes:
        lines: what is said beneath the sentence, one thing a line; empty for most.
        data: the same for scripts, beside code, message and remedy.
    """

    code = "refused"
    exit_status = 2
    lines: Sequence[str] = ()
    data: Mapping[str, Any] = MappingProxyType({})

    def __init__(self, message: str, *, remedy: str = "", code: str | None = None) -> None:
        super().__init__(message)
        self.message = message
        self.remedy = remedy
        if code is not None:
            self.code = code

    def after_booking(self) -> str:
        """What went wrong behind an errand that is in the books: without the words that it isn't, and no remedy."""
        return self.message.replace(f"; {NOTHING_BOOKED}", "")

    @property
    def sentence(self) -> Remedy:
        """What was wrong and what to do."""
        return Remedy(f"{self.message}. ", self.remedy) if self.remedy else Remedy(self.message)

    def __str__(self) -> str:
        return str(self.sentence)


class BadInput(UllageError):
    """Text or a figure that can't be read as what the field asks for."""

    code = "bad-input"


class NotFound(UllageError):
    """A name or number that the books don't hold."""

    code = "not-found"


class Ambiguous(UllageError):
    """A name that fits several things; the message lists them."""

    code = "ambiguous"


class NotEnough(UllageError):
    """More was asked of a bottle, or of all usable bottles, than the books hold."""

    code = "not-enough"


class Stopped(UllageError):
    """A caution of severity `stop` that was not accepted by its code."""

    code = "stopped"


class BooksUnreachable(UllageError):
    """The studio's books could not be opened, read or written."""

    code = "books-unreachable"
    exit_status = 3
