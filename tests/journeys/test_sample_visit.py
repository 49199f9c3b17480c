"""The sample studio is tried from inside, and one's own books are as they were."""

from pathlib import Path

import pytest

from sample_studio import loader
from tests import templates
from tests.tui.driving import opened, press, seen, settle, until, write

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


@pytest.fixture(autouse=True)
def told_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """The sample studio's story is told once, and each visit gets a copy of those books."""
    load = loader.load
    monkeypatch.setattr(loader, "load", lambda address: templates.file_like("sample", load, address))


async def test_a_visit_shows_the_sample_in_every_room_and_books_nothing_in_ones_own_books(
    studio: str,
) -> None:
    before = bookings(studio)
    async with opened(studio) as pilot:
        for room in "123456":
            await press(pilot, f"f{room}")
        await press(pilot, "f2")
        own = seen(pilot.app)
        await find(pilot, "try the sample")
        sample = pilot.app.address
        assert sample != studio
        assert "Sample studio: try anything" in seen(pilot.app)
        made = bookings(sample)
        await press(pilot, "m", "enter")
        assert bookings(sample) == made + 1
        for room in "23456":
            await press(pilot, f"f{room}")
            assert "Sample studio" in seen(pilot.app)

        await press(pilot, "f1", "q")
        await settle(pilot)
        assert pilot.app.address == studio
        assert not Path(sample).exists()
        await press(pilot, "f2")
        await until(lambda: seen(pilot.app) == own)
    assert bookings(studio) == before


async def test_a_stranger_looks_around_before_making_books_and_leaves_no_copy(
    tmp_path: Path, fixed_day: None
) -> None:
    async with opened(str(tmp_path / "studio.ullage")) as pilot:
        await press(pilot, "f2")
        await settle(pilot)
        assert "Sample studio: try anything" in seen(pilot.app)
        await press(pilot, "q")
        await settle(pilot)
        assert "There are no books yet" in seen(pilot.app)
        await press(pilot, "f2")
        await settle(pilot)
        sample = Path(pilot.app.address)
        assert sample.exists()
        pilot.app.exit()  # in the middle of the visit
    assert not sample.parent.exists()
    assert list(tmp_path.iterdir()) == []
