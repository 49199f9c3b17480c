"""What Today shows of a day; imports nothing heavy, because the first frame is drawn before it is filled."""

from typing import Any

from stock.named_tuples import NamedTuple


class TodayBooks(NamedTuple):
    """The day as read from the books, and all bottles; `forecast` says whether the forecast is in it yet."""

    day: Any
    bottles: tuple[Any, ...]
    forecast: bool = True

    @property
    def empty(self) -> bool:
        """Whether the studio never had a bottle."""
        return not self.bottles
