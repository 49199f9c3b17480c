"""Which section a line belongs to, whatever a table of contents, a pointer elsewhere or skipped pages print."""

import pytest

from stock.datasheets.page_lines import SheetLine, SheetText, of_text
from stock.datasheets.sections import Sections, parted
from stock.datasheets.wanted_pages import WITHOUT_SECTIONS, pages_with_figures
from tests.datasheets.languages import TITLES

HEADS = [f"SECTION {number}: {title}" for number, title in enumerate(TITLES["en"], 1)]


def lines(*texts: str, page: int = 1) -> list[SheetLine]:
    return [of_text(page, at, text) for at, text in enumerate(texts, 1)]


def read(*texts: str) -> Sections:
    return parted(SheetText("flow", tuple(lines(*texts))))


@pytest.mark.parametrize(("many", "orderly"), [(8, True), (16, True), (7, False)])
def test_eight_headings_one_after_the_other_that_come_again_are_a_table_of_contents(many, orderly):
    body = [text for head in HEADS for text in (head, "words")]
    for between in ((), ("words",)):
        found = read("Safety data sheet", *HEADS[:many], *between, *body)
        assert (found.orderly, found.numbers == tuple(range(1, 17))) == (orderly, orderly)


def test_headings_without_words_between_them_that_come_once_are_the_sections():
    found = read(*HEADS)
    assert (found.numbers, found.orderly) == (tuple(range(1, 17)), True)
    parts = read(*HEADS[:9], "words", HEADS[9], "words")
    assert (parts.numbers, parts.orderly) == (tuple(range(1, 11)), True)


def test_a_heading_that_is_printed_again_is_the_same_section():
    found = read(HEADS[0], "a", HEADS[0], "b", HEADS[1], "c")
    assert (found.numbers, [line.text for line in found.lines(1)]) == ((1, 2), ["a", "b"])


def test_a_section_that_a_line_points_to_does_not_begin_there():
    found = read(HEADS[0], "for more see", HEADS[8], "words", HEADS[8], "figures")
    assert [line.text for line in found.lines(1)] == ["for more see", HEADS[8], "words"]
    assert [line.text for line in found.lines(9)] == ["figures"]


def test_a_page_after_skipped_ones_begins_in_the_section_that_it_is_told():
    first, next_one, far = lines(HEADS[0], "a"), lines("b", page=2), lines("c", page=4)
    text = SheetText("placed", (*first, *next_one, *far), begins={2: 5, 4: 9})
    found = parted(text)
    assert [line.text for line in found.lines(1)] == ["a", "b"]  # no page was skipped before the second
    assert [line.text for line in found.lines(9)] == ["c"]
    assert [line.text for line in parted(text._replace(begins={})).lines(1)] == ["a", "b", "c"]


def test_headings_with_a_line_between_them_or_that_do_not_rise_are_no_table_of_contents():
    body = [text for head in HEADS for text in (head, "words")]
    apart = [text for head in HEADS[:8] for text in (head, "words")]
    for contents in (apart, [*HEADS[:4], "words", *HEADS[4:8]], [*HEADS[:7], HEADS[6]], HEADS[1:8]):
        assert not read(*contents, *body).orderly
    assert read(*HEADS[1:10], *body[2:]).orderly


def test_a_heading_may_have_its_title_in_the_line_below():
    found = read("SECTION 1", TITLES["en"][0], "a", "SECTION 9", TITLES["en"][8])
    assert found.numbers == (1, 9)
    assert read("a", "SECTION 9").numbers == read("SECTION 9").numbers


def test_a_reading_that_begins_on_a_later_page_begins_in_the_section_that_it_is_told():
    text = SheetText("placed", tuple(lines("a", page=2)), begins={2: 9})
    assert [line.text for line in parted(text).lines(9)] == ["a"]


def test_the_pages_that_matter_are_the_first_and_those_of_a_wanted_section_with_a_code_or_a_label():
    flow = [
        (1, HEADS[0]),
        (2, f"{HEADS[1]}\nH226"),
        (3, f"{HEADS[2]}\nwords"),
        (4, f"{HEADS[3]}\nDensity: 1 g/ml"),
        (5, "Density: 1 g/ml"),
        (6, f"{HEADS[8]}\nFlash point: 23 °C"),
        (7, "words"),
        (8, "more words\nDensity: 1 g/ml"),
    ]
    assert pages_with_figures(flow) == {1: None, 2: 1, 4: 3, 6: 4, 8: 9}  # page 4 begins in section 3


def test_without_four_sections_the_first_pages_matter():
    flow = [(page, "Density: 1 g/ml") for page in range(1, WITHOUT_SECTIONS + 3)]
    assert pages_with_figures(flow) == dict.fromkeys(range(1, WITHOUT_SECTIONS + 1))
    three = [(page, head) for page, head in enumerate(HEADS[:3], 1)]
    assert pages_with_figures(three) == {1: None, 2: None, 3: None}
