"""Planned use: known needs of jobs beside the usual use, which are not counted twice once they are mixed.

A mix serves a plan when it is booked to the plan's job, or, for a plan without a job, when it is made from
three days before the planned day to a week after it. What served a plan is subtracted from the plan and left
out of the use history, which holds only unplanned use.
"""

from collections.abc import Sequence
from datetime import date, timedelta

from stock.named_tuples import NamedTuple
from stock.units import Microlitres

BEFORE = timedelta(days=3)
AFTER = timedelta(days=7)
_CRUMB = 0.1  # a remainder below this share of the mix is dropped, because it is not a mix of its own


class PlannedNeed(NamedTuple):
    """One product's known need.

    Attributes:
        volume_ul: microlitres, above zero.
        made_on: the day it was booked; a plan with a job is served only by mixes from that day on.
        needed_on: the day of the need.
        job: the job's number, None without one.
        over: whether its job is closed, so that nothing is needed any more.
    """

    volume_ul: Microlitres
    made_on: date
    needed_on: date
    job: int | None = None
    over: bool = False

    def serves(self, mix: "MixUse") -> bool:
        """Whether that mix counts for this plan."""
        if self.job is not None:
            return mix.job == self.job and mix.day >= self.made_on
        return self.needed_on - BEFORE <= mix.day <= self.needed_on + AFTER


class MixUse(NamedTuple):
    """What one mix took of the product: microlitres, its day, and the job it was booked to."""

    day: date
    volume_ul: Microlitres
    job: int | None = None


def settle(
    plans: Sequence[PlannedNeed], mixes: Sequence[MixUse], today: date
) -> tuple[list[PlannedNeed], list[MixUse]]:
    """What the plans still need, and the mixes without the volume that served plans.

    Args:
        plans: of one product, in any order.
        mixes: of that product, oldest first.
        today: the day. Plans whose job is closed, and plans without a job a week after their day, need nothing.
    """
    left = list(mixes)
    open_plans = []
    for plan in sorted(plans, key=lambda each: (each.needed_on, each.made_on)):
        need = plan.volume_ul
        for place, mix in enumerate(left):
            if need and mix.volume_ul and mix.day <= today and plan.serves(mix):
                part = min(need, mix.volume_ul)
                rest = mix.volume_ul - part
                kept = rest if rest >= _CRUMB * mix.volume_ul else 0
                left[place] = mix._replace(volume_ul=Microlitres(kept))
                need = Microlitres(need - part)
        lapsed = plan.over or (plan.job is None and plan.needed_on + AFTER < today)
        if need and not lapsed:
            open_plans.append(plan._replace(volume_ul=need))
    return open_plans, [mix for mix in left if mix.volume_ul]
