"""The whole studio written elsewhere: an export for other programs, a copy as other books; each with a bar."""

from collections.abc import Callable
from pathlib import Path
from threading import Event
from typing import ClassVar, TypeVar

from textual.app import ComposeResult
from textual.widgets import Static

from stock.errors import UllageError
from tui.drawing.figures import bar
from tui.widgets.books_screen import words
from tui.widgets.dialog import BookingDialog
from tui.widgets.fields import Field, path

T = TypeVar("T")


class Interrupted(UllageError):
    """What a person stopped before its end."""

    code = "interrupted"


class Lengthy(BookingDialog[T]):
    """An errand over many rows: it tells how far it is, and Esc stops it and leaves nothing of it."""

    def __init__(self) -> None:
        super().__init__()
        self._stop = Event()

    def action_leave(self) -> None:
        """Leave it, or stop what is under way; what can't be stopped any more is left as any errand is."""
        if self._busy and not self._stop.is_set():
            self._stop.set()
        else:
            super().action_leave()

    def action_go(self) -> None:
        """Begin, with nothing stopped yet."""
        if not self._busy:
            self._stop.clear()
        super().action_go()

    def far(self, what: str, rows: int, of: int) -> None:
        """Tell how far it is; called in the errand's thread.

        Raises:
            Interrupted: it is to be stopped.
        """
        del what
        if self._stop.is_set():
            raise Interrupted("this was stopped before its end; nothing of it is left")
        self.app.call_from_thread(self.progress, f"{bar(rows / max(1, of))}  Esc stops it")


class WriteOut(Lengthy[str]):
    """The whole studio as a folder of CSV files."""

    HEAD: ClassVar[str] = "Export the whole studio"
    GO: ClassVar[str] = "Write it"

    def __init__(self, address: str) -> None:
        super().__init__()
        self._address = address

    def fields(self) -> ComposeResult:
        """Into which folder."""
        yield Static(words("A folder of CSV files with a description of their columns."))
        yield Field(
            "Folder",
            read=path,
            value=str(Path.home() / "ullage-export"),
            id="folder",
            hint="A new or empty one.",
        )

    def errand(self) -> Callable[[], str]:
        """Write it, telling how far it is."""
        folder, address = str(self.read("folder")), self._address

        def write() -> str:
            from stock.exchange import folder as folders

            done = folders.export(address, folder, on_progress=self.far)
            return f"Wrote {done.total():,} rows of {len(done.rows)} tables to {folder}"

        return write


def _books(text: str) -> str:
    """An address of books: a server's, or a file's."""
    from stock.store.addresses import is_server

    return text.strip() if is_server(text.strip()) else str(path(text))


class CopyTo(Lengthy[str]):
    """The whole studio to another file or a server, both proven equal."""

    HEAD: ClassVar[str] = "Copy the studio"
    GO: ClassVar[str] = "Copy it"

    def __init__(self, address: str) -> None:
        super().__init__()
        self._address = address

    def fields(self) -> ComposeResult:
        """Where to."""
        yield Static(
            words(
                "Every row goes to books that don't exist yet, and both are read anew and compared. These books stay "
                "as they are, and stay open here."
            )
        )
        yield Field(
            "To",
            read=_books,
            example="postgresql://bench@server/paint",
            id="to",
            hint="A new file, or a database on a server; a password is better kept in ~/.pgpass.",
        )

    def errand(self) -> Callable[[], str]:
        """Copy it, and compare."""
        from stock.store.addresses import shown

        target, address = str(self.read("to")), self._address

        def copy() -> str:
            from stock.exchange import copying

            copied = copying.copy(address, target, on_progress=self.far)
            return f"Copied {copied.total():,} rows to {shown(target)}; both are equal, row by row"

        return copy
