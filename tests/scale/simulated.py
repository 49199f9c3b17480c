"""A scale that isn't there: a pseudo-terminal that sends what a scale sends, and can be unplugged."""

import os
import threading
import time
import tty
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path

from stock.scale.listening import HeardScale, ScaleListener

PATIENCE_S = 120


class SimulatedScale:
    """A scale at `path`, a link to a pseudo-terminal; it sends from a thread what it is told to.

    Args:
        folder: where the link stands.
    """

    def __init__(self, folder: Path) -> None:
        self.path = str(folder / "scale")
        self._end = threading.Event()
        self._line = b""
        self._every_s = 0.05
        self._thread: threading.Thread | None = None
        self._master = -1
        self.plug()

    def plug(self) -> None:
        self._master, slave = os.openpty()
        tty.setraw(slave)
        os.set_blocking(self._master, False)
        Path(self.path).unlink(missing_ok=True)
        os.symlink(os.ttyname(slave), self.path)
        os.close(slave)

    def unplug(self) -> None:
        Path(self.path).unlink()
        master, self._master = self._master, -1
        os.close(master)

    def send(self, data: bytes) -> None:
        with suppress(OSError):  # unplugged, or nobody reads
            if self._master >= 0:
                os.write(self._master, data)

    def keep_sending(self, line: bytes, every_s: float = 0.02) -> None:
        """From now on it sends this line again and again."""
        self._line, self._every_s = line, every_s
        if self._thread is None:
            self._thread = threading.Thread(target=self._send, daemon=True)
            self._thread.start()

    def _send(self) -> None:
        while not self._end.wait(self._every_s):
            if self._line:
                self.send(self._line)

    def asked(self) -> bytes:
        with suppress(BlockingIOError, OSError):
            return os.read(self._master, 100)
        return b""

    def close(self) -> None:
        self._end.set()
        if self._thread is not None:
            self._thread.join(2)
        if self._master >= 0:
            os.close(self._master)


def until(listener: ScaleListener, true: Callable[[HeardScale], object]) -> HeardScale:
    """What is heard as soon as it is as the test asserts; a failure if it never is."""
    end_s = time.monotonic() + PATIENCE_S
    while time.monotonic() < end_s:
        heard = listener.heard()
        if true(heard):
            return heard
        time.sleep(0.01)
    raise AssertionError(f"it never came: {listener.heard()}")
