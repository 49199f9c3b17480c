"""Importing spreadsheets and exported folders: a file is read and shown before it is booked."""

from collections.abc import Callable, Hashable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any, ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.widgets import Static

from stock.errors import BadInput
from stock.store.words import ROLES
from tui.drawing.bottle import Run
from tui.drawing.figures import count
from tui.drawing.sentences import by_keys
from tui.logbook.files import Lengthy
from tui.widgets.books_screen import words
from tui.widgets.fields import Field, path
from tui.widgets.keys import bindings
from tui.widgets.listing import Listing
from tui.widgets.rows import Cell, Heading, ListColumn, Rows

if TYPE_CHECKING:
    from stock.exchange.incoming import ImportPlan, Wishes

NONE = "-"
"""Stands for "no column" in a field."""
SPLITS = ("comma", "semicolon", "tab", "bar")
KINDS = {
    "stock": "bottles in stock",
    "mixes": "past mixes",
    "products": "products",
    "terms": "suppliers' terms",
}

REST = {
    "stock": "Each row becomes bottles on the shelf, as they are now.",
    "mixes": "They are booked as past mixes; the bottles on the shelf don't change.",
    "products": "No bottle comes of them; what the books don't know of a product is added.",
    "terms": "What the books don't know of a supplier is added.",
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


class TakeIn(Lengthy[Any]):
    """Asks for a file; answers with what was read from it."""

    HEAD: ClassVar[str] = "Take a file in"
    GO: ClassVar[str] = "Look at it"

    def fields(self) -> ComposeResult:
        """The file, and how to read it."""
        yield Static(
            words(
                "A spreadsheet (CSV, .xlsx, .ods), or an exported folder. It is shown first; nothing is booked yet."
            )
        )
        yield Field("File", read=path, example="/home/me/paints.csv", id="path")
        yield Field("It holds", blank=True, example="read from the headings", offers=tuple(KINDS), id="kind")
        yield Field(
            "New names",
            value="refuse",
            offers=("refuse", "make"),
            id="new",
            hint="Products and places that the books don't have yet.",
        )
        yield Field("New role", blank=True, example="read from its column", offers=ROLES, id="role")
        yield Field(
            "Sheet", blank=True, example="the only one", id="which-sheet", hint="Of a workbook with several."
        )
        yield Field("Split at", blank=True, example="read from the first row", offers=SPLITS, id="delimiter")
        yield Field(
            "Encoding", blank=True, example="read from its letters", offers=("utf-8", "cp1252"), id="encoding"
        )

    def errand(self) -> Callable[[], "ExportedFolder | ImportPlan | UnclearSheet"]:
        """Read every row."""
        from stock.exchange.incoming import Wishes

        new = self.query_one("#new", Field)
        with self.reading(new):
            if new.text not in ("refuse", "make"):
                raise BadInput("New names are refused or made", remedy="Write refuse or make")
        file = str(self.read("path"))
        wishes = Wishes(
            kind=self.read("kind"),
            encoding=self.read("encoding"),
            delimiter=self.read("delimiter"),
            sheet=self.read("which-sheet"),
            make=new.text == "make",
            role=self.read("role"),
        )
        return lambda: look(file, wishes, self.show_progress)


class NameColumns(Lengthy[Any]):
    """Asks which column of the file holds which field, and how figures are written."""

    HEAD: ClassVar[str] = "What the columns hold"
    GO: ClassVar[str] = "Look again"

    def __init__(self, sheet: UnclearSheet) -> None:
        super().__init__()
        self._sheet = sheet

    def fields(self) -> ComposeResult:
        """A field for each of ours, offering the file's headings."""
        from stock.exchange.mapping import FIELDS

        sheet, heads = self._sheet, (NONE, *filter(None, self._sheet.heads))
        if sheet.why:
            yield Static(words(f"{_capital(sheet.why)}."), classes="wrong -shown")
        for question in sheet.questions:
            yield Field(
                _capital(question["id"]), blank=True, example=question["readings"][0],
                offers=tuple(question["readings"]), id=f"answer-{question['id']}", hint=_asked(question),
            )  # fmt: skip
        for field in FIELDS[sheet.kind]:
            yield Field(_field_name(field), value=sheet.meant.get(field, NONE), offers=heads, id=field)
        yield Field("Decimal", blank=True, example="detected", offers=("comma", "point"), id="as-decimal")
        yield Field("Days", blank=True, example="detected", offers=("dmy", "mdy"), id="as-days")
        yield Field(
            "Bare amounts", blank=True, example="the studio's measure", offers=("ml", "g", "oz"), id="as-unit"
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
                    raise BadInput("No column has this heading", remedy="Take one on offer, or - for none")
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


def _field_name(field: str) -> str:
    """The name of a field for display."""
    return _capital(field.replace("_", " "))


def _asked(question: Mapping[str, Any]) -> str:
    """A question with its rows and its readings."""
    rows = ", ".join(map(str, question["rows"][:5])) + (" ..." if question["row_count"] > 5 else "")
    return f"{_capital(question['about'])} (row {rows}): {' or '.join(question['readings'])}"


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


PlanRow = tuple[str, str, bool]
"""(label, text, whether it prevents the booking)."""


class PlanSheet(Listing[PlanRow]):
    """Shows what a spreadsheet holds and what would be booked; answers whether it was booked."""

    COLUMNS: ClassVar[Sequence[ListColumn]] = (ListColumn("", 14), ListColumn(""))
    ABOUT: ClassVar[str] = (
        "c answers questions, and says which column holds what, and how amounts and days are written."
    )
    BINDINGS: ClassVar[list[BindingType]] = bindings("incoming")

    def __init__(self, plan: "ImportPlan") -> None:
        super().__init__()
        self._plan = plan
        self._facts = plan.as_json()

    def head(self) -> str:
        """The file and what it holds."""
        facts = self._facts
        return f"{facts['file']}: {count(facts['rows'], 'row')} of {KINDS[facts['kind']]}"

    def read(self) -> Sequence[PlanRow | Heading]:
        """First what prevents the booking, then what would be made, then which column is which."""
        facts = self._facts
        shown: list[PlanRow | Heading] = []
        if facts["questions"]:
            shown.append(Heading("Questions", "nothing can be booked until c answers them"))
            shown += [(one["id"], _asked(one), True) for one in facts["questions"]]
        if facts["bad_count"]:
            shown.append(
                Heading("Can't be booked", f"{count(facts['bad_count'], 'row')}; nothing can be booked")
            )
            shown += [
                (f"Line {row['line']}", _capital(by_keys(row["reason"])), True) for row in facts["bad_rows"]
            ]
            if facts["bad_count"] > len(facts["bad_rows"]):
                shown.append(("", f"and {facts['bad_count'] - len(facts['bad_rows']):,} more", True))
        if facts["not_taken"]:
            shown.append(Heading("Not taken", count(facts["not_taken_count"], "row")))
            shown += [(f"Line {row['row']}", _capital(row["reason"]), False) for row in facts["not_taken"]]
        if facts["new_products"] or facts["new_places"]:
            shown.append(Heading("Would be added"))
            shown += [(_capital(one["role"]), one["product"], False) for one in facts["new_products"]]
            shown += [("Place", name, False) for name in facts["new_places"]]
        shown += self._corrected()
        shown.append(Heading("Columns", "as remembered" if facts["remembered"] else "ours, and theirs"))
        shown += [(_field_name(field), head, False) for field, head in facts["mapping"].items()]
        shown += [("Left out", head, False) for head in facts["ignored"]]
        guess = " (a guess)" if facts["encoding_guessed"] else ""
        shown += [
            Heading("Read as"),
            ("Sheet", facts["sheet"], False)
            if facts["sheet"]
            else ("Encoding", f"{facts['encoding']}{guess}, split at {facts['delimiter']!r}", False),
            ("Decimal", facts["decimal"] or "not known", False),
            ("Days", facts["days"] or "not known", False),
        ]
        return shown

    def _corrected(self) -> Sequence[PlanRow | Heading]:
        """What a sheet that came before says otherwise, and the bottles that it doesn't have any more."""
        facts = self._facts
        shown: list[PlanRow | Heading] = []
        if facts["corrections"]:
            shown.append(Heading("Would be corrected", count(facts["corrected"], "bottle")))
            shown += [
                (
                    f"Line {one['row']}",
                    f"{one['product']} {one['bottle']}: {', '.join(one['changes'])}",
                    False,
                )
                for one in facts["corrections"]
            ]
        if facts["kept"]:
            shown.append(Heading("Stays as the books have it"))
            shown += [
                (
                    one.get("product") or one["supplier"],
                    f"{one['field'].replace('_', ' ')} {one['books']}; the file says {one['file']}",
                    False,
                )
                for one in facts["kept"]
            ]
        if facts["gone"]:
            shown.append(Heading("No longer in the file", "these bottles stay as they are"))
            shown += [
                (f"Bottle {one['bottle']}", f"{one['product']}, {one['on_hand_ml']:,} ml", False)
                for one in facts["gone"]
            ]
        return shown

    def cells(self, item: PlanRow) -> Sequence[Cell]:
        """Label and text."""
        what, of_it, bad = item
        return ((Run(what, "stop"),) if bad else what, of_it)

    def ident(self, item: PlanRow) -> Hashable:
        """The row itself."""
        return item

    @on(Rows.Moved)
    def _tell_whole(self) -> None:
        """Show the whole text of what is wrong with the selected row."""
        wrong = (self.item[1],) if self.item and self.item[2] else ()
        self.query_one("#purpose", Static).update(words("\n".join((*wrong, self.ABOUT))))

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """None for booking a file with bad rows or open questions."""
        del parameters
        stops = self._facts["bad_count"] or self._facts["questions"]
        return None if action == "book" and stops else True

    def action_book(self) -> None:
        """Ask once more, then book."""
        self.app.push_screen(BookIn(self._plan), self._booked)

    def _booked(self, text: str | None) -> None:
        if text:
            self.shell.say(text)
            self.dismiss(True)

    def action_columns(self) -> None:
        """Ask which column is which."""
        facts, made, sheet = self._facts, self._plan, self._plan.sheet
        unclear = UnclearSheet(
            str(sheet.path), made.wishes, facts["kind"], sheet.heads, facts["mapping"], "", facts["questions"],
        )  # fmt: skip
        self.app.push_screen(NameColumns(unclear), self._looked_again)

    def _looked_again(self, found: Any) -> None:
        if found is not None:
            self._plan, self._facts = found, found.as_json()
            self.query_one("#sheet").border_title = words(self.head())
            self.reload()


class BookIn(Lengthy[str]):
    """Books a spreadsheet that was looked at, whole or not at all."""

    HEAD: ClassVar[str] = "Book the whole file"
    AUTO_FOCUS: ClassVar[str] = "#go"

    def __init__(self, plan: "ImportPlan") -> None:
        super().__init__()
        self._plan = plan

    def fields(self) -> ComposeResult:
        """What will be booked."""
        facts = self._plan.as_json()
        made = len(facts["new_products"]) + len(facts["new_places"])
        also = (
            f" {count(made, 'product or place', 'products and places')} will be added for it." if made else ""
        )
        rest = REST[facts["kind"]]
        yield Static(words(f"{count(facts['rows'], 'row')} of {facts['file']}.{also} {rest}"))
        again = Field("Book again", value="no", offers=("no", "yes"), id="again")
        again.display = False
        yield again

    def errand(self) -> Callable[[], str]:
        """Book the file; a file that was booked before asks again."""
        again = self.query_one("#again", Field)
        self._plan.wishes = replace(self._plan.wishes, again=again.text.strip() == "yes")

        def book() -> str:
            from stock.exchange import incoming

            told = incoming.book(self._plan, on_progress=self.show_progress)
            if told.get("again"):
                self.app.call_from_thread(setattr, again, "display", True)
                raise BadInput(
                    "this file was booked before; nothing was booked now",
                    remedy="To book it a second time, write yes into Book again",
                )
            if told["kind"] == "products":
                return f"Added {count(told['products'], 'product')} of {told['file']}"
            if told["kind"] == "terms":
                return f"Added {count(told['suppliers'], 'supplier')} of {told['file']}"
            back = "select it and press u to take the whole file back"
            if told["kind"] == "stock":
                return f"Booked {count(told['bottles'], 'bottle')} of {told['file']}; {back}"
            return f"Booked {count(told['mixes'], 'past mix', 'past mixes')} of {told['file']}; {back}"

        return book


class FolderIn(Lengthy[str]):
    """Imports an exported studio into books that are still empty."""

    HEAD: ClassVar[str] = "Take an exported studio in"
    GO: ClassVar[str] = "Take it in"

    def __init__(self, folder: ExportedFolder, address: str) -> None:
        super().__init__()
        self._folder, self._address = folder, address

    def fields(self) -> ComposeResult:
        """What the folder holds."""
        found = self._folder
        yield Static(
            words(
                f"{found.title}: {found.rows:,} rows of {found.tables} tables. They are imported row by row, "
                "as they were exported, into books that are still empty."
            )
        )

    def errand(self) -> Callable[[], str]:
        """Import the folder, and compare."""
        found, address = self._folder, self._address

        def take() -> str:
            from stock.exchange import folder

            done = folder.take_in(found.path, address, on_progress=self.show_progress)
            return f"Took in {done.total():,} rows of {len(done.rows)} tables, as they were exported"

        return take
