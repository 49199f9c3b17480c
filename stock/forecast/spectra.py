"""Powers of Fourier spectra: the spectrum of a random sum is a power, or a polynomial, of its terms' spectrum."""

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

Spectra = NDArray[np.complex128]


@lru_cache(maxsize=256)
def quick_size(least: int) -> int:
    """The smallest even number of places, `least` or more, that the transform takes quickly, such as 5, 6 or 7 x 64."""
    octave = 1 << max((least - 1).bit_length() - 3, 1)
    return next(step * octave for step in (4, 5, 6, 7, 8) if step * octave >= least)


def powers(first: Spectra, base: Spectra, count: int) -> Spectra:
    """[..., k, frequency]: first * base^k for k below `count`, from [..., frequency], by repeated squaring.

    Args:
        first: the common factor.
        base: the base, of the same shape.
        count: how many powers, 1 or more.
    """
    made = np.empty((*base.shape[:-1], count, base.shape[-1]), complex)
    made[..., 0, :] = first
    have, square = 1, base
    while have < count:
        more = min(have, count - have)
        np.multiply(made[..., :more, :], square[..., None, :], out=made[..., have : have + more, :])
        have += more
        square = square * square
    return made
