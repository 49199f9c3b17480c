"""Reports as files: a flat table with its description for other programs, and a self-contained page to print."""

import csv
import io
import json
import re
from collections.abc import Sequence
from hashlib import sha256
from html import escape
from pathlib import Path
from typing import Any

from stock.exchange.cells import harmless
from stock.language import _
from stock.logbook.report import Cell, FlatTable, Report, ReportTable, shown_cell
from stock.notation import exactly
from stock.shelf.studio import require_paper, settings
from stock.store import outputs
from stock.store.outputs import MARK, PACKAGE, SEAL, STANDARD_OUTPUT, Output
from stock.text import plain

STYLE = """
body { font: 10pt/1.4 Georgia, serif; font-variant-ligatures: none; margin: 18mm; color: #111; background: #fff }
h1 { font-size: 16pt; margin: 0 } h2 { font-size: 11pt; margin: 7mm 0 1mm }
p.about { margin: 0; color: #555 } table { border-collapse: collapse; width: 100% }
th, td { padding: 1mm 2mm 1mm 0; border-bottom: .2mm solid #bbb; text-align: left; vertical-align: top }
th.n, td.n { text-align: right; font-variant-numeric: tabular-nums }
thead { display: table-header-group } tfoot { display: table-row-group }
tfoot td { font-weight: bold; border-top: .5mm solid #111; white-space: nowrap } .d { white-space: nowrap }
section.rules { font-size: 8.5pt; margin-top: 7mm }
@page { size: PAPER; margin: 15mm 15mm 18mm }
@page { @bottom-right { content: counter(page) " / " counter(pages); font: 8.5pt Georgia } }
@media print { body { margin: 0 } tr { break-inside: avoid } h2 { break-after: avoid } }
"""

PAPERS = {"a4": "A4", "letter": "letter"}
"""Sizes of paper by their names here, as style sheets name them."""
GUARDED = (
    "A text that a spreadsheet could run has an apostrophe before it; money is in the currency's main unit."
)

_FIGURE = ' class="n"'
_DATED = re.compile(r"\b\d{4}-\d{2}(-\d{2})?\b|\b\d{2}([./])\d{2}\2\d{4}\b")


def as_csv(table: FlatTable) -> str:
    """A flat table as RFC 4180 CSV: the names of its columns, then its rows."""
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow([column.name for column in table.columns])
    words = [column.kind == "string" for column in table.columns]
    for row in table.rows:
        writer.writerow([_cell(cell, word=word) for cell, word in zip(row, words, strict=True)])
    return out.getvalue()


def _cell(cell: Cell, *, word: bool) -> Cell:
    """A cell as it is written: words are guarded, figures stay figures (money as decimal digits)."""
    return harmless(cell) if isinstance(cell, str) and word else cell


def as_package(table: FlatTable, path: Path, text: str, others: Sequence[dict[str, Any]] = ()) -> str:
    """The Data Package that describes a CSV file beside it (Frictionless specifications: Table Schema).

    Args:
        table: the file's table.
        path: the file.
        text: its contents.
        others: the resources of other files, which are kept.
    """
    names = {other.get("name") for other in others}
    stem = re.sub(r"[^a-z0-9]+", "-", path.stem.lower()).strip("-") or table.name
    written = text.encode("utf-8", errors="replace")
    schema: dict[str, Any] = {
        "fields": [
            {
                "name": column.name,
                "type": column.kind,
                "description": column.about,
                **({"constraints": {"required": True}} if column.name in table.key and column.kind != "string" else {}),
            }
            for column in table.columns
        ],
        "missingValues": [""],
    }  # fmt: skip
    resource = {
        "name": next(
            name for name in (stem, *(f"{stem}-{n}" for n in range(2, len(names) + 3))) if name not in names
        ),
        "path": path.name,
        "title": table.title,
        "profile": "tabular-data-resource",
        "format": "csv",
        "mediatype": "text/csv",
        "encoding": "utf-8",
        "dialect": {"delimiter": ",", "lineTerminator": "\r\n", "quoteChar": '"', "doubleQuote": True},
        "bytes": len(written),
        "hash": f"sha256:{sha256(written).hexdigest()}",
        "schema": schema | ({"primaryKey": list(table.key)} if table.key else {}),
        "written_by": SEAL,
    }
    package = {
        "name": "reports",
        "title": _("Reports of a studio's books"),
        "description": GUARDED,
        "profile": "tabular-data-package",
        "resources": sorted((*others, resource), key=lambda each: str(each["path"])),
        "written_by": _("Ullage, {mark}", mark=MARK),
    }
    return json.dumps(package, ensure_ascii=False, indent=1) + "\n"


def as_page(report: Report, address: str = "", paper: str = "a4") -> str:
    """The report as one HTML page that holds all it needs.

    Args:
        report: the report.
        address: the studio's; empty for none.
        paper: a4 or letter.
    """
    style = STYLE.replace("PAPER", PAPERS[paper])
    body = [
        f"<h1>{_safe(report.title)}</h1>",
        f'<p class="about">{"<br>".join(_safe(line) for line in (report.studio, address, report.about) if line)}</p>',
        *(_table(table) for table in report.tables),
        '<section class="rules"><h2>Rules</h2>',
        *(f"<p>{_safe(note)}</p>" for note in report.notes),
        "</section>",
    ]
    return (
        '<!DOCTYPE html>\n<html lang="en"><head><meta charset="utf-8">'
        "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src 'unsafe-inline'\">"
        f"<title>{escape(plain(report.title))}</title><style>{style}</style></head>\n<body>\n"
        + "\n".join(body)
        + f"\n</body></html>\n<!-- Written by Ullage, {MARK} -->\n"
    )


def _safe(text: Cell, most: int = 10_000) -> str:
    """A text as HTML, in which a day is not broken at its hyphens."""
    return _DATED.sub(r'<span class="d">\g<0></span>', escape(plain(shown_cell(text), most)))


def _table(table: ReportTable) -> str:
    figures = [head.endswith(">") for head in table.heads]

    def row(cells: Sequence[Cell], tag: str) -> str:
        inside = "".join(
            f"<{tag}{_FIGURE if right else ''}>{_safe(cell)}</{tag}>"
            for cell, right in zip(cells, figures, strict=True)
        )
        return f"<tr>{inside}</tr>"

    head = row([head.rstrip(">") for head in table.heads], "th")
    body = "".join(row(cells, "td") for cells in table.rows)
    foot = f"<tfoot>{row(table.totals, 'td')}</tfoot>" if table.totals else ""
    return f"<h2>{_safe(table.title)}</h2><table><thead>{head}</thead><tbody>{body}</tbody>{foot}</table>"


def csv_files(path: Path, report: Report, books: str) -> list[Output]:
    """The report's flat table as CSV, and the description of the tables in that folder, to which it is added.

    Args:
        path: the table's file; for standard output there is no description.
        report: the report.
        books: the address of the books.
    """
    assert report.flat is not None
    with exactly():
        table = report.flat()
    file = Output(
        path, as_csv(table), _("{title}, {subject} as CSV", title=report.title, subject=report.subject)
    )
    if path == STANDARD_OUTPUT:
        return [file]
    others = [
        each
        for each in json.loads(outputs.package_left(path.parent, books) or '{"resources": []}')["resources"]
        if each["path"] != path.name and (path.parent / each["path"]).is_file()
    ]
    package = as_package(table, path, file.text, others)
    return [file, Output(path.parent / PACKAGE, package, PACKAGE, (file,))]


def page_file(path: Path, report: Report, paper: str | None = None) -> Output:
    """The report as a page to print, on the studio's paper unless another is named."""
    return Output(
        path,
        as_page(report, settings().address, require_paper(paper) if paper else settings().sheet),
        _("{title}, {subject} as a page", title=report.title, subject=report.subject),
    )
