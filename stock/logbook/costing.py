"""What mixes cost in material, and how the cost of waste is shared out over them.

Money is exact (fractions of the currency's minor unit) until it is shown. Each figure is then rounded on its
own, and every total is the sum of the rounded figures, so that a bookkeeper can add them up.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from fractions import Fraction

from stock.language import _
from stock.units import Microlitres

RULE = _(
    "Each millilitre costs what its bottle cost, price over size; what was decanted or kept "
    "in a jar keeps the price of what it came from. A mix counts in the month it was made, "
    "with its steps and the washes that name it, less what was kept of it. Waste is the "
    "washes that name no mix, what was thrown away in bottles, and what counts found missing "
    "(less what they found too much); each month's waste is shared out over the month's "
    "mixes in proportion to their material. What a count says was spilled, leaked or dried "
    "out is a loss: it is written off by itself and shared out to no mix. Each figure is "
    "rounded by itself and totals are sums of the figures shown. Labour, power and shipping "
    "are not in it."
)
NO_JOB = _("no job")


@dataclass(frozen=True, slots=True)
class CostedMix:
    """One mix: its number, its day, its job (None without one) and a description."""

    mix: int
    day: date
    job: str | None = None
    what: str = ""

    @property
    def month(self) -> str:
        """The month in which it counts, written as 2026-03."""
        return self.day.isoformat()[:7]


@dataclass(frozen=True, slots=True)
class MaterialUse:
    """A volume taken from one bottle: for a mix (`material`), to wash after one (`wash`), as `waste`, or a `loss`.

    `volume_ul` left the bottle; it is negative if a count found more or a jar was filled from a mix.
    `mix` is None for waste, which counts in `month`. `value` is its price in the minor unit, None if unknown.
    """

    kind: str
    bottle: int
    volume_ul: Microlitres
    value: Fraction | None
    month: str
    mix: int | None = None


@dataclass(frozen=True, slots=True)
class MixCost:
    """What one mix cost, in whole minor units."""

    made: CostedMix
    material: int
    washes: int
    share: int

    @property
    def total(self) -> int:
        """Material, washes and share added up."""
        return self.material + self.washes + self.share


@dataclass(frozen=True, slots=True)
class JobCost:
    """What the mixes of one job cost, oldest first; `name` is None for mixes without one."""

    name: str | None
    mixes: tuple[MixCost, ...]

    def total(self, figure: str = "total") -> int:
        """One column added up."""
        return sum(getattr(mix, figure) for mix in self.mixes)


@dataclass(frozen=True, slots=True)
class Costs:
    """Costs by job; `unshared_in` is the waste of each month without a mix, `unpriced` microlitres by bottle.

    `written_off_in` is the cost of paint that was spilled, leaked or dried out in each month; it belongs to no job.
    """

    jobs: tuple[JobCost, ...]
    unshared_in: Mapping[str, int]
    unpriced: Mapping[int, int]
    written_off_in: Mapping[str, int] = field(default_factory=dict)

    @property
    def unshared(self) -> int:
        """The waste of all months without a mix."""
        return sum(self.unshared_in.values())

    @property
    def written_off(self) -> int:
        """The cost of paint that was spilled, leaked or dried out in all months."""
        return sum(self.written_off_in.values())

    def total(self, figure: str = "total") -> int:
        """One column of all jobs added up, without unshared waste."""
        return sum(job.total(figure) for job in self.jobs)


def costs(made: Iterable[CostedMix], uses: Iterable[MaterialUse]) -> Costs:
    """Price mixes and share waste out.

    Args:
        made: the mixes asked about and all others of the same months.
        uses: everything taken for those mixes and all waste of those months.
    """
    mixes = {one.mix: one for one in made}
    material: dict[int, Fraction] = defaultdict(Fraction)
    washes: dict[int, Fraction] = defaultdict(Fraction)
    waste: dict[str, Fraction] = defaultdict(Fraction)
    unpriced: dict[int, int] = defaultdict(int)
    lost: dict[str, Fraction] = defaultdict(Fraction)
    for use in uses:
        if use.value is None:
            unpriced[use.bottle] += use.volume_ul
        elif use.kind == "loss":
            lost[use.month] += use.value
        elif use.mix in mixes:
            (material if use.kind == "material" else washes)[use.mix] += use.value
        elif use.mix is None:
            waste[use.month] += use.value
    shares, unshared = _shared(mixes, material, waste)
    mix_costs = [
        MixCost(
            made=one,
            material=round(material[number]),
            washes=round(washes[number]),
            share=round(shares.get(number, Fraction(0))),
        )
        for number, one in mixes.items()
    ]
    missing = {bottle: ul for bottle, ul in unpriced.items() if ul}
    return Costs(_by_job(mix_costs), _rounded(unshared), missing, _rounded(lost))


def _shared(
    mixes: Mapping[int, CostedMix], material: Mapping[int, Fraction], waste: Mapping[str, Fraction]
) -> tuple[dict[int, Fraction], dict[str, Fraction]]:
    whole: dict[str, Fraction] = defaultdict(Fraction)
    for number, one in mixes.items():
        whole[one.month] += material.get(number, Fraction(0))
    shares = {
        number: waste.get(one.month, Fraction(0)) * material.get(number, Fraction(0)) / whole[one.month]
        for number, one in mixes.items()
        if whole[one.month] > 0
    }
    return shares, {month: value for month, value in waste.items() if whole.get(month, 0) <= 0}


def _rounded(by_month: Mapping[str, Fraction]) -> dict[str, int]:
    return {month: round(value) for month, value in sorted(by_month.items())}


def _by_job(mix_costs: Sequence[MixCost]) -> tuple[JobCost, ...]:
    jobs: dict[str | None, list[MixCost]] = defaultdict(list)
    for one in sorted(mix_costs, key=lambda one: (one.made.day, one.made.mix)):
        jobs[one.made.job].append(one)
    named = sorted((name for name in jobs if name is not None), key=str.casefold)
    order: list[str | None] = [*named, *([None] if None in jobs else [])]
    return tuple(JobCost(name, tuple(jobs[name])) for name in order)
