"""The well-mixed room against a step-by-step sum, its limits, and the worked examples of dilution air.

Worked: 10 ml of 2-propanol in a closed room of 30 m³ give 106.1 ppm, after 15 minutes at 4 air changes an hour 39.0; a
millilitre a minute of 2-propanol stays at 200 ppm with 95.5 m³/h (ideal gas at 25 °C, computed in the table of facts).
"""

import pytest

from stock.cautions.room_air import Course, Room, course
from stock.cautions.vapours import Vapour
from stock.cautions.ventilation import thickness

LITRES_10_ML = 3.1829
"""Of 2-propanol vapour at 25 °C from 10 ml, as in test_air.py."""


def summed(litres, minutes, room, step=0.01):
    """The same by steps of a hundredth of a minute: peak, worst 15 minutes, 8 hours."""
    ppm, course_ = 0.0, [0.0]
    for at in range(round(480 / step)):
        given = 1000 * litres / minutes / room.volume_m3 if at * step < minutes else 0.0
        ppm += step * (given - ppm * room.air_m3_per_min / room.volume_m3)
        course_.append(ppm)
    sums = [0.0]
    for each in course_:
        sums.append(sums[-1] + each * step)
    quarter = round(15 / step)
    worst = max(sums[at + quarter] - sums[at] for at in range(0, len(course_) - quarter, 20))
    return Course(course_[round(minutes / step)], worst / 15, sums[-1] / 480)


@pytest.mark.parametrize(
    ("litres", "minutes", "room"),
    [
        (0.66, 4, Room(10, 20 / 180)), (6.6, 7, Room(30, 400 / 180)), (20, 60, Room(20, 10 / 180)),
        (20, 120, Room(60, 5)),
    ],
)  # fmt: skip
def test_the_course_is_that_of_a_sum_by_small_steps(litres, minutes, room):
    assert course(litres, minutes, room) == pytest.approx(summed(litres, minutes, room), rel=0.005)


def test_a_closed_room_keeps_what_it_was_given():
    found = course(LITRES_10_ML, 0.001, Room(30, 0))
    assert found == pytest.approx((106.1, 106.1, 106.1), rel=1e-3)


def test_a_quarter_of_an_hour_at_four_changes_leaves_a_thirty_seventh_of_a_hundred():
    """106.1 exp(-1) = 39.0; its average over those 15 minutes is 106.1 (1 - exp(-1))."""
    from math import exp

    found = course(LITRES_10_ML, 0.001, Room(30, 2))
    assert found.peak_ppm == pytest.approx(106.1, rel=1e-3)
    assert found.peak_ppm * exp(-1) == pytest.approx(39.0, abs=0.05)
    assert found.short_ppm == pytest.approx(106.1 * (1 - exp(-1)), rel=1e-3)


def test_a_long_spraying_comes_to_what_dilution_air_says():
    found = course(LITRES_10_ML / 10 * 480, 480, Room(5, 95.49 / 60))
    assert found.peak_ppm == pytest.approx(200, rel=1e-3)
    assert found.short_ppm == pytest.approx(200, rel=1e-3)


def test_shares_add_up_over_vapours():
    """29 CFR 1910.1000(d)(2): of each its concentration over its limit, summed; Le Chatelier for what burns."""
    room = Room(10, 0)
    one = Vapour("a", 1.0, 2_000, 100, shift_ppm=100, short_ppm=200, ceiling_ppm=50)
    both = thickness([one, one._replace(lower_milli=None, ceiling_ppm=None)], 0.001, room)
    assert both.fire == pytest.approx(100 / 20_000, rel=1e-3)
    assert both.short == pytest.approx(100 / 200 * 2, rel=1e-3)
    assert both.shift == pytest.approx(2, rel=1e-3)
    assert both.ceiling == pytest.approx(2, rel=1e-3)
    assert both.most == both.ceiling
