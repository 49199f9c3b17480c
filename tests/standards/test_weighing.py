"""Weighing, levels and uncertainty against published figures.

Sources: Guide to the Expression of Uncertainty in Measurement (JCGM 100:2008), 4.3.7 and 5.1.2. Density of water
and ethanol at 20 °C: 0.998207 and 0.78942 g/ml (CoolProp 8.0.0 after IAPWS-95). Circular cylinders: geometry; the
diameters are examples.
"""

import math

import pytest

from stock.bench import weighing
from stock.bench.weighing import Weighed


def test_water_and_ethanol_on_a_scale():
    assert weighing.by_weight(Weighed(99_821, 0, 998_207)).volume_ul == pytest.approx(100_000, abs=1)
    assert weighing.by_weight(Weighed(78_942, 0, 789_420)).volume_ul == 100_000


def test_a_poured_part_of_paint():
    """8 ml at 1.05 g/ml weigh 8.400 g."""
    assert weighing.poured_by_weight([0, 8_400], [1_050_000]) == [8_000]


@pytest.mark.parametrize(
    ("bottle_ml", "inner_mm", "ml_a_mm"),
    [(30, 28, 0.616), (60, 34, 0.908), (120, 45, 1.590), (240, 56, 2.463), (480, 68, 3.632)],
)
def test_a_millimetre_of_a_round_bottle(bottle_ml: int, inner_mm: int, ml_a_mm: float):
    ten = weighing.by_level(10_000, inner_mm * 1_000, bottle_ml * 1_000)
    assert ten.volume_ul / 10_000 == pytest.approx(ml_a_mm, abs=0.0006)


def test_two_readings_of_a_scale():
    """Gross and tare of resolution d: d/√6 (GUM 4.3.7 and 5.1.2). 0.1 g of water: 0.041 ml."""
    empty = weighing.by_weight(Weighed(10_000, 10_000, 1_000_000))
    assert empty.uncertainty_ul == math.ceil(100 / math.sqrt(6))


def test_a_syringe():
    """A limit of error of 5 % is 5 %/√3 (GUM 4.3.7); the 5 % are of ISO 7886-1:1993, from memory."""
    assert weighing.by_volume(10_000).uncertainty_ul == math.ceil(10_000 * 0.05 / math.sqrt(3))
