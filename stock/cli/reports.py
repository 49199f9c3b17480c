"""Reports as answers: as lines on a terminal, and as the files that `--csv` and `--page` name."""

from datetime import date
from typing import TYPE_CHECKING, Any

from stock.cli.files import deliver
from stock.cli.frame import Context, Result
from stock.cli.show import table
from stock.errors import BadInput
from stock.language import _
from stock.notation import show_day

if TYPE_CHECKING:
    from stock.logbook.report import Report
    from stock.store.outputs import Output


def period_of(args: Any, context: Context) -> tuple[date | None, date | None]:
    """The first and the last day named by `--month`, or by `--since` and `--until`, or by `--as-of`; else None.

    Raises:
        BadInput: a month and other days, or a day to come.
    """
    from stock import units
    from stock.logbook.months import month

    today, as_of = context.today(), context.as_of()
    if args.month is not None:
        if args.since is not None or args.until is not None:
            raise BadInput(
                _("a month and other days were given"), remedy=_("Leave --month or --since and --until out")
            )
        asked = month(args.month, today)
        return asked.first, min(asked.last, as_of or today)
    since = units.day(args.since, today) if args.since is not None else None
    until = units.day(args.until, today) if args.until is not None else as_of
    if until is not None and until > today:
        raise BadInput(
            _("{until} is in the future", until=show_day(until)), remedy=_("Give today or a past day")
        )
    return since, until


def reported(answer: dict[str, Any], report: "Report", args: Any, context: Context) -> Result:
    """The answer of a command that reports: its figures, its lines, and the requested files.

    Args:
        answer: for a script.
        report: for a person.
        args: what was typed, with `csv`, `page` and `force`.
    """
    return deliver(report_files(args, report, context), Result(answer, report_lines(report)), context, args)


def report_files(args: Any, report: "Report", context: Context) -> "list[Output]":
    """The files that `--csv` and `--page` ask for."""
    from stock.exchange import report_files as files  # only for reports

    made = files.csv_files(args.csv, report, context.address) if args.csv is not None else []
    return made + ([files.page_file(args.page, report, args.paper)] if args.page is not None else [])


def report_lines(report: "Report") -> list[str]:
    """A report in lines for a plain terminal."""
    lines = [f"{report.title}, {report.about}"]
    for each in report.tables:
        rows = [*each.rows, *([each.totals] if each.totals else [])]
        lines += ["", each.title, *(table(each.heads, rows, most=60) if each.rows else ["  none"])]
    return [*lines, "", *report.notes]
