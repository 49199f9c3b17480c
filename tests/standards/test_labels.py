"""Labels against the standards they lean on: SVG is well-formed XML, the QR code's modules are those of ISO/IEC 18004.

The finder patterns, the timing patterns and the quiet zone of four modules are checked from the drawing itself, and
an independent reader (ZXing's C++ port, by pip as zxing-cpp) reads whole drawn pages.
"""

import re
from xml.etree import ElementTree

import numpy
import pytest
import segno
import zxingcpp

from stock.errors import BadInput
from stock.exchange import labels
from stock.shelf import deliveries, products
from stock.shelf.bottles import numbered

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


@pytest.mark.parametrize(("size", "page"), [("60x25", "a4"), ("15x15", "letter"), ("100x60", "a4")])
def test_another_programs_reader_reads_every_code_and_it_opens_its_bottle(
    size: str, page: str, stocked: str
) -> None:
    deliveries.receive("Gull White", 30_000, label="W-7")
    deliveries.receive("Gull White", 30_000, label="Regal oben links, Dose Nr. 17 ß漆")
    views = labels.bottles()
    sheets = labels.sheets(views, labels.paper(page, size))
    read = [found for sheet in sheets for found in zxingcpp.read_barcodes(printed(sheet))]
    assert {found.format for found in read} == {zxingcpp.BarcodeFormat.QRCode}
    assert sorted(found.text for found in read) == sorted(view.label for view in views)
    assert {numbered(found.text).id for found in read} == {view.id for view in views}


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
