"""Section 3: which figure is a share, and which substance it belongs to."""

from fractions import Fraction

import pytest

from stock.datasheets import composition
from stock.datasheets.composition import BROKEN, LONGEST_BLOCK, NO_SHARE, PAIRED, Ingredient
from stock.datasheets.figures import Quantity
from stock.datasheets.found_values import FoundValue
from stock.datasheets.page_lines import SheetLine, of_text

ACETONE, BUTANONE = "67-64-1", "78-93-3"


def lines(*texts: str) -> list[SheetLine]:
    return [of_text(1, at, text) for at, text in enumerate(texts, 1)]


def read(*texts: str) -> dict[str, FoundValue]:
    found = composition.composition(lines(*texts), comma_decimal=None)
    return {one.key or one.name: one for one in found}


def share(low: int, high: int | None = None) -> Quantity:
    return Quantity(Fraction(low), Fraction(low if high is None else high), "", "%", (0, 1))


def part(at: int, *shares: Quantity) -> Ingredient:
    return Ingredient(ACETONE, of_text(1, at, "acetone"), "acetone", shares, at, False)


LINE = of_text(1, 1, "10 %")


def loose(*places: int) -> list[tuple[int, Quantity, SheetLine]]:
    return [(at, share(at), LINE) for at in places]


@pytest.mark.parametrize(
    ("starts", "shares_at", "matched"),
    [
        ([0, 5], [1], {0: [1]}),
        ([0, 5], [1, 6], {0: [1], 5: [6]}),
        ([0, 5], [1, 2, 6], {5: [6]}),
        ([0, 5], [1, 6, 7], {0: [1]}),
        ([0, 5], [0, 5], {}),
        ([1, 5], [0, 2, 6], {}),
        ([1, 5], [1, 2], {1: [2]}),
        ([0, 5], [5 + LONGEST_BLOCK - 1], {5: [5 + LONGEST_BLOCK - 1]}),
        ([0, 5], [5 + LONGEST_BLOCK], {}),
    ],
)
def test_the_only_share_between_a_substance_and_the_next_is_its_own(starts, shares_at, matched):
    found = composition._blocks([part(at) for at in starts], loose(*shares_at))
    assert {at: [one.low for one in each] for at, each in found.items()} == matched


def test_shares_that_alternate_with_the_substances_belong_to_them_in_order():
    def ordered(starts: list[int], shares_at: list[int]) -> list[object] | None:
        found = composition._alternating([part(at) for at in starts], loose(*shares_at))
        return None if found is None else [one.low for one in found]

    assert ordered([0, 2], [1, 3]) == [1, 3]
    assert ordered([1, 3], [0, 2]) == [0, 2]
    assert ordered([0, 2], [1]) is None
    assert ordered([0, 1], [2, 3]) is None
    assert ordered([0, 3], [1, 2, 4]) is None


def test_a_substance_without_a_share_in_its_row_takes_one_within_two_lines_and_says_so():
    with_share, without = part(0, share(50)), part(10)
    for at, near in ((8, [8]), (7, []), (12, [12]), (13, [])):
        found, doubts = composition._paired([with_share, without], [*loose(at), *loose(1, 2)])[10]
        if at > 10:  # the only one after the last substance is its own
            assert ([one.low for one in found], doubts) == ([at], ())
        else:
            assert ([one.low for one in found], doubts) == (near, (PAIRED,) if near else (NO_SHARE,))


@pytest.mark.parametrize(
    ("text", "bare", "shares"),
    [
        ("acetone  67-64-1  25 %", False, [(25, 25)]),
        ("acetone  67-64-1  25", False, []),
        ("acetone  67-64-1  25", True, [(25, 25)]),
        ("acetone  67-64-1  25 - 50", False, [(25, 50)]),
        ("acetone  67-64-1  25 30", True, []),
        ("acetone 67-64-1 25 - 50", False, [(25, 50)]),
        ("acetone 67-64-1 25 - 50 70", False, []),
        ("acetone 67-64-1 25", False, []),
        ("acetone 25 - 50", False, []),
        ("acetone  67-64-1  of 25 - 50", False, []),
        ("acetone  67-64-1  10 < 25 %", False, [(10, 25)]),
        ("acetone  67-64-1  200 mg/kg  5 %", True, [(5, 5)]),
        ("acetone  67-64-1  100 %", False, [(100, 100)]),
        ("acetone  67-64-1  101 %", False, []),
        ("acetone  67-64-1  0 - 1 %", False, [(0, 1)]),
    ],
)
def test_which_figures_of_a_row_are_shares(text, bare, shares):
    """With a per cent sign, or as a range that fills its cell or the row's only one; a plain figure if the head allows."""
    found = composition._shares(of_text(1, 1, text), None, bare=bare)
    assert [(one.low, one.high) for one in found] == shares


def test_a_share_that_a_narrow_column_broke_is_doubtful():
    assert not read(f"acetone  {ACETONE}  5 - 50 %")[ACETONE].doubts
    assert BROKEN in read(f"acetone  {ACETONE}  2 5 - 50 %")[ACETONE].doubts
    for row in (f"acetone  {ACETONE}  25 % -", f"acetone  {ACETONE}  25 - 50 % to"):
        assert BROKEN in read(row)[ACETONE].doubts


@pytest.mark.parametrize(("apart", "broken"), [(1, True), (2, True), (3, False)])
def test_half_a_range_within_two_lines_of_a_substance_makes_its_share_doubtful(apart, broken):
    row, half, between = f"acetone  {ACETONE}  25 - 50 %", "Quay  25 -", ["of the harbour"] * (apart - 1)
    for texts in ([row, *between, half], [half, *between, row]):
        assert (BROKEN in read(*texts)[ACETONE].doubts) is broken


def test_a_dash_alone_is_an_empty_cell_where_its_line_has_words():
    row = f"acetone  {ACETONE}  25 - 50 %"
    assert BROKEN not in read(f"acetone  {ACETONE}  -  25 - 50 %")[ACETONE].doubts
    assert BROKEN in read(row, "-  12")[ACETONE].doubts


@pytest.mark.parametrize(
    ("texts", "doubt"),
    [
        (
            ["Name  CAS  %", "TWA 500 ppm", f"acetone  {ACETONE}  25"],
            "limits of exposure stand in the same table",
        ),
        (["* trade secret", f"acetone*  {ACETONE}  25 - 50 %"], "its true share is kept secret"),
        (["Name  CAS  less than %", f"acetone  {ACETONE}  25 %"], "the head of the table says less than"),
        (["Name  CAS  Content", f"acetone  {ACETONE}  25 - 50"], "no per cent sign is printed"),
        ([f"acetone (in butanone)  {ACETONE}  25 - 50 %"], "perhaps its share of another ingredient"),
        ([f"acetone  {ACETONE}  50 % max"], "only one end is printed"),
        (
            [f"acetone  {ACETONE}  25 %  30 %", f"butanone  {BUTANONE}  5 %"],
            "other rows have several shares",
        ),
    ],
)
def test_what_the_table_says_of_all_its_shares(texts, doubt):
    assert any(doubt in one.doubts for one in read(*texts).values())
    for harmless in (["TWA 500 ppm", f"acetone  {ACETONE}  25 %"], ["* trade secret", f"acetone  {ACETONE}  25 %"],
                     ["Name  CAS  less than %", f"acetone  {ACETONE}  25 - 50 %"]):  # fmt: skip
        assert not any(doubt in one.doubts for one in read(*harmless).values())


def test_a_single_bound_starts_at_nothing_or_ends_at_the_whole():
    assert composition._ends(share(10)._replace(low=None)) == (0, 10)
    assert composition._ends(share(10)._replace(high=None)) == (10, 100)
    assert composition._ends(share(10, 20)) == (10, 20)
