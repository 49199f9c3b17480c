"""Sections 2, 8, 10 and 14: which codes and words are the product's own."""

import pytest

from stock.datasheets import hazards
from stock.datasheets.found_values import FoundValue
from stock.datasheets.hazards import CUT, LONGEST_TEXT, NO_CODE, OTHERWISE, PARTS_DIFFER
from stock.datasheets.page_lines import SheetLine, of_text


def lines(*texts: str) -> list[SheetLine]:
    return [of_text(1, at, text) for at, text in enumerate(texts, 1)]


def two(*texts: str) -> dict[str, FoundValue]:
    return {one.name: one for one in hazards.section_2(lines(*texts))}


def fourteen(*texts: str) -> list[tuple[str, str | None, bool, bool]]:
    found = list(hazards.section_14(lines(*texts)))
    assert all(one.section == 14 for one in found)
    return [(one.name, one.value, one.known, not one.doubts) for one in found]


@pytest.mark.parametrize(
    ("text", "value", "sure"),
    [
        ("Danger", "danger", True),
        ("Warning", "warning", True),
        ("Danger to all", "danger", True),
        ("Danger to all that live", "danger", False),
        ("Danger Warning", "danger", False),
        ("none", "none", False),
    ],
)
def test_a_signal_word_stands_alone(text, value, sure):
    found = two(f"Signal word: {text}")["signal_word"]
    assert (found.value, not found.doubts, found.section) == (value, sure, 2)


def test_a_signal_word_in_a_second_column_or_unknown():
    assert two("Quay  Signal word: Danger")["signal_word"].doubts
    assert not two("Signal word: not known")["signal_word"].known
    assert "signal_word" not in two("Signal word: Tern")


@pytest.mark.parametrize(
    ("texts", "codes", "doubts"),
    [
        (["H226", "H319"], "H226 H319", ()),
        (["H319 H226"], "H226 H319", ()),
        (["H226", "H2Z5"], "H226", None),
        (["H226", "H298"], "H226", (NO_CODE,)),
        (["H226", "Label elements", "H226"], "H226", ()),
        (["H226", "Label elements", "H319"], "H226 H319", (PARTS_DIFFER,)),
        (["H226 EUH066", "Label elements", "H226"], "EUH066 H226", ()),
        (["Label elements", "H226"], "H226", ()),
        (["H226", "Label elements"], "H226", ()),
        (["H226 is not needed"], "H226", (OTHERWISE,)),
        (["Reduced label: H226"], "H226", (OTHERWISE,)),
    ],
)
def test_statements_are_the_codes_of_the_classification_and_of_the_label(texts, codes, doubts):
    found = two(*texts)["h_statements"]
    assert (found.value, found.shown, found.section) == (codes, codes, 2)
    if doubts is not None:
        assert found.doubts == doubts


def test_codes_have_the_place_of_the_first_line_that_has_them():
    found = two("words", "H319", "H226", "H319")["h_statements"]
    assert found.line.number == 2
    assert found.figures["places"] == {"H319": {"page": 1, "line": 2}, "H226": {"page": 1, "line": 3}}


def test_words_of_a_statement_are_read_where_no_code_is_printed():
    found = two("Flammable liquid and vapor.", "Quay")["h_statements"]
    assert (found.value, bool(found.doubts)) == ("H226", True)
    assert "h_statements" not in two("Flammable liquid and vapor of the quay")
    assert two("H319", "Flammable liquid and vapor.")["h_statements"].value == "H319"


def test_pictograms_are_each_once_and_in_order():
    found = two("GHS07 GHS02", "GHS07")["pictograms"]
    assert (found.value, found.line.number, found.section) == ("GHS02 GHS07", 1, 2)


def texts_of(*texts: str) -> FoundValue:
    (found,) = hazards.section_10(lines(*texts))
    return found


def test_a_text_as_printed_is_sure_where_it_is_whole():
    label = "Incompatible materials: "
    assert texts_of(label + "strong acids").doubts == ()
    assert texts_of(label + "a" * LONGEST_TEXT).doubts == ()
    assert texts_of(label + "a" * (LONGEST_TEXT + 1)).doubts == (CUT,)
    assert texts_of(label + "none").doubts != ()
    assert not texts_of(label + "not known").known
    assert not texts_of(label + "not known a").known
    assert texts_of(label + "not known, but acids").known
    found = texts_of(label + "strong acids", "and bases")
    assert (found.value, found.doubts, found.section) == ("strong acids and bases", (CUT,), 10)
    assert list(hazards.section_10(lines(label + "12"))) == []


@pytest.mark.parametrize(
    ("texts", "found"),
    [
        (["UN number: 1263"], [("un_number", "1263", True, True)]),
        (["UN number: UN 1263"], [("un_number", "1263", True, True)]),
        (["UN number: 1263", "IMDG 1263", "IATA 1263"], [("un_number", "1263", True, True)]),
        (["UN number: 1263", "IMDG 1866"], [("un_number", "1263", True, False)]),
        (["UN number: 1263", "Quay 1866"], [("un_number", "1263", True, True)]),
        (["UN number:", "ADR 1263", "IMDG 1866"], [("un_number", "1263", True, False)]),
        (["UN number: 1263 paint"], [("un_number", "1263", True, False)]),
        (["Quay  UN number: 1263"], [("un_number", "1263", True, False)]),
        (["UN number: not applicable"], [("un_number", None, False, True)]),
        (["UN number: not applicable", "UN 1263"], [("un_number", None, False, True)]),
        (["UN number: not regulated"], [("un_number", "none", True, False)]),
        (["The goods are UN 1263, else UN 1866"], [("un_number", "1263", True, False)]),
        (["Class: 3"], [("transport_class", "3", True, True)]),
        (["Class: 14.3 3"], [("transport_class", "3", True, True)]),
        (["Class: 6.1"], [("transport_class", "6.1", True, True)]),
        (["Packing group: III"], [("packing_group", "III", True, True)]),
        (["Packing group: iii"], []),
        (["Packing group: II, III"], [("packing_group", "II", True, False)]),
        (
            ["UN number: 1263", "Class: 3"],
            [("un_number", "1263", True, True), ("transport_class", "3", True, True)],
        ),
    ],
)
def test_numbers_of_transport_are_sure_where_all_modes_have_the_same(texts, found):
    assert fourteen(*texts) == found


def test_limits_of_one_unit_beside_each_other_or_on_another_line_are_doubtful():
    def doubts(*texts: str) -> list[tuple[str, ...]]:
        return [one.doubts for one in hazards.section_8(lines(*texts), comma_decimal=None)]

    assert doubts("acetone 67-64-1 TWA 500 ppm 1210 mg/m3") == [()]
    assert doubts("acetone 67-64-1 TWA 500 ppm 400 ppm") == [("several limits stand beside each other",)]
    assert doubts("acetone 67-64-1", "TWA 500 ppm") == [("the substance stands on another line",)]
    assert doubts("acetone 67-64-1 butanone 78-93-3 TWA 500 ppm") == [
        ("several substances stand on one line",)
    ]
    assert doubts("acetone 67-64-1 TWA 1,250 ppm") == [("the comma or point may part thousands or decimals",)]
