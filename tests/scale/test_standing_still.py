"""When a weight stands still."""

from stock.scale.reading import ScaleReading
from stock.scale.standing_still import StandingWeight, TimedReading, standing_weight


def heard(*masses, every_s=0.1, stable=None):
    return [TimedReading(at * every_s, reading(mass, stable)) for at, mass in enumerate(masses)]


def reading(mass, stable):
    return ScaleReading("", mass, 100, stable, "g", "refused" if mass is None else "")


NOISE = ScaleReading("", refused="damaged", noise=True)


def test_readings_that_agree_for_a_while():
    assert standing_weight(heard(*[12_300] * 6), 0.6) == StandingWeight(12_300, 100)
    assert standing_weight(heard(12_300, 12_400, 12_300, 12_400, 12_300, 12_300), 0.6).mass_mg == 12_300
    assert standing_weight(heard(*[12_300] * 5), 0.5) is None  # 0.4 s
    assert standing_weight(heard(12_300, 12_300, every_s=1), 1) is None  # two


def test_a_weight_that_moves():
    assert standing_weight(heard(*range(12_000, 12_600, 100)), 0.6) is None
    assert standing_weight(heard(*[12_300] * 6, 12_500), 0.7) is None
    assert standing_weight(heard(*[12_300] * 6, None), 0.7) is None
    assert standing_weight(heard(*[12_300] * 3, None, *[12_300] * 3), 0.7) is None


def test_the_scales_own_word():
    assert standing_weight(heard(12_300, 12_300, stable=True), 0.1) == StandingWeight(12_300, 100)
    assert standing_weight(heard(12_300, 92_300, stable=True), 0.1) is None
    assert standing_weight(heard(*[12_300] * 9, stable=False), 0.9) is None
    moved = [*heard(*[12_300] * 6, stable=True), TimedReading(0.6, ScaleReading("", 12_300, 100, False, "g"))]
    assert standing_weight(moved, 0.6) is None


def test_one_line_at_a_press_of_the_print_key():
    alone = heard(12_300, stable=True)
    assert standing_weight(alone, 0.1) is None
    assert standing_weight(alone, 0.6) == StandingWeight(12_300, 100)


def test_what_was_heard_long_ago_is_not_on_the_scale():
    assert standing_weight(heard(*[12_300] * 6), 4) is None
    assert standing_weight([], 0) is None


def test_a_damaged_line_among_good_ones_is_left_out():
    noisy = heard(*[12_300] * 6)
    noisy[3] = TimedReading(0.3, NOISE)
    assert standing_weight(noisy, 0.6) == StandingWeight(12_300, 100)
    assert standing_weight([TimedReading(0, NOISE)], 0) is None
