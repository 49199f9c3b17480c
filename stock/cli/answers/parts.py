"""What several answers hold: days, cautions, pours, reductions, jobs, bottles."""

from typing import Annotated, Literal, TypedDict

Day = Annotated[str, "date"]
"""A calendar day of the studio, as `2026-03-01`."""
Instant = Annotated[str, "date-time"]
"""A moment with its distance from UTC, as `2026-03-01T14:30:00Z`."""
Severity = Literal["stop", "warn", "note"]
Quantity = float
"""Millilitres, grams, per cent, money: the key says which."""


class CautionShape(TypedDict):
    """A caution that an errand gives. A `stop` refuses the errand unless its code is accepted."""

    code: str
    severity: Severity
    message: str
    remedy: str
    source: str


class FindingShape(CautionShape):
    """A caution about something on the shelf; `since` is the day from which it holds."""

    product: str | None
    bottle: int | None
    place: str | None
    since: Day | None


class PourShape(TypedDict):
    """What one bottle gave, and what it holds after that."""

    bottle: int
    product: str
    volume_ml: Quantity
    on_hand_ml: Quantity


class ReductionShape(TypedDict):
    """How much reducer there is for the paint. `percent_of_mix` is its share of both together."""

    percent_of_paint: Quantity
    paint_parts: Quantity
    reducer_parts: Quantity
    percent_of_mix: Quantity


class NewBottleShape(TypedDict):
    """A bottle that came."""

    id: int
    product: str
    size_ml: Quantity
    on_hand_ml: Quantity


class JobShape(TypedDict):
    """A job; `hours` is None where nobody noted how long was worked on it."""

    id: int
    name: str
    customer: str
    opened_on: Day
    due_on: Day | None
    closed_on: Day | None
    note: str
    hours: Quantity | None


class SolventShape(TypedDict):
    """A solvent of a product in per cent; `low_percent` is the low end where the sheet prints a range."""

    name: str
    low_percent: Quantity | None
    percent: Quantity
    basis: Literal["weight", "volume"]


class PackShape(TypedDict):
    """A size in which a product is sold, and its price; None where it is not known."""

    size_ml: Quantity
    price: Quantity | None
    currency: str


class PotLifeShape(TypedDict):
    """Until when a mix with a hardener can be used, and until when where it is hot; None is not noted."""

    minutes: int | None
    until: Instant | None
    by: str | None
    hot_from_c: Quantity | None
    hot_until: Instant | None
    words: str


class RunningPotLifeShape(PotLifeShape):
    """The same with what is left of it."""

    left_minutes: int | None
    over: bool


Rows = dict[str, int]
"""How many rows of each table of the books."""
