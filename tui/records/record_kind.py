"""A kind of record, one tab of the Records: how its records are listed, shown, entered and corrected."""

from collections.abc import Hashable, Sequence
from typing import Any, ClassVar, Generic, TypeVar

from stock.language import _
from tui.dialogs.record_form import Opening
from tui.records.record_card import Card
from tui.widgets.rows import Cell, Heading, ListColumn

T = TypeVar("T")


class RecordKind(Generic[T]):
    """A kind of record. `read` and `card` are called in a thread with the connection open."""

    NAME: ClassVar[str] = ""
    WIDE: ClassVar[Sequence[ListColumn]] = (ListColumn(""),)
    NARROW: ClassVar[Sequence[ListColumn]] = (ListColumn(""),)
    EMPTY: ClassVar[str] = _("Nothing here yet: press n.")
    CAN: ClassVar[frozenset[str]] = frozenset({"new", "correct"})
    """Actions of the screen that this kind has."""

    def read(self) -> Sequence[T | Heading]:
        """The records of this kind."""
        raise NotImplementedError

    def ident(self, item: T) -> Hashable:
        """What identifies a record."""
        raise NotImplementedError

    def letters(self, item: T) -> str:
        """The text in which letters are found."""
        raise NotImplementedError

    def cells(self, item: T, wide: bool) -> Sequence[Cell]:
        """One row, for the wide or the narrow columns."""
        raise NotImplementedError

    def card(self, item: T) -> Card:
        """Everything known about a record."""
        raise NotImplementedError

    def new(self, item: T | None) -> Opening:
        """The form for a new record; `item` is the selected one."""
        raise NotImplementedError

    def correct(self, item: T) -> Opening | None:
        """The form that corrects a record; None where it can't be changed."""
        raise NotImplementedError

    def like(self, item: T) -> Opening:
        """The form for a new record that starts with another one's facts."""
        raise NotImplementedError

    def mark(self, item: T) -> None:
        """Mark a record, so that several are corrected at once."""
        raise NotImplementedError

    def end(self, item: T) -> Any:
        """The question whether to discontinue or close a record, or to reverse that."""
        raise NotImplementedError

    def delete(self, item: T) -> Any:
        """The question whether to delete a record that was entered by mistake."""
        raise NotImplementedError

    def may(self, action: str, item: T | None) -> bool:
        """Whether an action can be done with the selected record."""
        return action == "new" or item is not None
