"""Answers about cautions, their rules, moves and waste."""

from typing import NotRequired, TypedDict

from stock.cli.answers.parts import Day, FindingShape, Instant, Quantity, Severity
from stock.cli.answers.records import FigureSourceShape

MoveShape = TypedDict(
    "MoveShape", {"bottle": int, "product": str, "from": str | None, "to": str, "why": str, "code": str}
)
"""A bottle to carry, and by which rule."""


class UnsolvedShape(FindingShape):
    """A finding that stands after the moves, and why moving doesn't solve it."""

    why: str


class WasteReasonShape(TypedDict):
    """A waste code and why; `assumed` where something isn't known and the worse case counts."""

    code: str
    why: str
    assumed: bool


class EuropeanWasteShape(TypedDict):
    """A code of the European list of waste and why."""

    code: str
    why: str
    assumed: bool
    text: str


class WasteBottleShape(TypedDict):
    """A bottle that is waste, where it goes and with which codes."""

    bottle: int
    product: str
    on_hand_ml: Quantity
    to: str
    codes: list[str]
    why: str
    reasons: list[WasteReasonShape]
    eu: EuropeanWasteShape | None


class WasteMadeShape(TypedDict):
    """Waste that was made by work, in kilograms."""

    products: list[str]
    spent: bool
    kg: Quantity
    reasons: list[WasteReasonShape]


class WasteShape(TypedDict):
    """The studio's waste against the limits of a very small generator; kilograms."""

    bottles: list[WasteBottleShape]
    made: list[WasteMadeShape]
    month_kg: Quantity
    month_limit_kg: Quantity
    on_hand_kg: Quantity
    on_hand_limit_kg: Quantity
    since: Day | None


class StockFindingShape(FindingShape):
    """A finding about the stock, with where its figures were read where a sheet's file says so."""

    read_from: NotRequired[list[FigureSourceShape]]


class CautionsShape(TypedDict):
    """What is wrong on the shelf, gravest first; the moves and the waste where they were asked for."""

    as_of: Day
    findings: list[StockFindingShape]
    moves: NotRequired[list[MoveShape]]
    unsolved: NotRequired[list[UnsolvedShape]]
    waste: NotRequired[WasteShape]


class LimitShape(TypedDict):
    """A limit of a rule in one jurisdiction; which figures it has depends on the rule. Thousandths of the unit."""

    jurisdiction: str
    what: str
    source: str
    scope: NotRequired[str]
    containers: NotRequired[list[str]]
    categories: NotRequired[list[int]]
    classes: NotRequired[list[str]]
    below_ambient: NotRequired[bool]
    statements: NotRequired[list[str]]
    litres_milli: NotRequired[int]
    kilograms_milli: NotRequired[int]
    category_1_milli: NotRequired[int]
    category_2_milli: NotRequired[int]
    category_3_milli: NotRequired[int]
    category_4_milli: NotRequired[int]


class RuleHereShape(TypedDict):
    """What the studio changed of a rule."""

    severity: Severity | None
    silenced: bool
    figures: dict[str, int]
    reason: str


class RuleShape(TypedDict):
    """A caution rule with its figures and its source."""

    code: str
    severity: Severity
    action: str
    status: str
    message: str
    remedy: str
    jurisdiction: str
    source: str
    figures: dict[str, int]
    tighter: dict[str, str]
    exceptions: str
    otherwise: str
    limits: list[LimitShape]


class ExplainedRuleShape(RuleShape):
    """A rule, and what the studio changed of it."""

    here: RuleHereShape | None


class RulesShape(TypedDict):
    """All rules."""

    rules: list[RuleShape]


class RuleChoiceShape(TypedDict):
    """What the studio chose for a rule."""

    code: str
    choice: str
    severity: Severity | None
    figures: dict[str, int]
    reason: str
    at: Instant


class SilenceShape(TypedDict):
    """A rule that is silenced for one product, bottle or place, or for two products together, until a day."""

    code: str
    about: str
    bottle: int | None
    products: list[str] | None
    reason: str
    asked_again_on: Day


class ChosenSilenceShape(SilenceShape):
    """A silence that was begun or ended."""

    choice: str


class RuleChoicesShape(TypedDict):
    """All that the studio chose."""

    choices: list[RuleChoiceShape]
    silences: list[SilenceShape]


class RuleSetsShape(TypedDict):
    """The rule sets that the studio lives by."""

    rule_sets: list[str]


class GhsClassShape(TypedDict):
    """The category of the Globally Harmonised System."""

    category: int
    hazard: str
    signal: str


class OshaClassShape(TypedDict):
    """The category of 29 CFR 1910.106."""

    category: int


NfpaClassShape = TypedDict("NfpaClassShape", {"class": str})
"""The class of NFPA 30."""


class ClassificationShape(TypedDict):
    """How a liquid is classed by its flash and boiling point; `assumed` names what was not given."""

    ghs: GhsClassShape | None
    osha: OshaClassShape | None
    nfpa30: NfpaClassShape | None
    assumed: list[str]
