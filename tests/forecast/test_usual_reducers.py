"""Which reducer a product is usually thinned with."""

import numpy as np
import pytest

from stock.forecast.uses import Uses
from stock.forecast.usual_reducers import usual_reducers

PAINT, SLOW, FAST, WASH = 1, 2, 3, 4
ROLES = {PAINT: "paint", SLOW: "reducer", FAST: "reducer", WASH: "cleaner"}


def usual(*mixes: dict[int, float]):
    """The usual reducer of the paint after these mixes: microlitres by product."""
    rows = sorted((product, number, ul) for number, mix in enumerate(mixes, 1) for product, ul in mix.items())
    product, mix = (np.array([row[at] for row in rows], np.int64) for at in (0, 1))
    found = usual_reducers(
        Uses(product, mix, mix + 700_000, np.array([row[2] for row in rows])), ROLES, [PAINT]
    )
    return found.get(PAINT)


def test_the_reducer_in_most_mixes_with_the_median_of_its_shares():
    slow = [{PAINT: 8_000.0, SLOW: 8_000.0 * share} for share in (0.1, 0.2, 0.5)]
    fast = [{PAINT: 8_000.0, FAST: 8_000.0 * 0.3}]
    assert usual(*fast, *slow) == (SLOW, pytest.approx(0.2))
    assert usual(*slow[:1], *fast * 3) == (FAST, pytest.approx(0.3))
    assert usual(*fast, slow[0]) == (SLOW, pytest.approx(0.1))  # as often: the one that was entered first


def test_a_reducer_in_fewer_than_half_of_the_mixes_is_not_usual():
    neat, slow = {PAINT: 8_000.0}, {PAINT: 8_000.0, SLOW: 1_600.0}
    assert usual(neat, slow) == (SLOW, pytest.approx(0.2))
    assert usual(neat, neat, slow) is None
    assert usual(neat, {PAINT: 8_000.0, WASH: 1_600.0}) is None


def test_only_the_latest_twenty_mixes_count():
    old, new = {PAINT: 8_000.0, SLOW: 1_600.0}, {PAINT: 4_000.0, FAST: 1_000.0}
    assert usual(*[old] * 40, *[new] * 20) == (FAST, pytest.approx(0.25))
