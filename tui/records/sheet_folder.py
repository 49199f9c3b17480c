"""A folder of data sheets: the product of each file; one key books all sure figures, the rest opens file by file."""

from collections.abc import Callable, Hashable, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Any, ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.widgets import Static

from stock.language import _
from tui.drawing.bottle import Run
from tui.drawing.figures import count
from tui.drawing.strips import shown
from tui.records.sheet_reading import TRUST, ProposedFigures, Whose
from tui.widgets import field_readers
from tui.widgets.books_screen import words
from tui.widgets.dialog import BookingDialog
from tui.widgets.fields import Field
from tui.widgets.keys import bindings
from tui.widgets.listing import Listing
from tui.widgets.rows import Cell, ListColumn, Rows

if TYPE_CHECKING:
    from stock.datasheets.folder import FolderSheet

STATES = {
    "taken": ("booked", "good"), "ready": ("sure", "good"), "unsure": ("unsure", "warn"), "known": ("known", "quiet"),
    "unreadable": (_("not read"), "warn"),
}  # fmt: skip
"""The name and the colour of each state."""


class SheetFolder(Listing[Any]):
    """The files of a folder; its answer is whether something was booked."""

    COLUMNS: ClassVar[Sequence[ListColumn]] = (
        ListColumn("", 8), ListColumn(_("file")), ListColumn(_("for")), ListColumn(_("sure"), 4),
        ListColumn(_("open"), 4)
    )  # fmt: skip
    EMPTY: ClassVar[str] = _("No data sheet here.")
    ABOUT: ClassVar[str] = _(
        "b books what is sure of all files; Enter opens one to take the rest. {trust}", trust=TRUST
    )
    BINDINGS: ClassVar[list[BindingType]] = bindings("sheet-folder")

    def __init__(self, sheets: "Sequence[FolderSheet]") -> None:
        super().__init__()
        self.sheets = list(sheets)
        self.said: str | None = None

    def head(self) -> str:
        """How many files there are."""
        return count(len(self.sheets), _("data sheet"))

    def read(self) -> "Sequence[FolderSheet]":
        """What was read already."""
        return self.sheets

    def cells(self, item: "FolderSheet") -> Sequence[Cell]:
        """Its state, its name, whose it is, and how many of its figures are sure."""
        word, colour = STATES[item.state]
        whose = Whose(item.match.name, item.match.is_line).words if item.match.name else ""
        figures = (str(len(item.sure)), str(item.open)) if item.file is not None else ("", "")
        return ((Run(word, colour),), shown(item.name), shown(whose), *figures)

    def ident(self, item: "FolderSheet") -> Hashable:
        return item.path

    @on(Rows.Moved)
    def _show_why(self) -> None:
        """Show the reason for the selected file's state."""
        item = self.item
        if item is None:
            return
        said = [f"{shown(item.name)}: {item.why}."]
        if item.differs:
            titles = dict.fromkeys(one.title for one in item.proposals if one.field in item.differs)
            said.append(_("The record has it otherwise: {titles}.", titles=", ".join(titles)))
        self.query_one("#purpose", Static).update(words("\n".join((*said, self.ABOUT))))

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """None for booking if nothing is sure, and for opening a file that wasn't read."""
        del parameters
        if action == "book":
            return True if any(one.ready for one in self.sheets) else None
        if action == "one":
            return True if self.item is not None and self.item.file is not None else None
        return True

    def chosen(self, item: Any) -> None:
        """Open a file, to take its figures one by one."""
        if item.file is None:
            self.refuse(f"{shown(item.name)}: {item.why}.")
            return
        self.refuse("")
        if item.match.name and (item.match.sure or item.taken):
            self._figures(item, Whose(item.match.name, item.match.is_line))
        else:
            self.app.push_screen(
                AskWhose(item), lambda whose: self._figures(item, whose) if whose is not None else None
            )

    def action_one(self) -> None:
        """Open the selected file."""
        if self.item is not None:
            self.chosen(self.item)

    def _figures(self, item: "FolderSheet", whose: Whose) -> None:
        assert item.file is not None
        listed = ProposedFigures(whose, item.file, item.proposals)

        def booked(_: object) -> None:
            if listed.said:
                self.booked, self.said = True, listed.said
                self._put(replace(item, known="", left="", taken=listed.done, match=_of(whose)))

        self.app.push_screen(listed, booked)

    def _put(self, changed: "FolderSheet") -> None:
        self.sheets = [changed if one.path == changed.path else one for one in self.sheets]
        self.reload()

    def action_book(self) -> None:
        """Book what is sure of every file."""
        if any(one.ready for one in self.sheets):
            self.app.push_screen(BookSure(self.sheets), self._booked)

    def _booked(self, done: "list[FolderSheet] | None") -> None:
        if done is None:
            return
        self.sheets = done
        taken = [one for one in done if one.taken is not None]
        self.booked = self.booked or bool(taken)
        figures = sum(len(one.taken.booked) for one in taken if one.taken is not None)
        rest = sum(one.state in ("unsure", "unreadable") for one in done)
        self.said = _(
            "{figures} booked from {taken}",
            figures=count(figures, "figure"),
            taken=count(len(taken), _("data sheet")),
        )
        self.shell.announce(self.said + (_("; {rest} left", rest=count(rest, "file")) if rest else ""))
        self.reload()


def _of(whose: Whose) -> Any:
    from stock.datasheets.matching import Match

    return Match(whose.name, whose.is_line, True, _("as you said"), (whose.name,))


class BookSure(BookingDialog[Any]):
    """Books the sure figures of every file of a folder; answers with the files in their new state."""

    HEAD: ClassVar[str] = _("Book what is sure")
    DRAFTED: ClassVar[bool] = False
    BINDINGS: ClassVar[list[BindingType]] = [("enter", "go", _("Book it"))]

    def __init__(self, files: "Sequence[FolderSheet]") -> None:
        super().__init__()
        self._files = files

    def fields(self) -> ComposeResult:
        """How much is booked of how many, and what is left."""
        ready = [one for one in self._files if one.ready]
        figures = sum(len(one.sure) for one in ready)
        differ = sum(len(one.differs) for one in ready)
        text = _(
            "{figures} of {ready}, each with its line as its source.",
            figures=count(figures, "figure"),
            ready=count(len(ready), _("data sheet")),
        )
        if differ:
            text += _(
                " {differ} that the record has otherwise stay as they are.", differ=count(differ, "figure")
            )
        yield Static(words(f"{text} {TRUST}"))

    def errand(self) -> Callable[[], Any]:
        """Book them, each file whole or not at all."""
        waiting = list(self._files)

        def book() -> Any:
            from stock.datasheets import folder

            return folder.book(waiting, on_progress=self._count_up)

        return book

    def _count_up(self, done: int, of: int) -> None:
        self.app.call_from_thread(self.progress, _("Booked {done} of {of} files …", done=done, of=of))


class AskWhose(BookingDialog[Whose]):
    """Asks whose sheet a file is; answers with the product or line."""

    HEAD: ClassVar[str] = _("Whose data sheet")
    GO: ClassVar[str] = _("Go on")
    DRAFTED: ClassVar[bool] = False

    def __init__(self, sheet: "FolderSheet") -> None:
        super().__init__()
        self._sheet = sheet

    def fields(self) -> ComposeResult:
        """The product or line, with those that fit first."""
        from stock.shelf import lines, products
        from stock.store.connection import connection, reading

        with connection(), reading():
            names = [row.name for row in (*products.everything(), *lines.everything())]
        yield Static(words(f"{shown(self._sheet.name)}: {self._sheet.match.why}."))
        yield Field(
            _("Product or line"), read=field_readers.name(_("product's or line's name")), value=self._sheet.match.name,
            offers=tuple(dict.fromkeys((*self._sheet.match.candidates, *names))), id="whose",
        )  # fmt: skip

    def errand(self) -> Callable[[], Whose]:
        """Find it: a product of that name before a line."""
        name = self.read("whose")

        def find() -> Whose:
            from stock.errors import NotFound
            from stock.shelf import lines, products

            try:
                return Whose(products.find(name).name)
            except NotFound:
                if all(row.name.casefold() != name.casefold() for row in lines.everything()):
                    raise
                return Whose(lines.find(name).name, is_line=True)

        return find
