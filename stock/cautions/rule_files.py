"""Reading rule files and checking their form; a wrong file is refused with its line."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from stock import remedies
from stock.cautions import rule_entries, rule_figures
from stock.cautions.facts import ACTIONS, SEVERITIES
from stock.cautions.rules import (
    DIRECTIONS,
    JURISDICTIONS,
    MAY_STOP,
    STATUSES,
    BadRule,
    Limit,
    Rule,
    cited,
    whole_figures,
)
from stock.language import _

_KEYS: dict[str, type | tuple[type, ...]] = {
    "code": str, "severity": str, "action": str, "status": str, "message": str, "remedy": (str, list),
    "jurisdiction": str, "document": str, "edition": str, "clause": str, "figures": dict, "tighter": dict,
    "limits": list, "exceptions": str, "otherwise": str,
}  # fmt: skip
_NEEDED = ("code", "severity", "action", "status", "message", "remedy")
_LIMIT_NEEDED = ("jurisdiction", "what", "status", "document", "edition")
_LIMIT_KEYS = (*_LIMIT_NEEDED, "clause", "severity")

_CODE = r"[a-z][a-z0-9]*(-[a-z0-9]+)*"


def read_rules(texts: Mapping[str, str]) -> dict[str, Rule]:
    """The rules of files, by code.

    Args:
        texts: what each file holds, by its name: a TOML table of `[[rule]]`.
    Raises:
        BadRule: not TOML, or a rule wrong in form; names the file and the line.
    """
    rules: dict[str, Rule] = {}
    read_before = rule_entries.of_files(texts)
    for name, text in texts.items():
        before = read_before.get(name)
        found = parse_rules(text, name) if before is None else list(map(_rule, before))
        for rule in found:
            if rule.code in rules:
                raise BadRule(
                    _("{name}: the code `{code}` is there twice", name=name, code=rule.code),
                    remedy=_("Rename one"),
                )
            rules[rule.code] = rule
    return rules


def parse_rules(text: str, name: str) -> list[Rule]:
    """The rules of one file's text, each with its form checked.

    Args:
        text: TOML.
        name: the file's name, for the refusal.
    Raises:
        BadRule: with the line.
    """
    import tomli  # the shipped files' entries are cached

    try:
        entries = tomli.loads(text).get("rule")
    except tomli.TOMLDecodeError as error:
        raise BadRule(f"{name}: {error}", remedy=_("Mend that line")) from None
    if not isinstance(entries, list) or not all(isinstance(entry, dict) for entry in entries):
        raise BadRule(
            _("{name}, line 1: no [[rule]] in it", name=name), remedy=_("Begin each rule with [[rule]]")
        )
    starts = [at for at, line in enumerate(text.splitlines(), 1) if line.strip() == "[[rule]]"]
    for entry, start in zip(entries, starts, strict=True):
        _prove(entry, text, name, start)
    return list(map(_rule, entries))


def _rule(entry: dict[str, Any]) -> Rule:
    """The rule of an entry whose form was checked."""
    remedy = remedies.written(entry["remedy"])
    assert remedy is not None
    return Rule(
        code=entry["code"],
        severity=entry["severity"],
        action=entry["action"],
        status=entry["status"],
        message=_(entry["message"]),
        remedy=remedy,
        jurisdiction=entry.get("jurisdiction", "any"),
        source=cited(entry),
        figures=entry.get("figures", {}),
        tighter=entry.get("tighter", {}),
        limits=tuple(map(_limit, entry.get("limits", ()))),
        exceptions=entry.get("exceptions", ""),
        otherwise=entry.get("otherwise", ""),
    )


def _limit(entry: dict[str, Any]) -> Limit:
    """The limit of an entry whose form was checked."""
    figures = {key: value for key, value in entry.items() if key not in _LIMIT_KEYS}
    return Limit(
        entry["jurisdiction"], _(entry["what"]), entry["status"], cited(entry), figures, entry.get("severity")
    )


def _prove(entry: dict[str, Any], text: str, name: str, start: int) -> None:
    """Refuse an entry that doesn't have the form of a rule.

    Raises:
        BadRule: with the line.
    """

    def refuse(why: str, key: str = "", nth: int = 0) -> BadRule:
        line = _line_of(key, text, start, nth)
        return BadRule(
            _("{name}, line {line}: {why}", name=name, line=line, why=why),
            remedy=_("See the contributors' guide, adding a rule"),
        )

    for key, value in entry.items():
        if key not in _KEYS or not isinstance(value, _KEYS[key]):
            raise refuse(_("`{key}` is not a key of a rule, or not of its kind", key=key), key)
    for key in _NEEDED:
        if not entry.get(key):
            raise refuse(_("the rule has no `{key}`", key=key))
    entry = {"jurisdiction": "any", "figures": {}, "tighter": {}, "limits": [], **entry}
    remedy = remedies.written(entry["remedy"])
    if remedy is None:
        raise refuse(
            _("`remedy` is a text, or a list of texts and of what they name, as `do` or as `option`"),
            "remedy",
        )
    for key, parts in (("message", [entry["message"]]), ("remedy", remedy.parts)):
        if not all(_can_be_filled(str(part)) for part in parts):
            raise refuse(_("the braces of `{key}` don't match", key=key), key)
    if not re.fullmatch(_CODE, entry["code"]):
        raise refuse(_("a code is lower case words with hyphens"), "code")
    for key, accepted in (("severity", SEVERITIES), ("action", ACTIONS), ("jurisdiction", JURISDICTIONS)):
        if entry[key] not in accepted:
            raise refuse(_("`{key}` must be one of {accepted}", key=key, accepted=", ".join(accepted)), key)
    if entry["status"] not in STATUSES:
        raise refuse(_("`status` must be one of {statuses}", statuses=", ".join(STATUSES)), "status")
    if entry["status"] != "practice" and not entry.get("document"):
        raise refuse(_("a rule that isn't common practice names its `document`"))
    if entry["severity"] == "stop" and entry["status"] not in MAY_STOP:
        raise refuse(_("only a rule whose source was seen or computed may stop work"), "severity")
    _prove_limits(entry, refuse)
    _prove_figures(entry, refuse)


def _can_be_filled(text: str) -> bool:
    from string import Formatter  # loaded with the rules alone

    try:
        return all(name is None or name.isidentifier() for _, name, _, _ in Formatter().parse(text))
    except ValueError:
        return False


def _prove_figures(entry: dict[str, Any], refuse: Any) -> None:
    """Refuse figures that are no whole numbers or don't say which way they are tightened."""
    for name, value in entry["figures"].items():
        if type(value) is not int or value < 0:
            raise refuse(_("the figure `{name}` is no whole number", name=name), "figures")
    names = {*entry["figures"], *(name for limit in entry["limits"] for name in whole_figures(limit))}
    for name in sorted(names - set(rule_figures.figure_units())):
        raise refuse(
            _("rule_figures.csv doesn't say what `{name}` is called and in which unit it is", name=name),
            "figures",
        )
    for name, direction in entry["tighter"].items():
        if name not in names or direction not in DIRECTIONS:
            raise refuse(
                _("`{name}` is no figure of the rule, or neither lower nor higher", name=name), "tighter"
            )
    for name in sorted(names - set(entry["tighter"])):
        raise refuse(
            _("it isn't said in `tighter` whether `{name}` is stricter lower or higher", name=name), "figures"
        )


def _prove_limits(entry: dict[str, Any], refuse: Any) -> None:
    for nth, limit in enumerate(entry["limits"]):
        _prove_limit(limit, nth, entry["severity"], refuse)
    sets = {limit["jurisdiction"] for limit in entry["limits"]}
    if entry.get("otherwise") and entry["otherwise"] not in sets:
        raise refuse(_("`otherwise` names a rule set that has no limit here"), "otherwise")


def _prove_limit(entry: Any, nth: int, severity: str, refuse: Any) -> None:
    """Refuse the `nth` limit of a rule if it doesn't have the form of one."""

    def wrong(why: str) -> BadRule:
        found: BadRule = refuse(why, "limits", nth)
        return found

    if not isinstance(entry, dict):
        raise wrong(_("a limit is a table"))
    for key in _LIMIT_NEEDED:
        if not entry.get(key):
            raise wrong(_("a limit has no `{key}`", key=key))
    if entry["jurisdiction"] not in JURISDICTIONS:
        raise wrong(
            _(
                "a limit's `jurisdiction` must be one of {jurisdictions}",
                jurisdictions=", ".join(JURISDICTIONS),
            )
        )
    milder = entry.get("severity")
    if milder is not None and milder not in SEVERITIES[: SEVERITIES.index(severity)]:
        raise wrong(_("a limit's `severity` is only given where it is milder than its rule's"))
    stops = severity == "stop" and milder is None
    if entry["status"] not in STATUSES or (stops and entry["status"] not in MAY_STOP):
        raise wrong(_("a limit's `status` does not fit"))


def _line_of(key: str, text: str, start: int, nth: int) -> int:
    """The line where `key` stands for the `nth` time in the rule that begins on line `start`, or that line."""
    found = []
    for at, line in enumerate(text.splitlines()[start:], start + 1):
        if line.strip() == "[[rule]]":
            break
        if key and re.match(rf"\s*\[*(rule\.)?{re.escape(key)}\b", line):
            found.append(at)
    return found[min(nth, len(found) - 1)] if found else start
