"""The commands of `ullage`: read the line, run one command, print its answer or one line of refusal.

Only the module of the typed command is loaded. `--studio`, `--as-of` and `--json` may stand anywhere on the
line, so they are taken out before argparse reads it.
"""

import argparse
import errno
import os
import sys
from collections.abc import Callable, Sequence
from importlib import import_module
from typing import Any, NoReturn

from stock.cli import streams
from stock.cli.frame import Context, Result
from stock.errors import BadInput, BooksUnreachable, UllageError
from stock.text import not_text, plain

FAMILIES = {
    "setting_up": ("new", "studio", "product", "place", "supplier"),
    "shelf": ("receive", "shelf", "bottle"),
    "mixing": ("mix", "wash"),
    "bench": ("reduce", "viscosity", "advise", "step", "close"),
    "sheets": ("sheet",),
    "recipes": ("recipe",),
    "coverage": ("coverage",),
    "scale": ("scale",),
    "forecast": ("forecast",),
    "orders": ("order", "plan-use"),
    "cautions": ("cautions", "classify", "caution-rule"),
    "exchange": ("backup", "restore", "copy"),
    "books": ("today", "logbook", "undo", "check"),
    "jobs": ("job", "cost", "emissions", "trace"),
    "exchange_files": ("export", "import", "labels"),
}
FAMILY_OF = {name: family for family, names in FAMILIES.items() for name in names}
BOOKED = "something was booked before that: look at `ullage logbook` before you do it again"


DISK_FAILS = (errno.EIO, errno.ENOSPC, errno.EROFS)
"""Error numbers of a failing disk."""


class Parser(argparse.ArgumentParser):
    """An argparse parser whose refusals are a `BadInput`."""

    def error(self, message: str) -> NoReturn:
        """Refuse the line.

        Raises:
            BadInput: always.
        """
        raise BadInput(plain(message), remedy=f"See `{self.prog} --help`")

    def print_help(self, file: Any = None) -> None:
        """Print the help like any other answer; argparse then exits with 0.

        Raises:
            SystemExit: the help can't be written.
        """
        del file
        status = streams.write_answer(Result({}, [self.format_help().rstrip()]), as_json=False)
        if status:
            self.exit(status)


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command and return its exit status; nothing but its answer goes to stdout."""
    line = list(sys.argv[1:] if argv is None else argv)
    context = Context(address="")

    def work() -> int:
        before = bookings()
        rest = take_options(line, context)
        with context.held:
            result = run(rest, context)
        booked = bookings() > before
        status = streams.write_answer(result, as_json=context.json, booked=booked)
        write_remarks()
        back_up_daily(context.address, result.lines[0] if booked and result.lines else "")
        return status

    return guarded(work, context)


def guarded(work: Callable[[], int], context: Context) -> int:
    """Run some work; its exit status, or that of its error, which is printed as one sentence on stderr."""
    streams.prepare()
    before = bookings()
    try:
        return work()
    except UllageError as error:
        return refuse(error, context, booked=bookings() > before)
    except UnicodeEncodeError as error:
        return refuse(not_text(error), context, booked=bookings() > before)
    except KeyboardInterrupt:
        if bookings() > before:
            streams.write_line(f"ullage: stopped, but {BOOKED}")
        return 130
    except Exception as error:  # a traceback never reaches a person
        if os.environ.get("ULLAGE_DEBUG"):
            raise
        return refuse(unforeseen(error, context.address), context, booked=bookings() > before)


def bookings() -> int:
    """How many bookings this process has committed."""
    store = sys.modules.get("stock.store.connection")
    return 0 if store is None else int(store.landed())


def refuse(error: UllageError, context: Context, *, booked: bool) -> int:
    """Print why a command was refused, or what failed after it had booked something; return the exit status.

    A failure after a booking exits with 1, because 2 and 3 promise that nothing was booked.
    """
    if booked:
        error = UllageError(f"{error.after_booking()}; but {BOOKED}", code=error.code)
        error.exit_status = 1
    return streams.refuse(error, as_json=context.json)


def write_remarks() -> None:
    """Print what is odd about the opened books, a line each, on stderr."""
    remarks = sys.modules.get("stock.store.remarks")
    for sentence in remarks.noted() if remarks is not None else ():
        streams.write_line(f"ullage: {plain(sentence, 2_000)}")


def back_up_daily(address: str, what: str = "") -> None:
    """Make the day's backup, after the answer of the first command of a day that booked something.

    A command that only reads never waits for it, and a backup that fails does not fail the command.

    Args:
        address: where the books are.
        what: what was booked, to be repeated if the backup can't be made.
    """
    store = sys.modules.get("stock.store.connection")
    if store is None or not store.wrote_to(address):
        return
    from stock.store import snapshots  # only after a booking

    if not snapshots.due(address):
        return
    from stock.exchange.backup import daily  # once a day

    try:
        daily(address)
    except UllageError as error:
        failed = plain(f"the day's backup could not be made ({error.after_booking()})", 2_000)
        stays = f"What was asked is booked: {plain(what)}. " if what else ""
        streams.write_line(
            f"ullage: {failed}. {stays}The next booking tries again, or `ullage backup PATH` elsewhere"
        )


def take_options(line: Sequence[str], context: Context) -> list[str]:
    """Move `--studio`, `--as-of` and `--json` from a line into the context.

    Returns:
        The rest of the line.
    Raises:
        BadInput: an option without its value, or an address that books can't have.
    """
    rest: list[str] = []
    given: dict[str, str] = {}
    lacking = ""
    words = iter(line)
    for word in words:
        option, sign, value = word.partition("=")
        if word == "--":
            rest += [word, *words]
        elif word == "--json":
            context.json = True
        elif option in ("--studio", "--as-of"):
            following = value if sign else next(words, None)
            if not following:
                lacking = option
            given[option] = following or ""
        elif word.startswith("-") and value == "--":  # argparse would read it as the end of the options
            lacking = option
        else:
            rest.append(word)
    if lacking:
        raise BadInput(f"{plain(lacking, 40)} needs a value", remedy="Write it behind the option")
    context.as_of_text = given.get("--as-of")
    context.address = given.get("--studio") or os.environ.get("ULLAGE_STUDIO") or ""
    if not context.address:
        context.address = default_address()
    elif ":" in context.address or "//" in context.address:
        from stock.store.addresses import require  # only for what may be a URL

        require(context.address)
    return rest


def default_address() -> str:
    """The file of books that is used when none is named."""
    from platformdirs import user_data_path  # only without --studio

    return str(user_data_path("ullage", appauthor=False) / "studio.ullage")


def parser_for(name: str | None) -> Parser:
    """The parser of one command's family, or of all commands when the name isn't one of them."""
    parser = Parser(
        prog="ullage",
        description="Books, bench and forecast of a studio that sprays paint. Without a command: the dashboard.",
        epilog="--studio PATH_OR_URL, --as-of DATE and --json are accepted anywhere on the line. Also: `ullage demo` "
        "tries a throw-away sample studio, `ullage serve` shows the dashboard in a browser (`ullage serve --help`), "
        "`ullage --version` says which version this is.",
    )
    commands = parser.add_subparsers(dest="command", metavar="COMMAND", required=True)
    families = [FAMILY_OF[name]] if name in FAMILY_OF else list(FAMILIES)
    for family in families:
        import_module(f"stock.cli.{family}").register(commands)
    return parser


def run(line: Sequence[str], context: Context) -> Result:
    """Parse the line and run its command."""
    name = next((word for word in line if not word.startswith("-")), None)
    if name is not None and name not in FAMILY_OF:
        from difflib import get_close_matches  # only for the refusal

        close = ", ".join(get_close_matches(name, FAMILY_OF, n=3)) or ", ".join(FAMILY_OF)
        raise BadInput(f"{plain(name, 40)!r} is no command", remedy=f"Did you mean {close}?")
    if name is None and "--version" in line:
        return version()
    args: Any = parser_for(name).parse_args(list(line))
    result: Result = args.run(args, context)
    return result


def version() -> Result:
    """The version that is installed."""
    from importlib import metadata  # only for this

    number = metadata.version("ullage")
    return Result({"version": number}, [f"ullage {number}"])


def unforeseen(error: Exception, address: str) -> UllageError:
    """The error for a fault of the program, unless the disk fails or the books turn out to be damaged.

    The books are as they were, because a booking is made whole or not at all.
    """
    refusals = sys.modules.get("stock.store.refusals")
    damaged: UllageError | None = refusals.blame(address) if refusals is not None else None
    if damaged is None and isinstance(error, OSError) and error.errno in DISK_FAILS:
        return BooksUnreachable(
            f"the disk failed ({error.strerror}); what was not finished was not booked",
            remedy="Check the disk and the room on it, then do it again",
            code="disk-failed",
        )
    return damaged or UllageError(
        f"something went wrong in Ullage itself ({type(error).__name__}); what was not finished was not booked",
        remedy="Run it again with ULLAGE_DEBUG=1 and report what it prints",
        code="unforeseen",
    )
