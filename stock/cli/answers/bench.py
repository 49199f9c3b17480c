"""Answers of the bench: advice, mixes, steps, washes, and what is worked out without the books."""

from typing import Literal, NotRequired, TypedDict

from stock.cli.answers.parts import (
    CautionShape,
    FindingShape,
    PotLifeShape,
    PourShape,
    Quantity,
    ReductionShape,
    RunningPotLifeShape,
)


class MixShape(TypedDict):
    """A mix; `mix` is its number, None in a dry run. Volumes in ml; `reduction` is None without a reducer."""

    mix: int | None
    paint_ml: Quantity
    reducer_ml: Quantity
    total_ml: Quantity
    reduction: ReductionShape | None
    pours: list[PourShape]
    cautions: list[CautionShape]
    booked: bool
    pot_life: NotRequired[PotLifeShape]


class AddedPartShape(TypedDict):
    """What a step added."""

    product: str
    part: str
    volume_ml: Quantity
    drops: Quantity
    mass_g: Quantity | None


class StepShape(TypedDict):
    """A step of a mix; `step` is its number, None in a dry run."""

    mix: int
    step: int | None
    added_ml: Quantity
    added: list[AddedPartShape]
    paint_ml: Quantity
    reducer_ml: Quantity
    total_ml: Quantity
    reduction: ReductionShape | None
    range_used_percent: Quantity | None
    next_step_percent: Quantity | None
    pours: list[PourShape]
    cautions: list[CautionShape]
    booked: bool
    pot_life: NotRequired[RunningPotLifeShape]


class KeptJarShape(TypedDict):
    """The jar in which what was left of a mix is kept."""

    bottle: int
    label: str
    product: str
    on_hand_ml: Quantity
    best_before: str | None


class CloseShape(TypedDict):
    """How a mix ended."""

    mix: int
    close: int
    outcome: Literal["good", "thick", "thin", "ruined"]
    sprayed_ml: Quantity
    left_ml: Quantity
    kept: KeptJarShape | None
    reduction: ReductionShape | None


class WashPourShape(TypedDict):
    """What one bottle of cleaner gave."""

    bottle: int
    volume_ml: Quantity
    on_hand_ml: Quantity


class WashShape(TypedDict):
    """A wash-out."""

    wash: int
    product: str
    volume_ml: Quantity
    pours: list[WashPourShape]
    cautions: list[FindingShape]


class BecauseShape(TypedDict):
    """A range that the advice stands on or that speaks against it, in per cent of the paint."""

    kind: Literal["sheet", "outcomes", "house_default"]
    title: str
    revised: str | None
    withdrawn: bool
    low: Quantity
    high: Quantity
    n: int
    used: bool
    own: NotRequired[int]
    dropped: NotRequired[bool]
    level: NotRequired[str]
    needle: NotRequired[str]
    pressure: NotRequired[str]
    source: NotRequired[str]
    wording: NotRequired[str]


AdviceShape = TypedDict(
    "AdviceShape",
    {
        "product": str,
        "with": list[str],
        "needle_mm": Quantity | None,
        "start_percent": Quantity,
        "limit_percent": Quantity,
        "step_percent": Quantity,
        "because": list[BecauseShape],
        "disagreements": list[str],
        "neighbours": list[BecauseShape],
        "notes": list[str],
        "air_for_ml": Quantity,
        "cautions": list[CautionShape],
    },
)
"""Where to start, how far to go and in which steps, in per cent of the paint, and why."""


class ReducedVolumeShape(ReductionShape):
    """A volume of paint and the reducer for it."""

    paint_ml: Quantity
    reducer_ml: Quantity
    total_ml: Quantity


class NextStepShape(TypedDict):
    """What the flow times that were noted say about the next step."""

    target_s: Quantity | None
    step_percent: Quantity | None
    notes: list[str]


class ViscosityShape(TypedDict):
    """A flow time as a viscosity; None where the cup gives none at that time."""

    cup: str
    seconds: Quantity
    mm2_per_s: Quantity | None
    mpa_s: Quantity | None
    in_range: bool
    range_s: list[Quantity]
    temperature_c: Quantity
    verified: bool
    notes: list[str]
    standard: str
    source: str
    next: NotRequired[NextStepShape]


class MilkViscosityShape(TypedDict):
    """What "like milk" is, for those who have read it."""

    mm2_per_s: Quantity
    range_mm2_per_s: list[Quantity]
    notes: list[str]


class CoverageShape(TypedDict):
    """How much paint an area takes."""

    area_m2: Quantity
    paint_ml: Quantity
    reducer_ml: Quantity
    total_ml: Quantity
    wet_film_um: Quantity
    m2_per_litre: Quantity
    source: str
