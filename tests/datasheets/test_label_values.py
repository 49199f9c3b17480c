"""Which text is the value of a label: beside it, beneath it, or in a column of its own."""

from collections import Counter

import pytest

from stock.datasheets import labels
from stock.datasheets.labels import FARTHEST, Labelled, found_labels
from stock.datasheets.page_lines import Cell, SheetLine, of_text


def lines(*texts: str) -> list[SheetLine]:
    return [of_text(1, at, text) for at, text in enumerate(texts, 1)]


def line(*cells: tuple[str, float], page: int = 1) -> SheetLine:
    return SheetLine(page, 1, tuple(Cell(*cell) for cell in cells))


def behind(*texts: str, name: str = "flash_point") -> Labelled:
    ((_, found),) = found_labels(lines(*texts), (name,))
    return found


@pytest.mark.parametrize(
    ("texts", "text", "after", "below"),
    [
        (["Flash point: 23 °C"], "23 °C", "", False),
        (["Flash point  23 °C  closed"], "23 °C closed", "", False),
        (["Flash point: 23 °C", "closed cup", "Density: 1 g/ml", "more"], "23 °C", "closed cup", False),
        (["Flash point:", "23 °C", "closed cup"], "23 °C", "closed cup", True),
        (["Flash point (closed cup):", "23 °C"], "(closed cup): 23 °C", "", True),
        (["Flash point", "range: 23 °C"], "range: 23 °C", "", True),
        (["Flash point:", "Density: 1 g/ml", "23 °C"], "", "", False),
        (["Flash point: 23 °C  Density: 1 g/ml  2"], "23 °C", "", False),
        (["Flash point  Odour: sweet"], "", "", False),
        (["Flash point: 1", "2", "3", "4", "5"], "1", "2 3 4", False),
        (["Flash point: not determined", "23 °C"], "not determined", "23 °C", False),
    ],
)
def test_a_value_is_beside_its_label_else_beneath_it_up_to_the_next_label(texts, text, after, below):
    found = behind(*texts)
    assert (found.text, found.after, found.below) == (text, after, below)
    assert FARTHEST == 3


def test_the_rows_of_a_table_end_a_value_beside_its_label():
    table = [line(("Flash point", 50), ("23 °C", 200)), line(("Kind", 50), ("red", 200)), line(("more", 50))]
    (one,) = [found for _, found in found_labels(table, ("flash_point",))]
    assert (one.text, one.after) == ("23 °C", "")
    inset = [table[0], line(("closed", 200), ("cup", 260)), table[2]]
    (one,) = [found for _, found in found_labels(inset, ("flash_point",))]
    assert one.after == "closed  cup more"
    for first in (line(("Flash point: 23 °C", 50)), line(("words", 0), ("Flash point: 23 °C", 50))):
        ((_, one),) = found_labels([first, *table[1:]], ("flash_point",))
        assert one.after == "Kind  red more"  # a line without a value of its own beside it is no row


@pytest.mark.parametrize(
    ("columns", "beside"),
    [
        ({(1, 19): 1, (1, 21): 1}, True),
        ({(1, 20): 2}, True),
        ({(1, 20): 1}, False),
        ({(1, 18): 2, (1, 22): 2}, False),
        ({(2, 20): 2}, False),
    ],
)
def test_a_column_has_two_labels_within_a_place_of_each_other(columns, beside):
    """A place is six points wide; the value begins at 120, which is place 20."""
    assert (
        labels._beside(line(("Flash point", 50), ("23 °C", 120), ("x", 400)), 0, Counter(columns)) is beside
    )
    assert not labels._beside(line(("Flash point", 120)), 0, Counter(columns))


def test_labels_and_headings_right_of_other_words_are_counted_by_page_and_place():
    page = [
        line(("Flash point", 120), ("Density", 240)),
        line(("SECTION 9: Physical and chemical properties", 0), ("SECTION 14: Transport information", 241)),
        line(("words", 0), ("words", 240)),
        line(("words", 0), ("Density", 240), page=2),
    ]
    assert labels._columns(page) == Counter({(1, 40): 2, (2, 40): 1})


def test_a_label_whose_value_stands_in_a_column_of_labels_is_not_alone():
    table = [line(("Flash point", 50), ("23 °C", 240)), line(("words", 50), ("Density", 240)),
             line(("words", 50), ("pH", 240))]  # fmt: skip
    (one,) = [found for _, found in found_labels(table, ("flash_point",))]
    assert not one.lone
    (alone,) = [found for _, found in found_labels(table[:2], ("flash_point",))]
    assert alone.lone
    (marked,) = [
        found
        for _, found in found_labels(
            [line(("Flash point: 23 °C", 50), ("x", 240)), *table[1:]], ("flash_point",)
        )
    ]
    assert marked.lone
    (second,) = [found for _, found in found_labels(table, ("density",))]
    assert not second.lone


def test_the_longest_label_that_a_text_begins_with_is_its_label():
    for text, found in (
        ("Flash point: 23 °C", ("flash_point", 11)), ("1.2 Flash point", ("flash_point", 15)), ("pH", ("ph", 2)),
        ("Densityx", None), ("Density's", None), ("Quay", None),
    ):  # fmt: skip
        assert labels.label_of(text) == found


@pytest.mark.parametrize(
    ("texts", "goes_on"),
    [
        (["Product name: Tern"], False),
        (["Product name: Tern,"], True),
        (["Product name: Tern", "grey"], True),
        (["Product name: Tern", "Density: 1"], False),
        (["Product name: Tern", "Density"], True),
        (["Product name: Tern", "- grey"], False),
        (["Product name: Tern", "12"], False),
        (["Product name: Tern", "Address of it: 12"], False),
        (["Product name:", "Tern", "grey"], True),
    ],
)
def test_a_text_goes_on_in_a_line_that_begins_with_no_label(texts, goes_on):
    assert labels.goes_on_below(lines(*texts), behind(*texts, name="name")) is goes_on


def test_the_next_row_of_a_table_is_no_part_of_the_value_above_it():
    table = [line(("Product name", 50), ("Tern", 200)), line(("Kind", 50), ("grey", 200))]
    for rows, goes_on in ((table, False), ([table[0], line(("Kind", 90), ("grey", 200))], True)):
        ((_, found),) = found_labels(rows, ("name",))
        assert labels.goes_on_below(rows, found) is goes_on
