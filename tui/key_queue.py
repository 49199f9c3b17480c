"""Keys that are typed ahead: each waits until the actions of the keys before it are done.

A person types faster than a dialog opens, a list is read or a mix is booked. Keys typed meanwhile are meant for what
comes, so they are kept in order and passed on once the screen in front has its focus and shows what the next key acts
on.
"""

import asyncio
from collections import deque
from collections.abc import Awaitable, Callable, Iterator
from contextlib import suppress
from typing import Any

from textual import events
from textual.app import App, ScreenStackError
from textual.css.query import NoMatches
from textual.dom import DOMNode, NoScreen
from textual.message_pump import MessagePump
from textual.screen import Screen
from textual.worker import Worker, WorkerState

from stock.language import _

Typed = events.Key | events.Paste
DECISIVE = frozenset({"booking", "form", "like", "opening", "open_mix"})
"""Groups of a screen's threads on which the meaning of the next key depends; in a dialog every thread counts."""
LEADING = frozenset({"mounting", "booking", "form", "like", "opening"})
"""Keys that lead to another screen or field; until they have acted, no letter has its place."""
ONLY_LOOKING = frozenset({"open_mix"})
"""Groups that keys which only move the selection don't wait for."""
MOVES = frozenset({"up", "down", "pageup", "pagedown", "home", "end", "tab", "shift+tab"})
WITHOUT_BOOKS = frozenset({"escape", "question_mark"})
"""The keys that every screen answers before it shows the books: back, and its words."""
ROUNDS = 3
"""How many messages are followed until a key has reached the app: the key, the message that it causes, and the next."""
HOP_S, POLL_S, ESCAPE_AFTER_S, MOST_S = 0.25, 0.01, 1.0, 10.0
"""Seconds between two looks at a widget that may be gone, and at what is under way; until Esc no longer waits, and
until no key does."""
HOPS = 40
"""How often a widget is checked until it is given up."""
DROPPED = _("It took too long, so what you typed meanwhile was dropped. Look at the screen before you go on.")


class KeyQueue:
    """The waiting keys of one app.

    A letter in a field is passed on at once: it can't lead anywhere else. A key that leads somewhere waits for what is
    under way, and one that began a booking and is pressed again meanwhile is not meant twice.
    """

    def __init__(self, app: App[Any], handle: Callable[[events.Event], Awaitable[None]]) -> None:
        self._app, self._handle = app, handle
        self._waiting: deque[Typed] = deque()
        self._released: Typed | None = None
        self._handled = asyncio.Event()
        self._resting: asyncio.Task[None] | None = None
        self._letters = False
        """Whether letters were passed on since everything was last done."""
        self._screen: Screen[Any] | None = None
        self._began = ""
        """The last key passed on that was not a letter in a field."""

    async def take(self, event: events.Event) -> None:
        """Handle a key or a paste now, or keep it until it can be handled."""
        assert isinstance(event, events.Key | events.Paste)
        if event is self._released:
            self._released = None
            try:
                await self._handle(event)
            finally:
                self._handled.set()
            return
        letter = self._is_letter(event)
        if self._resting is not None or self._waiting or (self._letters and not letter):
            self._waiting.append(event)
            self._rest()
            return
        self._letters = letter
        if letter:
            await self._handle(event)
            return
        self._began = _name(event)
        try:
            await self._handle(event)
        finally:
            self._rest()

    def close(self) -> None:
        self._waiting.clear()
        if self._resting is not None:
            self._resting.cancel()

    def _is_letter(self, event: Typed) -> bool:
        from textual.widgets import Input  # not before the first frame

        with suppress(ScreenStackError, NoScreen):
            return isinstance(self._app.focused, Input) and (
                isinstance(event, events.Paste) or event.is_printable or event.key == "backspace"
            )
        return False

    def _rest(self) -> None:
        if self._resting is None:
            self._resting = asyncio.create_task(self._pass_on())

    async def _pass_on(self) -> None:
        """Pass the waiting keys on one after the other, each after a rest."""
        try:
            await self._at_rest()
            while self._waiting and self._app.is_running:
                if self._letters and not self._is_letter(self._waiting[0]):
                    await self._at_rest()
                    continue
                event = self._waiting.popleft()
                self._letters = letter = self._is_letter(event)
                if not letter:
                    self._began = _name(event)
                self._released = event
                self._handled.clear()
                self._app.post_message(event)
                with suppress(TimeoutError):
                    async with asyncio.timeout(MOST_S):
                        await self._handled.wait()
                if not letter:
                    await self._at_rest()
        finally:
            self._resting = None

    async def _at_rest(self) -> None:
        """Wait until the actions of the last key are done, at most `MOST_S` seconds."""
        now = asyncio.get_running_loop().time
        began, bookings, again = now(), set[Worker[Any]](), True
        while again and self._app.is_running and now() < began + MOST_S:
            for __ in range(ROUNDS):
                await self._heard()
            self._letters = again = False
            screen = self._in_front()
            if screen is not self._screen and screen is not None:
                self._screen, again = screen, True
                await _through(screen, drawn=True)
            before: list[Any] = []
            while (busy := list(self._busy(self._in_front()))) and now() < began + MOST_S:
                bookings |= {one for one in busy if isinstance(one, Worker) and one.group == "booking"}
                again = True
                if (
                    busy != before
                ):  # the action that just ended may have moved the focus, which shows once its messages were handled
                    before = busy
                    await self._heard()
                    continue
                if self._may_pass(busy, late=now() > began + ESCAPE_AFTER_S):
                    return
                await asyncio.sleep(POLL_S)
        if self._waiting and (
            again or any(self._busy(self._in_front()))
        ):  # it isn't known where they would go
            self._waiting.clear()
            self._app.notify(DROPPED, severity="warning", markup=False)
        if any(worker.state == WorkerState.ERROR for worker in bookings):
            self._waiting.clear()  # typed for what was refused
        while bookings and self._waiting and _name(self._waiting[0]) == self._began:
            self._waiting.popleft()  # pressed again while it was being booked

    def _may_pass(self, busy: list[Any], *, late: bool) -> bool:
        """Whether the next key need not wait for running actions."""
        if not self._waiting:
            return False
        key = _name(self._waiting[0])
        groups = {one.group if isinstance(one, Worker) else one for one in busy}
        if groups <= ONLY_LOOKING and key in MOVES:
            return True
        if groups <= ONLY_LOOKING | {"behind"} and self._leads_away(key):
            return True
        if not groups & LEADING and self._is_letter(self._waiting[0]):
            return True
        return key == "escape" and late

    def _leads_away(self, key: str) -> bool:
        """Whether the key is answered the same whatever a screen shows: the app's own, such as those of the screens."""
        return key in WITHOUT_BOOKS or key in self._app._bindings.key_to_bindings

    def _in_front(self) -> Screen[Any] | None:
        try:
            return self._app.screen
        except ScreenStackError:
            return None

    async def _heard(self) -> None:
        """Wait until a key that was passed on has reached the app from the focused widget."""
        screen = self._in_front()
        if screen is None:
            return
        at: MessagePump | None = screen.focused or screen
        while at is not None:
            await _through(at)
            at = at._parent

    def _busy(self, screen: Screen[Any] | None) -> Iterator[Any]:
        """The running threads on which the next key depends, and `behind` while the screen doesn't show the books."""
        if screen is None or not screen.is_mounted:
            yield "mounting"
            return
        for worker in self._app.workers:
            if worker.is_finished or _where(worker) not in (screen, self._app):
                continue
            if worker.group in DECISIVE or (screen.is_modal and worker.node is not self._app):
                yield worker
        if getattr(screen, "behind", False):  # a screen of the books is being read anew
            yield "behind"


def _name(event: Typed) -> str:
    return event.key if isinstance(event, events.Key) else ""


def _where(worker: Worker[Any]) -> DOMNode | None:
    """The screen of a worker, or the app; None if it is gone."""
    node = worker.node
    try:
        return node if isinstance(node, App) else node.screen
    except (NoScreen, NoMatches, ScreenStackError):
        return None


async def _through(pump: MessagePump, *, drawn: bool = False) -> None:
    """Wait until a widget has handled its messages so far; with `drawn`, until it was drawn, too."""
    done = asyncio.Event()
    waits = (pump.call_after_refresh if drawn else pump.call_later)(done.set)
    for __ in range(HOPS if waits else 0):
        if done.is_set() or not pump.is_running:  # one that is removed meanwhile never answers
            break
        with suppress(TimeoutError):
            async with asyncio.timeout(HOP_S):
                await done.wait()
