"""How long a person waits: commands as whole processes, and the dashboard's first words, beside their floors.

    python -m tests.benchmarks.startup [rounds]

Everything is interleaved in one run on the sample studio. Commands stand beside `python -c pass`; the
dashboard, in a real pseudo-terminal of 80x24, beside a bare Textual app that draws one label. "first words"
stops when the header stands, "full Today" when what Today reads from the books has been drawn.
"""

import fcntl
import os
import pty
import select
import shutil
import signal
import statistics
import struct
import subprocess
import sys
import tempfile
import termios
import time
from collections.abc import Callable
from pathlib import Path

from sample_studio.loader import load

ULLAGE = str(Path(sys.executable).with_name("ullage"))
WORDS = "shelf-is-ready"
BARE_APP = f"""
from textual.app import App
from textual.widgets import Label
class Bare(App):
    def compose(self):
        yield Label({WORDS!r})
Bare().run()
"""
FIRST_WORDS, FULL_TODAY = b"Ullage", b"Just done"


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


def terminal(argv: list[str], words: bytes) -> Callable[[], float]:
    """Seconds from the fork until the words are in the terminal's stream."""

    def run() -> float:
        started = time.perf_counter()
        child, screen = pty.fork()
        if child == 0:
            os.environ.update(TERM="xterm-256color", COLORTERM="truecolor", COLUMNS="80", LINES="24")
            os.execv(argv[0], argv)
        fcntl.ioctl(screen, termios.TIOCSWINSZ, struct.pack("HHHH", 24, 80, 0, 0))
        seen = b""
        try:
            while words not in seen:
                if not select.select([screen], [], [], 30)[0]:
                    raise SystemExit(f"{words!r} was not drawn by {argv}")
                seen += os.read(screen, 65536)
            return time.perf_counter() - started
        finally:
            os.kill(child, signal.SIGKILL)
            os.waitpid(child, 0)
            os.close(screen)

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
        compare(
            "the dashboard in a terminal",
            {
                "bare Textual app": (terminal([sys.executable, "-c", BARE_APP], WORDS.encode()), 1),
                "first words": (terminal([ULLAGE], FIRST_WORDS), 2),
                "full Today": (terminal([ULLAGE], FULL_TODAY), 3.5),
            },
            rounds,
        )
    finally:
        shutil.rmtree(folder)


if __name__ == "__main__":
    main()
