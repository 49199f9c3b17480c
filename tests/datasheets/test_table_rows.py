"""Rows of section 3 and 14, days and names: rules of single lines, without a file."""

from fractions import Fraction

import pytest

from stock.datasheets import composition, hazards, identity, sections
from stock.datasheets.page_lines import SheetLine, SheetText, of_text


def lines(*texts: str) -> list[SheetLine]:
    return [of_text(1, at, text) for at, text in enumerate(texts, 1)]


def solvents(*texts: str) -> dict[str, tuple[str | None, bool]]:
    found = composition.composition(lines(*texts), comma_decimal=None)
    return {one.key or one.name: (one.value, not one.doubts) for one in found}


ACETONE, BUTANONE = "67-64-1", "78-93-3"
HEAD = "Name  CAS  %"


@pytest.mark.parametrize(
    ("texts", "value", "sure"),
    [
        ([f"acetone  {ACETONE}  25 - 50 %"], "acetone=25-50% by weight", True),
        ([HEAD, f"acetone  {ACETONE}  25"], "acetone=25% by weight", True),
        ([f"acetone  {ACETONE}  < 5 %"], "acetone=0-5% by weight", True),
        ([f"acetone  {ACETONE}  > 50 %"], "acetone=50-100% by weight", True),
        ([f"acetone  {ACETONE}  ca. 5 %"], "acetone=5% by weight", False),
        ([f"acetone  {ACETONE}  10 - 20"], "acetone=10-20% by weight", False),
        ([f"acetone  {ACETONE}  10 % - 120 %"], None, False),
        ([f"acetone  {ACETONE}  0 %"], "acetone=0% by weight", False),
        (["acetone  67-64-2  5 - 10 %"], "67-64-2=5-10% by weight", False),
        ([f"toluene  {ACETONE}  5 - 10 %"], "acetone=5-10% by weight", False),
        ([f"acetone  {ACETONE}  10 < 25 %"], "acetone=10-25% by weight", True),
        ([f"acetone  {ACETONE}", "25 - 50 %"], "acetone=25-50% by weight", True),
        ([f"Contains acetone {ACETONE} 5 - 10 %"], "acetone=5-10% by weight", False),
        ([f"acetone  {ACETONE}  5 - 10 %  15 - 20 %"], "acetone=5-10% by weight", False),
    ],
)  # fmt: skip
def test_a_row_of_one_substance(texts, value, sure):
    (found,) = solvents(*texts).values()
    assert found == (value, sure)


def test_shares_on_lines_of_their_own_belong_to_the_substance_above_them():
    two = [f"acetone  {ACETONE}", "25 - 50 %", f"butanone  {BUTANONE}", "5 - 10 %"]
    assert solvents(*two) == {
        ACETONE: ("acetone=25-50% by weight", True), BUTANONE: ("butanone=5-10% by weight", True),
    }  # fmt: skip
    lacking = solvents(f"acetone  {ACETONE}  25 - 50 %", "...", "...", "...", f"butanone  {BUTANONE}")
    assert lacking[BUTANONE] == (None, False)


def test_shares_of_more_than_the_whole_are_unsure_all_of_them():
    found = solvents(f"acetone  {ACETONE}  60 - 70 %", f"butanone  {BUTANONE}  41 - 50 %")
    assert [sure for _, sure in found.values()] == [False, False]
    whole = solvents(f"acetone  {ACETONE}  60 - 70 %", f"butanone  {BUTANONE}  40 - 50 %")
    assert [sure for _, sure in whole.values()] == [True, True]


def test_a_substance_whose_number_is_kept_secret_is_named_by_its_row():
    found = list(composition.composition(lines("Polyether (trade secret)  5 - 10 %"), comma_decimal=None))
    (one,) = found
    assert (one.value, one.figures["trade_secret"], bool(one.doubts)) == (
        "Polyether=5-10% by weight",
        True,
        True,
    )
    assert (one.figures["low"], one.figures["high"], one.figures["cas"]) == (5, 10, None)
    assert solvents("trade secret  5 - 10 %") == {}
    assert solvents("Polyether (trade secret)  5 - 10 %  15 - 20 %") == {}


def test_a_share_as_the_record_reads_it():
    assert composition.share_text(Fraction(45), Fraction(45)) == "45%"
    assert composition.share_text(Fraction(5, 2), Fraction(10)) == "2.5-10%"


def transport(*texts: str) -> dict[str, tuple[str | None, bool]]:
    return {one.name: (one.value, not one.doubts) for one in hazards.section_14(lines(*texts))}


@pytest.mark.parametrize(
    ("texts", "found"),
    [
        (["UN number: UN 1263"], {"un_number": ("1263", True)}),
        (["UN number: UN 1263 UN 1950"], {"un_number": ("1263", False)}),
        (["UN number: 1263 PAINT"], {"un_number": ("1263", False)}),
        (["UN number:", "ADR 1263", "IMDG 1263"], {"un_number": ("1263", True)}),
        (["UN number:", "ADR 1263", "IMDG 1950"], {"un_number": ("1263", False)}),
        (["PAINT UN 1263"], {"un_number": ("1263", False)}),
        (["Packing group: III"], {"packing_group": ("III", True)}),
        (["Packing group: II or III"], {"packing_group": ("II", False)}),
        (["UN number: not regulated"], {"un_number": ("none", False)}),
    ],
)
def test_numbers_of_transport(texts, found):
    assert transport(*texts) == found


def test_limits_of_exposure_belong_to_the_substance_of_their_row_or_the_one_above():
    def limits(*texts: str) -> list[tuple[str, bool]]:
        return [(one.value, not one.doubts) for one in hazards._limits(lines(*texts), None)]

    assert limits(f"acetone {ACETONE} TWA 500 ppm") == [("acetone: 500 ppm (8 hours)", True)]
    assert limits(f"acetone {ACETONE} STEL 750 ppm") == [("acetone: 750 ppm (short term)", True)]
    assert limits(f"acetone {ACETONE} TWA 500 ppm STEL 750 ppm")[0][1] is False
    assert limits(f"acetone {ACETONE}", "TWA 500 ppm") == [("acetone: 500 ppm (8 hours)", False)]
    assert limits(f"acetone {ACETONE} ceiling 500 ppm") == [("acetone: 500 ppm (ceiling)", True)]
    assert limits(f"acetone {ACETONE} TWA 500 ppm 1210 mg/m3") == [
        ("acetone: 500 ppm, 1210 mg/m3 (8 hours)", True)
    ]
    assert limits(f"acetone {ACETONE} DNEL 500 ppm", "TWA 500 ppm")[0][0] == "acetone: 500 ppm (8 hours)"
    assert limits("TWA 500 ppm") == []


def days(*texts: str, language: str = "en") -> list[tuple[str, bool]]:
    found = identity.identity(lines(*texts), (), 1, language=language)
    return [(one.value, not one.doubts) for one in found if one.name == "revised_on"]


@pytest.mark.parametrize(
    ("texts", "read"),
    [
        (["Revision date: 2024-05-03"], [("2024-05-03", True)]),
        (["Revision date: 3 May 2024"], [("2024-05-03", True)]),
        (["Revision date: 03/05/2024"], [("2024-05-03", False)]),
        (["Revision date: 03.05.2024"], [("2024-05-03", True)]),
        (["Revision date: 05/05/2024"], [("2024-05-05", True)]),
        (["Revision date: 13/05/2024"], [("2024-05-13", True)]),
        (["Revision date: 05/13/2024"], [("2024-05-13", True)]),
        (["Revision date: 12/05/2024", "Printed: 05/13/2024"], [("2024-12-05", True)]),
        (["Revision date: 12/05/2024", "Printed: 13/05/2024"], [("2024-05-12", True)]),
        (["Revision date: 31/02/2024"], []),
        (["Date of issue: 2024-05-03"], [("2024-05-03", True)]),
        (["Date of issue: 2023-05-03", "Revision date: 2024-05-03"], [("2024-05-03", True)]),
    ],
)  # fmt: skip
def test_the_day_of_a_revision(texts, read):
    assert days(*texts) == read


def test_the_sections_of_a_sheet_and_its_list_of_contents():
    heads = [f"SECTION {number}: " + title for number, title in (
        (1, "Identification"), (2, "Hazards identification"), (3, "Composition/information on ingredients"),
    )]  # fmt: skip
    parted = sections.parted(
        SheetText("text", tuple(lines("before", heads[0], "a", heads[1], "b", heads[1], "c")))
    )
    assert (parted.numbers, parted.orderly) == ((1, 2), True)
    assert [line.text for line in parted.lines(1)] == ["a"]
    assert [line.text for line in parted.lines(2)] == ["b", "c"]
    assert [line.text for line in parted.lines(None)] == ["before"]
    wrong = sections.parted(SheetText("text", tuple(lines(heads[1], "b", heads[0], "a"))))
    assert (wrong.numbers, wrong.orderly) == ((2, 1), False)
