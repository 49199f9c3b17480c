"""Answers of the logbook: what happened, what it cost and emitted, what the stock is worth, and whether it all fits."""

from typing import Literal, NotRequired, TypedDict

from stock.cli.answers.parts import Day, Instant, Quantity, RunningPotLifeShape, Severity


class MovementShape(TypedDict):
    """What a booking changed in one bottle."""

    id: int
    bottle: int
    product: str
    kind: str
    change_ml: Quantity


class EntryShape(TypedDict):
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
    movements: list[MovementShape]


class LogbookShape(TypedDict):
    """The bookings that fit, in their order."""

    entries: list[EntryShape]


class UndoneErrandShape(TypedDict):
    """An errand that was taken back or done again."""

    kind: str
    id: int


class FilledBottleShape(TypedDict):
    """A bottle and what it holds after that."""

    bottle: int
    on_hand_ml: Quantity


class UndoShape(TypedDict):
    """What an undo took back, or did again; `bookings` is how many an import had.

    `taken_back`, `kept` and `brought_back` name the products, lines, suppliers and places that an import made.
    """

    undo: int
    again: bool
    undid: list[UndoneErrandShape]
    bottles: list[FilledBottleShape]
    bookings: NotRequired[int]
    taken_back: NotRequired[list[str]]
    kept: NotRequired[list[str]]
    brought_back: NotRequired[list[str]]


class MoneyShape(TypedDict):
    """What came and went in the currency's main unit, by first in, first out: opening + purchased = the others."""

    currency: str
    opening: Quantity
    purchased: Quantity
    used: Quantity
    written_off: Quantity
    closing: Quantity


class ProofShape(TypedDict):
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
    money: MoneyShape | None
    problems: list[str]


class DueOrderShape(TypedDict):
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


class GroupedCautionShape(TypedDict):
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


class UsualPartShape(TypedDict):
    """A part of a mix that is made often."""

    product: str
    volume_ml: Quantity


class UsualMixShape(TypedDict):
    """A mix that is made often; `short` names what there is too little of."""

    parts: list[UsualPartShape]
    percent_of_paint: Quantity | None
    reducers: list[UsualPartShape]
    needle_mm: Quantity | None
    times: int
    last_on: Day
    like_mix: int
    short: list[str]


class HardeningMixShape(RunningPotLifeShape):
    """An open mix with a hardener."""

    mix: int
    what: str


class TodayShape(TypedDict):
    """What a studio sees first on a day."""

    as_of: Day
    order: list[DueOrderShape]
    cautions: list[GroupedCautionShape]
    done: list[EntryShape]
    usual: list[UsualMixShape]
    two_part: list[HardeningMixShape]


class EmittedUnderUsShape(TypedDict):
    """Grams emitted, grams a litre as applied, and less water and exempt compounds, by the US rules."""

    emitted_g: Quantity
    actual_g_per_l: Quantity | None
    less_water_and_exempt_g_per_l: Quantity | None


class EmittedUnderEuShape(TypedDict):
    """Grams emitted and grams a litre ready to use, by the EU's rules."""

    emitted_g: Quantity
    ready_to_use_g_per_l: Quantity | None


class EmittedShape(TypedDict):
    """What a volume emitted."""

    volume_ml: Quantity
    us: EmittedUnderUsShape
    eu: EmittedUnderEuShape


class EmittedByProductShape(TypedDict):
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


class ComparedMixShape(TypedDict):
    """A mix against the limit of its category; `figure` is None where it is not known."""

    mix: int
    category: str
    limit: Quantity
    unit: Literal["percent", "g_per_l"]
    figure: Quantity | None
    over: bool | None


class EmissionsShape(EmittedShape):
    """What a month's mixes and washes emitted."""

    month: str
    as_of: Day
    coatings: EmittedShape
    cleaning: EmittedShape
    losses: EmittedShape
    products: list[EmittedByProductShape]
    limits: list[ComparedMixShape]
    assumed: list[str]
    rules: list[str]


class EmissionMonthShape(TypedDict):
    """A month, and the twelve months that end with it; `over` is null where no limit is noted."""

    month: str
    us_g: Quantity
    eu_g: Quantity
    us_twelve_months_g: Quantity
    eu_twelve_months_g: Quantity
    over: bool | None


class EmissionYearShape(TypedDict):
    """Twelve months of emissions beside the studio's limit."""

    as_of: Day
    limit_g: Quantity | None
    months: list[EmissionMonthShape]
    rules: list[str]


class TracedBottleShape(TypedDict):
    """A bottle that the lot is in; `through` is the bottle it came from."""

    bottle: int
    product: str
    size_ml: Quantity
    on_hand_ml: Quantity
    state: str
    place: str | None
    through: str | None


class TracedMixShape(TypedDict):
    """A mix that the lot went into."""

    mix: int
    day: Day
    job: str | None
    customer: str | None
    outcome: str | None
    volume_ml: Quantity
    bottles: list[int]


class TracedJobShape(TypedDict):
    """A job that the lot went into."""

    job: str
    mixes: list[int]


class TraceShape(TypedDict):
    """Where a lot or a bottle went."""

    about: str
    as_of: Day
    bottles: list[TracedBottleShape]
    mixes: list[TracedMixShape]
    jobs: list[TracedJobShape]
    washed_ml: Quantity
