"""The letters that we take of a page, beside those of pdfplumber, which takes everything else of it, too."""

import pdfplumber
import pytest
from reportlab.pdfgen.canvas import Canvas

from stock.datasheets import pdf_letters

SIDES = ("x0", "x1", "top", "bottom")


@pytest.fixture
def unusual(tmp_path):
    """Pages with raised, stretched, spaced and slanting letters, one turned, one whose box begins elsewhere."""
    path = tmp_path / "unusual.pdf"
    canvas = Canvas(str(path))
    for turned in (0, 90, 180):
        canvas.setPageRotation(turned)
        text = canvas.beginText(60, 700)
        text.setFont("Helvetica", 11)
        text.textOut("Flash point 12 °C, 3 m")
        text.setRise(4)
        text.textOut("3")
        text.setRise(0)
        text.setHorizScale(70)
        text.setCharSpace(2)
        text.setWordSpace(5)
        text.textLine(" narrow words apart")
        text.setTextTransform(1, 0, 0.3, 1, 60, 600)
        text.textLine("slanting letters stand upright enough")
        canvas.drawText(text)
        canvas.showPage()
    canvas.setCropBox((20, 30, 500, 800))
    canvas.drawString(100, 400, "cropped")
    canvas.showPage()
    canvas.save()
    return path


def test_letters_stand_where_pdfplumber_has_them(invented, unusual):
    pages = 0
    for path in [*{sheet.path for sheet in invented if sheet.path.suffix == ".pdf"}, unusual]:
        with pdfplumber.open(path) as opened:
            for page in opened.pages:
                letters, unseen = pdf_letters.of_page(page)
                assert not unseen
                assert [letter["text"] for letter in letters] == [each["text"] for each in page.chars]
                for ours, theirs in zip(letters, page.chars, strict=True):
                    assert [ours[side] for side in SIDES] == pytest.approx(
                        [float(theirs[side]) for side in SIDES], abs=1e-4
                    )
                pages += 1
    assert pages > 20
