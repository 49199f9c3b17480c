"""Suppliers' invoices, and the deliveries that each one is for."""

from collections.abc import Sequence
from datetime import date
from fractions import Fraction

from stock.errors import BadInput, NotFound, UllageError
from stock.language import _
from stock.money import show_money
from stock.named_tuples import NamedTuple
from stock.notation import show_day
from stock.remedies import Do, Option, Remedy
from stock.shelf import suppliers
from stock.shelf.studio import settings
from stock.store.connection import connection, writing
from stock.store.models import Booking, Invoice, InvoiceDelivery, Undone
from stock.text import name as clean_name
from stock.units import MilliPercent

LONGEST_NUMBER = 40
WHOLE_MILLI = 100_000


class InvoiceView(NamedTuple):
    """One invoice: money in the minor unit, the tax rate in thousandths of a per cent."""

    id: int
    number: str
    supplier: str
    dated_on: date
    net_minor: int
    tax_milli: MilliPercent
    gross_minor: int
    deliveries: tuple[int, ...]


def gross_of(net_minor: int, tax_milli: MilliPercent) -> int:
    """Net and its tax together in the minor unit, rounded half up as on an invoice.

    Args:
        net_minor: the net amount, 0 or more.
        tax_milli: the tax rate in thousandths of a per cent.
    """
    whole = Fraction(net_minor * (WHOLE_MILLI + tax_milli), WHOLE_MILLI)
    return int(whole + Fraction(1, 2))


def add(
    number: str,
    *,
    supplier: str,
    dated_on: date,
    net_minor: int,
    tax_milli: MilliPercent = MilliPercent(0),
    gross_minor: int | None = None,
    deliveries: Sequence[int] = (),
) -> InvoiceView:
    """Note an invoice.

    Args:
        number: as it is printed.
        supplier: who sent it; made if the books have none of that name.
        dated_on: the day on it.
        net_minor: without tax.
        tax_milli: the rate; if an invoice has several rates, note it once for each.
        gross_minor: with tax, as printed; worked out when None. It may be one minor unit off, because
            lines are rounded one by one.
        deliveries: the bookings that it is for.
    Raises:
        BadInput: a day to come, an amount or a rate that can't be, or a gross that isn't net and tax.
        NotFound: a delivery that isn't there or was undone.
        UllageError: the supplier's invoice of that number is noted with that rate, or a delivery has one.
    """
    whole = gross_of(net_minor, tax_milli)
    _refuse_odd_amounts(net_minor, tax_milli, whole if gross_minor is None else gross_minor, whole)
    with connection(), writing():
        if dated_on > settings().today():
            raise BadInput(
                _("an invoice of {dated_on} is still to come", dated_on=show_day(dated_on)),
                remedy=_("Give the day that is on it"),
            )
        row = {
            "number": clean_name(number, what=_("invoice number")),
            "supplier": suppliers.named(supplier).id,
            "tax_milli": tax_milli,
        }
        if (
            Invoice.get_or_none(*(getattr(Invoice, field) == value for field, value in row.items()))
            is not None
        ):
            raise UllageError(
                _("invoice {number} of that supplier is noted already", number=row["number"]),
                remedy=Remedy(Do("invoice list"), _(" shows it; nothing was noted")),
                code="taken",
            )
        made = Invoice.create(
            **row,
            dated_on=dated_on,
            net_minor=net_minor,
            gross_minor=whole if gross_minor is None else gross_minor,
        )
        for delivery in deliveries:
            _tie(made.id, delivery)
        return find(made.id)


def _refuse_odd_amounts(net_minor: int, tax_milli: MilliPercent, gross_minor: int, whole: int) -> None:
    if net_minor < 0 or not 0 <= tax_milli <= WHOLE_MILLI:
        raise BadInput(
            _("an invoice's net or tax rate is out of range"),
            remedy=_("Give a net from 0 and a rate from 0% to 100%"),
        )
    if abs(gross_minor - whole) > 1:
        currency = settings().currency
        raise BadInput(
            _(
                "net and tax make {whole}, not {gross_minor}",
                whole=show_money(whole, currency),
                gross_minor=show_money(gross_minor, currency),
            ),
            remedy=Remedy(
                _("Correct one of them; an invoice with two tax rates is noted once a rate, "), Option("tax")
            ),
        )


def _tie(invoice: int, delivery: int) -> None:
    booking = Booking.get_or_none((Booking.id == delivery) & (Booking.kind == "delivery"))
    if booking is None or Undone.get_or_none(Undone.booking == delivery) is not None:
        raise NotFound(
            _("there is no delivery {delivery} that stands", delivery=delivery),
            remedy=Remedy(Do("logbook", "--kind", "delivery"), _(" lists them; nothing was noted")),
        )
    if (
        InvoiceDelivery.get_or_none(
            (InvoiceDelivery.invoice == invoice) & (InvoiceDelivery.delivery == delivery)
        )
        is None
    ):
        InvoiceDelivery.create(invoice=invoice, delivery=delivery)


def tie(invoice: int, deliveries: Sequence[int]) -> InvoiceView:
    """Note that an invoice is for these deliveries, too.

    Raises:
        NotFound: the invoice or a delivery.
    """
    with connection(), writing():
        find(invoice)
        for delivery in deliveries:
            _tie(invoice, delivery)
        return find(invoice)


def remove(invoice: int) -> InvoiceView:
    """Remove an invoice from the books; the deliveries stay.

    Raises:
        NotFound: it isn't there.
    """
    with connection(), writing():
        gone = find(invoice)
        InvoiceDelivery.delete().where(InvoiceDelivery.invoice == invoice).execute()
        Invoice.delete().where(Invoice.id == invoice).execute()
        return gone


def find(invoice: int) -> InvoiceView:
    """One invoice by its number in the books.

    Raises:
        NotFound: it isn't there.
    """
    with connection():
        found = {one.id: one for one in everything()}
    if invoice not in found:
        raise NotFound(
            _("there is no invoice {invoice}", invoice=invoice),
            remedy=Remedy(Do("invoice list"), _(" lists them")),
        )
    return found[invoice]


def everything() -> list[InvoiceView]:
    """All invoices, by their day and number."""
    with connection():
        tied: dict[int, list[int]] = {}
        for invoice, delivery in InvoiceDelivery.select(
            InvoiceDelivery.invoice, InvoiceDelivery.delivery
        ).tuples():
            tied.setdefault(invoice, []).append(delivery)
        return [
            InvoiceView(
                row.id, row.number, row.supplier.name, row.dated_on, row.net_minor, row.tax_milli, row.gross_minor,
                tuple(sorted(tied.get(row.id, ()))),
            )
            for row in Invoice.select().order_by(Invoice.dated_on, Invoice.id)
        ]  # fmt: skip
