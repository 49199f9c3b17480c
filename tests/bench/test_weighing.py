"""Measuring a bottle, and what a difference means."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stock.bench import weighing
from stock.bench.weighing import Measured, Weighed
from stock.errors import BadInput


def test_a_bottle_on_a_scale():
    measured = weighing.by_weight(Weighed(63_200, 20_150, 1_050_000))
    assert measured.volume_ul == 41_000
    assert measured.method == "weight"
    assert measured.uncertainty_ul > 0


def test_lighter_than_its_own_glass_is_refused():
    with pytest.raises(BadInput, match=r"20 g is less than the empty bottle.s 20\.15 g"):
        weighing.by_weight(Weighed(20_000, 20_150, 1_050_000))


@given(st.integers(0, 10**6), st.integers(300_000, 5_000_000))
def test_weight_and_volume_agree_to_a_microlitre(volume_ul: int, density: int):
    gross = 10_000 + round(Fraction(volume_ul * density, 1_000_000))
    assert (
        abs(weighing.by_weight(Weighed(gross, 10_000, density)).volume_ul - volume_ul) <= 1_000_000 / density
    )


def test_pours_by_what_the_scale_shows():
    assert weighing.poured_by_weight([10_000, 18_400, 19_972], [1_050_000, 786_000]) == [8_000, 2_000]
    with pytest.raises(BadInput, match="did not rise"):
        weighing.poured_by_weight([10_000, 10_000], [1_050_000])


def test_a_level_against_a_ruler():
    assert weighing.by_level(40_000, 34_000, 60_000).volume_ul == 36_317
    with pytest.raises(BadInput, match="a level of 90 mm would be"):
        weighing.by_level(90_000, 34_000, 60_000)


def test_a_level_by_eye():
    half = weighing.by_fraction(Fraction(1, 2), 60_000)
    assert half.volume_ul == 30_000
    assert half.uncertainty_ul > weighing.by_volume(30_000).uncertainty_ul
    for share in (Fraction(-1, 2), Fraction(3, 2)):
        with pytest.raises(BadInput, match="fraction of the bottle"):
            weighing.by_fraction(share, 60_000)


class TestDifferences:
    def test_none(self):
        found = weighing.compare(Measured(41_000, 500, "volume"), 41_000)
        assert not found.beyond
        assert "what the books say" in found.sentence

    def test_within_what_measuring_explains(self):
        found = weighing.compare(Measured(41_000, 500, "volume"), 41_900)
        assert (found.difference_ul, found.beyond) == (-900, False)
        assert "0.9 ml less than the books, within" in found.sentence

    def test_beyond_it(self):
        found = weighing.compare(Measured(41_000, 500, "volume"), 43_000)
        assert found.beyond
        assert "a pour was not logged" in found.sentence
        assert "logged too large" in weighing.compare(Measured(45_000, 500, "volume"), 43_000).sentence

    def test_many_pours_make_the_books_less_sure(self):
        measured = Measured(41_000, 500, "volume")
        assert weighing.compare(measured, 42_500).beyond
        assert not weighing.compare(measured, 42_500, weighing.books_uncertainty([8_000] * 20)).beyond

    @given(st.lists(st.integers(-20_000, 20_000), max_size=20))
    def test_each_pour_adds_doubt(self, pours: list[int]):
        assert weighing.books_uncertainty([*pours, 1_000]) >= weighing.books_uncertainty(pours)


class TestUsualLoss:
    def test_no_mix_no_loss(self):
        assert weighing.usual_loss([]) is None
        assert weighing.usual_loss([(500, 0)]) is None

    def test_one_count_is_not_enough_to_offer(self):
        loss = weighing.usual_loss([(1_000, 5)])
        assert loss is not None
        assert loss.a_mix_ul == 200
        assert not loss.sure

    def test_learnt_from_several(self):
        loss = weighing.usual_loss([(1_000, 5), (900, 4), (1_300, 6), (700, 4)])
        assert loss is not None
        assert loss.a_mix_ul == round(3_900 / 19)
        assert loss.sure

    def test_what_goes_both_ways_is_no_loss(self):
        loss = weighing.usual_loss([(1_000, 5), (-900, 5), (800, 5), (-1_000, 5)])
        assert loss is not None
        assert not loss.sure


def test_the_doubt_of_a_syringe_and_of_an_eye_is_that_of_an_even_distribution():
    """GUM 4.3.7: half the width over the root of 3; 5 % of 10 ml, and a twentieth of a bottle of 60 ml."""
    assert weighing.by_volume(10_000).uncertainty_ul == 289
    assert weighing.by_fraction(Fraction(1, 2), 60_000).uncertainty_ul == 1_733
    assert weighing.books_uncertainty([10_000]) == 289


@pytest.mark.parametrize(
    ("a_mix_ul", "counts", "sure"), [(200, 3, False), (201, 3, True), (201, 2, False), (500, 3, True)]
)
def test_a_loss_is_sure_from_three_counts_on_and_beyond_twice_its_error(a_mix_ul, counts, sure):
    assert weighing.UnloggedLoss(a_mix_ul, error_ul=100, mixes=9, counts=counts).sure is sure


def test_the_error_of_a_usual_loss_by_hand():
    """0.1 ml and 0.3 ml lost with a mix each: mean 0.2 ml, spread 0.02 ml², standard error of the mean 0.1 ml."""
    assert weighing.usual_loss([(100, 1), (300, 1)]) == weighing.UnloggedLoss(200, 100, 2, 2)


@pytest.mark.parametrize(
    ("more", "uncertainty_ul"),
    [({}, 61), ({"density_error_ug_per_ml": 25_000}, 201), ({"tare_of_pack": True}, 195)],
)
def test_the_uncertainty_of_a_weighed_volume_by_hand(more, uncertainty_ul):
    """12.5 g at 1.25 g/ml are 10 ml. The parts that add up in squares:

    the scale: 60 mg / 1.25 / √6 = 19.6 µl; a sheet's density: 1 % of 10 ml / √3 = 57.7 µl, a weighed one here 2 % =
    200 µl; another bottle's tare: 2 % of 20 g / 1.25 / √3 = 184.8 µl.
    """
    measured = weighing.by_weight(Weighed(32_500, 20_000, 1_250_000, resolution_mg=60, **more))
    assert (measured.volume_ul, measured.uncertainty_ul) == (10_000, uncertainty_ul)


@pytest.mark.parametrize(
    ("counted_ul", "beyond", "said"),
    [
        (10_000, False, "the bottle holds what the books say"),
        (10_001, False, "more than the books, within"),
        (11_000, False, "1 ml more than the books, within"),
        (11_001, True, "more than the books, beyond the 1 ml"),
        (9_000, False, "1 ml less than the books, within"),
        (8_999, True, "less than the books, beyond the 1 ml"),
    ],
)
def test_measuring_explains_twice_its_uncertainty_and_no_more(counted_ul, beyond, said):
    """0.3 ml of the count and 0.4 ml of the books are 0.5 ml together (3-4-5), and twice that is explained."""
    found = weighing.compare(Measured(counted_ul, 300, "volume"), 10_000, 400)
    assert (found.difference_ul, found.explained_ul, found.beyond) == (counted_ul - 10_000, 1_000, beyond)
    assert said in found.sentence


def test_a_weighed_measure_is_as_sure_as_its_syringe_unless_a_limit_is_given():
    """10.5 g in 10 ml. 0.1 g/√6 of 10.5 g are 0.39 %; 5 % of a syringe's volume /√3 are 2.89 %, 0.5 % are 0.29 %."""
    assert weighing.density_of(10_500, 10_000, resolution_mg=100) == (1_050_000, 30_585)
    assert weighing.density_of(10_500, 10_000, resolution_mg=100, limit_ul=50) == (1_050_000, 5_085)


@pytest.mark.parametrize(
    ("net_mg", "known", "uncertainty_ul"), [(12_500, 0, 20), (12_500_000, None, 57_736), (125_000, 0, 20)]
)
def test_each_part_of_a_weighed_volumes_uncertainty_alone(net_mg, known, uncertainty_ul):
    """At 1.25 g/ml: a scale of 60 mg is 60 / 1.25 / √6 = 19.6 µl; 1 % of 10 l / √3 are 57,735.03 µl, rounded up."""
    weighed = Weighed(net_mg, 0, 1_250_000, resolution_mg=60, density_error_ug_per_ml=known)
    assert weighing.by_weight(weighed).uncertainty_ul == uncertainty_ul


def test_the_doubt_of_a_level_is_that_of_a_ruler_in_millimetres():
    """34 mm wide: an area of 907.92 mm²; 1 mm is read evenly, so 0.90792 ml / √12 = 0.2621 ml."""
    found = weighing.by_level(40_000, 34_000, 60_000)
    assert (found.uncertainty_ul, found.method) == (263, "level")
    assert (
        weighing.by_level(72_600, 34_000, 60_000).volume_ul == 60_000
    )  # a tenth more than its size is its size
    with pytest.raises(BadInput, match="would be"):
        weighing.by_level(72_700, 34_000, 60_000)


def test_a_scales_steps_as_pours():
    """A step of the scale is one pour; what is lighter than before or of no density is refused."""
    assert weighing.poured_by_weight([0, 1_050], [1_050_000]) == [1_000]
    with pytest.raises(BadInput):
        weighing.poured_by_weight([10_000, 9_999], [1_050_000])


def test_a_limit_of_error_is_that_of_an_even_distribution():
    """0.3 ml over the root of 3; without one that of a syringe, 5 % of 10 ml."""
    assert weighing.limited(10_000, 300).uncertainty_ul == 174
    assert weighing.limited(10_000, 0).uncertainty_ul == 0
    assert weighing.limited(10_000) == weighing.by_volume(10_000)


@pytest.mark.parametrize(
    ("counted_ul", "said"), [(10_000, "as estimated"), (10_001, "more than was"), (9_999, "less than was")]
)
def test_the_first_count_of_a_part_used_bottle_explains_itself(counted_ul, said):
    found = weighing.first_count(counted_ul, 10_000)
    assert said in found.sentence
    assert (found.difference_ul, found.explained_ul, found.beyond) == (
        counted_ul - 10_000,
        abs(counted_ul - 10_000),
        False,
    )


def test_a_fraction_may_be_none_or_all_of_the_bottle():
    assert [weighing.by_fraction(Fraction(share), 60_000).volume_ul for share in (0, 1)] == [0, 60_000]
