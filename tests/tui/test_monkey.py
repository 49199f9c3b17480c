"""A monkey at the dashboard of the sample studio: whatever is pressed, it stands, and books only what was asked."""

import shutil
from collections import Counter
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest

from stock.logbook.proof import prove
from stock.store.connection import connection, open_books
from stock.store.models import database
from tests.clock import clock_at
from tests.tui.monkey import Monkey
from tui.screens import SCREENS

NOW = datetime(2026, 3, 4, 15, 30, tzinfo=UTC)
SEEDS = range(1, 6)


@pytest.fixture(scope="module")
def story(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The sample studio's books, told once."""
    from sample_studio.loader import load

    path = tmp_path_factory.mktemp("sample") / "sample.ullage"
    with clock_at(NOW):
        load(str(path), today=NOW.date())
    database.close()
    return path


@pytest.fixture
def the_day() -> Iterator[None]:
    """The clock goes on from the story's day."""
    with clock_at(NOW, ticking=True):
        yield
    if not database.is_closed():
        database.close()


@pytest.mark.usefixtures("the_day")
async def test_whatever_is_pressed_it_stands_and_books_only_what_was_asked(
    story: Path, tmp_path: Path, request: pytest.FixtureRequest
) -> None:
    one, acts = request.config.getoption("monkey_seed"), request.config.getoption("monkey_acts")
    seen: Counter[str] = Counter()
    written = 0
    for seed in SEEDS if one is None else [one]:
        books = str(shutil.copy(story, tmp_path / f"monkey-{seed}.ullage"))
        monkey = Monkey(seed, books)
        told = monkey.told
        try:
            await monkey.play(acts // len(SEEDS))
        finally:
            print(f"seed {seed} (again: --monkey-seed {seed} --monkey-acts {acts}): {told.acts} acts,")
            print(
                f"{told.confirmed} confirming, {told.written} written, {told.left} times left; the last were"
            )
            print("", *list(told.last)[-25:], sep="\n  ")
        assert told.failed == []
        assert told.unasked == []
        open_books(books)
        with connection():
            assert prove().problems == []
        seen += told.seen
        written += told.written
    print(f"{written} written; {dict(seen)}")
    if one is None:
        assert written > 0, "they booked nothing at all, so they showed nothing"
        assert {screen.where.partition(":")[2] for screen in SCREENS if screen.tab} <= set(seen)
        assert len(seen) > 15, "they hardly opened a dialog"
