"""Activity coefficients of a liquid mixture by modified UNIFAC (Dortmund), in plain Python.

Method: Weidlich & Gmehling, Ind. Eng. Chem. Res. 26 (1987) 1372. Parameters: those that the solvents of
stock/substances.csv need, group sizes in figures/unifac_groups.csv and interactions in figures/unifac_interactions.csv,
as published there and in Gmehling, Li & Schiller, ibid. 32 (1993) 178, and Gmehling et al., ibid. 37 (1998) 4876 and 41
(2002) 1678. Values as tabulated in `thermo` 0.6.1; the papers themselves were not seen.

Raoult's law is no substitute: for weak alcohol in water it puts the flash point more than 30 K too high.
"""

from collections.abc import Sequence
from functools import lru_cache
from math import exp, log
from operator import mul, truediv

from stock.named_tuples import NamedTuple
from stock.shipped_files import text_of

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
    text = text_of("cautions", "figures", name)
    return [line.split(",") for line in text.splitlines()[1:]]


class _Molecules(NamedTuple):
    """The parts of the calculation that depend on the molecules alone, not on temperature or shares.

    Groups of one main group interact alike, so only their surface together counts.

    Attributes:
        interactions: a, b and c for each pair of their main groups, a row for each group; None where psi is 1.
        parts: for each molecule its main groups, as row numbers of `interactions`, with their surface.
        sizes: each molecule's volume and surface.
    """

    interactions: list[list[tuple[float, float, float] | None]]
    parts: list[tuple[tuple[int, ...], tuple[float, ...]]]
    sizes: tuple[tuple[float, float], ...]


@lru_cache(maxsize=512)
def _molecules(molecules: tuple[Groups, ...]) -> _Molecules:
    known, interactions = parameters()
    surfaces: list[dict[int, float]] = [{} for _ in molecules]
    for molecule, surface in zip(molecules, surfaces, strict=True):
        for group, count in molecule:
            main, _, q = known[group]
            surface[main] = surface.get(main, 0.0) + count * q
    mains = sorted({main for surface in surfaces for main in surface})
    return _Molecules(
        [[interactions.get((one, other)) for other in mains] for one in mains],
        [(tuple(mains.index(main) for main in surface), tuple(surface.values())) for surface in surfaces],
        tuple(_sizes(molecule) for molecule in molecules),
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
    psi = [[1.0 if abc is None else _psi(*abc, kelvin) for abc in row] for row in them.interactions]
    together = [0.0] * len(psi)
    for (places, surfaces), fraction in zip(them.parts, fractions, strict=True):
        for at, surface in zip(places, surfaces, strict=True):
            together[at] += surface * fraction
    mixed = _residual(range(len(psi)), together, psi)
    found = []
    for (places, surfaces), combinatorial in zip(
        them.parts, _combinatorial(them.sizes, tuple(fractions)), strict=True
    ):
        alone = _residual(places, surfaces, psi) if len(places) > 1 else (0.0,)
        rest = sum(
            surface * (mixed[at] - alone_at)
            for at, surface, alone_at in zip(places, surfaces, alone, strict=True)
        )
        found.append(exp(combinatorial + rest))
    return found


def _psi(a: float, b: float, c: float, kelvin: float) -> float:
    """How strongly a pair of main groups interacts at this temperature."""
    return exp(-(a + b * kelvin + c * kelvin * kelvin) / kelvin)


def _residual(places: Sequence[int], surfaces: Sequence[float], psi: list[list[float]]) -> list[float]:
    """The natural logarithm of each group's activity coefficient in a solution; `psi` is indexed by main group."""
    whole = sum(surfaces)
    shares = [each / whole for each in surfaces]
    rows = [[psi[one][other] for other in places] for one in places]
    sums = [sum(map(mul, shares, column)) for column in zip(*rows, strict=True)]
    return [
        1 - log(total) - sum(map(truediv, map(mul, shares, row), sums))
        for total, row in zip(sums, rows, strict=True)
    ]


def _sizes(molecule: Groups) -> tuple[float, float]:
    known = parameters().subgroups
    r = sum(count * known[group][1] for group, count in molecule)
    q = sum(count * known[group][2] for group, count in molecule)
    return r, q


@lru_cache(maxsize=512)
def _combinatorial(sizes: tuple[tuple[float, float], ...], fractions: tuple[float, ...]) -> list[float]:
    """The part of ln(coefficient) that comes from the molecules' sizes; the power 3/4 is the Dortmund modification."""
    all_r = sum(x * size[0] for x, size in zip(fractions, sizes, strict=True))
    all_q = sum(x * size[1] for x, size in zip(fractions, sizes, strict=True))
    all_r34 = sum(x * size[0] ** 0.75 for x, size in zip(fractions, sizes, strict=True))
    found = []
    for r, q in sizes:
        modified, volume, surface = r**0.75 / all_r34, r / all_r, q / all_q
        found.append(1 - modified + log(modified) - 5 * q * (1 - volume / surface + log(volume / surface)))
    return found
