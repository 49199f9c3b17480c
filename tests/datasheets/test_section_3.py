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
    for at, near in ((8, [8]), (9, [9]), (7, []), (12, [12]), (13, [])):
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
    """With a per cent sign, as a range that fills its cell or the row's only one, or plain if the head allows it."""
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


ETHANOL = "64-17-5"


def values(*texts: str) -> dict[str, tuple[str | None, bool]]:
    return {key: (one.value, not one.doubts) for key, one in read(*texts).items()}


def test_shares_of_the_whole_and_one_that_starts_at_nothing_are_no_more_than_the_whole():
    rows = [
        f"acetone  {ACETONE}  60 - 70 %",
        f"butanone  {BUTANONE}  40 - 50 %",
        f"ethanol  {ETHANOL}  < 5 %",
    ]
    assert all(sure for _, sure in values(*rows).values())


def test_of_a_substance_without_a_share_no_more_is_said_than_that():
    """Whatever stands in the table's head, or beside it."""
    table = ["Name  CAS  less than %", "* trade secret", "TWA 500 ppm", f"acetone  {ACETONE}"]
    assert read(*table)[ACETONE].doubts == (NO_SHARE,)


def test_a_star_means_a_secret_share_only_where_a_line_with_a_star_says_so():
    for note in ("* of the harbour", "It is no trade secret"):
        assert not read(note, f"acetone*  {ACETONE}  25 %")[ACETONE].doubts


def test_where_other_rows_have_several_shares_the_only_one_of_a_table_row_is_doubtful():
    doubt = "other rows have several shares"
    found = read(f"acetone  {ACETONE}  25 %  30 %", f"butanone  {BUTANONE}  5 %", f"ethanol {ETHANOL}  5 %")
    assert [doubt in found[cas].doubts for cas in (ACETONE, BUTANONE, ETHANOL)] == [False, True, False]


def test_a_share_in_the_line_next_to_a_row_that_has_one_may_be_its_other_half():
    row = f"acetone  {ACETONE}  25 - 50 %"
    for texts, broken in (
        (["Quay", row, "10 %"], True), (["10 %", row], True), (["Quay", row, "harbour", "10 %"], False),
        (["10 %", "harbour", row], False),
    ):  # fmt: skip
        assert (BROKEN in read(*texts)[ACETONE].doubts) is broken


def test_a_plain_figure_is_a_share_only_in_a_cell_of_a_substances_row_under_a_head():
    for texts, value in (
        (["Name  CAS  %", f"acetone  {ACETONE}  25"], "acetone=25% by weight"),
        ([f"acetone  {ACETONE}  25"], None),
        (["Name  CAS  %", f"acetone  {ACETONE}", "Quay  25"], None),
        (["Name  CAS  %", f"{ACETONE} 25"], None),
    ):
        assert read(*texts)[ACETONE].value == value


def test_two_substances_in_one_line_share_no_share():
    for shares in ("25 %", "25 %  30 %"):
        found = values(f"acetone {ACETONE}, butanone {BUTANONE}  {shares}")
        assert set(found) == {ACETONE, BUTANONE}
        assert not any(sure for _, sure in found.values())
    assert found[ACETONE][0] == "acetone=25% by weight"
    assert values(f"acetone {ACETONE}, butanone {BUTANONE}  25 %")[ACETONE] == (None, False)


def test_shares_above_their_substances_belong_to_them_where_each_has_one():
    assert values("25 - 50 %", f"acetone  {ACETONE}", "5 - 10 %", f"butanone  {BUTANONE}") == {
        ACETONE: ("acetone=25-50% by weight", True), BUTANONE: ("butanone=5-10% by weight", True),
    }  # fmt: skip


def test_a_share_in_its_own_row_stays_whatever_stands_between_the_others():
    found = values(f"acetone  {ACETONE}  25 %", "5 %", f"butanone  {BUTANONE}", "10 %")
    assert (found[ACETONE][0], found[BUTANONE][0]) == ("acetone=25% by weight", "butanone=10% by weight")
    rows = [f"acetone  {ACETONE}  25 %", f"butanone  {BUTANONE}", "5 %", f"ethanol  {ETHANOL}", "10 %"]
    assert values(*rows) == {
        ACETONE: ("acetone=25% by weight", True), BUTANONE: ("butanone=5% by weight", True),
        ETHANOL: ("ethanol=10% by weight", True),
    }  # fmt: skip


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("acetone  67-64-1  25 %", "acetone"),
        ("Flam. Liq. 2  acetone  67-64-1", "acetone"),
        ("12  acetone  67-64-1", "acetone"),
        ("acetone CAS 67-64-1", "acetone"),
        ("acetone 10 - 25 %", "acetone"),
        ("67-64-1  25 %", ""),
    ],
)
def test_the_name_in_a_row_is_its_first_cell_of_letters(text, name):
    assert composition._name(of_text(1, 1, text)) == name


def test_a_substance_is_shown_by_the_name_of_its_number_else_by_the_rows_else_by_the_number():
    """99-99-0 has the right last digit and stands in no table."""
    for row, key, shown in (
        (f"propanone  {ACETONE}  25 - 50 %", ACETONE, "acetone 25-50% (CAS 67-64-1)"),
        ("tern oil  99-99-0  25 %", "99-99-0", "tern oil 25% (CAS 99-99-0)"),
        ("99-99-0  25 %", "99-99-0", "99-99-0 25%"),
        (f"acetone  {ACETONE}", ACETONE, "acetone: share not known"),
        ("water  7732-18-5  25 %", "water", "water 25% (CAS 7732-18-5)"),
    ):
        found = read(row)[key]
        assert (found.shown, found.section) == (shown, 3)


def test_water_is_a_share_only_as_a_plain_figure():
    assert values("water  7732-18-5  60 %") == {"water": ("60%", True)}
    assert values("water  7732-18-5  60 - 70 %") == {"water": (None, True)}


def test_what_is_secret_is_read_from_every_row_that_names_it_beside_one_share():
    found = read(
        "Name  %", "Trade secret", "trade secret tern oil  5", "  12  trade secret 5 %",
        "tern oil (trade secret)  5 - 10 %",
        f"acetone (trade secret)  {ACETONE}  20 %", "trade secret grebe oil  < 2 %",
    )  # fmt: skip
    assert {key: (one.value, one.section) for key, one in found.items()} == {
        ACETONE: ("acetone=20% by weight", 3), "tern oil": ("tern oil=5-10% by weight", 3),
        "grebe oil": ("grebe oil=0-2% by weight", 3),
    }  # fmt: skip
    assert [found[key].figures["trade_secret"] for key in (ACETONE, "tern oil")] == [True, True]
    assert read(f"acetone  {ACETONE}  20 %")[ACETONE].figures["trade_secret"] is False
