"""A spreadsheet that was looked at: what it holds, what prevents the booking, and mending its rows."""

from collections.abc import Callable, Hashable, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Any, ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.widgets import Static

from stock.grammar import in_figures
from stock.language import _
from stock.named_tuples import NamedTuple
from stock.notation import in_thousands
from tui.drawing.bottle import Run
from tui.drawing.figures import count
from tui.drawing.sentences import by_keys
from tui.logbook.booking_in import BookGood, BookIn
from tui.logbook.files import Lengthy
from tui.logbook.incoming import KINDS, NameColumns, UnclearSheet, asked, capital, field_name, look
from tui.widgets.books_screen import words
from tui.widgets.fields import Field
from tui.widgets.keys import bindings
from tui.widgets.listing import Listing
from tui.widgets.rows import Cell, Heading, ListColumn, Rows

if TYPE_CHECKING:
    from stock.exchange.incoming import ImportPlan, Wishes


class PlanRow(NamedTuple):
    """A line of the plan: `bad` says that it prevents the booking, `row` which row of the file it is about."""

    label: str
    text: str
    bad: bool = False
    row: int = 0
    left_out: bool = False


class PlanSheet(Listing[PlanRow]):
    """Shows what a spreadsheet holds and what would be booked; answers whether it was booked."""

    COLUMNS: ClassVar[Sequence[ListColumn]] = (ListColumn("", 14), ListColumn(""))
    ABOUT: ClassVar[str] = _(
        "c answers questions and says which column holds what. e mends a bad row, t takes a row "
        "that was left out."
    )
    BINDINGS: ClassVar[list[BindingType]] = bindings("incoming")

    def __init__(self, plan: "ImportPlan") -> None:
        super().__init__()
        self._plan = plan
        self._facts = plan.as_json()

    def head(self) -> str:
        """The file and what it holds."""
        facts = self._facts
        return _(
            "{file}: {rows} of {kinds}",
            file=facts["file"],
            rows=count(facts["rows"], "row"),
            kinds=KINDS[facts["kind"]],
        )

    def read(self) -> Sequence[PlanRow | Heading]:
        """First what prevents the booking, then what would be made, then which column is which."""
        from stock.exchange.import_plan import sum_in_words

        facts = self._facts
        shown: list[PlanRow | Heading] = []
        if facts["questions"]:
            shown.append(Heading(_("Questions"), _("nothing can be booked until c answers them")))
            shown += [PlanRow(one["id"], asked(one), True) for one in facts["questions"]]
        if facts["bad_count"]:
            shown.append(
                Heading(
                    _("Can't be booked"),
                    _("{bad_count}; nothing can be booked", bad_count=count(facts["bad_count"], "row")),
                )
            )
            shown += [
                PlanRow(_("Line {line}", line=row["line"]), _in_column(row), True, row["line"])
                for row in facts["bad_rows"]
            ]
            lines_shown = len({row["line"] for row in facts["bad_rows"]})
            if facts["bad_count"] > lines_shown:
                shown.append(
                    PlanRow(
                        "",
                        _(
                            "and {bad_count} more rows",
                            bad_count=in_thousands(facts["bad_count"] - lines_shown),
                        ),
                        True,
                    )
                )
        if facts["not_taken"]:
            shown.append(Heading(_("Not taken"), count(facts["not_taken_count"], "row")))
            shown += [
                PlanRow(
                    _("Line {row}", row=row["row"]), capital(row["reason"]), row=row["row"], left_out=True
                )
                for row in facts["not_taken"]
            ]
        if facts["new_products"] or facts["new_places"] or facts["new_suppliers"]:
            shown.append(Heading(_("Would be added")))
            shown += [
                PlanRow(capital(one["role"] or "product"), one["product"]) for one in facts["new_products"]
            ]
            shown += [PlanRow(_("Supplier"), name) for name in facts["new_suppliers"]]
            shown += [PlanRow(_("Place"), name) for name in facts["new_places"]]
        shown += self._corrected()
        if facts["bottles"]:
            shown.append(Heading(_("Comes in"), sum_in_words(facts, facts["currency"])))
            shown += [
                PlanRow(one["product"], sum_in_words(one, facts["currency"])) for one in facts["by_product"]
            ]
        shown.append(
            Heading(_("Columns"), _("as remembered") if facts["remembered"] else _("ours, and theirs"))
        )
        shown += [PlanRow(field_name(field), head) for field, head in facts["mapping"].items()]
        shown += [PlanRow(_("Left out"), head) for head in facts["ignored"]]
        guess = _(" (a guess)") if facts["encoding_guessed"] else ""
        shown += [
            Heading(_("Read as")),
            PlanRow(_("Sheet"), facts["sheet"])
            if facts["sheet"]
            else PlanRow(
                _("Encoding"),
                _(
                    "{encoding}{guess}, split at {delimiter!r}",
                    encoding=facts["encoding"],
                    guess=guess,
                    delimiter=facts["delimiter"],
                ),
            ),
            PlanRow(_("Decimal"), facts["decimal"] or _("not known")),
            PlanRow(_("Days"), facts["days"] or _("not known")),
        ]
        return shown

    def _corrected(self) -> Sequence[PlanRow | Heading]:
        """What a sheet that came before says otherwise, and the bottles that it doesn't have any more."""
        facts = self._facts
        shown: list[PlanRow | Heading] = []
        if facts["takes_back"]:
            shown.append(Heading(_("Taken back first"), count(facts["takes_back_bottles"], "bottle")))
            shown += [
                PlanRow(
                    _("Import {number}", number=number),
                    _("booked anew from this file; its bottles get new numbers"),
                )
                for number in facts["takes_back"]
            ]
        if facts["corrections"]:
            shown.append(Heading(_("Would be corrected"), count(facts["corrected"], "bottle")))
            shown += [
                PlanRow(
                    _("Line {row}", row=one["row"]),
                    f"{one['product']} {one['bottle']}: {', '.join(one['changes'])}",
                )
                for one in facts["corrections"]
            ]
        if facts["kept"]:
            shown.append(Heading(_("Stays as the books have it")))
            shown += [
                PlanRow(
                    one.get("product") or one["supplier"],
                    _(
                        "{replace} {books}; the file says {file}",
                        replace=one["field"].replace("_", " "),
                        books=one["books"],
                        file=one["file"],
                    ),
                )
                for one in facts["kept"]
            ]
        if facts["gone"]:
            stays = _("they go, too") if facts["takes_back"] else _("these bottles stay as they are")
            shown.append(Heading(_("No longer in the file"), stays))
            shown += [
                PlanRow(
                    _("Bottle {bottle}", bottle=one["bottle"]),
                    f"{one['product']}, {in_figures(one['on_hand_ml'])} ml",
                )
                for one in facts["gone"]
            ]
        return shown

    def cells(self, item: PlanRow) -> Sequence[Cell]:
        return ((Run(item.label, "stop"),) if item.bad else item.label, item.text)

    def ident(self, item: PlanRow) -> Hashable:
        return item

    @on(Rows.Moved)
    def _tell_whole(self) -> None:
        """Show the whole text of what is wrong with the selected row."""
        wrong = (self.item.text,) if self.item and self.item.bad else ()
        self.query_one("#purpose", Static).update(words("\n".join((*wrong, self.ABOUT))))

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """None for what can't be done now: booking with bad rows or open questions, mending a good row."""
        del parameters
        facts, item = self._facts, self.item
        able = {
            "book": not facts["bad_count"] and not facts["questions"],
            "good": bool(facts["bad_count"])
            and not facts["questions"]
            and facts["bad_count"] < facts["rows"],
            "mend": item is not None and item.bad and item.row > 0,
            "take": item is not None and item.left_out and item.row > self._plan.sheet.head_line,
        }
        return None if able.get(action) is False else True

    def action_mend(self) -> None:
        """Write the cells of the selected bad row anew."""
        if self.item is not None and self.check_action("mend", ()):
            reasons = [row for row in self._facts["bad_rows"] if row["line"] == self.item.row]
            self.app.push_screen(MendRow(self._plan, self.item.row, reasons), self._looked_again)

    def action_take(self) -> None:
        """Read the selected row, which was taken for a title or a total."""
        if self.item is not None and self.check_action("take", ()):
            wishes = replace(self._plan.wishes, take=(*self._plan.wishes.take, self.item.row))
            self.app.push_screen(LookAgain(self._plan, wishes), self._looked_again)

    def action_good(self) -> None:
        """Ask where the bad rows go, then book the others."""
        if self.check_action("good", ()):
            self.app.push_screen(BookGood(self._plan, self.shell.address), self._booked)

    def action_book(self) -> None:
        """Ask once more, then book."""
        self.app.push_screen(BookIn(self._plan), self._booked)

    def _booked(self, text: str | None) -> None:
        if text:
            self.shell.announce(text)
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


def _in_column(row: dict[str, Any]) -> str:
    """Why a row is bad, with the head of the column that it is about."""
    column = f"{row['column']}: " if row["column"] else ""
    return f"{column}{by_keys(row['reason'])}" if column else capital(by_keys(row["reason"]))


class LookAgain(Lengthy[Any]):
    """Reads a file again with other wishes."""

    DRAFTED = False
    HEAD: ClassVar[str] = _("Read this row")
    GO: ClassVar[str] = _("Look again")
    AUTO_FOCUS: ClassVar[str] = "#go"

    def __init__(self, plan: "ImportPlan", wishes: "Wishes") -> None:
        super().__init__()
        self._path, self._wishes = str(plan.sheet.path), wishes

    def fields(self) -> ComposeResult:
        """What will be done."""
        yield Static(words(_("The row is read like the others. Nothing is booked yet.")))

    def errand(self) -> Callable[[], Any]:
        """Read every row again."""
        return lambda: look(self._path, self._wishes, self.show_progress)


class MendRow(Lengthy[Any]):
    """A field for each cell of a bad row, with why it can't be read; the file itself stays as it is."""

    DRAFTED = False  # the plan keeps what was mended
    HEAD: ClassVar[str] = _("Mend a row")
    GO: ClassVar[str] = _("Look again")

    def __init__(self, plan: "ImportPlan", line: int, reasons: Sequence[dict[str, Any]]) -> None:
        super().__init__()
        self._plan, self._line, self._reasons = plan, line, reasons
        read = next((cells for at, cells, _ in plan.sheet.rows() if at == line), [])
        self._cells = plan.mend(line, list(read))

    def fields(self) -> ComposeResult:
        """The bad cells first, then the others."""
        why = {row["column"]: row["reason"] for row in self._reasons}
        for row in self._reasons:
            yield Static(words(f"{_in_column(row)}."), classes="wrong -shown")
        heads = list(enumerate(self._plan.sheet.heads))
        for place, head in sorted(heads, key=lambda one: one[1] not in why):
            if head:
                yield Field(head, value=str(self._cells[place]), blank=True, id=f"cell-{place}")

    def errand(self) -> Callable[[], Any]:
        """Read every row again, this one as it is written here."""
        mended = {(line, place): text for line, place, text in self._plan.wishes.mended}
        for place, head in enumerate(self._plan.sheet.heads):
            if head:
                text = self.query_one(f"#cell-{place}", Field).text.strip()
                if text != str(self._cells[place]):
                    mended[self._line, place] = text
        wishes = replace(
            self._plan.wishes, mended=tuple((line, place, text) for (line, place), text in mended.items())
        )
        return lambda: look(str(self._plan.sheet.path), wishes, self.show_progress)
