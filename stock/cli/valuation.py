"""`ullage valuation`: what the stock is worth, and what led to it."""

from typing import Any

from stock.cli.files import writes
from stock.cli.frame import Context, Result, command
from stock.cli.reports import period_of, reported


def register(commands: Any) -> None:
    """Add the parser."""
    parser = command(commands, "valuation", show_value, "what the stock is worth, and what led to it")
    parser.add_argument("--month", metavar="2026-03", help="a month, from its first day to its last")
    parser.add_argument("--since", metavar="DATE", help="the first day of the period; all days if left out")
    parser.add_argument("--until", metavar="DATE", help="its last day; today if left out")
    parser.add_argument(
        "--method", default="fifo", help="fifo (first in, first out; the default) or average (moving average)"
    )
    writes(
        parser, ("--csv", "also write it for a spreadsheet"), ("--page", "also write a page to print (HTML)")
    )


def show_value(args: Any, context: Context) -> Result:
    """`ullage valuation`."""
    from stock.logbook import stock_value, value_tables  # loads the tables

    context.open()
    since, until = period_of(args, context)
    value = stock_value.read(since=since, until=until, method=args.method)
    return reported(value_tables.value_json(value), value_tables.value_report(value), args, context)
