"""From an area to an amount, and back."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stock.bench import coverage
from stock.bench.coverage import Film
from stock.bench.reduction import Reduction
from stock.errors import BadInput

films = st.builds(Film, st.integers(1, 500), st.integers(1_000, 100_000), st.integers(1_000, 100_000))


@given(films, st.integers(100, 10**8))
def test_the_paint_for_an_area_covers_it(film: Film, area_mm2: int):
    assert film.area_mm2(film.paint_ul(area_mm2)) >= area_mm2


@given(films, st.integers(1, 10**6))
def test_the_area_of_an_amount_does_not_need_more(film: Film, paint_ul: int):
    assert film.paint_ul(film.area_mm2(paint_ul)) <= paint_ul


@pytest.mark.parametrize(
    ("dry", "solids", "transfer"), [(0, 1, 1), (25, 0, 1), (25, 1, 0), (25, 100_001, 1), (25, 1, 100_001)]
)
def test_a_film_of_nothing_is_refused(dry: int, solids: int, transfer: int):
    with pytest.raises(BadInput):
        Film(dry, solids, transfer)


def test_thinning_spreads_further_and_thinner():
    film = Film(25, 30_000, 100_000)
    assert film.wet_um(Reduction(Fraction(20))) == film.wet_um() * Fraction(6, 5)


@pytest.mark.parametrize(
    ("text", "mm2"),
    [("0.5 m2", 500_000), ("0.5 m²", 500_000), ("300 cm2", 30_000), ("40x60 cm", 240_000), ("40 × 60 cm", 240_000),
     ("40cm x 60cm", 240_000), ("1 ft2", 92_903), ("1 in2", 645)],
)  # fmt: skip
def test_areas(text: str, mm2: int):
    assert coverage.area(text) == mm2


@pytest.mark.parametrize(
    "text", ["5", "5 m", "-1 m2", "0 m2", "2000 m2", "4x6", "4 cm x 6 mm", "1,5 m2", "axb cm"]
)
def test_areas_refused(text: str):
    with pytest.raises(BadInput):
        coverage.area(text)


@pytest.mark.parametrize(
    ("text", "um"),
    [("25um", 25), ("25 µm", 25), ("0.025 mm", 25), ("1mil", Fraction("25.4")), ("5 mil", 127)],
)
def test_films(text: str, um: Fraction | int):
    assert coverage.film(text) == um


@pytest.mark.parametrize("text", ["25", "0 um", "20 mm", "thin", "1e2 um", "-25um"])
def test_films_refused(text: str):
    with pytest.raises(BadInput):
        coverage.film(text)


def test_a_film_may_be_ten_millimetres_thick_and_no_more():
    assert Film(10_000, 40_000).dry_um == 10_000
    with pytest.raises(BadInput, match="out of range"):
        Film(10_001, 40_000)


def test_what_an_area_takes_by_hand():
    """
    25 µm dry of 40 % solids: 62.5 µm wet, 16 m² a litre; 0.1 m² is 6.25 ml, 12.5 ml where half is lost
    thinned with a fifth of it: 75 µm wet, 13.33 m² a litre, and 2.5 ml of reducer
    """
    film, fifth = Film(25, 40_000, 50_000), Reduction(Fraction(20))
    assert (film.wet_um(), film.wet_um(fifth)) == (Fraction(125, 2), 75)
    assert (film.square_metres_per_litre(), film.square_metres_per_litre(fifth)) == (16, Fraction(40, 3))
    assert film.area_mm2(12_500) == 100_000
    assert coverage.to_mix(100_000, film) == (12_500, 0)
    assert coverage.to_mix(100_000, film, fifth) == (12_500, 2_500)
    assert coverage.to_mix(100_001, film)[0] == 12_501  # rounded up


def test_an_area_is_more_than_half_a_square_millimetre_and_at_most_a_thousand_square_metres():
    assert (coverage.area("0.51 mm2"), coverage.area("1000 m2")) == (1, 10**9)
    for text, why in (("0.5 mm2", "is nothing"), ("1000.001 m2", "is too large")):
        with pytest.raises(BadInput, match=why):
            coverage.area(text)


def test_a_film_is_written_from_one_micrometre_to_ten_millimetres():
    assert (coverage.film("1 um"), coverage.film("10 mm")) == (1, 10_000)
    for text in ("0.99 um", "10.001 mm"):
        with pytest.raises(BadInput, match="possible film"):
            coverage.film(text)


def test_solids_and_transfer_are_more_than_nothing_and_may_be_all():
    assert Film(25, 100_000, 100_000).wet_um() == 25
    assert Film(25, 1, 1).wet_um() == 2_500_000
