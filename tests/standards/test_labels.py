"""Labels against the standards they lean on: SVG is well-formed XML, the QR code's modules are those of ISO/IEC 18004.

The finder patterns, the timing patterns
and the quiet zone of four modules are checked from the drawing itself.
"""

import re
from xml.etree import ElementTree

import pytest
import segno

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


def test_the_code_read_back_opens_the_bottle(stocked: str) -> None:
    deliveries.receive("Gull White", 30_000, label="W-7")
    for view in labels.bottles():
        assert numbered(view.label).id == view.id


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
