"""How long a command takes as a whole process, beside `python -c pass`.

    python -m tests.benchmarks.startup [rounds]

Interleaved in one run on the sample studio. The dashboard's own is tests/benchmarks/first_words.py.
"""

import os
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from sample_studio.loader import load

ULLAGE = str(Path(sys.executable).with_name("ullage"))


def process(argv: list[str]) -> Callable[[], float]:
    """Seconds that a whole process takes; it must succeed."""

    def run() -> float:
        started = time.perf_counter()
        done = subprocess.run(argv, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE)
        seconds = time.perf_counter() - started
        if done.returncode:
            raise SystemExit(f"{argv} failed: {done.stderr.decode()[-300:]}")
        return seconds

    return run


def compare(title: str, cases: dict[str, tuple[Callable[[], float], float]], rounds: int) -> None:
    """Run the cases interleaved and print medians beside the first, which is the floor; a warm-up first."""
    times: dict[str, list[float]] = {label: [] for label in cases}
    for round_number in range(rounds + 1):
        for label, (run, _) in cases.items():
            seconds = run()
            if round_number:
                times[label].append(seconds * 1000)
    floor = statistics.median(next(iter(times.values())))
    print(f"{title:42}{'median ms':>10}{'ratio':>8}{'aim':>6}")
    for label, values in times.items():
        aim = cases[label][1]
        print(
            f"  {label:40}{statistics.median(values):10.0f}{statistics.median(values) / floor:8.2f}{aim:6g}"
        )


def main() -> None:
    """Measure and print."""
    rounds = int(sys.argv[1]) if len(sys.argv) > 1 else 9
    folder = tempfile.mkdtemp()
    try:
        path = os.path.join(folder, "studio.ullage")
        load(path)
        os.environ["ULLAGE_STUDIO"] = path
        mix = [ULLAGE, "mix", "Harbour Blue=0.1ml", "--reduce", "20%", "--json"]
        compare(
            "whole processes",
            {
                "python -c pass": (process([sys.executable, "-c", "pass"]), 1),
                "ullage shelf --json": (process([ULLAGE, "shelf", "--json"]), 8),
                "ullage mix": (process(mix), 12),
            },
            rounds,
        )
    finally:
        shutil.rmtree(folder)


if __name__ == "__main__":
    main()
