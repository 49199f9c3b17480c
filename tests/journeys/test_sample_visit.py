"""The sample studio is tried from inside, and one's own books are as they were."""

from pathlib import Path

import pytest

from tests.tui.driving import opened, press, seen, settle, write

pytestmark = pytest.mark.only(
    "sqlite"
)  # the visit itself is a file of its own whatever one's own books stand in


def bookings(address: str) -> int:
    """How many bookings stand in the books at an address."""
    import sqlite3
    from contextlib import closing

    with closing(sqlite3.connect(address)) as file:
        return int(file.execute("SELECT count(*) FROM booking").fetchone()[0])


async def find(pilot, letters):
    """Do what the palette finds for these letters."""
    await press(pilot, "ctrl+p")
    await write(pilot, letters)
    await press(pilot, "down", "enter")
    for _ in range(3):
        await settle(pilot)


async def test_a_visit_books_nothing_in_ones_own_books(studio: str) -> None:
    before = bookings(studio)
    async with opened(studio) as pilot:
        own = seen(pilot.app).splitlines()[0]
        await find(pilot, "try the sample")
        sample = pilot.app.address
        assert sample != studio
        assert "Sample studio: try anything" in seen(pilot.app)
        made = bookings(sample)
        await press(pilot, "m", "enter")
        assert bookings(sample) == made + 1

        await press(pilot, "q")
        await settle(pilot)
        assert pilot.app.address == studio
        assert seen(pilot.app).splitlines()[0] == own
        assert not Path(sample).exists()
    assert bookings(studio) == before


async def test_every_room_shows_the_sample_and_then_ones_own(studio: str) -> None:
    async with opened(studio) as pilot:
        for room in "123456":
            await press(pilot, f"f{room}")
        await press(pilot, "f2")
        own = seen(pilot.app)
        await find(pilot, "try the sample")
        for room in "23456":
            await press(pilot, f"f{room}")
            assert "Sample studio" in seen(pilot.app)
        await press(pilot, "f1", "q", "f2")
        assert seen(pilot.app) == own


async def test_a_stranger_looks_around_before_making_books(tmp_path: Path, fixed_day: None) -> None:
    async with opened(str(tmp_path / "studio.ullage")) as pilot:
        await press(pilot, "f2")
        await settle(pilot)
        assert "Sample studio: try anything" in seen(pilot.app)
        await press(pilot, "q")
        await settle(pilot)
        assert "There are no books yet" in seen(pilot.app)
    assert list(tmp_path.iterdir()) == []


async def test_quitting_in_the_middle_leaves_no_copy(studio: str) -> None:
    async with opened(studio) as pilot:
        await find(pilot, "try the sample")
        sample = Path(pilot.app.address)
        assert sample.exists()
        pilot.app.exit()
    assert not sample.parent.exists()
