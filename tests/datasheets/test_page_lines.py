"""How the placed words of a page become lines, cells and columns, and what repeats on every page."""

import pytest

from stock.datasheets import page_lines
from stock.datasheets.page_lines import Cell, SheetLine, Word, of_text, of_words, tidied, without_running


def word(text: str, x0: float, top: float, *, wide: float = 20, high: float = 10) -> Word:
    return Word(text, x0, x0 + wide, top, top + high)


def texts(words: list[Word], width: float = 600) -> list[str]:
    return [line.text for line in of_words(1, width, words)]


def test_words_whose_middles_lie_within_a_words_height_are_one_row_from_the_left():
    """A quarter of the height is left off above and below: a middle 2.5 points beside the first's still counts."""
    assert texts([word("point", 30, 102.5), word("Flash", 8, 100)]) == ["Flash point"]
    assert texts([word("point", 30, 102.6), word("Flash", 8, 100)]) == ["Flash", "point"]
    assert texts([word("m", 8, 100), word("3", 30, 97.5, high=5)]) == ["3", "m"]
    lines = of_words(4, 600, [word("b", 8, 120), word("a", 8, 100)])
    assert [(line.page, line.number, line.text) for line in lines] == [(4, 1, "a"), (4, 2, "b")]
    assert of_words(1, 600, []) == []


def test_a_gap_wider_than_nine_tenths_of_the_letters_height_parts_cells():
    row = [word("Flash", 8, 100), word("point", 37, 100), word("23", 66.1, 100)]
    (line,) = of_words(1, 600, row)
    assert line.cells == (Cell("Flash point", 8), Cell("23", 66.1))


def running(rows: int, *, head: str = "", cut: int = 0) -> list[Word]:
    """A page of two columns, 300 points each: words fill the left one, and `cut` lines cross its gutter."""
    words = []
    for row in range(rows):
        top = 100 + 12 * row
        words += [word("left", 20 + 26 * at, top, wide=24) for at in range(10)]
        words += [word("right", 320 + 26 * at, top, wide=24) for at in range(8)]
        if row < cut:
            words.append(word("crossing", 280, top, wide=60))
    return words + ([word(head, 320, 90, wide=200)] if head else [])


def test_running_text_on_both_sides_of_a_gutter_is_two_columns():
    page = texts(running(12))
    assert page == ["  ".join([" ".join(["left"] * 10)])] * 12 + [" ".join(["right"] * 8)] * 12
    assert len(texts(running(11))) == 11  # too few rows to tell
    mixed = texts(running(20, cut=3))
    assert (len(mixed), sum("crossing" in line for line in mixed)) == (37, 3)
    assert len(texts(running(20, cut=4))) == 20  # more than 15 of 100 rows cross it


def test_a_table_of_labels_and_values_stays_one_column_unless_a_section_begins_right_of_the_gutter():
    def table(head: str = "", rows: int = 12) -> list[Word]:
        found = [word("label", 20, 100 + 12 * row) for row in range(rows)]
        found += [word("value", 320, 100 + 12 * row) for row in range(rows)]
        return found + ([word(head, 320, 90, wide=250)] if head else [])

    assert texts(table()) == ["label  value"] * 12
    assert texts(table("SECTION 9: Physical and chemical properties"))[:12] == ["label"] * 12
    assert texts(table("Only words"))[1:] == ["label  value"] * 12


def page(number: int, *body: str, head: str = "", foot: str = "") -> list[SheetLine]:
    lines = [line for line in (head, *body, foot) if line]
    return [of_text(number, at, text) for at, text in enumerate(lines, 1)]


def test_what_repeats_at_the_head_or_foot_of_most_pages_is_apart_whatever_its_figures():
    pages = [
        *page(1, "one", head="Quay Works", foot="Page 1 of 3"),
        *page(2, "two", "Quay Works is", head="Quay Works", foot="Page 2 of 3"),
        *page(3, "three"),
    ]
    found = without_running("flow", pages)
    assert (found.name, [line.text for line in found.lines]) == (
        "flow",
        ["one", "two", "Quay Works is", "three"],
    )
    assert [line.text for line in found.running] == ["Quay Works", "Page 1 of 3"]
    alone = page(1, "one", head="Quay Works", foot="Quay Works")
    assert without_running("flow", alone).running == ()
    heads = [*page(1, "a", head="SECTION 9: Physical and chemical properties"),
             *page(2, "b", head="SECTION 9: Physical and chemical properties")]  # fmt: skip
    assert without_running("flow", heads).running == ()
    few = [
        line
        for number in range(1, 6)
        for line in page(number, f"{'abcde'[number - 1]}", head="Tern" * (number < 3))
    ]
    assert without_running("flow", few).running == ()  # on two pages of five


def test_only_the_first_six_and_the_last_five_lines_of_a_page_can_be_its_head_and_foot():
    def with_line_at(place: int) -> list[SheetLine]:
        return [
            of_text(number, at, "same" if at == place else f"{'abc'[number]} {'x' * at}")
            for number in range(3)
            for at in range(1, 21)
        ]

    apart = [place for place in range(1, 21) if without_running("flow", with_line_at(place)).running]
    assert apart == [1, 2, 3, 4, 5, 6, 16, 17, 18, 19, 20]


def test_letters_are_made_the_few_that_are_known():
    assert (
        tidied(" Flash\u00a0point ......... ≥\u200b12\u00ba − 5 \t> = 3, = < 4 m³ ")
        == "Flash point: ≥12° - 5   ≥ 3, ≤ 4 m3"
    )
    assert [cell.text for cell in of_text(1, 1, "a b  c | d\te||").cells] == ["a b", "c", "d", "e"]
    assert of_text(1, 1, "x" * 2_000).text == "x" * page_lines.LONGEST_LINE
    both = page_lines.joined(of_text(1, 1, "a  b"), of_text(1, 2, "c"))
    assert (both.number, both.text) == (1, "a  b  c")


@pytest.mark.parametrize(
    ("words", "edge", "share"), [((0, 60), 100, 0.8), ((20, 60), 100, 0.75), ((100, 60), 100, 20)]
)
def test_how_much_of_the_room_left_of_a_gutter_is_filled(words, edge, share):
    """From the first word on: 20 points from 60 fill 80 of 100, or 60 of 80; where there is no room it is all."""
    row = (
        [word("a", words[0], 0), word("b", words[1], 0)] if words[0] < words[1] else [word("a", words[0], 0)]
    )
    assert page_lines._filled(row, edge) == share
