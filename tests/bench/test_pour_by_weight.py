"""Pouring by weight: what is still to come, what was over-poured, and the mix as it was really poured."""

from datetime import date
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stock.bench.mixing import MixPlan, MixRequest, PlannedPour, book_mix, plan
from stock.bench.pour_by_weight import Pouring, pouring_of
from stock.errors import BadInput, NotFound
from stock.shelf import deliveries, products


def planned(*parts: tuple[str, str, int, int | None], reduce: Fraction | None = Fraction(20)) -> MixPlan:
    """A plan of (product, part, microlitres, density), each from a bottle of its own."""
    pours = tuple(
        PlannedPour(number, name, number, part, volume_ul, 60_000, "", density_ug_per_ml=density)
        for number, (name, part, volume_ul, density) in enumerate(parts, 1)
    )
    named = tuple((name, volume_ul) for name, part, volume_ul, _ in parts if part != "reducer")
    return MixPlan(MixRequest(parts=named, reduce=reduce), date(2026, 3, 4), pours)


BLUE, THINNER = ("Blue", "paint", 8_000, 1_050_000), ("Thinner", "reducer", 1_600, 800_000)


def poured(pouring: Pouring, *masses_mg: int) -> Pouring:
    """With so many milligrams more on the scale for one part after the other."""
    reading = 10_000
    for mass_mg in masses_mg:
        pouring = pouring.taken(reading, reading + mass_mg, 10)
        reading += mass_mg
    return pouring


def test_how_far_a_part_is():
    blue = pouring_of(planned(BLUE, THINNER), {}).parts[0]
    assert blue.target_mg == 8_400
    live = {
        mass: blue.progress(mass, 10).nearness
        for mass in (0, 7_500, 7_560, 8_310, 8_316, 8_400, 8_484, 8_485)
    }
    assert list(live.values()) == ["far", "far", "near", "near", "right", "right", "right", "over"]
    assert blue.progress(8_500, 10).left_mg == -100
    assert blue.progress(8_200, 200).nearness == "right"  # one digit of a coarse scale


def test_what_was_really_poured_is_what_is_booked():
    pouring = poured(pouring_of(planned(BLUE, THINNER), {}), 8_610, 1_280)
    assert pouring.at is None
    request = pouring.poured_request()
    assert request.parts == (("Blue", 8_200),)
    assert request.reduce == Fraction(100 * 1_600, 8_200)
    assert request.reducers == (("Thinner", 1_600),)
    assert [pour.measured.volume_ul for pour in pouring.weighed_pours()] == [8_200, 1_600]
    with pytest.raises(BadInput, match="Thinner was not poured"):
        poured(pouring_of(planned(BLUE, THINNER), {}), 8_400).poured_request()


def test_too_much_of_one_part_rescales_the_others():
    white = ("White", "paint", 4_000, 1_000_000)
    pouring = poured(pouring_of(planned(white, BLUE, THINNER), {}), 4_000, 10_500)
    assert pouring.too_much == Fraction(5, 4)
    more = pouring.rescaled()
    assert [part.target_ul for part in more.parts] == [5_000, 10_000, 2_000]
    assert more.at == 0  # the white that was right needs some more
    more = poured(more, 1_000, 1_600)
    assert more.at is None
    assert more.poured_request().parts == (("White", 5_000), ("Blue", 10_000))
    assert more.poured_request().reduce == Fraction(100 * 2_000, 15_000)
    assert len(more.weighed_pours()) == 4
    assert more.rescaled() == more


def test_a_part_that_a_person_takes_as_it_is_stays_so():
    pouring = poured(pouring_of(planned(BLUE, THINNER), {}), 4_200)
    assert pouring.at == 1
    with pytest.raises(BadInput, match="nothing was poured"):
        pouring.taken(5, 5, 10)


def test_a_bottle_that_stood_on_the_scale_became_lighter():
    pouring = pouring_of(planned(BLUE, reduce=None), {}).taken(68_400, 60_000, 10)
    assert pouring.poured_request().parts == (("Blue", 8_000),)
    assert pouring.poured_request().reduce is None


def test_a_part_without_a_density_can_t_be_weighed():
    with pytest.raises(NotFound, match="no density of Blue is known"):
        pouring_of(planned(("Blue", "paint", 8_000, None)), {})


@given(st.lists(st.integers(1, 60_000), min_size=2, max_size=5), st.integers(300_000, 3_000_000))
def test_rescaling_keeps_the_proportions(masses: list[int], density: int):
    parts = [(f"Part {n}", "paint", 5_000 + 100 * n, density) for n in range(len(masses))]
    pouring = poured(pouring_of(planned(*parts, reduce=None), {}), *masses)
    more = pouring.rescaled()
    exact = [part.planned.volume_ul * pouring.too_much for part in more.parts]
    assert all(
        abs(part.target_ul - one) <= Fraction(1, 2) for part, one in zip(more.parts, exact, strict=True)
    )
    assert all(part.poured_ul <= part.target_ul + 1 for part in more.parts)


def test_the_books_hold_it_to_the_microlitre(stocked: str):
    """Two reducers, of amounts that no percentage gives."""
    products.add({"name": "Brisk", "role": "reducer", "density": "0.79"})
    deliveries.receive("Brisk", 60_000)
    asked = MixRequest(
        parts=(("Harbour Blue", 8_000),), reduce=Fraction(20), reducers=(("Slow Thinner", 1), ("Brisk", 1))
    )
    products.change("Slow Thinner", {"density": "0.81"})
    pouring = poured(pouring_of(plan(asked), {}), 8_513, 655, 627)
    answer = book_mix(pouring.poured_request(), accept=[one.code for one in plan(asked).stops()])
    assert [pour["volume_ml"] for pour in answer["pours"]] == [8.108, 0.809, 0.794]
