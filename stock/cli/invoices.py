"""`ullage invoice` and `ullage purchases`: suppliers' invoices and their deliveries."""

from typing import Any

from stock import units
from stock.cli.files import TABLE, writes
from stock.cli.frame import Context, Result, command, whole
from stock.cli.reports import period_of, reported
from stock.language import _
from stock.notation import show_day


def register(commands: Any) -> None:
    """Add the parsers."""
    invoice = commands.add_parser(
        "invoice", help=_("note suppliers' invoices and the deliveries that they are for")
    )
    verbs = invoice.add_subparsers(dest="verb", required=True, metavar="VERB")
    adding = command(verbs, "add", add, _("note an invoice"))
    adding.add_argument("number", help=_("as it is printed"))
    adding.add_argument("--supplier", required=True, help=_("who sent it"))
    adding.add_argument("--dated", required=True, metavar="DATE", help=_("the day that is on it"))
    adding.add_argument("--net", required=True, metavar="MONEY", help=_("without tax, as 84.20"))
    adding.add_argument(
        "--tax", default="0%", metavar="PERCENT", help=_("the tax rate, as 19%%; none if left out")
    )
    adding.add_argument("--gross", metavar="MONEY", help=_("with tax, as printed; worked out if left out"))
    tying = command(verbs, "tie", tie, _("say that an invoice is for further deliveries"))
    removing = command(verbs, "remove", remove, _("take back what was noted of an invoice"))
    for parser in (tying, removing):
        parser.add_argument(
            "id", type=whole, help=_("its number in the books, as `ullage invoice list` shows it")
        )
    for parser in (adding, tying):
        parser.add_argument(
            "--delivery", type=whole, action="append", default=[], metavar="ID", required=parser is tying,
            help=_("the booking of a delivery that it is for; may be repeated"),
        )  # fmt: skip
    command(verbs, "list", list_all, _("list all invoices"), entries=("invoices",))
    bought = command(commands, "purchases", show_purchases, _("deliveries and invoices of a period"))
    bought.add_argument("--month", metavar="2026-03", help=_("a month, from its first day to its last"))
    bought.add_argument(
        "--since", metavar="DATE", help=_("the first day of the period; all days if left out")
    )
    bought.add_argument("--until", metavar="DATE", help=_("its last day; today if left out"))
    writes(bought, ("--csv", TABLE), ("--page", _("also write a page to print (HTML)")))


def add(args: Any, context: Context) -> Result:
    """`ullage invoice add`."""
    from stock.shelf import invoices, studio  # loads the tables

    context.open()
    currency = studio.settings().currency
    made = invoices.add(
        args.number,
        supplier=args.supplier,
        dated_on=units.day(args.dated, context.today()),
        net_minor=units.money(args.net, currency),
        tax_milli=units.percent(args.tax),
        gross_minor=units.money(args.gross, currency) if args.gross is not None else None,
        deliveries=args.delivery,
    )
    return _answer(made, currency)


def tie(args: Any, context: Context) -> Result:
    """`ullage invoice tie`."""
    from stock.shelf import invoices, studio  # loads the tables

    context.open()
    return _answer(invoices.tie(args.id, args.delivery), studio.settings().currency)


def remove(args: Any, context: Context) -> Result:
    """`ullage invoice remove`."""
    from stock.shelf import invoices  # loads the tables

    context.open()
    gone = invoices.remove(args.id)
    return Result(
        {"removed": gone.id, "number": gone.number},
        [_("Invoice {number} is noted no more", number=gone.number)],
    )


def _answer(one: Any, currency: str) -> Result:
    from stock.logbook.purchases import invoice_json

    amounts = _(
        "{net_minor} net, {gross_minor} gross",
        net_minor=units.show_money(one.net_minor, currency),
        gross_minor=units.show_money(one.gross_minor, currency),
    )
    about = _(
        " for {deliveries} {str}",
        deliveries=_("delivery") if len(one.deliveries) == 1 else _("deliveries"),
        str=", ".join(map(str, one.deliveries)),
    )
    return Result(
        {"invoice": invoice_json(one, 10 ** units.minor_digits(currency))},
        [
            _(
                "Invoice {number} of {supplier}, {dated_on}: {amounts}{about}",
                number=one.number,
                supplier=one.supplier,
                dated_on=show_day(one.dated_on),
                amounts=amounts,
                about=about if one.deliveries else "",
            )
        ],
    )


def list_all(args: Any, context: Context) -> Result:
    """`ullage invoice list`."""
    del args
    from stock.cli.show import table
    from stock.logbook.purchases import invoice_json
    from stock.money import money_figure
    from stock.shelf import invoices, studio

    context.open()
    currency, found = studio.settings().currency, invoices.everything()
    rows = [
        (
            one.id, one.dated_on, one.number, one.supplier, money_figure(one.net_minor, currency),
            one.tax_milli / 1_000, money_figure(one.gross_minor, currency), ", ".join(map(str, one.deliveries)),
        )
        for one in found
    ]  # fmt: skip
    heads = (
        _("id>"),
        _("dated"),
        _("invoice"),
        _("supplier"),
        _("net>"),
        _("tax %>"),
        _("gross {currency}>", currency=currency),
        _("deliveries"),
    )
    scale = 10 ** units.minor_digits(currency)
    return Result(
        {"currency": currency, "invoices": [invoice_json(one, scale) for one in found]},
        table(heads, rows) if rows else [_("No invoice is noted yet.")],
    )


def show_purchases(args: Any, context: Context) -> Result:
    """`ullage purchases`."""
    from stock.logbook import purchases  # loads the tables

    context.open()
    since, until = period_of(args, context)
    bought = purchases.read(since=since, until=until)
    return reported(purchases.as_json(bought), purchases.report(bought), args, context)
