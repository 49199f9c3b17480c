"""Planned use: what jobs are known to need, beside the habit, and not counted twice once it is mixed.

A mix serves a plan when it is booked to the plan's job, or, for a plan without a job, when it is made from
three days before the planned day to a week after it. What served a plan is taken off the plan and is left
out of the habit: it was known, the habit is what was not.
"""

from collections.abc import Sequence
from datetime import date, timedelta
from typing import NamedTuple

BEFORE = timedelta(days=3)
AFTER = timedelta(days=7)
_CRUMB = 0.1  # what is left of a mix after serving a plan is dropped below this share: it is no mix


class Plan(NamedTuple):
    """One product's known need.

    Attributes:
        volume_ul: microlitres, above zero.
        made_on: the day it was written down; for a plan with a job only later mixes serve it.
        needed_on: the day of the need.
        job: the job's number, None without one.
        over: whether its job is closed: nothing is needed any more.
    """

    volume_ul: int
    made_on: date
    needed_on: date
    job: int | None = None
    over: bool = False

    def serves(self, mix: "Mixed") -> bool:
        """Whether that mix is what the plan was for."""
        if self.job is not None:
            return mix.job == self.job and mix.day >= self.made_on
        return self.needed_on - BEFORE <= mix.day <= self.needed_on + AFTER


class Mixed(NamedTuple):
    """What one mix took of the product: microlitres, its day, and the job it was booked to."""

    day: date
    volume_ul: int
    job: int | None = None


def settle(plans: Sequence[Plan], mixes: Sequence[Mixed], today: date) -> tuple[list[Plan], list[Mixed]]:
    """What the plans still need, and the mixes less what served them.

    Args:
        plans: of one product, in any order.
        mixes: of that product, oldest first.
        today: plans whose job is closed, and those without a job a week past their day, need nothing.
    """
    left = list(mixes)
    open_plans = []
    for plan in sorted(plans, key=lambda each: (each.needed_on, each.made_on)):
        need = plan.volume_ul
        for place, mix in enumerate(left):
            if need and mix.volume_ul and mix.day <= today and plan.serves(mix):
                part = min(need, mix.volume_ul)
                rest = mix.volume_ul - part
                left[place] = mix._replace(volume_ul=rest if rest >= _CRUMB * mix.volume_ul else 0)
                need -= part
        lapsed = plan.over or (plan.job is None and plan.needed_on + AFTER < today)
        if need and not lapsed:
            open_plans.append(plan._replace(volume_ul=need))
    return open_plans, [mix for mix in left if mix.volume_ul]
