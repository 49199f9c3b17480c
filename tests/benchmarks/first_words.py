"""How long until a person sees something: a bare Textual app, then the dashboard, in a real terminal.

    python -m tests.benchmarks.first_words [ROUNDS]

Fresh processes in a pseudo-terminal of 80 x 24, in turn; the clock stops when the words are in the stream.
Once on all processors that there are, and once on a single one. The program is as pip installs it, its byte code
made (tests/benchmarks/startup.py). Prints medians, and the ratios to the bare app's first words: of the wall's
time, and of what the process had used of the processor by then, to be compared on a machine that does other work.
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


def used(process: int) -> float:
    """Milliseconds of the processor that a process has used so far; Linux only."""
    figures = Path(f"/proc/{process}/stat").read_text(encoding="ascii").rpartition(")")[2].split()
    return (int(figures[11]) + int(figures[12])) * 1000 / os.sysconf("SC_CLK_TCK")


def compare(address: str, rounds: int) -> None:
    """Measure in turn, so that other work on the machine falls on all alike."""
    opened = ["-m", "tui", "--studio", address]
    cases = {
        "bare Textual app, first words": (["-c", BARE], "first-words-here", None),
        "dashboard, first words": (opened, "Reading the books", 2),
        "dashboard, Today but the order list": (opened, "Just done", None),
        "dashboard, full Today": (opened, " products", 3.5),
    }
    times: dict[str, list[tuple[float, float]]] = {name: [] for name in cases}
    for round_number in range(rounds + 1):
        for name, (argv, words, _) in cases.items():
            work: list[float] = []
            seconds = until(argv, words, at_end=lambda child, into=work: into.append(used(child)))
            if round_number:
                times[name].append((seconds * 1000, work[0]))
    middle = {
        name: [statistics.median(one) for one in zip(*both, strict=True)] for name, both in times.items()
    }
    floor = next(iter(middle.values()))
    print(f"{'':38}{'wall ms':>9}{'ratio':>7}{'processor ms':>14}{'ratio':>7}{'aim':>6}")
    for name, (wall, work) in middle.items():
        ratios = wall / floor[0], work / floor[1]
        print(f"{name:38}{wall:9.0f}{ratios[0]:7.2f}{work:14.0f}{ratios[1]:7.2f}{cases[name][2] or '':>6}")


def main() -> None:
    """All processors, then one."""
    from sample_studio.loader import load
    from tests.benchmarks.startup import installed

    rounds = int(sys.argv[1]) if len(sys.argv) > 1 else 10
    with tempfile.TemporaryDirectory() as spare:
        address = str(Path(spare) / "sample.ullage")
        load(address)
        os.environ["PYTHONPATH"] = str(installed(Path(spare)))
        os.chdir(spare)  # `-m` looks here first, and the checkout has no byte code
        every = os.sched_getaffinity(0)
        for processors in (every, {min(every)}):
            os.sched_setaffinity(0, processors)
            print(f"on {len(processors)} processor{'s' if len(processors) > 1 else ''}")
            compare(address, rounds)


if __name__ == "__main__":
    main()
