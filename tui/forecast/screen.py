"""The Forecast: how many sprays are left of each product, when it runs out, and what to order by when."""

from dataclasses import dataclass
from typing import Any, ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.widget import Widget
from textual.widgets import Static

from stock.forecast.facts import Forecast as Said
from tui.widgets.drawing import Run
from tui.widgets.room import Room, words
from tui.widgets.rows import Column, Heading, Rows
from tui.widgets.say import ml, short_day

COLUMNS = (
    Column("product"), Column("on hand", 9, right=True), Column("sprays left", 12, right=True),
    Column("runs out", 12, right=True), Column("order by", 9, right=True), Column("order", 16),
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class ForecastBooks:
    """What is said of every product."""

    said: tuple[Said, ...]
    currency: str


class Forecast(Room[ForecastBooks]):
    """Products by the day to order them, and what the forecast of one rests on."""

    CSS_PATH = "forecast.tcss"
    ABOUT = (
        "How long everything lasts. Sprays are mixes of the usual size: the first figure is the cautious one "
        "(nine times in ten there are at least so many), the second the middle. Order by the day shown and it "
        "should be there in time. These are estimates from what was booked."
    )
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("x", "mix", "Mix", tooltip="Take this paint to the Bench"),
    ]

    def furniture(self) -> ComposeResult:
        """The products, and what is known of one."""
        yield Rows(COLUMNS, self._cells, key=lambda one: one.facts.number, id="said")
        yield Static(id="because")

    def on_mount(self) -> None:
        """The hand starts on the most urgent."""
        self.query_one(Rows).focus()

    def resting(self) -> Widget:
        """The products."""
        return self.query_one(Rows)

    def read_books(self) -> ForecastBooks:
        """Every product's forecast."""
        from stock.forecast.books import read  # noqa: PLC0415

        reading = read(self.ullage.as_of)
        return ForecastBooks(tuple(reading.forecasts()), reading.currency)

    def draw(self, books: ForecastBooks) -> None:
        """First what has a day to order, soonest on top; then the rest."""
        due = sorted(
            (one for one in books.said if one.order_by), key=lambda one: one.order_by_day or one.today
        )
        rest = [one for one in books.said if not one.order_by]
        items: list[Said | Heading] = []
        for title, mine in (("Order", due), ("No order needed", rest)):
            if mine:
                items += [Heading(title, f"{len(mine)}"), *mine]
        self.query_one(Rows).show(items, empty="No products yet: receive the first bottle on the Shelf.")

    def _cells(self, one: Said) -> tuple[Any, ...]:
        sprays = f"{one.sprays[0]}–{one.sprays[1]}" if one.sprays else "not known"
        late = one.order_by is not None and one.order_by.day <= 0
        by = "now" if late else (short_day(one.order_by_day, one.today) if one.order_by else "-")
        out = (
            short_day(one.day(one.runs_out[1]), one.today) if one.runs_out[1] is not None else "over 2 years"
        )
        order = f"{one.order.count} × {ml(one.order.pack.size_ul)} ml" if one.order else ""
        return (
            one.facts.product, f"{ml(one.facts.on_hand_ul)} ml", sprays, out,
            (Run(by, "stop" if late else "ink", None, late),), order,
        )  # fmt: skip

    @on(Rows.Moved)
    def _moved(self, message: Rows.Moved) -> None:
        one: Said = message.item
        rests = {
            "own": "its own mixes",
            "pooled": "mostly the studio's other products",
            "none": "nothing yet",
        }
        lines = [f"{one.facts.product}: the forecast rests on {rests[one.basis]}."]
        if one.limited_by:
            lines.append(f"Its usual reducer {one.limited_by} gives out first.")
        if one.order and one.facts.supplier:
            lines.append(f"Sold by {one.facts.supplier}.")
        self.query_one("#because", Static).update(words(" ".join([*lines, *one.remarks])))

    def action_mix(self) -> None:
        """This paint goes to the Bench."""
        one = self.query_one(Rows).item
        if one is not None:
            self.ullage.to_bench(one.facts.product)
