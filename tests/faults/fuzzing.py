"""Lines that nobody would type, made from the commands' own parsers: every option by its name, and nasty values.

All lines are of one seeded generator, so that a line that failed comes again. Paths stay in the folder that the
lines run in; what stands there (a pipe, a device, a link to the books, a damaged file) is made by `litter`.
"""

import argparse
import contextlib
import functools
import io
import os
import random
import shutil
import signal
import socket
import stat
import string
import sys
import traceback
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any
from unittest import mock

import stock.cli.main
from sample_studio.loader import load
from stock.cli.main import parser_for
from stock.errors import UllageError
from stock.store.connection import open_books

PATIENCE_S, LONG_S = 60, 600
"""Seconds of its own work after which a line hangs, and of the clock: a busy machine gives it little of each second."""
OPTIONS_ANYWHERE = ("--json", "--studio", "--as-of")

GOOD: dict[str, Sequence[str]] = {
    "product": ("Harbour Blue", "Gull White", "Slow Thinner", "Wash Down", "harbour", "Quay Red"),
    "name": (
        "Harbour Blue",
        "Slow Thinner",
        "Cabinet",
        "North Door",
        "Paint Depot",
        "Storm Grey",
        "New Thing",
    ),
    "bottle": ("1", "2", "3", "4", "5", "B1", "J-7"),
    "parts": (
        "Harbour Blue=8ml",
        "Gull White=2ml",
        "Harbour Blue=1",
        "Slow Thinner=3 drops",
        "Gull White=2g",
    ),
    "part": ("Wash Down=15ml", "Slow Thinner=2ml", "Wash Down=1/2 fl oz"),
    "volume": ("5ml", "41ml", "1/2 fl oz", "3 drops", "0"),
    "size": ("60ml", "120ml", "2 fl oz", "60ml=7.90"),
    "amount": ("30ml", "8 ml", "1 fl oz"),
    "reduction": ("20%", "5:1", "0%"),
    "percent": ("5%", "2.5%", "20:1"),
    "mix": ("1", "2", "3", "20", "21"),
    "order": ("1", "30", "31"),
    "id": ("1", "2", "3", "4", "5", "9", "12"),
    "kind": ("mix", "wash", "delivery", "count", "discard", "movement", "undo", "cabinet", "stock", "mixes"),
    "packs": ("Harbour Blue=1", "Gull White=2"),
    "lines": ("Harbour Blue=2x60ml", "Gull White=1x30ml"),
    "cup": ("ford-4", "zahn-2", "din-4", "milk"),
    "seconds": ("42", "20.5"),
    "area": ("0.5 m2", "30x40cm"),
    "code": ("too-old", "flammable-over-limit", "acids-and-bases", "mixed-lines"),
    "names": ("ghs", "strictest"),
    "url": ("copied.ullage",),
    "role": ("paint", "reducer", "cleaner", "additive", "mixed"),
    "with": ("Slow Thinner", "Slow Thinner:Wash Down=1:1"),
    "needle": ("0.35", "0.2"),
    "job": ("North Door", "Bow"),
    "on": ("2026-03-01", "2026-03-01 14:30", "2027-01-01", "2019-12-31"),
    "month": ("2026-03", "2025-12"),
    "place": ("Cabinet", "Bench"),
    "key": ("k1", "k2", "k3"),
    "outcome": ("good", "thick", "thin", "ruined"),
    "left": ("3ml", "0"),
    "weight": ("63.2g",),
    "tare": ("20.15g",),
    "level": ("3/4", "32mm", "75%"),
    "inner-diameter": ("34mm",),
    "density": ("1.05",),
    "flash-point": ("18C", "none", "64F"),
    "solvent": ("ethanol=45%", "none", "propan-2-ol=20% by volume"),
    "dosing": ("with=Slow needle<=0.3 low=20 high=30 step=5",),
    "revised": ("2025-04-01",),
    "recipe": ("Storm Grey",),
    "color": ("#2a6f97",),
    "count": ("1", "2"),
    "like": ("20",),
    "limit": ("5",),
    "basket": ("Paint Depot",),
    "supplier": ("Paint Depot",),
    "label": ("60x25", "L-9"),
    "page": ("a4", "page.html"),
    "use": ("+20%", "150%"),
    "currency": ("EUR", "JPY"),
    "time-zone": ("Europe/Lisbon", "UTC"),
    "measures": ("metric", "us", "imperial"),
    "map": ("product=Paint", "amount=-"),
    "store-at": ("5C..35C",),
    "lead-time": ("7d",),
    "opened-life": ("12mo",),
    "theme": ("lamp", "terminal"),
    "scale": ("/dev/nowhere", "COM9,2400,7e1", "hid"),
    "for": ("1s",),
}
PATHS = frozenset(
    {"path", "folder", "file", "url", "csv", "page", "calendar", "password-file", "keep", "studio"}
)
THINGS = (
    "books.ullage", "other.ullage", "good.ullage", "sheet.csv", "quotes.csv", "twice.csv", "mixes.csv", "out",
    "full", "exported", "pipe", "device", "socket", "link", "dangling", "damaged.ullage", "empty", "no/such/file",
    ".", "..", "./", "out.csv", "", " ", "sheet.csv/below", "unreadable", "n" * 300, "odd\udcff.csv", "new.ullage",
    "[bold]x.csv", "-", "--", "~", "*", "books.ullage-wal", "books.ullage.backups", "books.ullage?mode=ro",
    "mysql://host/x", "postgresql://", "postgresql://127.0.0.1:1/x", "POSTGRESQL://h/x", "file:books.ullage",
    "postgresql://127.0.0.1:99999/x", "postgresql://u:p@[::1/x?schema=pg_x", "postgresql:///x?port=y&schema=a b",
)  # fmt: skip
NASTY = (
    "", " ", "-", "--", "=", "==", ":", ",", ";", "0", "-1", "1", "5", "00", "1e999", "-1e999", "1e-999", "nan",
    "inf", "-inf", "NaN ml", "1e9 l", "1e30ml", "9**9**9 ml", "9" * 30, "9" * 400 + "ml", "9" * 5_000,
    "0x10", "1_000ml",
    "½ ml", "٣ml", "1,5 ml", "1.5.5ml", "-5ml", "5 apples", "5 ml ml", "0ml", "0.0000001ml", "1/0 ml", "0/0",
    "1/3ml", "%", "-5%", "100%", "100.0001%", "1e5%", "0:0", "1:0", "0:1", "-1:1", "1:1e999", "5C", "-300C",
    "1e999C", "5C..", "..", "35C..5C", "5g", "0000-00-00", "0001-01-01", "9999-12-31", "2026-02-30",
    "2026-13-01", "99999-01-01", "2026-03-01 25:61", "today", "2026-03-01T00:00:00+99:99", "2026-03-29 01:30",
    "2026-W10", "12mo", "-3y", "9" * 20 + "y", "1e9d", "0d", "mon mon", "' OR 1=1; --",
    'x"; DROP TABLE bottle; --', "%s %d {} {0}", "[bold]x[/]", "[/]", "[@click=app.quit]q[/]", "<b>&amp;",
    "\x1b[31mred", "\x07\x08", "a\tb", "a\nb", "a\rb", "\u202egnp", "\ud800", "a\udcffb", "\udcff=1ml",
    "\U0010ffff", "e\u0301" * 50, "x" * 100, "x" * 5_000, "漢字", "🎨👩‍🎨", "ǅ", "İ", "ß", "\ufeffx", "\u00a0",
    "../../x", "=1+1", "@x", "'", '"', "\\", "$(id)", "`id`", "a=b=c", "Harbour Blue=", "=8ml",
    "Harbour Blue=8ml=9ml", "Harbour Blue=nan", "Nobody=8ml", "Harbour Blue=0x60ml",
    "Harbour Blue=99999999x60ml", "Harbour Blue=1e999ml", "Harbour Blue=2x", "Harbour Blue=-1x60ml",
    "Harbour Blue:Slow Thinner=0:0", "with=", "with=Slow needle<=nan low=1e999 high=x", "low=20 low=30",
    "#zzzzzz", "#12", "B", "b0", "B99999999999999999999", "2147483648", "9223372036854775807",
    "9223372036854775808", "True", "None", "null", "-h", "--help", "--nope", "--count", "-5", "@sheet.csv",
)  # fmt: skip
LETTERS = string.printable + "äßİ漢🎨\u202e\x1b\udcff"


@dataclass(slots=True)
class Command:
    """One command of the program: its words, and the arguments that its parser knows."""

    words: tuple[str, ...]
    arguments: list[argparse.Action] = field(default_factory=list)


def commands() -> list[Command]:
    """Every command that the parsers hold."""
    return [
        Command(words, [each for each in parser._actions if not isinstance(each, argparse._HelpAction)])
        for words, parser in leaves(parser_for(None))
    ]


def leaves(parser: Any, words: tuple[str, ...] = ()) -> Iterator[tuple[tuple[str, ...], Any]]:
    """The parsers that run something, each with the words that lead to it."""
    below = [each for each in parser._actions if isinstance(each, argparse._SubParsersAction)]
    if not below:
        yield words, parser
    for each in below:
        for name, child in each.choices.items():
            yield from leaves(child, (*words, name))


class Lines:
    """Lines of one seed, without end."""

    def __init__(self, seed: str) -> None:
        self.chance = random.Random(seed)
        self.commands = commands()

    def __iter__(self) -> Iterator[list[str]]:
        while True:
            yield self.line()

    def line(self) -> list[str]:
        """One line: mostly a command that exists, with values of which some are nasty."""
        chance = self.chance
        if chance.random() < 0.04:
            return self._screens()
        if chance.random() < 0.03:
            return [self._nasty() for _ in range(chance.randrange(1, 5))]
        command = chance.choice(self.commands)
        nasty = chance.choice((0.0, 0.1, 0.1, 0.35, 1.0))
        line = list(command.words)
        for argument in command.arguments:
            line += self._argument(argument, nasty)
        if chance.random() < 0.25:
            line.insert(chance.randrange(len(line) + 1), "--json")
        if chance.random() < 0.1:
            line += ["--as-of", self._value("on", nasty)]
        if chance.random() < 0.06:
            line += ["--studio", chance.choice(THINGS)]
        if chance.random() < 0.03 and len(line) > 1:
            line.pop(chance.randrange(len(line)))
        if chance.random() < 0.03:
            line.insert(chance.randrange(len(line) + 1), self._nasty())
        return line

    def _screens(self) -> list[str]:
        """What the dashboard, the demo or the server are asked for; none of them gets to open."""
        chance = self.chance
        line = [[], ["serve"], ["demo"]][chance.randrange(3)]
        options = (
            "--theme", "--no-mouse", "--port", "--host", "--name", "--password-file", "--tabs", "--keep", "--as-of",
        )  # fmt: skip
        for option in chance.sample(options, chance.randrange(1, 4)):
            line = [*line, option, self._value(option[2:], 0.5)]
        return [*line, self._nasty()] if line[:1] == ["demo"] else line

    def _argument(self, argument: argparse.Action, nasty: float) -> list[str]:
        chance, option = self.chance, (argument.option_strings or [""])[-1]
        if option and not argument.required and chance.random() < 0.75:
            return []
        if not option and argument.nargs in ("?", "*") and chance.random() < 0.4:
            return []
        if argument.nargs == 0:
            return [option]
        many = {"*": chance.randrange(4), "+": chance.randrange(1, 4)}.get(str(argument.nargs), 1)
        if option and chance.random() < 0.04:
            many = 0
        if argument.choices and chance.random() > nasty:
            values = [str(chance.choice(list(argument.choices))) for _ in range(many)]
        else:
            values = [self._value(option[2:] or argument.dest, nasty) for _ in range(many)]
        if option and len(values) == 1 and chance.random() < 0.3:
            said = [f"{option}={values[0]}"]
        else:
            said = [option, *values] if option else values
        return said * 2 if option and chance.random() < 0.05 else said

    def _value(self, name: str, nasty: float) -> str:
        if name in PATHS and self.chance.random() < 0.8:
            return self.chance.choice(THINGS)
        if self.chance.random() < nasty:
            return self._nasty()
        return self.chance.choice(GOOD.get(name, GOOD["on"] if name in DAYS else GOOD["name"]))

    def _nasty(self) -> str:
        chance = self.chance
        if chance.random() < 0.15:
            return "".join(chance.choice(LETTERS) for _ in range(chance.randrange(12)))
        value = chance.choice(NASTY)
        return value if chance.random() < 0.8 else value + chance.choice(NASTY)


DAYS = frozenset(
    {
        "best-before",
        "made",
        "opened",
        "since",
        "until",
        "expected",
        "due",
        "waste-collected",
        "discontinued",
        "as-of",
    }
)


@dataclass(frozen=True, slots=True)
class Ran:
    """What a line came to."""

    status: int
    out: str
    err: str
    trace: str = ""

    def wrong(self, *, as_json: bool) -> str:
        """Why no person or script may ever meet this; empty if they may."""
        said = self.out + self.err
        for never in ("Traceback", "in Ullage itself"):
            if never in said:
                return never
        if self.status not in (0, 1, 2, 3):
            return f"exit status {self.status}"
        if self.status >= 2 and not self.err.startswith('{"error"' if as_json else "ullage: "):
            return "a refusal without its sentence"
        if self.status >= 2 and as_json and self.out:
            return "an answer beside a refusal"
        return ""


class Hangs(BaseException):
    """A line that didn't come to an end."""


def run(line: Sequence[str], sample: Callable[[], str] | None = None) -> Ran:
    """Run a line in this process as the command does, its output taken as a terminal's would be.

    Args:
        sample: where the books stand that a demo shows which keeps nothing; without it each demo tells its own story.
    """
    from tui.__main__ import main

    out, err = (io.TextIOWrapper(io.BytesIO(), "utf-8", errors=how) for how in ("strict", "backslashreplace"))
    traces: list[str] = []
    sentence = stock.cli.main.unforeseen

    def told_of(error: Exception, address: str) -> UllageError:
        traces.append("".join(traceback.format_exception(error)[-4:]))
        return sentence(error, address)

    before = {sign: signal.signal(sign, _give_up) for sign in (signal.SIGALRM, signal.SIGPROF)}
    signal.alarm(LONG_S)
    signal.setitimer(signal.ITIMER_PROF, PATIENCE_S)
    try:
        with (
            contextlib.redirect_stdout(out),
            contextlib.redirect_stderr(err),
            mock.patch.object(sys, "stdin", io.TextIOWrapper(io.BytesIO())),
            mock.patch("tui.serving.server.BrowserServer.listen", _listen),
            mock.patch("sample_studio.loader.load", functools.partial(_load, sample)),
            mock.patch("stock.cli.main.unforeseen", told_of),
        ):
            try:
                status = main(list(line))
            except SystemExit as left:
                status = left.code if isinstance(left.code, int) else 1
            except Exception as error:
                traces.append("".join(traceback.format_exception(error)[-4:]))
                status, _ = -1, err.write("Traceback of an error that nobody caught")
            except Hangs:
                status = -2
    finally:
        signal.alarm(0)
        signal.setitimer(signal.ITIMER_PROF, 0)
        for sign, handler in before.items():
            signal.signal(sign, handler)
    for stream in (out, err):
        stream.flush()
    streams = [stream.buffer.getvalue().decode("utf-8", "replace") for stream in (out, err)]  # type: ignore[attr-defined]
    return Ran(status, *streams, "".join(traces))


async def _listen(*_: object) -> None:
    """No server of a fuzzed line listens."""


def _load(sample: Callable[[], str] | None, address: str) -> None:
    """The sample studio; a demo that keeps nothing opens a copy of one that is there."""
    if sample is not None and Path(address).parent.name.startswith("ullage-"):
        shutil.copy(sample(), address)
        open_books(address)
    else:
        load(address)


def _give_up(*_: object) -> None:
    raise Hangs


HEADS = "Date,Paint,Amount,Note\n"


def litter(folder: Path) -> None:
    """What a path in a line may meet: files good and bad, a pipe, a device, a socket, links."""
    (folder / "full").mkdir()
    (folder / "full" / "something").write_text("here")
    (folder / "sheet.csv").write_text("Product,Size,Left\nHarbour Blue,60 ml,1e999\nNobody,nan,-5\n")
    (folder / "quotes.csv").write_text(
        HEADS + '2025-01-01,"Harbour Blue,8 ml,\n2025-01-02,Harbour Blue,8 ml,\n'
    )
    (folder / "twice.csv").write_text("Product,Product,Size\na,b,c\n")
    (folder / "mixes.csv").write_text(
        HEADS + "2025-01-01,Harbour Blue,8 ml,\n2025-01-01,Harbour Blue,8 ml,\n"
    )
    (folder / "damaged.ullage").write_bytes(b"SQLite format 3\0" + b"\xff" * 500)
    (folder / "empty").touch()
    (folder / "unreadable").touch(mode=0)
    (folder / "link").symlink_to("books.ullage")
    (folder / "dangling").symlink_to("nowhere")
    os.mkfifo(folder / "pipe")
    with socket.socket(socket.AF_UNIX) as listening:
        listening.bind(os.path.relpath(folder / "socket"))
    try:
        os.mknod(folder / "device", 0o600 | stat.S_IFCHR, os.makedev(1, 5))  # as /dev/zero
    except PermissionError:
        (folder / "device").symlink_to("/dev/zero")


def tidy(folder: Path, books: str) -> None:
    """Put back what a line may rightly have used up, so that later lines meet it again."""
    for name in ("copied.ullage", "new.ullage", "out", "exported"):
        path = folder / name
        if path.is_dir():
            shutil.rmtree(path, ignore_errors=True)
        elif str(path) != books:
            path.unlink(missing_ok=True)
