"""`ullage period`: closing the books until a day, and opening them again."""

from datetime import date
from typing import Any

from stock.cli.frame import Context, Result, command
from stock.cli.show import table
from stock.language import _
from stock.notation import show_day


def register(commands: Any) -> None:
    """Add the parsers."""
    period = commands.add_parser("period", help=_("close the books until a day, or open them again"))
    verbs = period.add_subparsers(dest="verb", required=True, metavar="VERB")
    closing = command(verbs, "close", close, _("date nothing on that day or before any more"))
    closing.add_argument(
        "until", metavar="MONTH_OR_DATE", help=_("as 2026-03, which ends on the 31st, or 2026-03-15")
    )
    closing.add_argument("--reason", default="", help=_("a note about it"))
    opening = command(verbs, "reopen", reopen, _("open the books again, with a reason"))
    opening.add_argument("--to", metavar="MONTH_OR_DATE", help=_("what stays closed; nothing if left out"))
    opening.add_argument("--reason", required=True, help=_("why, for whoever reads the books"))
    command(
        verbs,
        "list",
        show_periods,
        _("until when the books are closed, and each change of that"),
        entries=("changes",),
    )


def _last_day(text: str, context: Context) -> date:
    from stock.logbook.months import last_day  # only for these commands

    return last_day(text, context.today())


def close(args: Any, context: Context) -> Result:
    """`ullage period close`."""
    from stock.shelf import periods  # loads the tables

    context.open()
    until = periods.close(_last_day(args.until, context), reason=args.reason)
    return Result(
        {"closed_until": until.isoformat()},
        [_("The books are closed until {until}: nothing is dated on that day or before it any more, "
"and corrections count in the days after it", until=show_day(until))],
    )  # fmt: skip


def reopen(args: Any, context: Context) -> Result:
    """`ullage period reopen`."""
    from stock.shelf import periods  # loads the tables

    context.open()
    stays = periods.reopen(_last_day(args.to, context) if args.to is not None else None, reason=args.reason)
    words = (
        _("The books are closed until {stays}", stays=show_day(stays))
        if stays
        else _("No period is closed any more")
    )
    return Result({"closed_until": stays.isoformat() if stays else None}, [words])


def show_periods(args: Any, context: Context) -> Result:
    """`ullage period list`."""
    del args
    from stock.shelf import periods  # loads the tables

    context.open()
    until, changes = periods.closed_until(), periods.changes()
    answer = {
        "closed_until": until.isoformat() if until else None,
        "changes": [
            {
                "closed_until": one.closed_until.isoformat() if one.closed_until else None,
                "reason": one.reason,
                "on": one.on.isoformat(),
            }
            for one in changes
        ],
    }
    lines = [
        _("The books are closed until {until}.", until=show_day(until))
        if until
        else _("No period is closed.")
    ]
    if changes:
        rows = [(one.on, one.closed_until or _("nothing"), one.reason) for one in changes]
        lines += ["", *table((_("changed on"), _("closed until"), _("reason")), rows, most=60)]
    return Result(answer, lines)
