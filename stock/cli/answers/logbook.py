"""Answers of the logbook: what happened, what it cost and emitted, what the stock is worth, and whether it all fits."""

from typing import Literal, NotRequired, TypedDict

from stock.cli.answers.parts import Day, Instant, Job, Quantity, RunningPotLife, Severity


class Movement(TypedDict):
    """What a booking changed in one bottle."""

    id: int
    bottle: int
    product: str
    kind: str
    change_ml: Quantity


class Entry(TypedDict):
    """One booking; `undone_by` is the undo that took it back."""

    id: int
    kind: str
    at: Instant
    day: Day
    what: str
    note: str
    job: str | None
    undoes: int | None
    undone_by: int | None
    movements: list[Movement]


class Logbook(TypedDict):
    """The bookings that fit, in their order."""

    entries: list[Entry]


class UndoneErrand(TypedDict):
    """An errand that was taken back or done again."""

    kind: str
    id: int


class FilledBottle(TypedDict):
    """A bottle and what it holds after that."""

    bottle: int
    on_hand_ml: Quantity


class Undo(TypedDict):
    """What an undo took back, or did again; `bookings` is how many an import had."""

    undo: int
    again: bool
    undid: list[UndoneErrand]
    bottles: list[FilledBottle]
    bookings: NotRequired[int]


class Proof(TypedDict):
    """Whether the books fit together: what came in and what went out, in millilitres."""

    ok: bool
    bottles: int
    movements: int
    mixes: int
    received_ml: Quantity
    kept_ml: Quantity
    on_hand_ml: Quantity
    poured_ml: Quantity
    washed_ml: Quantity
    discarded_ml: Quantity
    count_difference_ml: Quantity
    problems: list[str]


class DueOrder(TypedDict):
    """A product that should be ordered."""

    product: str
    order_by: Day
    late: bool
    size_ml: Quantity | None
    count: int | None
    supplier: str | None
    cost: Quantity | None
    currency: str
    runs_out_on: Day | None
    sprays_left: Quantity | None


class GroupedCaution(TypedDict):
    """A caution with all products and bottles that it concerns."""

    code: str
    severity: Severity
    action: str
    not_to_use: bool
    about: list[str]
    bottles: list[int]
    since: Day | None
    message: str
    remedy: str
    source: str


class UsualPart(TypedDict):
    """A part of a mix that is made often."""

    product: str
    volume_ml: Quantity


class UsualMix(TypedDict):
    """A mix that is made often; `short` names what there is too little of."""

    parts: list[UsualPart]
    percent_of_paint: Quantity | None
    reducers: list[UsualPart]
    needle_mm: Quantity | None
    times: int
    last_on: Day
    like_mix: int
    short: list[str]


class HardeningMix(RunningPotLife):
    """An open mix with a hardener."""

    mix: int
    what: str


class Today(TypedDict):
    """What a studio sees first on a day."""

    as_of: Day
    order: list[DueOrder]
    cautions: list[GroupedCaution]
    done: list[Entry]
    usual: list[UsualMix]
    two_part: list[HardeningMix]


class MixCost(TypedDict):
    """What a mix cost; money in the studio's currency."""

    mix: int
    day: Day
    material: Quantity
    washes: Quantity
    share: Quantity
    total: Quantity


class JobCost(TypedDict):
    """What a job cost: its material, its washes, and its share of what was thrown away; None is without a job."""

    job: str | None
    material: Quantity
    washes: Quantity
    share: Quantity
    total: Quantity
    mixes: list[MixCost]


class UnpricedBottle(TypedDict):
    """A bottle whose price is not known."""

    bottle: str
    volume_ml: Quantity


class Costs(TypedDict):
    """What jobs cost."""

    as_of: Day
    month: str | None
    currency: str
    jobs: list[JobCost]
    total: Quantity
    unshared: Quantity
    written_off: Quantity
    unpriced: list[UnpricedBottle]
    rule: str


class Price(TypedDict):
    """A job's price; `missing` names what is not known, by which the price is too low."""

    hours: Quantity | None
    material: Quantity
    labour: Quantity
    mark_up: Quantity
    price: Quantity
    missing: list[str]


class JobAnswer(TypedDict):
    """One job."""

    job: Job


class JobShown(JobAnswer):
    """A job with its cost and price."""

    cost: Costs
    price: Price


class JobSheet(JobAnswer):
    """The sheet of a job for its customer."""

    price: Quantity
    missing: list[str]


class Jobs(TypedDict):
    """All jobs."""

    jobs: list[Job]


class WaitingMix(TypedDict):
    """A mix that waits for a job."""

    id: int
    job: str
    recipe: str
    total_ml: Quantity


class MixQueue(TypedDict):
    """The mixes that wait for a job, in their order."""

    job: str
    waiting: list[WaitingMix]


class EmittedUnderUs(TypedDict):
    """Grams emitted, grams a litre as applied, and less water and exempt compounds, by the US rules."""

    emitted_g: Quantity
    actual_g_per_l: Quantity | None
    less_water_and_exempt_g_per_l: Quantity | None


class EmittedUnderEu(TypedDict):
    """Grams emitted and grams a litre ready to use, by the EU's rules."""

    emitted_g: Quantity
    ready_to_use_g_per_l: Quantity | None


class Emitted(TypedDict):
    """What a volume emitted."""

    volume_ml: Quantity
    us: EmittedUnderUs
    eu: EmittedUnderEu


class EmittedByProduct(TypedDict):
    """What the use of one product emitted."""

    product: str
    role: str
    sprayed_ml: Quantity
    washed_ml: Quantity
    lost_ml: Quantity
    us_g: Quantity
    eu_g: Quantity
    water_ml: Quantity
    exempt_ml: Quantity
    exempt: list[str]
    assumed: list[str]


class ComparedMix(TypedDict):
    """A mix against the limit of its category; `figure` is None where it is not known."""

    mix: int
    category: str
    limit: Quantity
    unit: Literal["percent", "g_per_l"]
    figure: Quantity | None
    over: bool | None


class Emissions(Emitted):
    """What a month's mixes and washes emitted."""

    month: str
    as_of: Day
    coatings: Emitted
    cleaning: Emitted
    losses: Emitted
    products: list[EmittedByProduct]
    limits: list[ComparedMix]
    assumed: list[str]
    rules: list[str]


class TracedBottle(TypedDict):
    """A bottle that the lot is in; `through` is the bottle it came from."""

    bottle: int
    product: str
    size_ml: Quantity
    on_hand_ml: Quantity
    state: str
    place: str | None
    through: str | None


class TracedMix(TypedDict):
    """A mix that the lot went into."""

    mix: int
    day: Day
    job: str | None
    customer: str | None
    outcome: str | None
    volume_ml: Quantity
    bottles: list[int]


class TracedJob(TypedDict):
    """A job that the lot went into."""

    job: str
    mixes: list[int]


class Trace(TypedDict):
    """Where a lot or a bottle went."""

    about: str
    as_of: Day
    bottles: list[TracedBottle]
    mixes: list[TracedMix]
    jobs: list[TracedJob]
    washed_ml: Quantity


class ValuedProduct(TypedDict):
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


class ValuedPlace(TypedDict):
    """What stands in a place at the end."""

    place: str
    closing: Quantity
    closing_ml: Quantity
    unpriced_ml: Quantity


class WriteOff(TypedDict):
    """What was written off, and why."""

    day: Day
    product: str
    bottle: str
    reason: str
    volume_ml: Quantity
    value: Quantity


class ValueSteps(TypedDict):
    """The whole stock: opening + purchased - used - written off = closing."""

    opening: Quantity
    purchased: Quantity
    used: Quantity
    written_off: Quantity
    closing: Quantity


class Valuation(TypedDict):
    """What the stock is worth; money in the studio's currency."""

    since: Day | None
    until: Day
    method: Literal["fifo", "average"]
    currency: str
    products: list[ValuedProduct]
    places: list[ValuedPlace]
    write_offs: list[WriteOff]
    total: ValueSteps
    unpriced: list[UnpricedBottle]
    rule: str


class Invoice(TypedDict):
    """An invoice and the deliveries it is for."""

    id: int
    number: str
    supplier: str
    dated_on: Day
    net: Quantity
    tax_percent: Quantity
    gross: Quantity
    deliveries: list[int]


class InvoiceAnswer(TypedDict):
    """One invoice."""

    invoice: Invoice


class RemovedInvoice(TypedDict):
    """An invoice that is noted no more."""

    removed: int
    number: str


class Invoices(TypedDict):
    """All invoices."""

    currency: str
    invoices: list[Invoice]


class Purchase(TypedDict):
    """A delivery with its worth by the books and its invoices."""

    delivery: int
    day: Day
    what: str
    worth: Quantity
    unpriced_bottles: int
    invoices: list[str]


class Purchases(TypedDict):
    """What was bought."""

    since: Day | None
    until: Day
    currency: str
    deliveries: list[Purchase]
    invoices: list[Invoice]
    rule: str


class ClosedPeriod(TypedDict):
    """Until when the books are closed; None is not at all."""

    closed_until: Day | None


class PeriodChange(ClosedPeriod):
    """When a period was closed or opened again, and why."""

    reason: str
    on: Day


class Periods(ClosedPeriod):
    """Until when the books are closed, and every change of that."""

    changes: list[PeriodChange]
