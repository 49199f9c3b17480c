"""What two readers of one file say together, and where a sheet's day is looked for."""

import pytest

from stock.datasheets import proposals
from stock.datasheets.found_values import FoundValue, not_known
from stock.datasheets.page_lines import SheetText, of_text
from stock.datasheets.proposals import DIFFERENT, ONE_READER, READERS_DISAGREE
from tests.datasheets.languages import TITLES

LINE = of_text(1, 1, "Flash point: 23 °C")
A, B = (FoundValue("flash_point", value, LINE, 9) for value in ("23C", "27C"))
DOUBTED = FoundValue("flash_point", "23C", LINE, 9, doubts=("not clear",))
UNKNOWN = not_known("flash_point", "not determined", LINE, 9)


@pytest.mark.parametrize(
    ("by_reader", "value", "doubts"),
    [
        ([[A]], "23C", ()),
        ([[DOUBTED]], "23C", ("not clear",)),
        ([[A], [A]], "23C", ()),
        ([[A, A], [A]], "23C", ()),
        ([[A], []], "23C", (ONE_READER,)),
        ([[], [A]], "23C", (ONE_READER,)),
        ([[UNKNOWN], [A]], "23C", (ONE_READER,)),
        ([[A], [B]], "23C", (READERS_DISAGREE,)),
        ([[A], [A], [B]], "23C", (READERS_DISAGREE,)),
        ([[A], [DOUBTED]], "23C", ("not clear",)),
        ([[A], [DOUBTED], [A]], "23C", ()),
        ([[A], [], [A]], "23C", ()),
        ([[DOUBTED, A], [A]], "23C", ("not clear",)),
        ([[A, B], [A]], "23C", (DIFFERENT, READERS_DISAGREE)),
        ([[A], [A, B]], "23C", (DIFFERENT, READERS_DISAGREE)),
        ([[A, UNKNOWN], [A]], "23C", (DIFFERENT, READERS_DISAGREE)),
        ([[A, B], [A, B]], "23C", (DIFFERENT, ONE_READER)),
    ],
)
def test_a_value_is_sure_where_every_reader_that_speaks_says_the_same(by_reader, value, doubts):
    found = proposals._one("flash_point", "", by_reader)
    assert found is not None
    assert (found.value, found.doubts, found.sure) == (value, doubts, not doubts)


def test_what_no_reader_knows_is_no_proposal():
    assert proposals._one("flash_point", "", [[UNKNOWN], []]) is None


def safety_sheet(**of_section: str) -> SheetText:
    """A safety data sheet of sixteen headings, with a text below some of them."""
    texts = []
    for number, title in enumerate(TITLES["en"], 1):
        texts += [f"SECTION {number}: {title}", *of_section.get(f"s{number}", "").splitlines()]
    return SheetText("flow", tuple(of_text(1, at, text) for at, text in enumerate(texts, 1)))


def test_the_day_of_the_last_section_counts_where_the_first_has_none():
    first, last = "Revision date: 2024-05-03", "Revision date: 2025-06-04"
    for sheet, day, section in (
        (safety_sheet(s1=first, s16=last), "2024-05-03", 1),
        (safety_sheet(s16=last), "2025-06-04", 16),
        (safety_sheet(s1=first), "2024-05-03", 1),
    ):
        (found,) = [each for each in proposals.propose([sheet]) if each.name == "revised_on"]
        assert (found.value, found.section) == (day, section)


def test_a_day_in_the_head_of_a_page_belongs_to_no_section():
    sheet = safety_sheet(s9="Flash point: 23 °C")._replace(
        running=(of_text(2, 1, "Revision date: 2024-05-03"),)
    )
    found = {each.name: each.section for each in proposals.propose([sheet])}
    assert (found["revised_on"], found["flash_point"]) == (None, 9)


def test_a_safety_sheet_has_four_of_its_sections_or_is_read_as_a_technical_one():
    """With three headings the flash point stands in no section, which makes it doubtful."""
    whole = safety_sheet(s9="Flash point: 23 °C").lines
    titled = [
        line
        for line in whole
        if line.text.startswith(("SECTION 1:", "SECTION 2:", "SECTION 3:", "SECTION 9:"))
    ]
    rest = [line for line in whole if "Flash" in line.text]
    (four,) = proposals.propose([SheetText("flow", (*titled, *rest))])
    (three,) = proposals.propose([SheetText("flow", (*titled[1:], *rest))])
    assert (four.section, four.sure) == (9, True)
    assert (three.section, three.sure) == (None, False)


def test_an_order_of_sections_that_falls_makes_all_doubtful():
    lines = safety_sheet(s9="Flash point: 23 °C").lines
    turned = SheetText("flow", (*lines[8:], *lines[:8]))
    assert all(proposals.OUT_OF_ORDER in each.doubts for each in proposals.propose([turned]))
    assert not any(
        proposals.OUT_OF_ORDER in each.doubts for each in proposals.propose([SheetText("flow", lines)])
    )
