"""How far work over many rows has come, told now and then to whoever draws it."""

from collections.abc import Callable, Iterable, Iterator
from typing import TypeVar

T = TypeVar("T")
EVERY = 20_000
Tell = Callable[[str, int, int], None]
"""Told what is being done, the rows so far and about how many there are; what it raises stops the work."""


class Tally:
    """Counts the rows that pass, over all the parts of one piece of work."""

    def __init__(self, tell: Tell | None, of: int) -> None:
        """`of` is about how many rows there are in all; without `tell` nothing is counted."""
        self._tell = tell
        self._of = of
        self._done = 0

    def through(self, what: str, rows: Iterable[T]) -> Iterable[T]:
        """The same rows, counted as they pass."""
        return rows if self._tell is None else self._counted(self._tell, what, rows)

    def _counted(self, tell: Tell, what: str, rows: Iterable[T]) -> Iterator[T]:
        for row in rows:
            yield row
            self._done += 1
            if self._done % EVERY == 0:
                tell(what, self._done, self._of)
        if not self._done or self._done % EVERY:
            tell(what, self._done, self._of)
