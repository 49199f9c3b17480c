"""Putting a backup back in place of the books, after telling what would be lost."""

from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Any, ClassVar

from textual import on, work
from textual.app import ComposeResult
from textual.message import Message
from textual.widgets import Static
from textual.worker import get_current_worker

from stock.errors import UllageError
from stock.language import _
from stock.notation import show_minute
from tui.drawing.figures import count
from tui.drawing.sentences import sentence_for
from tui.widgets.books_screen import words
from tui.widgets.dialog import BookingDialog
from tui.widgets.fields import Field, path


class PutBack(BookingDialog[str]):
    """Replaces the books by a backup: the selected one, or one from elsewhere."""

    HEAD: ClassVar[str] = _("Put a backup back")
    GO: ClassVar[str] = _("Put it back")
    DRAFTED = False

    class LossRead(Message):
        """What the backup lacks was worked out."""

        def __init__(self, text: str) -> None:
            super().__init__()
            self.text = text

    def __init__(self, path: Path | None, address: str) -> None:
        super().__init__()
        self._path, self._address = path, address

    def fields(self) -> ComposeResult:
        """The backup, and what would be lost."""
        yield Field(
            _("Backup"),
            read=path,
            value=str(self._path or ""),
            example=_("/media/stick/books.ullage"),
            id="path",
        )
        yield Static(id="loss")
        yield Static(words(_("The present books are kept as a backup.")))

    def on_mount(self) -> None:
        """Work out the loss; the focus is on leaving, so that one key too many doesn't put a backup back."""
        if self._path is not None:
            self.query_one("#leave").focus()
        self._show_loss()

    @on(Field.Changed, "#path")
    def _show_loss(self) -> None:
        text = self.query_one("#path", Field).text
        if not text.strip():
            self.post_message(self.LossRead(""))
            return
        try:
            backup = path(text)
        except UllageError as error:
            self.post_message(self.LossRead(sentence_for(error)))
            return
        self.post_message(self.LossRead(_("Working out what would be lost ...")))
        self._look(backup)

    @work(thread=True, exclusive=True, group="loss", exit_on_error=False)
    def _look(self, chosen: Path) -> None:
        from stock.exchange import backup
        from stock.store import file_checks

        try:
            file_checks.require(chosen)
            text = "\n".join(loss_lines(backup.loss(chosen, self._address)))
        except UllageError as error:
            text = sentence_for(error)
        if not get_current_worker().is_cancelled:
            self.post_message(self.LossRead(text))

    @on(LossRead)
    def _tell_loss(self, message: LossRead) -> None:
        message.stop()
        self.query_one("#loss", Static).update(words(message.text))

    def errand(self) -> Callable[[], str]:
        """Put the backup back."""
        chosen, address = self.read("path"), self._address

        def put() -> str:
            from stock.exchange import backup

            kept = backup.restore(chosen, address)
            return _("The backup has replaced the books") + (
                _("; the former books are at {kept}", kept=kept) if kept else ""
            )

        return put


def loss_lines(lost: Any) -> Iterable[str]:
    """What putting a backup back would lose, in lines."""
    if not lost.readable:
        yield _("The present books can't be read, so it is unknown what would be lost.")
        return
    if not lost:
        yield _("Nothing would be lost: the backup holds everything that the books hold.")
        return
    kinds = ", ".join(f"{number} {kind}" for kind, number in sorted(lost.bookings.items()))
    yield _(
        "Would be lost: {values}{kinds}",
        values=count(sum(lost.bookings.values()), "booking"),
        kinds=f" ({kinds})" if kinds else "",
    )
    for number, kind, at in lost.newest:
        yield f"  {kind} {number}, {show_minute(at)} UTC"
    for name, changed in lost.rows.items():
        yield _(
            "  {replace}: {changed} entered or changed since", replace=name.replace("_", " "), changed=changed
        )
