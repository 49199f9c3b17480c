"""A hand that doesn't wait: a key every 5 ms while each reading of the books takes 300 ms, on both engines."""

import asyncio
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import pytest
from textual.events import Key
from textual.pilot import Pilot

from stock.bench import mixes
from stock.shelf import products
from stock.store import connection as connecting
from stock.store.connection import connection
from stock.store.models import Booking, database
from tests.conftest import make_stocked
from tests.tui.driving import LONG_S, SIGNS, holds, opened, press, seen, settle, until
from tui import key_queue
from tui.bench.form import MixForm

EVERY_S, READ_S = 0.005, 0.3
BLUE, THINNER = 1, 3


@pytest.fixture
def slow_books(address: str, tmp_path: Any, monkeypatch: pytest.MonkeyPatch) -> Iterator[str]:
    """Stocked books of which each reading or booking by the dashboard takes 300 ms more; their address."""
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    make_stocked(address)
    fast, hand, reading = connecting.connection, threading.get_ident(), set[int]()

    @contextmanager
    def slow() -> Iterator[None]:
        thread = threading.get_ident()
        if thread == hand or thread in reading:  # a part of a reading is not another one
            with fast():
                yield
            return
        reading.add(thread)
        try:
            time.sleep(READ_S)
            with fast():
                yield
        finally:
            reading.discard(thread)

    monkeypatch.setattr(connecting, "connection", slow)
    monkeypatch.setattr(key_queue, "MOST_S", LONG_S)  # a busy machine is slower still
    yield address
    if not database.is_closed():
        database.close()


async def rattle(pilot: Pilot[None], *keys: str) -> None:
    """Send keys as a terminal does, without a look at what they do."""
    for key in keys:
        letter = {name: sign for sign, name in SIGNS.items()}.get(key, key)
        pilot.app.post_message(Key(key, letter if len(letter) == 1 else None))
        await asyncio.sleep(EVERY_S)


def text_of(pilot: Pilot[None], field: str) -> str:
    return str(pilot.app.screen.query_one(f"#{field}").text)


def bookings(kind: str) -> int:
    with connection():
        return Booking.select().where(Booking.kind == kind).count()


@pytest.mark.each_engine
async def test_a_hand_that_never_waits_finds_each_key_where_it_belongs(slow_books: str) -> None:
    """Each row below is rattled off at once, and ends as if each key had been waited for."""
    async with opened(slow_books) as pilot:
        await rattle(pilot, "2", "slash", *"harb", "enter", "c", *"41", "enter", "right", "c", *"42", "enter")
        await until(lambda: (holds(BLUE), holds(BLUE + 1)) == (41_000, 42_000))

        # Enter in the product's field before the names were read takes the known product all the same.
        came = bookings("delivery")
        await rattle(pilot, "r", *"harb", "enter", *"30", "tab", *"2", "enter")
        await until(lambda: bookings("delivery") == came + 1)
        await settle(pilot)
        with connection():
            assert [row.name for row in products.everything() if row.name.startswith("harb")] == []

        await rattle(
            pilot, "3", *"harb", "enter", *"8", "f7", *"gull", "enter", *"2", "tab", *"0.35", "enter"
        )
        await settle(pilot)
        texts = [text_of(pilot, one) for one in ("paint-0", "amount-0", "paint-1", "amount-1", "needle")]
        assert texts == ["Harbour Blue", "8 ml", "Gull White", "2 ml", "0.35"]
        await press(pilot, "escape", "n")

        await rattle(pilot, *"harb", "enter", *"8", "enter", "enter", *"20%", "f8")
        await settle(pilot)
        assert holds(BLUE) == 41_000  # what was not shown yet is not booked
        await press(pilot, "escape", "n")

        # Enter in the empty Reduction before the advice has come takes the start as soon as it comes.
        await rattle(pilot, *"harb", "enter", *"8", *["enter"] * 3, "f8")
        await until(lambda: text_of(pilot, "reduce") == "5%")
        assert holds(BLUE) == 41_000
        await settle(pilot)
        bench = pilot.app.screen  # the key books only what the page shows
        await until(lambda: bench._plan is not None and bench._wish == bench.query_one(MixForm).typed_mix)
        await rattle(pilot, "f8", "S", *"1 ml", "enter")
        await until(lambda: bookings("step") == 1)
        await rattle(pilot, "S", *"2 ml", "enter", "g")
        await until(lambda: bookings("close") == 1)
        await settle(pilot)
        assert holds(THINNER) == 120_000 - 400 - 3_000
        with connection():
            assert [mix.id for mix in mixes.open_mixes()] == []

        await rattle(pilot, "w", *"15", "enter", "enter", "enter")  # the key that books, pressed too often
        await until(lambda: bookings("wash") == 1)
        await settle(pilot)
        assert bookings("wash") == 1


@pytest.mark.only("sqlite")
async def test_keys_for_what_does_not_come_are_dropped_and_that_is_said(
    slow_books: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    async with opened(slow_books) as pilot:
        await press(pilot, "2")
        monkeypatch.setattr(key_queue, "MOST_S", READ_S / 3)
        await rattle(pilot, "c", *"41", "enter", "1", "2")
        await until(lambda: "was dropped" in " ".join(seen(pilot.app).replace("▌", "").split()))
        monkeypatch.setattr(key_queue, "MOST_S", LONG_S)
        await settle(pilot)
        assert pilot.app.current_mode == "shelf"
