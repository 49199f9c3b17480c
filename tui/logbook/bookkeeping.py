"""Invoices and the closed period: the lists, and the dialogs that note, tie, close and open again."""

from collections.abc import Callable, Hashable, Sequence
from datetime import date
from typing import Any, ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.widgets import Static

from stock.grammar import in_full
from stock.language import _
from stock.money import money_figure
from stock.notation import show_day
from stock.shelf.invoices import InvoiceView
from stock.shelf.periods import PeriodView
from tui.drawing.bottle import Run
from tui.widgets import field_readers
from tui.widgets.books_screen import words
from tui.widgets.dialog import Ask, BookingDialog
from tui.widgets.fields import Field, such_as
from tui.widgets.keys import bindings
from tui.widgets.listing import Listing
from tui.widgets.rows import Cell, ListColumn

MOST_OFFERED = 12


def money(text: str) -> int:
    """An amount of the studio's currency, in its minor unit."""
    from stock import units
    from stock.shelf.studio import settings
    from stock.store.connection import connection

    with connection():
        return units.money(text, settings().currency)


def percent(text: str) -> int:
    """A rate in thousandths of a per cent; a bare figure is per cent."""
    from stock import units

    bare = text.strip()
    return units.percent(bare if bare.endswith("%") else f"{bare}%")


def bookings(text: str) -> list[int]:
    """Numbers of deliveries with blanks or commas between them.

    Raises:
        BadInput: something is no number.
    """
    from stock.errors import BadInput

    found = text.replace(",", " ").split()
    if not all(each.isascii() and each.isdigit() and len(each) < 10 for each in found):
        raise BadInput(_("these are no numbers of deliveries"), remedy=_("Write them as 12 15"))
    return [int(each) for each in found]


def last_day(text: str) -> date:
    """A day, or the last day of a month that is written as 2026-03."""
    from stock.logbook.months import last_day as read
    from stock.shelf.studio import settings
    from stock.store.connection import connection

    with connection():
        return read(text, settings().today())


class Invoices(Listing[InvoiceView]):
    """Suppliers' invoices, the newest first, with the deliveries that each is for."""

    HEAD: ClassVar[str] = _("Invoices")
    EMPTY: ClassVar[str] = _("No invoice is noted: press n to note one.")
    ABOUT: ClassVar[str] = _(
        "An invoice names the deliveries it is for, so that purchases and bills stand side by side."
    )
    COLUMNS: ClassVar[Sequence[ListColumn]] = (
        ListColumn(_("dated"), 10), ListColumn(_("invoice"), 10), ListColumn(_("supplier")),
        ListColumn(_("net"), 9, right=True),
        ListColumn(_("tax"), 8, right=True), ListColumn(_("gross"), 10, right=True), ListColumn(_("deliveries"), 12),
    )  # fmt: skip
    BINDINGS: ClassVar[list[BindingType]] = bindings("invoices")

    def __init__(self) -> None:
        super().__init__()
        self._currency = ""
        self._suppliers: list[str] = []
        self._deliveries: list[str] = []

    def read(self) -> Sequence[InvoiceView]:
        """The invoices, and what the dialogs offer."""
        from stock.logbook import purchases
        from stock.shelf import invoices, suppliers
        from stock.shelf.studio import settings

        self._currency = settings().currency
        self._suppliers = [row.name for row in suppliers.everything()]
        came = [one for one in purchases.read().deliveries if not one.invoices]
        self._deliveries = [str(one.delivery) for one in reversed(came)][:MOST_OFFERED]
        return list(reversed(invoices.everything()))

    def cells(self, item: InvoiceView) -> Sequence[Cell]:
        """The day, the number, the supplier, the amounts and the deliveries."""

        texts = (
            show_day(item.dated_on), item.number, item.supplier, money_figure(item.net_minor, self._currency),
            f"{in_full(item.tax_milli / 1_000)} %", money_figure(item.gross_minor, self._currency),
            " ".join(map(str, item.deliveries)) or "none",
        )  # fmt: skip
        return tuple((Run(text, "ink"),) for text in texts)

    def ident(self, item: InvoiceView) -> Hashable:
        """Its number in the books."""
        return item.id

    def chosen(self, item: InvoiceView) -> None:
        self.ask(TieInvoice(item, self._deliveries))

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """None for tying and removing without an invoice."""
        del parameters
        return True if action not in ("tie", "remove") or self.item is not None else None

    def action_new(self) -> None:
        self.ask(NoteInvoice(self._suppliers, self._deliveries))

    def action_tie(self) -> None:
        """Name further deliveries of the selected invoice."""
        if self.item is not None:
            self.chosen(self.item)

    def action_remove(self) -> None:
        """Take back what was noted of the selected invoice."""
        from stock.shelf import invoices

        item = self.item
        if item is not None:
            self.ask(
                Ask(
                    _("Remove an invoice"),
                    _(
                        "Invoice {number} of {supplier} is noted no more; its deliveries stay.",
                        number=item.number,
                        supplier=item.supplier,
                    ),
                    go=_("Remove it"),
                    errand=lambda _: invoices.remove(item.id),
                    said=_("Invoice {number} is noted no more", number=item.number),
                )
            )


class NoteInvoice(BookingDialog[str]):
    """Notes an invoice."""

    HEAD: ClassVar[str] = _("Note an invoice")
    GO: ClassVar[str] = _("Note it")

    def __init__(self, suppliers: Sequence[str], deliveries: Sequence[str]) -> None:
        super().__init__()
        self._suppliers, self._deliveries = suppliers, deliveries

    def fields(self) -> ComposeResult:
        """What is printed on it, and the deliveries that it is for."""
        yield Static(words(_("As it is printed. An invoice with two tax rates is noted once a rate.")))
        yield Field(_("Number"), example=_("as printed"), id="number")
        yield Field(_("From"), example=_("who sent it"), offers=self._suppliers, id="supplier")
        yield Field(
            _("Dated"),
            read=field_readers.day,
            example="2026-03-04",
            offers=("today", "yesterday"),
            id="dated",
        )
        yield Field(_("Net"), read=money, example="84.20", id="net")
        yield Field(_("Tax rate"), read=percent, value="0", example="19", unit="%", id="tax")
        yield Field(_("Gross"), read=money, blank=True, example=_("worked out if empty"), id="gross")
        yield _deliveries_field(self._deliveries)

    def errand(self) -> Callable[[], str]:
        number, supplier, dated, net, tax, gross, of = (
            self.read(field) for field in ("number", "supplier", "dated", "net", "tax", "gross", "deliveries")
        )

        def note() -> str:
            from stock.shelf import invoices

            made = invoices.add(
                number, supplier=supplier, dated_on=dated, net_minor=net, tax_milli=tax, gross_minor=gross,
                deliveries=of or (),
            )  # fmt: skip
            return _("Invoice {number} of {supplier} is noted", number=made.number, supplier=made.supplier)

        return note


def _deliveries_field(offered: Sequence[str]) -> Field:
    return Field(
        _("Deliveries"),
        read=bookings,
        blank=True,
        example=_("their numbers, as 12 15"),
        offers=offered,
        id="deliveries",
    )


class TieInvoice(BookingDialog[str]):
    """Names further deliveries that an invoice is for."""

    GO: ClassVar[str] = _("Note it")

    def __init__(self, invoice: InvoiceView, deliveries: Sequence[str]) -> None:
        super().__init__()
        self._invoice, self._deliveries = invoice, deliveries

    def head(self) -> str:
        return _("Deliveries of invoice {number}", number=self._invoice.number)

    def fields(self) -> ComposeResult:
        yield Static(words(_("Offered are deliveries that no invoice is noted for.")))
        yield _deliveries_field(self._deliveries)

    def errand(self) -> Callable[[], str]:
        of, invoice = self.read("deliveries"), self._invoice
        if not of:
            self.refuse(_("Write a delivery's number."))
            self.stay()

        def tie() -> str:
            from stock.shelf import invoices

            tied = invoices.tie(invoice.id, of)
            return _(
                "Invoice {number} is for {str}", number=tied.number, str=", ".join(map(str, tied.deliveries))
            )

        return tie


class Periods(Listing[PeriodView]):
    """Until when the books are closed, and each change of that with its reason."""

    HEAD: ClassVar[str] = _("Closed period")
    EMPTY: ClassVar[str] = _("No period is closed: press c to close a month.")
    ABOUT: ClassVar[str] = _(
        "On a closed day or before it nothing is dated any more; a correction counts in the "
        "month in which it is made."
    )
    COLUMNS: ClassVar[Sequence[ListColumn]] = (
        ListColumn(_("changed on"), 12), ListColumn(_("closed until"), 14), ListColumn(_("reason")),
    )  # fmt: skip
    BINDINGS: ClassVar[list[BindingType]] = bindings("periods")

    def __init__(self) -> None:
        super().__init__()
        self._month_before = ""
        self._any_closed = False

    def read(self) -> Sequence[PeriodView]:
        """The changes, the newest first."""
        from datetime import timedelta

        from stock.shelf import periods
        from stock.shelf.studio import settings

        self._any_closed = periods.closed_until() is not None
        self._month_before = (settings().today().replace(day=1) - timedelta(days=1)).isoformat()[:7]
        return periods.changes()

    def cells(self, item: PeriodView) -> Sequence[Cell]:
        """The day of the change, the last closed day, and why."""
        until = show_day(item.closed_until) if item.closed_until else "nothing"
        return tuple((Run(text, "ink"),) for text in (show_day(item.on), until, item.reason))

    def ident(self, item: PeriodView) -> Hashable:
        return item

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """None for opening again where nothing is closed."""
        del parameters
        return True if action != "reopen" or self._any_closed else None

    def action_close(self) -> None:
        """Close the books until a day."""
        self.ask(ClosePeriod(self._month_before))

    def action_reopen(self) -> None:
        """Open the books again."""
        self.ask(ReopenPeriod())


class ClosePeriod(BookingDialog[str]):
    """Closes the books until a day."""

    HEAD: ClassVar[str] = _("Close a period")
    GO: ClassVar[str] = _("Close it")

    def __init__(self, month: str) -> None:
        super().__init__()
        self._month = month

    def fields(self) -> ComposeResult:
        """The last day that is closed, and a note."""
        yield Static(words(_("Nothing is dated on its last day or before it any more.")))
        yield Field(_("Month or day"), read=last_day, value=self._month, example="2026-03", id="until")
        yield Field(_("Because"), blank=True, example=such_as(_("handed to the bookkeeper")), id="reason")

    def errand(self) -> Callable[[], str]:
        until, reason = self.read("until"), self.read("reason") or ""
        return lambda: _(
            "The books are closed until {until}", until=show_day(_periods().close(until, reason=reason))
        )


class ReopenPeriod(BookingDialog[str]):
    """Opens the books again, with a reason."""

    HEAD: ClassVar[str] = _("Open a period again")
    GO: ClassVar[str] = _("Open it")

    def fields(self) -> ComposeResult:
        """Why, and what stays closed."""
        yield Static(words(_("This is written down with its reason.")))
        yield Field(_("Because"), example=_("why, for whoever reads the books"), id="reason")
        yield Field(
            _("Stays closed"),
            read=last_day,
            blank=True,
            example=_("a month or day; nothing if empty"),
            id="until",
        )

    def errand(self) -> Callable[[], str]:
        until, reason = self.read("until"), self.read("reason")

        def reopen() -> str:
            stays = _periods().reopen(until, reason=reason)
            return (
                _("The books are closed until {stays}", stays=show_day(stays))
                if stays
                else _("No period is closed any more")
            )

        return reopen


def _periods() -> Any:
    from stock.shelf import periods

    return periods
