"""Errors of a database engine, turned into one sentence that a person can act on."""

import os
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager

from stock.errors import NOTHING_BOOKED as _NOTHING
from stock.errors import BooksUnreachable
from stock.language import _
from stock.notation import show_minute
from stock.remedies import Do, Remedy
from stock.store import addresses
from stock.store.orm import pw
from stock.text import not_text


class LineLost(BooksUnreachable):
    """The connection to the server broke during a transaction."""

    code = "line-lost"


_KNOWN = (
    (
        "lock timeout",
        _("another bench holds these bottles"),
        _("Try again in a moment; {nothing}", nothing=_NOTHING),
    ),
    ("statement timeout", _("the server took too long"), _("Try again; {nothing}", nothing=_NOTHING)),
    ("deadlock", _("two benches waited for each other"), _("Do it again; {nothing}", nothing=_NOTHING)),
    ("locked", _("another program holds the books"), _("Try again in a moment; {nothing}", nothing=_NOTHING)),
    (
        "readonly",
        _("the books can't be written here"),
        _("Give yourself the right to write to the file and its folder"),
    ),
    (
        "session is read-only",
        _("none of the servers in the address takes bookings now"),
        _("Wait until a standby is promoted, then do it again"),
    ),
    (
        "read-only transaction",
        _("the server takes no bookings, it only reads; {nothing}", nothing=_NOTHING),
        _("Name the server that is written to"),
    ),
    (
        "timeout expired",
        _("the server does not answer"),
        _("Check that it runs and can be reached, then do it again"),
    ),
    (
        "permission denied for database",
        _("the server's role lacks CONNECT on the database"),
        _("Its owner can give it: GRANT CONNECT ON DATABASE name TO role"),
    ),
    ("is full", _("the disk is full; {nothing}", nothing=_NOTHING), _("Free some room and do it again")),
    (
        "No space left",
        _("the server's disk is full; {nothing}", nothing=_NOTHING),
        _("Free some room there and do it again"),
    ),
    (
        "disk I/O",
        _("the disk failed; {nothing}", nothing=_NOTHING),
        Remedy(_("Check the disk and its free room, then the books: "), Do("check")),
    ),
    (
        "unable to open",
        _("the books can't be opened"),
        _("Check that the folder exists and may be read and written"),
    ),
)
NO_ANSWER = "the server has not answered for"
"""The beginning of the message of `stock.store.server_connection` about a silent server."""
_DAMAGE = ("malformed", "not a database", "decode to UTF-8", "no such table", "no such column")
_AFTERWARDS = ("cannot rollback", "connection is closed")
_LOST = ("connection is lost", "connection is closed", "server closed the connection", "terminating connection",
         "consuming input failed", "could not receive data", "connection already closed")  # fmt: skip


@contextmanager
def plainly(address: str = "") -> Iterator[None]:
    """Turn a database engine's error in the block into a sentence.

    Raises:
        BooksUnreachable: in place of the engine's error.
        BadInput: a text that the engine can't hold.
    """
    try:
        yield
    except (pw.DatabaseError, pw.InterfaceError, sqlite3.Error) as error:
        from stock.store import rights  # only for the refusal

        if rights.is_refusal(error):
            raise rights.NoRight(
                _(
                    "the server refused ({splitlines}); {nothing}",
                    splitlines=str(error).splitlines()[0],
                    nothing=_NOTHING,
                ),
                remedy=_("Ask the owner of these books for the right"),
            ) from error
        if isinstance(error, (pw.IntegrityError, pw.ProgrammingError, pw.DataError, sqlite3.IntegrityError)):
            raise
        raise sentence(str(_first(error)), address) from error
    except UnicodeDecodeError as error:
        raise damaged(address) from error
    except UnicodeEncodeError as error:
        raise not_text(error) from error


def _first(error: BaseException) -> BaseException:
    """The first error of a chain: on a full disk or a lost line the rollback fails as well."""
    while error.__context__ is not None and any(sign in str(error) for sign in _AFTERWARDS):
        error = error.__context__
    return error


def sentence(said: str, address: str) -> BooksUnreachable:
    """The refusal for an engine's error about the books at `address`, which is empty if unknown."""
    if NO_ANSWER in said:
        quiet = said[said.index(NO_ANSWER) :].splitlines()[0]
        return LineLost(
            _("{quiet}; it may be stopped or cut off", quiet=quiet),
            remedy=_("Do it again; {nothing}", nothing=_NOTHING),
        )
    if any(sign in said for sign in _LOST):
        return LineLost(
            _("the server was lost in the middle of it"), remedy=_("Do it again; {nothing}", nothing=_NOTHING)
        )
    if any(sign in said for sign in _DAMAGE):
        return damaged(address)
    for sign, message, remedy in _KNOWN:
        if sign in said:
            return BooksUnreachable(message, remedy=remedy)
    where = _(" at {address}", address=addresses.shown(address)) if address else ""
    first = addresses.without_secrets(
        said.strip().splitlines()[0] if said.strip() else _("no reason given"), address
    )
    return BooksUnreachable(
        _("the books{where} could not be reached: {first}", where=where, first=first),
        remedy=_("Check the address"),
    )


def damaged(address: str) -> BooksUnreachable:
    """The refusal of damaged books, with the newest good backup and the command that restores it."""
    if not address or addresses.is_server(address):
        return BooksUnreachable(
            _("the books are damaged"),
            remedy=Remedy(_("Restore a backup: "), Do("restore", "PATH")),
            code="damaged",
        )
    from stock.store import snapshots  # only for the refusal

    newest = snapshots.newest_good(address)
    if newest is None:
        remedy = Remedy(
            _("No good backup stands beside them; if you keep one elsewhere: "), Do("restore", "PATH")
        )
    else:
        when = f"{show_minute(newest.at)} UTC"
        remedy = Remedy(_("The newest good backup is of {when}: ", when=when), Do("restore", newest.path))
    return BooksUnreachable(
        _("the books at {address} are damaged", address=address), remedy=remedy, code="damaged"
    )


def blame(address: str) -> BooksUnreachable | None:
    """The refusal of damaged books if damage may have caused an unexpected error; None if the books are sound.

    Takes as long as checking a backup, so it runs only before an error is called a fault of the program.
    """
    if not address or addresses.is_server(address) or not os.path.isfile(address):
        return None
    from pathlib import Path

    from stock.store import file_checks  # only for the refusal

    return damaged(address) if file_checks.problems(Path(address)) else None
