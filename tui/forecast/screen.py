"""The Forecast: sprays left of each product, when it runs out, and what to order by which day."""

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, ClassVar

from textual import on, work
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.message import Message
from textual.reactive import var
from textual.strip import Strip
from textual.widget import Widget
from textual.widgets import Static
from textual.worker import get_current_worker

from stock.forecast.facts import FanDay, Forecast
from stock.language import _
from stock.units import Microlitres
from tui.drawing.bottle import Line, Run
from tui.drawing.figures import ml, short_day
from tui.drawing.strips import colours, strip_of
from tui.forecast.picture import Fan, drawn
from tui.forecast.reasons import because, marks_of, span_of
from tui.forecast.what_if import Assumptions
from tui.widgets.books_screen import BooksScreen, show_text
from tui.widgets.keys import bindings
from tui.widgets.rows import Heading, ListColumn, Rows

if TYPE_CHECKING:
    from stock.forecast.baskets import Basket
    from stock.forecast.books import Reading
    from stock.forecast.orderbook import OpenLine

SLIM = (
    ListColumn(_("product")), ListColumn(_("usable"), 8, right=True), ListColumn(_("order by"), 11, right=True),
    ListColumn(_("order"), 13),
)  # fmt: skip
NARROW = (
    ListColumn(_("product")), ListColumn(_("usable"), 8, right=True), ListColumn(_("sprays"), 8, right=True),
    ListColumn(_("runs out"), 11, right=True), ListColumn(_("order by"), 11, right=True), ListColumn(_("order"), 13),
)  # fmt: skip
WIDE = (
    ListColumn(_("product")), ListColumn(_("usable"), 9, right=True), ListColumn(_("sprays"), 8, right=True),
    ListColumn(_("runs out"), 12, right=True), ListColumn(_("sooner"), 12, right=True), ListColumn(_("later"), 12,
    right=True),
    ListColumn(_("order by"), 12, right=True), ListColumn(_("order"), 14), ListColumn(_("from"), 18),
)  # fmt: skip
ORDINARY, BROAD = 76, 120


@dataclass(frozen=True, slots=True)
class ForecastBooks:
    """What was read, and every product's forecast under the present assumptions."""

    reading: "Reading"
    products: tuple[Forecast, ...]
    baskets: "tuple[Basket, ...]"
    orders: "tuple[list[OpenLine], ...]"


class FanView(Widget):
    """The run-out fan of the selected product."""

    fan: var[Fan | None] = var(None)

    def __init__(self, **more: Any) -> None:
        super().__init__(**more)
        self._drawn: tuple[object, list[Line]] = (None, [])

    def watch_fan(self) -> None:
        """Draw the fan of another product or under other assumptions."""
        self._drawn = (None, [])
        self.refresh()

    def lines(self) -> list[Line]:
        """The drawn fan, in as many lines as the widget has; kept, since it is asked for line by line."""
        width, height = self.size
        if self.fan is None or width < 30 or height < 7:
            return []
        band = "glass" if self.app.theme == "terminal" else "rule"
        if self._drawn[0] != (width, height, band):
            self._drawn = (width, height, band), drawn(self.fan, width, height, band=band)
        return self._drawn[1]

    def render_line(self, y: int) -> Strip:
        """One line of the fan."""
        lines = self.lines()
        return strip_of(lines[y] if y < len(lines) else (), self.size.width, colours(self.app))


class ForecastScreen(BooksScreen[ForecastBooks]):
    """Products by the day to order by, the fan of the selected one, and assumptions that change it."""

    CSS_PATH = "forecast.tcss"
    ABOUT = _(
        "How long everything lasts. Sprays are mixes of the usual size: the first figure is the "
        "cautious one (nine times in ten there are at least so many), the second is the median. "
        "The fan shows what will be left: the line has even chances, the band holds 8 chances in "
        "10. Ordered by the day shown, it should arrive in time. These are estimates from what "
        "was booked."
    )
    BINDINGS: ClassVar[list[BindingType]] = bindings("forecast")

    class Answered(Message):
        """The forecasts under other assumptions were worked out."""

        def __init__(self, question: Assumptions, books: ForecastBooks) -> None:
            super().__init__()
            self.question = question
            self.books = books

        def can_replace(self, message: Message) -> bool:
            """Only the newest forecasts are drawn."""
            return isinstance(message, ForecastScreen.Answered)

    class Drawn(Message):
        """The days of one product's fan."""

        def __init__(self, forecast: Forecast, days: list[FanDay], span: int) -> None:
            super().__init__()
            self.forecast = forecast
            self.days = days
            self.span = span

        def can_replace(self, message: Message) -> bool:
            """Only the newest fan is shown."""
            return isinstance(message, ForecastScreen.Drawn)

    def __init__(self) -> None:
        super().__init__()
        self._question = Assumptions()
        self._broad, self._slim = False, False

    def furniture(self) -> ComposeResult:
        """The products, the assumptions, the fan, and the remarks on the selected product."""
        yield Rows(NARROW, self._cells, key=lambda one: one.facts.number, id="products")
        yield Static(id="what-if")
        yield FanView(id="fan")
        yield Static(id="because")

    def on_mount(self) -> None:
        """Focus the products; the most urgent one is the first."""
        self.query_one(Rows).focus()

    def default_focus(self) -> Widget:
        return self.query_one(Rows)

    def on_resize(self) -> None:
        """Show more columns where there is room."""
        super().on_resize()
        width = self.app.size.width
        self._broad, self._slim = width >= BROAD, width < ORDINARY
        self.query_one(Rows).columns_for(WIDE if self._broad else SLIM if self._slim else NARROW)

    def read_books(self) -> ForecastBooks:
        from stock.forecast import orders
        from stock.forecast.books import read

        reading = read(self.shell.as_of)
        return worked_out(reading, self._question, tuple(orders.listed(self.shell.as_of)))

    def draw(self, books: ForecastBooks) -> None:
        """Show first what has a day to order by, the soonest first; then the rest."""
        due = sorted(
            (one for one in books.products if one.order_by), key=lambda one: one.order_by_day or one.today
        )
        rest = [one for one in books.products if not one.order_by]
        items: list[Forecast | Heading] = []
        for title, mine in ((_("Order"), due), (_("No order needed"), rest)):
            if mine:
                items += [Heading(title, f"{len(mine)}"), *mine]
        show_text(self.query_one("#what-if", Static), self._question.words(books.reading.risk))
        self.query_one("#what-if").set_class(not self._question.plain, "-asked")
        self.query_one(Rows).show(items, empty=_("No products yet: receive the first bottle on the Shelf."))
        if not items:
            self.query_one(FanView).fan = None
            show_text(self.query_one("#because", Static), "")

    def _cells(self, one: Forecast) -> tuple[Any, ...]:
        """The cells of one product, for the present columns."""
        sprays = f"{one.sprays[0]}-{one.sprays[1]}" if one.sprays else "?"
        late = one.order_by is not None and one.order_by.day <= 0
        by = _("now") if late else short_day(one.order_by_day, one.today)
        order = f"{one.order.count} × {ml(one.order.pack.size_ul)} ml" if one.order else ""
        out = [self._day(one, place) for place in range(3)]
        return (
            one.facts.product,
            f"{ml(one.usable_ul)} ml",
            *(() if self._slim else (sprays, out[1])),
            *((out[0], out[2]) if self._broad else ()),
            (Run(by, "stop" if late else "ink", None, late),),
            order,
            one.facts.supplier or "",
        )

    @staticmethod
    def _day(one: Forecast, place: int) -> str:
        """The day on which it runs out; `?` without any history."""
        if one.runs_out[place] is not None:
            return short_day(one.day(one.runs_out[place]), one.today)
        return "?" if one.basis == "none" else _("2+ years")

    @on(Rows.Moved)
    def _moved(self, message: Rows.Moved) -> None:
        one: Forecast = message.item
        show_text(self.query_one("#because", Static), because(one))
        if self.books is not None:
            self._look(one, self.books.reading)
        self.refresh_bindings()

    @work(thread=True, exclusive=True, group="fan", exit_on_error=False)
    def _look(self, one: Forecast, reading: "Reading") -> None:
        """Work out the fan of the selected product, from what was read already."""
        from stock.forecast.forecasting import fan

        span = span_of(one)
        days = fan(reading.priors, one.facts, span, self._question.asked(reading.risk))
        if not get_current_worker().is_cancelled:
            self.post_message(self.Drawn(one, days, span))

    @on(Drawn)
    def _show_fan(self, message: Drawn) -> None:
        message.stop()
        one = message.forecast
        drawable = one.basis != "none" or one.usable_ul > 0
        self.query_one(FanView).fan = (
            Fan(message.days, message.span, one.today, marks_of(one)) if drawable else None
        )

    def _ask(self, question: Assumptions) -> None:
        """Work out the forecasts under other assumptions, from what was read already."""
        if self.books is not None:
            self._question = question
            self._answer(question, self.books)

    @work(thread=True, exclusive=True, group="answer", exit_on_error=False)
    def _answer(self, question: Assumptions, books: ForecastBooks) -> None:
        answered = worked_out(books.reading, question, books.orders)
        if not get_current_worker().is_cancelled:
            self.post_message(self.Answered(question, answered))

    @on(Answered)
    def _show_answer(self, message: Answered) -> None:
        message.stop()
        if message.question == self._question:
            self.books = message.books
            self.draw(message.books)
            self.refresh_bindings()

    @property
    def in_hand(self) -> Forecast | None:
        found: Forecast | None = self.query_one(Rows).item
        return found

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """None for an action that can't be done now; its key is shown in brackets."""
        del parameters
        if not self.is_mounted or action not in ("order", "as_it_is", "mix"):
            return True
        if action == "order":
            return True if self.in_hand is not None else None
        if action == "as_it_is":
            return None if self._question.plain else True
        return True if self.in_hand is not None and self.in_hand.facts.role in ("paint", "clear") else None

    def _basket(self) -> "Basket | None":
        """The basket that the selected product belongs to, or a basket of its own while it is not due with others."""
        from stock.forecast.forecasting import baskets_of

        one = self.in_hand
        if one is None or self.books is None or one.order is None:
            return None
        name = one.facts.product
        due = (
            each for each in self.books.baskets for line in (*each.must, *each.along) if line.product == name
        )
        return next(due, None) or next(iter(baskets_of([one])), None)

    def action_use(self, way: int) -> None:
        """Assume more use, or less."""
        self._ask(self._question.used(way))

    def action_later(self) -> None:
        self._ask(self._question.delayed())

    def action_service(self) -> None:
        """Assume another accepted risk."""
        if self.books is not None:
            self._ask(self._question.served(self.books.reading.risk))

    def action_bottle(self) -> None:
        """Assume one more bottle of each product."""
        self._ask(self._question.stocked())

    def action_as_it_is(self) -> None:
        self._ask(Assumptions())

    def action_order(self) -> None:
        """Make an order from the basket; for a product that is not due, with a line to change."""
        from tui.forecast.ordering import LineToOrder, MakeOrder, basket_text, lines_of

        one, basket = self.in_hand, self._basket()
        if one is None or self.books is None:
            return
        names = [each.facts.product for each in self.books.products]
        if basket is not None:
            currency = self.books.reading.currency
            text = basket_text(basket, self.shell.the_day, currency)
            lines, supplier = lines_of(basket, currency), basket.supplier
        else:
            size = min((pack.size_ul for pack in one.facts.packs), default=Microlitres(60_000))
            lines, supplier = [LineToOrder(one.facts.product, size, 1)], one.facts.supplier or ""
            due = one.order_by is not None and one.order_by.due
            text = (
                _("It is due, and no size is noted: this one is a guess.") if due else _("It is not due yet.")
            )
        self._push(MakeOrder(lines, names, supplier=supplier, text=text))

    def action_incoming(self) -> None:
        """Show what is on order."""
        from tui.forecast.on_order import OnOrder

        self.app.push_screen(OnOrder(self._in_mind()), self._left)

    def action_plans(self) -> None:
        """Show the planned uses."""
        from tui.forecast.planning import Plans

        self.app.push_screen(Plans(self._in_mind()), self._left)

    def _in_mind(self) -> str:
        return self.in_hand.facts.product if self.in_hand is not None else ""

    def _left(self, booked: bool | None) -> None:
        if booked:
            self.reload()

    def _push(self, errand: Any) -> None:
        self.app.push_screen(errand, self._done)

    def action_mix(self) -> None:
        """Take this paint to the Bench."""
        if self.in_hand is not None:
            self.shell.go("bench", self.in_hand.facts.product)

    def action_look_back(self) -> None:
        """Compare past forecasts with what happened."""
        from tui.forecast.past import LookingBack

        self.app.push_screen(LookingBack())

    def _done(self, text: str | None) -> None:
        """Say what was booked, and read again."""
        if text:
            self.shell.announce(text)
            self.reload()


def worked_out(
    reading: "Reading", question: Assumptions, orders: "tuple[list[OpenLine], ...]"
) -> ForecastBooks:
    """The forecasts under these assumptions, from what was read already."""
    from stock.forecast.forecasting import baskets_of

    products = reading.forecasts(what_if=question.asked(reading.risk))
    return ForecastBooks(reading, tuple(products), tuple(baskets_of(products)), orders)
