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


def test_a_word_crosses_a_gutter_that_is_nearer_than_two_points_to_it():
    for x0, x1, crosses in (
        (101.9, 150, True),
        (102, 150, False),
        (50, 98.1, True),
        (50, 98, False),
        (50, 150, True),
    ):
        assert page_lines._crosses([Word("w", x0, x1, 0, 10)], 100) is crosses


def test_a_heading_right_of_the_gutter_may_begin_just_there():
    for x0, heads in ((100, True), (99.9, False), (140, True)):
        assert (
            page_lines._heads([Word("SECTION 9: Physical and chemical properties", x0, 300, 0, 10)], 100)
            is heads
        )


def test_a_line_below_both_columns_begins_new_ones():
    """A row across the gutter ends the columns above it; empty columns are none."""
    left, right, across = word("l", 20, 100), word("r", 320, 100), word("across", 280, 112, wide=60)
    rows = [[left, right], [across], [word("l", 20, 124)]]
    columns = page_lines._columns(600, rows)
    assert columns == [rows]  # so few rows are one column
    many = running(20, cut=1)
    found = texts(many)
    at = next(place for place, text in enumerate(found) if "crossing" in text)
    assert at == 0
    assert found[1:20] == [" ".join(["left"] * 10)] * 19


def test_a_word_that_ends_or_begins_at_the_gutter_does_not_cross_it(monkeypatch):
    monkeypatch.setattr(page_lines, "_gutter", lambda *_: 100)
    ends, begins, crosses = (Word("w", x0, x1, 0, 10) for x0, x1 in ((50, 100), (100, 150), (99.9, 100.1)))
    assert page_lines._columns(200, [[ends, begins]]) == [[[ends]], [[begins]]]
    assert page_lines._columns(200, [[ends], [crosses], [begins]]) == [[[ends]], [[crosses]], [[begins]]]


def parted_at(gutter: float, *, gap: float = 5, rows: int = 12) -> list[list[Word]]:
    """Rows of words two points apart, with a wider gap about the gutter."""
    left = [Word("l", gutter - gap / 2 - 24 - 26 * at, gutter - gap / 2 - 26 * at, 0, 10) for at in range(8)][
        ::-1
    ]
    right = [word("r", gutter + gap / 2 + 26 * at, 0, wide=24) for at in range(8)]
    return [[*left, *right] for _ in range(rows)]


def test_a_gutter_is_looked_for_from_36_to_64_per_cent_of_the_width_and_the_first_empty_place_is_it():
    for at, found in ((210, None), (216, 216), (300, 300), (384, 384), (390, None)):
        assert page_lines._gutter(600, parted_at(at)) == found
    assert page_lines._gutter(600, parted_at(300, gap=60)) == 276
    assert page_lines._gutter(600, parted_at(300, rows=11)) is None


def test_two_columns_have_eight_rows_side_by_side_and_most_of_them_fill_the_left_one():
    whole = parted_at(300, rows=20)
    alone, short = whole[0][:8], [*whole[0][:2], *whole[0][8:]]
    for both, one_sided, some_short, found in (
        (8, 5, 0, 300), (7, 6, 0, None), (5, 5, 3, 300), (4, 5, 4, None), (6, 5, 5, 300), (6, 5, 6, None),
    ):  # fmt: skip
        rows = [*whole[:both], *[alone] * one_sided, *[short] * some_short]
        assert page_lines._gutter(600, rows) == found


def test_the_head_of_the_only_page_is_no_running_head():
    text = without_running("flow", page(1, "one", head="Quay Works", foot="Quay Works"))
    assert ([line.text for line in text.lines], text.running) == (["Quay Works", "one", "Quay Works"], ())
