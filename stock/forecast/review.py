"""Looking back: the forecast at the start of each past month against what then happened."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date

from stock.forecast.priors import learn_priors
from stock.forecast.use_history import UseHistory, as_of
from stock.units import Microlitres

LOOK_DAYS = 28
_LOW, _MIDDLE, _HIGH = 0.1, 0.5, 0.9
_LEAST_EVENTS = 2


@dataclass(frozen=True, slots=True)
class ProductPast:
    """One product's past: its use, and what was on the shelf at the end of each day in question.

    Attributes:
        product: its name.
        history: all of its use.
        on_hand_ul: microlitres on the shelf by day (ordinal).
    """

    product: str
    history: UseHistory
    on_hand_ul: dict[int, Microlitres]


@dataclass(frozen=True, slots=True)
class PastForecast:
    """One forecast of the past; volumes in microlitres for the 28 days after `day`.

    Attributes:
        warned: whether the forecast chance of running dry within these days was above the target.
        short: whether more was used than was on hand, so that it would have run dry without a delivery.
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
        return self.low_ul - 0.5 <= self.used_ul and not self.over

    @property
    def over(self) -> bool:
        """Whether the use lay above P90."""
        return self.used_ul > self.high_ul + 0.5


@dataclass(frozen=True, slots=True)
class Review:
    """All past forecasts, and how good they were.

    Attributes:
        cases: oldest first.
        inside: share of them from P10 to P90, 0..1; 0.8 or more is right, since slow products' P10 is 0.
        over: share above P90; 0.1 is right.
        avoided: how many would have run dry, were warned of and resupplied in time.
        missed: how many would have run dry without a warning.
    """

    cases: tuple[PastForecast, ...]
    inside: float
    over: float
    avoided: int
    missed: int


def month_starts(first: date, today: date, most: int = 12) -> list[date]:
    """The last days of past months after which 28 whole days had passed by `today`, oldest first."""
    days: list[date] = []
    day = date.fromordinal(today.replace(day=1).toordinal() - 1)
    while day > first and len(days) < most:
        if (today - day).days >= LOOK_DAYS:
            days.append(day)
        day = date.fromordinal(day.replace(day=1).toordinal() - 1)
    return days[::-1]


def review(
    pasts: Sequence[ProductPast],
    days: Sequence[date],
    *,
    target: float,
    progress: Callable[[], None] = lambda: None,
) -> Review:
    """Repeat the forecasts of these days, each without knowledge of later days.

    Args:
        pasts: the products; a product needs two mix days before a day to be forecast on it.
        days: from which to forecast, oldest first.
        target: the greatest chance of running dry, e.g. 0.05.
        progress: called after each day.
    """
    cases: list[PastForecast] = []
    for day in days:
        cases += _cases(pasts, day, target)
        progress()
    number = max(len(cases), 1)
    return Review(
        tuple(cases),
        sum(case.inside for case in cases) / number,
        sum(case.over for case in cases) / number,
        sum(case.short and case.warned for case in cases),
        sum(case.short and not case.warned for case in cases),
    )


def _cases(pasts: Sequence[ProductPast], day: date, target: float) -> list[PastForecast]:
    today = day.toordinal()
    histories = [as_of(past.history, today) for past in pasts]
    priors = learn_priors(histories, today)
    rows = [row for row, each in enumerate(histories) if each.events >= _LEAST_EVENTS]
    outlook = priors.outlook([histories[row] for row in rows])
    cases = []
    for place, row in enumerate(rows):
        total = outlook.total(place, LOOK_DAYS)
        if total is None:
            continue
        past = pasts[row]
        ahead = (past.history.days > today) & (past.history.days <= today + LOOK_DAYS)
        used = float(past.history.totals_ul[ahead].sum())
        low, middle, high = total.quantiles((_LOW, _MIDDLE, _HIGH))
        on_hand = past.on_hand_ul.get(today)
        warned = on_hand is not None and total.chance_of(on_hand + 1) > target
        cases.append(
            PastForecast(
                past.product, day, low, middle, high, used, warned, on_hand is not None and used > on_hand
            )
        )
    return cases
