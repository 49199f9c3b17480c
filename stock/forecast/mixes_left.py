"""How long a stock lasts, counted in mixes: the chance that it is enough for n of them.

All rows (a product, a level of its stock) are worked out together. Each has a lattice on which its usual
amount, and so any whole number of usual mixes, is an exact point. Sums beyond the stock don't matter, so
the lattice is kept short, and the wrap-around of the Fourier transform is damped by an exponential tilt
(Grübel & Hermesmeier 1999, ASTIN Bulletin 29, for compound sums).
"""

from collections.abc import Iterator, Sequence
from functools import lru_cache
from itertools import groupby

import numpy as np

from stock.forecast.amounts import LEVEL_NODES, LEVEL_WEIGHTS, Amounts, on_lattice
from stock.forecast.spectra import Spectra, powers, quick_size
from stock.forecast.use_history import Days, Floats
from stock.named_tuples import NamedTuple

_FARTHEST = 511  # the last lattice point that a stock may reach: with 0 they are 512
_DAMPED = 20.0  # wrapped sums weigh e^-20
_ROOM = 1.5  # places transformed, against those that fit: rounding is untilted to at most 1e-16 e^(20 / 1.5)
_USUAL_POINTS = 48  # the most lattice points for a usual amount
_CACHED = (
    30_000  # figures of the powers that are worked on together, so that they fit the cache; a row has fewer
)
_BEYOND = 1.5  # mixes to look at first, as a multiple of the usual ones that fit
_MOST_MIXES = 740  # two years of days
_DONE = 1e-6


class Stock(NamedTuple):
    """One question: how many amounts as believed fit into a volume.

    Attributes:
        amounts: belief about one mix (or one mix day).
        usual_ul: its usual amount in microlitres, above zero.
        volume_ul: the volume of the stock, 0 or more.
    """

    amounts: Amounts
    usual_ul: float
    volume_ul: float


def fitting(stocks: Sequence[Stock], *, short_of: bool = False) -> Floats:
    """[row, n]: the chance that n amounts together fit into the row's volume, n = 0, 1, 2 ...

    The last column is zero (below a millionth) for every row that ends within 740 mixes.

    Args:
        stocks: the rows, at least one.
        short_of: False: the sum may equal the volume. True: it must stay below it, so that something is left.
    """
    ready = [_prepared(each, short_of) for each in stocks]
    blocks = list(_blocks(ready))
    found = [_fitting_block([ready[row] for row in rows]) for rows in blocks]
    answer = np.zeros((len(stocks), max(fits.shape[1] for fits in found)))
    for rows, fits in zip(blocks, found, strict=True):
        answer[rows, : fits.shape[1]] = fits
    return answer


class _Ready(NamedTuple):
    """A row on its lattices, one for each level.

    Attributes:
        lattices: [level, place], tilted; as many places as the Fourier transform takes.
        last: the last place that fits (-1: not even nothing).
        mixes: how many usual amounts fit.
    """

    lattices: Floats
    last: int
    mixes: float


def _prepared(stock: Stock, short_of: bool) -> _Ready:
    mixes = stock.volume_ul / stock.usual_ul
    per_usual = min(max(int(_FARTHEST / max(mixes, 1e-9)), 1), _USUAL_POINTS)
    # Where more than 511 usual mixes fit, the lattice is coarser than one point a mix.
    unit = max(stock.usual_ul / per_usual, stock.volume_ul / _FARTHEST)
    place = stock.volume_ul / unit
    last = int(np.ceil(place - 1e-6)) - 1 if short_of else int(np.floor(place + 1e-6))
    levels = np.exp(LEVEL_NODES * stock.amounts.level_sd)
    mass = on_lattice(levels[:, None] * stock.amounts.points_ul, stock.amounts.weights, unit, last + 1)
    size = quick_size(max(int(_ROOM * (last + 1)), last + 3))
    lattices = np.zeros((len(levels), size))
    lattices[:, : mass.shape[1]] = mass
    lattices *= _tilt(size)
    return _Ready(lattices, last, mixes)


def _blocks(ready: Sequence[_Ready]) -> Iterator[list[int]]:
    """The rows in blocks of one size of lattice and nearly as many mixes."""
    size = [each.lattices.shape[1] for each in ready]
    order = sorted(range(len(ready)), key=lambda row: (size[row], ready[row].mixes))
    for places, same in groupby(order, key=lambda row: size[row]):
        rows = list(same)
        while rows:
            most = _CACHED // (places * _stride(ready[rows[0]].mixes))
            yield rows[:most]
            rows = rows[most:]


def _stride(mixes: float) -> int:
    """How many near powers to compute where so many usual amounts fit."""
    return min(max(round((_BEYOND * mixes) ** 0.5), 4), 24)


def _fitting_block(ready: Sequence[_Ready]) -> Floats:
    """[row, n] for rows on lattices of one size.

    Power n of a spectrum is the product of a near and a far one, as in 27 = 3 + 4 * 6: of n powers only about
    twice the root of n are made, and one matrix product gives the chances of all n.
    """
    stride = _stride(ready[-1].mixes)
    many = int(_BEYOND * ready[-1].mixes) // stride + 2
    last = np.array([each.last for each in ready])
    one = np.fft.rfft(np.array([each.lattices for each in ready]))
    near = powers(np.ones_like(one), one, stride)
    leap = near[..., -1, :] * one
    near *= _picks(last, ready[0].lattices.shape[1])[:, None, None]
    weighed = np.conj(near).view(np.float64).swapaxes(-1, -2)
    start, pieces = np.ones_like(one), []
    while True:
        far = powers(start, leap, many)
        start = far[..., -1, :] * leap
        # Real and imaginary parts side by side, so that the real product is one sum over plain figures.
        sums = far.view(np.float64) @ weighed
        pieces.append(np.tensordot(sums, LEVEL_WEIGHTS, (1, 0)).reshape(len(ready), -1))
        if pieces[-1][:, -1].max() <= _DONE or sum(each.shape[1] for each in pieces) > _MOST_MIXES:
            break
    fits = np.concatenate(pieces, axis=1)[:, : _MOST_MIXES + 1]
    fits[:, 0] = last >= 0
    fits = np.maximum(np.minimum.accumulate(fits, axis=1), 0.0)
    return np.asarray(fits[:, : int((fits.max(axis=0) > _DONE).sum()) + 1])


@lru_cache(maxsize=64)
def _tilt(size: int) -> Floats:
    return np.asarray(np.exp(-_DAMPED / size * np.arange(size)))


def _picks(last: Days, size: int) -> Spectra:
    """[row, frequency]: weights whose real product with a spectrum is the chance of a sum up to `last`.

    They are the inverse transform, untilted and summed over the places 0..last, done once by a transform of
    the untilting itself.
    """
    untilt = np.where(np.arange(size) <= last[:, None], 1 / _tilt(size), 0.0)
    wave = np.conj(np.fft.rfft(untilt, size)) / size
    wave[:, 1:-1] *= 2
    return np.asarray(wave)
