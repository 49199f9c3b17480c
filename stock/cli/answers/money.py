"""Answers about money: what jobs cost, what the stock is worth, what was bought, and which periods are closed."""

from typing import Literal, TypedDict

from stock.cli.answers.parts import Day, JobShape, Quantity


class MixCostShape(TypedDict):
    """What a mix cost; money in the studio's currency."""

    mix: int
    day: Day
    material: Quantity
    washes: Quantity
    share: Quantity
    total: Quantity


class JobCostShape(TypedDict):
    """What a job cost: its material, its washes, and its share of what was thrown away; None is without a job."""

    job: str | None
    material: Quantity
    washes: Quantity
    share: Quantity
    total: Quantity
    mixes: list[MixCostShape]


class UnpricedBottleShape(TypedDict):
    """A bottle whose price is not known."""

    bottle: str
    volume_ml: Quantity


class CostsShape(TypedDict):
    """What jobs cost."""

    as_of: Day
    month: str | None
    currency: str
    jobs: list[JobCostShape]
    total: Quantity
    unshared: Quantity
    written_off: Quantity
    unpriced: list[UnpricedBottleShape]
    rule: str


class PriceShape(TypedDict):
    """A job's price; `missing` names what is not known, by which the price is too low."""

    hours: Quantity | None
    material: Quantity
    labour: Quantity
    mark_up: Quantity
    price: Quantity
    missing: list[str]


class JobAnswerShape(TypedDict):
    """One job."""

    job: JobShape


class JobShownShape(JobAnswerShape):
    """A job with its cost and price."""

    cost: CostsShape
    price: PriceShape


class JobSheetShape(JobAnswerShape):
    """The sheet of a job for its customer."""

    price: Quantity
    missing: list[str]


class JobsShape(TypedDict):
    """All jobs."""

    jobs: list[JobShape]


class WaitingMixShape(TypedDict):
    """A mix that waits for a job."""

    id: int
    job: str
    recipe: str
    total_ml: Quantity


class MixQueueShape(TypedDict):
    """The mixes that wait for a job, in their order."""

    job: str
    waiting: list[WaitingMixShape]


class ValuedProductShape(TypedDict):
    """A product's worth at the beginning and the end, and what lies between; money and millilitres."""

    product: str
    opening: Quantity
    purchased: Quantity
    used: Quantity
    written_off: Quantity
    closing: Quantity
    opening_ml: Quantity
    purchased_ml: Quantity
    used_ml: Quantity
    written_off_ml: Quantity
    closing_ml: Quantity
    unpriced_ml: Quantity


class ValuedPlaceShape(TypedDict):
    """What stands in a place at the end."""

    place: str
    closing: Quantity
    closing_ml: Quantity
    unpriced_ml: Quantity


class ValuedOwnerShape(TypedDict):
    """What belongs to one owner at the end; None is the studio."""

    owner: str | None
    closing: Quantity
    closing_ml: Quantity
    unpriced_ml: Quantity


class WriteOffShape(TypedDict):
    """What was written off, and why."""

    day: Day
    product: str
    bottle: str
    reason: str
    volume_ml: Quantity
    value: Quantity


class ValueStepsShape(TypedDict):
    """The whole stock: opening + purchased - used - written off = closing."""

    opening: Quantity
    purchased: Quantity
    used: Quantity
    written_off: Quantity
    closing: Quantity


class ValuationShape(TypedDict):
    """What the stock is worth; money in the studio's currency."""

    since: Day | None
    until: Day
    method: Literal["fifo", "average"]
    currency: str
    products: list[ValuedProductShape]
    places: list[ValuedPlaceShape]
    owners: list[ValuedOwnerShape]
    write_offs: list[WriteOffShape]
    total: ValueStepsShape
    unpriced: list[UnpricedBottleShape]
    rule: str


class InvoiceShape(TypedDict):
    """An invoice and the deliveries it is for."""

    id: int
    number: str
    supplier: str
    dated_on: Day
    net: Quantity
    tax_percent: Quantity
    gross: Quantity
    deliveries: list[int]


class InvoiceAnswerShape(TypedDict):
    """One invoice."""

    invoice: InvoiceShape


class RemovedInvoiceShape(TypedDict):
    """An invoice that is noted no more."""

    removed: int
    number: str


class InvoicesShape(TypedDict):
    """All invoices."""

    currency: str
    invoices: list[InvoiceShape]


class PurchaseShape(TypedDict):
    """A delivery with its worth by the books and its invoices."""

    delivery: int
    day: Day
    what: str
    worth: Quantity
    unpriced_bottles: int
    invoices: list[str]


class PurchasesShape(TypedDict):
    """What was bought."""

    since: Day | None
    until: Day
    currency: str
    deliveries: list[PurchaseShape]
    invoices: list[InvoiceShape]
    rule: str


class ClosedPeriodShape(TypedDict):
    """Until when the books are closed; None is not at all."""

    closed_until: Day | None


class PeriodChangeShape(ClosedPeriodShape):
    """When a period was closed or opened again, and why."""

    reason: str
    on: Day


class PeriodsShape(ClosedPeriodShape):
    """Until when the books are closed, and every change of that."""

    changes: list[PeriodChangeShape]
