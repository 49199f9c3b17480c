"""How long a stock lasts, counted in mixes: the chance that n of them still fit.

All rows (a product, a level of its stock) are worked out together. Each gets a lattice on which its usual
amount and so any whole number of usual mixes stand exactly. Sums beyond the stock are of no interest, so
the lattice is kept short and the wrap-around of the Fourier transform is damped by an exponential tilt
(Grübel & Hermesmeier 1999, ASTIN Bulletin 29, for compound sums).
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from stock.forecast.amounts import LEVEL_NODES, LEVEL_WEIGHTS, Amounts, on_lattice
from stock.forecast.habit import Days, Floats

_PLACES = 512  # the stock is at most so many lattice points
_SIZE = 2 * _PLACES
_TILT = 20.0 / _SIZE  # wrapped sums weigh e^-20
_USUAL_POINTS = 48  # at most so many lattice points to a usual amount
_BLOCK = 48  # rows worked on together: they fit the cache
_MOST_MIXES = 740  # two years of days
_DONE = 1e-6
_BACK = np.exp(_TILT * np.arange(_PLACES + 1))


@dataclass(frozen=True, slots=True)
class Stock:
    """One question: how many amounts as believed fit into a volume.

    Attributes:
        amounts: belief about one mix (or one mix day).
        usual_ul: its usual amount in microlitres, above zero.
        volume_ul: what there is.
    """

    amounts: Amounts
    usual_ul: float
    volume_ul: float


def fitting(stocks: Sequence[Stock], *, short_of: bool = False) -> Floats:
    """[row, n]: the chance that n amounts together fit into the row's volume, n = 0, 1, 2 ...

    The last column is zero (below a millionth) for every row that ends within 740 mixes.

    Args:
        stocks: the rows.
        short_of: False: the sum may equal the volume. True: it must stay below it, something is left.
    """
    ready = [_prepared(each, short_of) for each in stocks]
    answer = np.zeros((len(stocks), _MOST_MIXES + 1))
    widest = 1
    order = sorted(range(len(stocks)), key=lambda row: ready[row][2])
    for start in range(0, len(order), _BLOCK):
        rows = order[start : start + _BLOCK]
        fits = _fitting_block([ready[row] for row in rows])
        answer[rows, : fits.shape[1]] = fits
        widest = max(widest, fits.shape[1])
    return answer[:, :widest]


def _prepared(stock: Stock, short_of: bool) -> tuple[Floats, int, float]:
    """The three lattices (one a level), the last place that fits (-1: not even nothing), mixes to expect."""
    mixes = max(stock.volume_ul, 0.0) / stock.usual_ul
    per_usual = min(max(int((_PLACES - 1) / max(mixes, 1e-9)), 1), _USUAL_POINTS)
    unit = stock.usual_ul / per_usual
    if mixes * per_usual > _PLACES - 1:  # more than 511 usual mixes: coarser than one
        unit = stock.volume_ul / (_PLACES - 1)
    place = stock.volume_ul / unit
    last = int(np.ceil(place - 1e-6)) - 1 if short_of else int(np.floor(place + 1e-6))
    last = max(last, -1)
    levels = np.exp(LEVEL_NODES * stock.amounts.level_sd)
    lattices = np.zeros((len(levels), _SIZE))
    for row, level in enumerate(levels):
        mass = on_lattice(stock.amounts.points_ul * level, stock.amounts.weights, unit, last + 1)
        lattices[row, : len(mass)] = mass
    return lattices, last, mixes


def _fitting_block(ready: Sequence[tuple[Floats, int, float]]) -> Floats:
    lattices = np.array([each[0] for each in ready])
    last = np.array([each[1] for each in ready])
    one = np.fft.rfft(lattices * np.exp(-_TILT * np.arange(_SIZE)))
    # Real and imaginary parts side by side, so that the real product is one sum over plain figures.
    pick = np.conj(_picks(last)).view(np.float64)[:, :, None]
    columns = [np.where(last >= 0, 1.0, 0.0)]
    power = one.copy()
    parts = power.view(np.float64)
    while columns[-1].max() > _DONE and len(columns) <= _MOST_MIXES:
        sums = (parts @ pick)[..., 0]
        columns.append(np.clip(sums @ LEVEL_WEIGHTS, 0.0, columns[-1]))
        power *= one
    return np.array(columns).T


def _picks(last: Days) -> NDArray[np.complex128]:
    """[row, frequency]: weights whose real product with a spectrum is the chance of a sum up to `last`.

    They are the inverse transform, untilted and summed over the places 0..last, done once by a transform of
    the untilting itself.
    """
    untilt = np.where(np.arange(_PLACES + 1) <= last[:, None], _BACK, 0.0)
    wave = np.conj(np.fft.rfft(untilt, _SIZE)) / _SIZE
    wave[:, 1:-1] *= 2
    return np.asarray(wave)
