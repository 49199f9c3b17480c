"""Reporting the progress of work over many rows now and then."""

from collections.abc import Callable, Iterable, Iterator
from typing import TypeVar

T = TypeVar("T")
EVERY = 20_000
OnProgress = Callable[[str, int, int], None]
"""Called with the kind of work, the rows so far and about how many there are; an exception from it ends the work."""


class Tally:
    """Counts the rows that pass, over all the parts of one piece of work."""

    def __init__(self, on_progress: OnProgress | None, of: int) -> None:
        """`of` is about how many rows there are in all; without `on_progress` nothing is counted."""
        self._on_progress = on_progress
        self._of = of
        self._done = 0

    def through(self, what: str, rows: Iterable[T]) -> Iterable[T]:
        """The rows unchanged, counted as they pass."""
        return rows if self._on_progress is None else self._counted(self._on_progress, what, rows)

    def _counted(self, on_progress: OnProgress, what: str, rows: Iterable[T]) -> Iterator[T]:
        for row in rows:
            yield row
            self._done += 1
            if self._done % EVERY == 0:
                on_progress(what, self._done, self._of)
        if not self._done or self._done % EVERY:
            on_progress(what, self._done, self._of)
