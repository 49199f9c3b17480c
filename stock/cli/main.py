"""The commands of `ullage`: read the line, run one command, print its answer or one line of refusal.

Only the module of the typed command is loaded. The `GLOBAL_OPTIONS` of `shared_help` may stand anywhere on the line,
so they are taken out before argparse reads it.
"""

import argparse
import errno
import os
import re
import sys
from collections.abc import Callable, Sequence
from importlib import import_module
from typing import Any, NoReturn

from stock import language
from stock.cli import streams
from stock.cli.frame import Context, Result, by_entries, no_list
from stock.errors import BadInput, BooksUnreachable, UllageError
from stock.language import _
from stock.notation import exactly
from stock.text import not_text, plain
from stock.user_folders import DATA, user_folder

FAMILIES = {
    "setting_up": ("new", "studio", "place"),
    "products": ("product", "line"),
    "suppliers": ("supplier",),
    "substances": ("substance",),
    "shelf": ("receive", "shelf"),
    "bottles": ("bottle", "spill"),
    "mixing": ("mix", "wash"),
    "bench": ("reduce", "viscosity", "advise", "step", "close"),
    "sheets": ("sheet",),
    "recipes": ("recipe",),
    "training": ("training",),
    "coverage": ("coverage",),
    "scale": ("scale",),
    "forecast": ("forecast",),
    "orders": ("order", "plan-use"),
    "cautions": ("cautions", "classify"),
    "caution_rules": ("caution-rule",),
    "exchange": ("backup", "restore", "copy"),
    "books": ("today", "logbook", "undo", "check"),
    "jobs": ("job", "cost", "emissions", "trace"),
    "valuation": ("valuation",),
    "periods": ("period",),
    "invoices": ("invoice", "purchases"),
    "exchange_files": ("export", "import", "labels"),
    "screens": ("demo", "serve"),
    "config": ("config",),
    "about": ("help", "completion"),
}
FAMILY_OF = {name: family for family, names in FAMILIES.items() for name in names}
USUAL_VERB = {"substance": "show"}
"""The verb that a command means if none is typed."""
BOOKED = _("something was booked before that: look at `ullage logbook` before you do it again")

FAULT = 70
"""The exit status of a fault of the program itself: EX_SOFTWARE of sysexits(3)."""
DISK_FAILS = (errno.EIO, errno.ENOSPC, errno.EROFS)
"""Error numbers of a failing disk."""


argparse._ = language.N_  # type: ignore[attr-defined]
# For each parser argparse looks up its own words by gettext in catalogues that don't exist; they stay English.

BELOW_ZERO = re.compile(r"-\.?\d[\d.,]*\s*(°|deg)?\s*[cf]?(\s*\.\..*)?$", re.ASCII | re.IGNORECASE)
"""A figure, a temperature or a range of temperatures that begins with a hyphen."""


class Parser(argparse.ArgumentParser):
    """An argparse parser that refuses with `BadInput` and takes `-20C` for a temperature, not an option."""

    _helps = False

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        self._negative_number_matcher = BELOW_ZERO

    def _get_formatter(self) -> argparse.HelpFormatter:
        """The formatter of a help; argparse also makes one for each added option, to check its value's name.

        These formatters need no terminal width, which takes longer to ask for than everything else in a parser.
        """
        return super()._get_formatter() if self._helps else argparse.HelpFormatter(self.prog, width=80)

    def format_help(self) -> str:
        """The help, as wide as the terminal."""
        self._helps = True
        return super().format_help()

    def format_usage(self) -> str:
        """The usage, as wide as the terminal."""
        self._helps = True
        return super().format_usage()

    def add_subparsers(self, **more: Any) -> Any:
        """Begin the commands below this one, without the help that argparse would write only for their prefix."""
        return super().add_subparsers(**{"prog": self.prog, **more})

    def error(self, message: str) -> NoReturn:
        """Refuse the line.

        Raises:
            BadInput: always.
        """
        raise BadInput(plain(message), remedy=_("See `{prog} --help`", prog=self.prog))

    def print_help(self, file: Any = None) -> None:
        """Print the help like any other answer; argparse then exits with 0.

        Raises:
            SystemExit: the help can't be written.
        """
        del file
        status = streams.write_answer(Result({}, [self.format_help().rstrip()]), as_json=False)
        if status:
            self.exit(status)


class _ParserOfCommands(Parser):
    """The parser of the whole command line, above those of the commands."""

    def format_help(self) -> str:
        """The help, with the options of every command at its foot."""
        from stock.cli.shared_help import foot  # only for this help

        self.epilog = foot()
        return super().format_help()


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command and return its exit status; nothing but its answer goes to stdout."""
    line = list(sys.argv[1:] if argv is None else argv)
    context = Context(address="")

    def work() -> int:
        before = bookings()
        rest = take_options(line, context)
        with context.held:
            if context.json:
                context.held.enter_context(exactly(read=False))
            result = run(rest, context)
        booked = bookings() > before
        status = streams.write_answer(result, as_json=context.json, booked=booked)
        write_remarks()
        back_up_daily(context.address, result.lines[0] if booked and result.lines else "")
        return status

    return guarded(work, context)


def guarded(work: Callable[[], int], context: Context) -> int:
    """Run some work; returns its exit status, or that of its error, which is printed as one sentence on stderr."""
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
            streams.write_line(_("ullage: stopped, but {booked}", booked=BOOKED))
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
    """Print why a command was refused, or the failure after its booking; return the exit status.

    A failure after a booking exits with 1, because 2 and 3 promise that nothing was booked.
    """
    if booked:
        error = UllageError(
            _("{after_booking}; but {booked}", after_booking=error.after_booking(), booked=BOOKED),
            code=error.code,
        )
        error.exit_status = 1
    return streams.refuse(error, as_json=context.json)


def write_remarks() -> None:
    """Print the remarks on the opened books on stderr, a line each."""
    remarks = sys.modules.get("stock.store.remarks")
    for sentence in remarks.noted() if remarks is not None else ():
        streams.write_line(_("ullage: {sentence}", sentence=plain(sentence, 2000)))


def back_up_daily(address: str, what: str = "") -> None:
    """Make the day's backup, after the answer of the first command of a day that booked something.

    A command that only reads never waits for it, and a backup that fails does not fail the command.

    Args:
        address: the address of the books.
        what: the booking in words, for the message if the backup can't be made.
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
        failed = plain(
            _("the day's backup could not be made ({after_booking})", after_booking=error.after_booking()),
            2_000,
        )
        stays = _("What was asked is booked: {what}. ", what=plain(what)) if what else ""
        streams.write_line(
            _(
                "ullage: {failed}. {stays}The next booking tries again, or `ullage backup PATH` elsewhere",
                failed=failed,
                stays=stays,
            )
        )


def take_options(line: Sequence[str], context: Context) -> list[str]:
    """Move the options of every line, such as `--studio` and `--json`, from a line into the context.

    Returns:
        The rest of the line.
    Raises:
        BadInput: an option lacks its value, or the address can't be one of books.
    """
    rest: list[str] = []
    given: dict[str, str] = {}
    lacking = ""
    words = iter(line)
    for word in words:
        option, sign, value = word.partition("=")
        if word == "--":
            rest += [word, *words]
        elif word in ("--json", "--ndjson"):
            context.json = True
            context.ndjson = context.ndjson or word == "--ndjson"
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
        raise BadInput(
            _("{lacking} needs a value", lacking=plain(lacking, 40)), remedy=_("Write it behind the option")
        )
    context.as_of_text = given.get("--as-of")
    context.address = given.get("--studio") or os.environ.get("ULLAGE_STUDIO") or usual_address()
    if ":" in context.address or "//" in context.address:
        from stock.store.addresses import require  # only for what may be a URL

        require(context.address)
    return rest


def usual_address() -> str:
    """The books used when the line names none: those of the settings file, else the default file.

    Raises:
        BadInput: the settings file can't be read.
    """
    from stock import config  # only without --studio

    return config.value(config.STUDIO) or os.path.join(user_folder(DATA), "studio.ullage")


def parser_for(name: str | None) -> Parser:
    """The parser of one command's family, or of all commands when the name isn't one of them."""
    parser = _ParserOfCommands(
        prog="ullage",
        description=_(
            "Books, bench and forecast of a studio that sprays paint. Without a command: the dashboard."
        ),
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument("--version", action="store_true", help=_("say which version this is"))
    commands = parser.add_subparsers(dest="command", metavar="COMMAND", required=True, parser_class=Parser)
    families = [FAMILY_OF[name]] if name in FAMILY_OF else list(FAMILIES)
    for family in families:
        import_module(f"stock.cli.{family}").register(commands)
    return parser


def below(parser: argparse.ArgumentParser) -> dict[str, argparse.ArgumentParser]:
    """The parsers of the commands below a parser, by name; empty if it has none."""
    for action in parser._actions:
        if isinstance(action, argparse._SubParsersAction):
            return dict(action.choices)
    return {}


def require_command(name: str) -> None:
    """Refuse a word that is no command.

    Raises:
        BadInput: it is none; the remedy names similar commands.
    """
    if name not in FAMILY_OF:
        from difflib import get_close_matches  # only for the refusal

        close = ", ".join(get_close_matches(name, FAMILY_OF, n=3)) or ", ".join(FAMILY_OF)
        raise BadInput(
            _("{name!r} is no command", name=plain(name, 40)), remedy=_("Did you mean {close}?", close=close)
        )


def require_chosen_language() -> None:
    """Refuse an unknown chosen language instead of going on in English.

    Raises:
        BadInput: the language is unknown; the remedy lists the available ones.
    """
    if language.CHOSEN not in language.LANGUAGES:
        from stock import config  # only where the choice is wrong

        config.require_language(language.CHOSEN)


def run(line: Sequence[str], context: Context) -> Result:
    """Parse the line and run its command."""
    name = next((word for word in line if not word.startswith("-")), None)
    if name != "config":
        require_chosen_language()
    if name is not None:
        require_command(name)
    if name is None and "--version" in line:
        return version()
    parser = parser_for(name)
    args: Any = parser.parse_args(_with_verb(list(line), name, parser))
    if context.ndjson and not args.entries:
        raise no_list()
    result: Result = args.run(args, context)
    return by_entries(result, args.entries) if context.ndjson else result


def _with_verb(line: list[str], name: str | None, parser: argparse.ArgumentParser) -> list[str]:
    """The line with the usual verb of a command if it was left out, as in `ullage substance toluene`."""
    if name not in USUAL_VERB:
        return line
    at = line.index(name) + 1
    verbs = below(below(parser)[name])
    if at < len(line) and not line[at].startswith("-") and line[at] not in verbs:
        return [*line[:at], USUAL_VERB[name], *line[at:]]
    return line


def version() -> Result:
    """The installed version."""
    from importlib import metadata  # only for this

    number = metadata.version("ullage")
    return Result({"version": number}, [_("ullage {number}", number=number)])


def unforeseen(error: Exception, address: str) -> UllageError:
    """The error for a fault of the program; a failing disk or damaged books have errors of their own.

    The books are as they were, because a booking is made whole or not at all.
    """
    refusals = sys.modules.get("stock.store.refusals")
    damaged: UllageError | None = refusals.blame(address) if refusals is not None else None
    if damaged is None and isinstance(error, OSError) and error.errno in DISK_FAILS:
        return BooksUnreachable(
            _("the disk failed ({strerror}); what was not finished was not booked", strerror=error.strerror),
            remedy=_("Check the disk and the room on it, then do it again"),
            code="disk-failed",
        )
    if damaged is not None:
        return damaged
    fault = UllageError(
        _(
            "something went wrong in Ullage itself ({name}); what was not finished was not booked",
            name=type(error).__name__,
        ),
        remedy=_("Run it again with ULLAGE_DEBUG=1 and report what it prints"),
        code="unforeseen",
    )
    fault.exit_status = FAULT
    return fault
