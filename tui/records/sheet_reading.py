"""Reading a data sheet's file: each figure beside the line that it was read from, taken or left, then booked once."""

from collections.abc import Callable, Hashable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, ClassVar

from textual import on
from textual.app import App, ComposeResult
from textual.binding import BindingType
from textual.widgets import Static

from stock.language import _
from stock.named_tuples import NamedTuple
from tui.drawing.bottle import Run
from tui.drawing.figures import count
from tui.drawing.strips import shown
from tui.widgets import field_readers
from tui.widgets.books_screen import words
from tui.widgets.dialog import BookingDialog
from tui.widgets.fields import Field, path
from tui.widgets.keys import bindings
from tui.widgets.listing import Listing
from tui.widgets.rows import Cell, ListColumn, Rows

if TYPE_CHECKING:
    from stock.datasheets.books import Taken
    from stock.datasheets.files import SheetFile
    from stock.datasheets.folder import FolderSheet
    from stock.datasheets.proposals import Proposal

TRUST = _("Compare each figure with the sheet: it decides, not this list.")


class Whose(NamedTuple):
    """The product or line whose sheet is read; a line's products follow it."""

    name: str
    is_line: bool = False

    @property
    def words(self) -> str:
        """The name, and that it is a line."""
        return _("the line {name}", name=self.name) if self.is_line else self.name


def read_sheet(app: App[Any], whose: Whose, done: Callable[[str | None], None]) -> None:
    """Ask for a file or folder, show its proposals, and pass on what was booked, in words; None for nothing."""

    def show(read: "tuple[SheetFile, list[Proposal]] | list[FolderSheet] | None") -> None:
        if isinstance(read, list):
            from tui.records.sheet_folder import SheetFolder  # it shows a file's figures by what stands here

            folder = SheetFolder(read)
            app.push_screen(folder, lambda _: done(folder.said))
        elif read is not None:
            listed = ProposedFigures(whose, *read)
            app.push_screen(listed, lambda _: done(listed.said))

    app.push_screen(AskSheetFile(whose), show)


class AskSheetFile(BookingDialog[Any]):
    """Asks for a data sheet's file, or a folder of them; answers with what was read from it."""

    HEAD: ClassVar[str] = _("Read a data sheet")
    GO: ClassVar[str] = _("Read it")

    def __init__(self, whose: Whose) -> None:
        super().__init__()
        self._whose = whose

    def fields(self) -> ComposeResult:
        yield Static(
            words(
                _(
                    "A PDF, .docx or text file of {words}, or a folder with those of many products. It is "
                    "shown first; nothing is booked yet.",
                    words=self._whose.words,
                )
            )
        )
        yield Field(_("File or folder"), read=path, example="/home/me/sheet.pdf", id="path")

    def errand(self) -> "Callable[[], tuple[SheetFile, list[Proposal]] | list[FolderSheet]]":
        """Read it, each file in a process with limits of its own."""
        file = Path(str(self.read("path")))
        self.progress(_("Reading the file …"))

        def read() -> "tuple[SheetFile, list[Proposal]] | list[FolderSheet]":
            from stock.datasheets import files, folder, proposals

            if file.is_dir():
                return folder.look(folder.gathered([file]), on_progress=self._count_up)
            found = files.read(file)
            return found, proposals.propose(found.readings)

        return read

    def _count_up(self, done: int, of: int) -> None:
        self.app.call_from_thread(self.progress, _("Read {done} of {of} files …", done=done, of=of))


class ProposedFigures(Listing[Any]):
    """What a sheet proposes; nothing is taken at first. Its answer is whether something was booked."""

    COLUMNS: ClassVar[Sequence[ListColumn]] = (
        ListColumn("", 1), ListColumn("", 6), ListColumn(_("figure"), 15), ListColumn(_("as read")),
        ListColumn(_("where"), 13)
    )  # fmt: skip
    EMPTY: ClassVar[str] = _("No figure stands behind a label that is known here.")
    ABOUT: ClassVar[str] = _(
        "a takes all that are sure, Space one by one; b books what is taken. {trust}", trust=TRUST
    )
    BINDINGS: ClassVar[list[BindingType]] = bindings("proposed")

    def __init__(self, whose: Whose, file: "SheetFile", proposals: "Sequence[Proposal]") -> None:
        super().__init__()
        self._whose = whose
        self._file = file
        self._proposals = proposals
        self.taken: set[str] = set()
        self.said: str | None = None
        self.done: Taken | None = None

    def head(self) -> str:
        """The file and whose it is."""
        sure = sum(one.sure for one in self._proposals)
        cut = "" if self._file.complete else _(", not all of it read")
        return _(
            "{name}{cut}: {proposals}, {sure} sure, for {words}",
            name=self._file.name,
            cut=cut,
            proposals=count(len(self._proposals), "figure"),
            sure=sure,
            words=self._whose.words,
        )

    def read(self) -> "Sequence[Proposal]":
        """What was read already."""
        return self._proposals

    def cells(self, item: Any) -> Sequence[Cell]:
        """Whether it is taken and sure, what it is, its value, and where it stands."""
        taken = item.id in self.taken
        where = f"p {item.page}" if item.page else _("line {line}", line=item.line)
        section = "" if item.section is None else f" § {item.section}"
        return (
            (Run("✓" if taken else "·", "good" if taken else "quiet", None, taken),),
            (Run("sure" if item.sure else "unsure", "good" if item.sure else "warn"),),
            item.title,
            (Run(shown(item.shown), "ink", None, taken),),
            (Run(where + section, "quiet"),),
        )

    def ident(self, item: Any) -> Hashable:
        return item.id

    @on(Rows.Moved)
    def _show_words(self) -> None:
        """Show the selected figure's words, where they stand, and what is doubtful about it."""
        item = self.item
        if item is None:
            return
        where = _("Page {page}", page=item.page) if item.page else _("Line {line}", line=item.line)
        section = "" if item.section is None else _(", section {section}", section=item.section)
        said = [f"{where}{section}: “{shown(item.words)}”"]
        if item.doubts:
            said.append(_("Unsure: {doubts}.", doubts="; ".join(item.doubts)))
        self.query_one("#purpose", Static).update(words("\n".join((*said, self.ABOUT))))

    def chosen(self, item: Any) -> None:
        """Take a figure, or leave it."""
        del item
        self.action_one()

    def action_one(self) -> None:
        """Take the selected figure, or leave it."""
        if self.item is not None:
            self.taken ^= {self.item.id}
            self._redraw()

    def action_sure(self) -> None:
        """Take all that are sure; where they are taken already, leave them."""
        sure = {one.id for one in self._proposals if one.sure}
        self.taken = self.taken - sure if sure <= self.taken else self.taken | sure
        self._redraw()

    def _redraw(self) -> None:
        self.query_one(Rows).show(self._proposals)
        self.refresh_bindings()

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """None for booking nothing."""
        del parameters
        return None if action == "book" and not self.taken else True

    def action_book(self) -> None:
        """Ask for the revision's title and day, and book what was taken."""
        if self.taken:
            taken = [one for one in self._proposals if one.id in self.taken]
            self.app.push_screen(BookProposed(self._whose, self._file, self._proposals, taken), self._booked)

    def _booked(self, done: "Taken | None") -> None:
        if done is not None:
            kept = (
                _(", {kept} kept as the sheet's words", kept=count(len(done.kept), "figure"))
                if done.kept
                else ""
            )
            many = count(len(done.booked), "figure")
            self.said = _(
                "{whose}: {many} booked from {title} of {revised_on}{kept}",
                whose=done.whose,
                many=many,
                title=done.title,
                revised_on=done.revised_on,
                kept=kept,
            )
            self.done = done
            self.dismiss(True)


class BookProposed(BookingDialog[Any]):
    """Books what was taken of a sheet, with the revision's title and day; answers with what was booked."""

    HEAD: ClassVar[str] = _("Book what was taken")

    def __init__(
        self, whose: Whose, file: "SheetFile", proposals: "Sequence[Proposal]", taken: "Sequence[Proposal]"
    ) -> None:
        super().__init__()
        self._whose = whose
        self._read = file, proposals, taken

    def fields(self) -> ComposeResult:
        """The revision's title and day; the day is filled in where it is sure or taken."""
        from stock.datasheets import books

        __, proposals, taken = self._read
        day = next(
            (
                one.value or ""
                for one in (*taken, *proposals)
                if one.name == "revised_on" and (one.sure or one in taken)
            ),
            "",
        )
        yield Static(
            words(
                _(
                    "{taken} of {words}, each with its line as its source. {trust}",
                    taken=count(len(taken), "figure"),
                    words=self._whose.words,
                    trust=TRUST,
                )
            )
        )
        yield Field(
            _("Sheet"), read=field_readers.name(_("sheet's title")), value=books.kind(proposals), id="title"
        )
        yield Field(_("Revised"), read=field_readers.day, value=day, example="2026-03-01", id="revised",
                    hint=_("The day printed on the sheet."))  # fmt: skip

    def errand(self) -> "Callable[[], Taken]":
        title, day = self.read("title"), self.read("revised")
        file, proposals, taken = self._read

        def book() -> "Taken":
            from stock.datasheets import books

            take = books.take_for_line if self._whose.is_line else books.take
            return take(books.Confirmed(file, proposals, taken, title, day), self._whose.name)

        return book
