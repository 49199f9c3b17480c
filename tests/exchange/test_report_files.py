"""Reports as CSV and as a page: what is in them, and what can't be."""

import csv
import io
import json
from html.parser import HTMLParser
from pathlib import Path

import pytest

from stock.exchange.report_files import as_csv, as_package, as_page
from stock.logbook.report import FlatColumn, FlatTable, Report, ReportTable

NASTY = [
    "<script>alert(1)</script>",
    '=HYPERLINK("http://x")',
    "a\x1b[31mred",
    "\u202egnp.exe",
    "[red]x",
    "&amp;",
    '"q"',
]


def report(name: str = "Ferry hull") -> Report:
    rows = [(name, 2, "7.90"), ("no job", 1, "-0.40")]
    table = ReportTable("Jobs", ("job", "mixes>", "total EUR>"), rows, ("together", 3, "7.50"))
    return Report("Material costs", "Test studio", "2026-03", [table], ["The rule is stated."])


class Page(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.addresses: list[str] = []
        self.words = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self.addresses += [value or "" for name, value in attrs if name in ("src", "href", "action")]

    def handle_data(self, data: str) -> None:
        self.words += data


def flat(name: str = "Ferry hull") -> FlatTable:
    columns = (
        FlatColumn("job", "string", "the job"),
        FlatColumn("mixes", "integer", "how many"),
        FlatColumn("total", "number", "what they cost"),
    )
    return FlatTable("costs", "Costs", columns, [(name, 2, "7.90"), (None, 1, "-0.40")])


def test_figures_stay_figures_in_a_flat_table() -> None:
    rows = list(csv.reader(io.StringIO(as_csv(flat()), newline="")))
    assert rows == [["job", "mixes", "total"], ["Ferry hull", "2", "7.90"], ["", "1", "-0.40"]]
    assert as_csv(flat()).count("\r\n") == as_csv(flat()).count("\n") == 3


def test_tables_of_one_name_are_told_apart_in_their_description() -> None:
    first = json.loads(as_package(flat(), Path("Costs 2025.csv"), as_csv(flat())))["resources"]
    both = json.loads(as_package(flat(), Path("costs-2025.CSV"), as_csv(flat()), first))["resources"]
    assert [(one["name"], one["path"]) for one in both] == [
        ("costs-2025", "Costs 2025.csv"), ("costs-2025-2", "costs-2025.CSV"),
    ]  # fmt: skip
    assert json.loads(as_package(flat(), Path("漆.csv"), ""))["resources"][0]["name"] == "costs"


@pytest.mark.parametrize("name", NASTY)
def test_a_name_is_only_ever_read(name: str) -> None:
    rows = list(csv.reader(io.StringIO(as_csv(flat(name)), newline="")))
    assert not rows[1][0].startswith(("=", "+", "@", "-"))
    page = Page()
    text = as_page(report(name))
    page.feed(text)
    assert "script" not in page.tags
    assert "\x1b" not in text
    assert "\u202e" not in text


def test_the_page_asks_no_other_machine() -> None:
    page = Page()
    text = as_page(report())
    page.feed(text)
    assert page.addresses == []
    assert "default-src 'none'" in text
    assert "url(" not in text
    assert "@import" not in text
    assert "The rule is stated." in page.words
