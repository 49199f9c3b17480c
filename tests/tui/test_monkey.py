"""A monkey at the dashboard of the sample studio: whatever is pressed, it stands, and books only what was asked."""

import shutil
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

import pytest

from stock.exchange import copying
from stock.logbook.proof import prove
from stock.store.connection import connection, open_books
from stock.store.models import database
from tests import templates
from tests.tui.monkey import Monkey
from tui.screens import SCREENS

SHORT, LONG = (1, 50), (5, 500)
"""Monkeys, and the acts of all of them together, of an ordinary run and with --deep."""
BROAD = 400
"""So many acts lead everywhere and book something."""


@pytest.fixture(scope="module")
def story(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The sample studio's books, told once a run."""
    return Path(templates.sample_studio(tmp_path_factory))


def _told_again(story: Path, address: str, folder: Path, seed: int) -> str:
    """The address of the sample studio's books for one monkey alone, on the engine of the test's address."""
    if "://" not in address:
        return str(shutil.copy(story, folder / f"monkey-{seed}.ullage"))
    copying.copy(str(story), f"{address}_{seed}")
    database.close()
    return f"{address}_{seed}"


@pytest.fixture
def closed_afterwards() -> Iterator[None]:
    """The books are let go of in the end."""
    yield
    if not database.is_closed():
        database.close()


@pytest.mark.deepens
@pytest.mark.each_engine
@pytest.mark.usefixtures("closed_afterwards")
async def test_whatever_is_pressed_it_stands_and_books_only_what_was_asked(
    story: Path, address: str, tmp_path: Path, request: pytest.FixtureRequest
) -> None:
    option = request.config.getoption
    many, usual = LONG if option("deep") else SHORT
    if "://" in address:  # what it may press is the same; the server's own part is what it may book
        usual //= 2
    acts, first = option("monkey_acts") or usual, option("sample_seed") * many
    seeds = range(first, first + many) if option("monkey_seed") is None else [option("monkey_seed")]
    seen: Counter[str] = Counter()
    written = 0
    for seed in seeds:
        books = _told_again(story, address, tmp_path, seed)
        monkey = Monkey(seed, books)
        log = monkey.log
        try:
            await monkey.play(acts // many)
        finally:
            again = f"--monkey-seed {seed} --monkey-acts {acts}{' --deep' * option('deep')}"
            print(f"seed {seed} (again: {again}): {log.acts} acts,")
            print(f"{log.confirmed} confirming, {log.written} written, {log.left} times left; the last were")
            print("", *list(log.last)[-25:], sep="\n  ")
        assert log.acts >= acts // many
        assert log.failed == []
        assert log.unasked == []
        open_books(books)
        with connection():
            assert prove().problems == []
        seen += log.seen
        written += log.written
    print(f"{written} written; {dict(seen)}")
    assert len(seen) > 3, "they hardly got anywhere"
    if acts >= BROAD and len(seeds) == many:
        assert written > 0, "they booked nothing at all, so they showed nothing"
        assert {screen.where.partition(":")[2] for screen in SCREENS if screen.tab} <= set(seen)
        assert len(seen) > 15, "they hardly opened a dialog"
