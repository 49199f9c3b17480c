"""The frame of all commands: their context, their result, and shared types of arguments."""

from argparse import ArgumentTypeError
from collections.abc import Callable, Sequence
from contextlib import ExitStack
from datetime import date, datetime
from typing import Any, Protocol

from stock.errors import BadInput
from stock.language import _
from stock.named_tuples import NamedTuple
from stock.remedies import Option, Remedy
from stock.text import plain


class Context:
    """The address of the books and the form of the answer. The books are opened when a command needs them.

    Attributes:
        json: whether the answer is JSON.
        ndjson: whether each entry of the answer's list is a JSON document on a line of its own.
    """

    __slots__ = ("address", "as_of_text", "held", "json", "ndjson")

    def __init__(self, address: str, as_of_text: str | None = None, json: bool = False) -> None:
        self.address = address
        self.as_of_text = as_of_text
        self.json = json
        self.ndjson = False
        self.held = ExitStack()

    def open(self) -> None:
        """Open the books, and hold one connection until the command ends."""
        from stock.store.connection import connection, open_books  # some commands need no books

        open_books(self.address)
        self.held.enter_context(connection())

    def open_if_there(self) -> bool:
        """Open the books, if there are any, for their studio's notation; returns whether they were opened."""
        from stock.errors import BooksUnreachable  # only for the few commands that need no books

        try:
            self.open()
        except BooksUnreachable:
            return False
        return True

    def today(self) -> date:
        """The studio's calendar day."""
        from stock.shelf.studio import settings  # needs the books

        return settings().today()

    def as_of(self) -> date | None:
        """The day that `--as-of` names, or None for today.

        Raises:
            BadInput: a day in the future, or a text that is no day.
        """
        if self.as_of_text is None:
            return None
        from stock.units import day  # only this option needs it

        today = self.today()
        wanted = day(self.as_of_text, today)
        if wanted > today:
            raise BadInput(
                _("--as-of {wanted} is in the future", wanted=wanted), remedy=_("Give today or a past day")
            )
        return wanted


class Result(NamedTuple):
    """A command's answer: for scripts, for people, and the exit status.

    Attributes:
        text: the content of a file that goes to standard output, instead of the lines.
        made: whether files or other books were made; they stay even if the answer can't be written.
        entries: the key of the list whose entries are printed, a line each, instead of the whole answer.
    """

    answer: dict[str, Any]
    lines: Sequence[str] = ()
    status: int = 0
    text: str | bytes | None = None
    made: bool = False
    entries: str = ""


def by_entries(result: Result, keys: Sequence[str]) -> Result:
    """The answer with the entries of the first of these lists that it contains.

    Raises:
        BadInput: it contains none of them.
    """
    entries = next((key for key in keys if key in result.answer), "")
    if not entries:
        raise no_list()
    return result._replace(entries=entries)


def no_list() -> BadInput:
    """The refusal of `--ndjson` for an answer without a list."""
    return BadInput(
        _("this answer is no list, so it has no entries for lines of their own; nothing was done"),
        remedy=Remedy(_("Ask for it whole "), Option("json")),
    )


LONGEST_NUMBER = 18
"""The most digits of a number that every engine can hold."""


def whole(text: str) -> int:
    """The type of an argument that is a whole number.

    Raises:
        ArgumentTypeError: no whole number, or one with more than 18 digits.
    """
    digits = text.strip().removeprefix("-")
    if not (digits.isascii() and digits.isdigit() and len(digits) <= LONGEST_NUMBER):
        raise ArgumentTypeError(_("{text!r} is no whole number", text=plain(text, 30)))
    return int(text)


def instant(text: str | None) -> datetime | None:
    """The moment of an errand by `--on`, in the studio's time zone; None if it was not given.

    Raises:
        BadInput: no day or time that can be read.
    """
    if text is None:
        return None
    from stock import clock, units  # only for this option
    from stock.ledger import zone  # loads the tables

    return units.instant(text, zone(), clock.now())


Run = Callable[[Any, Context], Result]


class Family(Protocol):
    """A module of commands."""

    def register(self, commands: Any) -> None:
        """Add the parsers of its commands; each sets `run`."""


def command(
    parsers: Any,
    name: str,
    run: Run,
    help: str,  # noqa: A002 - argparse's word
    *,
    entries: Sequence[str] = (),
    **options: Any,
) -> Any:
    """Add and return a command's parser.

    Args:
        entries: the keys of the lists of which its answer has one, for `--ndjson`; only a command that books nothing
            has any.
        options: of argparse's `add_parser`.
    """
    parser = parsers.add_parser(name, help=help, description=help, **options)
    parser.set_defaults(run=run, entries=entries)
    return parser
