"""What every command is given and gives back."""

from argparse import ArgumentTypeError
from collections.abc import Callable, Sequence
from contextlib import ExitStack
from datetime import date
from typing import Any, NamedTuple, Protocol

from stock.errors import BadInput
from stock.text import plain


class Context:
    """Where the books are and how the answer is wanted; opened once, when first needed."""

    __slots__ = ("address", "as_of_text", "held", "json")

    def __init__(self, address: str, as_of_text: str | None = None, json: bool = False) -> None:
        self.address = address
        self.as_of_text = as_of_text
        self.json = json
        self.held = ExitStack()

    def open(self) -> None:
        """Open the studio's books and keep one connection until the command is done."""
        from stock.store.connection import connection, open_books  # some commands need no books

        open_books(self.address)
        self.held.enter_context(connection())

    def today(self) -> date:
        """The studio's calendar day."""
        from stock.shelf.studio import settings  # needs the books

        return settings().today()

    def as_of(self) -> date | None:
        """The day that `--as-of` names, or None for today.

        Raises:
            BadInput: a day to come, or no day at all.
        """
        if self.as_of_text is None:
            return None
        from stock.units import day  # only this option needs it

        today = self.today()
        wanted = day(self.as_of_text, today)
        if wanted > today:
            raise BadInput(f"--as-of {wanted} is a day to come", remedy="Give today or a past day")
        return wanted


class Result(NamedTuple):
    """A command's answer: for scripts, for people, and the exit status.

    Attributes:
        text: a file that was asked for on standard output, in the place of the lines.
        made: whether files or other books were made, which stay even if the answer can't be written.
    """

    answer: dict[str, Any]
    lines: Sequence[str] = ()
    status: int = 0
    text: str | bytes | None = None
    made: bool = False


LONGEST_NUMBER = 18
"""Digits that every engine can hold."""


def whole(text: str) -> int:
    """A whole number on the line, as argparse asks for it.

    Raises:
        ArgumentTypeError: it is none, or too large to be a number of anything.
    """
    digits = text.strip().removeprefix("-")
    if not (digits.isascii() and digits.isdigit() and len(digits) <= LONGEST_NUMBER):
        raise ArgumentTypeError(f"{plain(text, 30)!r} is no whole number")
    return int(text)


Run = Callable[[Any, Context], Result]


class Family(Protocol):
    """A module of commands."""

    def register(self, commands: Any) -> None:
        """Add its parsers; each sets `run`."""


def command(parsers: Any, name: str, run: Run, help: str, **options: Any) -> Any:  # noqa: A002 - argparse's word
    """A command's parser, with its example in the description."""
    parser = parsers.add_parser(name, help=help, description=help, **options)
    parser.set_defaults(run=run)
    return parser
