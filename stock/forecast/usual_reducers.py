"""Which reducer a product is usually thinned with, and how much of it: from its own latest mixes."""

from collections.abc import Mapping, Sequence
from statistics import median

import numpy as np

from stock.forecast.use_history import Days
from stock.forecast.uses import Uses

LATEST = 20
ASSUMED_SHARE = 0.20
"""Reducer to paint, assumed if a usual reducer is noted and nothing was mixed yet: common practice, no source."""

_NOT_PAINT = ("reducer", "cleaner")


def usual_reducers(
    uses: Uses, roles: Mapping[int, str], products: Sequence[int]
) -> dict[int, tuple[int, float]]:
    """The usual reducer of each product: (reducer's number, reducer to paint by volume).

    It is the reducer in at least half of the product's twenty latest mixes, with the median of its shares there.
    A product that is mixed without reducer is left out.

    Args:
        uses: of the whole studio.
        roles: role by product number.
        products: those asked for.
    """
    latest = {product: _latest(uses, product) for product in products}
    is_latest = np.zeros(int(uses.mix.max(initial=0)) + 1, bool)
    for mixes in latest.values():
        is_latest[mixes] = True
    rows = np.flatnonzero(is_latest[uses.mix])
    pours = zip(
        uses.mix[rows].tolist(), uses.product[rows].tolist(), uses.volume_ul[rows].tolist(), strict=True
    )
    paint: dict[int, float] = {}
    reducers: dict[int, dict[int, float]] = {}
    for mix, product, volume in pours:
        if roles.get(product) not in _NOT_PAINT:
            paint[mix] = paint.get(mix, 0.0) + volume
        elif roles[product] == "reducer":
            reducers.setdefault(mix, {})[product] = volume
    found = {product: _usual(mixes, paint, reducers) for product, mixes in latest.items()}
    return {product: usual for product, usual in found.items() if usual is not None}


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
