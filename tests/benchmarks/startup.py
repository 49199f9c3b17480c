"""How long a command takes as a whole process, beside `python -c pass`, on the wall and of the processor.

    python -m tests.benchmarks.startup [rounds]

Interleaved in one run on the sample studio. First the program as pip installs it, its byte code made once; then
the same commands from this checkout as it stands, where Python compiles every module anew each time if
PYTHONDONTWRITEBYTECODE is set. `ullage serve` is timed until it prints its address. On a machine that does other
work, compare the processor's ratios. An environment with an editable install is refused: its finder doubles what
`python -c pass` takes. The dashboard's own start is tests/benchmarks/first_words.py.
"""

import compileall
import os
import shutil
import socket
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from typing import NamedTuple

from sample_studio.loader import load

HOUSE = Path(__file__).parents[2]
PACKAGES = ("stock", "tui", "sample_studio")
SCRIPT = "import sys\nfrom tui.__main__ import main\nsys.exit(main())\n"


class Took(NamedTuple):
    """Milliseconds of one process."""

    wall: float
    processor: float


class Case(NamedTuple):
    """What is run, and how often the floor's time it may take; `until_words` ends it at its first line."""

    argv: list[str]
    aim: float | None = None
    until_words: bool = False


def took(case: Case, place: Path) -> Took:
    """Run a whole process on the modules at `place`; it must succeed."""
    started = time.perf_counter()
    process = subprocess.Popen(
        case.argv,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        env={**os.environ, "PYTHONPATH": str(place), "PYTHONUNBUFFERED": "1"},
    )
    assert process.stdout is not None
    assert process.stderr is not None
    with process.stdout as out, process.stderr as wrong:
        if case.until_words:
            ready = bool(out.readline())
            wall = time.perf_counter() - started
            process.terminate()
        else:
            out.read()
        _, status, used = os.wait4(process.pid, 0)
        process.returncode = status
        if not case.until_words:
            wall, ready = time.perf_counter() - started, status == 0
        if not ready:
            raise SystemExit(f"{case.argv} failed: {wrong.read().decode()[-300:]}")
    return Took(wall * 1000, (used.ru_utime + used.ru_stime) * 1000)


def compare(title: str, cases: dict[str, Case], place: Path, rounds: int) -> None:
    """Run the cases in turn and print medians beside the first, which is the floor; a warm-up first."""
    times: dict[str, list[Took]] = {label: [] for label in cases}
    for round_number in range(rounds + 1):
        for label, case in cases.items():
            one = took(case, place)
            if round_number:
                times[label].append(one)
    medians = {label: Took(*map(statistics.median, zip(*each, strict=True))) for label, each in times.items()}
    floor = next(iter(medians.values()))
    print(f"{title:38}{'wall ms':>9}{'ratio':>7}{'processor ms':>14}{'ratio':>7}{'aim':>6}")
    for label, each in medians.items():
        aim = cases[label].aim
        print(
            f"  {label:36}{each.wall:9.0f}{each.wall / floor.wall:7.2f}"
            f"{each.processor:14.0f}{each.processor / floor.processor:7.2f}{'' if aim is None else aim:>6}"
        )


def installed(folder: Path) -> Path:
    """The packages as pip lays them down, their byte code made."""
    place = folder / "installed"
    for package in PACKAGES:
        shutil.copytree(HOUSE / package, place / package, ignore=shutil.ignore_patterns("__pycache__"))
    compileall.compile_dir(place, quiet=1)
    return place


def free_port() -> int:
    """A port of this machine that nobody listens on."""
    with socket.create_server(("127.0.0.1", 0)) as taken:
        return int(taken.getsockname()[1])


def main() -> None:
    """Measure and print."""
    if any("__editable__" in getattr(finder, "__module__", "") for finder in sys.meta_path):
        raise SystemExit(
            "The finder of an editable install would slow the floor down and flatter every ratio. Run it with the "
            "Python of an environment into which Ullage was installed without -e."
        )
    rounds = int(sys.argv[1]) if len(sys.argv) > 1 else 9
    with tempfile.TemporaryDirectory() as spare:
        path = str(Path(spare) / "studio.ullage")
        load(path)
        os.environ["ULLAGE_STUDIO"] = path
        script = Path(spare) / "ullage.py"
        script.write_text(SCRIPT, encoding="utf-8")
        ullage = [sys.executable, str(script)]
        cases = {
            "python -c pass": Case([sys.executable, "-c", "pass"], 1),
            "ullage shelf --json": Case([*ullage, "shelf", "--json"], 8),
            "ullage mix": Case([*ullage, "mix", "Harbour Blue=0.1ml", "--reduce", "20%", "--json"], 12),
            "ullage cautions": Case([*ullage, "cautions", "--json"]),
            "ullage forecast, one product": Case([*ullage, "forecast", "Harbour Blue", "--json"]),
            "ullage today": Case([*ullage, "today", "--json"]),
            "ullage serve, to its address": Case(
                [*ullage, "serve", "--port", str(free_port())], until_words=True
            ),
        }
        compare("as installed", cases, installed(Path(spare)), rounds)
        compare("from this checkout", dict(list(cases.items())[:3]), HOUSE, rounds)


if __name__ == "__main__":
    main()
