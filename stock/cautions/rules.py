"""The rules as data, and the rule book of a studio, which turns them into findings; `rule_files` reads them.

A rule may stop work only if its source was seen in print or its figures were computed. A rule from memory or common
practice says so wherever it is shown.
"""

import os
from collections.abc import Iterable, Iterator
from datetime import date
from functools import lru_cache
from typing import Any

from stock.cautions import rule_figures
from stock.cautions.facts import DEADLY, OF_PAIRS, SEVERITIES, Finding, RuleChange
from stock.errors import BadInput, NotFound
from stock.language import N_, _
from stock.named_tuples import NamedTuple
from stock.remedies import Do, Remedy
from stock.shipped_files import path_of, text_of

JURISDICTIONS = (
    "any", "ghs", "us-osha", "nfpa", "ifc", "us-epa", "uk", "de", "eu-general", "fr", "ca", "au",
)  # fmt: skip
INCLUDES = {"de": ("eu-general",), "fr": ("eu-general",)}
"""Rule sets that include others: the rules of a member state include those of the European Union."""

STRICTEST = "strictest"
"""The rule set that takes the limits of every jurisdiction."""

OF_NO_PLACE = ("any", "ghs", "us-epa")
"""Rule sets without limits for stock in a place."""

DEFAULT_SETS = ("ghs", STRICTEST)
STATUSES = {
    "verified": "",
    "computed": _(" (computed)"),
    "sheet": "",
    "memory": _(" (from memory, not checked)"),
    "practice": _("common practice, no source"),
}
_NAMES = ("{product}", "{place}", "{one}", "{names}", "{open}")
MAY_STOP = ("verified", "computed", "sheet")

DIRECTIONS = {N_("lower"): min, N_("higher"): max}
"""The words for which way a figure is tightened, each with the function that gives the tighter of two."""


class BadRule(BadInput):
    """A rule file that is wrong in form; the message names the file and the line."""

    code = "bad-rule"


class Limit(NamedTuple):
    """One jurisdiction's figure under a rule, e.g. the litres one cabinet may hold.

    `severity` is the gravest severity of its findings if milder than the rule's, else None.
    """

    jurisdiction: str
    what: str
    status: str
    source: str
    figures: dict[str, Any]
    severity: str | None = None


class Rule(NamedTuple):
    """One rule. Its condition is code; its message, severity, figures and source are data.

    `figures` are the numbers of its condition, named with their unit; `limits` the numbers that differ by jurisdiction;
    `tighter` says for each figure whether `lower` or `higher` is stricter. `severity` is the gravest severity of its
    findings. `exceptions` says what the source excepts and how this program treats it. `otherwise` is the rule set
    whose limits count if none of the studio's rule sets has a limit; empty if there is none.
    """

    code: str
    severity: str
    action: str
    status: str
    message: str
    remedy: Remedy
    jurisdiction: str
    source: str
    figures: dict[str, int]
    tighter: dict[str, str]
    limits: tuple[Limit, ...]
    exceptions: str = ""
    otherwise: str = ""

    def as_json(self) -> dict[str, Any]:
        """Everything about the rule, as `ullage cautions --explain` prints it."""
        own = (
            "code",
            "severity",
            "action",
            "status",
            "message",
            "remedy",
            "jurisdiction",
            "source",
            "figures",
            "tighter",
            "exceptions",
            "otherwise",
        )
        limits = [
            {"jurisdiction": limit.jurisdiction, "what": limit.what, **limit.figures, "source": limit.source}
            for limit in self.limits
        ]
        return {**{name: getattr(self, name) for name in own}, "limits": limits}


def cited(entry: dict[str, Any]) -> str:
    """Document, edition and clause in one line, with how well they were checked at its end."""
    if entry["status"] == "practice":
        return STATUSES["practice"]
    parts = (entry.get("document", ""), entry.get("edition", ""), entry.get("clause", ""))
    return ", ".join(part for part in parts if part) + STATUSES[entry["status"]]


class RuleBook(NamedTuple):
    """The rules of a studio: those of its rule sets, with its own changes.

    `rule_book` returns the same object for the same choices, so findings can be cached by a book's identity.
    """

    rules: dict[str, Rule]
    sets: tuple[str, ...] = DEFAULT_SETS
    changes: dict[str, RuleChange] | None = None
    silences: tuple[RuleChange, ...] = ()

    def __hash__(self) -> int:
        return id(self)

    def __eq__(self, other: object) -> bool:
        return self is other

    def rule(self, code: str) -> Rule:
        """One rule.

        Raises:
            NotFound: no rule has this code.
        """
        try:
            return self.rules[code]
        except KeyError:
            raise NotFound(
                _("there is no caution `{code}`", code=code),
                remedy=Remedy(Do("cautions", "--explain", "all"), _(" lists them")),
            ) from None

    def figure(self, code: str, name: str) -> int:
        """A figure of a rule's condition with the studio's changes, in the unit that its name ends with."""
        rule = self.rule(code)
        return self._tightened(rule, name, rule.figures[name])

    def own_figure(self, code: str, name: str) -> int | None:
        """The studio's own, tighter figure; None if it chose none."""
        change = (self.changes or {}).get(code)
        return dict(change.figures).get(name) if change is not None else None

    def _tightened(self, rule: Rule, name: str, figure: int) -> int:
        own = self.own_figure(rule.code, name)
        return figure if own is None else DIRECTIONS[rule.tighter[name]](figure, own)

    def applies(self, jurisdiction: str) -> bool:
        """Whether a jurisdiction's figures count in this studio."""
        if jurisdiction == "any" or jurisdiction in self.sets or STRICTEST in self.sets:
            return True
        return any(jurisdiction in INCLUDES.get(chosen, ()) for chosen in self.sets)

    def limits(self, code: str) -> Iterator[Limit]:
        """The limits of a rule that count here, as tight as the studio made them.

        If no rule set of the studio has one, those of the set `otherwise` count and say so.
        """
        rule = self.rule(code)
        here = [limit for limit in rule.limits if self.applies(limit.jurisdiction)]
        places = ", ".join(name for name in self.sets if name not in OF_NO_PLACE)
        if not here and places:
            here = [
                limit._replace(
                    what=_(
                        "{what}; no limit of {places} is known, this is that of {otherwise}",
                        what=limit.what,
                        places=places,
                        otherwise=rule.otherwise,
                    )
                )
                for limit in rule.limits
                if limit.jurisdiction == rule.otherwise
            ]
        if code not in (self.changes or {}):
            yield from here
            return
        for limit in here:
            own = {
                name: self._tightened(rule, name, limit.figures[name])
                for name in whole_figures(limit.figures)
            }
            yield limit._replace(figures={**limit.figures, **own})

    def find(
        self,
        code: str,
        *,
        product: tuple[int, str] | None = None,
        bottle: int | None = None,
        place: tuple[int, str] | None = None,
        since: date | None = None,
        severity: str | None = None,
        action: str | None = None,
        source: str | None = None,
        bottles: tuple[int, ...] = (),
        danger: int = 0,
        others: tuple[str, ...] = (),
        **words: Any,
    ) -> Iterator[Finding]:
        """The finding of a rule; nothing if the studio silenced the rule or chose other rule sets.

        A finding about a gas that kills ignores silences.

        Args:
            code: the rule.
            product, place: number and name of what it is about.
            bottle: the bottle's number.
            since: the day from which it holds.
            severity, action: in place of the rule's own; a severity must be milder.
            source: where a limit of the rule has a source of its own.
            bottles: the bottles it means, where it means several.
            danger, others: as in `Finding`. Silences of pairs are checked by `silent_of_pair`, not here.
            words: the values of the placeholders in message and remedy.
        """
        rule = self.rule(code)
        change = (self.changes or {}).get(code)
        if not self.applies(rule.jurisdiction):
            return
        about = (
            product[0] if product else None,
            (bottle,) if bottle else bottles,
            place[0] if place else None,
        )
        if danger < DEADLY and self._silenced(code, change, about):
            return
        grade, said = severity or rule.severity, source or rule.source
        if change is not None and change.severity is not None:
            grade = graver(grade, change.severity)
            said = _("{said}; made graver here: {reason}", said=said, reason=change.reason)
        if change is not None and change.figures:
            own = rule_figures.all_in_words(dict(change.figures))
            said = _("{said}; tighter here ({own}): {reason}", said=said, own=own, reason=change.reason)
        named = {
            "product": product[1] if product else "",
            "bottle": bottle,
            "place": place[1] if place else "",
        }
        yield Finding(
            code=code,
            severity=grade,
            product=product[1] if product else None,
            bottle=bottle,
            place=place[1] if place else None,
            since=since,
            message=_sentence(rule.message, {**named, **words}),
            remedy=rule.remedy.filled({**named, **words}),
            source=said,
            action=action or rule.action,
            product_id=product[0] if product else None,
            place_id=place[0] if place else None,
            bottles=bottles,
            danger=danger,
            others=others,
        )

    def silent_about(self, code: str, product: int, bottle: int | None = None) -> bool:
        """Whether a rule is silenced for a product or a bottle of it that a finding about several would name."""
        bottles = () if bottle is None else (bottle,)
        return any(each.code == code and each.covers(product, bottles, None) for each in self.silences)

    def silent_of_pair(self, code: str, one: int, other: int, danger: int = 0) -> bool:
        """Whether a rule is silenced for two products together; never if a gas that kills could form."""
        return danger < DEADLY and any(
            each.code == code and each.covers_pair(one, other) for each in self.silences
        )

    def _silenced(self, code: str, change: RuleChange | None, about: tuple[Any, Any, Any]) -> bool:
        if change is not None and change.silences:
            return True
        if code in OF_PAIRS:
            return False
        return any(each.code == code and each.covers(*about) for each in self.silences)


def _sentence(message: str, words: dict[str, Any]) -> str:
    """A message with its words filled in and a capital first letter, unless it begins with a name."""
    text = message.format(**words)
    return text if message.startswith(_NAMES) else text[:1].upper() + text[1:]


def graver(one: str, other: str) -> str:
    """The graver of two severities."""
    return max(one, other, key=SEVERITIES.index)


def whole_figures(figures: dict[str, Any]) -> list[str]:
    """The names of the figures that are numbers."""
    return [name for name, value in figures.items() if type(value) is int]


@lru_cache(maxsize=1)
def shipped() -> dict[str, Rule]:
    """Every rule that comes with Ullage, by code."""
    from stock.cautions.rule_files import read_rules  # once in a process that shows a caution

    names = sorted(name for name in os.listdir(path_of("cautions", "rules")) if name.endswith(".toml"))
    return read_rules({name: text_of("cautions", "rules", name) for name in names})


def rule_book(sets: Iterable[str] = DEFAULT_SETS, changes: Iterable[RuleChange] = ()) -> RuleBook:
    """The shipped rules as one studio chose them.

    Raises:
        BadInput: a rule set that does not exist.
    """
    return _rule_book(tuple(sets) or DEFAULT_SETS, tuple(changes))


@lru_cache(maxsize=16)
def _rule_book(chosen: tuple[str, ...], changes: tuple[RuleChange, ...]) -> RuleBook:
    for name in chosen:
        if name not in JURISDICTIONS[1:] and name != STRICTEST:
            accepted = ", ".join((*JURISDICTIONS[1:], STRICTEST))
            raise BadInput(
                _("there is no rule set `{name}`", name=name),
                remedy=_("Choose from {accepted}", accepted=accepted),
            )
    whole = {change.code: change for change in changes if not change.scoped}
    return RuleBook(shipped(), chosen, whole, tuple(change for change in changes if change.scoped))
