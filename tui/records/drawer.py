"""A drawer: records of one kind, how they are listed, shown, entered and corrected."""

from collections.abc import Hashable, Sequence
from typing import Any, ClassVar, Generic, TypeVar

from tui.dialogs.record_form import Opening
from tui.records.card import Card
from tui.widgets.rows import Cell, Heading, ListColumn

T = TypeVar("T")


class Drawer(Generic[T]):
    """Records of one kind. `read` and `card` are called in a thread with the connection open."""

    NAME: ClassVar[str] = ""
    WIDE: ClassVar[Sequence[ListColumn]] = (ListColumn(""),)
    NARROW: ClassVar[Sequence[ListColumn]] = (ListColumn(""),)
    EMPTY: ClassVar[str] = "Nothing here yet: press n."
    CAN: ClassVar[frozenset[str]] = frozenset({"new", "correct"})
    """Actions of the screen that mean something here."""

    def read(self) -> Sequence[T | Heading]:
        """What is in it."""
        raise NotImplementedError

    def ident(self, item: T) -> Hashable:
        """What tells one from another."""
        raise NotImplementedError

    def letters(self, item: T) -> str:
        """What finding looks at."""
        raise NotImplementedError

    def cells(self, item: T, wide: bool) -> Sequence[Cell]:
        """One row, by the wide or the narrow columns."""
        raise NotImplementedError

    def card(self, item: T) -> Card:
        """All that is known of one."""
        raise NotImplementedError

    def new(self, item: T | None) -> Opening:
        """The form of a new one; `item` is under the hand."""
        raise NotImplementedError

    def correct(self, item: T) -> Opening | None:
        """The form that puts one right; None where it stays as it is."""
        raise NotImplementedError

    def end(self, item: T) -> Any:
        """The question whether it is to be ended: discontinued, closed; or the other way round."""
        raise NotImplementedError

    def may(self, action: str, item: T | None) -> bool:
        """Whether an action can act on what is under the hand."""
        return action == "new" or item is not None
