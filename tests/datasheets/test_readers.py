"""What two readers of one file say together, and where a sheet's day is looked for."""

import pytest

from stock.datasheets import proposals
from stock.datasheets.found_values import FoundValue, not_known
from stock.datasheets.page_lines import SheetText, of_text
from stock.datasheets.proposals import DIFFERENT, ONE_READER, READERS_DISAGREE
from tests.datasheets.languages import TITLES

LINE = of_text(1, 1, "Flash point: 23 °C")
A, B = (FoundValue("flash_point", value, LINE, 9) for value in ("23C", "27C"))
DOUBTED = FoundValue("flash_point", "23C", LINE, 9, doubts=("not clear",))
UNKNOWN = not_known("flash_point", "not determined", LINE, 9)


@pytest.mark.parametrize(
    ("by_reader", "value", "doubts"),
    [
        ([[A]], "23C", ()),
        ([[DOUBTED]], "23C", ("not clear",)),
        ([[A], [A]], "23C", ()),
        ([[A, A], [A]], "23C", ()),
        ([[A], []], "23C", (ONE_READER,)),
        ([[], [A]], "23C", (ONE_READER,)),
        ([[UNKNOWN], [A]], "23C", (ONE_READER,)),
        ([[A], [B]], "23C", (READERS_DISAGREE,)),
        ([[A], [A], [B]], "23C", (READERS_DISAGREE,)),
        ([[A], [DOUBTED]], "23C", ("not clear",)),
        ([[A], [DOUBTED], [A]], "23C", ()),
        ([[A], [], [A]], "23C", ()),
        ([[DOUBTED, A], [A]], "23C", ("not clear",)),
        ([[A, B], [A]], "23C", (DIFFERENT, READERS_DISAGREE)),
        ([[A], [A, B]], "23C", (DIFFERENT, READERS_DISAGREE)),
        ([[A, UNKNOWN], [A]], "23C", (DIFFERENT, READERS_DISAGREE)),
        ([[A, B], [A, B]], "23C", (DIFFERENT, ONE_READER)),
    ],
)
def test_a_value_is_sure_where_every_reader_that_speaks_says_the_same(by_reader, value, doubts):
    found = proposals._one("flash_point", "", by_reader)
    assert found is not None
    assert (found.value, found.doubts, found.sure) == (value, doubts, not doubts)


def test_what_no_reader_knows_is_no_proposal():
    assert proposals._one("flash_point", "", [[UNKNOWN], []]) is None


def safety_sheet(**of_section: str) -> SheetText:
    """A safety data sheet of sixteen headings, with a text below some of them."""
    texts = []
    for number, title in enumerate(TITLES["en"], 1):
        texts += [f"SECTION {number}: {title}", *of_section.get(f"s{number}", "").splitlines()]
    return SheetText("flow", tuple(of_text(1, at, text) for at, text in enumerate(texts, 1)))


def test_the_day_of_the_last_section_counts_where_the_first_has_none():
    first, last = "Revision date: 2024-05-03", "Revision date: 2025-06-04"
    for sheet, day, section in (
        (safety_sheet(s1=first, s16=last), "2024-05-03", 1),
        (safety_sheet(s16=last), "2025-06-04", 16),
        (safety_sheet(s1="Product name: Tern", s16=last), "2025-06-04", 16),
        (safety_sheet(s1=first), "2024-05-03", 1),
    ):
        (found,) = [each for each in proposals.propose([sheet]) if each.name == "revised_on"]
        assert (found.value, found.section) == (day, section)


def test_a_day_in_the_head_of_a_page_belongs_to_no_section():
    sheet = safety_sheet(s9="Flash point: 23 °C")._replace(
        running=(of_text(2, 1, "Revision date: 2024-05-03"),)
    )
    found = {each.name: each.section for each in proposals.propose([sheet])}
    assert (found["revised_on"], found["flash_point"]) == (None, 9)


def test_a_safety_sheet_has_four_of_its_sections_or_is_read_as_a_technical_one():
    """With three headings the flash point stands in no section, which makes it doubtful."""
    whole = safety_sheet(s9="Flash point: 23 °C").lines
    titled = [
        line
        for line in whole
        if line.text.startswith(("SECTION 1:", "SECTION 2:", "SECTION 3:", "SECTION 9:"))
    ]
    rest = [line for line in whole if "Flash" in line.text]
    (four,) = proposals.propose([SheetText("flow", (*titled, *rest))])
    (three,) = proposals.propose([SheetText("flow", (*titled[1:], *rest))])
    assert (four.section, four.sure) == (9, True)
    assert (three.section, three.sure) == (None, False)


def test_an_order_of_sections_that_falls_makes_all_doubtful():
    lines = safety_sheet(s9="Flash point: 23 °C").lines
    turned = SheetText("flow", (*lines[8:], *lines[:8]))
    assert all(proposals.OUT_OF_ORDER in each.doubts for each in proposals.propose([turned]))
    assert not any(
        proposals.OUT_OF_ORDER in each.doubts for each in proposals.propose([SheetText("flow", lines)])
    )


def test_each_section_gives_its_own_figures():
    sheet = safety_sheet(
        s1="Product name: Tern\nVersion: 4", s2="Signal word: Danger\nH226", s3="acetone  67-64-1  25 - 50 %",
        s7="Store between 5 and 30 °C.\nShelf life: 24 months",
        s8="acetone 67-64-1 TWA 500 ppm\nHand protection: nitrile gloves",
        s9="Flash point: 23 °C closed cup", s10="Incompatible materials: strong acids", s14="UN number: 1263",
    )  # fmt: skip
    found = proposals.propose([sheet])
    assert {each.id: each.section for each in found} == {
        "name": 1, "version": 1, "signal_word": 2, "h_statements": 2, "solvent:67-64-1": 3,
        "exposure_limit:acetone 8 hours": 8, "gloves": 8, "flash_point": 9, "flash_point_method": 9,
        "incompatible": 10, "un_number": 14, "store_at:low": 7, "store_at:high": 7, "sealed_life": 7,
    }  # fmt: skip
    assert [each.id for each in found if not each.sure] == []


def test_a_flash_point_beside_an_ingredients_name_is_doubtful():
    sheet = safety_sheet(s3="acetone  67-64-1  25 - 50 %", s9="acetone:\nFlash point: 23 °C")
    (found,) = [each for each in proposals.propose([sheet]) if each.name == "flash_point"]
    assert proposals.OF_AN_INGREDIENT in found.doubts


@pytest.mark.parametrize("section", [1, 2, 3, 9, 14])
def test_a_sheet_of_several_components_is_doubtful_wherever_they_are_named(section):
    named = {f"s{section}": "Part B"}
    sheet = safety_sheet(**{"s10": "Incompatible materials: strong acids"} | named)
    assert all(proposals.SEVERAL_PARTS in each.doubts for each in proposals.propose([sheet]))
    elsewhere = safety_sheet(s10="Incompatible materials: strong acids", s15="Part B")
    assert not any(proposals.SEVERAL_PARTS in each.doubts for each in proposals.propose([elsewhere]))


def test_what_a_machine_read_from_a_picture_is_doubtful():
    sheet = safety_sheet(s9="Flash point: 23 °C")
    for scanned in (True, False):
        (found,) = proposals.propose([sheet._replace(scanned=scanned)])
        assert (proposals.FROM_A_PICTURE in found.doubts) is scanned


def test_a_comma_parts_decimals_in_every_language_but_english():
    text = "VOC: 1,250 g/l"
    for words, certain in (("und der die das nicht mit", True), ("and the of not with for", False)):
        sheet = SheetText("flow", (of_text(1, 1, words), of_text(1, 2, text)))
        (found,) = [each for each in proposals.propose([sheet]) if each.name == "voc"]
        assert ("1.25 g/l" in found.shown, found.sure) == (True, certain)


def test_a_proposal_as_scripts_read_it():
    (found,) = [each for each in proposals.propose([safety_sheet(s9="pH: 8 - 9")]) if each.name == "ph"]
    answer = found.as_json()
    assert (
        answer["page"],
        answer["section"],
        answer["sure"],
        answer["booked"],
        answer["figures"]["low"],
    ) == (
        1,
        9,
        True,
        "8 to 9",
        8,
    )
    assert (found.title, found.id) == ("pH", "ph")
    kept = proposals.propose([safety_sheet(s7="Store between 5 and 30 °C.")])
    assert [(each.title, each.id) for each in kept] == [
        ("kept from", "store_at:low"),
        ("kept up to", "store_at:high"),
    ]
    plain = proposals.propose([SheetText("flow", (of_text(0, 1, "Product name: Tern"),))])[0].as_json()
    assert plain["page"] is None
    assert "figures" not in plain


def test_a_language_is_told_by_its_short_words():
    """One that isn't read, where its short words stand oftener; of few words nothing is said."""
    assert proposals.foreign("il della delle dei con the")
    assert not proposals.foreign("il the")
    assert not proposals.foreign("il della the of")
    assert not proposals.foreign("zebra " * 300)
    assert proposals.foreign("zebra " * 301)
    assert not proposals.foreign("z " * 301)
    assert (
        proposals.language(
            [
                SheetText("a", (of_text(1, 1, "der die das"),)),
                SheetText("b", (of_text(1, 1, "the of and by"),)),
            ]
        )
        == "de"
    )
