"""Where to start thinning and how large a step to add, from the sheets and the closed mixes.

A mix that is too thin needs more paint; a mix that is too thick needs only a step. So the start is a low
quantile of where the mix becomes too thin: the highest whole per cent at which at most one mix in fifty would be
too thin already, and never more than is enough for four mixes in five. The step is the largest that makes the
mix too thin in at most one case in twenty-five. Before any mix was closed the start is the low end of the
range, as printed. The limits are settings, compared in tests/benchmarks/advice.py.
"""

from collections.abc import Sequence

from stock.bench.outcomes import GridPoint, MixOutcome, enough, overshoots, posterior, too_thin
from stock.named_tuples import NamedTuple

TOO_THIN_RISK = 0.02
ENOUGH = 0.8
STEP_RISK = 0.04
STEPS = (10.0, 5.0, 4.0, 3.0, 2.5, 2.0, 1.5, 1.0)  # per cent of the paint
SMALLEST_START = 1  # per cent of the paint


class StartAndStep(NamedTuple):
    """The start and the step, in per cent of the paint."""

    start: float
    step: float


def decide(low: float, high: float, step: float, tried: Sequence[MixOutcome]) -> StartAndStep:
    """The start and the step.

    Args:
        low: low end of the range in force, per cent of the paint.
        high: its high end, which the start never exceeds.
        step: the largest step that the sheet allows, in points.
        tried: closed mixes, newest last; may be empty.
    """
    cells = posterior(low, high, tried)
    start = _start(cells, high) if tried else low
    return StartAndStep(start, next_step(cells, start, step))


def _start(cells: Sequence[GridPoint], high: float) -> float:
    start = SMALLEST_START
    for percent in range(SMALLEST_START, int(high) + 1):
        if too_thin(cells, percent) > TOO_THIN_RISK:
            break
        start = percent
        if enough(cells, percent) >= ENOUGH:
            break
    return float(start)


def next_step(cells: Sequence[GridPoint], at: float, most: float) -> float:
    """The largest step from a mix too thick at `at` that seldom overshoots, at most `most` points."""
    for step in STEPS:
        if step <= most and overshoots(cells, at, step) <= STEP_RISK:
            return step
    return min(most, STEPS[-1])
