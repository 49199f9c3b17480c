"""Whether the weight on a scale stands still, from its successive readings.

A reading counts if the scale says that the weight stands still and the reading before it agrees, or if the scale
doesn't say and several readings agree for a while. One damaged line among good ones therefore never counts.
"""

from collections.abc import Sequence
from statistics import median_low

from stock.named_tuples import NamedTuple
from stock.scale.reading import ScaleReading
from stock.units import Milligrams

AGREE, SPAN_S = 3, 0.5
"""If the scale doesn't say: so many readings over at least so many seconds that differ by at most one digit."""
ALONE_S = 0.5
"""A single reading that the scale calls stable counts after so much silence: such a scale sends one a key press."""
SILENT_S = 3.0
"""A reading older than this says nothing about what is on the scale now."""


class TimedReading(NamedTuple):
    """A reading and when it was heard, in seconds of a clock that only goes forward."""

    at_s: float
    reading: ScaleReading


class StandingWeight(NamedTuple):
    """A weight that stands still: milligrams, and the last digit that the scale shows, in milligrams."""

    mass_mg: Milligrams
    resolution_mg: Milligrams


def standing_weight(heard: Sequence[TimedReading], now_s: float) -> StandingWeight | None:
    """The weight that stands still on the scale, or None.

    Args:
        heard: the latest readings, oldest first; damaged ones are left out of account.
        now_s: the present moment on the same clock.
    """
    whole = [each for each in heard if not each.reading.noise]
    if not whole or now_s - whole[-1].at_s > SILENT_S:
        return None
    last = whole[-1].reading
    if last.mass_mg is None or last.stable is False:
        return None
    alike = _alike(whole)
    if last.stable:
        counts = len(alike) > 1 or now_s - whole[-1].at_s >= ALONE_S
    else:
        counts = len(alike) >= AGREE and alike[-1].at_s - alike[0].at_s >= SPAN_S
    if not counts:
        return None
    masses = [last.mass_mg] if last.stable else [each.reading.mass_mg or Milligrams(0) for each in alike]
    return StandingWeight(median_low(masses), last.resolution_mg)


def _alike(heard: Sequence[TimedReading]) -> list[TimedReading]:
    """The latest readings that agree with each other to one digit, oldest first, not longer ago than `SILENT_S`."""
    alike: list[TimedReading] = []
    low = high = 0
    for each in reversed(heard):
        mass_mg = each.reading.mass_mg
        if mass_mg is None or each.reading.stable is False or heard[-1].at_s - each.at_s > SILENT_S:
            break
        low, high = (min(low, mass_mg), max(high, mass_mg)) if alike else (mass_mg, mass_mg)
        if high - low > each.reading.resolution_mg:
            break
        alike.insert(0, each)
    return alike
