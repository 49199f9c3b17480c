"""The total used over a number of days: a random number of mix days, each of a random amount.

The compound distribution is worked out on a lattice by the fast Fourier transform, without random numbers:
the same input gives the same quantiles.
"""

from collections.abc import Sequence
from math import exp
from typing import NamedTuple

import numpy as np

from stock.forecast.amounts import LEVEL_NODES, LEVEL_WEIGHTS, Amounts, on_lattice
from stock.forecast.spectra import Spectra, powers
from stock.forecast.use_history import Floats

PER_MEAN = 12
"""Lattice points in a mean amount."""

_ATOM = 0.02  # a step with more chance than this is a jump, not interpolated
_TAIL = 1e-6
_LONGEST = 8192
_STRIDE = 16


class Total(NamedTuple):
    """The distribution of a total: chance of at most k units, for k = 0, 1, 2 ...

    Attributes:
        unit_ul: width of the lattice in microlitres.
        upto: cumulative chances, rising to 1.
    """

    unit_ul: float
    upto: Floats

    def quantiles(self, chances: Sequence[float]) -> Floats:
        """The totals in microlitres that are not exceeded with these chances (each between 0 and 1)."""
        asked = np.asarray(chances, float)
        at = np.minimum(np.searchsorted(self.upto, asked - 1e-9), len(self.upto) - 1)
        below = np.where(at > 0, self.upto[at - 1], 0.0)
        mass = self.upto[at] - below
        inside = at - 1 + (asked - below) / np.maximum(mass, 1e-12)
        inside = np.where(at == 0, 0.0, inside)
        return np.asarray(np.where(mass > _ATOM, at, inside) * self.unit_ul)

    def chance_of(self, volume_ul: float) -> float:
        """The chance that the total reaches `volume_ul`; 1 for zero or less."""
        if volume_ul <= 0:
            return 1.0
        place = volume_ul / self.unit_ul
        return 1.0 - float(np.interp(np.ceil(place - 1e-9) - 1, np.arange(len(self.upto)), self.upto))

    def expected_up_to(self, volume_ul: float) -> float:
        """The mean of min(total, `volume_ul`) in microlitres: how much of a bottle of that size is used."""
        edge = volume_ul / self.unit_ul
        whole = int(min(edge, len(self.upto)))
        used = float((1 - self.upto[:whole]).sum())
        if whole < len(self.upto):
            used += (edge - whole) * (1 - float(self.upto[whole]))
        return used * self.unit_ul


def compound(counts: Floats, lattice: Floats) -> Floats:
    """Cumulative chances of a random sum.

    Args:
        counts: chance of n terms, n = 0, 1, 2 ...
        lattice: chance of a term of 0, 1, 2 ... units.
    """
    kept = counts[: len(counts) - int(np.searchsorted(np.cumsum(counts[::-1]), _TAIL))]
    most, places = len(kept) - 1, np.arange(len(lattice))
    mean = float(lattice @ places)
    spread = float(lattice @ (places - mean) ** 2)
    reach = min(most * (len(lattice) - 1), most * mean + 6 * (most * spread) ** 0.5 + len(lattice))
    size = min(1 << max(4, int(np.ceil(np.log2(reach + 2)))), _LONGEST)
    if len(lattice) > size:
        lattice = np.concatenate((lattice[: size - 1], [lattice[size - 1 :].sum()]))
    upto = np.cumsum(np.maximum(np.fft.irfft(_polynomial(kept, np.fft.rfft(lattice, size)), size), 0.0))
    return np.asarray(upto / upto[-1])


def _polynomial(factors: Floats, at: Spectra) -> Spectra:
    """factors[0] + factors[1] at + factors[2] at^2 ... for each place of `at`.

    Sixteen terms at a time come from one matrix product of real figures (Paterson & Stockmeyer 1973, SIAM Journal
    on Computing 2), because a product of spectra costs many times as much.
    """
    near = powers(np.ones(len(at), complex), at, min(_STRIDE, len(factors)))
    padded = np.zeros(-(-len(factors) // len(near)) * len(near))
    padded[: len(factors)] = factors
    sums = (padded.reshape(-1, len(near)) @ near.view(np.float64)).view(complex)
    leap = near[-1] * at
    total = sums[-1]
    for each in sums[-2::-1]:
        total = total * leap + each
    return np.asarray(total)


def total_use(counts: Floats, amounts: Amounts, *, fine: int = PER_MEAN) -> Total:
    """The distribution of the use: `counts[n]` = chance of n mix days, each with an amount from `amounts`.

    Args:
        fine: lattice points in a mean amount.
    """
    unit = amounts.mean_ul / fine
    central = compound(counts, on_lattice(amounts.points_ul, amounts.weights, unit))
    places = np.arange(len(central))
    upto = np.zeros(len(central))
    for node, weight in zip(LEVEL_NODES.tolist(), LEVEL_WEIGHTS.tolist(), strict=True):
        scaled = central if node == 0 else np.interp(places / exp(node * amounts.level_sd), places, central)
        upto += weight * scaled
    return Total(unit, upto)
