"""Which reducer a product is usually cut with, and how much of it: from its own latest mixes."""

from collections.abc import Mapping, Sequence
from statistics import median

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
    wanted = np.zeros(int(uses.mix.max(initial=0)) + 1, bool)
    for mixes in latest.values():
        wanted[mixes] = True
    rows = np.flatnonzero(wanted[uses.mix])
    told = zip(
        uses.mix[rows].tolist(), uses.product[rows].tolist(), uses.volume_ul[rows].tolist(), strict=True
    )
    paint: dict[int, float] = {}
    reducers: dict[int, dict[int, float]] = {}
    for mix, product, volume in told:
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
    return (reducer, median(found)) if 2 * len(found) >= len(mixes) else None
