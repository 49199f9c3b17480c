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
    """Cumulative chances of random sums: [place], or [row, place] for several.

    Args:
        counts: chance of n terms, n = 0, 1, 2 ...; [n], or [row, n].
        lattice: chance of a term of 0, 1, 2 ... units.
    """
    rows = np.atleast_2d(counts)
    unlikely = (np.cumsum(rows[:, ::-1], axis=1) < _TAIL).sum(axis=1)
    kept = rows[:, : rows.shape[1] - int(unlikely.min())]
    most, places = kept.shape[1] - 1, np.arange(len(lattice))
    mean = float(lattice @ places)
    spread = float(lattice @ (places - mean) ** 2)
    reach = min(most * (len(lattice) - 1), most * mean + 6 * (most * spread) ** 0.5 + len(lattice))
    size = min(1 << max(4, int(np.ceil(np.log2(reach + 2)))), _LONGEST)
    if len(lattice) > size:
        lattice = np.concatenate((lattice[: size - 1], [lattice[size - 1 :].sum()]))
    spectra = _polynomials(kept, np.fft.rfft(lattice, size))
    upto = np.cumsum(np.maximum(np.fft.irfft(spectra, size), 0.0), axis=1)
    return np.asarray((upto / upto[:, -1:]).reshape(*counts.shape[:-1], size))


def _polynomials(factors: Floats, at: Spectra) -> Spectra:
    """factors[row, 0] + factors[row, 1] at + factors[row, 2] at^2 ... for each place of `at`: [row, place].

    Sixteen terms at a time come from one matrix product of real figures (Paterson & Stockmeyer 1973, SIAM Journal
    on Computing 2), because a product of spectra costs many times as much.
    """
    rows, terms = factors.shape
    near = powers(np.ones(len(at), complex), at, min(_STRIDE, terms))
    blocks = -(-terms // len(near))
    padded = np.zeros((rows, blocks * len(near)))
    padded[:, :terms] = factors
    sums = (padded.reshape(-1, len(near)) @ near.view(np.float64)).view(complex).reshape(rows, blocks, -1)
    leap = near[-1] * at
    total = sums[:, -1]
    for block in range(blocks - 2, -1, -1):
        total = total * leap + sums[:, block]
    return np.asarray(total)


def total_use(counts: Floats, amounts: Amounts, *, fine: int = PER_MEAN) -> Total:
    """The distribution of the use: `counts[n]` = chance of n mix days, each with an amount from `amounts`.

    Args:
        fine: lattice points in a mean amount.
    """
    return total_uses([counts], amounts, fine=fine)[0]


def total_uses(counts: Sequence[Floats], amounts: Amounts, *, fine: int = PER_MEAN) -> list[Total]:
    """The same of several periods of one product, which share a lattice and its spectrum."""
    unit = amounts.mean_ul / fine
    rows = np.zeros((len(counts), max(map(len, counts))))
    for row, chances in zip(rows, counts, strict=True):
        row[: len(chances)] = chances
    central = compound(rows, on_lattice(amounts.points_ul, amounts.weights, unit))
    places = np.arange(central.shape[1])
    upto = np.zeros(central.shape)
    for node, weight in zip(LEVEL_NODES.tolist(), LEVEL_WEIGHTS.tolist(), strict=True):
        if node == 0:
            upto += weight * central
            continue
        scaled = places / exp(node * amounts.level_sd)
        upto += weight * np.array([np.interp(scaled, places, chances) for chances in central])
    return [Total(unit, row) for row in upto]
