"""Spreading rates against published examples.

Sources: a coatings maker's technical note (71 % volume solids at 125 µm: 5.68 m2/l, wet 176 µm; 65 % at 125 µm:
5.2 m2/l; 65 % at 5 mil: 208.5 ft2/gal by 1604·VS/mil). Volume solids are determined by ISO 23811 (from memory).
The others are the formula itself, worked by hand.
"""

from fractions import Fraction

import pytest

from stock.bench.coverage import Film
from stock.bench.reduction import Reduction

NOTHING_LOST = 100_000


def test_a_published_example_at_71_per_cent():
    film = Film(125, 71_000, NOTHING_LOST)
    assert float(film.square_metres_per_litre()) == pytest.approx(5.68, abs=0.005)
    assert float(film.wet_um()) == pytest.approx(176.06, abs=0.01)


def test_a_published_example_at_65_per_cent():
    assert Film(125, 65_000, NOTHING_LOST).square_metres_per_litre() == Fraction("5.2")


def test_a_published_example_in_us_units():
    """5 mil are 127 µm; 1 ft2 is 0.09290304 m2 and 1 US gallon 3.785411784 l. The note's 1604 is rounded."""
    rate = float(Film(127, 65_000, NOTHING_LOST).square_metres_per_litre())
    assert rate / 0.09290304 * 3.785411784 == pytest.approx(208.5, rel=0.001)


def test_thinned_by_a_fifth():
    """30 % at 25 µm: 12 m2/l; cut 20 % it is 25 % solids and 10 m2 a litre of mix."""
    film = Film(25, 30_000, NOTHING_LOST)
    assert film.square_metres_per_litre() == 12
    assert film.square_metres_per_litre(Reduction(Fraction(20))) == 10


def test_half_of_it_past_the_part():
    """1 m2 at 25 µm dry, 30 % solids, half transferred: 166.67 ml of paint."""
    film = Film(25, 30_000, 50_000)
    assert film.paint_ul(1_000_000) == 166_667
    assert film.area_mm2(166_667) == 1_000_002
