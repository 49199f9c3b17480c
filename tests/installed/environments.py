"""Virtual environments that hold Ullage's wheel and nothing that it doesn't ask for.

The wheel is built from this folder and installed by pip into an empty environment. What it requires is linked
there from the environment of the tests, distribution by distribution as the wheel's own metadata names them: an
extra that isn't asked for is really absent, and a module that nobody declared is, too.
"""

import fcntl
import os
import shutil
import subprocess
import sys
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from importlib.metadata import PackageNotFoundError, PathDistribution, distribution
from pathlib import Path
from zipfile import Path as InZip
from zipfile import ZipFile

from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

TOP = Path(__file__).resolve().parents[2]
SOURCES = ("stock", "tui", "sample_studio")
EXTRAS = ("postgresql", "browser", "labels", "scale", "sheets", "spreadsheets")
PATIENCE_S = 600


def build_wheel(folder: Path) -> Path:
    """The wheel, built from a copy of the sources so that nothing of an earlier build gets into it."""
    copy = folder / "sources"
    for name in SOURCES:
        shutil.copytree(TOP / name, copy / name, ignore=shutil.ignore_patterns("__pycache__"))
    for name in ("pyproject.toml", "README.md"):
        shutil.copy(TOP / name, copy)
    _pip("wheel", "--no-deps", "--wheel-dir", str(folder), str(copy))
    [wheel] = folder.glob("ullage-*.whl")
    return wheel


def bare(folder: Path, wheel: Path) -> Path:
    """An environment with the wheel alone, installed by pip; its `ullage` command."""
    subprocess.run(
        [sys.executable, "-m", "venv", "--without-pip", str(folder)], check=True, timeout=PATIENCE_S
    )
    for name in sorted(required(wheel, ())):
        _link(name, packages(folder))
    _pip("--python", str(folder / "bin" / "python"), "install", "--no-deps", "--no-index", str(wheel))
    return folder / "bin" / "ullage"


def extended(base: Path, folder: Path, wheel: Path, extras: Iterable[str]) -> Path:
    """A copy of the bare environment at `base` with what these extras bring; its `ullage` command."""
    shutil.copytree(base, folder, symlinks=True, copy_function=_link_or_copy)
    for name in sorted(required(wheel, extras) - required(wheel, ())):
        _link(name, packages(folder))
    command = folder / "bin" / "ullage"
    script = command.read_text()
    command.unlink()  # it is one file with that of the base
    command.write_text(script.replace(str(base), str(folder)))
    command.chmod(0o755)
    return command


def packages(folder: Path) -> Path:
    """Where an environment keeps its packages."""
    [found] = folder.glob("lib/python*/site-packages")
    return found


def required(wheel: Path, extras: Iterable[str]) -> set[str]:
    """The names of all distributions that the wheel requires with these extras, and those that they require."""
    with ZipFile(wheel) as opened:
        [inside] = [entry for entry in InZip(opened).iterdir() if entry.name.endswith(".dist-info")]
        waiting = list(_wanted(PathDistribution(inside).requires or [], extras))
    found: dict[str, set[str]] = {}
    while waiting:
        requirement = waiting.pop()
        name = canonicalize_name(requirement.name)
        new = requirement.extras - found.get(name, set())
        if name in found and not new:
            continue
        found.setdefault(name, set()).update(requirement.extras)
        try:
            waiting += _wanted(distribution(name).requires or [], requirement.extras)
        except PackageNotFoundError:
            raise AssertionError(f"{name} is required by Ullage, and not installed with its tests") from None
    return set(found)


def _wanted(lines: Iterable[str], extras: Iterable[str]) -> Iterator[Requirement]:
    for line in lines:
        requirement = Requirement(line)
        marker = requirement.marker
        if marker is None or any(marker.evaluate({"extra": extra}) for extra in ("", *extras)):
            yield requirement


def _link(name: str, to: Path) -> None:
    """Put an installed distribution's packages and modules into another environment, each as one link."""
    found = distribution(name)
    # What lies outside is a command of its own; beside a module of one file lies the bytecode of all such modules.
    for top in {file.parts[0] for file in found.files or ()} - {"..", "__pycache__"}:
        assert not (to / top).exists(), f"{top} belongs to {name} and to another distribution"
        (to / top).symlink_to(Path(os.fspath(found.locate_file(top))))


def _link_or_copy(source: str, target: str) -> str:
    try:
        os.link(source, target)
    except OSError:  # on another disk
        shutil.copy2(source, target)
    return target


def _pip(*line: str) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "pip", "--quiet", "--disable-pip-version-check", *line],
        capture_output=True, text=True, timeout=PATIENCE_S,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr


@contextmanager
def alone(folder: Path) -> Iterator[None]:
    """One process of the test run at a time."""
    folder.mkdir(parents=True, exist_ok=True)
    with (folder / "lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        yield
