"""How long until a person sees something: a bare Textual app, then the dashboard, in a real terminal.

    python -m tests.benchmarks.first_words [ROUNDS]

Fresh processes in a pseudo-terminal of 80 x 24, in turn; the clock stops when the words are in the stream.
Prints medians, and the ratio to the bare app's first words.
"""

import fcntl
import os
import pty
import select
import signal
import statistics
import struct
import sys
import tempfile
import termios
import time
from collections.abc import Callable
from pathlib import Path

BARE = """
from textual.app import App
from textual.widgets import Label
class Bare(App):
    def compose(self):
        yield Label("first-words-here")
Bare().run()
"""


def until(argv: list[str], words: str, *, at_end: Callable[[int], None] | None = None) -> float:
    """Seconds from starting the process until the words are in the terminal's stream.

    Args:
        argv: what Python is started with.
        words: what to wait for.
        at_end: told the process's number before it is ended.
    """
    started = time.perf_counter()
    child, terminal = pty.fork()
    if child == 0:
        os.environ.update(TERM="xterm-256color", COLORTERM="truecolor", COLUMNS="80", LINES="24")
        os.execv(sys.executable, [sys.executable, *argv])
    fcntl.ioctl(terminal, termios.TIOCSWINSZ, struct.pack("HHHH", 24, 80, 0, 0))
    seen = b""
    try:
        while words.encode() not in seen:
            if not select.select([terminal], [], [], 30)[0]:
                raise SystemExit(f"{words!r} was not drawn by {argv}; last seen: {seen[-300:]!r}")
            seen += os.read(terminal, 65536)
        took = time.perf_counter() - started
        if at_end is not None:
            at_end(child)
        return took
    finally:
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        os.close(terminal)


def main() -> None:
    """Measure in turn, so that other work on the machine falls on all alike."""
    from sample_studio.loader import load

    rounds = int(sys.argv[1]) if len(sys.argv) > 1 else 10
    with tempfile.TemporaryDirectory() as spare:
        address = str(Path(spare) / "sample.ullage")
        load(address)
        opened = ["-m", "tui", "--studio", address]
        cases = {
            "bare Textual app, first words": (["-c", BARE], "first-words-here"),
            "dashboard, first words": (opened, "Reading the books"),
            "dashboard, Today but the order list": (opened, "Just done"),
            "dashboard, full Today": (opened, " products"),
        }
        times: dict[str, list[float]] = {name: [] for name in cases}
        for round_number in range(rounds + 1):
            for name, (argv, words) in cases.items():
                seconds = until(argv, words)
                if round_number:
                    times[name].append(seconds * 1000)
    floor = statistics.median(next(iter(times.values())))
    for name, values in times.items():
        print(f"{name:38}{statistics.median(values):8.0f} ms{statistics.median(values) / floor:8.2f} x")


if __name__ == "__main__":
    main()
