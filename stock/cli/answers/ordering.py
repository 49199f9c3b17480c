"""Answers about what will run out, and about orders."""

from typing import Literal, NotRequired, TypedDict

from stock.cli.answers.parts import Day, NewBottleShape, Quantity


class SpraysQuantilesShape(TypedDict):
    """How many usual mixes are left: cautious, even odds, hopeful; None is not known."""

    p10: Quantity | None
    p50: Quantity | None
    p90: Quantity | None


class DayQuantilesShape(TypedDict):
    """When it runs out: early, even odds, late; None is beyond two years or not known."""

    p10: Day | None
    p50: Day | None
    p90: Day | None


class SuggestedOrderShape(TypedDict):
    """What to order; `cost` is None where no price is known."""

    size_ml: Quantity
    count: int
    supplier: str | None
    cost: Quantity | None
    currency: str


class ProductForecastShape(TypedDict):
    """When a product runs out and what to order by when."""

    product: str
    on_hand_ml: Quantity
    usable_ml: Quantity
    usual_mix_ml: Quantity | None
    sprays_left: SpraysQuantilesShape
    runs_out_on: DayQuantilesShape
    order_by: Day | None
    order: SuggestedOrderShape | None
    limited_by: str | None
    events: int
    basis: Literal["own", "pooled", "none"]


class ForecastShape(TypedDict):
    """The forecast of a day."""

    as_of: Day
    products: list[ProductForecastShape]


ReviewedMonthShape = TypedDict(
    "ReviewedMonthShape",
    {"from": Day, "products": int, "inside_p10_p90": Quantity, "would_have_run_dry": int, "warned": int},
)
"""How a month's forecasts came out."""


class LookBackShape(TypedDict):
    """How earlier forecasts came out; the shares are 0 to 1, None without a case."""

    as_of: Day
    cases: int
    inside_p10_p90: Quantity | None
    above_p90: Quantity | None
    stock_outs_avoided: int
    stock_outs_missed: int
    months: list[ReviewedMonthShape]


class OrderLineShape(TypedDict):
    """A line of an order, in packs."""

    line: int
    product: str
    size_ml: Quantity
    packs: int
    received: NotRequired[int]
    cancelled: NotRequired[int]
    open: NotRequired[int]
    price: NotRequired[Quantity | None]


class OrderShape(TypedDict):
    """An order that stands open, or all of them with `--all`."""

    id: int
    supplier: str | None
    ordered_on: Day
    expected_on: Day | None
    lines: list[OrderLineShape]


class BasketLineShape(TypedDict):
    """What to order; `rides_along` is what isn't due yet but saves shipping."""

    product: str
    size_ml: Quantity
    count: int
    cost: Quantity | None
    rides_along: bool


class BasketShape(TypedDict):
    """What to order together from one supplier."""

    supplier: str | None
    order_by: Day
    lines: list[BasketLineShape]
    goods: Quantity | None
    shipping: Quantity | None
    saved: Quantity | None
    currency: str


class OrdersShape(TypedDict):
    """What is on order and what should be."""

    as_of: Day
    orders: list[OrderShape]
    to_order: list[BasketShape]


class OrdersOfStudioShape(TypedDict):
    """What one studio of a server should order."""

    schema: str
    studio: str
    as_of: Day
    to_order: list[BasketShape]


class UnreadStudioShape(TypedDict):
    """A studio of a server that could not be read."""

    schema: str
    reason: str


class OrdersOfEveryStudioShape(TypedDict):
    """What the studios of a server should order."""

    studios: list[OrdersOfStudioShape]
    not_read: list[UnreadStudioShape]


class MadeOrderShape(TypedDict):
    """An order that was made."""

    order: int
    supplier: str | None
    ordered_on: Day
    expected_on: Day | None
    lines: list[OrderLineShape]


class ReceivedOrderShape(TypedDict):
    """What came of an order, and how many packs are still to come."""

    order: int
    delivery: int
    bottles: list[NewBottleShape]
    open: int


class CancelledOrderShape(TypedDict):
    """How many packs of an order were cancelled, and how many are still to come."""

    order: int
    cancelled: int
    open: int


class PlannedUseShape(TypedDict):
    """A use that is planned."""

    planned_use: int
    product: str
    volume_ml: Quantity
    needed_on: Day
    job: str | None
