"""Keys per errand, pressed on the real screens of the sample studio; what a person types of amounts is not counted.

    python -m tests.benchmarks.keys

Each errand must end in the books, or the benchmark stops. Letters of a name count, the letters of an amount don't.
"""

import asyncio
import os
import sys
import tempfile
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any, NamedTuple, cast

from textual.pilot import Pilot

from sample_studio.loader import load
from stock.bench import mix_queue, recipes
from stock.scale.listening import ScaleListener
from stock.scale.port import ScalePort
from stock.shelf import jobs, products
from stock.store.connection import connection
from stock.store.models import Booking, Bottle
from tests.scale.simulated import SimulatedScale
from tests.tui.driving import opened, press, settle, until_seen, write
from tui.app import Ullage

Typed = tuple[str]
"""An amount, which is typed and not counted."""


class Seen(str):
    """Words that the hand waits for; no key."""

    __slots__ = ()


GROSS = b"ST,GS,+   30.50 g\r\n"
"""What the simulated scale sends: an empty bottle of 20 g with 10 ml of a density of 1.05 g/ml."""


class KeysErrand(NamedTuple):
    """One errand: how to get where it begins (not counted), its keys with the amounts between them, and its aim."""

    name: str
    aim: int | None
    kind: str
    keys: Sequence[str | Typed | Seen]
    before: Sequence[str] = ()


ERRANDS = (
    KeysErrand(
        "first mix, from Today", 12, "mix", ("3", *"har", "enter", ("8",), "enter", "enter", "enter", "f8")
    ),
    KeysErrand("thin a step", 1, "step", ("s",), ("3", "escape")),
    KeysErrand("thin by drops", None, "step", ("S", ("2 drops",), "enter"), ("3", "escape")),
    KeysErrand("tint", None, "step", ("t", *"gul", "tab", ("3 drops",), "enter"), ("3", "escape")),
    KeysErrand("close good", 1, "close", ("g",), ("3", "escape")),
    KeysErrand("wash", 2, "wash", ("w", "enter"), ("3", "escape")),
    KeysErrand("same again, from Today", 2, "mix", ("m", "enter"), ("1",)),
    KeysErrand("one of yesterday's", None, "mix", ("y", "enter", "enter"), ("1",)),
    KeysErrand("next of a job's queue", None, "mix", ("x", "f8"), ("3", "escape")),
    KeysErrand("count by volume", None, "count", ("c", ("9 ml",), "enter"), ("2",)),
    KeysErrand(
        "count by scale", 2, "count", ("w", Seen("● stands still"), Seen("In it: 10 ml"), "enter"), ("2",)
    ),
    KeysErrand("spill", None, "count", ("s", ("2",), "enter"), ("2",)),
)


def newest(kind: str) -> int:
    """The number of the newest booking of a kind; 0 without one."""
    with connection():
        row = (
            Booking.select(Booking.id)
            .where(Booking.kind == kind)
            .order_by(Booking.id.desc())
            .tuples()
            .first()
        )
    return int(row[0]) if row else 0


async def count(pilot: Pilot[None], errand: KeysErrand) -> int:
    """Do one errand; how many keys it took."""
    for key in errand.before:
        await press(pilot, key)
    await settle(pilot)
    before, pressed = newest(errand.kind), 0
    for key in errand.keys:
        if isinstance(key, tuple):
            await write(pilot, key[0])
        elif isinstance(key, Seen):
            await until_seen(cast("Ullage", pilot.app), key)
        else:
            await press(pilot, key)
            pressed += 1
        await settle(pilot)
    await press(pilot, *(["escape"] if errand.name == "count by scale" else []))
    if newest(errand.kind) == before:
        sys.exit(f"{errand.name}: nothing was booked\n{seen_of(pilot)}")
    return pressed


def seen_of(pilot: Pilot[None]) -> str:
    """What stands on the screen, for an errand that failed."""
    from tests.tui.driving import seen

    return seen(pilot.app)


def prepare() -> None:
    """A job with a queue, and enough of what is mixed; sheets that let a step stay within its range."""
    from stock.shelf import deliveries

    with connection():
        deliveries.receive("Harbour Blue", 240_000)
        recipes.add("Deep sea", [("Harbour Blue", 9_000), ("Eddy Reducer", 1_000)])
        jobs.add("Kayak", next(iter(jobs.everything())).opened_on)
        mix_queue.append("Kayak", [("Deep sea", 4_000)])
        for row in products.everything():
            products.change(row.name, {"density": "1.05"})
            if row.role in ("paint", "clear"):
                deliveries.receive(row.name, 60_000)
        Bottle.update(tare_mg=20_000).execute()


async def measure(address: str, port: str) -> list[tuple[KeysErrand, int]]:
    """All errands, one after the other, in one dashboard with a scale at a port."""
    async with opened(address, scale=ScaleListener(ScalePort(port))) as pilot:
        return [(errand, await count(pilot, errand)) for errand in ERRANDS]


def main(show: Callable[[str], Any] = print) -> int:
    """Print the table; the exit status is 1 if an aim is missed."""
    with tempfile.TemporaryDirectory() as folder:
        os.environ["XDG_STATE_HOME"] = folder
        address = str(Path(folder) / "sample.ullage")
        load(address)
        prepare()
        scale = SimulatedScale(Path(folder))
        scale.keep_sending(GROSS)
        try:
            found = asyncio.run(measure(address, scale.path))
        finally:
            scale.close()
    show(f"{'errand':28} keys  at most")
    for errand, pressed in found:
        show(f"{errand.name:28} {pressed:4}  {errand.aim if errand.aim is not None else '-':>7}")
    return int(any(errand.aim is not None and pressed > errand.aim for errand, pressed in found))


if __name__ == "__main__":
    sys.exit(main())
