"""Where things stand."""

import pytest

from tests.cautions.sample_facts import bottle, codes, one, place, product, reducer, said, share

LITRE = 1_000_000


def many(litres, of=2, where=1, **known):
    """Bottles of one litre each, in metal so that their size is no caution."""
    return [
        bottle(100 * of + n, of, size_ul=LITRE, on_hand_ul=LITRE, place_id=where, container="metal", **known)
        for n in range(litres)
    ]


def test_a_place_over_the_studio_s_own_limit():
    found = one(said(reducer(), place(limit_ul=2 * LITRE), *many(3)), "place-over-limit")
    assert found.message == "1 L too much: 3 L of flammable stock in Cabinet, and your limit for it is 2 L"
    assert (found.place, found.severity) == ("Cabinet", "warn")
    assert "Move 1 L" in found.remedy
    assert "place-over-limit" not in codes(said(reducer(), place(limit_ul=3 * LITRE), *many(3)))


def test_the_studio_s_own_limit_by_mass_counts_the_recorded_density():
    heavy = reducer(density_ug_per_ml=1_350_000)
    found = one(said(heavy, place(limit_mg=3_500_000), *many(3)), "place-over-limit")
    assert (
        found.message
        == "0.55 kg too much: 4.05 kg of flammable stock in Cabinet, and your limit for it is 3.5 kg"
    )
    assert "place-over-limit" not in codes(said(heavy, place(limit_mg=4_050_000), *many(3)))
    light = reducer(density_ug_per_ml=800_000)
    assert "place-over-limit" not in codes(said(light, place(limit_mg=3_500_000), *many(3)))
    unknown = reducer(density_ug_per_ml=None)
    assert "place-over-limit" in codes(said(unknown, place(limit_mg=3_500_000), *many(3)))


def test_nothing_may_burn_where_the_limit_is_nothing():
    assert "place-over-limit" in codes(said(reducer(), place(limit_mg=0), *many(1)))
    assert "place-over-limit" not in codes(said(product(2), place(limit_mg=0), *many(1)))


def test_what_cannot_burn_does_not_count_and_the_unknown_does():
    calm = product(2)
    assert "place-over-limit" not in codes(said(calm, place(limit_ul=2 * LITRE), *many(3)))
    unknown = product(2, solvents=None, no_flash_point=False)
    assert "place-over-limit" in codes(said(unknown, place(limit_ul=2 * LITRE), *many(3)))


@pytest.mark.parametrize(
    ("rule_set", "flash_mc", "density", "litres", "source"),
    [
        ("uk", 15_000, 900_000, 50, "DSEAR"),
        ("uk", 40_000, 900_000, 250, "DSEAR"),
        ("uk", 23_500, 900_000, 50, "DSEAR"),
        ("de", 15_000, 1_000_000, 20, "TRGS 510"),
        ("de", 15_000, 1_350_000, 14, "TRGS 510"),
        ("de", 15_000, None, 14, "TRGS 510"),
        ("de", 40_000, 800_000, 125, "TRGS 510"),
    ],
)
def test_the_building_s_limits_by_jurisdiction(rule_set, flash_mc, density, litres, source):
    """As many litres as the table allows are quiet; one more is a stop.

    Kilograms are of the recorded density, or of 1.4 kg/L; what flashes below the 24 °C of its place counts as if it
    were highly flammable under the British guidance.
    """
    stock = reducer(
        flash_point_mc=flash_mc,
        solvents=(share("ethanol", 5),),
        water_milli=95_000,
        density_ug_per_ml=density,
    )
    shelf = place(kind="shelf")
    sets = ("ghs", rule_set)
    assert "over-building-limit" not in codes(said(stock, shelf, *many(litres), rule_sets=sets))
    found = one(said(stock, shelf, *many(litres + 1), rule_sets=sets), "over-building-limit")
    assert found.severity == "stop"
    assert source in found.source


def test_kilograms_are_told_with_their_litres():
    """25.5 litres at 1.35 g/ml are 34.4 kg, and not the 20 that stand outside a store."""
    stock = reducer(density_ug_per_ml=1_350_000)
    litres = bottle(1, 2, size_ul=25_500_000, on_hand_ul=25_500_000, container="metal")
    found = one(said(stock, place(kind="shelf"), litres, rule_sets=("de",)), "over-building-limit")
    assert "34.42 kg (25.5 L) of extremely and highly flammable liquids" in found.message
    assert "the limit is 20 kg" in found.message
    assert "14.42 kg" in found.message


def test_what_flashes_below_the_warmest_that_a_place_gets_counts_as_highly_flammable():
    warm = reducer(flash_point_mc=30_000, solvents=(share("ethanol", 5),), water_milli=95_000)
    for high_mc, heard in ((29_000, False), (30_000, False), (31_000, True), (None, True)):
        shelf = place(kind="shelf", high_mc=high_mc)
        found = codes(said(warm, shelf, *many(51), rule_sets=("uk",)))
        assert ("over-building-limit" in found) == heard, high_mc


@pytest.mark.parametrize(
    ("rule_set", "premises", "litres"),
    [("ca", "home", 10), ("ca", "garage", 30), ("ca", None, 10), ("au", "home", 5), ("au", "garage", 25),
     ("nfpa", "garage", 94), ("ifc", "home", 37), ("ifc", None, 37), ("uk", "home", 30), ("uk", "garage", 30),
     ("de", "home", 1), ("de", "garage", 20), ("de", None, 1)],
)  # fmt: skip
def test_a_home_holds_less_than_a_workshop_and_what_is_not_noted_may_be_one(rule_set, premises, litres):
    def at(kind, count):
        return said(reducer(), place(kind="shelf", premises=kind), *many(count), rule_sets=(rule_set,))

    assert "over-home-limit" not in codes(at(premises, litres))
    found = one(at(premises, litres + 1), "over-home-limit")
    assert found.severity == "warn"
    assert ("isn't noted" in found.message) == (premises is None)
    assert "over-home-limit" not in codes(at("workshop", litres + 1))


@pytest.mark.parametrize("rule_sets", [("fr",), ("eu-general",), ("us-osha",), ("ghs", "us-osha", "us-epa")])
def test_where_no_rule_set_has_a_limit_for_homes_the_strictest_counts_and_says_so(rule_sets):
    def at(premises, count):
        return said(reducer(), place(kind="shelf", premises=premises), *many(count), rule_sets=rule_sets)

    place_set = next(name for name in rule_sets if name not in ("ghs", "us-epa"))
    for premises, litres in (("home", 1), ("garage", 20)):
        assert "over-home-limit" not in codes(at(premises, litres))
        found = one(at(premises, litres + 1), "over-home-limit")
        assert f"no limit of {place_set} is known, this is that of de" in found.message
    assert "over-home-limit" not in codes(at("workshop", 2))


def test_a_studio_that_lives_by_no_place_s_rules_borrows_no_limit():
    heard = said(reducer(), place(kind="shelf", premises="home"), *many(30), rule_sets=("ghs", "us-epa"))
    assert "over-home-limit" not in codes(heard)


def test_a_limit_from_memory_warns_and_says_so():
    found = one(said(reducer(), place(), *many(455), rule_sets=("nfpa",)), "over-code-limit")
    assert (found.severity, "from memory" in found.source) == ("warn", True)


def test_a_member_state_brings_the_union_s_rules_along():
    from stock.cautions.rules import rule_book

    assert rule_book(("de",)).applies("eu-general")
    assert not rule_book(("uk",)).applies("eu-general")


def test_cabinets_count_towards_the_workroom_but_not_towards_outside():
    assert "over-building-limit" in codes(said(reducer(), place(), *many(51), rule_sets=("uk",)))
    assert "over-building-limit" not in codes(said(reducer(), place(), *many(51), rule_sets=("de",)))


def test_places_of_two_buildings_do_not_add_up():
    here, there = place(1, "Here", building="A"), place(2, "There", building="B")
    stock = [*many(30, where=1), *(many(30, where=2))]
    numbered = [
        bottle(n, 2, size_ul=LITRE, on_hand_ul=LITRE, place_id=b.place_id) for n, b in enumerate(stock, 1)
    ]
    assert "over-building-limit" not in codes(said(reducer(), here, there, *numbered, rule_sets=("uk",)))
    one_roof = place(2, "There", building="A")
    assert "over-building-limit" in codes(said(reducer(), here, one_roof, *numbered, rule_sets=("uk",)))


def test_bottles_without_a_place_still_count_in_the_building():
    assert "over-building-limit" in codes(said(reducer(), *many(51, where=None), rule_sets=("uk",)))


def test_one_cabinet_s_limit():
    found = one(said(reducer(), place(), *many(228), rule_sets=("us-osha",)), "over-code-limit")
    assert "228 L of liquids of category 1 to 3" in found.message
    assert "227.1 L" in found.message
    assert "over-code-limit" not in codes(said(reducer(), place(), *many(227), rule_sets=("us-osha",)))


@pytest.mark.parametrize(
    ("container", "category_flash_mc", "boils_mc", "size_ul", "big"),
    [
        ("glass", 15_000, 78_000, 946_000, False),
        ("glass", 15_000, 78_000, 947_000, True),
        ("plastic", 15_000, 30_000, 474_000, True),
        ("plastic", 40_000, 120_000, 3_785_000, False),
        ("plastic", 40_000, 120_000, 3_786_000, True),
        ("metal", 15_000, 78_000, 5_000_000, False),
        ("safety_can", 15_000, 30_000, 7_570_000, False),
        (None, 15_000, 78_000, 947_000, True),
    ],
)
def test_containers_by_category(container, category_flash_mc, boils_mc, size_ul, big):
    stock = reducer(
        flash_point_mc=category_flash_mc, boiling_point_mc=boils_mc, solvents=(share("ethanol", 5),)
    )
    found = said(stock, bottle(1, 2, size_ul=size_ul, container=container), rule_sets=("us-osha",))
    assert ("container-too-big" in codes(found)) == big


def test_a_container_s_size_counts_not_what_is_left_in_it():
    found = said(reducer(), bottle(1, 2, size_ul=LITRE, on_hand_ul=1_000, container="glass"))
    assert "1 L in one container: glass may hold 0.946 L" in one(found, "container-too-big").message


def test_near_spraying_only_a_day_s_supply():
    booth = place(name="Booth", kind="spray_area")
    found = one(said(reducer(), booth, *many(2), day_use_ul=LITRE), "more-than-a-day")
    assert "a busy day uses 1 L" in found.message
    assert "more-than-a-day" not in codes(said(reducer(), booth, *many(2), day_use_ul=2 * LITRE))
    assert "isn't known" in one(said(reducer(), booth, *many(2)), "more-than-a-day").message


def test_no_glass_in_a_spray_room():
    room = place(name="Room", kind="spray_area", premises="spray_room")
    assert "glass-in-spray-room" in codes(said(reducer(), room, bottle(1, 2, place_id=1, container="glass")))
    assert "glass-in-spray-room" in codes(said(reducer(), room, bottle(1, 2, place_id=1, container=None)))
    assert "glass-in-spray-room" not in codes(
        said(reducer(), room, bottle(1, 2, place_id=1, container="metal"))
    )


def test_a_home_is_no_workshop():
    home = place(kind="spray_area", premises="home")
    assert one(said(reducer(), home, bottle(1, 2, place_id=1)), "spraying-at-home").severity == "warn"
    nobody_said = place(kind="spray_area", premises=None)
    found = one(said(reducer(), nobody_said, bottle(1, 2, place_id=1)), "spraying-at-home")
    assert (found.severity, "isn't noted" in found.message) == ("warn", True)
    workshop = place(kind="spray_area")
    assert "spraying-at-home" not in codes(said(reducer(), workshop, bottle(1, 2, place_id=1)))


def test_a_flame_near_by():
    assert "flame-near" in codes(said(reducer(), place(ignition=True), bottle(1, 2, place_id=1)))
    assert "flame-near" not in codes(said(product(), place(ignition=True), bottle(place_id=1)))
    near = one(said(reducer(), place(ignition=True), bottle(1, 2, place_id=1)), "flame-near")
    assert "1910.106(e)(2)(iv)(c)" in near.source


def test_frost_harms_what_has_water_in_it():
    cold = place(low_mc=-1_000, high_mc=20_000)
    found = one(said(product(store_low_mc=-5_000), cold, bottle(place_id=1)), "frost")
    assert "falls to -1 °C" in found.message
    assert found.bottles == (1,)
    dry = product(water_milli=0, store_low_mc=-5_000)
    assert "frost" not in codes(said(dry, cold, bottle(place_id=1)))
    nobody_said = product(water_milli=None, store_low_mc=-5_000)
    assert "frost" in codes(said(nobody_said, cold, bottle(place_id=1)))


def test_storage_temperatures_of_the_sheet():
    warm = place(low_mc=15_000, high_mc=38_000)
    found = one(said(product(), warm, bottle(place_id=1)), "wrong-temperature")
    assert found.message == "3 K too warm: Cabinet rises to 38 °C; it keeps at 5 °C to 35 °C"
    just = said(product(), place(low_mc=5_000, high_mc=35_000), bottle(place_id=1))
    assert "wrong-temperature" not in codes(just)
    assert "keeping-temperature-unknown" in codes(said(product(store_high_mc=None), warm, bottle(place_id=1)))
    assert codes(said(product(), place(low_mc=5_000, high_mc=35_000), bottle(place_id=1))) == set()


def test_what_nobody_noted_of_a_place_is_asked_for_in_one_line():
    found = one(said(product(), place(low_mc=None), bottle(place_id=1)), "place-not-described")
    assert (found.severity, found.action) == ("warn", "find_out")
    assert "How cold it gets" in found.message
    assert "--lowest 5C`" in found.remedy
    burns = said(reducer(), place(low_mc=None, high_mc=None, ignition=None), bottle(1, 2, place_id=1))
    asked = one(burns, "place-not-described")
    assert "How cold and how warm it gets and whether a flame" in asked.message
    assert asked.remedy.endswith("--lowest 5C --highest 28C --ignition no`")
    assert "place-not-described" not in codes(said(product(), place(ignition=None), bottle(place_id=1)))


def test_bottles_of_which_nobody_noted_where_they_stand_are_said_once():
    found = one(said(product(), place(), bottle(1, place_id=None), bottle(2, place_id=None)), "place-unknown")
    assert (found.severity, found.bottles) == ("warn", (1, 2))
    assert "where bottles 1, 2 can be found" in found.message


def test_what_has_no_place_noted_may_stand_beside_anything():
    acetone = reducer(solvent="acetone")
    found = one(
        said(acetone, oxidiser(), place(), bottle(1, 2, place_id=1), bottle(2, 3, place_id=None)),
        "stored-apart",
    )
    assert "perhaps beside, for nobody has noted where, Product 2" in found.message
    here = bottle(1, 2, place_id=1), bottle(2, 3, place_id=1)
    one(said(acetone, oxidiser(), place(), *here, bottle(3, 2, place_id=2), place(2)), "stored-apart")


def test_what_stands_somewhere_is_not_said_to_stand_beside_anything_because_another_bottle_is_astray():
    astray = product(4, "Stray", solvents=(), water_milli=60_000, solids_milli=40_000)
    isocyanate = product(5, "Curer", role="hardener", groups=("isocyanate",), water_milli=0)
    stands = bottle(1, 2, place_id=1), bottle(2, 3, place_id=2), bottle(5, 5, place_id=3)
    places = place(), place(2), place(3, "Box")
    found = said(
        reducer(solvent="acetone"),
        oxidiser(),
        astray,
        isocyanate,
        *places,
        *stands,
        bottle(4, 4, place_id=None),
    )
    apart = [each for each in found if each.code == "stored-apart"]
    assert apart
    assert all("Stray" in (each.product, *each.others) for each in apart)
    assert all(4 in each.bottles for each in apart)


def test_a_product_of_unknown_range_is_told_once_however_many_bottles_stand_where():
    stock = (product(1, "Blue", store_low_mc=None), product(2, "Red", store_high_mc=None))
    found = said(*stock, bottle(1, 1), bottle(2, 1), bottle(3, 2))
    products_named = [each.product for each in found if each.code == "keeping-temperature-unknown"]
    assert products_named == ["Blue", "Red"]


def test_not_knowing_how_warm_it_may_stand_is_grave_only_where_heat_is_a_danger_or_it_may_be_spoilt():
    def unknown_range_finding(what, where):
        found = said(
            what._replace(store_low_mc=None, store_high_mc=None), where, bottle(1, what.id, place_id=1)
        )
        return one(found, "keeping-temperature-unknown")

    mild = place(low_mc=5_000, high_mc=30_000)
    assert (
        unknown_range_finding(product(1), mild).severity,
        unknown_range_finding(reducer(), mild).severity,
    ) == ("note", "note")
    assert "no place can be confirmed as suitable" in unknown_range_finding(product(1), mild).message
    for warm in (place(low_mc=5_000, high_mc=30_001), place(low_mc=4_999, high_mc=30_000)):
        assert unknown_range_finding(product(1), warm).severity == "warn"
    assert (
        "and Cabinet rises to 38 °C"
        in unknown_range_finding(product(1), place(low_mc=5_000, high_mc=38_000)).message
    )
    for danger in (
        product(1, h_statements=("H242",)),
        product(1, h_statements=("H251",)),
        product(1, groups=("bleach",)),
        product(1, groups=("organic_peroxide",)),
        reducer(flash_point_mc=-20_000, boiling_point_mc=30_000, no_flash_point=False),
    ):
        assert unknown_range_finding(danger, mild).severity == "warn"
        assert "heat is a danger to it" in unknown_range_finding(danger, mild).message


def test_one_known_end_of_a_range_counts_already():
    found = said(product(store_low_mc=None, store_high_mc=20_000), place(), bottle())
    assert (
        one(found, "wrong-temperature").message
        == "4 K too warm: Cabinet rises to 24 °C; it keeps at 20 °C or less"
    )


def test_a_place_of_no_building_noted_counts_in_every_one():
    here, anywhere = place(1, "Here", building="A"), place(2, "Anywhere")
    stock = [
        bottle(n, 2, size_ul=LITRE, on_hand_ul=LITRE, place_id=1 + n % 2, container="metal")
        for n in range(1, 61)
    ]
    assert "over-building-limit" in codes(said(reducer(), here, anywhere, *stock, rule_sets=("uk",)))


def test_an_estimate_alone_warns_of_a_limit_and_never_stops():
    """By its sheet it doesn't burn below 93 °C; by what is in it, near 20 °C."""
    calm = reducer(flash_point_mc=94_000)
    found = one(said(calm, place(kind="shelf"), *many(51), rule_sets=("uk",)), "over-building-limit")
    assert found.severity == "warn"


def oxidiser(number=3, **known):
    return product(number, role="cleaner", groups=("peroxide",), **known)


def test_oxidisers_stand_apart_from_solvents():
    acetone = reducer(solvent="acetone")
    found = one(
        said(acetone, oxidiser(), place(), bottle(1, 2, place_id=1), bottle(2, 3, place_id=1)), "stored-apart"
    )
    assert found.severity == "warn"
    assert "ketone peroxides" in found.message
    apart = said(
        acetone, oxidiser(), place(), place(2, "Other"), bottle(1, 2, place_id=1), bottle(2, 3, place_id=2)
    )
    assert "stored-apart" not in codes(apart)


def test_more_than_two_litres_of_each_is_a_stop():
    stock = [*many(3, of=2), *many(3, of=3)]
    assert (
        one(said(reducer(solvent="acetone"), oxidiser(), place(), *stock), "stored-apart").severity == "stop"
    )


def test_what_nobody_described_stands_apart_from_what_is_reactive():
    unknown = product(1, solvents=None)
    found = one(said(unknown, oxidiser(), bottle(1, 1), bottle(2, 3)), "stored-apart")
    assert "nobody has noted what is in it" in found.message
    assert "stored-apart" not in codes(said(unknown, reducer(), bottle(1, 1), bottle(2, 2)))


@pytest.mark.parametrize(
    ("first_ml", "second_ml", "severity"),
    [(2_001, 2_001, "stop"), (2_000, 2_001, "warn"), (2_001, 2_000, "warn"), (2_000, 2_000, "warn")],
)
def test_two_litres_of_either_are_still_a_warning(first_ml, second_ml, severity):
    def full(number, of, ml):
        return bottle(number, of, size_ul=ml * 1_000, on_hand_ul=ml * 1_000)

    found = said(reducer(solvent="acetone"), oxidiser(), place(), full(1, 2, first_ml), full(2, 3, second_ml))
    assert one(found, "stored-apart").severity == severity
