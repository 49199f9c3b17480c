"""The wheel, built once a test run, and one environment for each thing that a person can have installed."""

import os
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.installed import environments
from tests.installed.command import Ullage

NOTHING, EVERYTHING = "nothing", "everything"


@pytest.fixture(scope="session")
def commands(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """The installed `ullage` by what is installed beside it: nothing, each extra alone, everything."""
    base = tmp_path_factory.getbasetemp()
    shared = (base.parent if "PYTEST_XDIST_WORKER" in os.environ else base) / "installed"
    made = {name: (name,) for name in environments.EXTRAS} | {EVERYTHING: environments.EXTRAS}
    with environments.alone(shared):
        ready = shared / "ready"
        if not ready.exists():
            wheel = environments.build_wheel(shared)
            environments.bare(shared / NOTHING, wheel)
            for name, extras in made.items():
                environments.extended(shared / NOTHING, shared / name, wheel, extras)
            ready.touch()
    return {name: shared / name / "bin" / "ullage" for name in (NOTHING, *made)}


@pytest.fixture(scope="session")
def stocked(commands: dict[str, Path], tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A file of books with one product and one bottle of it."""
    one = Ullage(commands[NOTHING], tmp_path_factory.mktemp("stocked"), "studio.ullage")
    one.says("new")
    one.says("product", "add", "Harbour Blue", "--role", "paint")
    one.says("receive", "Harbour Blue", "60ml")
    return one.folder / one.studio


@pytest.fixture(scope="session")
def demo_books(commands: dict[str, Path]) -> tuple[Path, str]:
    """The books that `ullage demo --keep` leaves, and its JSON answer; made once a test run."""
    folder = commands[EVERYTHING].parents[2] / "demo"
    with environments.alone(folder):
        books, answer = folder / "demo.ullage", folder / "answer.json"
        if not answer.exists():
            said = Ullage(commands[EVERYTHING], folder, "studio.ullage").says(
                "demo", "--json", "--keep", str(books)
            )
            answer.write_text(said, encoding="utf-8")
    return books, answer.read_text(encoding="utf-8")


@pytest.fixture
def person(commands: dict[str, Path], tmp_path: Path) -> Callable[..., Ullage]:
    """Somebody in an empty folder with this installed, and books where none stand yet."""

    def stands(installed: str, studio: str = "studio.ullage") -> Ullage:
        folder = tmp_path / "here"
        folder.mkdir(exist_ok=True)
        return Ullage(commands[installed], folder, studio)

    return stands
