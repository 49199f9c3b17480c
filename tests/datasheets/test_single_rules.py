"""Rules of the parsers one at a time, on lines without a file."""

from fractions import Fraction

import pytest

from stock.datasheets import figures, hazards, labels, properties, proposals, storage_temperatures, technical
from stock.datasheets.figures import Quantity, number, quantities
from stock.datasheets.page_lines import Cell, SheetLine, of_text


def lines(*texts: str) -> list[SheetLine]:
    return [of_text(1, at, text) for at, text in enumerate(texts, 1)]


def by_name(found) -> dict[str, tuple[str | None, bool]]:
    return {one.name: (one.value, not one.doubts) for one in found}


def test_a_text_that_says_nothing_or_that_nothing_is_known_does_not_end_the_section():
    found = hazards.section_8(
        lines(
            "Eye protection: 12", "Respiratory protection: not determined", "Hand protection: nitrile gloves"
        ),
        comma_decimal=None,
    )
    assert by_name(found)["gloves"] == ("nitrile gloves", True)


def test_a_text_that_breaks_off_at_the_end_of_a_section_is_unsure():
    for texts in (
        ["Hand protection: gloves of nitrile,"],
        ["Hand protection: gloves of nitrile,", "butyl"],
    ):
        value, sure = by_name(hazards.section_8(lines(*texts), comma_decimal=None))["gloves"]
        assert not sure
        assert value.startswith("gloves of nitrile,")


def test_what_gloves_are_made_of_says_more_than_that_they_are_worn_and_a_long_text_is_cut():
    texts = lines(
        "Hand protection: wear gloves", "Glove material: nitrile", "Eye protection: " + "glasses " * 30
    )
    found = by_name(hazards.section_8(texts, comma_decimal=None))
    assert found["gloves"] == ("nitrile", True)
    assert (len(found["eye_protection"][0]), found["eye_protection"][1]) == (199, False)


def test_a_code_that_was_broken_in_two_is_one():
    (one,) = [
        each
        for each in hazards.section_2(lines("P305 +", "P351 +", "P338 Rinse"))
        if each.name == "p_statements"
    ]
    assert one.value == "P305+P351+P338"
    assert list(hazards._unbroken(lines("a +", "b", "c +"))) == [
        (of_text(1, 1, "a +"), "a + b"), (of_text(1, 3, "c +"), "c +"),
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("texts", "several"),
    [
        (["Part A"], False),
        (["Part A", "part A"], False),
        (["Part B"], True),
        (["Part A", "Part C"], True),
        (["Parts"], False),
    ],
)
def test_two_components_of_a_kit_are_told_by_their_letters(texts, several):
    assert proposals.several_parts(lines(*texts)) is several


def test_a_text_of_hardly_any_known_short_words_is_in_another_language():
    """Of more than 300 words at least one in 80 is a short word of a language that is read."""
    assert proposals.foreign("zebra " * 317 + "the " * 3)
    assert not proposals.foreign("zebra " * 316 + "the " * 4)
    assert not proposals.foreign("zebra " * 290 + "the " * 3)
    assert proposals.language_of("der die das und the") == "de"


def ends(text: str) -> dict[str, tuple[object, bool]]:
    return {
        one.key: (one.figures["low"], not one.doubts)
        for one in storage_temperatures.storage_temperatures(lines(text), 7, comma_decimal=None)
    }


def test_bounds_of_keeping_that_make_no_range_are_none():
    above_5, above_10 = (Quantity(Fraction(low), None, ">", "C", (0, 1)) for low in (5, 10))
    below_30, below_20 = (Quantity(None, Fraction(high), "<", "C", (0, 1)) for high in (30, 20))
    plain = Quantity(Fraction(20), Fraction(20), "", "C", (0, 1))
    for none in (
        [above_5, above_10], [below_30, below_20], [above_5, below_30, plain], [above_5, below_30, below_20],
        [above_10, below_30._replace(high=Fraction(10))],
    ):  # fmt: skip
        assert storage_temperatures._as_one(none) is None
    assert storage_temperatures._as_one([above_5, below_30])[:3] == (5, 30, "")
    assert storage_temperatures._as_one([above_5, above_5]) == above_5
    assert ends("Store above 5 °C and below 30 °C.") == {"low": (5, True), "high": (30, True)}


def test_degrees_of_keeping_in_two_units_agree_to_a_degree():
    """87 °F are 30.6 °C, 88 °F are 31.1 °C."""
    for fahrenheit, sure in ((85, True), (87, True), (88, False), (84, False)):
        found = ends(f"Store between 5 °C (41 °F) and 30 °C ({fahrenheit} °F)")
        assert found == {"low": (5, sure), "high": (30, sure)}


def test_a_bound_of_keeping_alone_is_likely_within_its_own_limits():
    """
    a lowest from -30 to 20 °C, a highest from 15 to 60 °C; a range from -30 to 60 °C
    """
    for text, sure in (
        ("Store above 20 °C.", True), ("Store above 21 °C.", False), ("Store above -30 °C.", True),
        ("Store below 15 °C.", True), ("Store below 14 °C.", False), ("Store below 60 °C.", True),
        ("Store below 61 °C.", False), ("Store between 25 and 60 °C.", True), ("Store between 5 and 61 °C.", None),
    ):  # fmt: skip
        assert [each for _, each in ends(text).values()] == (
            [sure] if sure is not None and "and" not in text else [True, bool(sure)]
        )


def test_another_row_of_a_table_begins_where_its_labels_do():
    def line(*cells: tuple[str, float]) -> SheetLine:
        return SheetLine(1, 1, tuple(Cell(*cell) for cell in cells))

    assert labels._next_row(line(("Colour", 55.9), ("red", 200)), 50)
    assert labels._next_row(line(("Colour", 44.1), ("red", 200)), 50)
    assert not labels._next_row(line(("Colour", 56), ("red", 200)), 50)
    assert not labels._next_row(line(("Colour", 50)), 50)


def test_a_pressure_with_other_words_or_two_figures_is_unsure():
    def pressure(text: str) -> tuple[str | None, bool]:
        return by_name(technical.technical(lines(text), comma_decimal=None))["pressure"]

    assert pressure("Air pressure: 1.5 - 2 bar") == ("1.5 to 2 bar", True)
    assert pressure("Air pressure: 1.5 bar (22 psi)") == ("1.5 bar", True)
    assert pressure("Air pressure: 30 psi") == ("2.07 bar", True)
    assert pressure("Air pressure: 1.5 bar at the cap") == ("1.5 bar", False)
    assert pressure("Air pressure: 1.5 bar (30 psi)") == ("1.5 bar", False)
    assert pressure("Air pressure: < 2 bar") == ("2 bar", False)


def test_figures_of_a_sheet_as_scripts_read_them():
    assert (technical._float(None), technical._float(Fraction(1, 3))) == (None, 0.3333)
    assert [technical._is_name(text) for text in ("abc", "ab", "12 %", "a" * 59, "a" * 60, "Tern: slow", "123")] == [
        True, False, False, True, False, False, False,
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("texts", "life"),
    [
        (["Shelf life: 24 months"], ("sealed_life", "24 months", True)),
        (["Shelf life: 24 months after opening"], ("opened_life", "24 months", False)),
        (["Shelf life: 12 - 24 months"], ("sealed_life", "12 months", True)),
        (["Pot life: < 4 hours"], ("pot_life", "4 h", False)),
        (["Pot life: about 4 hours"], ("pot_life", "4 h", False)),
        (["Pot life: 4 hours to"], ("pot_life", "4 h", False)),
        (["Pot life: 4 hours by the sea"], ("pot_life", "4 h", False)),
    ],
)
def test_lives(texts, life):
    assert [
        (one.name, one.value, not one.doubts) for one in technical.lives(lines(*texts), comma_decimal=None)
    ] == [life]


def test_two_lives_behind_one_label_are_told_apart_by_the_word_between_them():
    found = technical.lives(lines("Shelf life: 24 months, after opening 6 months"), comma_decimal=None)
    assert [(one.name, one.value, bool(one.doubts)) for one in found] == [
        ("sealed_life", "24 months", True), ("opened_life", "6 months", True),
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("text", "comma", "value", "doubtful"),
    [
        ("1,5", None, Fraction(3, 2), False),
        ("1,025", None, Fraction(41, 40), True),
        ("1,025", True, Fraction(41, 40), False),
        ("1,025", False, Fraction(41, 40), True),
        ("1.025", False, Fraction(41, 40), False),
        ("0,025", None, Fraction(1, 40), False),
        (".025", None, Fraction(1, 40), False),
        ("1.234,5", None, Fraction(12345, 10), False),
        ("1,234.5", None, Fraction(12345, 10), False),
        ("1,234,567", None, Fraction(1_234_567), False),
        ("-1 234", None, Fraction(-1_234), False),
        ("+1'234", None, Fraction(1_234), False),
    ],
)
def test_numbers(text, comma, value, doubtful):
    assert number(text, comma_decimal=comma) == (value, doubtful)


@pytest.mark.parametrize(
    ("text", "low", "high", "sign", "doubts"),
    [
        ("12 %", 12, 12, "", 0),
        ("10 - 20 %", 10, 20, "", 0),
        ("10 % to 20 %", 10, 20, "", 0),
        ("about 10 %", 10, 10, "~", 0),
        ("about 10 - 20 %", 10, 20, "~", 0),
        ("> 10 - < 20 %", 10, 20, "", 0),
        ("< 10 - 20 %", 10, 20, "", 1),
        ("20 - 10 %", 10, 20, "", 1),
        ("10 - > 20 %", 10, 20, "", 1),
        ("at least 10 %", 10, None, ">", 0),
        ("up to 10 %", None, 10, "<", 0),
        ("- 10 %", 10, 10, "", 1),
        ("-10 %", -10, -10, "", 0),
        ("1,234 - 2,345 %", Fraction(1234, 1000), Fraction(2345, 1000), "", 1),
    ],
)
def test_quantities(text, low, high, sign, doubts):
    (one,) = quantities(text, {"%": "%"})
    assert (one.low, one.high, one.sign, one.unit, len(one.doubts)) == (low, high, sign, "%", doubts)
    assert one.plain is (low == high and sign == "")
    assert figures.without(f"a {text} b", quantities(f"a {text} b", {"%": "%"})).split() == ["a", "b"]


def test_figures_without_a_unit_count_only_where_they_may_and_each_once():
    assert quantities("1.2 at 20 °C", {}, unitless="g/ml")[0].low == Fraction(6, 5)
    assert [(one.low, one.unit) for one in quantities("5 °C (41 °F)", {"C": "°C", "F": "°F"})] == [
        (5, "C"),
        (41, "F"),
    ]
    doubled = Quantity(Fraction(1), None, ">", "a", (0, 1)).converted(lambda value: value * 2, "b")
    assert (doubled.low, doubled.high, doubled.unit) == (2, None, "b")
    assert [figures.goes_on(text) for text in ("10 -", "10 to", "10", "<", "ten to one")] == [
        True,
        True,
        False,
        True,
        False,
    ]
    assert [figures.unknown(text) for text in ("-", "n/a", "not yet determined", "12")] == [
        "-",
        "n/a",
        "not yet determined",
        None,
    ]


def test_a_densitys_comma_can_only_part_decimals_where_a_thousand_would_be_no_density():
    """From half a g/ml to nine, both ends of it: 0,950 - 1,025 g/ml; in g/l it may be a thousand."""
    for text, key, doubted in (("0,950 - 1,025 g/ml", "g/ml", False), ("1,025 g/l", "g/l", True)):
        [one] = quantities(text, {"g/ml": "g/ml", "g/l": "g/l"})
        assert one.unit == key
        assert figures.UNSURE_THOUSANDS in one.doubts
        assert (figures.UNSURE_THOUSANDS in properties._decided(one).doubts) is doubted
