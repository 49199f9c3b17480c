"""`ullage cautions`, `classify`, `caution-rule`: what is wrong, by whose rule, and what this studio says of it."""

from collections.abc import Iterator, Sequence
from typing import Any

from stock import units
from stock.cli.frame import Context, Result, command
from stock.cli.show import table
from stock.text import plain

SAFETY = (
    "Figures are estimates from what was entered; the safety data sheet, local fire and environmental codes "
    "and licensed practice decide."
)
HEADINGS = {
    "dont_mix": "Don't mix",
    "throw_away": "Throw away, or test first",
    "move": "Move",
    "use_first": "Use first",
    "find_out": "Find out",
    "take_care": "Take care",
}


def register(commands: Any) -> None:
    """Add the parsers."""
    cautions = command(commands, "cautions", show_cautions, "what to use first, move, throw away, find out")
    cautions.add_argument("--fail", action="store_true", help="exit 1 when one is of severity stop")
    cautions.add_argument(
        "--explain", metavar="CODE", help="a rule's figures and source; `all` lists the rules"
    )
    cautions.add_argument("--moves", action="store_true", help="what to move where so that every limit holds")
    classes = command(commands, "classify", show_classes, "how flammable a liquid counts as")
    classes.add_argument(
        "--flash-point", metavar="18C", help="closed cup; without it the worse case is taken"
    )
    classes.add_argument("--boiling-point", metavar="78C", help="initial boiling point")
    _register_rules(commands)


def _register_rules(commands: Any) -> None:
    rules = commands.add_parser(
        "caution-rule", help="silence a caution, take it more gravely, pick rule sets"
    )
    verbs = rules.add_subparsers(dest="verb", required=True, metavar="VERB")
    helps = {
        "silence": "stop showing a caution",
        "tighten": "take a caution more gravely",
        "restore": "take a caution by its own severity again",
    }
    for verb, words in helps.items():
        parser = command(verbs, verb, change_rule, words)
        parser.add_argument("code")
        parser.add_argument("--reason", required=True, help="why; it is logged in the books")
        if verb == "tighten":
            parser.add_argument("--to", choices=("warn", "stop"), required=True)
    sets = command(verbs, "sets", pick_sets, "the codes this studio lives by: ghs, us-osha, nfpa, uk, de ...")
    sets.add_argument("names", nargs="*", metavar="SET")
    command(verbs, "list", list_choices, "what this studio chose, and why")


def show_cautions(args: Any, context: Context) -> Result:
    """`ullage cautions`."""
    if args.explain is not None:
        return explain(args.explain)
    from stock.cautions import books  # noqa: PLC0415 - loads the tables

    context.open()
    told = books.facts(context.as_of())
    day = context.as_of() or context.today()
    found = books.findings(context.as_of(), told)
    answer: dict[str, Any] = {"as_of": day.isoformat(), "findings": [each.as_json() for each in found]}
    lines = [*_finding_lines(found), *_silenced_lines(told.changes), "", SAFETY]
    if args.moves:
        moved = books.moves(told)
        answer["moves"] = [each.as_json() for each in moved]
        lines = _move_lines(moved)
    stops = any(each.severity == "stop" for each in found)
    return Result(answer, lines, 1 if args.fail and stops else 0)


def _finding_lines(found: Sequence[Any]) -> Iterator[str]:
    """Findings by what to do about them, gravest first in each."""
    if not found:
        yield "Nothing to be careful of by these rules."
    for action, heading in HEADINGS.items():
        rows = [each for each in found if each.action == action]
        if not rows:
            continue
        yield f"{heading} ({len(rows)})"
        for each in rows:
            about = ", ".join(_about(each))
            yield f"  {each.severity.upper():5}{plain(about, 90)}{': ' if about else ''}{plain(each.message, 500)}"
            yield f"       {plain(each.remedy, 500)}"
            yield f"       [{each.code}] {plain(each.source, 500)}"


def _about(finding: Any) -> Iterator[str]:
    if finding.product:
        yield finding.product
    if finding.bottle:
        yield f"bottle {finding.bottle}"
    if finding.place and finding.place not in finding.message:
        yield finding.place


def _silenced_lines(changes: Sequence[Any]) -> Iterator[str]:
    for change in changes:
        if change.severity is None:
            yield f"Silenced here: {change.code} ({plain(change.reason)})"


def _move_lines(moved: Sequence[Any]) -> list[str]:
    if not moved:
        return ["Nothing needs to be moved."]
    rows = [
        (each.bottle, each.product, each.come_from, each.to or "no place here fits", each.why)
        for each in moved
    ]
    return table(("bottle>", "product", "from", "to", "why"), rows, most=60)


def explain(code: str) -> Result:
    """`ullage cautions --explain CODE`: needs no books."""
    from stock.cautions.rules import rule_book  # noqa: PLC0415 - only here

    book = rule_book()
    if code == "all":
        rules = sorted(book.rules.values(), key=lambda rule: rule.code)
        rows = [(rule.code, rule.severity, HEADINGS[rule.action], rule.source) for rule in rules]
        lines = table(("code", "severity", "what to do", "source"), rows, most=80)
        return Result({"rules": [rule.as_json() for rule in rules]}, lines)
    rule = book.rule(code)
    lines = [
        f"{rule.code}: {rule.severity}, {HEADINGS[rule.action].lower()}",
        f"  says     {rule.message}",
        f"  remedy   {rule.remedy}",
        f"  source   {rule.source}",
    ]
    if rule.jurisdiction != "any":
        lines.append(f"  holds    where the rule set {rule.jurisdiction} is chosen")
    lines += [f"  figure   {name} = {value}" for name, value in rule.figures.items()]
    for limit in rule.limits:
        figures = ", ".join(f"{name} = {value}" for name, value in limit.figures.items())
        lines.append(f"  limit    {limit.jurisdiction}: {limit.what}: {figures} ({limit.source})")
    return Result(rule.as_json(), lines)


def show_classes(args: Any, context: Context) -> Result:  # noqa: ARG001 - every command takes its context
    """`ullage classify`: needs no books."""
    from stock.cautions.classification import classify  # noqa: PLC0415 - only here

    flash = units.temperature(args.flash_point) if args.flash_point is not None else None
    boils = units.temperature(args.boiling_point) if args.boiling_point is not None else None
    found = classify(flash, boils)
    lines = [
        f"GHS      {_category(found)}",
        f"OSHA     {f'category {found.osha}' if found.osha else 'not flammable'}",
        f"NFPA 30  {f'class {found.nfpa}' if found.nfpa else 'none'}",
        *(f"Not known, so the worse case is taken: {each.replace('_', ' ')}" for each in found.assumed),
        *(f"Note: {each}" for each in found.between),
        SAFETY,
    ]
    return Result(found.as_json(), lines)


def _category(found: Any) -> str:
    if found.ghs is None:
        return "not flammable by its flash point"
    return f"category {found.ghs}: {found.hazard} {found.phrase}; signal word {found.signal}"


def change_rule(args: Any, context: Context) -> Result:
    """`ullage caution-rule silence|tighten|restore`."""
    from stock.cautions.choices import choose  # noqa: PLC0415 - loads the tables

    context.open()
    choice = "default" if args.verb == "restore" else args.verb
    made = choose(args.code, choice, reason=args.reason, severity=getattr(args, "to", None))
    words = {
        "silence": "is silenced",
        "tighten": f"is taken as {made.severity}",
        "default": "is as it was made",
    }
    return Result(_choice_json(made), [f"{made.code} {words[choice]}: {made.reason}"])


def _choice_json(made: Any) -> dict[str, Any]:
    from stock import clock  # noqa: PLC0415 - only here

    return {
        "code": made.code,
        "choice": made.choice,
        "severity": made.severity,
        "reason": made.reason,
        "at": clock.stamp(made.at),
    }


def pick_sets(args: Any, context: Context) -> Result:
    """`ullage caution-rule sets`: show or choose them."""
    from stock.cautions.choices import choose_sets  # noqa: PLC0415 - loads the tables
    from stock.cautions.rules import DEFAULT_SETS  # noqa: PLC0415 - loads the tables
    from stock.shelf.studio import settings  # noqa: PLC0415 - loads the tables

    context.open()
    sets = choose_sets(args.names) if args.names else settings().rule_sets or DEFAULT_SETS
    return Result({"rule_sets": list(sets)}, [f"Rule sets: {', '.join(sets)}"])


def list_choices(args: Any, context: Context) -> Result:  # noqa: ARG001 - every command takes its arguments
    """`ullage caution-rule list`."""
    from stock.cautions.choices import chosen  # noqa: PLC0415 - loads the tables

    context.open()
    made = chosen()
    rows = [(each.code, each.choice, each.severity, each.at.date(), each.reason) for each in made]
    lines = table(("code", "choice", "to", "on", "reason"), rows, most=60)
    nothing = ["Every caution is as it was made."]
    return Result({"choices": [_choice_json(each) for each in made]}, lines if made else nothing)
