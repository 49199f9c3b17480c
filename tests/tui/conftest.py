"""Screens on a seeded studio and a fixed day."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from stock.store.models import database
from tests import templates
from tests.clock import clock_at
from tests.tui import seed, views


@pytest.fixture
def fixed_day() -> Iterator[None]:
    """The clock stands on the seed's day; the loop's own clock goes on."""
    with clock_at(seed.NOW, ticking=True):
        yield


@pytest.fixture
def studio(tmp_path: Path, fixed_day: None) -> Iterator[str]:
    """The seeded studio's address."""
    address = str(tmp_path / "studio.ullage")
    templates.file_like("seeded", seed.fill, address)
    yield address
    if database.obj is not None and not database.is_closed():
        database.close()


@pytest.fixture
def furnished(studio: str) -> str:
    """The seeded studio with what every dialog needs; its address."""
    views.furnish()
    return studio


@pytest.fixture
def empty_books(tmp_path: Path, fixed_day: None) -> Iterator[str]:
    """A studio with nothing in it; its address."""
    from stock.shelf import studio as studios

    address = str(tmp_path / "empty.ullage")
    studios.make(address, name="Bare Boards", currency="EUR", time_zone="Europe/Lisbon", measures="metric")
    yield address
    if database.obj is not None and not database.is_closed():
        database.close()
