"""What counts against a limit of a place, a building or a home, and how much of the limit it takes."""

import math

import pytest

from stock.cautions import limits
from stock.cautions.findings import stored_bottles
from stock.cautions.limits import BuildingSum, all_beside, below_ambient, building_sums, mass_mg, own_limits
from stock.cautions.rules import Limit, rule_book
from tests.cautions.sample_facts import bottle, place, product, reducer, studio

LITRE = 1_000_000


def standing(*things):
    return stored_bottles(studio(*things))


def litre(number, of=2, ml=1_000, where=1):
    return bottle(number, of, size_ul=ml * 1_000, on_hand_ul=ml * 1_000, place_id=where)


def test_what_counts_in_a_sum_of_a_building_or_a_home():
    """
    a place of another building doesn't, one whose building isn't noted does
    a cabinet counts in the building and not outside cabinets
    a place that may be a dwelling counts in the dwelling and in the home, a garage in the garage and in the home
    """
    places = {
        "cabinet": place(kind="cabinet"), "shelf": place(kind="shelf"), "other": place(kind="shelf", building="B"),
        "home": place(kind="shelf", premises="home"), "garage": place(kind="shelf", premises="garage"),
        "unknown": place(kind="cabinet", premises=None),
    }  # fmt: skip
    counted = {
        scope: {name for name, each in places.items() if BuildingSum("A", scope).counts(each)}
        for scope in ("building", "outside", "dwelling", "garage", "home")
    }
    assert counted == {
        "building": {"cabinet", "shelf", "home", "garage", "unknown"}, "outside": {"shelf", "home", "garage"},
        "dwelling": {"home", "unknown"}, "garage": {"garage"}, "home": {"home", "garage", "unknown"},
    }  # fmt: skip
    assert BuildingSum("B", "building").counts(places["other"])
    codes = {scope: BuildingSum("", scope).code for scope in ("building", "outside", "dwelling")}
    assert codes == {
        "building": "over-building-limit", "outside": "over-building-limit", "dwelling": "over-home-limit"
    }  # fmt: skip


def test_the_sums_that_are_judged_are_those_of_each_named_building_and_of_homes_where_there_may_be_one():
    def judged(*places):
        return [(each.building, each.scope) for each in building_sums(places)]

    assert judged(place()) == [("", "outside"), ("", "building")]
    assert judged(place(building="B"), place(building="A"), place()) == [
        ("A", "outside"), ("A", "building"), ("B", "outside"), ("B", "building"),
    ]  # fmt: skip
    assert judged(place(premises=None)) == [
        ("", each) for each in ("outside", "building", "dwelling", "home")
    ]
    assert [scope for _, scope in judged(place(premises="garage"))][2:] == ["garage", "home"]
    mixed = judged(place(building="A", premises="home"), place(building="B"))
    assert [scope for building, scope in mixed if building == "B"] == ["outside", "building"]
    assert [scope for building, scope in mixed if building == "A"][2:] == ["dwelling", "home"]


def test_a_sum_is_named_with_its_building_and_the_places_of_which_it_is_not_noted_what_they_are():
    there = standing(
        reducer(),
        litre(1),
        litre(2, where=2),
        place(1, "Attic", premises=None),
        place(2, "Hall", premises="home"),
    )
    assert BuildingSum("", "building").where(there) == "the building"
    assert BuildingSum("A", "outside").where(there) == "the building A, outside cabinets"
    assert BuildingSum("A", "garage").where(there[1:]) == "the garage at the dwelling (A)"
    words = BuildingSum("", "dwelling").where(there)
    assert words == "the dwelling; of Attic it isn't noted whether it is a dwelling"


def test_a_studios_own_limits_of_a_place_the_most_exceeded_first():
    """2 l at 0.9 g/ml are 1.8 kg: twice a limit of 1 l, and 0.9 times one of 2 kg."""
    there = standing(reducer(), litre(1), litre(2))
    both = place(limit_ul=LITRE, limit_mg=2_000_000)
    by_volume, by_mass = own_limits(both, there)
    assert (by_volume.held, by_volume.limit, by_volume.over, by_volume.times) == ("2 L", "1 L", "1 L", 2)
    assert (by_mass.held, by_mass.limit, by_mass.times) == ("1.8 kg", "2 kg", 0.9)
    tight = own_limits(both._replace(limit_mg=600_000), there)
    assert [each.times for each in tight] == [3, 2]
    assert own_limits(place(), there) == []
    none = own_limits(place(limit_ul=0), there)
    assert [each.times for each in none] == [math.inf]
    assert limits._times(0, 0) != math.inf


def test_a_mass_is_by_the_recorded_density_or_by_the_heaviest_that_it_may_be():
    known, unknown = standing(reducer(), reducer(3, density_ug_per_ml=None), litre(1), litre(2, 3))
    assert mass_mg(known) == 900_000
    assert mass_mg(unknown) > 900_000
    assert limits.mass_of([known, known]) == 1_800_000
    assert limits.kilograms(1_804_999) == "1.8 kg"


@pytest.mark.parametrize(
    ("flash_mc", "high_mc", "below"),
    [(23_999, 24_000, True), (24_000, 24_000, False), (60_000, None, True), (60_001, None, False)],
)
def test_what_flashes_below_the_warmest_of_its_place(flash_mc, high_mc, below):
    """And up to 60 °C where that isn't noted."""
    [each] = standing(reducer(flash_point_mc=flash_mc), litre(1), place(high_mc=high_mc))
    assert below_ambient(each) is below


def test_an_unknown_flash_point_is_below_every_room_unless_it_is_known_that_there_is_none():
    unknown, none = standing(
        reducer(flash_point_mc=None), product(3, no_flash_point=True), litre(1), litre(2, 3)
    )
    assert below_ambient(unknown)
    assert not below_ambient(none)


def test_every_limit_that_is_judged_is_told_with_what_counts_against_it():
    """Of a cabinet with 2 l and of the building it stands in; what has no place counts in each cabinet, too."""
    book = rule_book(("us-osha",))
    one, two, astray = litre(1), litre(2), litre(3, where=None)
    limits = all_beside(standing(reducer(), one, two, place(limit_ul=4 * LITRE)), book)
    own, cabinet = limits[0], next(each for each in limits if "category 1 to 3" in each.what)
    assert (own.where, own.held, own.limit, own.times, own.source) == ("Cabinet", "2 L", "4 L", 0.5, "")
    assert (cabinet.where, cabinet.held) == ("Cabinet", "2 L")
    assert cabinet.times == pytest.approx(2 / 227.1, rel=0.001)
    with_astray = all_beside(standing(reducer(), one, two, astray, place()), book)
    assert (
        next(each for each in with_astray if each.where == "Cabinet" and "1 to 3" in each.what).held == "3 L"
    )
    shelf = all_beside(standing(reducer(), one, place(kind="shelf")), book)
    assert {each.where for each in shelf} == {"the building, outside cabinets"}
    assert all_beside(standing(product(), bottle()), book)[0].times == 0


def test_a_limit_by_volume_and_one_by_mass_say_what_is_held_what_may_be_and_how_much_is_too_much():
    """60 L at 0.9 g/ml beside 50 L, and 54 kg beside 40 kg; the rest of both is what is over."""
    held = [limits.Amount(standing(reducer(), place(), litre(1))[0], 60 * LITRE, 54_000_000)]

    def words(figures):
        return limits._words(held, Limit("us", "", "verified", "", figures), lambda *_: True)

    assert words({"litres_milli": 50_000}) == {"held": "60 L", "limit": "50 L", "over": "10 L"}
    assert words({"kilograms_milli": 40_000}) == {"held": "54 kg (60 L)", "limit": "40 kg", "over": "14 kg"}
    times = [
        limits._share(held, Limit("us", "", "verified", "", figures), lambda *_: True)
        for figures in ({"litres_milli": 50_000}, {"kilograms_milli": 40_000})
    ]
    assert times == [1.2, 1.35]


def test_only_what_counts_is_summed_against_a_limit():
    first, second = standing(reducer(2), reducer(3, "acetone"), place(), litre(1, 2), litre(2, 3))
    held = [limits.Amount(first, 3, 30), limits.Amount(second, 5, 50), limits.Amount(first, 7, 70)]
    limit = Limit("us", "", "verified", "", {"litres_milli": 1})
    assert limits._sum(held, limit, lambda each, _: each is first) == (10, 100)
