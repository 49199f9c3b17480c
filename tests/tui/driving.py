"""Driving the app in tests: settle, press, read what stands on the screen."""

import asyncio
import pickle
import time
from collections.abc import AsyncIterator, Callable, Iterable, Iterator, Sequence
from contextlib import asynccontextmanager, contextmanager, suppress
from functools import partial
from typing import Any
from unittest.mock import patch
from weakref import WeakSet

import textual.app
import textual.pilot
import textual.screen
from rich.console import RenderableType
from textual._compositor import Compositor
from textual.app import App, ScreenStackError
from textual.pilot import Pilot
from textual.screen import Screen
from textual.timer import Timer
from textual.worker import WorkerCancelled, WorkerFailed

from tui.app import Ullage

SIGNS = {
    " ": "space", ".": "full_stop", "%": "percent_sign", ":": "colon", "#": "number_sign", "-": "minus",
    "&": "ampersand", "[": "left_square_bracket", "]": "right_square_bracket", "/": "slash", "=": "equals_sign",
    ",": "comma", "<": "less_than_sign", ">": "greater_than_sign", "~": "tilde", "_": "underscore",
}  # fmt: skip


async def at_rest(min_sleep: float = 0, max_sleep: float = 1) -> None:
    """Until the event loop has nothing to run, and nothing that falls due before the next frame is drawn.

    Stands in for the pilot's own ways of waiting. One takes little use of the processor for rest, and is mistaken
    where other programs have the processor; the other asks every widget of the screen whether it has read its
    messages, which a loop with nothing to run says of all of them at once. An app that was left asks for a next frame
    again and again and never draws it. An app that never comes to rest is left alone after seconds of its own work,
    since those of the clock may all be other programs'.
    """
    del min_sleep, max_sleep  # seconds of a clock; what is waited for is a state
    if _hasty:
        await asyncio.sleep(0)
        return
    loop: Any = asyncio.get_running_loop()
    end, worked, quiet = loop.time() + LONG_S, time.process_time() + PATIENCE_S, 0
    while quiet < 2 and loop.time() < end and time.process_time() < worked:
        await asyncio.sleep(0)
        due = min((handle._when for handle in loop._scheduled if not handle._cancelled), default=end)
        if loop._ready:
            quiet = 0
        elif (wait_s := due - loop.time()) < FRAME_S and not any(app._exit for app in _opened):
            quiet = 0
            await asyncio.sleep(max(0.0, wait_s))
        else:
            quiet += 1


async def _every_widget_at_rest(pilot: Pilot[None], timeout: float = 0) -> bool:
    del pilot, timeout
    await at_rest()
    return True


FRAME_S, SHORT_S, SEEN_EVERY_S = 1 / 60, 0.5, 0.15
PATIENCE_S, LONG_S, MOST_ROUNDS, MOST_TURNS = 5, 300, 50, 200
_opened: WeakSet[App[Any]] = WeakSet()
_hasty: list[str] = []
"""Not empty while letters are typed behind one another."""
textual.pilot.wait_for_idle = textual.app.wait_for_idle = at_rest  # type: ignore[attr-defined]
Pilot._wait_for_screen = _every_widget_at_rest  # type: ignore[method-assign]


_draws_at_rest: WeakSet[App[Any]] = WeakSet()
"""Apps that draw only what a test looks at: most of the work, otherwise, is frames that nobody sees."""
_render = Compositor.render_update


def _rendered_at_rest(
    compositor: Compositor, full: bool = False, *more: Any, **named: Any
) -> RenderableType | None:
    """What is to be drawn anew, or nothing yet: what has changed is kept until the app is at rest."""
    if not full and compositor.root is not None and compositor.root.app in _draws_at_rest:
        return None
    return _render(compositor, full, *more, **named)


Compositor.render_update = _rendered_at_rest  # type: ignore[method-assign]


async def _frame_at_rest(screen: Screen[Any]) -> None:
    """Lay a screen out once all that is known has been said to it, and not again after each part of that.

    Textual lays it out as soon as its first part asks for that, and after each frame in which another one does: the
    slower the machine, the oftener.
    """
    if screen.app in _draws_at_rest:
        loop: Any = asyncio.get_running_loop()
        for _ in range(MOST_TURNS):
            await asyncio.sleep(0)
            if len(loop._ready) <= 1:  # the test, which waits for rest
                break
    screen._on_timer_update()


def _frames(screen: Any) -> Timer:
    """The timer of a screen's frames."""
    if screen._Screen__update_timer is None:
        screen._Screen__update_timer = screen.set_interval(
            textual.screen.UPDATE_PERIOD, partial(_frame_at_rest, screen), name="screen_update", pause=True
        )
    return screen._Screen__update_timer


Screen._update_timer = property(_frames)  # type: ignore[assignment]


_drawn: WeakSet[Any] = WeakSet()
"""Screens that were drawn once: each is as soon as it stands, and then again as often as a test looks."""


def draw(app: App[Any], *, anew: bool = True) -> None:
    """Draw what has changed since the last frame, if that was left until now; not `anew`, only a screen's first."""
    if app not in _draws_at_rest or app._exit:
        return
    with suppress(ScreenStackError):  # it has been left
        if anew or app.screen not in _drawn:
            _drawn.add(app.screen)
            _draws_at_rest.discard(app)
            try:
                app.screen._compositor_refresh()
            finally:
                _draws_at_rest.add(app)


_strips = Compositor.render_strips


def _strips_of_now(compositor: Compositor, *more: Any, **named: Any) -> list[Any]:
    """The lines of a screen, after what was left to be drawn."""
    if compositor.root is not None:
        draw(compositor.root.app)
    return _strips(compositor, *more, **named)


Compositor.render_strips = _strips_of_now  # type: ignore[method-assign]


_forecast: dict[bytes, list[Any]] = {}


@contextmanager
def _forecast_once() -> Iterator[None]:
    """The forecasts of the same facts are worked out once a run: most tests of the screens read the same studio."""
    from stock.forecast import books  # brings numpy

    work_out = books.forecasts

    def known(pool: Any, products: Sequence[Any], what_if: Any, **those: Any) -> list[Any]:
        priors = (pool.today, pool.rates, pool.days_ul, pool.singles_ul)
        key = pickle.dumps((priors, list(products), what_if, those))
        if key not in _forecast:
            _forecast[key] = work_out(pool, products, what_if, **those)
        return list(_forecast[key])

    with patch.object(books, "forecasts", known):
        yield


@asynccontextmanager
async def opened(address: str, size: tuple[int, int] = (80, 24), **more: Any) -> AsyncIterator[Pilot[None]]:
    """The app on these books, its first screen drawn; with `--deep` each frame is, and not only what a test sees."""
    from tests import sampling  # not for the benchmarks
    from tests.tui import quicker

    app = Ullage(address, **more)
    _opened.add(app)
    if not sampling.whole():
        quicker.take()
        _draws_at_rest.add(app)
    try:
        with _forecast_once():
            async with app.run_test(size=size, notifications=True) as pilot:
                await settle(pilot)
                yield pilot
                draw(app)  # how the test left it
    finally:
        _opened.discard(app)


async def settle(pilot: Pilot[None]) -> None:
    """Until nothing is being read or booked, no pause in the typing is waited for, and a new screen is drawn."""
    await _at_rest(pilot)
    draw(pilot.app, anew=False)


async def _at_rest(pilot: Pilot[None]) -> None:
    for _ in range(MOST_ROUNDS):
        await pilot.pause()
        working = [one for one in pilot.app.workers if not one.is_finished]
        for worker in working:
            with suppress(WorkerFailed, WorkerCancelled):  # the screen says what failed; tests look at that
                await worker.wait()
        awaited = _short_timers(pilot.app)
        if awaited:
            await asyncio.wait(awaited, timeout=SHORT_S)
        if not working and not awaited:
            return


def listening(app: Ullage) -> list[str]:
    """What the app says from now on: on the screen it stands for a moment only, which a busy machine may miss."""
    said: list[str] = []
    announce = app.announce

    def heard(what: str) -> None:
        said.append(what)
        announce(what)

    app.announce = heard  # type: ignore[method-assign]
    return said


async def until(true: Callable[[], object]) -> None:
    """Wait for what a test asserts, or fail; what takes long is looked at less and less often."""
    pause_s = FRAME_S
    async with asyncio.timeout(LONG_S):
        while not true():
            await asyncio.sleep(pause_s)
            pause_s = min(pause_s * 1.5, SEEN_EVERY_S)


async def until_seen(app: Ullage, *words: str) -> None:
    """Wait until all of this stands on the screen at once, or fail; for what comes by itself, such as a live weight."""
    async with asyncio.timeout(LONG_S):
        while True:
            letters = seen(app)
            if all(one in letters for one in words):
                return
            await asyncio.sleep(SEEN_EVERY_S)


def _short_timers(app: App[Any]) -> list[asyncio.Task[None]]:
    """What will happen once within half a second: the Bench works a wish out after a pause in the typing."""
    pumps = [app, *app.screen.walk_children(with_self=True)]
    timers = [timer for pump in pumps for timer in pump._timers]
    return [
        timer._task
        for timer in timers
        if timer._repeat == 0 and timer._interval <= SHORT_S and timer._task is not None
        if not timer._task.done() and timer._active.is_set()
    ]


async def press(pilot: Pilot[None], *keys: str) -> None:
    """Keys one after the other, each settled; where they lead to a new screen, it is drawn."""
    for key in keys:
        await pilot.press(key)
        await _at_rest(pilot)
    draw(pilot.app, anew=False)


async def write(pilot: Pilot[None], text: str) -> None:
    """Letters typed where the hand is, without a pause between them."""
    await hurry(pilot, *(SIGNS.get(letter, letter) for letter in text))


async def hurry(pilot: Pilot[None], *keys: str) -> None:
    """Keys struck one behind the other without a look at the screen between them."""
    _hasty.append("")
    try:
        await pilot.app._press_keys(keys)
    finally:
        _hasty.pop()
    await settle(pilot)


def seen(app: Ullage) -> str:
    """All letters on the screen, line by line."""
    width, height = app.size
    del width
    lines: Iterable[Any] = app.screen._compositor.render_strips()
    return "\n".join("".join(segment.text for segment in line) for line in list(lines)[:height])


def holds(bottle: int) -> int:
    """What the books say is in a bottle, µL."""
    from stock.shelf.bottles import on_shelf
    from stock.store.connection import connection

    with connection():
        return next(view.on_hand_ul for view in on_shelf() if view.id == bottle)
