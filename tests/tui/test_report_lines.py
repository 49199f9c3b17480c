"""A report's tables in any width: every figure and word of them is there, and no line is too long."""

import re

import pytest
from rich.cells import cell_len

from stock.logbook.report import Report, ReportTable
from tui.logbook.report_lines import lines_of_report

STOCK = ReportTable(
    "Cool drawer",
    ("bottle", "product", "hazard statements", "good until", "size ml>", "left ml>"),
    [["B0128", "Keel Filler Paste", "H242 H317 H319 H410", "2028-01-21", "30", "29.75"]],
    ["together 1", None, None, None, None, "29.75"],
)
FINDINGS = ReportTable(
    "Findings",
    ("severity", "about", "why", ""),
    [
        [
            "stop",
            "Bilgebright, bottle 71",
            "Slipway Bleach beside it gives off toxic chloramines",
            "never mixed",
        ]
    ],
)
COSTS = ReportTable(
    "Jobs", ("job", "mixes>", "total EUR>"), [["Carousel horses", 14, "39.44"]], ["together", 14, "39.44"]
)


@pytest.mark.parametrize("width", [50, 56, 72, 90, 134])
@pytest.mark.parametrize("table", [STOCK, FINDINGS, COSTS], ids=lambda table: table.title)
def test_a_report_loses_nothing_in_few_cells(table: ReportTable, width: int) -> None:
    report = Report("Stock by place", "Tern Lane Airbrush", "as of 2026-11-27, first in, first out", [table])
    lines = ["".join(run.text for run in line) for line in lines_of_report(report, width)]
    assert [line for line in lines if cell_len(line.rstrip()) > width] == []
    text = " ".join(lines)
    assert "…" not in text
    cells = [str(cell) for row in [*table.rows, table.totals or []] for cell in row if cell is not None]
    for word in re.findall(r"\S+", " ".join([*cells, report.about])):
        assert re.search(rf"(?<!\w){re.escape(word)}(?![\w.]*\d)", text), f"{word}:\n" + "\n".join(lines)


def test_a_table_becomes_facts_only_where_its_columns_do_not_fit() -> None:
    def heads(width: int) -> bool:
        report = Report("Stock", "Studio", "today", [STOCK])
        lines = ["".join(run.text for run in line) for line in lines_of_report(report, width)]
        return not any("left ml: 29.75" in line for line in lines)

    assert heads(100)
    assert not heads(50)
