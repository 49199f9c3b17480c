"""A monkey at the keyboard and the mouse: random keys, clicks, words and window sizes, and what each might book."""

import asyncio
import random
import sqlite3
from collections import Counter, deque
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from contextlib import closing, contextmanager
from dataclasses import dataclass, field
from typing import Any

import psycopg
from textual import events
from textual.command import CommandPalette
from textual.geometry import Size
from textual.pilot import Pilot
from textual.screen import ModalScreen
from textual.widgets import Input
from textual.worker import Worker, WorkerState

from stock.errors import UllageError
from tests.tui.driving import SIGNS, draw, opened
from tui.bench.large_print import LargePrint
from tui.bench.open_mixes import OpenMixes
from tui.bench.screen import BenchScreen
from tui.widgets.fields import Key
from tui.widgets.frame import KeyStrip

SCREENS = ("1", "2", "3", "4", "5", "6", "f1", "f2", "f3", "f4", "f5", "f6", "7", "f12", "comma")
HANDS = ("up", "down", "left", "right", "home", "end", "pageup", "pagedown", "tab", "shift+tab", "backspace",
         "delete", "ctrl+p", "ctrl+u", "ctrl+a", "shift+left", "question_mark", "slash", "f7", "f8", "f9", "f10",
         "ctrl+w", "ctrl+k", "ctrl+c", "ctrl+v", "ctrl+x", "insert", "space")  # fmt: skip
WORDS = ("8 ml", "0.5 ml", "20%", "5%", "harb", "Gull White", "5:1", "1", "2", "-3", "1,5 ml", "9999 ml", "x", "0",
         "[red]", "漢字", "0.35", "21C", "good", "2027-01-01", "wash", "eddy", "3/4", "10 ml", "5 ml", "cabinet",
         "none", "yesterday", "#123456", "4", "7d", "60 ml")  # fmt: skip
ERRANDS = (("f1", "m", "enter"), ("f2", "o", "enter"), ("f2", "escape", "f", "enter"), ("f6", "u", "enter"))
"""Whole errands that need nothing typed: few are come upon by chance."""
BURSTS = (
    ("f7", *"kel", "tab", *"4ml", "tab"),
    (*"kel", "tab", *"5ml", "tab", "tab", *"20"),
    (*"edd", "shift+tab", *"7"),
)
"""What a fast typist sends in one go, without waiting for a field to get the focus; none of these keys books."""
FIRST_SIZES = ((80, 24), (60, 20), (140, 45))
SIZES = ((80, 24), (140, 45), (100, 30), (60, 20), (60, 16), (40, 20), (20, 5), (200, 60), (132, 24))
SOON_S = 0.01
AT_ONCE = ("f8", "b", "g", "s")
"""Keys of the Bench that book what is shown beside them."""
BOOKS_AT_ONCE = {"add", "good", "book"}
"""The actions whose own key books what the page beside them shows."""


class Burst(tuple[str, ...]):
    """Keys that are sent behind one another before the app has had its say."""


@dataclass
class MonkeyLog:
    """What a monkey did and what came of it."""

    acts: int = 0
    confirmed: int = 0
    written: int = 0
    left: int = 0
    seen: Counter[str] = field(default_factory=Counter)
    last: deque[str] = field(default_factory=lambda: deque(maxlen=60))
    unasked: list[str] = field(default_factory=list)
    failed: list[str] = field(default_factory=list)


@contextmanager
def failures(log: MonkeyLog) -> Iterator[None]:
    """Every worker that ends with anything but a refusal of the books is noted."""
    began = Worker.StateChanged.__init__

    def noted(self: Any, worker: Worker[Any], state: WorkerState) -> None:
        began(self, worker, state)
        if state == WorkerState.ERROR and not isinstance(worker.error, UllageError | None):
            log.failed.append(f"{worker.group}: {worker.error!r} after {list(log.last)[-8:]}")

    Worker.StateChanged.__init__ = noted  # type: ignore[method-assign]
    try:
        yield
    finally:
        Worker.StateChanged.__init__ = began  # type: ignore[method-assign]


class Threads(ThreadPoolExecutor):
    """The threads that workers run in; knows what still runs, even for a worker that nobody waits for any more."""

    def __init__(self) -> None:
        super().__init__(max_workers=8)
        self._all: set[Future[Any]] = set()

    def submit(self, fn: Callable[..., Any], /, *args: Any, **kwargs: Any) -> Future[Any]:
        """Run it, and know of it until it is done."""
        future = super().submit(fn, *args, **kwargs)
        self._all.add(future)
        future.add_done_callback(self._all.discard)
        return future

    async def idle(self) -> None:
        """Until all of it is done."""
        while self._all:
            await asyncio.gather(*map(asyncio.wrap_future, list(self._all)), return_exceptions=True)


class Onlooker:
    """A connection of its own that sees what is written to a studio's books, a file or a schema of a server."""

    def __init__(self, address: str) -> None:
        front, on_server, schema = address.partition("schema=")
        self._on_server = bool(on_server)
        if on_server:
            self._connection: Any = psycopg.connect(
                front.rstrip("?&"), autocommit=True, options=f"-c search_path={schema}"
            )
            self._state = "SELECT pg_current_wal_insert_lsn()"
            self._tables = f"SELECT tablename FROM pg_tables WHERE schemaname = '{schema}'"
        else:
            self._connection = sqlite3.connect(f"file:{address}?mode=ro", uri=True)
            self._state, self._tables = (
                "PRAGMA data_version",
                "SELECT name FROM sqlite_master WHERE type = 'table'",
            )

    def changes(self) -> Any:
        """What is another value after anybody else has written.

        It may change where nothing was: a file's log is begun anew, and the books of other tests are on the server.
        """
        return self._connection.execute(self._state).fetchone()[0]

    def rows(self) -> dict[str, list[Any]]:
        """What each table holds, in an order that a look at it doesn't change."""
        held = {}
        for (name,) in self._connection.execute(self._tables).fetchall():
            found = self._connection.execute(f'SELECT * FROM "{name}"').fetchall()
            held[name] = (
                sorted(found, key=repr) if self._on_server else found
            )  # a server gives what changed last
        return held

    def close(self) -> None:
        """Look no more."""
        self._connection.close()


class Monkey:
    """One seed's hand on one studio.

    Args:
        seed: what it does follows from this.
        address: a file or a schema with books, which it may book into.
    """

    def __init__(self, seed: int, address: str) -> None:
        self.random = random.Random(seed)
        self.address = address
        self.log = MonkeyLog()
        self.threads = Threads()
        self.rows: dict[str, list[Any]] = {}

    async def play(self, acts: int) -> MonkeyLog:
        """So many keys and clicks; opens the app anew whenever it was left."""
        asyncio.get_running_loop().set_default_executor(self.threads)
        with (
            failures(self.log),
            closing(Onlooker(self.address)) as beside,
        ):
            self.rows = beside.rows()
            while self.log.acts < acts:
                async with opened(self.address, self.random.choice(FIRST_SIZES)) as pilot:
                    app, written = pilot.app, beside.changes()
                    while self.log.acts < acts and app.is_running and app._exception is None:
                        written = await self._act(pilot, beside, written)
                        if app._exit:
                            self.log.left += 1
                            break
                    await self._quiet(pilot)
        return self.log

    async def _quiet(self, pilot: Pilot[None]) -> None:
        """Until nothing is read or booked, and all of it is told."""
        for _ in range(6):  # a key's message climbs from a field to its dialog before a thread begins
            if not pilot.app._exit:  # what is on its way out need not hear any more
                await pilot._wait_for_screen()
            await self.threads.idle()
            while not pilot.app._exit and waiting_keys(pilot.app):
                await asyncio.sleep(SOON_S)
                await self.threads.idle()

    async def _act(self, pilot: Pilot[None], beside: Onlooker, written: Any) -> Any:
        """One thing a hand does; what it wrote must have been asked for."""
        app, log = pilot.app, self.log
        log.seen[type(app.screen).__name__] += 1
        sure = False
        for act in (acts := self._choose(app)):
            if acts in ERRANDS or (isinstance(app.screen, BenchScreen) and act in AT_ONCE):
                await self._quiet(pilot)  # what such a key does hangs on what the one before it opened
            asked = confirms(app, act)
            log.acts += 1
            log.confirmed += asked
            log.last.append(f"{type(app.screen).__name__}:{act}")
            await do(pilot, act)
            draw(app)
            if app._exit or app._exception is not None:
                break
            if asked:
                sure = True
                await self._quiet(pilot)
        if not sure and self.random.random() < 0.05:
            await self._quiet(pilot)
        now = beside.changes()
        if now != written:
            before, self.rows = self.rows, beside.rows()
            others = [table for table, held in self.rows.items() if held != before.get(table)]
            log.written += bool(others)
            if others and not sure:
                log.unasked.append(f"{' '.join(list(log.last)[-12:])}: others in {', '.join(others)}")
        return now

    def _choose(self, app: Any) -> Sequence[Any]:
        """A key, a click, a word in letters, another size; in a dialog often what would end it; rarely an errand."""
        pick, width, height = self.random, *app.size
        kind = pick.random()
        if isinstance(app.screen, ModalScreen) and pick.random() < 0.25:
            return [pick.choice(("enter", "enter", "enter", "escape"))]
        if isinstance(app.screen, BenchScreen) and pick.random() < 0.08:
            return [pick.choice(("f8", "f9", "s", "g", "escape"))]
        if pick.random() < 0.03:
            return pick.choice(ERRANDS)
        if kind < 0.30:
            return [(pick.randrange(width), pick.randrange(height))]
        if kind < 0.40 and isinstance(app.focused, Input):
            if pick.random() < 0.25:
                return [Burst(pick.choice(BURSTS))]
            return [SIGNS.get(letter, letter) for letter in pick.choice(WORDS)]
        if kind < 0.45:
            return [pick.choice(SCREENS)]
        if kind < 0.47:
            return [Size(*pick.choice(SIZES))]
        if kind < 0.55:
            return [pick.choice(("enter", "escape"))]
        if kind < 0.77:
            return [pick.choice(HANDS)]
        if kind < 0.772:
            return [pick.choice(("q", "ctrl+q"))]
        if kind < 0.79:
            return [pick.choice("!\"$%&()*,.;<>@[]^_`{|}~+-=:#'\\é漢🎨ß")]
        keys = [key for key, active in app.active_bindings.items() if len(key) == 1 and active.enabled]
        return (
            [pick.choice(keys or ["a"])] if kind < 0.95 else [pick.choice("abcdefghijklmnoprstuvwxyz0789S")]
        )


def waiting_keys(app: Any) -> bool:
    """Whether keys wait until what those before them began is done."""
    return app._typed._resting is not None


def confirms(app: Any, act: Any) -> bool:
    """Whether this act is one that says it books: the key of a dialog, or of a page that shows what it will do."""
    screen = app.screen
    if isinstance(act, Size | Burst):
        return False
    if isinstance(screen, LargePrint):
        return act in ("enter", "space", "s", "g")
    if isinstance(screen, CommandPalette):
        return act == "enter" or isinstance(act, tuple)
    if isinstance(act, tuple):
        return _clicks_on_booking(app, act)
    if isinstance(screen, ModalScreen):
        return act == "enter" or (act == "space" and isinstance(app.focused, Key))
    if act in ("enter", "space") and isinstance(app.focused, Key):
        return app.focused.id == "book"
    active = app.active_bindings.get({" ": "space"}.get(act, act))
    owners = (
        isinstance(screen, BenchScreen)
        and active is not None
        and isinstance(active.node, BenchScreen | OpenMixes)
    )
    return bool(owners and active.binding.action in BOOKS_AT_ONCE)


def _clicks_on_booking(app: Any, at: tuple[int, int]) -> bool:
    """Whether a click there falls on a key, drawn in a dialog or in the strip, that books."""
    try:
        widget, region = app.get_widget_at(*at)
    except Exception:  # nothing stands there
        return False
    if isinstance(widget, KeyStrip):
        x = at[0] - region.x
        return any(
            first <= x < first + KeyStrip._room((action, key, text, enabled)) and action in BOOKS_AT_ONCE
            for action, key, text, enabled, first in widget._placed()
        )
    return isinstance(widget, Key) and widget.id not in ("leave", "another")


async def do(pilot: Pilot[None], act: Any) -> None:
    """Send what a terminal would send, and let the app have its say."""
    app, driver = pilot.app, pilot.app._driver
    assert driver is not None
    if isinstance(act, Burst):
        for key in act:
            _send(app, driver, key)
    elif isinstance(act, Size):
        driver._size = act  # type: ignore[attr-defined]
        app.post_message(events.Resize(act, act))
    elif isinstance(act, tuple):
        x, y = act
        for kind in (events.MouseMove, events.MouseDown, events.MouseUp):
            button = 0 if kind is events.MouseMove else 1
            mouse = kind(None, x, y, 0, 0, button, False, False, False, screen_x=x, screen_y=y)
            mouse.set_sender(app)
            driver.send_message(mouse)
    else:
        _send(app, driver, act)
    await pilot._wait_for_screen()


def _send(app: Any, driver: Any, act: str) -> None:
    letter = {name: sign for sign, name in SIGNS.items()}.get(act, act)
    key = events.Key(act, letter if len(letter) == 1 else None)
    key.set_sender(app)
    driver.send_message(key)
