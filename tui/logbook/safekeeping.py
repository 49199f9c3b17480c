"""The books themselves: backed up, put back, proved, written out for other programs."""

from collections.abc import Callable, Hashable, Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, ClassVar

from textual import on, work
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.message import Message
from textual.widgets import Static
from textual.worker import get_current_worker

from stock.errors import UllageError
from tui.drawing.bottle import Run
from tui.drawing.figures import count
from tui.drawing.sentences import sentence_for
from tui.widgets.books_screen import words
from tui.widgets.dialog import Ask, BookingDialog
from tui.widgets.fields import Field, path
from tui.widgets.keys import bindings
from tui.widgets.listing import Listing
from tui.widgets.rows import Cell, Heading, ListColumn

if TYPE_CHECKING:
    from stock.logbook.imports import ImportedFile

WHY = {
    "daily": "the day's first use", "asked": "asked for", "before-restore": "before a backup was put back",
    "damaged": "damaged books, kept as they were",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Kept:
    """One backup: where, when, why, and what was booked since; None where it can't be used."""

    path: Path
    made: str
    why: str
    since: int | None


def kept_ones(address: str) -> list[Kept]:
    """The backups beside a file of books, newest first, each looked at."""
    from stock.exchange import backup  # read in a thread
    from stock.store import file_checks, snapshots
    from stock.store.addresses import is_server

    if is_server(address):
        return []
    found = []
    for one in snapshots.listing(address):
        good = not file_checks.problems(one.path)
        since = sum(backup.loss(one.path, address).bookings.values()) if good else None
        found.append(Kept(one.path, f"{one.at:%Y-%m-%d %H:%M}", WHY.get(one.kind, one.kind), since))
    return found


class Safekeeping(Listing["Kept | ImportedFile"]):
    """Backups, files that were taken in, and what can be done with the books as a whole."""

    HEAD: ClassVar[str] = "The books, kept safe"
    EMPTY: ClassVar[str] = "No backup stands beside these books yet: b makes one."
    COLUMNS: ClassVar[Sequence[ListColumn]] = (
        ListColumn("made (UTC)", 17),
        ListColumn("why"),
        ListColumn("", 20, right=True),
    )
    ABOUT: ClassVar[str] = (
        "A backup is made on the day's first use and before the books are brought up; 7 daily, 4 weekly and "
        "12 monthly ones are kept. What stands here when one is put back is kept, too."
    )
    BINDINGS: ClassVar[list[BindingType]] = bindings("books")

    def __init__(self, first: str = "") -> None:
        """`first` is an action to begin with."""
        super().__init__()
        self._first = first

    def on_mount(self) -> None:
        """Begin with what was asked for."""
        super().on_mount()
        if self._first:
            self.call_after_refresh(self.run_action, self._first)

    def read(self) -> "Sequence[Kept | ImportedFile | Heading]":
        """Each backup, looked at; then each file that was taken in."""
        from stock.logbook import imports  # read in a thread

        listed: list[Kept | ImportedFile | Heading] = [*kept_ones(self.shell.address)]
        taken = imports.files()
        if taken:
            listed += [Heading("Files taken in"), *taken]
        return listed

    def cells(self, item: "Kept | ImportedFile") -> Sequence[Cell]:
        """When and why, and what would be lost; or which file, and what it held."""
        if not isinstance(item, Kept):
            held = f"{count(item.rows, 'row')} of {item.kind}" if item.stands else "taken back"
            return (f"{item.booked_at:%Y-%m-%d %H:%M}", item.name, held)
        if item.since is None:
            return (item.made, item.why, (Run("can't be used", "stop"),))
        return (item.made, item.why, f"{item.since:,} booked since" if item.since else "holds everything")

    def ident(self, item: "Kept | ImportedFile") -> Hashable:
        """A backup's path, an import's number."""
        return item.path if isinstance(item, Kept) else item.number

    def chosen(self, item: "Kept | ImportedFile") -> None:
        """Put a backup back, take a file back; each after asking."""
        if not isinstance(item, Kept):
            self.action_undo()
        elif item.since is not None:
            self._ask_whether(item.path)

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Only a file that was taken in is taken back."""
        del parameters
        taken_back = action == "undo" and (self.item is None or isinstance(self.item, Kept))
        return None if taken_back else True

    def action_undo(self) -> None:
        """Everything that a file booked is taken back, or done again."""
        item = self.item
        if item is None or isinstance(item, Kept):
            return
        from stock.logbook.undo import turn_import

        number, again = item.number, not item.stands
        self.ask(
            Ask(
                f"{'Do' if again else 'Undo'} import {number}{' again' if again else ''}",
                f"{item.name}: {count(item.rows, 'row')} of {item.kind}. All that it booked is "
                + (
                    "done once more."
                    if again
                    else "taken back, as one errand; what was used since refuses it."
                ),
                go="Do it again" if again else "Take it back",
                errand=lambda key: turn_import(number, key=key),
                said=f"Import {number} is {'done again' if again else 'taken back'}",
            )
        )

    def action_back_up(self) -> None:
        """Now."""
        self.ask(BackUp(self.shell.address))

    def action_write_out(self) -> None:
        """Everything, as files for other programs."""
        from tui.logbook.files import WriteOut

        self.ask(WriteOut(self.shell.address))

    def action_take_in(self) -> None:
        """A spreadsheet, or an exported folder."""
        from tui.logbook.incoming import TakeIn

        self.app.push_screen(TakeIn(), self._looked_at)

    def _looked_at(self, found: Any) -> None:
        """What it holds is shown before it is booked."""
        from tui.logbook import incoming

        if isinstance(found, incoming.Folder):
            self.app.push_screen(incoming.FolderIn(found, self.shell.address), self._opened_anew)
        elif isinstance(found, incoming.Unclear):
            self.app.push_screen(incoming.Meant(found), self._looked_at)
        elif found is not None:
            self.app.push_screen(incoming.Looked(found), self._taken_in)

    def _taken_in(self, booked: bool | None) -> None:
        if booked:
            self.booked = True
            self.reload()

    def action_copy(self) -> None:
        """The whole studio elsewhere."""
        from tui.logbook.files import CopyTo

        self.ask(CopyTo(self.shell.address))

    def action_prove(self) -> None:
        """That the books add up."""
        self.ask(Prove())

    def action_put_back(self) -> None:
        """The backup under the hand, or one that lies elsewhere, after its loss was told."""
        item = self.item
        self._ask_whether(item.path if isinstance(item, Kept) and item.since is not None else None)

    def _ask_whether(self, path: Path | None) -> None:
        self.app.push_screen(PutBack(path, self.shell.address), self._opened_anew)

    def _opened_anew(self, said: str | None) -> None:
        """Other books stand there now."""
        if said:
            self.shell.say(said)
            self.dismiss(True)
            self.shell.open_books()


class BackUp(BookingDialog[str]):
    """One more backup."""

    HEAD: ClassVar[str] = "Back the books up"
    GO: ClassVar[str] = "Back up"

    def __init__(self, address: str) -> None:
        super().__init__()
        self._address = address

    def fields(self) -> ComposeResult:
        """Where to."""
        yield Static(words("A file or a folder elsewhere, such as a stick; beside the books if left empty."))
        yield Field("To", read=path, blank=True, example="beside the books", id="path")

    def errand(self) -> Callable[[], str]:
        """Make it, and look at it."""
        given, address = self.read("path"), self._address
        target = str(given) if given else None

        def make() -> str:
            from stock.exchange import backup

            made = backup.make(address, target)
            return f"Backed up and looked at: {made.path}, {count(made.bookings, 'booking')}"

        return make


class PutBack(BookingDialog[str]):
    """A backup takes the place of the books; one that lies elsewhere is named."""

    HEAD: ClassVar[str] = "Put a backup back"
    GO: ClassVar[str] = "Put it back"

    class LossRead(Message):
        """What of the present books it lacks."""

        def __init__(self, text: str) -> None:
            super().__init__()
            self.text = text

    def __init__(self, path: Path | None, address: str) -> None:
        super().__init__()
        self._path, self._address = path, address

    def fields(self) -> ComposeResult:
        """Which, and what would be lost."""
        yield Field(
            "Backup", read=path, value=str(self._path or ""), example="/media/stick/books.ullage", id="path"
        )
        yield Static(id="loss")
        yield Static(words("What stands here now is kept."))

    def on_mount(self) -> None:
        """Work the loss out; a backup that was chosen is not put back by one key too many."""
        if self._path is not None:
            self.query_one("#leave").focus()
        self._show_loss()

    @on(Field.Changed, "#path")
    def _show_loss(self) -> None:
        try:
            backup = path(self.query_one("#path", Field).text)
        except UllageError as error:
            self.post_message(self.LossRead(sentence_for(error)))
            return
        self.post_message(self.LossRead("Looking at what would be lost ..."))
        self._look(backup)

    @work(thread=True, exclusive=True, group="loss", exit_on_error=False)
    def _look(self, chosen: Path) -> None:
        from stock.exchange import backup
        from stock.store import file_checks

        try:
            file_checks.require(chosen)
            told = "\n".join(loss_lines(backup.loss(chosen, self._address)))
        except UllageError as error:
            told = sentence_for(error)
        if not get_current_worker().is_cancelled:
            self.post_message(self.LossRead(told))

    @on(LossRead)
    def _tell_loss(self, message: LossRead) -> None:
        message.stop()
        self.query_one("#loss", Static).update(words(message.text))

    def errand(self) -> Callable[[], str]:
        """Put it back."""
        chosen, address = self.read("path"), self._address

        def put() -> str:
            from stock.exchange import backup

            kept = backup.restore(chosen, address)
            return "The backup stands in the place of the books" + (f"; before: {kept}" if kept else "")

        return put


def loss_lines(lost: Any) -> Iterable[str]:
    """What a backup would lose, told."""
    if not lost.readable:
        yield "The present books can't be read, so what of them would be lost can't be told."
        return
    if not lost:
        yield "Nothing would be lost: it holds all that the books hold."
        return
    kinds = ", ".join(f"{number} {kind}" for kind, number in sorted(lost.bookings.items()))
    yield f"Would be lost: {count(sum(lost.bookings.values()), 'booking')}{f' ({kinds})' if kinds else ''}"
    for number, kind, at in lost.newest:
        yield f"  {kind} {number}, {at:%Y-%m-%d %H:%M} UTC"
    for name, changed in lost.rows.items():
        yield f"  {name.replace('_', ' ')}: {changed} entered or changed since"


class Prove(Ask):
    """Whether the books add up."""

    def __init__(self) -> None:
        super().__init__(
            "Check the books",
            "Every bottle is added up from its history, and everything received is found again in what is on hand, "
            "poured, washed, discarded and counted away.",
            go="Check",
            errand=lambda _: None,
            said="",
        )

    def errand(self) -> Callable[[], str]:
        """Add everything up."""

        def prove() -> str:
            from stock.logbook.proof import prove as proof

            found = proof()
            if found.problems:
                return f"The books do not add up: {found.problems[0]}"
            return f"The books add up: {found.bottles:,} bottles, {found.movements:,} movements, {found.mixes:,} mixes"

        return prove
