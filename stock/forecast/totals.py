"""The total used over a number of days: a random number of mix days, each of a random amount.

The compound distribution is worked out on a lattice by the fast Fourier transform, without random numbers:
the same input gives the same quantiles.
"""

from bisect import bisect_left
from collections.abc import Sequence
from math import ceil, exp

import numpy as np

from stock.forecast.amounts import LEVEL_NODES, LEVEL_WEIGHTS, Amounts, on_lattice
from stock.forecast.spectra import Spectra, powers, quick_size
from stock.forecast.use_history import Days, Floats
from stock.named_tuples import NamedTuple

PER_MEAN = 12
"""Lattice points in a mean amount."""

_ATOM = 0.02  # a step with more chance than this is a jump, not interpolated
_TAIL = 1e-6
_LONGEST = 8192
_STRIDE = 16
_LEVELS = tuple(zip(LEVEL_NODES.tolist(), LEVEL_WEIGHTS.tolist(), strict=True))


class Total(NamedTuple):
    """The distribution of a total: chances of at most k units, for k = 0, 1, 2 ...

    Attributes:
        unit_ul: width of the lattice in microlitres.
        central: cumulative chances at the likeliest level, rising to 1.
        level_sd: standard deviation of the log of the unknown level, which scales every amount.
    """

    unit_ul: float
    central: Floats
    level_sd: float = 0.0

    def upto(self, places: Days) -> Floats:
        """The chances of at most so many units, 0 to the lattice's last, whatever the level is."""
        chances = np.zeros(places.shape)
        for node, weight in _LEVELS:
            scaled = places / exp(node * self.level_sd)
            chances += weight * np.interp(scaled, np.arange(len(self.central)), self.central)
        return chances

    def quantiles(self, chances: Sequence[float]) -> Floats:
        """The totals in microlitres that are not exceeded with these chances (each between 0 and 1)."""
        return np.array([self._quantile(float(chance)) for chance in chances])

    def _quantile(self, chance: float) -> float:
        at = bisect_left(range(len(self.central)), chance - 1e-9, key=self._upto_one)
        if at == 0:
            return 0.0
        below, upto = self._upto_one(at - 1), self._upto_one(at)
        if upto - below > _ATOM:
            return at * self.unit_ul
        return (at - 1 + (chance - below) / max(upto - below, 1e-12)) * self.unit_ul

    def _upto_one(self, place: int) -> float:
        """`upto` of one place, in a hundredth of the time: a search needs only a few of thousands of places."""
        item, last = self.central.item, len(self.central) - 1
        found = 0.0
        for node, weight in _LEVELS:
            scaled = place / exp(node * self.level_sd)
            low = int(scaled)
            chance = 1.0 if low >= last else item(low) + (item(low + 1) - item(low)) * (scaled - low)
            found += weight * chance
        return found

    def chance_of(self, volume_ul: float) -> float:
        """The chance that the total reaches `volume_ul`; 1 for zero or less."""
        if volume_ul <= 0:
            return 1.0
        place = ceil(volume_ul / self.unit_ul - 1e-9) - 1
        return 1.0 - self._upto_one(max(place, 0))

    def expected_up_to(self, volume_ul: float) -> float:
        """The mean of min(total, `volume_ul`) in microlitres: how much of a bottle of that size is used."""
        edge = volume_ul / self.unit_ul
        whole = int(min(edge, len(self.central)))
        more = 1 - self.upto(np.arange(min(whole + 1, len(self.central))))
        used = float(more[:whole].sum())
        if whole < len(self.central):
            used += (edge - whole) * float(more[whole])
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
    size = min(quick_size(max(16, ceil(reach + 2))), _LONGEST)
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
    sums = padded.reshape(rows * blocks, len(near)) @ near.view(np.float64)
    sums = sums.view(complex).reshape(rows, blocks, len(at))
    leap = near[-1] * at
    total = sums[:, -1]
    for block in range(blocks - 2, -1, -1):
        total = total * leap + sums[:, block]
    return np.asarray(total)


def total_uses(counts: Sequence[Floats], amounts: Amounts, *, fine: int = PER_MEAN) -> list[Total]:
    """The distributions of the use in several periods of one product, which share a lattice and its spectrum.

    Args:
        counts: for each period the chance of n mix days, n = 0, 1, 2 ...
        amounts: what each of them takes.
        fine: lattice points in a mean amount.
    """
    unit = amounts.mean_ul / fine
    rows = np.zeros((len(counts), max(map(len, counts))))
    for row, chances in zip(rows, counts, strict=True):
        row[: len(chances)] = chances
    central = compound(rows, on_lattice(amounts.points_ul, amounts.weights, unit))
    return [Total(unit, row, amounts.level_sd) for row in central]
