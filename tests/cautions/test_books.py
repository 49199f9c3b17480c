"""What the cautions are told, read from the books of both engines."""

from datetime import date, timedelta
from fractions import Fraction

import pytest
from playhouse.test_utils import count_queries

from stock import clock
from stock.bench.mixing import MixRequest, book_mix
from stock.cautions import books, listing
from stock.cautions.choices import choose
from stock.cautions.facts import RuleChange
from stock.errors import BadInput, Stopped
from stock.shelf import deliveries, handling, places, products
from stock.shelf.studio import settings
from stock.store.models import Booking
from tests.cautions.sample_facts import codes
from tests.clock import clock_at


@pytest.fixture
def today(stocked):
    return settings().today()


def add(name, **given):
    products.add({"name": name, "role": "paint", **given})


def facts_of(name):
    return next(each for each in books.facts().products if each.name == name)


def test_a_product_is_read_whole(books):
    add(
        "Whole", flash_point="18C", boiling_point="78C", water="40", density="0.95", opened_life="12mo",
        sealed_life="3y", store_at="5C..35C", solvent=["ethanol=30", "acetone=20% by volume"],
    )  # fmt: skip
    read = facts_of("Whole")
    assert (read.flash_point_mc, read.boiling_point_mc, read.water_milli) == (18_000, 78_000, 40_000)
    assert (read.store_low_mc, read.store_high_mc, read.density_ug_per_ml) == (5_000, 35_000, 950_000)
    assert {share.name for share in read.solvents} == {"ethanol", "acetone"}
    assert str(read.opened_life) == "12mo"


def test_none_and_not_known_are_two_things(books):
    add("Undescribed")
    add("Waterborne", water="60")
    add("No flash point", flash_point="none")
    products.add({"name": "Half told", "role": "reducer", "water": "60"})
    products.add({"name": "All water", "role": "cleaner", "water": "98"})
    add("No solvent", solvent=["none"])
    assert facts_of("Undescribed").solvents is None
    assert facts_of("Waterborne").solvents is None, "that it holds water says nothing of the rest"
    assert facts_of("No flash point").no_flash_point
    assert facts_of("Half told").solvents is None
    assert facts_of("All water").solvents is None
    assert facts_of("No solvent").solvents == ()
    products.change("No solvent", {"solvent": []})
    assert facts_of("No solvent").solvents is None


def test_not_with_is_read_from_both_sides(books):
    add("One")
    add("Other", not_with=["One"])
    assert facts_of("One").not_with == (facts_of("Other").id,)
    assert facts_of("Other").not_with == (facts_of("One").id,)


def test_bottles_and_places(stocked):
    places.add("Booth", kind="spray_area", premises="home", low_mc=-2_000, ignition=True)
    handling.move_bottle("1", "Booth")
    read = books.facts()
    bottle = next(each for each in read.bottles if each.id == 1)
    booth = next(each for each in read.places if each.id == bottle.place_id)
    assert (booth.kind, booth.premises, booth.low_mc, booth.ignition) == ("spray_area", "home", -2_000, True)
    assert bottle.state == "sealed"


def test_a_kept_leftover_is_known_as_one(mixed):
    from stock.bench.closing import Ending, close

    close(mixed, Ending("good", left_ul=3_000, keep=True))
    assert [each.kept for each in books.facts().bottles if each.kept] == [True]


def test_a_mix_opens_its_bottles_and_only_from_that_day(stocked, today):
    book_mix(MixRequest(parts=(("Harbour Blue", 8_000),), reduce=Fraction(20)))
    states = {each.id: each.state for each in books.facts().bottles}
    assert states[1] == "open"


def test_yesterday_is_read_as_it_was(stocked, today):
    before = today - timedelta(days=1)
    assert books.facts(before).bottles == ()
    assert len(books.facts(today).bottles) == 4


def test_a_product_is_discontinued_from_that_day_on(stocked, today):
    products.change("Gull White", {"discontinued": today.isoformat()})

    def discontinued(day):
        return {each.name for each in books.facts(day).products if each.discontinued}

    assert (discontinued(today - timedelta(days=1)), discontinued(today)) == (set(), {"Gull White"})


def test_a_fixed_number_of_queries_whatever_stands_there(stocked):
    settings()  # they are read once an opening, whoever asks first
    with count_queries() as few:
        books.findings()
    deliveries.receive("Harbour Blue", 60_000, count=40)
    for number in range(20):
        add(f"Paint {number}", solvent=["ethanol=5"])
    with count_queries() as many:
        books.findings()
    assert many.count == few.count


def test_the_shelf_s_codes_are_those_of_the_cautions(stocked):
    deliveries.receive("Harbour Blue", 60_000, best_before=date(2020, 1, 1))
    shown = listing.shelf()
    assert "past-best-before" in shown.codes[5]
    said = {each.code for each in books.findings() if each.bottle == 5}
    assert said <= set(shown.codes[5])


def test_a_day_s_use_is_the_busiest_of_late(stocked, today):
    assert books.facts().day_use_ul is None
    book_mix(MixRequest(parts=(("Harbour Blue", 10_000),), reduce=Fraction(20)))
    book_mix(MixRequest(parts=(("Harbour Blue", 5_000),), reduce=Fraction(20)))
    assert books.facts().day_use_ul == 3_000, "only the reducer can burn"


def test_what_was_undone_was_not_used(stocked):
    from stock.logbook.undo import undo

    answer = book_mix(MixRequest(parts=(("Harbour Blue", 10_000),), reduce=Fraction(20)))
    undo("mix", answer["mix"])
    assert books.facts().day_use_ul is None


def test_a_month_s_hazardous_waste_by_weight(stocked):
    """120 ml of a reducer that flashes at 40 °C, its density not known, so as heavy as a paint: 168 g.

    60 ml of a paint that doesn't flash count until it is noted what is in it.
    """
    assert books.facts().waste_mg == 0
    handling.discard("3")
    assert books.facts().waste_mg == 168_000
    handling.discard("1")
    facts = books.facts()
    assert facts.waste_mg > 168_000, "it may hold what makes waste toxic"
    assert next((each.products[0].name, each.mass_mg) for each in facts.waste_made) == (
        "Slow Thinner",
        168_000,
    )
    products.change("Harbour Blue", {"solvent": ["none"]})
    assert books.facts().waste_mg == 168_000


def test_waste_on_hand_is_what_was_thrown_away_since_it_last_left(stocked, today):
    """120 ml thrown away, 3 ml of a mix thrown away at its closing, a wash with what flashes: all of it counts."""
    from stock.bench.closing import Ending, close
    from stock.bench.washing import wash
    from stock.shelf import studio

    made = book_mix(MixRequest(parts=(("Harbour Blue", 10_000),), reduce=Fraction(20)))
    close(made["mix"], Ending("good", left_ul=3_000, keep=False))
    assert books.facts().waste_mg == 3_000 * 1_400_000 // 1_000_000, "as ignitable as its reducer"
    products.add({"name": "Hot Wash", "role": "cleaner", "flash_point": "12C", "density": "0.8"})
    deliveries.receive("Hot Wash", 250_000)
    wash("Hot Wash", 10_000)
    assert books.facts().waste_mg == 4_200 + 8_000
    handling.discard("3")
    facts = books.facts()
    left_mg = 118_000 * 1_400_000 // 1_000_000
    assert (facts.waste_mg, facts.waste_on_hand_mg) == (12_200 + left_mg, 12_200 + left_mg)
    studio.change(waste_collected_on=today)
    assert books.facts().waste_on_hand_mg == 12_200 + left_mg, "what left the same day isn't known"
    with clock_at(clock.start_of(today + timedelta(days=40), "Europe/Lisbon").replace(tzinfo=None)):
        studio.change(waste_collected_on=today + timedelta(days=1))
        facts = books.facts()
        assert (facts.waste_on_hand_mg, facts.waste_since) == (0, today + timedelta(days=1))
        before = books.facts(today)
        assert (before.waste_on_hand_mg, before.waste_since) == (12_200 + left_mg, None), "not collected yet"


def test_a_mix_that_was_sprayed_whole_makes_no_waste(stocked):
    from stock.bench.closing import Ending, close

    made = book_mix(MixRequest(parts=(("Harbour Blue", 10_000),), reduce=Fraction(20)))
    close(made["mix"], Ending("good", left_ul=0, keep=False))
    facts = books.facts()
    assert (facts.waste_made, facts.waste_mg, facts.waste_on_hand_mg) == ((), 0, 0)


def test_what_was_thrown_away_and_undone_is_no_waste(stocked):
    from stock.logbook.undo import undo

    handling.discard("3")
    undo("discard", Booking.select(Booking.id).order_by(Booking.id.desc()).get().id)
    facts = books.facts()
    assert (facts.waste_mg, facts.waste_on_hand_mg) == (0, 0)


def test_the_spray_rate_is_the_studio_s_own(stocked):
    from stock.shelf import studio

    assert books.facts().spray_ul_per_min is None
    studio.change(spray_ul_per_min=1_500)
    assert books.facts().spray_ul_per_min == 1_500
    with pytest.raises(BadInput, match="spray rate"):
        studio.change(spray_ul_per_min=5)


def test_what_isn_t_known_to_burn_doesn_t_raise_a_day_s_supply(stocked):
    products.change("Harbour Blue", {"flash_point": ""})
    book_mix(MixRequest(parts=(("Harbour Blue", 10_000),), reduce=Fraction(20)))
    assert books.facts().day_use_ul == 2_000, "the paint may burn, but nobody knows it to"


def test_choices_rule_from_the_day_they_were_made(stocked, today):
    choose("flammable", "silence", reason="all in the cabinet")
    assert books.facts().changes == (RuleChange("flammable", None, "all in the cabinet"),)
    assert books.facts(today - timedelta(days=1)).changes == ()
    choose("flammable", "default", reason="better not")
    assert books.facts().changes == ()


def test_the_newest_choice_rules(stocked):
    choose("flammable", "silence", reason="one")
    choose("flammable", "tighten", severity="stop", reason="two")
    assert books.facts().changes == (RuleChange("flammable", "stop", "two"),)
    assert next(each for each in books.findings() if each.code == "flammable").severity == "stop"


def test_for_a_mix_only_its_parts_are_looked_at(stocked):
    blue, thinner = facts_of("Harbour Blue").id, facts_of("Slow Thinner").id
    found = books.for_mix([(blue, 8_000, 1), (thinner, 1_600, 3)], as_of=settings().today())
    assert {"mix-flash-unknown", "air-unknown"} <= codes(found)
    assert all(each.product_id in (None, blue, thinner) for each in found)


def test_a_wash_out_says_what_the_cleaner_does_with_the_mix(mixed):
    from stock.bench.washing import wash
    from stock.logbook.undo import undo

    products.add({"name": "Sharp Bleach", "role": "cleaner", "solvent": ["bleach=4"], "water": "96"})
    deliveries.receive("Sharp Bleach", 250_000)
    with pytest.raises(Stopped, match="--accept"):
        wash("Sharp Bleach", 10_000, mix=mixed)
    stops = ["unknown-with-reactive", "incompatible"]
    answer = wash("Sharp Bleach", 10_000, mix=mixed, accept=stops)
    assert answer["cautions"][0]["code"] == "unknown-with-reactive"
    assert "the wash-out" in answer["cautions"][0]["message"]
    assert "wash-flash-unknown" in {found["code"] for found in answer["cautions"]}
    with pytest.raises(Stopped, match="Harbour Blue"):
        wash("Sharp Bleach", 10_000)  # nobody says which mix it follows, so the day's last one counts
    long_before = clock.now() - timedelta(days=3)
    deliveries.receive("Sharp Bleach", 250_000, on=long_before)
    alone = wash("Sharp Bleach", 10_000, on=long_before)["cautions"]
    assert {"incompatible", "unknown-with-reactive"}.isdisjoint(each["code"] for each in alone)
    undo("mix", mixed)
    assert "unknown-with-reactive" not in {each["code"] for each in wash("Sharp Bleach", 10_000)["cautions"]}
