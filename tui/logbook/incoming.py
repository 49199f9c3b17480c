"""Importing spreadsheets and exported folders: a file is read and shown before it is booked."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any, ClassVar

from textual.app import ComposeResult
from textual.widgets import Static

from stock.errors import BadInput
from stock.language import _
from stock.notation import in_thousands
from stock.store.words import ROLES
from tui.logbook.files import Lengthy
from tui.widgets.books_screen import words
from tui.widgets.fields import Field, path

if TYPE_CHECKING:
    from stock.exchange.incoming import ImportPlan, Wishes

NONE = "-"
"""Stands for "no column" in a field."""
SPLITS = ("comma", "semicolon", "tab", "bar")
KINDS = {
    "stock": _("bottles in stock"),
    "mixes": _("past mixes"),
    "products": "products",
    "terms": _("suppliers' terms"),
}

REST = {
    "stock": _("Each row becomes bottles on the shelf, as they are now."),
    "mixes": _("They are booked as past mixes; the bottles on the shelf don't change."),
    "products": _("No bottle comes of them; what the books don't know of a product is added."),
    "terms": _("What the books don't know of a supplier is added."),
}
"""What booking a file does, by its kind."""


@dataclass(frozen=True, slots=True)
class ExportedFolder:
    """An exported folder: its path, the studio's title, and how many rows of how many tables it has."""

    path: str
    title: str
    rows: int
    tables: int


@dataclass(frozen=True, slots=True)
class UnclearSheet:
    """A spreadsheet whose columns a person has to name.

    `meant` are the headings by our field, as far as they are known; `why` says what is missing, if anything.
    `questions` are what can be read in two ways, as the plan has them.
    """

    path: str
    wishes: "Wishes"
    kind: str
    heads: Sequence[str]
    meant: Mapping[str, str]
    why: str = ""
    questions: Sequence[Mapping[str, Any]] = ()


def look(
    file: str, wishes: "Wishes", progress: Callable[[str, int, int], None]
) -> "ExportedFolder | ImportPlan | UnclearSheet":
    """Read a file without booking it; called with the connection open.

    Raises:
        UllageError: the file can't be read at all.
    """
    from stock.exchange import folder, incoming, mapping

    if Path(file).is_dir():
        facts = folder.description(file)
        rows = [many for many, _ in facts["digests"].values()]
        return ExportedFolder(file, facts["title"], sum(rows), len(rows))
    try:
        return incoming.plan(file, wishes, on_progress=progress)
    except mapping.Unmapped as error:
        heads = incoming.look(file, wishes).heads
        return UnclearSheet(file, wishes, error.kind, heads, error.known, error.message)


def row_number(text: str) -> int:
    """The number of a row of a file.

    Raises:
        BadInput: no number from 1.
    """
    if not (text.isascii() and text.isdigit() and int(text[:9]) > 0):
        raise BadInput(_("A row is a number from 1"), remedy=_("Write 3"))
    return int(text[:9])


class TakeIn(Lengthy[Any]):
    """Asks for a file; answers with what was read from it."""

    DRAFTED = False  # it books nothing
    HEAD: ClassVar[str] = _("Take a file in")
    GO: ClassVar[str] = _("Look at it")

    def fields(self) -> ComposeResult:
        """The file, and how to read it."""
        yield Static(
            words(
                _(
                    "A spreadsheet (CSV, .xlsx, .ods), or an exported folder. It is shown first; nothing is "
                    "booked yet."
                )
            )
        )
        yield Field(_("File"), read=path, example=_("/home/me/paints.csv"), id="path")
        yield Field(
            _("It holds"), blank=True, example=_("read from the headings"), offers=tuple(KINDS), id="kind"
        )
        yield Field(
            _("New names"), value="refuse", offers=("refuse", "make"), id="new",
            hint=_("Products and places that the books don't have yet."),
        )  # fmt: skip
        yield Field(_("New role"), blank=True, example=_("read from its column"), offers=ROLES, id="role")
        yield Field(
            _("Sheet"),
            blank=True,
            example=_("the only one"),
            id="which-sheet",
            hint=_("Of a workbook with several."),
        )
        yield Field(
            _("Heads in row"), blank=True, example=_("looked for"), read=row_number, id="head",
            hint=_("The row that names the columns."),
        )  # fmt: skip
        yield Field(
            _("Split at"), blank=True, example=_("read from the first row"), offers=SPLITS, id="delimiter"
        )
        yield Field(
            _("Encoding"),
            blank=True,
            example=_("read from its letters"),
            offers=("utf-8", "cp1252"),
            id="encoding",
        )

    def errand(self) -> Callable[[], "ExportedFolder | ImportPlan | UnclearSheet"]:
        from stock.exchange.incoming import Wishes

        new = self.query_one("#new", Field)
        with self.reading(new):
            if new.text not in ("refuse", "make"):
                raise BadInput(_("New names are refused or made"), remedy=_("Write refuse or make"))
        file = str(self.read("path"))
        wishes = Wishes(
            kind=self.read("kind"),
            encoding=self.read("encoding"),
            delimiter=self.read("delimiter"),
            sheet=self.read("which-sheet"),
            head=self.read("head"),
            make=new.text == "make",
            role=self.read("role"),
        )
        return lambda: look(file, wishes, self.show_progress)


class NameColumns(Lengthy[Any]):
    """Asks which column of the file holds which field, and how figures are written."""

    HEAD: ClassVar[str] = _("What the columns hold")
    GO: ClassVar[str] = _("Look again")
    DRAFTED = False

    def __init__(self, sheet: UnclearSheet) -> None:
        super().__init__()
        self._sheet = sheet

    def fields(self) -> ComposeResult:
        """A field for each of ours, offering the file's headings."""
        from stock.exchange.mapping import FIELDS

        sheet, heads = self._sheet, (NONE, *filter(None, self._sheet.heads))
        if sheet.why:
            yield Static(words(f"{capital(sheet.why)}."), classes="wrong -shown")
        for question in sheet.questions:
            yield Field(
                capital(question["id"]), blank=True, example=question["readings"][0],
                offers=tuple(question["readings"]), id=f"answer-{question['id']}", hint=asked(question),
            )  # fmt: skip
        for field in FIELDS[sheet.kind]:
            yield Field(field_name(field), value=sheet.meant.get(field, NONE), offers=heads, id=field)
        yield Field(
            _("Decimal"), blank=True, example=_("detected"), offers=("comma", "point"), id="as-decimal"
        )
        yield Field(_("Days"), blank=True, example=_("detected"), offers=("dmy", "mdy"), id="as-days")
        yield Field(
            _("Bare amounts"),
            blank=True,
            example=_("the studio's measure"),
            offers=("ml", "g", "oz"),
            id="as-unit",
        )

    def errand(self) -> Callable[[], "ExportedFolder | ImportPlan | UnclearSheet"]:
        """Read every row again."""
        from stock.exchange.mapping import FIELDS

        sheet = self._sheet
        maps = []
        for field in FIELDS[sheet.kind]:
            text = self.query_one(f"#{field}", Field).text.strip() or NONE
            with self.reading(self.query_one(f"#{field}", Field)):
                if text != NONE and text not in sheet.heads:
                    raise BadInput(
                        _("No column has this heading"), remedy=_("Take one on offer, or - for none")
                    )
            maps.append((field, text))
        answers = {one.partition("=")[0]: one for one in sheet.wishes.answers}
        for question in sheet.questions:
            said = self.query_one(f"#answer-{question['id']}", Field).text.strip()
            if said:
                answers[question["id"]] = f"{question['id']}={said}"
        said = answers.pop("kind-1", "").partition("=")[2]
        kind = said if said in KINDS else sheet.kind
        stands = kind != said and any(one["id"] == "kind-1" for one in sheet.questions)
        wishes = replace(
            sheet.wishes,
            answers=tuple(answers.values()),
            kind=None if stands else kind,
            maps=tuple(f"{field}={text}" for field, text in maps if field in FIELDS[kind]),
            decimal=self.read("as-decimal"),
            days=self.read("as-days"),
            unit=self.read("as-unit"),
        )
        return lambda: look(sheet.path, wishes, self.show_progress)


def field_name(field: str) -> str:
    """The name of a field for display."""
    return capital(field.replace("_", " "))


def asked(question: Mapping[str, Any]) -> str:
    """A question with its rows and its readings."""
    rows = ", ".join(map(str, question["rows"][:5])) + (" ..." if question["row_count"] > 5 else "")
    return _(
        "{about} (row {rows}): {readings}",
        about=capital(question["about"]),
        rows=rows,
        readings=_(" or ").join(question["readings"]),
    )


def capital(text: str) -> str:
    """The text with a large first letter."""
    return text[:1].upper() + text[1:]


class FolderIn(Lengthy[str]):
    """Imports an exported studio into books that are still empty."""

    HEAD: ClassVar[str] = _("Take an exported studio in")
    GO: ClassVar[str] = _("Take it in")

    def __init__(self, folder: ExportedFolder, address: str) -> None:
        super().__init__()
        self._folder, self._address = folder, address

    def fields(self) -> ComposeResult:
        """What the folder holds."""
        found = self._folder
        yield Static(
            words(
                _(
                    "{title}: {rows} rows of {tables} tables. They are imported row by row, as they were "
                    "exported, into books that are still empty.",
                    title=found.title,
                    rows=in_thousands(found.rows),
                    tables=found.tables,
                )
            )
        )

    def errand(self) -> Callable[[], str]:
        """Import the folder, and compare."""
        found, address = self._folder, self._address

        def take() -> str:
            from stock.exchange import folder

            done = folder.take_in(found.path, address, on_progress=self.show_progress)
            return _(
                "Took in {total} rows of {rows} tables, as they were exported",
                total=in_thousands(done.total()),
                rows=len(done.rows),
            )

        return take
