"""Answers about the shelf: what stands there, what came, and what was done with a bottle."""

from typing import Literal, NotRequired, TypedDict

from stock.cli.answers.parts import CautionShape, Day, NewBottleShape, Quantity


class BottleShape(TypedDict):
    """A bottle on the shelf; `owner` is there where it belongs to somebody else."""

    id: int
    size_ml: Quantity
    on_hand_ml: Quantity
    state: Literal["sealed", "open", "empty", "discarded"]
    received_on: Day
    opened_on: Day | None
    best_before: Day | None
    place: str | None
    cautions: list[str]
    owner: NotRequired[str]


class ProductOnShelfShape(TypedDict):
    """A product with its bottles."""

    name: str
    role: str
    on_hand_ml: Quantity
    bottles: list[BottleShape]


class ShelfShape(TypedDict):
    """The shelf of a day."""

    as_of: Day
    products: list[ProductOnShelfShape]


class DeliveryShape(TypedDict):
    """Bottles that came."""

    delivery: int
    bottles: list[NewBottleShape]


class OpenedBottleShape(TypedDict):
    """A bottle that was opened."""

    bottle: int
    opened_on: Day


class MovedBottleShape(TypedDict):
    """A bottle that stands somewhere else now."""

    bottle: int
    place: str | None


class FrozenBottleShape(TypedDict):
    """A bottle that froze."""

    bottle: int
    frozen_on: Day


class TestedBottleShape(TypedDict):
    """An aged bottle that was good on a test card, and when it is asked again."""

    bottle: int
    product: str
    asked_again_on: Day
    note: str


class ChangedBottleShape(TypedDict):
    """What is noted of a bottle; keys that were not changed are left out."""

    bottle: int
    label: NotRequired[str]
    best_before: NotRequired[Day | None]
    made_on: NotRequired[Day | None]
    opened_on: NotRequired[Day | None]
    tare_g: NotRequired[Quantity | None]
    container: NotRequired[str | None]
    owner: NotRequired[str]


class DiscardedBottleShape(TypedDict):
    """A bottle that was thrown away, with what was in it."""

    discard: int
    bottle: int
    discarded_ml: Quantity


class DecantingShape(TypedDict):
    """What went from one bottle into another."""

    bottle: int
    on_hand_ml: Quantity
    into: int
    into_on_hand_ml: Quantity


class UsualLossShape(TypedDict):
    """What a product usually loses with each mix, by its counts."""

    a_mix_ml: Quantity
    error_ml: Quantity
    mixes: int
    counts: int
    sure: bool


class WeighingShape(TypedDict):
    """What a count by weight was computed from."""

    reading_g: Quantity
    tare_g: Quantity
    resolution_g: Quantity
    density_g_per_ml: Quantity


class CountShape(TypedDict):
    """A count, what the books expected, and whether measuring explains the difference."""

    count: int
    bottle: int
    on_hand_ml: Quantity
    difference_ml: Quantity
    expected_ml: Quantity
    reason: str | None
    uncertainty_ml: Quantity
    explained_ml: Quantity
    beyond: bool
    words: str
    usual_loss: UsualLossShape | None
    weighing: WeighingShape | None


class SpillShape(TypedDict):
    """What was spilled, and what to take care of."""

    spill: int
    bottle: int
    product: str
    spilled_ml: Quantity
    on_hand_ml: Quantity
    cautions: list[CautionShape]


class WeightShape(TypedDict):
    """What lies on the scale."""

    mass_g: Quantity
    resolution_g: Quantity
    scale: str


class ScaleTrialShape(TypedDict):
    """What was heard of a scale while it was listened to."""

    readings: int
    weights: int
    damaged: int
    mass_g: Quantity | None
    says_stable: bool
