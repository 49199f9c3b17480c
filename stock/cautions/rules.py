"""The rules as data: read from rules/*.toml, chosen by the studio, turned into findings.

A rule file that is wrong in form is refused with its line. A rule may stop work only when its source was
seen in print or its figures were computed; one that rests on memory or on common practice says so
wherever it is shown.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date
from functools import lru_cache
from importlib.resources import files
from typing import TYPE_CHECKING, Any

from stock.cautions.facts import ACTIONS, SEVERITIES, Finding, RuleChange
from stock.errors import BadInput, NotFound

if TYPE_CHECKING:
    from importlib.resources.abc import Traversable

JURISDICTIONS = ("any", "ghs", "us-osha", "nfpa", "us-epa", "uk", "de")
STRICTEST = "strictest"
"""The rule set that takes the limits of every jurisdiction."""

DEFAULT_SETS = ("ghs", STRICTEST)
STATUSES = {
    "verified": "",
    "computed": " (computed)",
    "sheet": "",
    "memory": " (from memory, not checked)",
    "practice": "common practice, no source",
}
MAY_STOP = ("verified", "computed", "sheet")

_KEYS = {
    "code": str, "severity": str, "action": str, "status": str, "message": str, "remedy": str,
    "jurisdiction": str, "document": str, "edition": str, "clause": str, "figures": dict, "limits": list,
}  # fmt: skip
_NEEDED = ("code", "severity", "action", "status", "message", "remedy")
_LIMIT_NEEDED = ("jurisdiction", "what", "status", "document")
_CODE = re.compile(r"[a-z][a-z0-9]*(-[a-z0-9]+)*")


class BadRule(BadInput):
    """A rule file that is wrong in form; the message names the file and the line."""

    code = "bad-rule"


@dataclass(frozen=True, slots=True)
class Limit:
    """One jurisdiction's figure under a rule, e.g. the litres one cabinet may hold."""

    jurisdiction: str
    what: str
    status: str
    source: str
    figures: dict[str, Any]


@dataclass(frozen=True, slots=True)
class Rule:
    """One rule: when it speaks is code, what it says, how gravely and by whose word is data.

    `figures` are the numbers of its condition, named with their unit; `limits` the numbers that differ
    by jurisdiction. `severity` is the gravest this rule may be.
    """

    code: str
    severity: str
    action: str
    status: str
    message: str
    remedy: str
    jurisdiction: str
    source: str
    figures: dict[str, Any]
    limits: tuple[Limit, ...]

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
        )
        limits = [
            {"jurisdiction": limit.jurisdiction, "what": limit.what, **limit.figures, "source": limit.source}
            for limit in self.limits
        ]
        return {**{name: getattr(self, name) for name in own}, "limits": limits}


def cited(entry: dict[str, Any]) -> str:
    """Document, edition and clause in one line, ending in how well it was checked."""
    if entry["status"] == "practice":
        return STATUSES["practice"]
    parts = (entry.get("document", ""), entry.get("edition", ""), entry.get("clause", ""))
    return ", ".join(part for part in parts if part) + STATUSES[entry["status"]]


@dataclass(frozen=True, slots=True)
class RuleBook:
    """The rules a studio lives by: those of its rule sets, with its own changes."""

    rules: dict[str, Rule]
    sets: tuple[str, ...] = DEFAULT_SETS
    changes: dict[str, RuleChange] | None = None

    def rule(self, code: str) -> Rule:
        """One rule.

        Raises:
            NotFound: no rule has this code.
        """
        try:
            return self.rules[code]
        except KeyError:
            raise NotFound(
                f"there is no caution `{code}`", remedy="`ullage cautions --explain all` lists them"
            ) from None

    def figure(self, code: str, name: str) -> int:
        """One whole-number figure of a rule's condition, in the unit its name ends with."""
        return int(self.rule(code).figures[name])

    def applies(self, jurisdiction: str) -> bool:
        """Whether a jurisdiction's figures count in this studio."""
        return jurisdiction == "any" or jurisdiction in self.sets or STRICTEST in self.sets

    def limits(self, code: str) -> Iterator[Limit]:
        """The limits of a rule that count here."""
        return (limit for limit in self.rule(code).limits if self.applies(limit.jurisdiction))

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
        **words: Any,
    ) -> Iterator[Finding]:
        """The finding of a rule, or nothing where the studio silenced it or chose other rule sets.

        Args:
            code: the rule.
            product, place: number and name of what it is about.
            bottle: the bottle's number.
            since: the day from which it holds.
            severity, action: milder or other than the rule's own, where the case asks for it.
            source: where a limit of the rule has a source of its own.
            bottles: the bottles it means, where it means several.
            words: what the message and remedy speak of.
        """
        rule = self.rule(code)
        change = (self.changes or {}).get(code)
        if not self.applies(rule.jurisdiction) or (change is not None and change.severity is None):
            return
        grade, said = severity or rule.severity, source or rule.source
        if change is not None and change.severity is not None:
            grade = graver(grade, change.severity)
            said = f"{said}; made graver here: {change.reason}"
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
            message=rule.message.format(**named, **words),
            remedy=rule.remedy.format(**named, **words),
            source=said,
            action=action or rule.action,
            product_id=product[0] if product else None,
            place_id=place[0] if place else None,
            bottles=bottles,
        )


def graver(one: str, other: str) -> str:
    """The graver of two severities."""
    return max(one, other, key=SEVERITIES.index)


@lru_cache(maxsize=1)
def shipped() -> dict[str, Rule]:
    """Every rule that comes with Ullage, by code."""
    folder = files("stock.cautions").joinpath("rules")
    return read_rules(sorted((f for f in folder.iterdir() if f.name.endswith(".toml")), key=lambda f: f.name))


def rule_book(sets: Iterable[str] = DEFAULT_SETS, changes: Iterable[RuleChange] = ()) -> RuleBook:
    """The shipped rules as one studio chose them.

    Raises:
        BadInput: a rule set that does not exist.
    """
    chosen = tuple(sets) or DEFAULT_SETS
    for name in chosen:
        if name not in JURISDICTIONS[1:] and name != STRICTEST:
            accepted = ", ".join((*JURISDICTIONS[1:], STRICTEST))
            raise BadInput(f"there is no rule set `{name}`", remedy=f"Choose from {accepted}")
    return RuleBook(shipped(), chosen, {change.code: change for change in changes})


def read_rules(paths: Iterable[Traversable]) -> dict[str, Rule]:
    """Read rule files.

    Args:
        paths: the files, each a TOML table of `[[rule]]`.
    Raises:
        BadRule: not TOML, or a rule wrong in form; names the file and the line.
    """
    rules: dict[str, Rule] = {}
    for path in paths:
        for rule in parse_rules(path.read_text(encoding="utf-8"), path.name):
            if rule.code in rules:
                raise BadRule(f"{path.name}: the code `{rule.code}` is there twice", remedy="Rename one")
            rules[rule.code] = rule
    return rules


def parse_rules(text: str, name: str) -> list[Rule]:
    """The rules of one file's text.

    Args:
        text: TOML.
        name: the file's name, for the refusal.
    Raises:
        BadRule: with the line.
    """
    import tomllib  # noqa: PLC0415  a command that shows no caution should not pay for it

    try:
        entries = tomllib.loads(text).get("rule")
    except tomllib.TOMLDecodeError as error:
        raise BadRule(f"{name}: {error}", remedy="Mend that line") from None
    if not isinstance(entries, list) or not all(isinstance(entry, dict) for entry in entries):
        raise BadRule(f"{name}, line 1: no [[rule]] in it", remedy="Begin each rule with [[rule]]")
    starts = [at for at, line in enumerate(text.splitlines(), 1) if line.strip() == "[[rule]]"]
    return [_rule(entry, text, name, start) for entry, start in zip(entries, starts, strict=True)]


def _rule(entry: dict[str, Any], text: str, name: str, start: int) -> Rule:
    """One rule, proven in form."""

    def refuse(why: str, key: str = "") -> BadRule:
        line = _line_of(key, text, start)
        return BadRule(f"{name}, line {line}: {why}", remedy="See the contributors' guide, adding a rule")

    for key, value in entry.items():
        if key not in _KEYS or not isinstance(value, _KEYS[key]):
            raise refuse(f"`{key}` is not a key of a rule, or not of its kind", key)
    for key in _NEEDED:
        if not entry.get(key):
            raise refuse(f"the rule has no `{key}`")
    entry = {"jurisdiction": "any", "figures": {}, "limits": [], **entry}
    if not _CODE.fullmatch(entry["code"]):
        raise refuse("a code is lower case words with hyphens", "code")
    for key, accepted in (("severity", SEVERITIES), ("action", ACTIONS), ("jurisdiction", JURISDICTIONS)):
        if entry[key] not in accepted:
            raise refuse(f"`{key}` must be one of {', '.join(accepted)}", key)
    if entry["status"] not in STATUSES:
        raise refuse(f"`status` must be one of {', '.join(STATUSES)}", "status")
    if entry["status"] != "practice" and not entry.get("document"):
        raise refuse("a rule that isn't common practice names its `document`")
    if entry["severity"] == "stop" and entry["status"] not in MAY_STOP:
        raise refuse("only a rule whose source was seen or computed may stop work", "severity")
    limits = tuple(_limit(limit, entry["severity"], refuse) for limit in entry["limits"])
    return Rule(
        code=entry["code"],
        severity=entry["severity"],
        action=entry["action"],
        status=entry["status"],
        message=entry["message"],
        remedy=entry["remedy"],
        jurisdiction=entry["jurisdiction"],
        source=cited(entry),
        figures=entry["figures"],
        limits=limits,
    )


def _limit(entry: Any, severity: str, refuse: Any) -> Limit:
    if not isinstance(entry, dict):
        raise refuse("a limit is a table", "limits")
    for key in _LIMIT_NEEDED:
        if not entry.get(key):
            raise refuse(f"a limit has no `{key}`", "limits")
    if entry["jurisdiction"] not in JURISDICTIONS:
        raise refuse(f"a limit's `jurisdiction` must be one of {', '.join(JURISDICTIONS)}", "limits")
    if entry["status"] not in STATUSES or (severity == "stop" and entry["status"] not in MAY_STOP):
        raise refuse("a limit's `status` does not fit", "limits")
    known = (*_LIMIT_NEEDED, "edition", "clause")
    figures = {key: value for key, value in entry.items() if key not in known}
    return Limit(entry["jurisdiction"], entry["what"], entry["status"], cited(entry), figures)


def _line_of(key: str, text: str, start: int) -> int:
    """The line of `key` in the rule that begins on line `start`, or that line."""
    for at, line in enumerate(text.splitlines()[start:], start + 1):
        if line.strip() == "[[rule]]":
            break
        if key and re.match(rf"\s*\[*(rule\.)?{re.escape(key)}\b", line):
            return at
    return start
