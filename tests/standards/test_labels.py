"""Labels against the standards they lean on: SVG is well-formed XML, the QR code's modules are those of ISO/IEC 18004.

The finder patterns, the timing patterns and the quiet zone of four modules are checked from the drawing itself, and
an independent reader (ZXing's C++ port, by pip as zxing-cpp) reads whole drawn pages.
"""

import io
import re
from datetime import date
from xml.etree import ElementTree

import numpy
import PIL.Image
import pypdf
import pypdfium2
import pytest
import segno
import zxingcpp
from reportlab.pdfbase.pdfmetrics import stringWidth

from stock.errors import BadInput
from stock.exchange import labels
from stock.exchange.label_layout import lay_out
from stock.exchange.label_pdf import FONTS, shown
from stock.shelf import deliveries, products
from stock.shelf.bottles import BottleView, numbered

SVG = "{http://www.w3.org/2000/svg}"


def drawn(page: str) -> list[ElementTree.Element]:
    return list(ElementTree.fromstring(page).iter(f"{SVG}g"))


def modules(group: ElementTree.Element) -> set[tuple[int, int]]:
    path = group.find(f"{SVG}path")
    assert path is not None
    return {(int(x), int(y)) for x, y in re.findall(r"M(\d+) (\d+)h1v1h-1z", path.attrib["d"])}


def test_the_code_is_the_bottles_own_with_its_quiet_zone(stocked: str) -> None:
    (page,) = labels.sheets(labels.bottles([1]), labels.paper())
    (group,) = drawn(page)
    dark = modules(group)
    expected = segno.make("B0001", error="m", micro=False).matrix
    side = len(expected)
    assert dark == {(x + 4, y + 4) for y, row in enumerate(expected) for x, bit in enumerate(row) if bit}
    assert side in range(21, 178, 4)
    for left, top in ((4, 4), (side - 3, 4), (4, side - 3)):  # finder patterns: 7x7, ring, 3x3 heart
        assert {(left + at, top) for at in range(7)} <= dark
        assert not {(left + at, top + 1) for at in range(1, 6)} & dark
        assert {(left + x, top + y) for x in range(2, 5) for y in range(2, 5)} <= dark
    assert [(x, 10) in dark for x in range(12, side - 4)] == [at % 2 == 0 for at in range(side - 16)]
    assert min(x for x, _ in dark) == 4


def printed(page: str, dots_per_mm: int = 12) -> "numpy.ndarray[tuple[int, int], numpy.dtype[numpy.uint8]]":
    """The codes of a page as a printer of 300 dots an inch puts them on paper."""
    root = ElementTree.fromstring(page)
    width, height = (round(float(root.attrib[side][:-2]) * dots_per_mm) for side in ("width", "height"))
    paper = numpy.full((height, width), 255, dtype=numpy.uint8)
    for group in drawn(page):
        left, top = map(float, re.findall(r"[\d.]+", group.attrib["transform"]))
        path = group.find(f"{SVG}path")
        assert path is not None
        right, down, scale = map(float, re.findall(r"[\d.]+", path.attrib["transform"]))
        for x, y in modules(group):
            edges = [
                round((start + shift + at * scale) * dots_per_mm)
                for start, shift, at in (
                    (left, right, x),
                    (left, right, x + 1),
                    (top, down, y),
                    (top, down, y + 1),
                )
            ]
            paper[edges[2] : edges[3], edges[0] : edges[1]] = 0
    return paper


OWN = "Regal oben links, Dose Nr. 17 ß漆"


@pytest.fixture
def three(stocked: str) -> list[BottleView]:
    """A bottle without a label of its own, one with a short one, and one with a long one of odd letters."""
    products.add({"name": "Tarnwick Harbour Mist Iridescent Basecoat", "role": "paint", "color": "#336699"})
    deliveries.receive("Gull White", 30_000, label="W-7")
    deliveries.receive("Tarnwick", 30_000, label=OWN, lot="L-2026-000417", best_before=date(2031, 1, 31))
    return labels.bottles([1, 5, 6])


def opened_by(code: str) -> int:
    """The bottle that a code opens where a scanner types it."""
    return int(numbered(code).id)


@pytest.mark.parametrize(("size", "page"), [("60x25", "a4"), ("15x15", "letter"), ("100x60", "a4")])
def test_another_programs_reader_reads_every_code_and_it_opens_its_bottle(
    size: str, page: str, three: list[BottleView]
) -> None:
    sheets = labels.sheets(three, labels.paper(page, size))
    read = [found for sheet in sheets for found in zxingcpp.read_barcodes(printed(sheet))]
    assert {found.format for found in read} == {zxingcpp.BarcodeFormat.QRCode}
    assert sorted(opened_by(found.text) for found in read) == [1, 5, 6]
    assert "W-7" in [found.text for found in read]


def on_paper(pdf: str, dpi: int) -> PIL.Image.Image:
    """The first page of a PDF as a printer of so many dots an inch puts it on paper, by PDFium."""
    page = pypdfium2.PdfDocument(pdf.encode("ascii"))[0]
    return page.render(scale=dpi / 72, grayscale=True).to_pil()


@pytest.mark.sampled(5)
@pytest.mark.parametrize("dpi", [203, 300])
@pytest.mark.parametrize("size", labels.SIZES)
def test_two_readers_read_each_label_of_each_size_at_each_fineness(
    size: str, dpi: int, three: list[BottleView]
) -> None:
    """13 sizes, two printers, three labels: 78 codes, each read by ZXing and by ZBar from the PDF."""
    assert len(labels.SIZES) * 2 * len(three) == 78
    pyzbar = pytest.importorskip("pyzbar.pyzbar", reason="libzbar is not installed", exc_type=ImportError)
    paper = on_paper(labels.pdf(three, labels.paper("a4", size)), dpi)
    by_zxing = [found.text for found in zxingcpp.read_barcodes(paper)]
    by_zbar = [
        found.data.decode("utf-8") for found in pyzbar.decode(paper, symbols=[pyzbar.ZBarSymbol.QRCODE])
    ]
    for found in (by_zxing, by_zbar):
        assert sorted(map(opened_by, found)) == [1, 5, 6], (size, dpi, found)


@pytest.mark.parametrize("size", labels.SIZES)
def test_the_number_is_never_cut_and_no_word_leaves_its_label(size: str, three: list[BottleView]) -> None:
    width, height = map(float, size.split("x"))
    for view in three:
        layout = lay_out(view, width, height, "metric")
        code = layout.code
        assert code.side / code.modules >= 0.35
        words = [one.text for one in layout.words]
        assert all("…" not in text for text in words[:1])
        number = "".join("".join(words).split())
        assert "".join(view.label.split()) in number or words == [f"B{view.id:04d}"]
        for one in layout.words:
            assert one.x >= 0
            assert one.x + stringWidth(shown(one.text), FONTS[one.bold], one.size) <= width
            assert one.y - 0.72 * one.size > 0
            assert one.y <= height
        if size == "15x15":
            assert len(words) == 1
            assert code.side > 10.5
    with_name = lay_out(three[2], 60, 25, "metric")
    assert "Tarnwick Harbour Mist Iridescent Basecoat" in " ".join(one.text for one in with_name.words)


def test_a_pdf_holds_what_the_pages_hold(three: list[BottleView]) -> None:
    on = labels.paper("letter", "90x30")
    (page,) = pypdf.PdfReader(io.BytesIO(labels.pdf(three, on).encode("ascii"))).pages
    text = page.extract_text()
    (svg,) = labels.sheets(three, on)
    written = [each.text or "" for each in ElementTree.fromstring(svg).iter(f"{SVG}text")]
    assert len(written) > 10
    for words in written:
        assert shown(words) in text, words
    assert [round(float(side) / 72 * 25.4, 1) for side in page.mediabox[2:]] == [215.9, 279.4]


def test_pages_hold_what_fits_and_no_label_leaves_its_page(stocked: str) -> None:
    deliveries.receive("Gull White", 30_000, count=40)
    on = labels.paper("a4", "60x25")
    assert (on.columns, on.lines) == (3, 10)
    pages = labels.sheets(labels.bottles(), on)
    assert [len(drawn(page)) for page in pages] == [30, 14]
    for page in pages:
        root = ElementTree.fromstring(page)
        assert (root.attrib["width"], root.attrib["height"]) == ("210mm", "297mm")
        for group in drawn(page):
            left, top = map(float, re.findall(r"[\d.]+", group.attrib["transform"]))
            assert 8 <= left <= 210 - 8 - 60
            assert 8 <= top <= 297 - 8 - 25


@pytest.mark.parametrize("name", ["<script>x</script>", "a & b", "[red]x", 'say "so"', "漆" * 80])
def test_names_are_only_ever_read(name: str, stocked: str) -> None:
    products.add({"name": name, "role": "paint"})
    number = deliveries.receive(name, 30_000)["bottles"][0]["id"]
    (page,) = labels.sheets(labels.bottles([number]), labels.paper())
    texts = [each.text or "" for each in ElementTree.fromstring(page).iter(f"{SVG}text")]
    assert any(text.rstrip("…") and name.startswith(text.rstrip("…")) for text in texts)
    assert "http" not in page.replace("http://www.w3.org/2000/svg", "")


@pytest.mark.parametrize(
    ("page", "label"), [("a5", "60x25"), ("a4", "60"), ("a4", "500x25"), ("a4", "5x5"), ("a4", "-1x25")]
)
def test_a_page_that_can_not_be_is_refused(page: str, label: str) -> None:
    with pytest.raises(BadInput):
        labels.paper(page, label)


def test_no_bottle_no_page(books: str) -> None:
    with pytest.raises(BadInput, match="no bottle to label"):
        labels.sheets(labels.bottles(), labels.paper())
