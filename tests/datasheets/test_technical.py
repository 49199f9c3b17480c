"""Technical sheets: lives, pressures, mixing ratios and reductions by needle."""

from fractions import Fraction

import pytest

from stock.datasheets import technical
from stock.datasheets.found_values import FoundValue
from stock.datasheets.page_lines import Cell, SheetLine, of_text
from stock.datasheets.technical import SEVERAL, WORDS


def lines(*texts: str) -> list[SheetLine]:
    return [of_text(1, at, text) for at, text in enumerate(texts, 1)]


def read(*texts: str) -> list[FoundValue]:
    return list(technical.technical(lines(*texts), comma_decimal=None))


def only(*texts: str, name: str) -> FoundValue:
    (found,) = [one for one in read(*texts) if one.name == name]
    return found


NOT_SAID = "whether by volume or by weight isn't said"


@pytest.mark.parametrize(
    ("text", "value", "by", "doubts"),
    [
        ("4:1 by volume", "4:1 by volume", "volume", ()),
        ("4:1 by weight", "4:1 by weight", "weight", ()),
        ("4 : 1 : 0.5 by volume", "4:1:0.5 by volume", "volume", ()),
        ("4:1", "4:1", None, (NOT_SAID,)),
        ("4:1 by volume (4 : 1)", "4:1 by volume", "volume", ()),
        ("4:1 or 5:1 by volume", "4:1 by volume", "volume", (SEVERAL,)),
        ("4:1 by volume, by weight", "4:1 by volume", "volume", (SEVERAL,)),
    ],
)
def test_a_mixing_ratio_says_by_what_it_is(text, value, by, doubts):
    found = only(f"Mixing ratio: {text}", name="mixing_ratio")
    assert (found.value, found.figures["by"], found.doubts) == (value, by, doubts)
    assert read("Mixing ratio: ask") == []


@pytest.mark.parametrize(
    ("text", "value", "sure"),
    [
        ("1.5 bar", "1.5 bar", True),
        ("1.5 bar (23.92 psi)", "1.5 bar", True),  # 1.649 bar
        ("1.5 bar (24 psi)", "1.5 bar", False),  # 1.655 bar
        ("23.9 psi (1.5 bar)", "1.5 bar", True),
        ("150 kPa", "1.5 bar", True),
        ("0.15 MPa", "1.5 bar", True),
        ("1 - 2 bar (14.5 - 29 psi)", "1 to 2 bar", True),
        ("1 - 2 bar (14.5 - 32 psi)", "1 to 2 bar", False),
        ("1 - 2 bar (at least 14.5 psi)", "1 to 2 bar", False),
        ("about 1.5 bar", "1.5 bar", False),
        ("1.5 bar or so", "1.5 bar", False),
    ],
)
def test_a_pressure_is_in_bar_and_sure_where_a_second_unit_agrees_to_a_sixth_of_one(text, value, sure):
    found = only(f"Air pressure: {text}", name="pressure")
    assert (found.value, not found.doubts) == (value, sure)


def test_a_pressure_with_another_beneath_it_is_doubtful():
    assert SEVERAL in only("Air pressure: 1.5 bar", "2 bar at the gun", name="pressure").doubts
    assert read("Air pressure: low") == []


@pytest.mark.parametrize(
    ("texts", "found"),
    [
        (["Shelf life: 24 months"], [("sealed_life", "24 months", True)]),
        (["Shelf life: not determined"], [("sealed_life", None, True)]),
        (["Shelf life: long"], []),
        (["Shelf life opened: 6 months"], [("opened_life", "6 months", True)]),
        (["Shelf life unopened: 6 months"], [("sealed_life", "6 months", True)]),
        (["Shelf life: 24 months", "12 months in a tin"], [("sealed_life", "24 months", False)]),
        (["Shelf life: 24 months, 12 months"], [("sealed_life", "24 months", False)]),
        (["Quay  Shelf life: 24 months"], [("sealed_life", "24 months", False)]),
        (["Pot life: 4 - 6 hours"], [("pot_life", "4 h", True)]),
        (["Pot life: at least 4 hours"], [("pot_life", "4 h", False)]),
        (["Drying: 20 minutes"], [("drying", "20 min", True)]),
        (["Touch dry: 10 - 20 minutes"], [("touch_dry", "10 to 20 min", True)]),
        (["Recoat: 1 hour"], [("recoat", "1 h", True)]),
    ],
)
def test_how_long_it_is_good_and_when_it_is_dry(texts, found):
    """A life is booked by its shorter end; a drying time is shown as it is printed."""
    assert [(one.name, one.value, not one.doubts) for one in read(*texts)] == found


def dosing(*texts: str) -> FoundValue:
    return only(*texts, name="dosing")


BOUND = "a bound is printed, not a figure"


@pytest.mark.parametrize(
    ("text", "value", "doubts"),
    [
        ("10 - 20 %", "low=10 high=20", ()),
        ("10 %", "low=10 high=10", ()),
        ("up to 20 %", "low=0 high=20", (BOUND,)),
        ("at least 10 %", "low=10 high=10", (BOUND,)),
        ("10 - 20 % to", "low=10 high=20", (WORDS,)),
        ("10 - 20 % of the paint", "low=10 high=20", ()),
        ("10 - 20 % of the mix", "low=10 high=20", None),
        ("10 - 20 %, 30 %", "low=10 high=20", (SEVERAL,)),
        ("10 - 20 % in summer", "low=10 high=20", (WORDS,)),
        ("10 - 20 %, 1.5 bar", "low=10 high=20 pressure=1.5..1.5 bar", ()),
        ("10 - 20 % 0.2 mm", "needle=0.2 low=10 high=20", ()),
        ("10 - 20 % < 0.2 mm", "needle<=0.2 low=10 high=20", ()),
        ("10 - 20 % ≥ 0,35 mm", "needle>=0.35 low=10 high=20", ()),
        ("10 - 20 % 0.2 - 0.35 mm", "needle=0.2..0.35 low=10 high=20", ()),
    ],
)
def test_a_reduction_as_the_record_reads_it(text, value, doubts):
    found = dosing(f"Reduction: {text}")
    assert found.value == value
    if doubts is None:
        assert found.doubts
    else:
        assert found.doubts == doubts


def test_a_reduction_with_another_share_beneath_it_is_doubtful():
    assert dosing("Reduction: 10 - 20 %", "30 % in winter").doubts == (SEVERAL,)
    assert dosing("Reduction: 10 - 20 %", "Colour: red").doubts == ()


def test_the_only_reducer_of_a_sheet_is_that_of_its_reductions():
    one = dosing("Reducer: Slow Thinner", "Reduction: 10 - 20 %")
    assert (one.figures["with"], one.shown) == ("Slow Thinner", "10 to 20 %, with Slow Thinner")
    assert (
        dosing("Reducer: Slow Thinner", "Thinner: Quick Thinner", "Reduction: 10 - 20 %").figures["with"]
        is None
    )
    assert dosing("Reducer: Slow Thinner or water", "Reduction: 10 - 20 %").figures["with"] is None
    own = dosing("Reducer: Slow Thinner", "Reduction: 10 - 20 % with Quick Thinner, 0.2 mm")
    assert (own.figures["with"], own.shown) == (
        "Quick Thinner",
        "10 to 20 %, needle 0.2 mm, with Quick Thinner",
    )


def table(*rows: tuple[str, ...]) -> list[SheetLine]:
    return [
        SheetLine(1, at, tuple(Cell(text, 100 * place) for place, text in enumerate(row)))
        for at, row in enumerate(rows, 1)
    ]


def of_table(*rows: tuple[str, ...]) -> list[tuple[str | None, object, bool]]:
    found = technical._dosings(table(*rows), None)
    return [(one.value, one.figures["with"], not one.doubts) for one in found]


def test_a_table_of_reductions_has_its_units_in_its_head_and_a_reducer_in_each_row():
    rows = [("0.2", "10 - 20", "Slow Thinner"), ("0.35", "5 - 10", "Quick Thinner")]
    assert of_table(("Needle (mm)", "Reduction (%)", "Reducer"), *rows) == [
        ("needle=0.2 low=10 high=20", "Slow Thinner", True), ("needle=0.35 low=5 high=10", "Quick Thinner", True),
    ]  # fmt: skip
    assert of_table(("Needle", "Reduction", "Reducer"), *rows) == []
    assert of_table(("Needle (mm)", "Reduction (%)"), ("0.2", "10 - 20")) == [
        ("needle=0.2 low=10 high=20", None, True)
    ]
    assert of_table(("Needle (mm)", "Pressure"), ("0.2", "10 - 20 %")) == [
        ("needle=0.2 low=10 high=20", None, False)
    ]
    assert of_table(("Colour", "Pressure"), ("0.2 mm", "10 - 20 %")) == []
    assert of_table(("Needle (mm)", "Reduction (%)"), ("0.2", "10 - 20", "odd")) == []
    assert of_table(("Needle (mm)", "Reduction (%)"), ("0.2", "10 - 20 in summer %")) == []


def test_the_unit_of_a_column_stands_behind_its_label():
    heads = ("Needle (mm)", "Needle in mm", "Reduction, %", "Reduction [%]", "Reduction", "mm needle")
    assert [technical._unit_of_column(head) for head in heads] == ["mm", "mm", "%", "%", "", ""]


def test_the_reducer_of_a_row_is_its_only_cell_of_words():
    for cells, name in (
        (("0.2 mm", "Slow Thinner"), "Slow Thinner"), (("Slow", "Thinner"), None), (("0.2 mm",), None),
        (("ab", "Slow"), "Slow"),
    ):  # fmt: skip
        (line,) = table(cells)
        assert technical._named_in(line) == name


def test_a_name_of_a_reducer_may_go_on_or_mean_none():
    for texts, sure in ((["Reducer: Slow Thinner"], True), (["Reducer: Slow Thinner", "of the quay"], False),
                        (["Reducer: none"], False), (["Quay  Reducer: Slow Thinner"], False)):  # fmt: skip
        assert (not only(*texts, name="reducer").doubts) is sure


def test_pressures_in_bar():
    first, printed, agree = technical.pressures("10 psi", None)
    assert first is not None
    assert (first.low, first.unit, len(printed), agree) == (Fraction(6_894_757, 10_000_000), "bar", 1, True)
    assert technical.pressures("low", None) == (None, [], True)
