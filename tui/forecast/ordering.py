"""Ordering: a supplier's basket becomes an order, and what came of an order goes onto the shelf."""

from collections.abc import Callable, Sequence
from datetime import date, timedelta

from textual.app import ComposeResult
from textual.widgets import Static

from stock.errors import BadInput
from stock.forecast.baskets import Basket
from stock.forecast.orderbook import OpenLine
from stock.money import show_money
from tui.widgets.errand import Errand
from tui.widgets.fields import Field
from tui.widgets.room import words
from tui.widgets.say import count, ml, short_day

MOST_FIELDS = 6


def basket_text(basket: Basket, today: date, currency: str) -> str:
    """The basket as a person reads it: what must go, what rides along, what it costs."""
    day = today + timedelta(days=basket.day)
    due = (
        "Order today."
        if basket.day == 0
        else f"Order by {short_day(day, today)}, {count(basket.day, 'day')} from now."
    )
    lines = [due, ""]
    for line in (*basket.must, *basket.along):
        cost = "no price known" if line.cost_minor is None else show_money(line.cost_minor, currency)
        rides = "  rides along" if line in basket.along else ""
        lines.append(f"{line.count} × {ml(line.size_ul)} ml  {line.product}, {cost}{rides}")
    goods = f"Goods {show_money(basket.goods_minor, currency)}"
    if basket.unpriced:
        goods += f" and {count(basket.unpriced, 'line')} without a price"
    shipping = f", shipping {show_money(basket.shipping_minor, currency)}" if basket.shipping_minor else ""
    lines += ["", f"{goods}{shipping}."]
    if basket.along and basket.saved_minor > 0:
        lines.append(f"Riding along saves about {show_money(basket.saved_minor, currency)}.")
    if basket.missing_minor is not None:
        lines.append(f"{show_money(basket.missing_minor, currency)} more would make shipping free.")
    return "\n".join(lines)


class OrderBasket(Errand[str]):
    """One supplier's basket, written down as an order."""

    GO = "It is ordered"

    def __init__(self, basket: Basket, today: date, currency: str) -> None:
        super().__init__()
        self._basket = basket
        self._today = today
        self._currency = currency

    def head(self) -> str:
        """The supplier."""
        return f"Order from {self._basket.supplier or 'no known supplier'}"

    def fields(self) -> ComposeResult:
        """The lines; how much of each is a matter of the forecast."""
        yield Static(words(basket_text(self._basket, self._today, self._currency)), id="basket")
        yield Static(words("This notes the order here; placing it with the supplier stays with you."))

    def on_mount(self) -> None:
        """Enter books it."""
        self.query_one("#go").focus()

    def errand(self) -> Callable[[], str]:
        """Book the order."""
        from stock.forecast import orders  # noqa: PLC0415

        basket, key = self._basket, self.request
        lines = [
            orders.Wanted(line.product, line.size_ul, line.count) for line in (*basket.must, *basket.along)
        ]

        def book() -> str:
            answer = orders.make(lines, supplier=basket.supplier or None, key=key)
            return f"Order {answer['order']}: {count(len(lines), 'product')} on the way"

        return book


class ReceiveOrder(Errand[str]):
    """What came of an order: everything, or fewer packs of some lines."""

    GO = "Put on the shelf"

    def __init__(self, lines: Sequence[OpenLine], today: date) -> None:
        super().__init__()
        self._all = lines
        self._open = [line for line in lines if line.open]
        self._today = today

    def head(self) -> str:
        """The order."""
        first = self._all[0]
        return f"Order {first.order} of {short_day(first.ordered_on, self._today)}, {first.supplier or 'no supplier'}"

    def fields(self) -> ComposeResult:
        """How many of each came; a longer order is taken in by the command."""
        for line in self._open[:MOST_FIELDS]:
            yield Field(
                "Came", read=packs, value=str(line.open), id=f"line{line.line}",
                hint=f"of {line.open} × {ml(line.size_ul)} ml {line.product}",
            )  # fmt: skip
        if len(self._open) > MOST_FIELDS:
            rest = count(len(self._open) - MOST_FIELDS, "line")
            yield Static(words(f"{rest} more stay open: take them in next, or with `ullage order receive`."))
        yield Field("Lot", blank=True, example="as on the label", id="lot")

    def errand(self) -> Callable[[], str]:
        """Book the delivery."""
        from stock.forecast import orders  # noqa: PLC0415

        order, key, lot = self._all[0].order, self.request, self.read("lot")
        came: dict[str, int] = {}
        for line in self._open[:MOST_FIELDS]:
            number = self.read(f"line{line.line}")
            if number:
                came[line.product] = came.get(line.product, 0) + number
        if not came:
            self.refuse("Nothing of it came. Nothing was booked.")
            self.stay()

        def book() -> str:
            answer = orders.receive(order, came, lot=lot or "", key=key)
            rest = (
                f", {count(answer['open'], 'pack')} still to come"
                if answer["open"]
                else ", the order is complete"
            )
            return f"{count(len(answer['bottles']), 'bottle')} on the shelf{rest}"

        return book


def packs(text: str) -> int:
    """A number of packs, 0 to 1,000.

    Raises:
        BadInput: no such number.
    """
    tidied = text.strip()
    if not (tidied.isascii() and tidied.isdigit() and len(tidied) <= 4 and int(tidied) <= 1_000):
        raise BadInput(f"{text[:20]!r} is no number of packs", remedy="Write 0 to 1,000")
    return int(tidied)
