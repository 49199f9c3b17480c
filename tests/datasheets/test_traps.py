"""Traps of real sheets, each in a PDF of its own: what is read wrongly elsewhere is right here, or unsure."""

from collections.abc import Callable
from pathlib import Path

import pytest

from stock.datasheets.proposals import Proposal
from tests.datasheets.pages import LEFT, Pages

Proposed = Callable[[Path], dict[str, Proposal]]


@pytest.mark.parametrize(
    ("line", "value", "sure", "cup"),
    [
        ("Flash point: 23 °C (closed cup)", "23C", True, "closed"),
        ("Flash point\t-20 °C", "-20C", True, None),
        ("Flash point: – 20 °C", None, False, None),
        ("Flash point: < 0 °C", None, True, None),
        ("Flash point: > 93.3 °C", None, True, None),
        ("Flash point: ca. 61 °C", "61C", False, None),
        ("Flash point: 73 °F", "22.778C", True, None),
        ("Flash point: 73.4 °F (23 °C), Pensky-Martens closed cup", "23C", True, "closed"),
        ("Flash point: 100 °C (73 °F)", "100C", False, None),
        ("Flash point (open cup): 45 °C", "45C", False, "open"),
        ("Flash point: 45 °C (Cleveland)", "45C", False, "open"),
        ("Flash point: 23,5 °C", "23.5C", True, None),
        ("Flash point (acetone): -20 °C", "-20C", False, None),
        ("Flash point [°C]\t23", "23C", True, None),
        ("Flash point: 23 ºC ISO 3679", "23C", True, None),
        ("Flash point: 21 - 55 °C", "21C", False, None),
        ("Flash point ........... 12 °C", "12C", True, None),
    ],
)
def test_flash_points(
    of_lines: Callable[..., dict[str, Proposal]], line: str, value: str | None, sure: bool, cup: str | None
) -> None:
    one = of_lines({9: [line]})["flash_point"]
    assert one.sure == sure, one.doubts
    assert value is None or one.value == value
    assert one.figures.get("cup") == cup
    assert one.section == 9


@pytest.mark.parametrize(
    "says",
    [
        "not determined",
        "not applicable",
        "No data available.",
        "n.a.",
        "-",
        "nicht bestimmt",
        "non déterminé",
    ],
)
def test_unknown_is_never_none(of_lines: Callable[..., dict[str, Proposal]], says: str) -> None:
    """What a sheet doesn't know makes no proposal, and a figure that it gives elsewhere is unsure."""
    found = of_lines({9: [f"Flash point: {says}", "Boiling point: 78 °C"]})
    assert "flash_point" not in found
    assert found["boiling_point"].sure
    twice = of_lines({9: [f"Flash point: {says}", "Boiling point: 78 °C", "Flash point: 23 °C"]})[
        "flash_point"
    ]
    assert (twice.value, twice.sure) == ("23C", False)


def test_a_flash_point_that_is_called_none_is_not_sure(of_lines: Callable[..., dict[str, Proposal]]) -> None:
    one = of_lines({9: ["Flash point: does not flash"]})["flash_point"]
    assert (one.value, one.sure) == ("none", False)


def test_flash_points_elsewhere_are_not_the_mixtures(of_lines: Callable[..., dict[str, Proposal]]) -> None:
    found = of_lines(
        {3: ["acetone 67-64-1 25 - 50 %", "Flash point: -20 °C"], 5: ["Flash point: 12 °C"], 7: ["Flash point: 61 °C"],
         9: ["Fire point: 44 °C", "Auto-ignition temperature: 370 °C"]}
    )  # fmt: skip
    assert "flash_point" not in found


def test_values_in_pieces_below_their_labels(of_lines: Callable[..., dict[str, Proposal]]) -> None:
    """Headings in capitals, and a cell's figure, sign and unit each on a line: the words are all that were read."""
    found = of_lines(
        {7: ["KEEP ONLY IN THE ORIGINAL CONTAINER AT TEMPERATURES", "BETWEEN 5 °C AND", "35 °C. PROTECT FROM FROST."],
         9: ["FLASH POINT", "Value", "23", "°C", "Method", "closed cup", "SOLIDS CONTENT", "Value", "< 1", "%"]}
    )  # fmt: skip
    life = of_lines({7: ["Shelf life: 24 months unopened", "After opening: not determined"]})
    assert (life["sealed_life"].value, life["sealed_life"].section) == ("24 months", 7)
    assert "opened_life" not in life
    low, high, flash, solids = (
        found[one] for one in ("store_at:low", "store_at:high", "flash_point", "solids")
    )
    assert [(one.value, one.sure) for one in (low, high, flash)] == [
        ("5C", True),
        ("35C", True),
        ("23C", True),
    ]
    assert low.words.endswith("BETWEEN 5 °C AND  35 °C. PROTECT FROM FROST.")
    assert "23 °C" in flash.words
    assert (solids.value, solids.as_json()["high"], solids.sure) == (None, 1, True)


def test_water_and_solids(of_lines: Callable[..., dict[str, Proposal]]) -> None:
    """Solids by weight beside those by volume, which the record doesn't have; water beside section 3."""
    found = of_lines(
        {3: ["water\t7732-18-5\t231-791-2\t45 %"],
         9: ["Solids by weight: 42 %", "Solids by volume: 35 %", "Water content: 45 %", "Water solubility: 5 %"]}
    )  # fmt: skip
    assert (found["solids"].value, found["solids"].sure) == ("42%", True), found["solids"].doubts
    assert (found["water"].value, found["water"].sure) == ("45%", True), found["water"].doubts
    for lines in (
        ["Solids content: 42 % by volume"],
        ["Solids content: 42 ± 2 %"],
        ["Solids: 42 %", "Non-volatile: 38 %"],
        ["Solids: 42 % (weight), 35 % (volume)"],
    ):
        assert not of_lines({9: lines})["solids"].sure, lines
    ranged = of_lines({9: ["Water content: 55 - 60 %"]})["water"]
    assert (ranged.value, ranged.as_json()["low"], ranged.as_json()["high"], ranged.sure) == (
        None,
        55,
        60,
        True,
    )
    differs = of_lines({3: ["water\t7732-18-5\t231-791-2\t45 %"], 9: ["Water content: 54 %"]})
    assert not differs["water"].sure
    assert "water" not in of_lines({9: ["Water content: not determined", "Water: miscible, 100 %"]})


def test_two_flash_points_are_both_unsure(of_lines: Callable[..., dict[str, Proposal]]) -> None:
    found = of_lines({9: ["Flash point: 23 °C", "Density: 1.1 g/ml", "Flash point: 41 °C"]})
    assert not found["flash_point"].sure
    assert found["density"].sure
    below = of_lines({9: ["Flash point: acetone", "-20 °C", "mixture 12 °C"]})
    assert not below["flash_point"].sure


@pytest.mark.parametrize(
    ("line", "value", "sure"),
    [
        ("Density: 1.02 g/cm³ at 20 °C", "1.02", True),
        ("Density (20 °C): 0,905 g/ml", "0.905", True),
        ("Density: 1,025 g/cm3", "1.025", True),
        ("Density: 1025 kg/m³", "1.025", True),
        ("Density: 8.51 lb/gal (1.02 g/cm³)", "1.02", True),
        ("Density: 8.51 lb/gal", "1.0197", True),
        ("Density: 8.51 lb/gal (1.52 g/cm³)", "1.52", False),
        ("Specific gravity: 0.95", "0.95", False),
        ("Relative density: 0.95 (water = 1)", "0.95", False),
        ("Density: 0.95", "0.95", False),
    ],
)
def test_densities(of_lines: Callable[..., dict[str, Proposal]], line: str, value: str, sure: bool) -> None:
    one = of_lines({9: ["Vapour density: 3.1", line, "Bulk density: 0.4 g/ml"]})["density"]
    assert (one.value, one.sure) == (value, sure), one.doubts


@pytest.mark.parametrize(
    ("printed", "share"),
    [
        ("≥2,5 – <10 %", "2.5-10%"), (">= 10 - < 25 %", "10-25%"), ("10-20%", "10-20%"), ("< 5 %", "0-5%"),
        ("≥ 90 %", "90-100%"),
        ("15 %", "15%"), ("10 to < 25 %", "10-25%"), ("10 – ≤ 25 %", "10-25%"), ("0,1 - 1 %", "0.1-1%"),
    ],
)  # fmt: skip
def test_shares(of_lines: Callable[..., dict[str, Proposal]], printed: str, share: str) -> None:
    found = of_lines({3: [f"acetone\t67-64-1\t200-662-2\t{printed}", "01-2119471330-49-0000"]})
    one = found["solvent:67-64-1"]
    assert (one.value, one.sure) == (f"acetone={share} by weight", True), one.doubts
    assert [name for name in found if name.startswith("solvent")] == ["solvent:67-64-1"]


def test_numbers_and_limits_beside_cas_are_no_shares(of_lines: Callable[..., dict[str, Proposal]]) -> None:
    """EC, index and registration numbers, limits of concentration, a wrong check digit, a secret range."""
    found = of_lines(
        {3: [
            "Name\tCAS\tEC / Index\t% by weight\tClassification",
            "formaldehyde\t50-00-0\t605-001-00-5\t< 0,1\tSkin Sens. 1; H317: C ≥ 0,2 %",
            "acetone\t67-64-2\t200-662-2\t10 - 20\tFlam. Liq. 2; H225",
            "resin blend\ttrade secret\t-\t10 - 30 % *",
            "toluene\t1330-20-7\t215-535-7\t5 - 10\tFlam. Liq. 3",
            "water\t7732-18-5\t231-791-2\t45",
        ]}
    )  # fmt: skip
    formaldehyde = found["solvent:50-00-0"]
    assert (formaldehyde.value, formaldehyde.sure) == ("formaldehyde=0-0.1% by weight", True), (
        formaldehyde.doubts
    )
    assert not found["solvent:67-64-2"].sure
    assert not found["solvent:1330-20-7"].sure  # its name means toluene
    assert not found["solvent:resin blend"].sure
    assert (found["water"].value, found["water"].sure) == ("45%", True)


def test_an_impurity_in_a_sentence_is_not_sure(of_lines: Callable[..., dict[str, Proposal]]) -> None:
    found = of_lines({3: ["Note P: contains less than 0.1 % benzene (CAS 71-43-2)."]})
    assert not found["solvent:71-43-2"].sure


def test_statements_of_ingredients_are_not_the_mixtures(of_lines: Callable[..., dict[str, Proposal]]) -> None:
    found = of_lines(
        {2: ["Signal word: Warning", "H226 Flammable liquid and vapour.", "P210 P280 P303 + P361 +", "P353"],
         3: ["acetone 67-64-1 25 - 50 % Flam. Liq. 2; H225, Eye Irrit. 2; H319"], 16: ["H225, H319, H350",
         "Signal word: Danger"]}
    )  # fmt: skip
    assert (found["h_statements"].value, found["h_statements"].sure) == ("H226", True)
    assert (found["signal_word"].value, found["signal_word"].sure) == ("warning", True)
    assert found["p_statements"].value == "P210 P280 P303+P361+P353"  # one of them was broken in two


@pytest.mark.parametrize(
    ("language", "word", "means"),
    [
        ("fr", "Danger", "danger"),
        ("fr", "Attention", "warning"),
        ("de", "Achtung", "warning"),
        ("es", "Peligro", "danger"),
    ],
)
def test_signal_words(
    of_lines: Callable[..., dict[str, Proposal]], language: str, word: str, means: str
) -> None:
    label = {"fr": "Mention d'avertissement", "de": "Signalwort", "es": "Palabra de advertencia"}[language]
    one = of_lines({2: [f"{label} :", word]}, language)["signal_word"]
    assert (one.value, one.sure) == (means, True), one.doubts


def test_section_14_where_the_ways_of_transport_differ(of_lines: Callable[..., dict[str, Proposal]]) -> None:
    found = of_lines(
        {14: ["14.1 UN number or ID number", "ADR: UN 1263", "IMDG: UN 1263",
        "14.3 Transport hazard class(es)", "ADR: 3",
              "IATA: 8", "14.4 Packing group: not applicable"]}
    )  # fmt: skip
    assert (found["un_number"].value, found["un_number"].sure) == ("1263", True), found["un_number"].doubts
    assert not found["transport_class"].sure
    assert "packing_group" not in found
    free = of_lines({14: ["UN number: not dangerous goods"]})
    assert (free["un_number"].value, free["un_number"].sure) == ("none", False)


@pytest.mark.parametrize(
    ("line", "day", "sure"),
    [
        ("Revision date: 2024-03-14", "2024-03-14", True), ("Revised on 14 March 2024", "2024-03-14", True),
        ("Revision date: 03/04/2024", "2024-04-03", False), ("Revision date: 03/14/2024", "2024-03-14", True),
        ("Print date: 01.05.2026 Revision date: 14.03.2024", "2024-03-14", True),
        ("Revision date: 14.03.2024 (supersedes version of 01.02.2020)", "2024-03-14", True),
    ],
)  # fmt: skip
def test_days(of_lines: Callable[..., dict[str, Proposal]], line: str, day: str, sure: bool) -> None:
    one = of_lines({1: ["Product name: Tern grey"]}, head=line)["revised_on"]
    assert (one.value, one.sure) == (day, sure), one.doubts


def test_protection_and_what_it_must_not_meet(of_lines: Callable[..., dict[str, Proposal]]) -> None:
    found = of_lines(
        {8: ["acetone\t67-64-1\tTWA\t500 ppm\t1210 mg/m³", "Hand protection: nitrile rubber, 0.4 mm",
             "Respiratory protection: filter A2"],
         10: ["10.5 Incompatible materials: strong acids, oxidising agents"]}
    )  # fmt: skip
    assert (found["gloves"].value, found["gloves"].sure) == ("nitrile rubber, 0.4 mm", True)
    assert found["breathing_protection"].value == "filter A2"
    assert found["incompatible"].value == "strong acids, oxidising agents"
    limit = found["exposure_limit:acetone 8 hours"]
    assert (limit.value, limit.sure) == ("acetone: 500 ppm, 1210 mg/m3 (8 hours)", True), limit.doubts


def test_columns_are_read_one_after_the_other(tmp_path: Path, proposed: Proposed) -> None:
    """Lines of two columns that were written in turn: the value below a label is the column's own."""
    left = ["SECTION 1: Identification", "Product name: Tern", *(f"words that fill the column {n}" for n in range(9)),
            "SECTION 9: Physical and chemical properties", "Flash point:", "41 °C", "Density: 1.1 g/ml"]  # fmt: skip
    right = ["SECTION 10: Stability and reactivity", *(f"other words that fill it {n}" for n in range(8)),
             "SECTION 14: Transport information", "UN number: 1263", "The store's own rule is", "23 °C and not more",
             "SECTION 16: Other information"]  # fmt: skip
    pages = Pages()
    for at, line in enumerate(left):
        pages.row((40, line), *([(310, right[at])] if at < len(right) else []), size=7)
    found = proposed(pages.save(tmp_path / "columns.pdf"))
    assert found["flash_point"].value == "41C"
    assert found["un_number"].value == "1263"
    assert not found["flash_point"].sure  # the other reader met the columns' lines in turn


def test_a_technical_sheet(tmp_path: Path, proposed: Proposed) -> None:
    """Reduction by needle, pressure in two units, times and lives; a flash point there is never sure."""
    pages = Pages()
    pages.lines(
        [
            "Technical data sheet",
            "Product name: Larkspur white",
            "Issue date: 3 May 2024",
            "Reducer: Larkspur slow",
        ]
    )
    pages.row((LEFT, "Needle"), (200, "Reduction"), (350, "Pressure"))
    pages.row((LEFT, "0.2 mm"), (200, "30 - 40 %"), (350, "1.2 - 1.5 bar (17 - 22 psi)"))
    pages.row((LEFT, "≥ 0.5 mm"), (200, "10 %"), (350, "2 bar"))
    pages.lines([
        "Mixing ratio: 4:1 by volume", "Pot life: 8 h at 20 °C", "Touch dry: 10 min", "Recoat after: 15 - 20 min",
        "Shelf life: 24 months unopened", "After opening: 6 months", "Flash point: 23 °C",
        "Spray pressure: 1.5 bar (40 psi)",
    ])  # fmt: skip
    found = proposed(pages.save(tmp_path / "technical.pdf"))
    values = {name: (one.value, one.sure) for name, one in found.items()}
    assert values["dosing:0.2"] == ("needle=0.2 low=30 high=40 pressure=1.2..1.5 bar", True)
    assert found["dosing:0.2"].figures["with"] == "Larkspur slow"
    assert values["dosing:>=0.5"] == ("needle>=0.5 low=10 high=10 pressure=2..2 bar", True)
    assert values["mixing_ratio"] == ("4:1 by volume", True)
    assert values["pot_life"] == ("8 h", True)
    assert values["touch_dry"] == ("10 min", True)
    assert values["recoat"] == ("15 to 20 min", True)
    assert values["sealed_life"] == ("24 months", True)
    assert values["opened_life"] == ("6 months", True)
    assert values["flash_point"] == ("23C", False)
    assert values["pressure"][1] is False


def test_ranges_with_two_signs_in_blocks_whose_share_stands_first(
    of_lines: Callable[..., dict[str, Proposal]],
) -> None:
    """As sheets in French and Spanish have them: `10 ≤ x % < 25` above the number, `25 < 50 %` before the name."""
    found = of_lines(
        {3: ["INDEX: 606-001-00-8\tGHS07\t10 <= x % < 25", "CAS: 67-64-1\tDgr", "EC: 200-662-2\tFlam. Liq. 2",
             "ACÉTONE",
             "INDEX: 601-022-00-9\tGHS07\t2.5 <= x % < 10", "CAS: 1330-20-7\tWng", "EC: 215-535-7", "XYLÈNE"],
         9: ["Intervalle de point d'éclair : PE < 23°C"]}, "fr"
    )  # fmt: skip
    acetone, xylene = found["solvent:67-64-1"], found["solvent:1330-20-7"]
    assert (acetone.value, acetone.sure) == ("acetone=10-25% by weight", True), acetone.doubts
    assert (xylene.value, xylene.sure) == ("xylene=2.5-10% by weight", True), xylene.doubts
    assert "67-64-1" in acetone.words
    assert "10 ≤ x % < 25" in acetone.words
    assert (found["flash_point"].value, found["flash_point"].shown) == (None, "< 23 °C")
    spanish = of_lines({3: ["25 < 50 %\tTolueno\tEC 203-625-9", "F:R11\tCAS 108-88-3\tATP30"]}, "es")
    assert spanish["solvent:108-88-3"].value == "toluene=25-50% by weight"


def test_a_head_that_says_less_than_makes_plain_shares_unsure(
    of_lines: Callable[..., dict[str, Proposal]],
) -> None:
    found = of_lines({3: ["Chemical name\tCAS\tWeight % less than", "acetone\t67-64-1\t30.0"]})
    assert not found["solvent:67-64-1"].sure


def test_a_colon_in_a_cell_of_its_own(of_lines: Callable[..., dict[str, Proposal]]) -> None:
    found = of_lines(
        {1: ["Manufacturer\t:\tsee supplier"],
         9: ["Flash point\t:\tClosed cup: 44°C (111.2°F) [Pensky-Martens Closed Cup]", "Boiling Range, °C: 100 - 196",
             "Specific gravity\t:\t0.93 at 25 Degrees C", "Density: 7.74 Lbs./gal."]}
    )  # fmt: skip
    assert (found["flash_point"].value, found["flash_point"].sure) == ("44C", True), found[
        "flash_point"
    ].doubts
    assert (found["boiling_point"].value, found["boiling_point"].sure) == ("100C", True)
    assert (found["density"].value, found["density"].sure) == ("0.9275", True)
    assert "maker" not in found


def test_what_stands_below_a_heading_is_no_sure_name(of_lines: Callable[..., dict[str, Proposal]]) -> None:
    found = of_lines({1: ["1.1 Product identifier", "Mixture of solvents"]})
    assert not found["name"].sure


def test_statements_without_codes_are_read_from_their_words(
    of_lines: Callable[..., dict[str, Proposal]],
) -> None:
    one = of_lines(
        {2: ["Hazard statements\t:\tHighly flammable liquid and vapor.", "Causes serious eye irritation."]}
    )["h_statements"]
    assert (one.value, one.sure) == ("H225 H319", False)


def test_a_text_that_goes_on_is_not_sure(of_lines: Callable[..., dict[str, Proposal]]) -> None:
    """What must not meet it would be cut short; and that there is nothing known is not a text."""
    cut = of_lines(
        {10: ["Incompatible materials\t:\tReactive with the following materials:", "oxidizing materials."]}
    )["incompatible"]
    assert (cut.value, cut.sure) == ("Reactive with the following materials: oxidizing materials.", False)
    assert "incompatible" not in of_lines(
        {10: ["10.5 Unverträgliche Materialien: Keine weiteren relevanten Informationen verfügbar."]}, "de"
    )
    gloves = of_lines({8: ["Handschutz: Schutzhandschuhe", "Handschuhmaterial: Butylkautschuk"]}, "de")[
        "gloves"
    ]
    assert gloves.value == "Butylkautschuk"


def test_another_day_shows_which_figure_is_the_month(of_lines: Callable[..., dict[str, Proposal]]) -> None:
    head = "Date of issue/Date of revision: 10/3/2024  Date of previous issue: 5/14/2019"
    one = of_lines({1: ["Product name: Tern grey"]}, head=head)["revised_on"]
    assert (one.value, one.sure) == ("2024-10-03", True), one.doubts


def test_what_breaks_off_within_a_range_is_not_sure(of_lines: Callable[..., dict[str, Proposal]]) -> None:
    """A narrow cell has the range's other end in the next line: its first half alone is no share."""
    found = of_lines(
        {3: ["acetone\t≥50 -\t67-64-1", "\t≤75", "butanone\t≥10\t78-93-3", "\t<25", "xylene\t10 -\t1330-20-7",
        "\t20 %"],
         9: ["pH: 7 -", "9", "Flash point: -", "12 °C"]}
    )  # fmt: skip
    for one in ("solvent:67-64-1", "solvent:78-93-3", "solvent:1330-20-7", "ph"):
        assert not found[one].sure, one
    assert "flash_point" not in found


def test_a_title_may_take_two_lines(of_lines: Callable[..., dict[str, Proposal]]) -> None:
    found = of_lines(
        {
            8: ["RUBRIQUE 9 : Propriétés", "physiques et chimiques", "Point/intervalle d'ébullition : 56 °C"],
            9: [],
        },
        "fr",
    )
    assert (found["boiling_point"].value, found["boiling_point"].section) == ("56C", 9)


@pytest.mark.parametrize(
    ("line", "value", "sure"),
    [
        ("Product name:\tTern grey", "Tern grey", True),
        ("Code 7\tProduct name: Tern grey\tPage 1", "Tern grey Page 1", False),
    ],
)
def test_a_name_in_the_cell_beside_its_label_is_sure(
    of_lines: Callable[..., dict[str, Proposal]], line: str, value: str, sure: bool
) -> None:
    one = of_lines({1: [line]})["name"]
    assert (one.value, one.sure) == (value, sure), one.doubts


def test_a_name_that_goes_on_in_the_next_line_is_not_sure(
    of_lines: Callable[..., dict[str, Proposal]],
) -> None:
    found = of_lines(
        {1: ["Product name: Larkspur fast", "reducer", "Manufacturer: Fennel & Rook", "Coatings"]}
    )
    assert not found["name"].sure
    assert not found["maker"].sure
    whole = of_lines(
        {1: ["Product name: Larkspur fast", "1.3 Manufacturer: Fennel & Rook Coatings", "12 Mill Lane"]}
    )
    assert (whole["name"].sure, whole["maker"].sure) == (True, True)
