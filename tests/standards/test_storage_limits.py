"""Storage and container limits as the rule files hold them, against the cited tables.

Sources: 29 CFR 1910.106(d)(2)(iii) table H-12 (as a state university reproduces it), (d)(3)(i), (e)(2)(ii)(b);
International Fire Code 2018 table 5003.1.1(1), not sprinklered; HSE guidance on flammable liquids in workrooms under
DSEAR (ACoP L138), guidance and not law; TRGS 510 table 1 as quoted by BG RCI and DGUV 209-082. US gallons of
3.785411784 L, pints of 0.473176473 L, quarts of 0.946352946 L, rounded down.
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
    ],
)  # fmt: skip
def test_table_h_12(containers, category, litres):
    held = limit("container-too-big", "us-osha", containers=containers)[f"category_{category}_milli"]
    assert held / 1000 == pytest.approx(litres, abs=1e-3)
    assert held / 1000 <= litres


@pytest.mark.parametrize(("categories", "gallons"), [([1, 2, 3], 60), ([4], 120)])
def test_one_cabinet(categories, gallons):
    held = limit("over-code-limit", "us-osha", categories=categories)["litres_milli"]
    assert held / 1000 == pytest.approx(gallons * GALLON, abs=0.1)
    assert held / 1000 <= gallons * GALLON


@pytest.mark.parametrize(("categories", "gallons"), [([1], 25), ([2, 3, 4], 120)])
def test_outside_a_cabinet(categories, gallons):
    held = limit("over-building-limit", "us-osha", categories=categories, scope="outside")["litres_milli"]
    assert held / 1000 == pytest.approx(gallons * GALLON, abs=0.1)


@pytest.mark.parametrize(
    ("classes", "gallons"), [(["IA"], 30), (["IA", "IB", "IC"], 120), (["II"], 120), (["IIIA"], 330)]
)
def test_a_control_area(classes, gallons):
    held = limit("over-building-limit", "nfpa", classes=classes)["litres_milli"]
    assert held / 1000 == pytest.approx(gallons * GALLON, abs=0.1)


@pytest.mark.parametrize(("categories", "litres"), [([1, 2], 50), ([3], 250)])
def test_a_workroom_in_the_uk(categories, litres):
    assert limit("over-building-limit", "uk", categories=categories)["litres_milli"] == litres * 1000


@pytest.mark.parametrize(("categories", "kilograms"), [([1], 10), ([1, 2], 20), ([3], 100)])
def test_outside_a_store_in_germany(categories, kilograms):
    """Kilograms are taken as litres of a light solvent, 0.78 kg/L: no bottle of paint reaches the limit later."""
    held = limit("over-building-limit", "de", categories=categories)["litres_milli"]
    assert held / 1000 == pytest.approx(kilograms / 0.78, abs=0.1)


@pytest.mark.parametrize(
    ("containers", "litres"), [(["glass"], 2.5), (["plastic", "metal", "safety_can"], 10)]
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
