"""The paper that pages and labels are printed on, and what a PDF's typeface hasn't."""

from pathlib import Path

import pytest

from stock.cli.main import main
from stock.shelf import studio


@pytest.mark.parametrize(
    ("measures", "paper", "sheet", "box"),
    [("metric", "", "A4", "595.2756 841.8898"), ("us", "", "letter", "612 792"),
     ("imperial", "letter", "letter", "612 792"),
     ("us", "a4", "A4", "595.2756 841.8898")],
)  # fmt: skip
def test_pages_and_labels_take_the_studios_paper(
    books: str, tmp_path: Path, measures: str, paper: str, sheet: str, box: str
) -> None:
    studio.change(measures=measures, paper=paper or None)
    here = ("--studio", books)
    assert main([*here, "product", "add", "Quay Blue", "--role", "paint"]) == 0
    assert main([*here, "receive", "Quay Blue", "60ml"]) == 0
    page, labels = tmp_path / "page.html", tmp_path / "labels.pdf"
    assert main([*here, "valuation", "--page", str(page)]) == 0
    assert f"@page {{ size: {sheet};" in page.read_text()
    assert main([*here, "labels", str(labels)]) == 0
    assert f"/MediaBox [ 0 0 {box} ]" in labels.read_text()
    assert main([*here, "valuation", "--page", str(page), "--paper", "letter"]) == 0
    assert "@page { size: letter;" in page.read_text()


def test_a_paper_that_is_none_is_refused(
    books: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    page = tmp_path / "page.html"
    assert main(["--studio", books, "valuation", "--page", str(page), "--paper", "a5"]) == 2
    assert main(["--studio", books, "studio", "change", "--paper", "a5"]) == 2
    assert "Write one of a4, letter" in capsys.readouterr().err
    assert not page.exists()


def test_letters_that_a_pdf_cant_print_are_named(
    books: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    here = ("--studio", books)
    for name in ("Żółw Blue", "Été Blue"):
        main([*here, "product", "add", name, "--role", "paint"])
        main([*here, "receive", name, "60ml"])
    capsys.readouterr()
    main([*here, "labels", str(tmp_path / "one.pdf")])
    assert "The PDF prints ? for letters that its typeface hasn't: ł Ż" in capsys.readouterr().out
    main([*here, "labels", str(tmp_path / "two.pdf"), "--bottle", "2"])
    main([*here, "labels", str(tmp_path / "three.svg")])
    assert "typeface" not in capsys.readouterr().out
