"""Section 9: when figures in two units are one, and what makes a figure of the mixture doubtful."""

from fractions import Fraction

import pytest

from stock.datasheets import properties
from stock.datasheets.figures import Quantity, quantities
from stock.datasheets.found_values import FoundValue
from stock.datasheets.page_lines import SheetLine, of_text


def lines(*texts: str) -> list[SheetLine]:
    return [of_text(1, at, text) for at, text in enumerate(texts, 1)]


def read(*texts: str, section: int | None = 9) -> dict[str, FoundValue]:
    found = properties.properties(lines(*texts), section, comma_decimal=None)
    return {one.name: one for one in found}


def sure(*texts: str, name: str, section: int | None = 9) -> bool:
    return not read(*texts, section=section)[name].doubts


def of(unit: str, low: str | None, high: str | None = "same", sign: str = "") -> Quantity:
    ends = [None if end is None else Fraction(end) for end in (low, low if high == "same" else high)]
    return Quantity(ends[0], ends[1], sign, unit, (0, 1))


@pytest.mark.parametrize(
    ("kind", "first", "other", "agree"),
    [
        ("flash_point", ("C", "60"), ("F", "141.08"), True),  # 60.6 °C
        ("flash_point", ("C", "60"), ("F", "141.09"), False),
        ("flash_point", ("C", "100"), ("F", "213.8"), True),  # 101 °C, one of a hundred more
        ("flash_point", ("C", "100"), ("F", "213.9"), False),
        ("flash_point", ("C", "-20"), ("F", "68"), False),  # 20 °C
        ("density", ("g/ml", "1"), ("kg/m3", "1020"), True),
        ("density", ("g/ml", "1"), ("kg/m3", "1021"), False),
        ("voc", ("g/l", "50"), ("lb/gal", "0.42"), True),  # 50.33 g/l
        ("voc", ("g/l", "50"), ("lb/gal", "0.43"), False),  # 51.5 g/l
        ("voc", ("g/l", "350"), ("lb/gal", "2.9"), True),  # 347.5 g/l
        ("voc", ("g/l", "350"), ("lb/gal", "2.8"), False),  # 335.5 g/l
        ("voc", ("g/l", "350"), ("%", "35"), False),
    ],
)
def test_two_units_are_one_figure_where_they_differ_by_no_more_than_their_rounding(kind, first, other, agree):
    """Six tenths of a degree or a gram a litre, of a density a thirtieth of it; or one of a hundred."""
    printed_first, beside = of(*first), of(*other)
    for printed in ([printed_first, beside], [beside, printed_first]):
        found = properties.common(printed, properties.KINDS[kind])
        assert found == (printed_first if agree else None)


def test_bounds_and_ranges_are_one_figure_only_where_both_ends_are():
    kind = properties.TEMPERATURE
    assert properties.common([of("C", "20", "30"), of("F", "68", "86")], kind) == of("C", "20", "30")
    for other in (
        of("F", "68", "90"), of("F", "60", "86"), of("F", "68", None, ">"), of("F", None, "86", "<"),
        of("F", "68", "86", "~"),
    ):  # fmt: skip
        assert properties.common([of("C", "20", "30"), other], kind) is None
    assert properties.common([of("F", "50")], kind) == of("C", "10")
    assert properties.common([of("C", "20", None, ">"), of("F", "68", None, ">")], kind) is not None


def test_figures_that_are_not_one_are_shown_as_the_first_in_the_records_unit():
    kind = properties.TEMPERATURE
    assert properties._printed_first([of("F", "50"), of("C", "20")], kind) == of("C", "20")
    assert properties._printed_first([of("F", "50"), of("F", "60")], kind) == of("C", "10")


def test_other_units_in_the_records_own():
    """
    1 lb/gal    453.59237 g in 3.785411784 l = 119.826 g/l
    """
    for kind, unit, value, expected in (
        ("flash_point", "F", "-4", "-20"), ("density", "kg/m3", "950", "0.95"), ("solids", "%", "40", "40"),
    ):  # fmt: skip
        found = properties.in_first_unit(of(unit, value), properties.KINDS[kind])
        assert found.low == found.high == Fraction(expected)
    pounds = [
        properties.in_first_unit(of("lb/gal", "1"), properties.KINDS[kind]) for kind in ("voc", "density")
    ]
    assert [(one.unit, round(float(one.low or 0), 6)) for one in pounds] == [
        ("g/l", 119.826427), ("g/ml", 0.119826),
    ]  # fmt: skip


def test_a_densitys_comma_parts_decimals_only_where_both_ends_are_densities():
    [one] = quantities("0,400 - 1,025 g/ml", {"g/ml": "g/ml"})
    assert properties._decided(one).doubts == one.doubts != ()
    for text, kept in (
        ("> 1,025 g/ml", False),
        ("< 8,999 g/ml", False),
        ("9,001 g/ml", True),
        ("9,000 g/ml", True),
    ):
        [one] = quantities(text, {"g/ml": "g/ml"})
        assert bool(properties._decided(one).doubts) is kept
    assert properties._decided(quantities("0,500 - 1,025 g/l", {"g/l": "g/l"})[0]).doubts != ()


@pytest.mark.parametrize(
    ("text", "name", "likely"),
    [
        ("Flash point: -60 °C", "flash_point", True),
        ("Flash point: -61 °C", "flash_point", False),
        ("Boiling point: 500 °C", "boiling_point", True),
        ("Boiling point: 501 °C", "boiling_point", False),
        ("Density: 0.5 g/ml", "density", True),
        ("Density: 0.49 g/ml", "density", False),
        ("Density: 5 g/ml", "density", True),
        ("Density: 5.01 g/ml", "density", False),
        ("VOC: 1500 g/l", "voc", True),
        ("VOC: 1501 g/l", "voc", False),
        ("pH: 0", "ph", True),
        ("pH: 14", "ph", True),
        ("pH: 14.1", "ph", False),
    ],
)
def test_a_figure_is_likely_up_to_the_ends_of_its_kind(text, name, likely):
    assert (properties.ODD not in read(text)[name].doubts) is likely


def test_an_open_cup_makes_a_flash_point_doubtful_and_no_other_figure():
    for section in (9, None):
        found = read("Flash point: 23 °C open cup", "Boiling point: 156 °C open cup", section=section)
        assert properties.OPEN in found["flash_point"].doubts
        assert properties.OPEN not in found["boiling_point"].doubts


def test_an_open_cup_in_another_line_is_the_flash_points_only_within_section_9():
    """Of a technical sheet the line may be about anything; and a fire point is always measured in an open cup."""
    texts = ("Flash point: 23 °C", "Boiling point: 156 °C", "Cleveland")
    assert not sure(*texts, name="flash_point")
    assert sure(*texts, name="boiling_point")
    assert sure(*texts, name="flash_point", section=None)
    assert sure("Flash point: 23 °C", "Fire point: 31 °C (Cleveland)", name="flash_point")


def test_the_cup_of_a_flash_point_is_as_sure_as_its_line():
    """An open cup and a figure printed as about say nothing against the cup; two cups do."""
    assert read("Flash point: 23 °C closed cup")["flash_point_method"].value == "closed cup"
    assert sure("Flash point: 23 °C closed cup", name="flash_point_method")
    assert sure("Flash point: about 23 °C open cup", name="flash_point_method")
    assert properties.NOT_ONE in read("Flash point: 23 °C closed cup, open cup")["flash_point_method"].doubts
    assert "flash_point_method" not in read("Flash point: 23 °C", "Boiling point: 156 °C closed cup")


def test_what_breaks_off_or_has_unpaired_brackets_is_doubtful():
    assert sure("Flash point: 23 °C", name="flash_point")
    for text in (
        "Flash point: 23 °C -",
        "Flash point: 23 °C (",
        "Flash point: 23 °C ]",
        "Flash point: [23 °C",
    ):
        assert properties.MORE_WORDS in read(text)["flash_point"].doubts
    assert sure("Flash point: 23 °C (closed cup)", name="flash_point")


def test_solids_by_volume_count_only_where_none_are_given_by_weight():
    by_weight, by_volume = "Solids content: 45 % by weight", "Solids content: 38 % by volume"
    assert [read(*texts)["solids"].value for texts in ((by_volume, by_weight), (by_weight, by_volume))] == [
        "45%"
    ] * 2
    assert read(by_volume)["solids"].value == "38%"
    assert read(by_volume, "Density: 1.1 g/ml")["solids"].value == "38%"


def test_a_range_is_a_doubt_of_all_but_a_boiling_point_and_a_water_content():
    assert sure("Boiling point: 56 - 60 °C", name="boiling_point")
    for text, name in (("Flash point: 23 - 27 °C", "flash_point"), ("Solids content: 40 - 45 %", "solids")):
        assert not sure(text, name=name)
    assert not sure("Boiling point: about 56 °C", name="boiling_point")
    assert not sure("Boiling point: 56 ± 2 °C", name="boiling_point")


def test_a_ph_is_that_of_the_product_alone():
    """Of a dilution only the words are kept; a bound and a range are kept as they are printed."""
    for text, value, is_sure in (
        ("pH: 8.5", "8.5", True), ("pH: 8 - 9", "8 to 9", True), ("pH: > 8", "> 8", True), ("pH: about 8", "8", False),
        ("pH: 8.5 (10 % in water)", None, False), ("pH: 8.5 and 9.5 measured", "8.5 to 9.5", False),
        ("pH: 15", None, False),
        ("pH: 8.5  7.5", "8.5", False), ("pH: 8.5 -", "8.5", False),
    ):  # fmt: skip
        found = read(text)["ph"]
        assert (found.value, not found.doubts) == (value, is_sure), text


def test_a_density_relative_to_water_or_without_a_unit_counts_only_where_no_other_is_printed():
    relative, bare, other = "Relative density: 0.96", "Density: 0.95", "Flash point: 23 °C"

    def densities(*texts: str) -> list[str | None]:
        found = properties.properties(lines(*texts), 9, comma_decimal=None)
        return [one.value for one in found if one.name == "density"]

    assert densities(relative, bare, "Density: 0.94 g/ml", other) == ["0.94"]
    assert densities(relative, other) == ["0.96"]
    assert densities(relative, bare, other) == ["0.96", "0.95"]
    assert densities(relative, "Density: not determined", other) == ["0.96", None]
    assert properties.NO_UNIT in read(bare)["density"].doubts
    assert "flash_point" not in read("Flash point: 23")


def test_a_line_above_that_breaks_off_makes_a_value_doubtful_where_it_holds_a_figure():
    assert sure("Refer to", "Flash point: 23 °C", name="flash_point")
    for above in ("12 -", "12", "-"):
        assert properties.MORE_WORDS in read(above, "Flash point: 23 °C")["flash_point"].doubts
    assert not sure("23", "Flash point  °C", "23 °C", name="flash_point")


def test_a_value_that_was_broken_in_two_is_one():
    assert read("Flash point: 23", "°C")["flash_point"].value == "23C"
    assert read("Flash point: 23 °C", "closed cup")["flash_point"].line.text == "Flash point: 23 °C"


def test_what_a_sheet_calls_unknown_is_no_figure_whatever_stands_below_it():
    for texts, doubts in ((["Flash point: not determined", "23 °C"], (properties.NOT_ONE,)),
                          (["Flash point: not determined", "of the mixture"], ())):  # fmt: skip
        found = read(*texts)["flash_point"]
        assert (found.known, found.value, found.doubts) == (False, None, doubts)


def test_only_a_flash_point_can_be_none_and_not_where_it_is_unknown():
    found = read("Flash point: none", "Density: none", "Boiling point: none")
    assert list(found) == ["flash_point"]
    assert (found["flash_point"].value, found["flash_point"].known) == ("none", True)
    assert found["flash_point"].doubts
    assert not read("Flash point: not determined, none")["flash_point"].known


def test_two_figures_that_differ_are_doubtful_and_the_records_unit_is_shown():
    found = read("Flash point: 23 °C (80 °F)")["flash_point"]
    assert (found.value, properties.NOT_ONE in found.doubts) == ("23C", True)


def test_a_figure_is_read_once_in_the_first_of_two_units_that_are_written_alike():
    found = quantities("1 x 2 z 3 x", {"first": "x", "second": "x|z"})
    assert [(one.low, one.unit) for one in found] == [(1, "first"), (2, "second"), (3, "first")]


def test_a_properties_words_as_a_person_and_a_script_read_them():
    cup = read("Flash point: 23 - 27 °C closed cup")["flash_point"]
    assert (cup.shown, cup.value, cup.section) == ("23 to 27 °C, closed cup", "23C", 9)
    assert {key: cup.figures[key] for key in ("low", "high", "sign", "unit", "cup", "cups")} == {
        "low": 23, "high": 27, "sign": "", "unit": "°C", "cup": "closed", "cups": 1,
    }  # fmt: skip
    plain = read("Flash point: > 60 °C")["flash_point"]
    assert (plain.shown, plain.value, plain.figures["cup"], plain.figures["cups"]) == (
        "> 60 °C",
        None,
        None,
        0,
    )
    density = read("Density: 1.02346 g/ml")["density"]
    assert (density.shown, density.value, density.figures["low"]) == ("1.0235 g/ml", "1.0235", 1.0235)
    assert read("Water content: 40 %")["water"].value == "40%"
    assert read("Water content: 40 - 45 %")["water"].value is None
    assert read("Solids content: 40 - 45 %")["solids"].value == "40%"
    assert read("Solids content: 40.12345 %")["solids"].value == "40.123%"
    assert read("VOC: 300 - 350 g/l")["voc"].value == "300 to 350 g/l"


def test_only_solids_and_water_are_shares_by_weight():
    for text, name, is_sure in (
        ("Solids content: 40 % by weight", "solids", True), ("Water content: 40 % w/w", "water", True),
        ("VOC: 40 % by weight", "voc", False), ("Density: 1.1 g/ml by weight", "density", False),
    ):  # fmt: skip
        assert sure(text, name=name) is is_sure


def test_a_range_is_unlikely_where_one_of_its_ends_is():
    assert properties.ODD in read("Boiling point: 56 - 600 °C")["boiling_point"].doubts
    assert properties.IN_WATER in read("pH: 8.5 (10 % in water)")["ph"].doubts
