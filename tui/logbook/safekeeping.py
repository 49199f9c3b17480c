"""The books themselves: backed up, put back, proved, written out for other programs."""

from collections.abc import Callable, Hashable, Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path
from threading import Event
from typing import Any, ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.widgets import Static

from stock.errors import UllageError
from tui.widgets.drawing import Run
from tui.widgets.errand import Ask, Errand
from tui.widgets.fields import Field
from tui.widgets.listing import Listing
from tui.widgets.room import words
from tui.widgets.rows import Cell, Column, Heading
from tui.widgets.say import bar, count

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
    from stock.exchange import backup  # noqa: PLC0415 - read in a thread
    from stock.store import snapshots, sound  # noqa: PLC0415
    from stock.store.server import is_server  # noqa: PLC0415

    if is_server(address):
        return []
    found = []
    for one in snapshots.listing(address):
        good = not sound.problems(one.path)
        since = sum(backup.loss(one.path, address).bookings.values()) if good else None
        found.append(Kept(one.path, f"{one.at:%Y-%m-%d %H:%M}", WHY.get(one.kind, one.kind), since))
    return found


class Safekeeping(Listing[Kept]):
    """Backups, and what can be done with the books as a whole."""

    HEAD: ClassVar[str] = "The books, kept safe"
    EMPTY: ClassVar[str] = "No backup stands beside these books yet: b makes one."
    COLUMNS: ClassVar[Sequence[Column]] = (
        Column("made (UTC)", 17),
        Column("why"),
        Column("", 20, right=True),
    )
    TOLD: ClassVar[str] = (
        "A backup is made on the day's first use and before the books are brought up; 7 daily, 4 weekly and "
        "12 monthly ones are kept. What stands here when one is put back is kept, too."
    )
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("b", "back_up", "Back up", id="books.backup"),
        Binding("r", "put_back", "Put back"),
        Binding("e", "write_out", "Export", id="books.export"),
        Binding("c", "prove", "Check"),
        Binding("l", "labels", "Labels"),
    ]

    def read(self) -> Sequence[Kept | Heading]:
        """Each backup, looked at."""
        return kept_ones(self.ullage.address)

    def cells(self, item: Kept) -> Sequence[Cell]:
        """When, why, and what would be lost."""
        if item.since is None:
            return (item.made, item.why, (Run("can't be used", "stop"),))
        return (item.made, item.why, f"{item.since:,} booked since" if item.since else "holds everything")

    def ident(self, item: Kept) -> Hashable:
        """Its file."""
        return item.path

    def chosen(self, item: Kept) -> None:
        """Put it back, after asking."""
        if item.since is not None:
            self.app.push_screen(PutBack(item.path, self.ullage.address), self._put_back)

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Only a backup that can be used is put back."""
        del parameters
        if action == "put_back":
            return True if self.item is not None and self.item.since is not None else None
        return True

    def action_back_up(self) -> None:
        """Now."""
        self.ask(BackUp(self.ullage.address))

    def action_write_out(self) -> None:
        """Everything, as files for other programs."""
        self.ask(WriteOut(self.ullage.address))

    def action_labels(self) -> None:
        """Labels for the bottles."""
        self.ask(Labels())

    def action_prove(self) -> None:
        """That the books add up."""
        self.ask(Prove())

    def action_put_back(self) -> None:
        """The backup under the hand, after its loss was told."""
        if self.item is not None:
            self.chosen(self.item)

    def _put_back(self, said: str | None) -> None:
        if said:
            self.ullage.tell(said)
            self.dismiss(True)
            self.ullage.open_books()


class BackUp(Errand[str]):
    """One more backup."""

    HEAD: ClassVar[str] = "Back the books up"
    GO: ClassVar[str] = "Back up"

    def __init__(self, address: str) -> None:
        super().__init__()
        self._address = address

    def fields(self) -> ComposeResult:
        """Where to."""
        yield Static(words("A file or a folder elsewhere, such as a stick; beside the books if left empty."))
        yield Field("To", blank=True, example="beside the books", id="path")

    def errand(self) -> Callable[[], str]:
        """Make it, and look at it."""
        path = self.read("path")
        address, target = self._address, str(Path(path).expanduser()) if path else None

        def make() -> str:
            from stock.exchange import backup  # noqa: PLC0415

            made = backup.make(address, target)
            return f"Backed up and looked at: {made.path}, {count(made.bookings, 'booking')}"

        return make


class PutBack(Errand[str]):
    """A backup takes the place of the books."""

    HEAD: ClassVar[str] = "Put a backup back"
    GO: ClassVar[str] = "Put it back"
    AUTO_FOCUS: ClassVar[str] = "#leave"

    def __init__(self, path: Path, address: str) -> None:
        super().__init__()
        self._path, self._address = path, address

    def fields(self) -> ComposeResult:
        """What would be lost."""
        yield Static(words(str(self._path)))
        yield Static(words("Looking at what would be lost ..."), id="loss")
        yield Static(words("What stands here now is kept beside it."))

    def on_mount(self) -> None:
        """Work the loss out."""
        self.run_worker(self._look, thread=True, group="loss", exit_on_error=False)

    def _look(self) -> None:
        from stock.exchange import backup  # noqa: PLC0415

        lost = "\n".join(loss_lines(backup.loss(self._path, self._address)))
        self.app.call_from_thread(self.query_one("#loss", Static).update, words(lost))

    def errand(self) -> Callable[[], str]:
        """Put it back."""
        path, address = self._path, self._address

        def put() -> str:
            from stock.exchange import backup  # noqa: PLC0415

            kept = backup.restore(path, address)
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


class Stopped(UllageError):
    """What a person stopped before its end."""

    code = "stopped"


class WriteOut(Errand[str]):
    """The whole studio as a folder of CSV files; Esc stops it, and nothing of it is left."""

    HEAD: ClassVar[str] = "Export the whole studio"
    GO: ClassVar[str] = "Write it"

    def __init__(self, address: str) -> None:
        super().__init__()
        self._address = address
        self._stop = Event()

    def fields(self) -> ComposeResult:
        """Into which folder."""
        yield Static(words("A folder of CSV files with a description of their columns."))
        yield Field(
            "Folder", value=str(Path.home() / "ullage-export"), id="folder", hint="A new or empty one."
        )

    def action_leave(self) -> None:
        """Leave it, or stop what is being written."""
        if self._busy:
            self._stop.set()
        else:
            super().action_leave()

    def errand(self) -> Callable[[], str]:
        """Write it, telling how far it is."""
        folder, address = str(Path(self.read("folder")).expanduser()), self._address
        self._stop.clear()

        def write() -> str:
            from stock.exchange import folder as folders  # noqa: PLC0415

            far = HowFar(folders.count_rows(address))

            def tell(file: str, rows: int) -> None:
                if self._stop.is_set():
                    raise Stopped("the export was stopped; nothing of it is left")
                self.app.call_from_thread(self.progress, f"{far.bar(file, rows)}  Esc stops it")

            done = folders.export(address, folder, tell=tell)
            return f"Wrote {done.total():,} rows of {len(done.rows)} tables to {folder}"

        return write


class HowFar:
    """A bar of how much of so many rows is written, told file by file."""

    def __init__(self, of: int) -> None:
        self._of = max(1, of)
        self._files: dict[str, int] = {}

    def bar(self, file: str, rows: int) -> str:
        """The bar once so many rows of a file are written."""
        self._files[file] = rows
        return bar(sum(self._files.values()) / self._of)


class Labels(Errand[str]):
    """Labels with a QR code, to print."""

    HEAD: ClassVar[str] = "Labels to print"
    GO: ClassVar[str] = "Draw them"

    def fields(self) -> ComposeResult:
        """Which bottles, and where to."""
        yield Static(words("A scanner types a label's code into any find box, and the bottle is in hand."))
        yield Field(
            "Bottles", blank=True, example="all that hold something", id="bottles", hint="Labels or numbers."
        )
        yield Field("Page", value="a4", offers=("a4", "letter"), id="page")
        yield Field(
            "Label",
            value="60x25",
            offers=("60x25", "40x20", "90x30"),
            id="label",
            hint="Width x height in mm.",
        )
        yield Field("File", value=str(Path.home() / "ullage-labels.svg"), id="path")

    def errand(self) -> Callable[[], str]:
        """Draw and write them."""
        chosen, page, label = self.read("bottles"), self.read("page"), self.read("label")
        target = Path(self.read("path")).expanduser()

        def draw() -> str:
            from stock.exchange import labels  # noqa: PLC0415
            from stock.shelf.bottles import numbered  # noqa: PLC0415
            from stock.shelf.studio import settings  # noqa: PLC0415

            numbers = [numbered(text).id for text in chosen.replace(",", " ").split()] if chosen else None
            many, names = labels.write(labels.paper(page, label), numbers, target, settings().measures)
            return f"{count(many, 'label')} on {count(len(names), 'page')}: {names[0]}"

        return draw


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
            from stock.logbook.proof import prove as proof  # noqa: PLC0415

            found = proof()
            if found.problems:
                return f"The books do not add up: {found.problems[0]}"
            return f"The books add up: {found.bottles:,} bottles, {found.movements:,} movements, {found.mixes:,} mixes"

        return prove
