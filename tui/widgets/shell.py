"""The part of the app that widgets, dialogs and screens know."""

from collections.abc import Callable, Sequence
from datetime import date
from typing import TYPE_CHECKING, Any, Protocol, cast

from textual.message_pump import MessagePump

from tui.screens import ScreenEntry

if TYPE_CHECKING:
    from stock.scale.listening import ScaleListener


class Shell(Protocol):
    """The app, as its widgets, dialogs and screens see it."""

    @property
    def screens(self) -> Sequence[ScreenEntry]:
        """All screens, in the order of their keys."""

    address: str
    """Where the books are: a file path or a server's URL."""
    studio_name: str
    day: date | None
    """The day that is shown; None before the books are open."""
    books_open: bool
    scale: "ScaleListener | None"
    """The scale of this bench, listened to from the first weighing on; None where none is set."""

    @property
    def the_day(self) -> date:
        """The day that is shown; the books are open."""

    @property
    def as_of(self) -> date | None:
        """The past day that was asked for, or None for today."""

    @property
    def visiting(self) -> bool:
        """Whether the sample studio is shown in place of the person's own books."""

    def announce(self, what: str) -> None:
        """Show for a moment what was booked."""

    def go(self, screen: str, in_hand: object = None) -> None:
        """Go to a screen.

        Args:
            screen: its id in the registry of screens.
            in_hand: the thing brought along, as that screen's `take` reads it.
        """

    def open_books(self, find: Callable[[], str] | None = None) -> object:
        """Open the books again after they were replaced, or other books whose address `find` returns in a thread."""

    def know_again(self) -> None:
        """Read the studio's name and day again, after they may have changed."""

    def guide(self) -> None:
        """Lead an empty studio to its first bottle, once."""

    def take_ahead(self) -> Any:
        """The reading of Today that began before the screens were loaded, once; None without one."""

    def note_failure(self, error: BaseException) -> None:
        """With ULLAGE_DEBUG, stop with the traceback of what failed in a thread."""


def shell_of(node: MessagePump) -> Shell:
    """The app that a widget or a screen is part of."""
    return cast("Shell", node.app)
