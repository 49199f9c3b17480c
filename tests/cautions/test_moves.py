"""What to carry where, and that it is right afterwards."""

import pytest
from hypothesis import given, note
from hypothesis import strategies as st

from stock.cautions.facts import SEVERITIES, RuleChange
from stock.cautions.findings import findings, stored_bottles
from stock.cautions.moves import LEAVES, REFUSED, _first, _needs, plan
from stock.cautions.rules import shipped
from tests.cautions.sample_facts import TODAY, bottle, place, product, reducer, studio
from tests.cautions.test_knowledge import bottles, places, products
from tests.sampling import drawn

LITRE = 1_000_000


def carried(facts):
    found = plan(facts)
    agreed(facts, found)
    return list(found.moves)


def to_move(facts):
    return [each for each in findings(facts, TODAY) if each.action == "move"]


def after(facts, found):
    """The same studio with the moves done."""
    by_name = {each.name: each.id for each in facts.places}
    to = {move.bottle: by_name[move.to] for move in found.moves}
    return facts._replace(
        bottles=tuple(each._replace(place_id=to.get(each.id, each.place_id)) for each in facts.bottles)
    )


def gravest(said):
    """How gravely each rule speaks of each place, or of each building; of a container wherever it stands."""
    found = {}
    for each in said:
        where = each.bottle if each.code in ("container-too-big", "corrosive-in-metal") else each.place_id
        if each.code == "over-building-limit":
            where = each.message.partition("; the limit")[0].partition(" in ")[2]
        key = (each.code, where)
        found[key] = max(found.get(key, -1), SEVERITIES.index(each.severity))
    return found


def agreed(facts, found):
    """The findings are the judge: what is left to move after the moves is what the plan says, none new, none graver."""
    left = to_move(after(facts, found))
    content = {each._replace(bottles=tuple(sorted(each.bottles))) for each in left}
    assert content == {
        each.finding._replace(bottles=tuple(sorted(each.finding.bottles))) for each in found.unsolved
    }
    assert all(each.why for each in found.unsolved)
    was, now = gravest(to_move(facts)), gravest(left)
    assert {key: grade for key, grade in now.items() if grade > was.get(key, -1)} == {}
    stands = {each.id: each for each in facts.places}
    moved = {move.bottle for move in found.moves}
    for each in after(facts, found).bottles:
        if each.id in moved:
            assert None not in (stands[each.place_id].low_mc, stands[each.place_id].high_mc)
    assert len(moved) == len(found.moves)
    if to_move(facts):
        assert found.moves or found.unsolved
    else:
        assert found == ((), ())


def filled(number, of, ml, where):
    return bottle(number, of, size_ul=ml * 1000, on_hand_ul=ml * 1000, place_id=where)


def test_nothing_to_move():
    assert carried(studio(reducer(), place(), bottle(1, 2, place_id=1))) == []


def test_the_one_bottle_that_is_enough_goes_to_the_other_cabinet():
    facts = studio(
        reducer(), place(limit_ul=700_000), place(2, "Red cabinet"), place(3, "Wall", kind="shelf"),
        filled(1, 2, 480, 1), filled(2, 2, 120, 1), filled(3, 2, 240, 1),
    )  # fmt: skip
    [move] = carried(facts)
    assert (move.bottle, move.come_from, move.to) == (3, "Cabinet", "Red cabinet")
    assert move.as_json() == {
        "bottle": 3, "product": "Product 2", "from": "Cabinet", "to": "Red cabinet", "code": "place-over-limit",
        "why": "more flammable stock stands there than the studio's limit",
    }  # fmt: skip


def test_a_limit_by_mass_is_kept_as_soon_as_enough_kilograms_are_gone():
    heavy = reducer(density_ug_per_ml=1_500_000)
    facts = studio(
        heavy, place(limit_mg=900_000), place(2, "Red cabinet"),
        filled(1, 2, 480, 1), filled(2, 2, 120, 1), filled(3, 2, 240, 1),
    )  # fmt: skip
    [move] = carried(facts)  # 1.26 kg stand there, 0.36 kg of them in bottle 3
    assert (move.bottle, move.to) == (3, "Red cabinet")


def test_what_may_freeze_goes_where_it_stays_warm():
    facts = studio(
        product(),
        place(1, "Garage", low_mc=-5_000, kind="store"),
        place(2, "Wall", kind="shelf"),
        bottle(place_id=1),
    )
    [move] = carried(facts)
    assert (move.to, move.why) == ("Wall", "it can freeze there")


def test_a_bottle_that_leaves_makes_room_for_one_that_was_looked_at_before():
    """The red cabinet is full until what stands too warm there has left, and the garage comes before it."""
    facts = studio(
        reducer(2, store_low_mc=10_000), reducer(3, store_high_mc=15_000),
        place(1, "Garage", low_mc=-5_000, kind="store"), place(2, "Red cabinet", limit_ul=600_000),
        place(3, "Cellar", low_mc=6_000, high_mc=14_000),
        filled(1, 2, 480, 1), filled(2, 3, 480, 2),
    )  # fmt: skip
    assert {move.bottle: move.to for move in carried(facts)} == {1: "Red cabinet", 2: "Cellar"}


def test_near_spraying_all_goes_but_a_day_s_supply():
    booth = place(1, "Booth", kind="spray_area")
    facts = studio(reducer(), booth, place(2, "Red cabinet"), filled(1, 2, 480, 1), filled(2, 2, 60, 1))
    assert [move.bottle for move in carried(facts._replace(day_use_ul=100_000))] == [1]
    assert [move.bottle for move in carried(facts)] == [1, 2]


def unsolved(facts):
    found = plan(facts)
    agreed(facts, found)
    return {each.finding.code: each.why for each in found.unsolved}


def test_where_there_is_no_other_place_it_says_so():
    facts = studio(reducer(), place(limit_ul=0), bottle(1, 2, place_id=1))
    assert unsolved(facts) == {"place-over-limit": "Product 2: no other place is noted"}


def test_what_no_place_keeps_right_is_named_with_the_range():
    facts = studio(
        product(store_low_mc=10_000, store_high_mc=25_000), place(1, "Garage", low_mc=2_000),
        place(2, "Sill", high_mc=37_000),
        place(3, "Attic", high_mc=None), bottle(place_id=1),
    )  # fmt: skip
    assert unsolved(facts) == {
        "wrong-temperature": "Product 1: no place noted keeps 10 °C to 25 °C; Attic: nobody has noted how warm it gets"
    }
    assert not carried(facts)


@pytest.mark.parametrize("unknown", ["low_mc", "high_mc", "ignition"])
def test_a_place_of_which_not_all_is_noted_is_not_proposed(unknown):
    stock = (reducer(), place(1, "Bench", ignition=True), bottle(1, 2))
    why = unsolved(studio(*stock, place(2, "Shelf", **{unknown: None})))["flame-near"]
    assert why.startswith("Product 2: Shelf: nobody has noted ")
    [move] = carried(studio(*stock, place(2, "Shelf", **{unknown: None}), place(3, "Cellar", kind="shelf")))
    assert move.to == "Cellar"
    still = product(2)._replace(water_milli=None), place(1, "Garage", low_mc=-1_000), bottle(1, 2)
    if unknown == "ignition":
        assert [move.to for move in carried(studio(*still, place(2, "Shelf", ignition=None)))] == ["Shelf"]


def test_what_keeps_at_nobody_knows_what_is_carried_out_of_the_frost_and_that_is_said():
    facts = studio(
        product(store_low_mc=None), place(1, "Garage", low_mc=-5_000), place(2, "Wall"), bottle(place_id=1)
    )
    [move] = carried(facts)
    assert move.why == "it can freeze there; at what temperatures it keeps isn't noted"


def test_a_container_that_is_too_big_is_no_matter_of_places():
    facts = studio(reducer(), place(), place(2, "Other"), filled(1, 2, 1_000, 1))
    assert unsolved(facts)["container-too-big"].startswith("no place makes this right")
    assert not carried(facts)


def test_a_cabinet_and_a_building_over_what_the_codes_allow():
    """Both are stops, and both are planned for: to another cabinet, and out of the building."""
    metal = [bottle(n, 2, size_ul=20 * LITRE, on_hand_ul=20 * LITRE, container="metal") for n in range(1, 13)]
    one = place(1, "One", building="Yard")
    facts = studio(reducer(), one, place(2, "Two", building="Yard"), *metal, rule_sets=("us-osha",))
    assert [(move.code, move.to) for move in carried(facts)] == [("over-code-limit", "Two")]
    facts = studio(reducer(), one, *metal[:3], rule_sets=("uk",))
    assert unsolved(facts) == {"over-building-limit": "Product 2: no place is noted in another building"}
    [move] = carried(facts._replace(places=(one, place(2, "Barn", building="Farm"))))
    assert (move.code, move.to) == ("over-building-limit", "Barn")


def test_nothing_is_carried_into_a_building_that_would_then_hold_too_much():
    cold = place(1, "Garage", kind="store", building="Yard", low_mc=-4_000)
    metal = {"size_ul": 10 * LITRE, "on_hand_ul": 10 * LITRE, "container": "metal"}
    full = [bottle(n, 2, **metal, place_id=2) for n in range(2, 7)]
    facts = studio(
        reducer(), cold, place(2, "Barn", building="Farm"), bottle(1, 2, **metal), *full, rule_sets=("uk",)
    )
    assert unsolved(facts)["frost"] == "Product 2: Barn: the building would hold too much"
    [*kept, _, _] = facts.bottles
    assert [move.to for move in carried(facts._replace(bottles=tuple(kept)))] == ["Barn"]


def test_what_is_astray_is_put_where_nothing_reacts_with_it():
    facts = studio(
        reducer(2, solvent="acetone"), product(3, role="cleaner", groups=("peroxide",)), place(1, "Here"),
        place(2, "There", kind="shelf"), filled(1, 2, 480, 1), filled(2, 3, 60, None),
    )  # fmt: skip
    [move] = carried(facts)
    assert (move.bottle, move.come_from, move.to) == (2, "no place noted", "There")


def test_a_silenced_rule_moves_nothing():
    facts = studio(product(), place(1, "Garage", low_mc=-5_000), place(2, "Wall"), bottle(place_id=1))
    assert [move.code for move in carried(facts)] == ["frost"]
    silenced = (
        RuleChange("frost", None, "it is heated"),
        RuleChange("wrong-temperature", None, "it is heated"),
    )
    assert not carried(facts._replace(changes=silenced))


def test_every_rule_that_says_move_has_its_words():
    by_place = {code for code, rule in shipped().items() if rule.action == "move"} - {
        "container-too-big",
        "corrosive-in-metal",
        "toxic-over-limit",  # of everything outside stores, so no place of it is too full
    }
    assert set(LEAVES) == by_place
    assert by_place <= set(REFUSED)


def test_two_that_react_are_parted_and_not_put_beside_another_that_reacts():
    peroxide = product(3, role="cleaner", groups=("peroxide",))
    acetone = reducer(2, solvent="acetone")
    facts = studio(
        acetone, peroxide, place(1, "Here"), place(2, "There"), place(3, "Elsewhere", kind="shelf"),
        filled(1, 2, 480, 1), filled(2, 3, 60, 1), filled(3, 2, 60, 2),
    )  # fmt: skip
    [move] = carried(facts)
    assert (move.bottle, move.to) == (2, "Elsewhere")


@st.composite
def studios(draw):
    """Small studios where some places are right and some aren't, and half of what is asked is known."""
    goods = [draw(products(number)) for number in range(1, 4)]
    kinds = ("cabinet", "spray_area", "shelf", "cabinet", "store")
    rooms = st.sampled_from((None, "home", "workshop", "spray_room"))
    stands = [
        draw(
            places(number, kind=kind, premises=draw(rooms))
            | st.just(place(number, f"Place {number}", kind=kind))
        )
        for number, kind in enumerate(kinds[: draw(st.integers(1, 5))], 1)
    ]
    where = st.sampled_from((None, *(each.id for each in stands)))
    stock = [
        draw(bottles(number, draw(st.integers(1, 3))))._replace(place_id=draw(where))
        for number in range(1, draw(st.integers(2, 7)))
    ]
    sets = draw(st.sampled_from((("ghs", "strictest"), ("de",), ("uk",), ("us-osha",), ("nfpa", "ghs"))))
    changed = draw(
        st.none()
        | st.builds(
            # No class, whose every field, defaults included, would be made up: figures that no rule has among them.
            lambda code, severity: RuleChange(code, severity, "so"),
            st.sampled_from(sorted(LEAVES)),
            st.sampled_from((None, "stop")),
        )
    )
    return studio(
        *goods, *stands, *stock, day_use_ul=draw(st.none() | st.just(1_000_000)), rule_sets=sets,
        changes=(changed,) if changed else (),
    )  # fmt: skip


@drawn(0.5)
@given(studios())
def test_the_findings_say_whether_the_moves_are_right_and_whether_one_was_missed(facts):
    found = plan(facts)
    note(found)
    agreed(facts, found)
    carried_out = after(facts, found)
    moved = {move.bottle for move in found.moves}
    for each in carried_out.bottles:
        for where in carried_out.places:
            if each.id not in moved and where.id != each.place_id:
                assert not better(carried_out, each, where), (each, where)


def better(facts, each, where):
    """Whether one more move to a place of which all is known takes a finding about the bottle away and brings none.

    A limit of a home that a bottle without a place may exceed is asked of each building with stock, so it goes with the
    last bottle of a building, too, though that one has nothing to do with it.
    """

    def content(studio):
        """What is said of what, and of which bottles."""
        found = [
            one
            for one in findings(studio, TODAY)
            if one.code not in ("container-too-big", "corrosive-in-metal")
        ]
        firsts = {one: one.bottle if one.code != "stored-apart" else None for one in found}
        return {one._replace(bottles=(), bottle=firsts[one]): set(one.bottles) for one in found}

    stands = each._replace(place_id=where.id)
    moved = facts._replace(bottles=tuple(stands if one.id == each.id else one for one in facts.bottles))
    before, now = content(facts), content(moved)
    unknown = any(one.code == "place-not-described" and one.place_id == where.id for one in now)
    more = any(bottles - before.get(one, set()) for one, bottles in now.items())
    gone = any(
        one.action == "move" and each.id in {one.bottle, *before[one]} for one in before.keys() - now.keys()
    )
    return gone and not unknown and not more and now.keys() < before.keys()


def test_too_much_poison_in_all_is_no_places_and_is_told_as_unsolved():
    poison = product(1, name="Tox", role="cleaner", h_statements=("H331",), density_ug_per_ml=1_000_000)
    facts = studio(
        poison,
        *(bottle(number, size_ul=20_000_000, on_hand_ul=20_000_000) for number in (1, 2, 3)),
        rule_sets=("de",),
    )
    found = [each.code for each in findings(facts, TODAY) if each.action == "move"]
    assert found == ["toxic-over-limit"]
    planned = plan(facts)
    assert planned.moves == ()
    ((unsolved, why),) = planned.unsolved
    assert unsolved.code == "toxic-over-limit"
    assert "store" in why


def test_no_more_poison_is_carried_out_of_a_store_than_may_stand_outside():
    """A store counts nothing, so what leaves it for a shelf is new to the 50 kg that may stand outside."""
    poison = product(
        1, role="cleaner", h_statements=("H331",), density_ug_per_ml=1_000_000, water_milli=90_000
    )
    cold = place(1, "Garage", kind="store", low_mc=-4_000)
    stock = [bottle(n, size_ul=20 * LITRE, on_hand_ul=20 * LITRE, place_id=1) for n in (1, 2, 3)]
    facts = studio(poison, cold, place(2, "Wall", kind="shelf"), *stock, rule_sets=("de",))
    assert [(move.bottle, move.to) for move in carried(facts)] == [(1, "Wall"), (2, "Wall")]
    assert unsolved(facts)["frost"] == (
        "Product 1: Wall: too much of what poisons or harms would stand outside a store"
    )
    warm = place(2, "Vault", kind="store")
    moves = carried(studio(poison, cold, warm, *stock, rule_sets=("de",)))
    assert [move.to for move in moves] == ["Vault"] * 3


@pytest.mark.parametrize(
    ("low_mc", "high_mc", "said"),
    [
        (None, None, "stays above freezing"),
        (5_000, None, "keeps "),
        (None, 35_000, "keeps "),
        (5_000, 35_000, "keeps "),
    ],
)
def test_what_a_place_would_need_is_the_range_as_far_as_it_is_noted(low_mc, high_mc, said):
    [each] = stored_bottles(studio(product(store_low_mc=low_mc, store_high_mc=high_mc), bottle()))
    assert _needs(each).startswith(said)


def test_the_first_number_for_which_something_holds_is_found_by_halving():
    for count in (0, 1, 7):
        for first in range(count + 1):
            assert _first(count, lambda number, first=first: number >= first) == first


def test_of_two_sides_as_large_the_one_that_the_finding_is_about_goes():
    facts = studio(
        reducer(2, solvent="acetone"), product(3, role="cleaner", groups=("peroxide",)), place(1, "Here"),
        place(2, "There"), filled(1, 2, 60, 1), filled(2, 3, 60, 1),
    )  # fmt: skip
    [about] = [each.product_id for each in to_move(facts) if each.code == "stored-apart"]
    [move] = carried(facts)
    assert {1: 2, 2: 3}[move.bottle] == about


@pytest.mark.parametrize(("count", "more"), [(2, ""), (3, " (and 1 more)"), (4, " (and 2 more)")])
def test_of_two_products_it_is_said_why_no_place_takes_them_and_the_rest_are_counted(count, more):
    facts = studio(
        *(reducer(number) for number in range(2, 2 + count)), place(limit_ul=0),
        *(filled(number, number, 60, 1) for number in range(2, 2 + count)),
    )  # fmt: skip
    said = unsolved(facts)["place-over-limit"]
    assert said == "Product 2: no other place is noted; Product 3: no other place is noted" + more
