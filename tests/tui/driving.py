"""Driving the app in tests: settle, press, read what stands on the screen."""

import asyncio
from collections.abc import AsyncIterator, Iterable
from contextlib import asynccontextmanager, suppress
from typing import Any

import textual.app
import textual.pilot
from textual.pilot import Pilot
from textual.worker import WorkerCancelled, WorkerFailed

from tui.app import Ullage

SIGNS = {
    " ": "space", ".": "full_stop", "%": "percent_sign", ":": "colon", "#": "number_sign", "-": "minus",
    "&": "ampersand", "[": "left_square_bracket", "]": "right_square_bracket", "/": "slash", "=": "equals_sign",
    ",": "comma", "<": "less_than_sign", ">": "greater_than_sign", "~": "tilde", "_": "underscore",
}  # fmt: skip


async def at_rest(min_sleep: float = 0, max_sleep: float = 1) -> None:
    """Until the event loop has nothing to run for as long as a frame takes.

    Stands in for the pilot's own way, which takes little use of the processor for rest: it is mistaken where other
    programs have the processor, and waits twice as long where they don't.
    """
    del min_sleep, max_sleep  # seconds of a clock that tests hold still
    loop: Any = asyncio.get_running_loop()
    rests = 0
    for _ in range(MOST_LOOKS):
        await asyncio.sleep(0)
        rests = 0 if loop._ready else rests + 1
        if rests > LOOKS:
            return
        await asyncio.sleep(FRAME / LOOKS)  # what a thread or a timer has for the loop comes meanwhile


FRAME, LOOKS, MOST_LOOKS = 1 / 60, 3, 200
textual.pilot.wait_for_idle = textual.app.wait_for_idle = at_rest  # type: ignore[attr-defined]


@asynccontextmanager
async def opened(address: str, size: tuple[int, int] = (80, 24), **more: Any) -> AsyncIterator[Pilot[None]]:
    """The app on these books, its first screen drawn."""
    app = Ullage(address, **more)
    async with app.run_test(size=size, notifications=True) as pilot:
        await settle(pilot)
        yield pilot


async def settle(pilot: Pilot[None]) -> None:
    """Until nothing is being read or booked and everything is drawn."""
    for _ in range(3):
        await pilot.pause()
        for worker in [one for one in pilot.app.workers if not one.is_finished]:
            with suppress(WorkerFailed, WorkerCancelled):  # the screen says what failed; tests look at that
                await worker.wait()
    await pilot.pause()


async def press(pilot: Pilot[None], *keys: str) -> None:
    """Keys one after the other, each settled."""
    for key in keys:
        await pilot.press(key)
        await settle(pilot)


async def write(pilot: Pilot[None], text: str) -> None:
    """Letters typed where the hand is."""
    await pilot.press(*(SIGNS.get(letter, letter) for letter in text))
    await pilot.pause(0.2)  # the Bench waits for a pause in the typing before it works a wish out
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
