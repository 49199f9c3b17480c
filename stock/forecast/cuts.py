"""Which reducer a product is usually cut with, and how much of it: from its own latest mixes."""

from collections.abc import Mapping, Sequence

import numpy as np

from stock.forecast.habit import Days
from stock.forecast.uses import Uses

LATEST = 20
ASSUMED_SHARE = 0.20
"""Reducer to paint where a usual reducer is named and nothing was mixed yet: common practice, no source."""

_NOT_PAINT = ("reducer", "cleaner")


def usual_cuts(uses: Uses, roles: Mapping[int, str], products: Sequence[int]) -> dict[int, tuple[int, float]]:
    """For each product that is usually cut: (reducer's number, reducer to paint by volume).

    The reducer in at least half of its twenty latest mixes, with the middle of the shares found there; a
    product mixed without any reducer is in none.

    Args:
        uses: of the whole studio.
        roles: role by product number.
        products: those asked for.
    """
    latest = {product: _latest(uses, product) for product in products}
    wanted = np.unique(np.concatenate([*latest.values(), np.empty(0, np.int64)]))
    rows = np.flatnonzero(np.isin(uses.mix, wanted))
    paint: dict[int, float] = {}
    reducers: dict[int, dict[int, float]] = {}
    for row in rows:
        mix, product, volume = int(uses.mix[row]), int(uses.product[row]), float(uses.volume_ul[row])
        if roles.get(product) not in _NOT_PAINT:
            paint[mix] = paint.get(mix, 0.0) + volume
        elif roles[product] == "reducer":
            reducers.setdefault(mix, {})[product] = volume
    cuts = {product: _usual(mixes, paint, reducers) for product, mixes in latest.items()}
    return {product: cut for product, cut in cuts.items() if cut is not None}


def _latest(uses: Uses, product: int) -> Days:
    return uses.of(product).mix[-LATEST:]


def _usual(
    mixes: Days, paint: Mapping[int, float], reducers: Mapping[int, Mapping[int, float]]
) -> tuple[int, float] | None:
    shares: dict[int, list[float]] = {}
    for number in mixes.tolist():
        for reducer, volume in reducers.get(number, {}).items():
            if paint.get(number):
                shares.setdefault(reducer, []).append(volume / paint[number])
    if not shares:
        return None
    reducer = max(shares, key=lambda each: (len(shares[each]), -each))
    found = shares[reducer]
    return (reducer, float(np.median(found))) if 2 * len(found) >= len(mixes) else None
