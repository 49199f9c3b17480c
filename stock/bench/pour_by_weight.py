"""Pouring a mix by weight: what each part's weight should be, what was poured, and what is still to come.

The arithmetic only: readings of the scale come in, and the mix as it was really poured comes out. Masses are
milligrams, volumes microlitres.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Literal

from stock.bench.known_density import known_density
from stock.bench.mixing import MixPlan, MixRequest, PlannedPour
from stock.bench.weighing import Weighed, poured_from
from stock.bench.weighings import WeighedPour
from stock.errors import BadInput
from stock.language import _
from stock.named_tuples import NamedTuple
from stock.units import Microlitres, Milligrams

RIGHT = Fraction(1, 100)
"""A part is right within a hundredth of its target, or one digit of the scale (common practice, no source)."""
NEAR = Fraction(1, 10)
"""It is time to pour slowly when this share of a part is still to come (common practice, no source)."""
Nearness = Literal["far", "near", "right", "over"]


class PourProgress(NamedTuple):
    """How far the pouring of one part is.

    Args:
        target_mg: the mass that the part should have.
        poured_mg: the mass that was poured so far.
        nearness: `far`, `near`, `right` or `over`.
    """

    target_mg: Milligrams
    poured_mg: Milligrams
    nearness: Nearness

    @property
    def left_mg(self) -> Milligrams:
        """The mass that is still to come; below 0 if too much was poured."""
        return Milligrams(self.target_mg - self.poured_mg)


@dataclass(frozen=True, slots=True)
class WeighedPart:
    """One pour of a planned mix with its weighings.

    Args:
        planned: the pour as planned.
        target_ul: the volume to pour; larger than planned once the mix was scaled up.
        density_ug_per_ml: of its product.
        density_error_ug_per_ml: standard uncertainty of that, where it was weighed.
        weighed: the weighings, one after the other.
        settled_ul: the target at which a person accepted what was poured; 0 before that.
    """

    planned: PlannedPour
    target_ul: Microlitres
    density_ug_per_ml: int
    density_error_ug_per_ml: int | None = None
    weighed: tuple[Weighed, ...] = ()
    settled_ul: Microlitres = Microlitres(0)

    @property
    def done(self) -> bool:
        """Whether nothing more is to be poured of it."""
        if not self.weighed:
            return False
        nearness = self.progress(resolution_mg=self.weighed[-1].resolution_mg).nearness
        return nearness in ("right", "over") or self.settled_ul == self.target_ul

    @property
    def target_mg(self) -> Milligrams:
        """The target's mass."""
        return Milligrams(round(Fraction(self.target_ul * self.density_ug_per_ml, 1_000_000)))

    @property
    def poured_mg(self) -> Milligrams:
        """The mass of what was poured of it so far."""
        return Milligrams(sum(abs(one.reading_mg - one.tare_mg) for one in self.weighed))

    @property
    def poured_ul(self) -> Microlitres:
        """Its volume."""
        return Microlitres(sum(poured_from(one).volume_ul for one in self.weighed))

    def progress(
        self, live_mg: Milligrams = Milligrams(0), resolution_mg: Milligrams = Milligrams(1)
    ) -> PourProgress:
        """How far the pour is, given `live_mg` more on the scale since the last weighing."""
        poured_mg = Milligrams(self.poured_mg + live_mg)
        left_mg = self.target_mg - poured_mg
        slack_mg = max(resolution_mg, round(self.target_mg * RIGHT))
        nearness: Nearness = "far"
        if abs(left_mg) <= slack_mg:
            nearness = "right"
        elif left_mg < 0:
            nearness = "over"
        elif left_mg <= self.target_mg * NEAR:
            nearness = "near"
        return PourProgress(self.target_mg, poured_mg, nearness)


@dataclass(frozen=True, slots=True)
class Pouring:
    """A mix that is poured by weight, part after part.

    Args:
        request: what was asked, with its bottles, needle, job.
        parts: in the order of pouring.
    """

    request: MixRequest
    parts: tuple[WeighedPart, ...]

    @property
    def at(self) -> int | None:
        """The part that is poured now; None when every part has what it needs."""
        return next((number for number, part in enumerate(self.parts) if not part.done), None)

    def taken(self, before_mg: Milligrams, after_mg: Milligrams, resolution_mg: Milligrams) -> "Pouring":
        """The pouring after one more pour of the present part.

        Args:
            before_mg: what the scale showed before the pour.
            after_mg: what it shows after it.
            resolution_mg: the last digit of the scale.

        Raises:
            BadInput: the scale shows the same as before, or no part is left.
        """
        at = self.at
        if at is None or before_mg == after_mg:
            raise BadInput(
                _("nothing was poured yet"), remedy=_("Pour it, and wait until the weight stands still")
            )
        part = self.parts[at]
        weighed = Weighed(
            after_mg, before_mg, part.density_ug_per_ml, resolution_mg, part.density_error_ug_per_ml
        )
        taken = replace(part, weighed=(*part.weighed, weighed), settled_ul=part.target_ul)
        return replace(self, parts=(*self.parts[:at], taken, *self.parts[at + 1 :]))

    @property
    def too_much(self) -> Fraction:
        """By how much the part that was over-poured most exceeds its target; 1 where none does."""
        shares = [Fraction(part.poured_ul, part.target_ul) for part in self.parts if part.weighed]
        return max([Fraction(1), *shares])

    def rescaled(self) -> "Pouring":
        """The pouring with all targets raised by one factor, so that the part that was over-poured most is right.

        The proportions of the mix stay as requested; parts that were already poured may need some more.
        """
        more = self.too_much
        return replace(
            self,
            parts=tuple(
                replace(part, target_ul=Microlitres(round(part.target_ul * more))) for part in self.parts
            ),
        )

    def poured_request(self) -> MixRequest:
        """The request for the mix as it was really poured, to the microlitre.

        Raises:
            BadInput: a part was not poured.
        """
        missing = next((part for part in self.parts if part.poured_ul <= 0), None)
        if missing is not None:
            raise BadInput(
                _("{product} was not poured yet", product=missing.planned.product),
                remedy=_("Pour it, or leave the mix"),
            )
        named = [part for part in self.parts if part.planned.part != "reducer" or self.request.reduce is None]
        thinners = [part for part in self.parts if part not in named]
        amounts = _sums(named)
        request = self.request._replace(parts=tuple(amounts.items()), weighed=())
        if not thinners:
            return request
        paint_ul = sum(part.poured_ul for part in named if part.planned.part == "paint")
        reducers = _sums(thinners)
        return request._replace(
            reduce=Fraction(100 * sum(reducers.values()), paint_ul),
            reducers=tuple(reducers.items()),
        )

    def weighed_pours(self) -> list[WeighedPour]:
        """Every weighing, for the books to keep beside the mix."""
        return [
            WeighedPour(part.planned.product_id, part.planned.bottle, poured_from(one))
            for part in self.parts
            for one in part.weighed
        ]


def _sums(parts: Sequence[WeighedPart]) -> Mapping[str, Microlitres]:
    """Microlitres by product; two bottles of one product are one part of the mix."""
    found: dict[str, Microlitres] = {}
    for part in parts:
        name = part.planned.product
        found[name] = Microlitres(found.get(name, 0) + part.poured_ul)
    return found


def pouring_of(plan: MixPlan, density_errors: Mapping[int, int | None]) -> Pouring:
    """The pouring of a planned mix.

    Args:
        plan: the mix.
        density_errors: by product number, the uncertainty of its density where it was weighed.
    Raises:
        NotFound: the density of a part is not known.
    """
    parts = []
    for pour in plan.pours:
        density = known_density(pour.product, pour.density_ug_per_ml)
        parts.append(WeighedPart(pour, pour.volume_ul, density, density_errors.get(pour.product_id)))
    bottles = plan.request.bottles or tuple(dict.fromkeys(str(pour.bottle) for pour in plan.pours))
    return Pouring(plan.request._replace(bottles=bottles), tuple(parts))
