"""Answers about the studio itself: its settings, places, people, suppliers, substances, and this machine's settings."""

from typing import Literal, TypedDict

from stock.cli.answers.parts import Day, Quantity


class NewStudioShape(TypedDict):
    """Books that were made."""

    name: str
    currency: str
    time_zone: str
    measures: Literal["metric", "us", "imperial"]


class StudioShape(NewStudioShape):
    """What the studio has set; None is not set."""

    decimal_mark: Literal["point", "comma"]
    dates: Literal["iso", "day-first", "month-first"]
    paper: Literal["a4", "letter"] | None
    drops_per_ml: Quantity
    dry_risk_percent: Quantity
    rule_sets: list[str]
    fan_m3_per_h: Quantity | None
    room_m3: Quantity | None
    labour_per_hour: Quantity | None
    mark_up_percent: Quantity | None
    spray_ml_per_min: Quantity | None
    waste_collected_on: Day | None
    address: str | None
    voc_limit_kg: Quantity | None


class PlaceShape(TypedDict):
    """A place where bottles stand; None is not noted."""

    name: str
    kind: str
    premises: str | None
    building: str
    flammable_limit_ml: Quantity | None
    flammable_limit_kg: Quantity | None
    lowest_c: Quantity | None
    highest_c: Quantity | None
    ignition: bool | None


class PlacesShape(TypedDict):
    """All places."""

    places: list[PlaceShape]


class SupplierShape(TypedDict):
    """A supplier's terms; money in the studio's currency."""

    supplier: str
    lead_time: str | None
    order_days: list[str]
    shipping: Quantity | None
    free_shipping_from: Quantity | None
    currency: str


class SuppliersShape(TypedDict):
    """All suppliers."""

    currency: str
    suppliers: list[SupplierShape]


class TrainingShape(TypedDict):
    """Who is trained in what, until when."""

    name: str
    subject: str
    trained_on: Day
    until: Day


class TrainingsShape(TypedDict):
    """All trainings that are noted."""

    trainings: list[TrainingShape]


class DroppedTrainingShape(TypedDict):
    """A training that is noted no more."""

    dropped: str


class SubstanceFigureShape(TypedDict):
    """A figure of a substance with its source; None is not known, unless `why_none` says why there is none."""

    value: Quantity | bool | str | list[str] | None
    source: str | None
    why_none: str | None


class ExposureLimitShape(TypedDict):
    """How much of it in the air is allowed, in parts per million."""

    value_ppm: Quantity
    kind: str
    source: str


class SubstanceShape(TypedDict):
    """What is known of a substance; None is not known and counts as the worse case."""

    name: str
    cas: str | None
    other_names: list[str]
    family: str | None
    h_statements: list[str] | None
    flash_point_c: Quantity | None
    boiling_point_c: Quantity | None
    exposure: list[ExposureLimitShape]
    waste_codes: list[str] | None
    peroxide: str
    sources: dict[str, str]
    figures: dict[str, SubstanceFigureShape]


class ListedSubstanceShape(TypedDict):
    """A substance in a list; `own` is one that the studio added."""

    name: str
    cas: str | None
    family: str | None
    own: bool


class SubstancesShape(TypedDict):
    """The studio's own substances, or those whose name holds a text."""

    substances: list[ListedSubstanceShape]


class DeletedSubstanceShape(TypedDict):
    """One of the studio's own substances that is deleted."""

    substance: str
    deleted: bool


MachineSettingShape = TypedDict("MachineSettingShape", {"value": str | None, "from": str})
"""A setting of this machine, and whether the environment, the file or the program says it."""


class MachineSettingsShape(TypedDict):
    """The file of settings of this machine, and what holds."""

    file: str
    settings: dict[str, MachineSettingShape]


class ChangedMachineSettingShape(TypedDict):
    """A setting that was changed in the file."""

    setting: str
    value: str | None
    file: str


class HelpTextShape(TypedDict):
    """The help of a command. The manual page and the shapes are printed as they are."""

    help: str


class CompletionScriptShape(TypedDict):
    """What a shell reads to complete commands."""

    shell: Literal["bash", "zsh", "fish"]
    script: str


class VersionShape(TypedDict):
    """Which Ullage this is."""

    version: str
