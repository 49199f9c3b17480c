"""What to carry where, and that it is right afterwards."""

from hypothesis import given
from hypothesis import strategies as st

from stock.cautions.findings import stand
from stock.cautions.moves import moves, must_leave
from tests.cautions.told import bottle, place, product, reducer, studio

LITRE = 1_000_000


def carried(facts, day_use_ul=None):
    return moves(stand(facts), facts.places, day_use_ul)


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
    assert "0.7 L" in move.why


def test_what_may_freeze_goes_where_it_stays_warm():
    facts = studio(
        product(),
        place(1, "Garage", low_mc=-5_000, kind="store"),
        place(2, "Wall", kind="shelf"),
        bottle(place_id=1),
    )
    [move] = carried(facts)
    assert (move.to, move.why) == ("Wall", "it can freeze there")


def test_near_spraying_all_goes_but_a_day_s_supply():
    booth = place(1, "Booth", kind="spray_area")
    facts = studio(reducer(), booth, place(2, "Red cabinet"), filled(1, 2, 480, 1), filled(2, 2, 60, 1))
    assert [move.bottle for move in carried(facts, 100_000)] == [1]
    assert [move.bottle for move in carried(facts)] == [1, 2]


def test_where_no_place_fits_it_says_so():
    facts = studio(reducer(), place(limit_ul=0), bottle(1, 2, place_id=1))
    [move] = carried(facts)
    assert move.to is None


def test_two_that_react_are_parted_and_not_put_beside_another_that_reacts():
    peroxide = product(3, role="cleaner", groups=("peroxide",))
    acetone = reducer(2, solvent="acetone")
    facts = studio(
        acetone, peroxide, place(1, "Here"), place(2, "There"), place(3, "Elsewhere", kind="shelf"),
        filled(1, 2, 480, 1), filled(2, 3, 60, 1), filled(3, 2, 60, 2),
    )  # fmt: skip
    [move] = carried(facts)
    assert (move.bottle, move.to) == (2, "Elsewhere")


@given(
    st.lists(
        st.tuples(st.integers(2, 4), st.integers(10, 900), st.integers(1, 4)), max_size=14
    ),
    st.integers(0, 2_000), st.integers(0, 500),
)  # fmt: skip
def test_after_the_moves_every_limit_holds(placed, limit_ml, day_ml):
    """Whatever stands wherever: carry what is listed, and nothing has to leave but what has no place to go."""
    facts = studio(
        reducer(2), reducer(3, solvent="acetone"), product(4, role="cleaner", groups=("peroxide",)),
        place(1, "Small", limit_ul=limit_ml * 1000), place(2, "Booth", kind="spray_area"),
        place(3, "Garage", kind="store", low_mc=-4_000), place(4, "Wall", kind="shelf", ignition=True),
        *(filled(number, of, ml, where) for number, (of, ml, where) in enumerate(placed, 1)),
    )  # fmt: skip
    found = carried(facts, day_ml * 1000)
    by_name = {each.name: each.id for each in facts.places}
    to = {move.bottle: by_name[move.to] for move in found if move.to is not None}
    stuck = {move.bottle for move in found if move.to is None}
    after = facts._replace(
        bottles=tuple(each._replace(place_id=to.get(each.id, each.place_id)) for each in facts.bottles)
    )
    standing = stand(after)
    for where in after.places:
        here = [each for each in standing if each.place == where and each.bottle.id not in stuck]
        assert must_leave(where, here, day_ml * 1000) == []
