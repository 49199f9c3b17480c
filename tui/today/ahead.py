"""Today read by a process of its own while the screens are still being loaded.

The forecast takes as long as everything else at the start together, and a thread would only take turns with
the drawing. The process reads the books, answers over a pipe and ends; without an answer the day is read here
as at any other time.
"""

import os
import pickle
import subprocess
import sys
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Any


class Ahead:
    """A day that is being read.

    Args:
        address: the books, a file.
        as_of: the day asked for; today when None.
    """

    def __init__(self, address: str, as_of: date | None) -> None:
        asked = pickle.dumps((address, as_of))
        self._process = subprocess.Popen(
            [sys.executable, "-m", "tui.today.ahead"],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
        )
        assert self._process.stdin is not None
        self._process.stdin.write(asked)
        self._process.stdin.close()

    def answers(self) -> Iterator[Any]:
        """The day without its order list, then with it, each waited for; fewer if the process could not say."""
        assert self._process.stdout is not None
        with self._process.stdout as pipe:
            for _ in range(2):
                try:
                    yield pickle.load(pipe)  # noqa: S301 - our own process wrote it
                except (EOFError, pickle.UnpicklingError):
                    break
        self._process.wait()

    def leave(self) -> None:
        """Nobody waits for it any more."""
        if self._process.poll() is None:
            self._process.kill()
            self._process.wait()


def main() -> None:
    """Read what is asked, work it out, and write the answer."""
    address, as_of = pickle.load(sys.stdin.buffer)  # noqa: S301 - our own process wrote it
    if not _newest(address):
        sys.exit(1)  # books of an older schema are brought up by the app alone
    from stock.store.connection import connection, reading  # noqa: PLC0415
    from tui.opening import opened  # noqa: PLC0415
    from tui.today.reading import readings  # noqa: PLC0415

    opened(address, as_of)
    with connection(), reading(), os.fdopen(sys.stdout.fileno(), "wb", closefd=False) as pipe:
        for books in readings(as_of):
            pipe.write(pickle.dumps(books))
            pipe.flush()


def _newest(address: str) -> bool:
    """Whether the file is of the newest schema, looked at without changing anything."""
    import sqlite3  # noqa: PLC0415
    from contextlib import closing  # noqa: PLC0415

    from stock.store.migrations import NEWEST  # noqa: PLC0415

    with closing(sqlite3.connect(f"{Path(address).absolute().as_uri()}?mode=ro", uri=True)) as file:
        return bool(file.execute("SELECT schema_version FROM studio").fetchone() == (NEWEST,))


if __name__ == "__main__":
    main()
