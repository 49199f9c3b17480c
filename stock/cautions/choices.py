"""A studio's own word on the rules: which sets it lives by, what it silences or takes more gravely, and why."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from stock import clock
from stock.cautions.facts import SEVERITIES
from stock.cautions.rules import DEFAULT_SETS, Rule, rule_book
from stock.errors import BadInput
from stock.store.connection import connection, writing
from stock.store.models import RuleChoice
from stock.store.settings import change_settings
from stock.text import note

CHOICES = ("silence", "tighten", "default")


@dataclass(frozen=True, slots=True)
class Choice:
    """One choice as it was logged; `severity` is the graver one of a tightening."""

    code: str
    choice: str
    severity: str | None
    reason: str
    at: datetime


def choose(code: str, choice: str, *, reason: str, severity: str | None = None) -> Choice:
    """Silence a rule, take it more gravely, or go back to its default; logged with its reason.

    Args:
        code: the rule.
        choice: one of `CHOICES`.
        reason: why; may not be empty.
        severity: the graver severity of a tightening.
    Raises:
        NotFound: no such rule.
        BadInput: no reason, or a severity that isn't graver than the rule's own.
    """
    rule = rule_book().rule(code)
    why = note(reason)
    if not why:
        raise BadInput("no reason was given", remedy="Say why with --reason; it is logged")
    if choice == "tighten":
        _refuse_milder(rule, severity)
    with connection(), writing():
        at = clock.now()
        figure = severity if choice == "tighten" and severity else ""
        RuleChoice.insert(code=code, choice=choice, figure=figure, reason=why, at=at).execute()
    return Choice(code, choice, severity, why, at)


def _refuse_milder(rule: Rule, severity: str | None) -> None:
    if severity not in SEVERITIES or SEVERITIES.index(severity) <= SEVERITIES.index(rule.severity):
        graver = SEVERITIES[SEVERITIES.index(rule.severity) + 1 :]
        if not graver:
            raise BadInput(f"`{rule.code}` stops already", remedy="There is nothing graver")
        raise BadInput(
            f"`{rule.code}` is of severity {rule.severity}", remedy=f"Tighten it to {' or '.join(graver)}"
        )


def chosen() -> list[Choice]:
    """Every choice that was ever logged, newest first."""
    with connection():
        rows = list(RuleChoice.select().order_by(RuleChoice.id.desc()))
    return [Choice(row.code, row.choice, row.figure or None, row.reason, row.at) for row in rows]


def choose_sets(names: Sequence[str]) -> tuple[str, ...]:
    """Set the rule sets of this studio; none means the default.

    Raises:
        BadInput: a set that does not exist.
    """
    wanted = rule_book(dict.fromkeys(names) or DEFAULT_SETS).sets
    change_settings(rule_sets=" ".join(wanted))
    return wanted
