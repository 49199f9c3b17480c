"""A dashboard that stays open for days makes the backup of each day on which something was booked."""

from datetime import timedelta
from pathlib import Path

import pytest

from stock.bench.mixing import MixRequest, book_mix
from stock.store import snapshots
from tests.clock import clock_at
from tests.tui import seed
from tests.tui.driving import opened, settle, until
from tui.opening import newest

PAINT = MixRequest(parts=(("Slate", 1_000),))


def days(studio):
    return sorted(one.at.date() for one in snapshots.listing(studio) if one.kind == "daily")


async def looked(pilot):
    """The app has looked, by itself or now, and knows of the newest booking; what follows from that is done."""
    pilot.app.look()
    await until(lambda: pilot.app._newest == newest())
    await settle(pilot)


async def booked_and_seen(pilot):
    book_mix(PAINT)
    await looked(pilot)


async def test_each_day_with_a_booking_is_backed_up_once(studio):
    async with opened(studio) as pilot:
        await looked(pilot)
        assert days(studio) == []
        for ahead in (0, 1, 3):
            day = seed.NOW.date() + timedelta(ahead)
            with clock_at(seed.NOW + timedelta(ahead)):
                await booked_and_seen(pilot)
                await until(lambda day=day: day in days(studio))
                await booked_and_seen(pilot)
        assert days(studio) == [seed.NOW.date() + timedelta(ahead) for ahead in (0, 1, 3)]


async def test_what_stands_in_the_way_is_said(studio, monkeypatch):
    toasts = []
    async with opened(studio) as pilot:
        await looked(pilot)
        Path(f"{studio}.backups").write_text("in the way")
        monkeypatch.setattr(pilot.app, "announce", toasts.append)
        await booked_and_seen(pilot)
        await until(lambda: toasts)
    assert len(toasts) == 1
    assert toasts[0].startswith("The day's backup could not be made: ")


@pytest.mark.parametrize("address", ["postgresql://nowhere/x"])
def test_a_servers_studio_is_backed_up_when_asked(address):
    from stock.exchange.backup import due

    assert not due(address)
