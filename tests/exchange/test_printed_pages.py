"""A report's page as Chromium prints it: the PDF's text is read back by another program and compared."""

import re
import shutil
import subprocess
from pathlib import Path

import pytest

from stock.exchange.report_files import as_page
from stock.logbook.report import Report, ReportTable

CHROMIUM = next(filter(None, map(shutil.which, ("chromium", "chromium-browser", "google-chrome"))), None)


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


def printed(report, folder: Path, paper: str):
    pypdf = pytest.importorskip("pypdf")
    page, pdf = folder / "report.html", folder / "report.pdf"
    page.write_text(as_page(report).replace("@page {", f"@page {{ size: {paper};"), encoding="utf-8")
    subprocess.run(
        [CHROMIUM, "--headless", "--no-sandbox", "--disable-gpu", "--no-pdf-header-footer",
         f"--user-data-dir={folder}/profile", f"--print-to-pdf={pdf}", page.as_uri()],
        check=True, capture_output=True, timeout=120,
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
