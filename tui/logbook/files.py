"""Exporting the whole studio as files, and copying it to other books; each shows its progress."""

from collections.abc import Callable
from pathlib import Path
from threading import Event
from typing import ClassVar, TypeVar

from textual.app import ComposeResult
from textual.widgets import Static

from stock.errors import UllageError
from stock.language import _
from stock.notation import in_thousands
from tui.drawing.figures import bar
from tui.widgets.books_screen import words
from tui.widgets.dialog import BookingDialog
from tui.widgets.fields import Field, path

T = TypeVar("T")


class Interrupted(UllageError):
    """A person stopped the errand before its end."""

    code = "interrupted"


class Lengthy(BookingDialog[T]):
    """An errand over many rows: it shows its progress, and Esc stops it and leaves nothing behind."""

    def __init__(self) -> None:
        super().__init__()
        self._stop = Event()

    def action_leave(self) -> None:
        """Stop the running errand; if it is stopped already or not running, leave the dialog."""
        if self._busy and not self._stop.is_set():
            self._stop.set()
        else:
            super().action_leave()

    def action_go(self) -> None:
        """Begin, or begin again after a stop."""
        if not self._busy:
            self._stop.clear()
        super().action_go()

    def show_progress(self, what: str, rows: int, of: int) -> None:
        """Show the progress; called in the errand's thread.

        Raises:
            Interrupted: the person stopped it.
        """
        del what
        if self._stop.is_set():
            raise Interrupted(_("this was stopped before its end; nothing of it was kept"))
        self.app.call_from_thread(self.progress, _("{rows}  Esc stops it", rows=bar(rows / max(1, of))))


class WriteOut(Lengthy[str]):
    """The whole studio as a folder of CSV files."""

    HEAD: ClassVar[str] = _("Export the whole studio")
    GO: ClassVar[str] = _("Write it")

    def __init__(self, address: str) -> None:
        super().__init__()
        self._address = address

    def fields(self) -> ComposeResult:
        yield Static(words(_("A folder of CSV files with a description of their columns.")))
        yield Field(
            _("Folder"),
            read=path,
            value=str(Path.home() / "ullage-export"),
            id="folder",
            hint=_("A new or empty one."),
        )

    def errand(self) -> Callable[[], str]:
        """Write the folder, showing the progress."""
        folder, address = str(self.read("folder")), self._address

        def write() -> str:
            from stock.exchange import folder as folders

            done = folders.export(address, folder, on_progress=self.show_progress)
            return _(
                "Wrote {total} rows of {rows} tables to {folder}",
                total=in_thousands(done.total()),
                rows=len(done.rows),
                folder=folder,
            )

        return write


def _books(text: str) -> str:
    """An address of books: a server's, or a file's."""
    from stock.store.addresses import is_server

    return text.strip() if is_server(text.strip()) else str(path(text))


class CopyTo(Lengthy[str]):
    """Copies the whole studio to another file or a server, and proves that both are equal."""

    HEAD: ClassVar[str] = _("Copy the studio")
    GO: ClassVar[str] = _("Copy it")

    def __init__(self, address: str) -> None:
        super().__init__()
        self._address = address

    def fields(self) -> ComposeResult:
        yield Static(
            words(
                _(
                    "Every row is copied to books that don't exist yet, and then both are read again and "
                    "compared. These books stay as they are, and stay open here."
                )
            )
        )
        yield Field(
            _("To"),
            read=_books,
            example=_("postgresql://bench@server/paint"),
            id="to",
            hint=_("A new file, or a database on a server; a password is better kept in ~/.pgpass."),
        )

    def errand(self) -> Callable[[], str]:
        """Copy the studio, and compare."""
        from stock.store.addresses import shown

        target, address = str(self.read("to")), self._address

        def copy() -> str:
            from stock.exchange import copying

            copied = copying.copy(address, target, on_progress=self.show_progress)
            return _(
                "Copied {total} rows to {target}; both are equal, row by row",
                total=in_thousands(copied.total()),
                target=shown(target),
            )

        return copy
