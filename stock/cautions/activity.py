"""Activity coefficients of a liquid mixture by modified UNIFAC (Dortmund), in plain Python.

Method: Weidlich & Gmehling, Ind. Eng. Chem. Res. 26 (1987) 1372. Parameters: figures/unifac_dortmund.toml.
Raoult's law must not stand in for it: in weak alcohol and water it is more than 30 K too calm.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from math import exp, log
from pathlib import Path
from typing import NamedTuple

Groups = tuple[tuple[int, int], ...]
"""A molecule as pairs of subgroup number and count."""


class Parameters(NamedTuple):
    """Group sizes (main group, R, Q by subgroup) and interactions (a, b, c by pair of main groups)."""

    subgroups: dict[int, tuple[int, float, float]]
    interactions: dict[tuple[int, int], tuple[float, float, float]]


@lru_cache(maxsize=1)
def parameters() -> Parameters:
    """The published parameters."""
    import tomli  # only where a blend is worked out

    text = (Path(__file__).parent / "figures" / "unifac_dortmund.toml").read_text(encoding="utf-8")
    read = tomli.loads(text)
    pairs = {tuple(map(int, pair.split("-"))): tuple(abc) for pair, abc in read["interactions"].items()}
    return Parameters(
        {int(number): tuple(sizes) for number, sizes in read["subgroups"].items()},
        pairs,  # type: ignore[arg-type]  # the file's tests prove two numbers a pair and three a value
    )


def coefficients(molecules: Sequence[Groups], fractions: Sequence[float], kelvin: float) -> list[float]:
    """Activity coefficients.

    Args:
        molecules: each component's groups.
        fractions: each component's mole fraction, in the same order; their sum is 1.
        kelvin: the liquid's temperature.
    Returns:
        One dimensionless coefficient a component.
    """
    known = parameters()
    present = sorted({group for molecule in molecules for group, _ in molecule})
    psi = _psi(present, known, kelvin)
    counts: dict[int, float] = dict.fromkeys(present, 0.0)
    for molecule, fraction in zip(molecules, fractions, strict=True):
        for group, count in molecule:
            counts[group] += count * fraction
    mixed = _residual(counts, psi, known)
    sizes = [_sizes(molecule, known) for molecule in molecules]
    found = []
    for at, molecule in enumerate(molecules):
        alone = _residual({group: float(count) for group, count in molecule}, psi, known)
        rest = sum(count * (mixed[group] - alone[group]) for group, count in molecule)
        found.append(exp(_combinatorial(at, sizes, fractions) + rest))
    return found


def _psi(present: list[int], known: Parameters, kelvin: float) -> dict[tuple[int, int], float]:
    """How strongly each pair of groups interacts at this temperature."""
    main = {group: known.subgroups[group][0] for group in present}
    by_main: dict[tuple[int, int], float] = {}
    for one in set(main.values()):
        for other in set(main.values()):
            a, b, c = known.interactions.get((one, other), (0.0, 0.0, 0.0))
            by_main[one, other] = exp(-(a + b * kelvin + c * kelvin * kelvin) / kelvin)
    return {(one, other): by_main[main[one], main[other]] for one in present for other in present}


def _residual(
    counts: dict[int, float], psi: dict[tuple[int, int], float], known: Parameters
) -> dict[int, float]:
    """ln of each group's coefficient in a solution of groups."""
    surfaces = {group: count * known.subgroups[group][2] for group, count in counts.items()}
    whole = sum(surfaces.values())
    shares = {group: surface / whole for group, surface in surfaces.items()}
    sums = {k: sum(share * psi[m, k] for m, share in shares.items()) for k in counts}
    return {
        k: known.subgroups[k][2]
        * (1 - log(sums[k]) - sum(share * psi[k, m] / sums[m] for m, share in shares.items()))
        for k in counts
    }


def _sizes(molecule: Groups, known: Parameters) -> tuple[float, float]:
    r = sum(count * known.subgroups[group][1] for group, count in molecule)
    q = sum(count * known.subgroups[group][2] for group, count in molecule)
    return r, q


def _combinatorial(at: int, sizes: list[tuple[float, float]], fractions: Sequence[float]) -> float:
    """The part that comes from the molecules' sizes alone; the power 3/4 is the modification."""
    r, q = sizes[at]
    all_r = sum(x * size[0] for x, size in zip(fractions, sizes, strict=True))
    all_q = sum(x * size[1] for x, size in zip(fractions, sizes, strict=True))
    all_r34 = sum(x * size[0] ** 0.75 for x, size in zip(fractions, sizes, strict=True))
    modified, volume, surface = r**0.75 / all_r34, r / all_r, q / all_q
    found: float = 1 - modified + log(modified) - 5 * q * (1 - volume / surface + log(volume / surface))
    return found
