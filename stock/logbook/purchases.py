"""The purchases of a period: each delivery with its worth by the books, and its invoice."""

from collections.abc import Sequence
from datetime import date
from fractions import Fraction
from typing import Any

from stock.language import _
from stock.logbook import prices
from stock.logbook.report import Cell, Report, ReportTable
from stock.money import minor_digits, money_figure
from stock.named_tuples import NamedTuple
from stock.notation import show_day
from stock.shelf import invoices, past_shelf
from stock.shelf.invoices import InvoiceView
from stock.shelf.past_shelf import in_force
from stock.shelf.studio import settings
from stock.store import closed_periods
from stock.store.connection import connection, reading
from stock.store.models import Booking, Bottle, Movement, Product

RULE = _(
    "A delivery counts on the day it came, an invoice on the day that is on it. The worth by "
    "the books is what was paid for each bottle, or the price noted for its size; of a bottle "
    "that came part-used the latter counts for what was in it. Gross is net and tax, as "
    "printed on the invoice."
)
NO_INVOICE = _("no invoice noted")


class BoughtDelivery(NamedTuple):
    """One delivery: its bottles in words, its worth in the minor unit (rounded), and how many have no known price."""

    delivery: int
    day: date
    what: str
    worth: int
    unpriced: int
    invoices: tuple[str, ...]


class Purchases(NamedTuple):
    """The deliveries and the invoices of a period."""

    studio: str
    currency: str
    since: date | None
    until: date
    deliveries: Sequence[BoughtDelivery]
    invoices: Sequence[InvoiceView]


def read(*, since: date | None = None, until: date | None = None) -> Purchases:
    """The deliveries and invoices of a period, as the books stand at its end.

    Args:
        since: its first day; None for all.
        until: its last day; today when None.
    """
    with connection(), reading():
        studio = settings()
        last = until or studio.today()
        noted = invoices.everything()
        by_delivery: dict[int, list[str]] = {}
        for one in noted:
            for delivery in one.deliveries:
                by_delivery.setdefault(delivery, []).append(one.number)
        first = since or date.min
        return Purchases(
            studio=studio.name,
            currency=studio.currency,
            since=since,
            until=last,
            deliveries=[line for line in _deliveries(last, by_delivery) if line.day >= first],
            invoices=[one for one in noted if first <= one.dated_on <= last],
        )


def _deliveries(as_of: date, noted: dict[int, list[str]]) -> list[BoughtDelivery]:
    query = (
        Bottle.select(Booking.id, Booking.day, Product.name, Movement.change_ul, Bottle.id, Bottle.owner)
        .join(Booking, on=(Bottle.delivery == Booking.id))
        .switch(Bottle)
        .join(Product)
        .switch(Bottle)
        .join(Movement, on=((Movement.bottle == Bottle.id) & (Movement.booking == Bottle.delivery)))
        .where(
            (Booking.kind == "delivery")
            & ~Bottle.opening_stock
            & (Booking.day <= as_of)
            & in_force(Booking.id, as_of)
        )
        .order_by(Booking.day, Booking.id, Bottle.id)
    )
    paid, owners, closed = prices.paid(as_of), past_shelf.owners(as_of), closed_periods.closed_until()
    then = prices.paid(closed) if closed is not None and closed < as_of else paid
    found: dict[int, list[tuple[Any, ...]]] = {}
    for *row, owner in query.tuples():
        if not owners.get(row[-1], owner):
            found.setdefault(row[0], []).append(tuple(row))
    lines = []
    for delivery, rows in found.items():
        names: dict[str, int] = {}
        for __, ___, name, ____, _____ in rows:
            names[name] = names.get(name, 0) + 1
        price_of = then if closed is not None and rows[0][1] <= closed else paid
        worth = sum(
            (price_of[bottle] * came_ul for *_, came_ul, bottle in rows if bottle in price_of), Fraction(0)
        )
        lines.append(
            BoughtDelivery(
                delivery, rows[0][1], ", ".join(f"{count} x {name}" for name, count in names.items()), round(worth),
                sum(bottle not in price_of for *_, bottle in rows), tuple(noted.get(delivery, ())),
            )
        )  # fmt: skip
    return lines


def report(bought: Purchases) -> Report:
    """The purchases as a report."""
    from stock.logbook import flat_tables  # it knows this module

    about = (
        _("as of {until}", until=show_day(bought.until))
        if bought.since is None
        else _("{since} to {until}", since=show_day(bought.since), until=show_day(bought.until))
    )

    def money(minor: int) -> str:
        return money_figure(minor, bought.currency)

    rows: list[Sequence[Cell]] = [
        (
            show_day(one.day), one.delivery, one.what, one.unpriced, money(one.worth),
            ", ".join(one.invoices) or NO_INVOICE,
        )
        for one in bought.deliveries
    ]  # fmt: skip
    came = ReportTable(
        _("Deliveries"),
        (_("day"), _("delivery>"), _("what"), _("bottles without a price>"), f"{bought.currency}>", _("invoice")),
        rows,
        (
            _("together"), len(rows), None, sum(one.unpriced for one in bought.deliveries),
            money(sum(one.worth for one in bought.deliveries)), None,
        ),
    )  # fmt: skip
    billed: list[Sequence[Cell]] = [
        (
            show_day(one.dated_on), one.number, one.supplier, ", ".join(map(str, one.deliveries)) or _("none noted"),
            money(one.net_minor), one.tax_milli / 1_000, money(one.gross_minor - one.net_minor), money(one.gross_minor),
        )
        for one in bought.invoices
    ]  # fmt: skip
    totals = [sum(getattr(one, field) for one in bought.invoices) for field in ("net_minor", "gross_minor")]
    heads = (
        _("dated"),
        _("invoice"),
        _("supplier"),
        _("deliveries"),
        _("net>"),
        _("tax %>"),
        _("tax>"),
        _("gross {currency}>", currency=bought.currency),
    )
    foot = (
        _("together"),
        len(billed),
        None,
        None,
        money(totals[0]),
        None,
        money(totals[1] - totals[0]),
        money(totals[1]),
    )
    return Report(
        title=_("Purchases"),
        studio=bought.studio,
        about=about,
        tables=[came, ReportTable(_("Invoices"), heads, billed, foot)],
        notes=[RULE],
        subject=_("all days") if bought.since is None else about,
        flat=lambda: flat_tables.bought(bought),
    )


def as_json(bought: Purchases) -> dict[str, Any]:
    """The answer of `ullage purchases`; money in the currency's main unit."""
    scale = 10 ** minor_digits(bought.currency)
    return {
        "since": bought.since.isoformat() if bought.since else None,
        "until": bought.until.isoformat(),
        "currency": bought.currency,
        "deliveries": [
            {
                "delivery": one.delivery,
                "day": one.day.isoformat(),
                "what": one.what,
                "worth": one.worth / scale,
                "unpriced_bottles": one.unpriced,
                "invoices": list(one.invoices),
            }
            for one in bought.deliveries
        ],
        "invoices": [invoice_json(one, scale) for one in bought.invoices],
        "rule": RULE,
    }


def invoice_json(one: InvoiceView, scale: int) -> dict[str, Any]:
    """One invoice for a script.

    Args:
        one: the invoice.
        scale: how many minor units make the main one.
    """
    return {
        "id": one.id,
        "number": one.number,
        "supplier": one.supplier,
        "dated_on": one.dated_on.isoformat(),
        "net": one.net_minor / scale,
        "tax_percent": one.tax_milli / 1_000,
        "gross": one.gross_minor / scale,
        "deliveries": list(one.deliveries),
    }
