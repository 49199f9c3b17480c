"""What comes in from other programs: a spreadsheet is looked at and shown before it is booked."""

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
    from stock.exchange.incoming import Plan, Wishes

NONE = "-"
"""No column holds it."""
SPLITS = ("comma", "semicolon", "tab", "bar")
KINDS = {"stock": "bottles in stock", "mixes": "past mixes"}


@dataclass(frozen=True, slots=True)
class Folder:
    """A folder that was exported: where, whose, and how many rows of how many tables."""

    path: str
    title: str
    rows: int
    tables: int


@dataclass(frozen=True, slots=True)
class Unclear:
    """A spreadsheet whose columns a person has to name.

    `meant` are the heads by our field, as far as they are known; `why` is what is missing, empty if nothing is.
    """

    path: str
    wishes: "Wishes"
    kind: str
    heads: Sequence[str]
    meant: Mapping[str, str]
    why: str = ""


def look(file: str, wishes: "Wishes", far: Callable[[str, int, int], None]) -> "Folder | Plan | Unclear":
    """Look at what came in; the connection is open.

    Raises:
        UllageError: it can't be read at all.
    """
    from stock.exchange import folder, incoming, mapping, spreadsheet

    if Path(file).is_dir():
        told = folder.description(file)
        rows = [many for many, _ in told["digests"].values()]
        return Folder(file, told["title"], sum(rows), len(rows))
    try:
        return incoming.plan(file, wishes, on_progress=far)
    except mapping.Unmapped as error:
        heads = spreadsheet.look(file, encoding=wishes.encoding, delimiter=wishes.delimiter).heads
        return Unclear(file, wishes, error.kind, heads, error.known, error.message)


class TakeIn(Lengthy[Any]):
    """Which file; answers with what was seen in it."""

    HEAD: ClassVar[str] = "Take a file in"
    GO: ClassVar[str] = "Look at it"

    def fields(self) -> ComposeResult:
        """Which, and what may be made for it."""
        yield Static(
            words(
                "A spreadsheet saved as CSV, or an exported folder. It is shown first; nothing is booked yet."
            )
        )
        yield Field("File", read=path, example="/home/me/paints.csv", id="path")
        yield Field("It holds", blank=True, example="its heads tell", offers=tuple(KINDS), id="kind")
        yield Field(
            "New names",
            value="refuse",
            offers=("refuse", "make"),
            id="new",
            hint="Products and places that the books don't have yet.",
        )
        yield Field("New role", blank=True, example="its column tells", offers=ROLES, id="role")
        yield Field("Split at", blank=True, example="its first row tells", offers=SPLITS, id="delimiter")
        yield Field(
            "Encoding", blank=True, example="its letters tell", offers=("utf-8", "cp1252"), id="encoding"
        )

    def errand(self) -> Callable[[], "Folder | Plan | Unclear"]:
        """Look at every row."""
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
            make=new.text == "make",
            role=self.read("role"),
        )
        return lambda: look(file, wishes, self.far)


class Meant(Lengthy[Any]):
    """Which of their columns is which of ours, and how the figures are written."""

    HEAD: ClassVar[str] = "What the columns hold"
    GO: ClassVar[str] = "Look again"

    def __init__(self, sheet: Unclear) -> None:
        super().__init__()
        self._sheet = sheet

    def fields(self) -> ComposeResult:
        """A field for each of ours, their heads on offer."""
        from stock.exchange.mapping import FIELDS

        sheet, heads = self._sheet, (NONE, *filter(None, self._sheet.heads))
        if sheet.why:
            yield Static(words(f"{_capital(sheet.why)}."), classes="wrong -shown")
        for field in FIELDS[sheet.kind]:
            yield Field(_said(field), value=sheet.meant.get(field, NONE), offers=heads, id=field)
        yield Field("Decimal", blank=True, example="found out", offers=("comma", "point"), id="as-decimal")
        yield Field("Days", blank=True, example="found out", offers=("dmy", "mdy"), id="as-days")
        yield Field(
            "Bare amounts", blank=True, example="the studio's measure", offers=("ml", "g", "oz"), id="as-unit"
        )

    def errand(self) -> Callable[[], "Folder | Plan | Unclear"]:
        """Look at every row anew."""
        from stock.exchange.mapping import FIELDS

        sheet = self._sheet
        maps = []
        for field in FIELDS[sheet.kind]:
            text = self.query_one(f"#{field}", Field).text.strip() or NONE
            with self.reading(self.query_one(f"#{field}", Field)):
                if text != NONE and text not in sheet.heads:
                    raise BadInput("No column has this head", remedy="Take one on offer, or - for none")
            maps.append(f"{field}={text}")
        wishes = replace(
            sheet.wishes,
            kind=sheet.kind,
            maps=tuple(maps),
            decimal=self.read("as-decimal"),
            days=self.read("as-days"),
            unit=self.read("as-unit"),
        )
        return lambda: look(sheet.path, wishes, self.far)


def _said(field: str) -> str:
    """Our field as a person reads it."""
    return _capital(field.replace("_", " "))


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


Shown = tuple[str, str, bool]
"""What, what of it, and whether it stands in the way."""


class Looked(Listing[Shown]):
    """What a spreadsheet holds and what would be booked; answers whether it was."""

    COLUMNS: ClassVar[Sequence[ListColumn]] = (ListColumn("", 14), ListColumn(""))
    ABOUT: ClassVar[str] = "c says which column holds what, and how amounts, decimals and days are written."
    BINDINGS: ClassVar[list[BindingType]] = bindings("incoming")

    def __init__(self, plan: "Plan") -> None:
        super().__init__()
        self._plan = plan
        self._told = plan.as_json()

    def head(self) -> str:
        """The file and what it holds."""
        told = self._told
        return f"{told['file']}: {count(told['rows'], 'row')} of {KINDS[told['kind']]}"

    def read(self) -> Sequence[Shown | Heading]:
        """What stands in the way first, then what would be made, then which column is which."""
        told = self._told
        shown: list[Shown | Heading] = []
        if told["bad_count"]:
            shown.append(
                Heading("Can't be taken in", f"{count(told['bad_count'], 'row')}; nothing can be booked")
            )
            shown += [
                (f"Line {row['line']}", _capital(by_keys(row["reason"])), True) for row in told["bad_rows"]
            ]
            if told["bad_count"] > len(told["bad_rows"]):
                shown.append(("", f"and {told['bad_count'] - len(told['bad_rows']):,} more", True))
        if told["new_products"] or told["new_places"]:
            shown.append(Heading("Would be made"))
            shown += [(_capital(one["role"]), one["product"], False) for one in told["new_products"]]
            shown += [("Place", name, False) for name in told["new_places"]]
        shown.append(Heading("Columns", "as remembered" if told["remembered"] else "ours, and theirs"))
        shown += [(_said(field), head, False) for field, head in told["mapping"].items()]
        shown += [("Left out", head, False) for head in told["ignored"]]
        guess = " (a guess)" if told["encoding_guessed"] else ""
        shown += [
            Heading("Read as"),
            ("Encoding", f"{told['encoding']}{guess}, split at {told['delimiter']!r}", False),
            ("Decimal", told["decimal"] or "not known", False),
            ("Days", told["days"] or "not known", False),
        ]
        return shown

    def cells(self, item: Shown) -> Sequence[Cell]:
        """What, and what of it."""
        what, of_it, bad = item
        return ((Run(what, "stop"),) if bad else what, of_it)

    def ident(self, item: Shown) -> Hashable:
        """Itself."""
        return item

    @on(Rows.Moved)
    def _tell_whole(self) -> None:
        """What is wrong with the row under the hand, in all its words."""
        wrong = (self.item[1],) if self.item and self.item[2] else ()
        self.query_one("#purpose", Static).update(words("\n".join((*wrong, self.ABOUT))))

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Only a file of good rows is booked."""
        del parameters
        return None if action == "book" and self._told["bad_count"] else True

    def action_book(self) -> None:
        """After one more question."""
        self.app.push_screen(BookIn(self._plan), self._booked)

    def _booked(self, said: str | None) -> None:
        if said:
            self.shell.say(said)
            self.dismiss(True)

    def action_columns(self) -> None:
        """Say which column is which."""
        told, made = self._told, self._plan
        unclear = Unclear(str(made.sheet.path), made.wishes, told["kind"], made.sheet.heads, told["mapping"])
        self.app.push_screen(Meant(unclear), self._looked_again)

    def _looked_again(self, found: Any) -> None:
        if found is not None:
            self._plan, self._told = found, found.as_json()
            self.query_one("#sheet").border_title = words(self.head())
            self.reload()


class BookIn(Lengthy[str]):
    """Books a spreadsheet that was looked at, whole or not at all."""

    HEAD: ClassVar[str] = "Book the whole file"
    AUTO_FOCUS: ClassVar[str] = "#go"

    def __init__(self, plan: "Plan") -> None:
        super().__init__()
        self._plan = plan

    def fields(self) -> ComposeResult:
        """What will happen."""
        told = self._plan.as_json()
        made = len(told["new_products"]) + len(told["new_places"])
        also = (
            f" {count(made, 'product or place', 'products and places')} will be made for it." if made else ""
        )
        rest = (
            "Each row is put on the shelf as it stands now."
            if told["kind"] == "stock"
            else "They are written down as past; what stands on the shelf is not touched."
        )
        yield Static(words(f"{count(told['rows'], 'row')} of {told['file']}.{also} {rest}"))
        again = Field("Once more", value="no", offers=("no", "yes"), id="again")
        again.display = False
        yield again

    def errand(self) -> Callable[[], str]:
        """Book it; a file that was booked before asks once more."""
        again = self.query_one("#again", Field)
        self._plan.wishes = replace(self._plan.wishes, again=again.text.strip() == "yes")

        def book() -> str:
            from stock.exchange import incoming

            told = incoming.book(self._plan, on_progress=self.far)
            if told.get("again"):
                self.app.call_from_thread(setattr, again, "display", True)
                raise BadInput(
                    "this very file was booked before; nothing was booked now",
                    remedy="To book it a second time, write yes into Once more",
                )
            back = "u on it takes the whole file back"
            if told["kind"] == "stock":
                return f"Booked {count(told['bottles'], 'bottle')} of {told['file']}; {back}"
            return f"Booked {count(told['mixes'], 'past mix', 'past mixes')} of {told['file']}; {back}"

        return book


class FolderIn(Lengthy[str]):
    """An exported studio comes into books that are still empty."""

    HEAD: ClassVar[str] = "Take an exported studio in"
    GO: ClassVar[str] = "Take it in"

    def __init__(self, folder: Folder, address: str) -> None:
        super().__init__()
        self._folder, self._address = folder, address

    def fields(self) -> ComposeResult:
        """What lies in it."""
        found = self._folder
        yield Static(
            words(
                f"{found.title}: {found.rows:,} rows of {found.tables} tables. They come in as they were exported, "
                "row by row, into books in which nothing stands yet."
            )
        )

    def errand(self) -> Callable[[], str]:
        """Take it in, and compare."""
        found, address = self._folder, self._address

        def take() -> str:
            from stock.exchange import folder

            done = folder.take_in(found.path, address, on_progress=self.far)
            return f"Took in {done.total():,} rows of {len(done.rows)} tables, as they were exported"

        return take
