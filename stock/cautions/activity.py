"""Activity coefficients of a liquid mixture by modified UNIFAC (Dortmund), in plain Python.

Method: Weidlich & Gmehling, Ind. Eng. Chem. Res. 26 (1987) 1372. Parameters: those that the solvents of
stock/substances.csv need, group sizes in figures/unifac_groups.csv and interactions in figures/unifac_interactions.csv,
as published there and in Gmehling, Li & Schiller, ibid. 32 (1993) 178, and Gmehling et al., ibid. 37 (1998) 4876 and 41
(2002) 1678. Values as tabulated in `thermo` 0.6.1; the papers themselves were not seen.

Raoult's law must not stand in for it: in weak alcohol and water it is more than 30 K too calm.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from math import exp, log
from operator import mul, truediv
from pathlib import Path
from typing import NamedTuple

Groups = tuple[tuple[int, int], ...]
"""A molecule as pairs of subgroup number and count."""


class Parameters(NamedTuple):
    """Group sizes (main group, R, Q by subgroup) and interactions (a, b, c by pair of main groups).

    psi = exp(-(a + b T + c T2) / T), T in kelvin.
    """

    subgroups: dict[int, tuple[int, float, float]]
    interactions: dict[tuple[int, int], tuple[float, float, float]]


@lru_cache(maxsize=1)
def parameters() -> Parameters:
    """The published parameters."""
    return Parameters(
        {int(row[0]): (int(row[1]), float(row[2]), float(row[3])) for row in _rows("unifac_groups.csv")},
        {
            (int(row[0]), int(row[1])): (float(row[2]), float(row[3]), float(row[4]))
            for row in _rows("unifac_interactions.csv")
        },
    )


def _rows(name: str) -> list[list[str]]:
    text = (Path(__file__).parent / "figures" / name).read_text(encoding="utf-8")
    return [line.split(",") for line in text.splitlines()[1:]]


class _Molecules(NamedTuple):
    """What of some molecules is the same at every temperature and in all shares.

    Attributes:
        groups: the subgroups that they have together, ascending.
        main: the main group of each of those.
        surface: the surface Q of each of those.
        parts: each molecule as pairs of a place in `groups` and a count.
        sizes: each molecule's volume and surface.
    """

    groups: list[int]
    main: list[int]
    surface: list[float]
    parts: list[list[tuple[int, int]]]
    sizes: list[tuple[float, float]]


@lru_cache(maxsize=512)
def _molecules(molecules: tuple[Groups, ...]) -> _Molecules:
    known = parameters().subgroups
    groups = sorted({group for molecule in molecules for group, _ in molecule})
    place = {group: at for at, group in enumerate(groups)}
    return _Molecules(
        groups,
        [known[group][0] for group in groups],
        [known[group][2] for group in groups],
        [[(place[group], count) for group, count in molecule] for molecule in molecules],
        [_sizes(molecule) for molecule in molecules],
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
    them = _molecules(tuple(molecules))
    psi = _psi(them, kelvin)
    counts = [0.0] * len(them.groups)
    for part, fraction in zip(them.parts, fractions, strict=True):
        for at, count in part:
            counts[at] += count * fraction
    mixed = _residual(range(len(counts)), counts, psi, them.surface)
    found = []
    for part, combinatorial in zip(them.parts, _combinatorial(them.sizes, fractions), strict=True):
        places, own = zip(*part, strict=True)
        alone = _residual(places, own, psi, them.surface)
        rest = sum(
            count * (mixed[at] - alone_at) for at, count, alone_at in zip(places, own, alone, strict=True)
        )
        found.append(exp(combinatorial + rest))
    return found


def _psi(them: _Molecules, kelvin: float) -> list[list[float]]:
    """How strongly each pair of groups interacts at this temperature."""
    known = parameters().interactions
    by_main: dict[tuple[int, int], float] = {}
    for one in set(them.main):
        for other in set(them.main):
            a, b, c = known.get((one, other), (0.0, 0.0, 0.0))
            by_main[one, other] = exp(-(a + b * kelvin + c * kelvin * kelvin) / kelvin)
    return [[by_main[one, other] for other in them.main] for one in them.main]


def _residual(
    places: Sequence[int], counts: Sequence[float], psi: list[list[float]], surface: list[float]
) -> list[float]:
    """ln of each group's coefficient in a solution of the groups at these places of `psi`."""
    surfaces = [count * surface[at] for at, count in zip(places, counts, strict=True)]
    whole = sum(surfaces)
    shares = [each / whole for each in surfaces]
    rows = [[psi[one][other] for other in places] for one in places]
    sums = [sum(map(mul, shares, column)) for column in zip(*rows, strict=True)]
    return [
        surface[at] * (1 - log(total) - sum(map(truediv, map(mul, shares, row), sums)))
        for at, total, row in zip(places, sums, rows, strict=True)
    ]


def _sizes(molecule: Groups) -> tuple[float, float]:
    known = parameters().subgroups
    r = sum(count * known[group][1] for group, count in molecule)
    q = sum(count * known[group][2] for group, count in molecule)
    return r, q


def _combinatorial(sizes: list[tuple[float, float]], fractions: Sequence[float]) -> list[float]:
    """The part that comes from the molecules' sizes alone; the power 3/4 is the modification."""
    all_r = sum(x * size[0] for x, size in zip(fractions, sizes, strict=True))
    all_q = sum(x * size[1] for x, size in zip(fractions, sizes, strict=True))
    all_r34 = sum(x * size[0] ** 0.75 for x, size in zip(fractions, sizes, strict=True))
    found = []
    for r, q in sizes:
        modified, volume, surface = r**0.75 / all_r34, r / all_r, q / all_q
        found.append(1 - modified + log(modified) - 5 * q * (1 - volume / surface + log(volume / surface)))
    return found
