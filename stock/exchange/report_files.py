"""Reports on paper: as CSV for a spreadsheet, and as a page that prints and asks no other machine for anything."""

import csv
import io
import re
from collections.abc import Sequence
from html import escape
from pathlib import Path

from stock.exchange.cells import harmless
from stock.logbook.report import Cell, Report, ReportTable
from stock.store.outputs import MARK, Output
from stock.text import plain

STYLE = """
body { font: 10pt/1.4 Georgia, serif; margin: 18mm; color: #111; background: #fff }
h1 { font-size: 16pt; margin: 0 } h2 { font-size: 11pt; margin: 7mm 0 1mm }
p.about { margin: 0; color: #555 } table { border-collapse: collapse; width: 100% }
th, td { padding: 1mm 2mm 1mm 0; border-bottom: .2mm solid #bbb; text-align: left; vertical-align: top }
th.n, td.n { text-align: right; font-variant-numeric: tabular-nums }
thead { display: table-header-group } tfoot { display: table-row-group }
tfoot td { font-weight: bold; border-top: .5mm solid #111 } td.d { white-space: nowrap }
section.rules { font-size: 8.5pt; margin-top: 7mm }
@page { margin: 15mm 15mm 18mm; @bottom-right { content: counter(page) " / " counter(pages); font: 8.5pt Georgia } }
@media print { body { margin: 0 } tr { break-inside: avoid } h2 { break-after: avoid } }
"""


_FIGURE, _DAY = ' class="n"', ' class="d"'
_DATED = re.compile(r"\d{4}-\d{2}-\d{2}")


def as_csv(report: Report) -> str:
    """The report as RFC 4180 CSV: each table with a line of its title, then heads, rows and totals; rules last."""
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow([harmless(f"{report.title}: {report.studio}, {report.about}")])
    for table in report.tables:
        writer.writerow([])
        writer.writerow([harmless(table.title)])
        writer.writerow([harmless(head.rstrip(">")) for head in table.heads])
        figures = [head.endswith(">") for head in table.heads]
        for row in (*table.rows, *([table.totals] if table.totals else [])):
            writer.writerow([_cell(cell, figure=figure) for cell, figure in zip(row, figures, strict=True)])
    writer.writerow([])
    for note in (*report.notes, f"Written by Ullage, {MARK}"):
        writer.writerow([harmless(note)])
    return out.getvalue()


def _cell(cell: Cell, *, figure: bool) -> Cell:
    """A cell as it is written: words are guarded, figures (money is a decimal of digits) stay figures."""
    return harmless(cell) if isinstance(cell, str) and not figure else cell


def as_page(report: Report) -> str:
    """The report as one HTML page that holds all it needs."""
    body = [
        f"<h1>{_safe(report.title)}</h1>",
        f'<p class="about">{_safe(report.studio)}<br>{_safe(report.about)}</p>',
        *(_table(table) for table in report.tables),
        '<section class="rules"><h2>Rules</h2>',
        *(f"<p>{_safe(note)}</p>" for note in report.notes),
        "</section>",
    ]
    return (
        '<!DOCTYPE html>\n<html lang="en"><head><meta charset="utf-8">'
        "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src 'unsafe-inline'\">"
        f"<title>{_safe(report.title)}</title><style>{STYLE}</style></head>\n<body>\n"
        + "\n".join(body)
        + f"\n</body></html>\n<!-- Written by Ullage, {MARK} -->\n"
    )


def _safe(text: Cell, most: int = 10_000) -> str:
    return "" if text is None else escape(plain(str(text), most))


def _kind(cell: Cell, *, figure: bool) -> str:
    """The class of a cell: a figure stands to the right, a day is never broken at its hyphens."""
    if figure:
        return _FIGURE
    return _DAY if isinstance(cell, str) and _DATED.fullmatch(cell) else ""


def _table(table: ReportTable) -> str:
    figures = [head.endswith(">") for head in table.heads]

    def row(cells: Sequence[Cell], tag: str) -> str:
        inside = "".join(
            f"<{tag}{_kind(cell, figure=right)}>{_safe(cell)}</{tag}>"
            for cell, right in zip(cells, figures, strict=True)
        )
        return f"<tr>{inside}</tr>"

    head = row([head.rstrip(">") for head in table.heads], "th")
    body = "".join(row(cells, "td") for cells in table.rows)
    foot = f"<tfoot>{row(table.totals, 'td')}</tfoot>" if table.totals else ""
    return f"<h2>{_safe(table.title)}</h2><table><thead>{head}</thead><tbody>{body}</tbody>{foot}</table>"


def csv_file(path: Path, report: Report) -> Output:
    """The report as a file for a spreadsheet."""
    return Output(path, as_csv(report), f"{report.title}, {report.subject} as CSV")


def page_file(path: Path, report: Report) -> Output:
    """The report as a page to print."""
    return Output(path, as_page(report), f"{report.title}, {report.subject} as a page")
