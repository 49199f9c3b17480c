"""Reports as answers: as lines on a terminal, and as the files that `--csv` and `--page` name."""

from typing import TYPE_CHECKING, Any

from stock.cli.files import deliver
from stock.cli.frame import Context, Result
from stock.cli.show import table

if TYPE_CHECKING:
    from stock.logbook.report import Report


def reported(answer: dict[str, Any], report: "Report", args: Any, context: Context) -> Result:
    """The answer of a command that reports: its figures, its lines, and the files that were asked for.

    Args:
        answer: for a script.
        report: for a person.
        args: what was typed, with `csv`, `page` and `force`.
    """
    from stock.exchange import report_files  # only for reports

    asked = [(args.csv, report_files.csv_file), (args.page, report_files.page_file)]
    files = [file(path, report) for path, file in asked if path is not None]
    return deliver(files, Result(answer, report_lines(report)), context, args)


def report_lines(report: "Report") -> list[str]:
    """A report on a plain terminal."""
    lines = [f"{report.title}, {report.about}"]
    for each in report.tables:
        rows = [*each.rows, *([each.totals] if each.totals else [])]
        lines += ["", each.title, *(table(each.heads, rows, most=60) if each.rows else ["  none"])]
    return [*lines, "", *report.notes]
