"""The list of orders, to receive or cancel what is on order."""

from collections.abc import Hashable, Sequence
from dataclasses import dataclass
from typing import ClassVar

from textual.binding import BindingType

from stock.forecast.orderbook import OpenLine
from stock.language import _
from tui.drawing.bottle import Run
from tui.drawing.figures import ml, short_day
from tui.widgets.keys import bindings
from tui.widgets.listing import Listing
from tui.widgets.rows import Cell, Heading, ListColumn, Rows


@dataclass(frozen=True, slots=True)
class OrderRow:
    """One line of an order, with all lines of the same order."""

    line: OpenLine
    order: tuple[OpenLine, ...]


class OnOrder(Listing[OrderRow]):
    """Orders line by line, the newest order first."""

    HEAD: ClassVar[str] = _("On order")
    EMPTY: ClassVar[str] = _("Nothing is on order")
    COLUMNS: ClassVar[Sequence[ListColumn]] = (
        ListColumn("", 14),
        ListColumn(""),
        ListColumn("", 22, right=True),
    )
    BINDINGS: ClassVar[list[BindingType]] = bindings("on_order")

    def __init__(self, product: str = "") -> None:
        super().__init__()
        self._product = product
        self._everything = False
        self._places: tuple[str, ...] = ()

    def read(self) -> Sequence[OrderRow | Heading]:
        """The lines, each order under its own heading."""
        from stock.forecast import orders
        from stock.shelf import places

        self._places = tuple(place.name for place in places.everything())
        today = self.shell.the_day
        listed: list[OrderRow | Heading] = []
        for lines in orders.listed(self.shell.as_of, everything=self._everything):
            first = lines[0]
            expected = (
                _("expected {expected_on}", expected_on=short_day(first.expected_on, today))
                if first.expected_on
                else ""
            )
            day = short_day(first.ordered_on, today)
            listed.append(
                Heading(
                    _(
                        "{order} of {day}, {supplier}",
                        order=first.order,
                        day=day,
                        supplier=first.supplier or _("no supplier"),
                    ),
                    expected,
                )
            )
            listed += [OrderRow(line, tuple(lines)) for line in lines]
        return listed

    def on_listing_items_read(self) -> None:
        """Select the line of the product that was selected on the screen, the first time."""
        rows = self.query_one(Rows)
        mine = next(
            (one for one in rows.items if isinstance(one, OrderRow) and one.line.product == self._product),
            None,
        )
        if mine is not None and not isinstance(mine, Heading):
            rows.go_to(self.ident(mine))
        self._product = ""

    def cells(self, item: OrderRow) -> Sequence[Cell]:
        """The packs, the product, and how many were received and cancelled."""
        line = item.line
        parts = [_("{received} received", received=line.received)] * bool(line.received) + [
            _("{cancelled} cancelled", cancelled=line.cancelled)
        ] * bool(line.cancelled)
        state = ", ".join([*parts, _("{open} open", open=line.open)] if line.open else parts)
        ink = "ink" if line.open else "quiet"
        return (
            (Run(f"{line.packs} × {ml(line.size_ul)} ml", ink),),
            (Run(line.product, ink),),
            (Run(state, ink),),
        )

    def ident(self, item: OrderRow) -> Hashable:
        return item.line.line

    def chosen(self, item: OrderRow) -> None:
        from tui.forecast.ordering import ReceiveOrder

        if any(line.open for line in item.order):
            self.ask(ReceiveOrder(item.order, self.shell.the_day, self._places))

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """None for receiving and cancelling where no line is open."""
        del parameters
        if action in ("receive", "cancel"):
            item = self.item
            return True if item is not None and any(line.open for line in item.order) else None
        return True

    def action_receive(self) -> None:
        """Receive the selected order."""
        if self.item is not None:
            self.chosen(self.item)

    def action_cancel(self) -> None:
        """Cancel packs of the selected order."""
        from tui.forecast.ordering import CancelOrder

        if self.item is not None:
            self.ask(CancelOrder(self.item.order, self.shell.the_day))

    def action_everything(self) -> None:
        """Show or hide orders that are complete."""
        self._everything = not self._everything
        self.reload()
