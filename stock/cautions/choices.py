"""A studio's choices about the rules: its rule sets, rules that it silences or tightens, and why."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime

from stock import clock
from stock.cautions import rule_figures
from stock.cautions.facts import SEVERITIES, RuleChange
from stock.cautions.rules import DEFAULT_SETS, Rule, rule_book
from stock.errors import BadInput
from stock.language import _
from stock.remedies import Option, Remedy
from stock.store.connection import connection, writing
from stock.store.models import RuleChoice
from stock.store.settings import change_settings
from stock.text import note

CHOICES = ("silence", "tighten", "default")


@dataclass(frozen=True, slots=True)
class Choice:
    """One choice as it was logged; `severity` and `figures` are those of a tightening."""

    code: str
    choice: str
    severity: str | None
    reason: str
    at: datetime
    figures: Mapping[str, int] = field(default_factory=dict)

    @property
    def to(self) -> str:
        """The tightened severity and figures, in words."""
        return "; ".join(
            [*filter(None, [self.severity]), *filter(None, [rule_figures.all_in_words(self.figures)])]
        )


def choose(
    code: str,
    choice: str,
    *,
    reason: str,
    severity: str | None = None,
    figures: Mapping[str, int] | None = None,
) -> Choice:
    """Silence a rule, tighten its severity or figures, or return to its default; the choice is logged.

    Args:
        code: the rule.
        choice: one of `CHOICES`.
        reason: why; may not be empty.
        severity: the graver severity of a tightening.
        figures: tighter figures by their names in the rule. Those chosen before stay, until the default.
    Raises:
        NotFound: no such rule.
        BadInput: no reason, a severity that isn't graver than the rule's own, or a figure that isn't tighter.
    """
    rule = rule_book().rule(code)
    why = note(reason)
    if not why:
        raise BadInput(
            _("no reason was given"), remedy=Remedy(_("Say why "), Option("reason"), _("; it is logged"))
        )
    if choice == "tighten":
        _refuse_looser(rule, figures or {})
        if severity is not None or not figures:
            _refuse_milder(rule, severity)
    with connection(), writing():
        at = clock.now()
        made = Choice(code, choice, severity, why, at, dict(figures or {}))
        RuleChoice.insert(code=code, choice=choice, figure=written(made), reason=why, at=at).execute()
    return made


def written(choice: Choice) -> str:
    """A tightening as the books keep it: `stop near_days=60`; empty if nothing is tightened."""
    words = [choice.severity] if choice.severity else []
    return " ".join([*words, *(f"{name}={value}" for name, value in choice.figures.items())])


def read(figure: str) -> tuple[str | None, dict[str, int]]:
    """The severity and the figures of a text that `written` made."""
    words = figure.split()
    figures = dict(word.split("=") for word in words if "=" in word)
    severity = next((word for word in words if "=" not in word), None)
    return severity, {name: int(value) for name, value in figures.items()}


def in_force(rows: Iterable[tuple[str, str, str, str]]) -> list[RuleChange]:
    """The choices in force after (code, choice, figure, reason) in the order of their logging.

    A tightening adds to those before it; a silencing or the default takes all of them back.
    """
    found: dict[str, RuleChange] = {}
    for code, choice, figure, reason in rows:
        before = found.pop(code, None)
        if choice == "silence":
            found[code] = RuleChange(code, None, reason)
        elif choice == "tighten":
            found[code] = _tightened(before, code, figure, reason)
    return list(found.values())


def _tightened(before: RuleChange | None, code: str, figure: str, reason: str) -> RuleChange:
    """A tightening added to the earlier ones."""
    severity, figures = read(figure)
    if before is None or before.silences:
        return RuleChange(code, severity, reason, tuple(figures.items()))
    reasons = dict.fromkeys([*before.reason.split("; "), reason])
    whole = dict(before.figures) | figures
    return RuleChange(code, severity or before.severity, "; ".join(reasons), tuple(whole.items()))


def _refuse_looser(rule: Rule, figures: Mapping[str, int]) -> None:
    for name, value in figures.items():
        if name not in rule.tighter:
            known = ", ".join(f"{each} ({rule_figures.unit_of(each).words})" for each in rule.tighter)
            known = known or _("none: only its severity can be tightened")
            raise BadInput(
                _("`{code}` has no figure `{name}`", code=rule.code, name=name[:40]),
                remedy=_("It has {known}", known=known),
            )
        lower = rule.tighter[name] == "lower"
        own = (
            [rule.figures[name]]
            if name in rule.figures
            else [each.figures.get(name, 0) for each in rule.limits]
        )
        bound = max(own) if lower else min(own)
        if value < 1 or (value >= bound if lower else value <= bound):
            own_words = rule_figures.shown(name, bound)
            raise BadInput(
                _(
                    "{name} is not tighter than the rule's own {own_words}",
                    name=rule_figures.in_words(name, value),
                    own_words=own_words,
                ),
                remedy=_(
                    "Write {lower} than {own_words}; a rule can't be loosened here",
                    lower=_("less") if lower else _("more"),
                    own_words=own_words,
                ),
            )


def _refuse_milder(rule: Rule, severity: str | None) -> None:
    if severity not in SEVERITIES or SEVERITIES.index(severity) <= SEVERITIES.index(rule.severity):
        graver = SEVERITIES[SEVERITIES.index(rule.severity) + 1 :]
        if not graver:
            raise BadInput(_("`{code}` stops already", code=rule.code), remedy=_("There is nothing graver"))
        raise BadInput(
            _("`{code}` is of severity {severity}", code=rule.code, severity=_(rule.severity)),
            remedy=_("Tighten it to {graver}", graver=_(" or ").join(graver)),
        )


def chosen() -> list[Choice]:
    """Every choice that was ever logged, newest first."""
    with connection():
        rows = list(RuleChoice.select().order_by(RuleChoice.id.desc()))
    return [
        Choice(row.code, row.choice, severity, row.reason, row.at, figures)
        for row in rows
        for severity, figures in [read(row.figure)]
    ]


def choose_sets(names: Sequence[str]) -> tuple[str, ...]:
    """Set the rule sets of this studio; none means the default.

    Raises:
        BadInput: a set that does not exist.
    """
    wanted = rule_book(dict.fromkeys(names) or DEFAULT_SETS).sets
    change_settings(rule_sets=" ".join(wanted))
    return wanted
