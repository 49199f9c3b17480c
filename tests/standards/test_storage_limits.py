"""Storage and container limits as the rule files hold them, against the cited tables.

Sources: 29 CFR 1910.106(d)(2)(iii) table H-12 (as a state university reproduces it), (d)(3)(i), (e)(2)(ii)(b);
International Fire Code 2018 table 5003.1.1(1), not sprinklered; HSE guidance on flammable liquids in workrooms under
DSEAR (ACoP L138), guidance and not law; TRGS 510 table 1 as quoted by BG RCI and DGUV 209-082; the others beside
their figures. US gallons of 3.785411784 L, pints of 0.473176473 L, quarts of 0.946352946 L, rounded down.
"""

import pytest

from stock.cautions.rules import shipped

GALLON, PINT, QUART = 3.785411784, 0.473176473, 0.946352946


def limit(code, jurisdiction, **figures):
    found = [
        each
        for each in shipped()[code].limits
        if each.jurisdiction == jurisdiction and figures.items() <= each.figures.items()
    ]
    assert len(found) == 1
    return found[0].figures


@pytest.mark.parametrize(
    ("containers", "category", "litres"),
    [
        (["glass", "plastic"], 1, PINT), (["glass", "plastic"], 2, QUART), (["glass", "plastic"], 3, GALLON),
        (["glass", "plastic"], 4, GALLON), (["metal"], 1, GALLON), (["metal"], 2, 5 * GALLON),
        (["metal"], 3, 5 * GALLON), (["metal"], 4, 5 * GALLON), (["safety_can"], 1, 2 * GALLON),
        (["safety_can"], 2, 5 * GALLON), (["safety_can"], 3, 5 * GALLON), (["safety_can"], 4, 5 * GALLON),
        *((["drum"], category, 60 * GALLON) for category in (1, 2, 3, 4)),
    ],
)  # fmt: skip
def test_table_h_12(containers, category, litres):
    held = limit("container-too-big", "us-osha", containers=containers)[f"category_{category}_milli"]
    assert held / 1000 == pytest.approx(litres, abs=1e-3)
    assert held / 1000 <= litres


def test_no_container_s_limit_is_left_out():
    """Those of table H-12 above, those of Germany below."""
    known = [
        (each.jurisdiction, *each.figures["containers"]) for each in shipped()["container-too-big"].limits
    ]
    assert sorted(known) == [
        ("de", "glass"), ("de", "plastic", "metal", "safety_can", "drum"), ("us-osha", "drum"),
        ("us-osha", "glass", "plastic"), ("us-osha", "metal"), ("us-osha", "safety_can"),
    ]  # fmt: skip


CLASS_I, TO_II, TO_IIIA = ["IA", "IB", "IC"], ["IA", "IB", "IC", "II"], ["IA", "IB", "IC", "II", "IIIA"]
CABINET, BUILDING, HOME = "over-code-limit", "over-building-limit", "over-home-limit"
LIMITS = [
    # 29 CFR 1910.106(d)(3)(i) and (e)(2)(ii)(b)
    (CABINET, "us-osha", "cabinet", [1, 2, 3], 60 * GALLON, "verified"),
    (CABINET, "us-osha", "cabinet", [4], 120 * GALLON, "verified"),
    (BUILDING, "us-osha", "outside", [1], 25 * GALLON, "verified"),
    (BUILDING, "us-osha", "outside", [2, 3, 4], 120 * GALLON, "verified"),
    # International Fire Code 2018 table 5003.1.1(1); its cabinet and its 10 gal outside one as the design guide
    # of the University of North Carolina at Chapel Hill prints them after that state's fire prevention code
    (BUILDING, "ifc", "building", ["IA"], 30 * GALLON, "verified"),
    (BUILDING, "ifc", "building", CLASS_I, 120 * GALLON, "verified"),
    (BUILDING, "ifc", "building", ["II"], 120 * GALLON, "verified"),
    (BUILDING, "ifc", "building", ["IIIA"], 330 * GALLON, "verified"),
    (CABINET, "ifc", "cabinet", TO_IIIA, 120 * GALLON, "verified"),
    (HOME, "ifc", "home", TO_IIIA, 10 * GALLON, "verified"),
    # NFPA 30, 2021, chapter 9, from memory, its quantities of a control area being those of the International Fire
    # Code; the cabinet by 9.5 of 2008, as the NFPA Journal of 2011 quotes it; a home's as Syracuse City in Utah prints
    # them: 60 gal of diesel and kerosene, of which 25 gal in an attached garage
    (BUILDING, "nfpa", "building", ["IA"], 30 * GALLON, "memory"),
    (BUILDING, "nfpa", "building", CLASS_I, 120 * GALLON, "memory"),
    (BUILDING, "nfpa", "building", ["II"], 120 * GALLON, "memory"),
    (BUILDING, "nfpa", "building", ["IIIA"], 330 * GALLON, "memory"),
    (CABINET, "nfpa", "cabinet", TO_IIIA, 120 * GALLON, "verified"),
    (HOME, "nfpa", "home", TO_II, 25 * GALLON, "verified"),
    (HOME, "nfpa", "home", ["IIIA"], 60 * GALLON, "verified"),
    # HSE guidance on flammable liquids in workrooms (ACoP L138)
    (BUILDING, "uk", "building", [1, 2], 50, "verified"),
    (BUILDING, "uk", "building", [3], 250, "verified"),
    # TRGS 510 table 1, kilograms, as quoted by BG RCI, DGUV 209-082 and DGUV 213-084
    (BUILDING, "de", "outside", [1], "10 kg", "verified"),
    (BUILDING, "de", "outside", [1, 2], "20 kg", "verified"),
    (BUILDING, "de", "outside", [3], "100 kg", "verified"),
    # Directive 2012/18/EU annex I, lower tier (P5a as a British planning tool repeats it, P5c as repeated under ICPE
    # 4331); ICPE 4330 from memory, 4331 as printed by the Ineris: 50 t declaration
    (BUILDING, "eu-general", "building", [1], "10000 kg", "verified"),
    (BUILDING, "eu-general", "building", [2, 3], "5000000 kg", "verified"),
    (BUILDING, "fr", "building", [1], "1000 kg", "memory"),
    (BUILDING, "fr", "building", [2, 3], "50000 kg", "verified"),
    # Petroleum (Consolidation) Regulations 2014, schedule 2, paragraph 1, on legislation.gov.uk: petrol, 30 L
    (HOME, "uk", "home", [1, 2, 3], 30, "verified"),
    # Fire brigades of Hamm (Sieg) and Grossalmerode: 1 L under 21 °C in flats, 20 L in cellars; Berlin's, 01/2015: 10 L
    # of the highly and 20 L of the flammable in cellars; a German technical inspection body, 2020: 20 L in
    # cellar or garage, paints among them; Konstanz 2024 and Düsseldorf: 20 L of petrol in garages up to 100 m²
    (HOME, "de", "dwelling", [1, 2], 1, "verified"),
    (HOME, "de", "dwelling", [1, 2, 3], 20, "verified"),
    (HOME, "de", "garage", [1, 2, 3], 20, "verified"),
    # National Fire Code of Canada 4.2.4.5 and 4.2.4.6: class I as printed by Ontario's Fire Marshal's Public Fire
    # Safety Council and by Newfoundland and Labrador's Fire Services Division; 250 L in a cabinet as the
    # University of New Brunswick's policy 7823 of September 2001 prints it; the rest from memory
    (HOME, "ca", "dwelling", CLASS_I, 10, "verified"),
    (HOME, "ca", "dwelling", TO_IIIA, 15, "memory"),
    (HOME, "ca", "garage", CLASS_I, 30, "verified"),
    (HOME, "ca", "garage", TO_IIIA, 50, "memory"),
    (CABINET, "ca", "cabinet", CLASS_I, 250, "verified"),
    (CABINET, "ca", "cabinet", TO_IIIA, 500, "memory"),
    # AS 1940 clause 4.9 as quoted by a seller of cabinets; WorkSafe Victoria's advice as a trade union prints it
    (CABINET, "au", "cabinet", [1, 2, 3, 4], 850, "verified"),
    (BUILDING, "au", "building", [1, 2, 3], 250, "verified"),
    (HOME, "au", "dwelling", [1, 2, 3], 5, "verified"),
    (HOME, "au", "garage", [1, 2, 3], 25, "verified"),
]  # fmt: skip


def test_every_limit_of_a_store_is_that_of_its_source():
    """No limit is looser than its source, none is left out of the table, and none from memory stops."""

    def counted_by(limit):
        return str(limit.figures.get("classes") or limit.figures["categories"])

    shipped_too = {
        (code, each.jurisdiction, each.figures["scope"], counted_by(each)): each
        for code in (CABINET, BUILDING, HOME)
        for each in shipped()[code].limits
    }  # fmt: skip
    for code, jurisdiction, scope, counted, most, status in LIMITS:
        found = shipped_too.pop((code, jurisdiction, scope, str(counted)))
        if isinstance(most, str):
            assert found.figures["kilograms_milli"] == int(most.split()[0]) * 1000
        else:
            assert found.figures["litres_milli"] / 1000 == pytest.approx(most, abs=0.1)
            assert found.figures["litres_milli"] / 1000 <= most
        assert found.status == status
        assert status == "verified" or (found.severity or shipped()[code].severity) == "warn"
    assert shipped_too == {}


@pytest.mark.parametrize(
    ("containers", "litres"), [(["glass"], 2.5), (["plastic", "metal", "safety_can", "drum"], 10)]
)
def test_container_sizes_in_germany(containers, litres):
    held = limit("container-too-big", "de", containers=containers)
    assert {held[f"category_{category}_milli"] for category in (1, 2, 3)} == {litres * 1000}


def test_incompatibles_over_two_litres():
    """IFC 2018 5003.9.8: containers of more than 5 lb (2 kg) or half a gallon (2 L)."""
    assert shipped()["stored-apart"].figures["large_ul"] == 2_000_000


def test_waste_of_a_very_small_generator():
    """40 CFR 260.10 and 262.14(a)(1): at most 100 kg a month; (a)(4): from 1000 kg (2200 lb) on hand no exemption.

    Read in Hawaii's adoption, HAR 11-262.14.
    """
    assert shipped()["too-much-waste"].figures == {"month_kg": 100}
    assert shipped()["waste-on-hand"].figures == {"on_hand_kg": 1000}


def test_months_of_peroxide_formers():
    """Cornell University, chemical hygiene plan, appendix J: 2-propanol stands in its table B, opened 12 months,
    unopened 18; New Mexico State University: cellosolves (2-alkoxyethanols), 12 months from opening.
    """
    figures = shipped()["peroxides"].figures
    assert (figures["opened_months"], figures["sealed_months"]) == (12, 18)


@pytest.mark.parametrize(
    "statements",
    [["H300", "H301", "H310", "H311", "H330", "H331"], ["H340", "H350", "H360"], ["H370", "H372"]],
)
def test_toxic_stock_outside_a_store_in_germany(statements):
    """DGUV Information 213-084 annex 1: more than 50 kg of each of these rows belong into a store."""
    assert limit("toxic-over-limit", "de", statements=statements)["kilograms_milli"] == 50_000


def test_aerosol_cans_in_germany():
    """The same annex: more than 20 kg, or more than 50 pieces, of H222 and H223."""
    assert shipped()["aerosol-cans-many"].figures == {"most_cans": 50, "most_mg": 20_000_000}
