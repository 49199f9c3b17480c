"""Entering many products of one line in one form: names are pasted or typed row by row, and booked once."""

from collections.abc import Callable, Mapping
from typing import Any, ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.widgets import Static

from stock.grammar import in_full
from stock.language import _
from tui.dialogs.record_form import Opening
from tui.drawing.figures import count
from tui.widgets.books_screen import words
from tui.widgets.dialog import BookingDialog
from tui.widgets.fields import Field
from tui.widgets.grid import Grid, GridColumn

BEFORE, TODAY = _("before the books began"), _("in a delivery today")
COLUMNS = (
    GridColumn("name", _("name")), GridColumn("code", _("code"), 7), GridColumn("color", _("colour"), 12),
    GridColumn("size", _("size"), 7), GridColumn("count", _("many"), 4), GridColumn("left", _("how full"), 8),
    GridColumn("opened", _("opened"), 10),
)  # fmt: skip


def opening(line: str) -> Opening:
    """The form for a line's products."""

    def learn() -> tuple[Any, list[str]]:
        from stock.exchange import line_form
        from stock.shelf import places

        return line_form.to_fill(line), [place.name for place in places.everything()]

    return learn, lambda learned: LineForm(*learned)


def _parted(text: str) -> list[Mapping[str, str]]:
    from stock.errors import UllageError
    from stock.exchange import line_form

    try:
        return [row.cells for row in line_form.rows_of(text)]
    except UllageError:
        return [{"name": line} for line in text.splitlines() if line.strip()]


def _swatch(row: Mapping[str, str]) -> str:
    from stock.errors import UllageError
    from stock.shelf import colours

    try:
        return colours.read(row["color"]) if row.get("color", "").strip() else ""
    except UllageError:
        return ""


class LineForm(BookingDialog[str]):
    """The rows, the errors of the selected one, and a summary of what will be booked."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("f8", "go", _("Book it"), priority=True)]
    AUTO_FOCUS = "Grid"
    GO: ClassVar[str] = _("Put them in the books")
    GO_KEY: ClassVar[str] = "F8"

    def __init__(self, form: Any, places: list[str]) -> None:
        super().__init__()
        self._form_of_line = form
        self._places = places
        self._read: dict[str, tuple[Any, Mapping[str, str]]] = {}

    def head(self) -> str:
        return _("Products of {name}, a name a row", name=self._form_of_line.line.name)

    def fields(self) -> ComposeResult:
        yield Static(
            words(
                _(
                    "Type or paste names; a semicolon or an arrow goes to the next cell. Empty: full, "
                    "sealed, the line's size."
                )
            ),
            classes="hint -shown",
        )
        yield Grid(COLUMNS, _parted, swatch=_swatch, id="rows")
        yield Static(id="sum")
        yield Static(id="cell")
        yield Field(_("Place"), blank=True, example=_("Steel cabinet"), offers=self._places, id="place")
        yield Field(
            _("They came"), value=BEFORE, offers=(BEFORE, TODAY), id="came",
        )  # fmt: skip

    def draft(self) -> dict[str, Any]:
        """The rows beside the fields."""
        rows = [row for _, row in self.query_one(Grid).filled()]
        return {**super().draft(), **({"rows": rows} if rows else {})}

    def take_draft(self, content: Any) -> None:
        """Show the rows again."""
        super().take_draft(content)
        rows = content.get("rows")
        if isinstance(rows, list):
            keys = {column.key for column in COLUMNS}
            self.query_one(Grid).show(
                [
                    {key: str(text) for key, text in row.items() if key in keys}
                    for row in rows
                    if isinstance(row, dict)
                ]
            )

    @on(Grid.Typed)
    def _typed(self, message: Grid.Typed) -> None:
        message.stop()
        self._look()
        if not self.query_one(Grid).wrong:
            self.refuse("")
        self.keep_draft()

    def _look(self) -> None:
        """Read every row that is not read yet, mark the cells that can't be read, and show the summary."""
        from stock.exchange import line_form
        from stock.store.connection import connection

        grid = self.query_one(Grid)
        wrong: dict[int, Mapping[str, str]] = {}
        bottles = volume_ul = unknown = many = 0
        with connection():
            for at, row in grid.filled():
                key = repr(row)
                if key not in self._read:
                    self._read[key] = line_form.read(self._form_of_line, row)
                one, bad = self._read[key]
                many += 1
                if bad or one is None:
                    wrong[at] = bad
                    continue
                bottles += one.many
                volume_ul += one.many * (one.left_ul if one.left_ul is not None else one.size_ul or 0)
                unknown += one.many * one.opened_unknown
        grid.show_wrong(wrong)
        summary = _(
            "{many}: {bottles} with {volume_ul} ml",
            many=count(many, "row"),
            bottles=count(bottles, "bottle"),
            volume_ul=in_full(volume_ul / 1000),
        )
        summary += _(", {unknown} open since an unknown day", unknown=unknown) if unknown else ""
        summary += _("; {wrong} can't be read", wrong=count(len(wrong), "row")) if wrong else ""
        self.query_one("#sum", Static).update(words(summary if many else ""))
        here = wrong.get(grid.cursor[0], {})
        said = here.get(grid.key) or next(iter(here.values()), "")
        self.query_one("#cell", Static).update(words(said))

    def errand(self) -> Callable[[], str]:
        """Book all rows, or go to the first that can't be read."""
        from stock.exchange import line_form

        grid = self.query_one(Grid)
        self._look()
        filled = grid.filled()
        if not filled:
            self.refuse(_("No row is written, so nothing was booked."))
            self.stay()
        if grid.wrong:
            at = min(grid.wrong)
            column = next(n for n, one in enumerate(COLUMNS) if one.key in grid.wrong[at])
            grid.go_to(at, column)
            grid.focus()
            self.refuse(_("Row {at} can't be read, so nothing was booked.", at=at + 1))
            self.stay()
        rows = [line_form.LineRow(at + 1, row) for at, row in filled]
        place, came = self.read("place"), self.read("came").strip().casefold()
        bought = came != "" and TODAY.casefold().startswith(came[:2])
        name, key = self._form_of_line.line.name, self.request

        def book() -> str:
            from stock.store.connection import writing
            from tui.dialogs.delivery import place_named

            with writing():
                where = place_named(place) if place else None
                answer = line_form.fill(name, rows, place=where, bought=bought, key=key)
            return _(
                "{line}: {products} and {bottles}",
                line=answer["line"],
                products=count(len(answer["products"]), "new product"),
                bottles=count(answer["bottles"], "bottle"),
            )

        return book
