"""What Today is told of a day; imports nothing heavy, for the first frame is drawn before it is filled."""

from typing import Any, NamedTuple


class TodayBooks(NamedTuple):
    """The day as the books tell it, and the bottles that it is about."""

    seen: Any
    bottles: tuple[Any, ...]
    forecast: bool = True

    @property
    def empty(self) -> bool:
        """Whether no bottle ever stood here."""
        return not self.bottles
