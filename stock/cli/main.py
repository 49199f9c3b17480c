"""The commands of `ullage`: reads the line, runs one command, prints its answer or one line of refusal.

Only the family of the command that was typed is loaded. `--studio`, `--as-of` and `--json` may stand
anywhere on the line, so they are taken out before argparse sees it.
"""

import argparse
import json
import os
import re
import sys
from collections.abc import Callable, Sequence
from importlib import import_module
from typing import Any, NoReturn

from stock.cli.frame import Context, Result
from stock.errors import BadInput, UllageError
from stock.text import not_text, plain

FAMILIES = {
    "setting_up": ("new", "studio", "product", "place", "supplier"),
    "shelf": ("receive", "shelf", "bottle"),
    "mixing": ("mix", "wash"),
    "bench": ("reduce", "viscosity", "advise", "step", "close"),
    "sheets": ("sheet",),
    "recipes": ("recipe",),
    "coverage": ("coverage",),
    "forecast": ("forecast",),
    "orders": ("order", "plan-use"),
    "cautions": ("cautions", "classify", "caution-rule"),
    "exchange": ("backup", "restore", "copy"),
    "books": ("today", "logbook", "undo", "check"),
    "jobs": ("job", "cost", "emissions", "trace"),
    "exchange_files": ("export", "import", "labels"),
}
FAMILY_OF = {name: family for family, names in FAMILIES.items() for name in names}
LONGEST_LINE = 10_000


class Parser(argparse.ArgumentParser):
    """An argparse parser that refuses in our own one line."""

    def error(self, message: str) -> NoReturn:
        """Refuse the line.

        Raises:
            BadInput: always.
        """
        raise BadInput(plain(message), remedy=f"See `{self.prog} --help`")


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command and return its exit status; nothing but its answer goes to stdout."""
    line = list(sys.argv[1:] if argv is None else argv)
    context = Context(address="")

    def work() -> int:
        rest = take_options(line, context)
        with context.held:
            result = run(rest, context)
        status = say(result, as_json=context.json)
        tell_remarks()
        back_up_daily(context.address)
        return status

    return guarded(work, context)


def guarded(work: Callable[[], int], context: Context) -> int:
    """The exit status of some work, whatever happens in it: each error is one sentence on stderr."""
    try:
        return work()
    except UllageError as error:
        return refuse(error, as_json=context.json)
    except UnicodeEncodeError as error:
        return refuse(not_text(error), as_json=context.json)
    except BrokenPipeError:
        return leave_quietly()
    except KeyboardInterrupt:
        return 130
    except Exception as error:  # a traceback never reaches a person
        if os.environ.get("ULLAGE_DEBUG"):
            raise
        return refuse(unforeseen(error, context.address), as_json=context.json)


def tell_remarks() -> None:
    """What is odd about the books that were opened, a line each."""
    remarks = sys.modules.get("stock.store.remarks")
    for sentence in remarks.told() if remarks is not None else ():
        print(f"ullage: {plain(sentence, 2_000)}", file=sys.stderr)


def back_up_daily(address: str) -> None:
    """The day's backup, made by the first command of a day that booked something, after its answer is out.

    A command that only reads never waits for it, and its failure is no failure of the command.
    """
    store = sys.modules.get("stock.store.connection")
    if store is None or not store.wrote_to(address) or not store.snapshots.due(address):
        return
    from stock.exchange.backup import daily  # noqa: PLC0415 - once a day

    try:
        daily(address)
    except UllageError as error:
        print(f"ullage: the day's backup could not be made: {plain(str(error), 2_000)}", file=sys.stderr)


def take_options(line: Sequence[str], context: Context) -> list[str]:
    """Take `--studio`, `--as-of` and `--json` out of a line and put them into the context.

    Returns:
        The rest of the line.
    Raises:
        BadInput: an option without its value, or an address that can't be one of books.
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
        elif word.startswith("-") and value == "--":  # argparse takes it for the end of the options
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
        from stock.store.addresses import require  # noqa: PLC0415 - only for what may be a URL

        require(context.address)
    return rest


def default_address() -> str:
    """The file that holds this person's studio when none is named."""
    from platformdirs import user_data_path  # noqa: PLC0415 - only without --studio

    return str(user_data_path("ullage", appauthor=False) / "studio.ullage")


def parser_for(name: str | None) -> Parser:
    """The parser of one command's family, or of all commands when the name isn't one of them."""
    parser = Parser(
        prog="ullage",
        description="Books, bench and forecast of a studio that sprays paint. Without a command: the dashboard.",
        epilog="--studio PATH_OR_URL, --as-of DATE and --json are accepted anywhere on the line. Also: `ullage demo` "
        "tries a throw-away sample studio, `ullage serve` shows the dashboard in a browser (`ullage serve --help`).",
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
        from difflib import get_close_matches  # noqa: PLC0415 - only for the refusal

        close = ", ".join(get_close_matches(name, FAMILY_OF, n=3)) or ", ".join(FAMILY_OF)
        raise BadInput(f"{plain(name, 40)!r} is no command", remedy=f"Did you mean {close}?")
    args: Any = parser_for(name).parse_args(list(line))
    result: Result = args.run(args, context)
    return result


def say(result: Result, *, as_json: bool) -> int:
    """Print an answer to stdout."""
    try:
        if result.text is not None:
            sys.stdout.flush()
            sys.stdout.buffer.write(
                result.text if isinstance(result.text, bytes) else result.text.encode(errors="replace")
            )
        elif as_json:
            print(unseen(json.dumps(result.answer, ensure_ascii=False)))
        else:
            for text in result.lines:
                print("\n".join(plain(line, LONGEST_LINE) for line in text.split("\n")))
        sys.stdout.flush()
    except BrokenPipeError:
        return leave_quietly()
    return result.status


def unseen(said: str) -> str:
    """JSON whose control and direction characters are written as escapes: read back they are the same texts."""
    return re.sub("[\x7f-\U0010ffff]", lambda found: _escaped(found[0]), said)


def _escaped(letter: str) -> str:
    if plain(letter) == letter:
        return letter
    return "\\u007f" if letter == "\x7f" else json.dumps(letter)[1:-1]


def refuse(error: UllageError, *, as_json: bool) -> int:
    """Print one line to stderr and return the error's exit status."""
    if as_json:
        body = {"code": error.code, "message": error.message, "remedy": error.remedy, **error.data}
        print(unseen(json.dumps({"error": body}, ensure_ascii=False)), file=sys.stderr)
    else:
        lines = [f"  {plain(line, 2_000)}" for line in error.lines]
        print("\n".join([f"ullage: {plain(str(error), 2_000)}", *lines]), file=sys.stderr)
    return error.exit_status


def unforeseen(error: Exception, address: str) -> UllageError:
    """The sentence for a fault of ours, unless the books turn out to be damaged.

    They are as they were, since an errand lands whole or not at all.
    """
    refusals = sys.modules.get("stock.store.refusals")
    damaged: UllageError | None = refusals.blame(address) if refusals is not None else None
    return damaged or UllageError(
        f"something went wrong in Ullage itself ({type(error).__name__}); what was not finished was not booked",
        remedy="Run it again with ULLAGE_DEBUG=1 and report what it prints",
        code="unforeseen",
    )


def leave_quietly() -> int:
    """Whoever read our output has left; so do we, without a word about it."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    return 0
