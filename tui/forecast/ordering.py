"""Dialogs that make an order from a supplier's basket, receive it and cancel it."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import TYPE_CHECKING, ClassVar

from textual.app import ComposeResult
from textual.widgets import Static

from stock.errors import BadInput
from stock.forecast.baskets import Basket
from stock.forecast.orderbook import OpenLine
from stock.language import _
from stock.money import show_money
from stock.units import Microlitres
from tui.drawing.figures import count, ml, ml_exact, short_day
from tui.widgets import field_readers
from tui.widgets.books_screen import words
from tui.widgets.dialog import BookingDialog
from tui.widgets.field_readers import volume
from tui.widgets.fields import Field
from tui.widgets.lines_dialog import LinesDialog
from tui.widgets.name_field import NameField
from tui.widgets.rows import Cell, ListColumn

if TYPE_CHECKING:
    from stock.forecast.orders import CameAs

SIZES = tuple(f"{size} ml" for size in (30, 60, 120, 240, 480, 1_000))
DAYS = ("+3d", "+1w", "+2w", "+3w", "+4w")


def basket_text(basket: Basket, today: date, currency: str) -> str:
    """The text beside a basket's lines: the day to order by, the cost, and what the early lines save."""
    day = today + timedelta(days=basket.day)
    due = (
        _("Order today.")
        if basket.day == 0
        else _("Order by {day}, {day2} from now.", day=short_day(day, today), day2=count(basket.day, "day"))
    )
    goods = _("Goods {goods_minor}", goods_minor=show_money(basket.goods_minor, currency))
    if basket.unpriced:
        goods += _(" and {unpriced} without a price", unpriced=count(basket.unpriced, "line"))
    shipping = (
        _(", shipping {shipping_minor}", shipping_minor=show_money(basket.shipping_minor, currency))
        if basket.shipping_minor
        else ""
    )
    lines = [f"{due} {goods}{shipping}."]
    if basket.along and basket.saved_minor > 0:
        lines.append(
            _(
                "The lines ordered early save about {saved_minor}.",
                saved_minor=show_money(basket.saved_minor, currency),
            )
        )
    if basket.missing_minor is not None:
        lines.append(
            _(
                "{missing_minor} more would make shipping free.",
                missing_minor=show_money(basket.missing_minor, currency),
            )
        )
    return "\n".join(lines)


@dataclass(frozen=True, slots=True)
class LineToOrder:
    """One line of an order: the product, microlitres in a pack, how many; `note` is shown beside it."""

    product: str
    size_ul: Microlitres
    packs: int
    note: str = ""


def lines_of(basket: Basket, currency: str) -> list[LineToOrder]:
    """The basket's lines with their costs, those that must be ordered now first."""
    lines = []
    for line in (*basket.must, *basket.along):
        cost = _("no price") if line.cost_minor is None else show_money(line.cost_minor, currency)
        early = _(", ordered early") if line in basket.along else ""
        lines.append(LineToOrder(line.product, line.size_ul, line.count, f"{cost}{early}"))
    return lines


class MakeOrder(LinesDialog[LineToOrder]):
    """Makes an order: what is due from one supplier by the forecast, or what a person enters."""

    GO: ClassVar[str] = _("It is ordered")
    TYPED: ClassVar[Sequence[str]] = ("product", "size", "packs")
    LINE: ClassVar[Sequence[ListColumn]] = (
        ListColumn("", 12),
        ListColumn(""),
        ListColumn("", 25, right=True),
    )

    def __init__(
        self, lines: Sequence[LineToOrder], names: Sequence[str], *, supplier: str = "", text: str = ""
    ) -> None:
        super().__init__(lines)
        self._names = names
        self._supplier = supplier
        self._text = text

    def head(self) -> str:
        return _("Order from {supplier}", supplier=self._supplier) if self._supplier else _("Order")

    def of_line(self) -> ComposeResult:
        """The basket's text, and the fields of a line: product, size, packs."""
        yield Static(words(self._text), id="basket")
        yield NameField(
            _("Product"), example=_("one more, by a few letters"), offers=self._names, id="product"
        )
        yield Field(_("Size"), read=volume, unit="ml", example=_("60 ml"), offers=SIZES, id="size")
        yield Field(_("Packs"), read=packs, value="1", offers=[str(n) for n in range(1, 25)], id="packs")

    def of_all(self) -> ComposeResult:
        """From whom, and when it should come."""
        yield Field(
            _("From"), value=self._supplier, blank=True, example=_("their own supplier"), id="supplier"
        )
        yield Field(_("Expected"), read=_day, blank=True, example="2026-03-12", offers=DAYS, id="expected")
        yield Static(words(_("This only notes the order; you place it with the supplier yourself.")))

    def on_mount(self) -> None:
        """Focus the key that books, so that Enter books a basket as it is."""
        super().on_mount()
        if self.lines:
            self.query_one("#go").focus()

    def cells(self, line: LineToOrder) -> Sequence[Cell]:
        """The packs, the product, and the cost."""
        return (f"{line.packs} × {ml(line.size_ul)} ml", line.product, line.note)

    @property
    def started(self) -> bool:
        """Whether a product is named."""
        return bool(self.query_one("#product", Field).text.strip())

    def line(self) -> LineToOrder:
        """The line in the fields."""
        field = self.query_one("#product", Field)
        with self.reading(field):
            name = field_readers.product(field.read())
        read = self.line_of("size", "packs")
        if not read["packs"]:
            self.query_one("#packs", Field).wrong(_("Write 1 to 1,000, or leave the line out."))
            self.stay()
        return LineToOrder(name, read["size"], read["packs"])

    def texts(self, line: LineToOrder) -> dict[str, str]:
        """A line as it would be typed."""
        return {
            "product": line.product, "size": f"{ml_exact(line.size_ul)} ml", "packs": str(line.packs),
        }  # fmt: skip

    def put(self, line: LineToOrder | None) -> None:
        """Put a line into the fields, or empty them."""
        for field, text in (self.texts(line) if line else {"product": "", "size": "", "packs": "1"}).items():
            self.query_one(f"#{field}", Field).text = text

    def errand(self) -> Callable[[], str]:
        from stock.forecast import orders

        lines = [orders.NewOrderLine(line.product, line.size_ul, line.packs) for line in self.every_line()]
        supplier, expected, key = self.read("supplier"), self.read("expected"), self.request

        def book() -> str:
            answer = orders.make(lines, supplier=supplier or None, expected_on=expected, key=key)
            return _(
                "Order {order}: {lines} on the way", order=answer["order"], lines=count(len(lines), "line")
            )

        return book


class OfOrder(BookingDialog[str]):
    """A dialog with a number of packs for each open line of an order."""

    EACH: ClassVar[str] = ""

    def __init__(self, lines: Sequence[OpenLine], today: date) -> None:
        super().__init__()
        self._all = lines
        self._open = [line for line in lines if line.open]
        self._today = today

    def head(self) -> str:
        first = self._all[0]
        day = short_day(first.ordered_on, self._today)
        return _(
            "Order {order} of {day}, {supplier}",
            order=first.order,
            day=day,
            supplier=first.supplier or _("no supplier"),
        )

    def line_fields(self) -> ComposeResult:
        """How many of each line, and what is printed on it."""
        for line in self._open:
            yield Static(words(f"{line.open} × {ml(line.size_ul)} ml {line.product}"), classes="ordered")
            yield Field(
                self.EACH, read=packs, value=str(line.open), id=f"line{line.line}",
                offers=[str(number) for number in range(line.open, -1, -1)],
            )  # fmt: skip
            yield from self.printed_on(line)

    def printed_on(self, line: OpenLine) -> Iterator[Field]:
        """Fields for what is printed on the bottles of a line; none."""
        del line
        return iter(())

    def counts(self) -> dict[int, int]:
        """How many of each line, by its number; lines with none are left out."""
        read = {line.line: self.read(f"line{line.line}") for line in self._open}
        chosen = {line: number for line, number in read.items() if number}
        if not chosen:
            self.refuse(_("All counts are 0, so nothing was booked."))
            self.stay()
        return chosen

    @property
    def order(self) -> int:
        return self._all[0].order


class ReceiveOrder(OfOrder):
    """Receives an order: everything, or fewer packs of some lines."""

    GO: ClassVar[str] = _("Put on the shelf")
    EACH: ClassVar[str] = _("Received")

    def __init__(self, lines: Sequence[OpenLine], today: date, places: Sequence[str] = ()) -> None:
        super().__init__(lines, today)
        self._places = places

    def fields(self) -> ComposeResult:
        """How many packs of each line were received and what is printed on them."""
        yield from self.line_fields()
        yield Field(_("Place"), blank=True, example=_("none noted"), offers=self._places, id="place")

    def printed_on(self, line: OpenLine) -> Iterator[Field]:
        """The lot and the best-before day on the bottles of a line."""
        yield Field(_("Lot"), blank=True, example=_("as on the label"), id=f"lot{line.line}")
        yield Field(
            _("Best before"),
            read=_day,
            blank=True,
            example=_("2027-03-01, if printed"),
            id=f"best{line.line}",
        )
        yield Field(
            _("Left in each"), blank=True, example=_("full; or half, 22 ml, 40%"), id=f"left{line.line}"
        )

    def _came_as(self, line: OpenLine) -> "CameAs":
        """What is printed on the bottles of a line, and what is in each."""
        from stock.forecast.orders import CameAs
        from tui.dialogs.delivery import left_in_each

        field = self.query_one(f"#left{line.line}", Field)
        with self.reading(field):
            left_ul = left_in_each(field.text, line.size_ul, line.product)
        return CameAs(self.read(f"lot{line.line}") or "", self.read(f"best{line.line}"), left_ul)

    def errand(self) -> Callable[[], str]:
        from stock.forecast import orders
        from stock.store.connection import writing
        from tui.dialogs.delivery import place_named

        came, place = self.counts(), self.read("place")
        printed = {line.line: self._came_as(line) for line in self._open if line.line in came}
        order, key = self.order, self.request

        def book() -> str:
            with writing():
                where = place_named(place) if place else None
                answer = orders.receive(order, came, printed=printed, place=where, key=key)
            still = (
                _("{open} still to come", open=count(answer["open"], "pack"))
                if answer["open"]
                else _("the order is complete")
            )
            return _(
                "{bottles} on the shelf, {still}",
                bottles=count(len(answer["bottles"]), "bottle"),
                still=still,
            )

        return book


class CancelOrder(OfOrder):
    """Cancels packs of an order."""

    GO: ClassVar[str] = _("Cancel the packs")
    EACH: ClassVar[str] = _("Cancel")

    def fields(self) -> ComposeResult:
        """How many packs of each line to cancel."""
        yield Static(words(_("The forecast no longer counts them; the Logbook can take this back.")))
        yield from self.line_fields()

    def errand(self) -> Callable[[], str]:
        from stock.forecast import orders

        gone, order, key = self.counts(), self.order, self.request

        def book() -> str:
            answer = orders.cancel(order, gone, key=key)
            still = _(", {open} still to come", open=count(answer["open"], "pack")) if answer["open"] else ""
            return _(
                "Order {order}: {cancelled} cancelled{still}",
                order=order,
                cancelled=count(answer["cancelled"], "pack"),
                still=still,
            )

        return book


def _day(text: str) -> date:
    return field_readers.day(text)


def packs(text: str) -> int:
    """A number of packs, 0 to 1,000.

    Raises:
        BadInput: no such number.
    """
    tidied = text.strip()
    if not (tidied.isascii() and tidied.isdigit() and len(tidied) <= 4 and int(tidied) <= 1_000):
        raise BadInput(_("{text!r} is not a number of packs", text=text[:20]), remedy=_("Write 0 to 1,000"))
    return int(tidied)
