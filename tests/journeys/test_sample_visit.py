"""The sample studio is tried from inside, and one's own books are as they were."""

import os
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest

from sample_studio import loader
from stock.store.connection import open_books
from stock.store.models import database
from tests import templates
from tests.clock import clock_at
from tests.tui import seed
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
def copied_sample(monkeypatch: pytest.MonkeyPatch, tmp_path_factory: pytest.TempPathFactory) -> None:
    """Each visit gets a copy of the sample studio that is told once a run and ends today."""
    books = templates.sample_studio(tmp_path_factory)

    def load(address: str) -> None:
        shutil.copy(books, address)
        open_books(os.fspath(address))

    monkeypatch.setattr(loader, "load", load)


@pytest.fixture
def own(tmp_path: Path) -> Iterator[str]:
    """The address of one's own books, in which nothing was booked for a while."""
    address = str(tmp_path / "studio.ullage")
    with clock_at(seed.NOW):
        templates.file_like("seeded", seed.fill, address)
    yield address
    if database.obj is not None and not database.is_closed():
        database.close()


async def test_a_visit_shows_the_sample_in_every_room_and_books_nothing_in_ones_own_books(
    own: str,
) -> None:
    before = bookings(own)
    async with opened(own) as pilot:
        for room in "123456":
            await press(pilot, f"f{room}")
        await press(pilot, "f2")
        shelf = seen(pilot.app)
        await find(pilot, "try the sample")
        sample = pilot.app.address
        assert sample != own
        assert "Sample studio: try anything" in seen(pilot.app)
        made = bookings(sample)
        await press(pilot, "m", "enter")
        assert bookings(sample) == made + 1
        for room in "23456":
            await press(pilot, f"f{room}")
            assert "Sample studio" in seen(pilot.app)

        await press(pilot, "f1", "q")
        await settle(pilot)
        assert pilot.app.address == own
        assert not Path(sample).exists()
        await press(pilot, "f2")
        await until(lambda: seen(pilot.app) == shelf)
    assert bookings(own) == before


async def test_a_stranger_looks_around_before_making_books_and_leaves_no_copy(
    tmp_path: Path,
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
