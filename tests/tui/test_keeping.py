"""A dashboard that stays open for days makes the backup of each day on which something was booked."""

from datetime import timedelta
from pathlib import Path

import pytest
from freezegun import freeze_time

from stock.bench.mixing import MixRequest, book_mix
from stock.store import snapshots
from tests.tui import seed
from tests.tui.driving import opened

PAINT = MixRequest(parts=(("Slate", 1_000),))


def days(studio):
    return sorted(one.at.date() for one in snapshots.listing(studio) if one.kind == "daily")


async def booked_and_seen(pilot):
    book_mix(PAINT)
    await pilot.app.look().wait()
    await pilot.pause()
    await pilot.app.workers.wait_for_complete()


async def test_each_day_with_a_booking_is_backed_up_once(studio):
    async with opened(studio) as pilot:
        await pilot.app.look().wait()
        assert days(studio) == []
        for ahead in (0, 1, 3):
            with freeze_time(seed.NOW + timedelta(ahead), ignore=["asyncio", "textual"], real_asyncio=True):
                await booked_and_seen(pilot)
                await booked_and_seen(pilot)
        assert days(studio) == [seed.NOW.date() + timedelta(ahead) for ahead in (0, 1, 3)]


async def test_what_stands_in_the_way_is_said(studio, monkeypatch):
    told = []
    async with opened(studio) as pilot:
        await pilot.app.look().wait()
        Path(f"{studio}.backups").write_text("in the way")
        monkeypatch.setattr(pilot.app, "tell", told.append)
        await booked_and_seen(pilot)
    assert len(told) == 1
    assert told[0].startswith("The day's backup could not be made: ")


@pytest.mark.parametrize("address", ["postgresql://nowhere/x"])
def test_a_servers_studio_is_backed_up_when_asked(address):
    from stock.exchange.backup import due

    assert not due(address)
