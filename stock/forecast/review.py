"""Looking back: what was forecast at each past month's start, against what then happened."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date

from stock.forecast.habit import Habit, as_of
from stock.forecast.pool import learn

LOOK_DAYS = 28
_LOW, _MIDDLE, _HIGH = 0.1, 0.5, 0.9
_LEAST_EVENTS = 2


@dataclass(frozen=True, slots=True)
class Past:
    """One product's past: its use, and what stood on the shelf at the end of each day looked back from.

    Attributes:
        product: its name.
        habit: all of its use.
        stood_ul: day (ordinal) to microlitres that stood on the shelf.
    """

    product: str
    habit: Habit
    stood_ul: dict[int, int]


@dataclass(frozen=True, slots=True)
class Case:
    """One forecast of the past; volumes in microlitres for the 28 days after `day`.

    Attributes:
        warned: whether the forecast gave running dry within these days more than the target.
        short: whether more was used than stood there: it would have run dry without a delivery.
    """

    product: str
    day: date
    low_ul: float
    middle_ul: float
    high_ul: float
    used_ul: float
    warned: bool
    short: bool

    @property
    def inside(self) -> bool:
        """Whether the use lay from P10 to P90."""
        return self.low_ul - 0.5 <= self.used_ul <= self.high_ul + 0.5


@dataclass(frozen=True, slots=True)
class Review:
    """All cases, and what they amount to.

    Attributes:
        cases: oldest first.
        inside: share of them from P10 to P90, 0..1; 0.8 or more is right, since slow products' P10 is 0.
        over: share above P90; 0.1 is right.
        avoided: would have run dry, were warned of and resupplied in time.
        missed: would have run dry, and no warning was given.
    """

    cases: tuple[Case, ...]
    inside: float
    over: float
    avoided: int
    missed: int


def month_starts(first: date, today: date, most: int = 12) -> list[date]:
    """The last days of past months from which 28 whole days had passed by `today`, oldest first."""
    days: list[date] = []
    day = date.fromordinal(today.replace(day=1).toordinal() - 1)
    while day > first and len(days) < most:
        if (today - day).days >= LOOK_DAYS:
            days.append(day)
        day = date.fromordinal(day.replace(day=1).toordinal() - 1)
    return days[::-1]


def review(
    pasts: Sequence[Past], days: Sequence[date], *, target: float, tell: Callable[[], None] = lambda: None
) -> Review:
    """Replay the forecasts of these days, each knowing nothing of what came after it.

    Args:
        pasts: the products; one needs two mix days before a day to be forecast on it.
        days: from which to forecast, oldest first.
        target: the greatest chance of running dry, e.g. 0.05.
        tell: called after each day.
    """
    cases: list[Case] = []
    for day in days:
        cases += _cases(pasts, day, target)
        tell()
    number = max(len(cases), 1)
    return Review(
        tuple(cases),
        sum(case.inside for case in cases) / number,
        sum(case.used_ul > case.high_ul + 0.5 for case in cases) / number,
        sum(case.short and case.warned for case in cases),
        sum(case.short and not case.warned for case in cases),
    )


def _cases(pasts: Sequence[Past], day: date, target: float) -> list[Case]:
    today = day.toordinal()
    known = [as_of(past.habit, today) for past in pasts]
    pool = learn(known, today)
    rows = [row for row, each in enumerate(known) if each.events >= _LEAST_EVENTS]
    outlook = pool.outlook([known[row] for row in rows])
    cases = []
    for place, row in enumerate(rows):
        total = outlook.total(place, LOOK_DAYS)
        if total is None:
            continue
        past = pasts[row]
        ahead = (past.habit.days > today) & (past.habit.days <= today + LOOK_DAYS)
        used = float(past.habit.totals_ul[ahead].sum())
        low, middle, high = total.quantiles((_LOW, _MIDDLE, _HIGH))
        stood = past.stood_ul.get(today)
        warned = stood is not None and total.chance_of(stood + 1) > target
        cases.append(
            Case(past.product, day, low, middle, high, used, warned, stood is not None and used > stood)
        )
    return cases
