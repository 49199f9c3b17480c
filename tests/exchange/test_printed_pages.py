"""A report's page as Chromium prints it: the PDF's text is read back by another program and compared."""

import re
import shutil
import subprocess
from pathlib import Path

import pytest

from stock.exchange.report_files import as_page
from stock.logbook import emission_year, inspection, stock_value, value_tables
from stock.logbook.report import Report, ReportTable
from stock.store.connection import connection, open_books
from tests import templates

CHROMIUM = next(filter(None, map(shutil.which, ("chromium", "chromium-browser", "google-chrome"))), None)


def year_report():
    return emission_year.report(emission_year.read())


def worth_report():
    return value_tables.value_report(stock_value.read())


def long_report(count=150):
    rows = [
        (f"2026-{1 + n % 12:02d}-{1 + n % 28:02d}", f"Harbour Blue {n}", n, f"{n}.{n % 100:02d}")
        for n in range(count)
    ]
    totals = ("together", None, sum(range(count)), "11175.50")
    return Report(
        "Material costs", "North & Quay", "all jobs, as of 2026-03-01",
        [ReportTable("Jobs", ("day", "product", "ml>", "total EUR>"), rows, totals)], ["The rule is stated."],
    )  # fmt: skip


def printed(report, folder: Path, paper: str, address: str = ""):
    pypdf = pytest.importorskip("pypdf")
    page, pdf = folder / "report.html", folder / "report.pdf"
    page.write_text(as_page(report, address, paper.lower()), encoding="utf-8")
    subprocess.run(
        [CHROMIUM, "--headless", "--no-sandbox", "--disable-gpu", "--no-pdf-header-footer",
         f"--user-data-dir={folder}/profile", f"--print-to-pdf={pdf}", page.as_uri()],
        check=True, capture_output=True, timeout=600,
    )  # fmt: skip
    return [each.extract_text() for each in pypdf.PdfReader(pdf).pages]


@pytest.mark.skipif(CHROMIUM is None, reason="Chromium is not installed")
@pytest.mark.sampled(1)
@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_every_figure_is_on_paper_the_head_on_each_page_and_the_total_at_the_end(tmp_path, paper):
    report = long_report()
    pages = printed(report, tmp_path, paper)
    assert len(pages) > 2
    whole = "\n".join(pages)
    for number, text in enumerate(pages, 1):
        assert re.search(rf"\b{number} / {len(pages)}\b", text)
    tables = [text for text in pages if "Harbour Blue" in text]
    assert all(re.search(r"day\s+product\s+ml\s+total EUR", text) for text in tables)
    for day, product, ml, money in report.tables[0].rows:
        assert re.search(rf"{day}\s+{product}\s+{ml}\s+{re.escape(money)}\b", whole), product
    assert whole.count("together") == 1
    assert "11175.50" in tables[-1]


@pytest.fixture
def sample(tmp_path_factory):
    """The sample studio, opened."""
    address = templates.sample_studio(tmp_path_factory)
    open_books(address)
    return address


def squeezed(text):
    """Letters alone: where a cell is broken into lines, and which blanks a reader sees, doesn't matter."""
    return re.sub(r"\s+", "", text)


@pytest.mark.skipif(CHROMIUM is None, reason="Chromium is not installed")
@pytest.mark.only("sqlite")
@pytest.mark.sampled(1)
@pytest.mark.parametrize("paper", ["A4", "Letter"])
@pytest.mark.parametrize(
    "which", [inspection.shelf_report, inspection.caution_report, year_report, worth_report]
)
def test_an_inspector_s_pages_hold_every_figure_and_no_day_is_broken(sample, tmp_path, paper, which):
    with connection():
        report = which()
        pages = printed(report, tmp_path, paper, "4 Quay Street, Quillhaven")
    whole = "\n".join(pages)
    bare = squeezed(whole)
    assert "4 Quay Street, Quillhaven" in pages[0]
    for number, text in enumerate(pages, 1):
        assert re.search(rf"\b{number} / {len(pages)}\b", text)
    for table in report.tables:
        for row in (*table.rows, *([table.totals] if table.totals else [])):
            for cell in row:
                assert cell is None or squeezed(str(cell)) in bare, (table.title, cell)
                for day in re.findall(r"\b\d{4}-\d{2}(?:-\d{2})?\b", str(cell)):  # a month, too
                    assert day in whole, day
        heads = [squeezed(head.rstrip(">")) for head in table.heads if len(head) > 3]
        for text in pages[1:]:
            if (
                any(table.rows)
                and squeezed(str(table.rows[-1][0])) in squeezed(text)
                and len(report.tables) == 1
            ):
                assert all(head in squeezed(text) for head in heads)
    if which is worth_report:
        assert whole.count("\ntogether") == sum(table.totals is not None for table in report.tables)
