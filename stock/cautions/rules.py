"""The rules as data: read from rules/*.toml, chosen by the studio, turned into findings.

A rule file that is wrong in form is refused with its line. A rule may stop work only when its source was
seen in print or its figures were computed; one that rests on memory or on common practice says so
wherever it is shown.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from datetime import date
from functools import lru_cache
from pathlib import Path
from typing import Any, NamedTuple

from stock import remedies
from stock.cautions.facts import ACTIONS, SEVERITIES, Finding, RuleChange
from stock.errors import BadInput, NotFound
from stock.remedies import Do, Remedy

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

_KEYS: dict[str, type | tuple[type, ...]] = {
    "code": str, "severity": str, "action": str, "status": str, "message": str, "remedy": (str, list),
    "jurisdiction": str, "document": str, "edition": str, "clause": str, "figures": dict, "tighter": dict,
    "limits": list, "exceptions": str,
}  # fmt: skip
_NEEDED = ("code", "severity", "action", "status", "message", "remedy")
_LIMIT_NEEDED = ("jurisdiction", "what", "status", "document")
DIRECTIONS = {"lower": min, "higher": max}
"""Which way a figure is tightened, and the tighter of two."""

_CODE = re.compile(r"[a-z][a-z0-9]*(-[a-z0-9]+)*")


class BadRule(BadInput):
    """A rule file that is wrong in form; the message names the file and the line."""

    code = "bad-rule"


class Limit(NamedTuple):
    """One jurisdiction's figure under a rule, e.g. the litres one cabinet may hold."""

    jurisdiction: str
    what: str
    status: str
    source: str
    figures: dict[str, Any]


class Rule(NamedTuple):
    """One rule: when it speaks is code, what it says, how gravely and by whose word is data.

    `figures` are the numbers of its condition, named with their unit; `limits` the numbers that differ
    by jurisdiction; `tighter` says of each figure whether `lower` or `higher` is the stricter. `severity` is
    the gravest this rule may be. `exceptions` tells what the source excepts and what is done about it here.
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


class RuleBook(NamedTuple):
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
                f"there is no caution `{code}`",
                remedy=Remedy(Do("cautions", "--explain", "all"), " lists them"),
            ) from None

    def figure(self, code: str, name: str) -> int:
        """One figure of a rule's condition as it counts here, in the unit its name ends with."""
        rule = self.rule(code)
        return self._tightened(rule, name, rule.figures[name])

    def own_figure(self, code: str, name: str) -> int | None:
        """The studio's own, tighter figure; None where it chose none."""
        change = (self.changes or {}).get(code)
        return dict(change.figures).get(name) if change is not None else None

    def _tightened(self, rule: Rule, name: str, figure: int) -> int:
        own = self.own_figure(rule.code, name)
        return figure if own is None else DIRECTIONS[rule.tighter[name]](figure, own)

    def applies(self, jurisdiction: str) -> bool:
        """Whether a jurisdiction's figures count in this studio."""
        return jurisdiction == "any" or jurisdiction in self.sets or STRICTEST in self.sets

    def limits(self, code: str) -> Iterator[Limit]:
        """The limits of a rule that count here, as tight as the studio made them."""
        rule = self.rule(code)
        here = (limit for limit in rule.limits if self.applies(limit.jurisdiction))
        if code not in (self.changes or {}):
            yield from here
            return
        for limit in here:
            own = {name: self._tightened(rule, name, limit.figures[name]) for name in _whole(limit.figures)}
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
            danger: as of a `Finding`.
            words: what the message and remedy speak of.
        """
        rule = self.rule(code)
        change = (self.changes or {}).get(code)
        if not self.applies(rule.jurisdiction) or (change is not None and change.silences):
            return
        grade, said = severity or rule.severity, source or rule.source
        if change is not None and change.severity is not None:
            grade = graver(grade, change.severity)
            said = f"{said}; made graver here: {change.reason}"
        if change is not None and change.figures:
            own = ", ".join(f"{name} = {value}" for name, value in change.figures)
            said = f"{said}; tighter here ({own}): {change.reason}"
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
            remedy=rule.remedy.filled({**named, **words}),
            source=said,
            action=action or rule.action,
            product_id=product[0] if product else None,
            place_id=place[0] if place else None,
            bottles=bottles,
            danger=danger,
        )


def graver(one: str, other: str) -> str:
    """The graver of two severities."""
    return max(one, other, key=SEVERITIES.index)


def _whole(figures: dict[str, Any]) -> list[str]:
    """The names of the figures that are numbers."""
    return [name for name, value in figures.items() if type(value) is int]


@lru_cache(maxsize=1)
def shipped() -> dict[str, Rule]:
    """Every rule that comes with Ullage, by code."""
    return read_rules(sorted((Path(__file__).parent / "rules").glob("*.toml")))


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


def read_rules(paths: Iterable[Path]) -> dict[str, Rule]:
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
    import tomllib  # a command that shows no caution should not pay for it

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

    def refuse(why: str, key: str = "", nth: int = 0) -> BadRule:
        line = _line_of(key, text, start, nth)
        return BadRule(f"{name}, line {line}: {why}", remedy="See the contributors' guide, adding a rule")

    for key, value in entry.items():
        if key not in _KEYS or not isinstance(value, _KEYS[key]):
            raise refuse(f"`{key}` is not a key of a rule, or not of its kind", key)
    for key in _NEEDED:
        if not entry.get(key):
            raise refuse(f"the rule has no `{key}`")
    entry = {"jurisdiction": "any", "figures": {}, "tighter": {}, "limits": [], **entry}
    remedy = remedies.written(entry["remedy"])
    if remedy is None:
        raise refuse(
            "`remedy` is a text, or a list of texts and of what they name, as `do` or as `option`", "remedy"
        )
    for key, parts in (("message", [entry["message"]]), ("remedy", remedy.parts)):
        if not all(_can_be_filled(str(part)) for part in parts):
            raise refuse(f"the braces of `{key}` don't match", key)
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
    limits = tuple(_limit(limit, nth, entry["severity"], refuse) for nth, limit in enumerate(entry["limits"]))
    _prove_figures(entry, limits, refuse)
    return Rule(
        code=entry["code"],
        severity=entry["severity"],
        action=entry["action"],
        status=entry["status"],
        message=entry["message"],
        remedy=remedy,
        jurisdiction=entry["jurisdiction"],
        source=cited(entry),
        figures=entry["figures"],
        tighter=entry["tighter"],
        limits=limits,
        exceptions=entry.get("exceptions", ""),
    )


def _can_be_filled(text: str) -> bool:
    from string import Formatter  # loaded with the rules alone

    try:
        return all(name is None or name.isidentifier() for _, name, _, _ in Formatter().parse(text))
    except ValueError:
        return False


def _prove_figures(entry: dict[str, Any], limits: Sequence[Limit], refuse: Any) -> None:
    """Every figure is a whole number, and it is said which way each is tightened."""
    for name, value in entry["figures"].items():
        if type(value) is not int or value < 0:
            raise refuse(f"the figure `{name}` is no whole number", "figures")
    names = {*entry["figures"], *(name for limit in limits for name in _whole(limit.figures))}
    for name, direction in entry["tighter"].items():
        if name not in names or direction not in DIRECTIONS:
            raise refuse(f"`{name}` is no figure of the rule, or neither lower nor higher", "tighter")
    for name in sorted(names - set(entry["tighter"])):
        raise refuse(f"it isn't said in `tighter` whether `{name}` is stricter lower or higher", "figures")


def _limit(entry: Any, nth: int, severity: str, refuse: Any) -> Limit:
    """The `nth` limit of a rule, proven in form."""

    def wrong(why: str) -> BadRule:
        found: BadRule = refuse(why, "limits", nth)
        return found

    if not isinstance(entry, dict):
        raise wrong("a limit is a table")
    for key in _LIMIT_NEEDED:
        if not entry.get(key):
            raise wrong(f"a limit has no `{key}`")
    if entry["jurisdiction"] not in JURISDICTIONS:
        raise wrong(f"a limit's `jurisdiction` must be one of {', '.join(JURISDICTIONS)}")
    if entry["status"] not in STATUSES or (severity == "stop" and entry["status"] not in MAY_STOP):
        raise wrong("a limit's `status` does not fit")
    known = (*_LIMIT_NEEDED, "edition", "clause")
    figures = {key: value for key, value in entry.items() if key not in known}
    return Limit(entry["jurisdiction"], entry["what"], entry["status"], cited(entry), figures)


def _line_of(key: str, text: str, start: int, nth: int) -> int:
    """The line where `key` stands for the `nth` time in the rule that begins on line `start`, or that line."""
    found = []
    for at, line in enumerate(text.splitlines()[start:], start + 1):
        if line.strip() == "[[rule]]":
            break
        if key and re.match(rf"\s*\[*(rule\.)?{re.escape(key)}\b", line):
            found.append(at)
    return found[min(nth, len(found) - 1)] if found else start
