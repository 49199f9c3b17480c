"""A connection to a PostgreSQL server on which nothing waits forever.

A server whose process is stopped, or whose machine hangs, keeps its end of the line open: the kernel goes on
confirming what is sent, so no time limit of TCP applies, and on a Unix socket there is none. Only the waiting side
can tell, by the clock.

Loaded when a server is wanted, since it imports the driver.
"""

import time
from collections.abc import Callable, Generator
from typing import Any

import psycopg

from stock.store.refusals import NO_ANSWER

QUIET_S = 10.0
LONGEST_S = 600.0


class ServerConnection(psycopg.Connection[Any]):
    """A connection that gives up when the server has sent and taken nothing for `QUIET_S` seconds.

    `pooled` says whether a pooler stands between, which may give each transaction another session of the server's.
    `kept_cursor` is for statements whose answers are read before the next one runs.
    `still_there`, where it is set, is asked after each quiet stretch whether the server is alive at all, for work
    whose statements may take long; such a line gives up when it isn't, or after `LONGEST_S` seconds.
    """

    pooled = False
    kept_cursor: psycopg.Cursor[Any]
    still_there: Callable[[], bool] | None = None

    def wait(self, gen: Generator[Any, Any, Any], *args: Any, **options: Any) -> Any:
        """Wait for an answer of the server; psycopg calls this for every one.

        Raises:
            OperationalError: no answer came in time; the connection is closed.
        """
        return super().wait(self._bounded(gen), *args, **options)

    def _bounded(self, steps: Generator[Any, Any, Any]) -> Generator[Any, Any, Any]:
        """The same steps, checking the time whenever psycopg wakes up without an answer."""
        asked = heard = time.monotonic()
        try:
            wanted = next(steps)
            while True:
                ready = yield wanted
                now = time.monotonic()
                if ready:
                    asked = heard = now
                elif now - asked > QUIET_S:
                    if self.still_there is None or now - heard > LONGEST_S or not self.still_there():
                        self.close()
                        raise psycopg.OperationalError(f"{NO_ANSWER} {time.monotonic() - heard:.0f} seconds")
                    asked = time.monotonic()
                wanted = steps.send(ready)
        except StopIteration as end:
            return end.value


def answers(**parameters: Any) -> bool:
    """Whether the server of these parameters answers a query within a few seconds."""
    try:
        with ServerConnection.connect(**{**parameters, "connect_timeout": 5}, autocommit=True) as other:
            other.execute("SELECT 1")
    except psycopg.Error:
        return False
    return True
