"""Today's forecast, worked out by a separate process while the screens are still being loaded.

The forecast takes as long as everything else at the start together, and a thread would only take turns with the
drawing. The process reads the books, answers over a pipe and ends. Without an answer the forecast is worked out
in this process, as at any other time.
"""

import os
import pickle
import subprocess
import sys
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from tui.today.reading import Foreseen


class Ahead:
    """A day's forecast that is being worked out.

    Args:
        address: the books, a file.
        as_of: the day asked for; today when None.
    """

    def __init__(self, address: str, as_of: date | None) -> None:
        asked = pickle.dumps((address, as_of))
        self._process = subprocess.Popen(
            [
                sys.executable,
                "-P",
                "-c",
                "import ullage; ullage.at_home(); from tui.today.ahead import main; main()",
            ],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
        )
        assert self._process.stdin is not None
        self._process.stdin.write(asked)
        self._process.stdin.close()

    def answer(self) -> "Foreseen | None":
        """Wait for the forecast; None if the process failed."""
        assert self._process.stdout is not None
        with self._process.stdout as pipe:
            try:
                answer: Foreseen | None = pickle.load(pipe)  # noqa: S301 - our own process wrote it
            except (EOFError, pickle.UnpicklingError):
                answer = None
        self._process.wait()
        return answer

    def leave(self) -> None:
        """End the process, because nobody needs its answer any more."""
        if self._process.poll() is None:
            self._process.kill()
            self._process.wait()


def main() -> None:
    """Read the question, work out the forecast, and write the answer."""
    address, as_of = pickle.load(sys.stdin.buffer)  # noqa: S301 - our own process wrote it
    if not _newest(address):
        sys.exit(1)  # only the app migrates books of an older schema
    from stock.store.connection import connection, reading
    from tui.opening import opened
    from tui.today.reading import foreseen

    opened(address, as_of)
    with connection(), reading():
        answer = pickle.dumps(foreseen(as_of))
    with os.fdopen(sys.stdout.fileno(), "wb", closefd=False) as pipe:
        pipe.write(answer)


def _newest(address: str) -> bool:
    """Whether the file has the newest schema; read without changing anything."""
    from contextlib import closing

    from stock.store.files import reader
    from stock.store.migrations import NEWEST

    with closing(reader(Path(address))) as file:
        return bool(file.execute("SELECT schema_version FROM studio").fetchone() == (NEWEST,))
