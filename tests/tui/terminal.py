"""The dashboard in a terminal of its own: a pseudo-terminal, for what only a real one can show."""

import fcntl
import os
import pty
import re
import select
import signal
import subprocess
import sys
import termios
import time
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path

PATIENCE_S = 180
TOP = Path(__file__).resolve().parents[2]


class Terminal:
    """The far side of a pseudo-terminal in which a program runs."""

    def __init__(self, process: subprocess.Popen[bytes], master: int, slave: int) -> None:
        self.process = process
        self.seen = b""
        self._master = master
        self.slave = slave

    def type(self, text: str) -> None:
        os.write(self._master, text.encode())

    @property
    def words(self) -> str:
        """What was written, without the codes that place and colour it."""
        return re.sub(rb"\x1b(\[[0-9;?>=]*[A-Za-z]|[()][A-Z0-9]|[=>])", b"", self.seen).decode(
            errors="replace"
        )

    def until(self, words: str) -> None:
        """Read until these words were written."""
        end = time.monotonic() + PATIENCE_S
        while words not in self.words:
            assert self._read(end), f"{words!r} did not come: {self.words[-400:]!r}"

    def end(self) -> int:
        """Read until the program is gone; its exit status."""
        end = time.monotonic() + PATIENCE_S
        while self.process.poll() is None:
            assert time.monotonic() < end, f"it does not end: {self.words[-400:]!r}"
            self._read(time.monotonic() + 0.1)
        while self._read(time.monotonic() + 0.1):
            pass
        return self.process.returncode

    def _read(self, end: float) -> bool:
        ready, _, _ = select.select([self._master], [], [], max(0.0, end - time.monotonic()))
        if not ready:
            return False
        self.seen += os.read(self._master, 65_536)
        return True


@contextmanager
def terminal(*line: str, **environment: str) -> Iterator[Terminal]:
    """Run this line with Python in a terminal of 80 columns and 24 rows; nothing stays behind."""
    plain = {
        name: value for name, value in os.environ.items() if name not in ("NO_COLOR", "COLUMNS", "LINES")
    }
    with seated([sys.executable, *line], TOP, plain | {"TERM": "xterm-256color"} | environment) as far_side:
        yield far_side


@contextmanager
def seated(argv: Sequence[str], folder: Path, environment: Mapping[str, str]) -> Iterator[Terminal]:
    """Run this program in a terminal of 80 columns and 24 rows; nothing stays behind."""
    master, slave = pty.openpty()
    termios.tcsetwinsize(slave, (24, 80))
    process = subprocess.Popen(
        argv, stdin=slave, stdout=slave, stderr=slave, start_new_session=True, cwd=folder, env=environment,
        preexec_fn=lambda: fcntl.ioctl(slave, termios.TIOCSCTTY, 0),  # noqa: PLW1509 - so that Ctrl+C reaches it
    )  # fmt: skip
    try:
        yield Terminal(process, master, slave)
    finally:
        if process.poll() is None:
            os.killpg(process.pid, signal.SIGKILL)
            process.wait()
        os.close(master)
        os.close(slave)
