"""`ullage valuation`: the value of the stock, and the purchases and uses behind it."""

from typing import Any

from stock.cli.files import TABLE, writes
from stock.cli.frame import Context, Result, command
from stock.cli.reports import period_of, reported
from stock.errors import BadInput
from stock.language import _
from stock.text import plain


def register(commands: Any) -> None:
    """Add the parser."""
    parser = command(commands, "valuation", show_value, _("what the stock is worth, and what led to it"))
    parser.add_argument("--month", metavar="2026-03", help=_("a month, from its first day to its last"))
    parser.add_argument(
        "--since", metavar="DATE", help=_("the first day of the period; all days if left out")
    )
    parser.add_argument("--until", metavar="DATE", help=_("its last day; today if left out"))
    parser.add_argument(
        "--method",
        default="fifo",
        help=_("fifo (first in, first out; the default) or average (moving average)"),
    )
    parser.add_argument(
        "--by", default="product", help=_("a row of --csv: product (the default), place, owner or write-off")
    )
    writes(parser, ("--csv", TABLE), ("--page", _("also write a page to print (HTML)")))


def show_value(args: Any, context: Context) -> Result:
    """`ullage valuation`."""
    from stock.logbook import flat_tables, stock_value, value_tables  # loads the tables

    if args.by not in flat_tables.ROWS_OF_VALUE:
        raise BadInput(
            _("{by!r} is nothing that stock is valued by", by=plain(args.by, 30)),
            remedy=_(
                "Write {others} or {last}",
                others=", ".join(flat_tables.ROWS_OF_VALUE[:-1]),
                last=flat_tables.ROWS_OF_VALUE[-1],
            ),
        )
    context.open()
    since, until = period_of(args, context)
    value = stock_value.read(since=since, until=until, method=args.method)
    return reported(value_tables.value_json(value), value_tables.value_report(value, args.by), args, context)
