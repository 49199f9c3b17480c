"""Containers: aerosol cans, two-part cans, what eats metal, drums, and the bin for rags."""

from datetime import date

import pytest

from stock.cautions.containers import _sprayable
from stock.cautions.moves import plan
from tests.cautions.sample_facts import bottle, codes, one, place, product, said, share, studio

CAN = {"container": "aerosol_can", "size_ul": 400_000, "on_hand_ul": 400_000}
SPRAY = {
    "h_statements": ("H222", "H229"), "no_flash_point": False, "flash_point_mc": -20_000, "boiling_point_mc": 40_000,
    "solvents": (share("acetone", 40),), "solids_milli": 60_000, "water_milli": 0,
}  # fmt: skip
OIL = {"groups": ("drying_oil",)}


@pytest.mark.parametrize(
    ("high_mc", "ignition", "said_of"),
    [
        (49_999, False, None), (50_000, False, "50 °C"), (30_000, True, "a flame"),
        (60_000, True, "60 °C warm there and a flame"),
    ],
)  # fmt: skip
def test_cans_stand_cool_and_away_from_flames(high_mc, ignition, said_of):
    found = said(product(), bottle(**CAN), place(high_mc=high_mc, ignition=ignition))
    assert one(found, "aerosol-can").severity == "note"
    assert ("aerosol-too-warm" in codes(found)) == bool(said_of)
    if said_of:
        finding = one(found, "aerosol-too-warm")
        assert finding.place_id == 1
        assert (finding.severity, finding.action) == ("warn", "move")
        assert said_of.casefold() in finding.message.casefold()


def test_what_nobody_noted_is_a_can_by_its_sheet():
    for known in ({"h_statements": ("H229",)}, {"un_number": "1950"}):
        assert "aerosol-can" in codes(said(product(**known), bottle(container=None)))
        assert "aerosol-can" not in codes(said(product(**known), bottle(container="plastic")))
    assert "aerosol-can" not in codes(said(product(), bottle(container=None)))


def test_a_can_s_flame_has_to_be_noted_though_nothing_in_it_burns():
    found = said(product(), bottle(**CAN), place(ignition=None))
    assert "Whether a flame" in one(found, "place-not-described").message


def test_a_can_moves_to_a_cool_place_and_no_bottle_into_the_rag_bin():
    hot, cool = place(1, "Loft", kind="shelf", high_mc=55_000), place(2, "Cabinet")
    rags = place(3, "Rags", kind="rag_bin")
    facts = studio(product(store_high_mc=60_000), bottle(**CAN), hot, rags, cool)
    assert [(each.to, each.code) for each in plan(facts).moves] == [("Cabinet", "aerosol-too-warm")]
    astray = studio(product(), bottle(place_id=3), rags, cool)
    assert [(each.come_from, each.to) for each in plan(astray).moves] == [("Rags", "Cabinet")]


def test_fifty_cans_outside_cabinets_are_many_in_germany_alone():
    stock = [bottle(number, place_id=2, **CAN) for number in range(1, 52)]
    shelf = place(2, "Wall", kind="shelf")
    light = product(density_ug_per_ml=1_000_000)
    assert "51 aerosol cans" in one(said(light, *stock, shelf), "aerosol-cans-many").message
    assert "aerosol-cans-many" not in codes(said(light, *stock[:50], shelf))
    assert "aerosol-cans-many" not in codes(said(light, *stock, place(2, "Cabinet")))
    assert "aerosol-cans-many" not in codes(said(light, *stock, shelf, rule_sets=("uk",)))
    heavy = one(said(product(density_ug_per_ml=1_010_000), *stock[:50], shelf), "aerosol-cans-many")
    assert "20.2 kg" in heavy.message


@pytest.mark.parametrize(
    ("opened", "life", "severity", "action", "words"),
    [
        (date(2026, 2, 27), "2d", "note", "use_first", "until 2026-03-01"),
        (date(2026, 2, 26), "2d", "warn", "throw_away", "until 2026-02-28"),
        (date(2026, 2, 27), None, "note", "use_first", "until 2026-03-01"),
        (None, "2d", "warn", "throw_away", "counts as set"),
    ],
)
def test_a_two_part_can_that_was_let_in_is_used_up_in_time(opened, life, severity, action, words):
    two_part = product(groups=("isocyanate",), water_milli=0, opened_life=life)
    can = bottle(state="open", opened_on=opened, **CAN)
    found = one(said(two_part, can), "two-part-can-open")
    assert (found.severity, found.action) == (severity, action)
    assert words in found.message.casefold()
    assert "two-part-can-open" not in codes(said(two_part, can._replace(state="sealed", opened_on=None)))
    assert "two-part-can-open" not in codes(said(product(), can))


@pytest.mark.parametrize(
    ("container", "eaten"),
    [
        ("metal", True),
        ("safety_can", True),
        ("drum", True),
        (None, True),
        ("plastic", False),
        ("glass", False),
    ],
)
def test_what_eats_metal_does_not_stand_in_it(container, eaten):
    found = said(product(h_statements=("H290",)), bottle(container=container))
    assert ("corrosive-in-metal" in codes(found)) == eaten
    if eaten:
        known = "what nobody has noted" not in one(found, "corrosive-in-metal").message
        assert known == (container is not None)


def test_a_drum_may_be_large_and_a_can_of_spray_is_no_matter_of_the_table():
    burns = product(flash_point_mc=20_000, boiling_point_mc=80_000, no_flash_point=False, water_milli=0,
                    solvents=(share("ethanol", 100),))  # fmt: skip
    big = {"size_ul": 200_000_000, "on_hand_ul": 1_000_000}
    us = {"rule_sets": ("us-osha",)}
    assert "container-too-big" not in codes(said(burns, bottle(container="drum", **big), **us))
    assert "container-too-big" in codes(said(burns, bottle(container="metal", **big), **us))
    assert "container-too-big" in codes(
        said(burns, bottle(container="drum", **{**big, "size_ul": 230_000_000}), **us)
    )
    assert "container-too-big" not in codes(said(product(**SPRAY), bottle(**CAN)))


class TestRags:
    def test_oil_without_a_bin_and_with_one(self):
        assert one(said(product(**OIL), bottle()), "rag-bin-missing").severity == "warn"
        rags = place(2, "Rags", kind="rag_bin")
        found = one(said(product(**OIL), bottle(), place(), rags), "rags-heat-up")
        assert (found.severity, found.place) == ("note", "Rags")
        for ignition, words in ((True, "near the bin"), (None, "nobody has noted whether")):
            near = one(
                said(product(**OIL), bottle(), place(), rags._replace(ignition=ignition)), "rags-heat-up"
            )
            assert near.severity == "warn"
            assert words in near.message
        assert "rags-heat-up" not in codes(said(product(), bottle(), place(), rags))

    def test_linseed_oil_and_nitrocellulose_are_known_by_name(self):
        oil = product(1, solvents=(share("linseed oil", 30),), solids_milli=10_000)
        lacquer = product(2, solvents=(share("nitrocellulose", 20),), solids_milli=20_000)
        found = said(oil, lacquer, bottle(1, 1), bottle(2, 2))
        assert "a drying oil and nitrocellulose" in one(found, "rag-bin-missing").message
        assert one(found, "residues-ignite").severity == "note"

    def test_a_bottle_in_the_bin_is_told(self):
        found = said(product(), bottle(place_id=2), place(2, "Rags", kind="rag_bin"))
        assert one(found, "bottle-in-rag-bin").action == "move"


def test_how_long_a_two_part_can_can_be_sprayed():
    """Its last day is a day left of none; the day after is one over."""
    until = date(2026, 3, 4)
    said_of = {day: _sprayable(until, date(2026, 3, day)) for day in (2, 4, 5, 6)}
    assert said_of == {
        2: "2 days left, sprayable until 2026-03-04", 4: "0 days left, sprayable until 2026-03-04",
        5: "1 days over, sprayable until 2026-03-04", 6: "2 days over, sprayable until 2026-03-04",
    }  # fmt: skip
    assert _sprayable(None, until) == "counts as set"
