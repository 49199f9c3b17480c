"""The books as a whole: backups, imported files, export, copy and check."""

from collections.abc import Callable, Hashable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.widgets import Static

from stock.language import _
from stock.notation import in_thousands, show_minute
from tui.drawing.bottle import Run
from tui.drawing.figures import count
from tui.widgets.books_screen import words
from tui.widgets.dialog import Ask, BookingDialog
from tui.widgets.fields import Field, path
from tui.widgets.keys import bindings
from tui.widgets.listing import Listing
from tui.widgets.rows import Cell, Heading, ListColumn

if TYPE_CHECKING:
    from stock.logbook.imports import ImportedFile

WHY = {
    "daily": _("the day's first use"), "asked": _("asked for"), "before-restore": _("before a backup was put back"),
    "damaged": _("damaged books, kept as they were"),
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class BackupRow:
    """One backup: its path, when and why it was made, and how much was booked since; None if it can't be used."""

    path: Path
    made: str
    why: str
    since: int | None


def backups_of(address: str) -> list[BackupRow]:
    """The backups beside a file of books, newest first; each is checked."""
    from stock.exchange import backup  # read in a thread
    from stock.store import file_checks, snapshots
    from stock.store.addresses import is_server

    if is_server(address):
        return []
    found = []
    for one in snapshots.listing(address):
        good = not file_checks.problems(one.path)
        since = sum(backup.loss(one.path, address).bookings.values()) if good else None
        found.append(BackupRow(one.path, show_minute(one.at), WHY.get(one.kind, one.kind), since))
    return found


class Safekeeping(Listing["BackupRow | ImportedFile"]):
    """The list of backups and imported files, and what can be done with the books as a whole."""

    HEAD: ClassVar[str] = _("The books")
    EMPTY: ClassVar[str] = _("There is no backup of these books yet: b makes one.")
    COLUMNS: ClassVar[Sequence[ListColumn]] = (
        ListColumn(_("made (UTC)"), 17),
        ListColumn(_("why")),
        ListColumn("", 20, right=True),
    )
    ABOUT: ClassVar[str] = _(
        "A backup is made on the day's first use and before an update changes the books; 7 "
        "daily, 4 weekly and 12 monthly ones are kept. When one is put back, the present books "
        "are kept as a backup, too."
    )
    BINDINGS: ClassVar[list[BindingType]] = bindings("books")

    def __init__(self, first: str = "") -> None:
        """`first` is the name of an action to begin with."""
        super().__init__()
        self._first = first

    def on_mount(self) -> None:
        """Begin with the first action, if there is one."""
        super().on_mount()
        if self._first:
            self.call_after_refresh(self.run_action, self._first)

    def read(self) -> "Sequence[BackupRow | ImportedFile | Heading]":
        """The backups, then the imported files."""
        from stock.logbook import imports  # read in a thread

        listed: list[BackupRow | ImportedFile | Heading] = [*backups_of(self.shell.address)]
        taken = imports.files()
        if taken:
            listed += [Heading(_("Files taken in")), *taken]
        return listed

    def cells(self, item: "BackupRow | ImportedFile") -> Sequence[Cell]:
        """Of a backup when and why it was made, and what was booked since; of a file its name and what it held."""
        if not isinstance(item, BackupRow):
            held = (
                _("{rows} of {kind}", rows=count(item.rows, "row"), kind=_(item.kind))
                if item.stands
                else _("taken back")
            )
            return (show_minute(item.booked_at), item.name, held)
        if item.since is None:
            return (item.made, item.why, (Run(_("can't be used"), "stop"),))
        return (
            item.made,
            item.why,
            _("{since} booked since", since=in_thousands(item.since)) if item.since else _("up to date"),
        )

    def ident(self, item: "BackupRow | ImportedFile") -> Hashable:
        """A backup's path, or an import's number."""
        return item.path if isinstance(item, BackupRow) else item.number

    def chosen(self, item: "BackupRow | ImportedFile") -> None:
        """Put a backup back, or undo an import; both after asking."""
        if not isinstance(item, BackupRow):
            self.action_undo()
        elif item.since is not None:
            self._ask_whether(item.path)

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """None for undo where no imported file is selected."""
        del parameters
        taken_back = action == "undo" and (self.item is None or isinstance(self.item, BackupRow))
        return None if taken_back else True

    def action_undo(self) -> None:
        """Undo everything that an imported file booked, or do it again."""
        item = self.item
        if item is None or isinstance(item, BackupRow):
            return
        from stock.logbook.undo import turn_import

        number, again = item.number, not item.stands
        self.ask(
            Ask(
                _("Do import {number} again", number=number)
                if again
                else _("Undo import {number}", number=number),
                _(
                    "{name}: {rows} of {kind}. Everything that it booked is ",
                    name=item.name,
                    rows=count(item.rows, "row"),
                    kind=_(item.kind),
                )
                + (
                    _("done again.")
                    if again
                    else _("taken back as one errand; this is refused if any of it was used since.")
                ),
                go=_("Do it again") if again else _("Take it back"),
                errand=lambda key: turn_import(number, key=key),
                said=_(
                    "Import {number} is {again}",
                    number=number,
                    again=_("done again") if again else _("taken back"),
                ),
            )
        )

    def action_back_up(self) -> None:
        """Make a backup now."""
        self.ask(BackUp(self.shell.address))

    def action_write_out(self) -> None:
        """Export everything as files."""
        from tui.logbook.files import WriteOut

        self.ask(WriteOut(self.shell.address))

    def action_take_in(self) -> None:
        """Import a spreadsheet, or an exported folder."""
        from tui.logbook.incoming import TakeIn

        self.app.push_screen(TakeIn(), self._looked_at)

    def _looked_at(self, found: Any) -> None:
        """Show what the file holds before it is booked."""
        from tui.logbook import incoming

        if isinstance(found, incoming.ExportedFolder):
            self.app.push_screen(incoming.FolderIn(found, self.shell.address), self._opened_anew)
        elif isinstance(found, incoming.UnclearSheet):
            self.app.push_screen(incoming.NameColumns(found), self._looked_at)
        elif found is not None:
            from tui.logbook.incoming_plan import PlanSheet

            self.app.push_screen(PlanSheet(found), self._taken_in)

    def _taken_in(self, booked: bool | None) -> None:
        if booked:
            self.booked = True
            self.reload()

    def action_copy(self) -> None:
        """Copy the whole studio."""
        from tui.logbook.files import CopyTo

        self.ask(CopyTo(self.shell.address))

    def action_prove(self) -> None:
        """Check that the books add up."""
        self.ask(Prove())

    def action_put_back(self) -> None:
        """Put the selected backup back, or one from elsewhere, after showing what would be lost."""
        item = self.item
        self._ask_whether(item.path if isinstance(item, BackupRow) and item.since is not None else None)

    def _ask_whether(self, path: Path | None) -> None:
        from tui.logbook.putting_back import PutBack

        self.app.push_screen(PutBack(path, self.shell.address), self._opened_anew)

    def _opened_anew(self, text: str | None) -> None:
        """Open the books again, because other books are at the address now."""
        if text:
            self.shell.announce(text)
            self.dismiss(True)
            self.shell.books_open = (
                False  # a look at the books that began before fails; that says nothing of these
            )
            self.shell.open_books()


class BackUp(BookingDialog[str]):
    """Makes a backup."""

    HEAD: ClassVar[str] = _("Back the books up")
    GO: ClassVar[str] = _("Back up")

    def __init__(self, address: str) -> None:
        super().__init__()
        self._address = address

    def fields(self) -> ComposeResult:
        """Where to write it."""
        yield Static(
            words(_("A file or a folder elsewhere, such as a stick; beside the books if left empty."))
        )
        yield Field(_("To"), read=path, blank=True, example=_("beside the books"), id="path")

    def errand(self) -> Callable[[], str]:
        """Make the backup, and check it."""
        given, address = self.read("path"), self._address
        target = str(given) if given else None

        def make() -> str:
            from stock.exchange import backup

            made = backup.make(address, target)
            return _(
                "Backed up and checked: {path}, {bookings}",
                path=made.path,
                bookings=count(made.bookings, "booking"),
            )

        return make


class Prove(Ask):
    """Checks whether the books add up."""

    def __init__(self) -> None:
        super().__init__(
            _("Check the books"),
            _(
                "Every bottle is added up from its history, and everything received is found again in "
                "what is on hand, poured, washed, discarded and counted away."
            ),
            go=_("Check"),
            errand=lambda _: None,
            said="",
        )

    def errand(self) -> Callable[[], str]:

        def prove() -> str:
            from stock.logbook.proof import prove as proof

            found = proof()
            if found.problems:
                return _("The books do not add up: {problems}", problems=found.problems[0])
            bottles, movements, mixes = map(in_thousands, (found.bottles, found.movements, found.mixes))
            return _(
                "The books add up: {bottles} bottles, {movements} movements, {mixes} mixes",
                bottles=bottles,
                movements=movements,
                mixes=mixes,
            )

        return prove
