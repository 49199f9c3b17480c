"""Reading the cells of one row one by one, so that all its errors are reported at once."""

from collections.abc import Callable, Sequence
from typing import Any

from stock.errors import BadInput, UllageError


class BadCells(BadInput):
    """Several cells of one row that can't be read; `errors` are their refusals, each with its column."""

    def __init__(self, errors: Sequence[UllageError]) -> None:
        super().__init__("; ".join(error.sentence.rstrip(".") for error in errors))
        self.errors = list(errors)


class RowCells:
    """Reads the cells of one row and gathers their errors."""

    def __init__(self) -> None:
        self.wrong: list[UllageError] = []

    def read(self, column: str, blank: Any, reader: Callable[..., Any], *given: Any, **named: Any) -> Any:
        """The value that a reader reads from a cell, or `blank` if the cell can't be read."""
        try:
            return reader(*given, **named)
        except UllageError as error:
            self.refuse(column, error)
            return blank

    def refuse(self, column: str, error: UllageError) -> None:
        """Note the error of a cell."""
        error.column = error.column or column
        self.wrong += error.errors if isinstance(error, BadCells) else [error]

    def end(self) -> None:
        """Refuse the row if any of its cells was bad.

        Raises:
            BadCells: there are several errors; it holds them all.
            UllageError: there is one error.
        """
        if len(self.wrong) == 1:
            raise self.wrong[0]
        if self.wrong:
            raise BadCells(self.wrong)
