"""The commands of suppliers and their terms."""

from typing import Any

from stock import units
from stock.cli.frame import Context, Result, command
from stock.grammar import all_digits
from stock.language import _


def register(commands: Any) -> None:
    """Add the parsers."""
    supplier = commands.add_parser("supplier", help=_("who sells, and on what terms"))
    verbs = supplier.add_subparsers(dest="verb", required=True, metavar="VERB")
    command(verbs, "list", list_suppliers, _("list the suppliers and their terms"), entries=("suppliers",))
    change = command(verbs, "change", change_supplier, _("set a supplier's terms; made if not known yet"))
    change.add_argument("name")
    change.add_argument("--lead-time", help=_("from order to delivery, as 7d"))
    change.add_argument(
        "--order-days", nargs="*", metavar="DAY", help=_("days on which orders go out: mon thu")
    )
    change.add_argument("--shipping", help=_("fixed cost of a shipment, as 6.90"))
    change.add_argument("--free-shipping-from", help=_("order value from which shipping is free"))
    change.add_argument("--rename", help=_("its new name"))


def change_supplier(args: Any, context: Context) -> Result:
    """`ullage supplier change`."""
    from stock.shelf import studio, suppliers  # loads the tables

    context.open()
    currency = studio.settings().currency
    given = {
        "lead_time": args.lead_time,
        "order_days": " ".join(args.order_days) if args.order_days is not None else None,
        "shipping": args.shipping,
        "free_shipping_from": args.free_shipping_from,
    }
    suppliers.change(args.name, rename=args.rename, **suppliers.read(given, currency))
    row = suppliers.find(args.rename or args.name)
    return Result(
        _supplier_answer(row, currency),
        [_("{name}: lead time {lead_time}", name=row.name, lead_time=row.lead_time or _("not known"))],
    )


def list_suppliers(args: Any, context: Context) -> Result:
    """`ullage supplier list`."""
    del args
    from stock.cli.show import table  # loads the tables
    from stock.shelf import studio, suppliers

    context.open()
    currency = studio.settings().currency
    answers = [_supplier_answer(row, currency) for row in suppliers.everything()]
    rows = [
        (
            each["supplier"],
            each["lead_time"] or _("not known"),
            " ".join(each["order_days"]) or _("any day"),
            _("not known") if each["shipping"] is None else all_digits(each["shipping"], 2),
            "-" if each["free_shipping_from"] is None else all_digits(each["free_shipping_from"], 2),
        )
        for each in answers
    ]
    heads = (
        _("supplier"),
        _("lead time"),
        _("orders go out"),
        _("shipping {currency}>", currency=currency),
        _("free from {currency}>", currency=currency),
    )
    lines = table(heads, rows) if rows else [_("No supplier is noted yet.")]
    return Result({"currency": currency, "suppliers": answers}, lines)


def _supplier_answer(row: Any, currency: str) -> dict[str, Any]:
    def money(minor: int | None) -> float | None:
        return minor / 10 ** units.minor_digits(currency) if minor is not None else None

    return {
        "supplier": row.name,
        "lead_time": row.lead_time,
        "order_days": row.order_days.split(),
        "shipping": money(row.shipping_minor),
        "free_shipping_from": money(row.free_shipping_from_minor),
        "currency": currency,
    }
