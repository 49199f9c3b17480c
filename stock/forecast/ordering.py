"""The day to order by, so that the chance of running dry before the delivery stays at or under the target."""

from collections.abc import Sequence
from datetime import date, timedelta
from functools import lru_cache

import numpy as np

from stock.forecast.use_history import Days, Floats
from stock.named_tuples import NamedTuple

WORKDAYS = (0, 1, 2, 3, 4)
ASSUMED_DAYS = 7
"""Lead time where none is noted: common practice, no source; the forecast says that it is assumed."""

_SPREAD = ((1.0, 0.6), (1.25, 0.25), (1.5, 0.1), (2.0, 0.05))
"""How late deliveries are against the noted lead time, before the first one: common practice, no source."""
_WEIGHT = 3.0
_SATURDAY = 5


class LeadTime(NamedTuple):
    """How many days a delivery takes: (days, chance), days ascending; chances sum to 1.

    Attributes:
        chances: the distribution.
        seen: how many past deliveries it was learnt from.
        assumed: whether no lead time is known.
    """

    chances: tuple[tuple[int, float], ...]
    seen: int
    assumed: bool

    @property
    def mean(self) -> float:
        """Mean days."""
        return sum(days * chance for days, chance in self.chances)


def lead_time(stated_days: int | None, past_days: Sequence[int] = (), *, later_days: int = 0) -> LeadTime:
    """The lead time's spread, from the noted lead time and from past orders.

    The noted one weighs as much as three deliveries, spread towards late ones; each past delivery weighs as one.

    Args:
        stated_days: what the supplier's or the product's record says, 0 or more; None when it says nothing.
        past_days: days between ordering and receiving of past orders; negative ones (a clock that jumped
            back) are left out.
        later_days: days added to every delivery, to ask "what if it came later".
    """
    past = [days for days in past_days if days >= 0]
    base = ASSUMED_DAYS if stated_days is None else max(stated_days, 0)
    if stated_days is None and past:
        base = sorted(past)[len(past) // 2]
    weights: dict[int, float] = {}
    for factor, share in _SPREAD:
        days = round(base * factor)
        weights[days] = weights.get(days, 0.0) + share * _WEIGHT
    for days in past:
        weights[days] = weights.get(days, 0.0) + 1.0
    total = sum(weights.values())
    spread = tuple((days + later_days, weight / total) for days, weight in sorted(weights.items()))
    return LeadTime(spread, len(past), stated_days is None and not past)


class OrderBy(NamedTuple):
    """When to order.

    Attributes:
        day: days from today; 0 = today.
        arrives: expected day of the delivery, days from today.
        risk: chance of running dry before the delivery if ordered on that day.
        late: whether even that risk is more than the target.
    """

    day: int
    arrives: int
    risk: float
    late: bool

    @property
    def due(self) -> bool:
        """Whether to order today, or on the first day on which the supplier takes orders."""
        return self.late or self.day <= 0


def arrival(ordered: date, lead_days: int) -> date:
    """The day on which a delivery comes; one due at a weekend comes on the Monday after."""
    day = ordered + timedelta(days=lead_days)
    return day + timedelta(days=7 - day.weekday()) if day.weekday() >= _SATURDAY else day


def order_by(
    short: Floats,
    lead: LeadTime,
    *,
    today: date,
    target: float,
    order_days: Sequence[int] = (),
) -> OrderBy | None:
    """The last day on which ordering keeps the chance of running dry before the delivery at the target.

    Args:
        short: [day] the chance of being short by then, from `runout.chances`.
        lead: how long a delivery takes.
        today: the day of the forecast.
        target: greatest chance of running dry, e.g. 0.05.
        order_days: weekdays on which the supplier takes orders, 0 = Monday; workdays when empty.
    Returns:
        None when the stock lasts beyond the days looked at. When even the first possible day is too late,
        that day, marked late.
    """
    last = len(short) - 1
    if short[last] <= target:
        return None
    allowed = tuple(weekday for weekday in order_days if 0 <= weekday < 7) or WORKDAYS
    ordered = _ordered(today.weekday(), allowed, last)
    risks = np.zeros(len(ordered))
    for lead_days, chance in lead.chances:
        risks += chance * short[_arrivals(today.weekday(), allowed, lead_days, last)]
    fitting = np.flatnonzero(risks <= target)
    if len(fitting) == len(ordered):
        return None
    place = max(int(np.argmax(risks > target)) - 1, 0)
    day, risk = int(ordered[place]), float(risks[place])
    expected = (arrival(today + timedelta(days=day), round(lead.mean)) - today).days
    return OrderBy(day, expected, risk, risk > target)


@lru_cache(maxsize=64)
def _ordered(weekday: int, allowed: tuple[int, ...], last: int) -> Days:
    """Days from today up to `last` on which an order can be placed; `weekday` is today's."""
    days = np.arange(last + 1)
    return np.asarray(days[np.isin((weekday + days) % 7, allowed)])


@lru_cache(maxsize=256)
def _arrivals(weekday: int, allowed: tuple[int, ...], lead_days: int, last: int) -> Days:
    """The `arrival` of what is ordered on each of those days, at most `last`."""
    days = _ordered(weekday, allowed, last) + lead_days
    comes = (weekday + days) % 7
    return np.minimum(days + np.where(comes >= _SATURDAY, 7 - comes, 0), last)
