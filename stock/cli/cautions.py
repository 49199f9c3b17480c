"""`ullage cautions`, `classify`: findings, the rules behind them, and this studio's changes to a rule."""

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from stock import units
from stock.cli.files import TABLE, deliver, writes
from stock.cli.frame import Context, Result, command
from stock.cli.reports import report_files
from stock.cli.show import table
from stock.language import _
from stock.notation import show_day
from stock.remedies import Remedy
from stock.text import plain

SAFETY = _(
    "Figures are estimates from what was entered; the safety data sheet, local fire and "
    "environmental codes and licensed practice decide."
)


def register(commands: Any) -> None:
    """Add the parsers."""
    cautions = command(
        commands,
        "cautions",
        show_cautions,
        _("what to use first, move, throw away, find out"),
        entries=("rules", "moves", "findings"),
    )
    cautions.add_argument("--fail", action="store_true", help=_("exit 1 when one is of severity stop"))
    cautions.add_argument(
        "--explain", metavar="CODE", help=_("a rule's figures and source; `all` lists the rules")
    )
    cautions.add_argument(
        "--moves", action="store_true", help=_("what to move where so that every limit holds")
    )
    writes(cautions, ("--csv", TABLE), ("--page", _("also write the findings as a page to print (HTML)")))
    cautions.add_argument(
        "--waste", action="store_true", help=_("what goes where of what is to be thrown away")
    )
    classes = command(commands, "classify", show_classes, _("how flammable a liquid counts as"))
    classes.add_argument(
        "--flash-point", metavar="18C", help=_("closed cup; without it the worse case is taken")
    )
    classes.add_argument("--boiling-point", metavar="78C", help=_("initial boiling point"))


def show_cautions(args: Any, context: Context) -> Result:
    """`ullage cautions`."""
    if args.explain is not None:
        return explain(args.explain, context)
    from stock.cautions import books  # loads the tables
    from stock.cautions.read_from import read_from

    context.open()
    facts = books.facts(context.as_of())
    day = context.as_of() or context.today()
    found = books.findings(context.as_of(), facts)
    places = read_from(found)
    answer: dict[str, Any] = {
        "as_of": day.isoformat(),
        "findings": [_as_json(each, places) for each in found],
    }
    lines = [*_finding_lines(found, places), *silenced_lines(facts.changes), "", SAFETY]
    if args.waste:
        from stock.cli.waste_listing import listing  # only where asked

        answer["waste"], lines = listing(facts, found)
    if args.moves:
        plan = books.moves(facts)
        answer["moves"] = [each.as_json() for each in plan.moves]
        answer["unsolved"] = [each.as_json() for each in plan.unsolved]
        lines = [*_move_lines(plan), "", SAFETY]
    stops = any(each.severity == "stop" for each in found)
    result = Result(answer, lines, 1 if args.fail and stops else 0)
    if args.csv is None and args.page is None:
        return result
    from stock.logbook.inspection import caution_report  # only where it is written

    return deliver(report_files(args, caution_report(context.as_of(), found), context), result, context, args)


def _as_json(finding: Any, places: Mapping[Any, Sequence[Any]]) -> dict[str, Any]:
    """A finding, with the places in a sheet's file where its figures were read, if any."""
    read = [one.as_json() | {"place": one.place} for one in places.get(finding, ())]
    return finding.as_json() | ({"read_from": read} if read else {})


def _finding_lines(found: Sequence[Any], places: Mapping[Any, Sequence[Any]]) -> Iterator[str]:
    """Findings under their headings, gravest first; a shared remedy and source are printed once."""
    from stock.cautions.headings import beside_its_name, under_headings  # only where findings are shown
    from stock.cautions.read_from import in_words

    if not found:
        yield _("Nothing to be careful of by these rules.")
    for head in under_headings(found):
        yield f"{head.words} ({len(head.findings)})"
        for (severity, code, source), same in _alike(head.findings).items():
            shared = _remedy(same)
            for each in same:
                about = ", ".join(_about(each))
                start = f"  {_(severity).upper():5}{plain(about, 90)}{': ' if about else ''}"
                yield start + plain(beside_its_name(each) if each.product else each.message, 500)
                yield from (f"       {plain(text, 500)}" for text in in_words(places.get(each, ())))
                if shared is None:
                    yield f"       {plain(each.remedy, 500)}"
            if shared is not None:
                yield f"       {plain(shared, 500)}"
            yield f"       [{code}] {plain(source, 500)}"


def _alike(rows: Sequence[Any]) -> dict[tuple[str, str, str], list[Any]]:
    """Findings grouped by severity, rule and source, in the order of their first."""
    found: dict[tuple[str, str, str], list[Any]] = {}
    for each in rows:
        found.setdefault((each.severity, each.code, each.source), []).append(each)
    return found


def _remedy(same: Sequence[Any]) -> str | None:
    """The common remedy of findings, with NAME and NUMBER where they differ; None if they differ in more."""
    remedies = {str(each.remedy) for each in same}
    if len(remedies) > 1:
        remedies = {str(_of_any(each)) for each in same}
    return remedies.pop() if len(remedies) == 1 else None


def _of_any(found: Any) -> Remedy:
    """The finding's remedy with words in capitals for the product, the bottle and the place that it is about."""
    own = ((found.product, "NAME"), (found.bottle, "NUMBER"), (found.place, "PLACE"))
    return Remedy(found.remedy).with_arguments({str(word): any_ for word, any_ in own if word is not None})


def _about(finding: Any) -> Iterator[str]:
    if finding.product:
        yield finding.product
    if finding.bottle:
        yield _("bottle {bottle}", bottle=finding.bottle)
    if finding.place and finding.place not in finding.message:
        yield finding.place


def silenced_lines(changes: Sequence[Any]) -> Iterator[str]:
    """A line for each silence, everywhere or for one subject until a day, with its reason."""
    for change in changes:
        if change.silences and not change.scoped:
            yield _("Silenced here: {code} ({reason})", code=change.code, reason=plain(change.reason))
    if any(change.scoped for change in changes):
        from stock.cautions.silences import silenced  # loads the tables

        for each in silenced(changes):
            about, why = plain(each.about), plain(each.reason)
            yield _(
                "Silenced for {about} until {until}: {code} ({why})",
                about=about,
                until=show_day(each.until),
                code=each.code,
                why=why,
            )


def _move_lines(plan: Any) -> Iterator[str]:
    """The moves, then the findings that remain after them; "nothing needs to be moved" only if there are neither."""
    if plan.moves:
        rows = [(each.bottle, each.product, each.come_from, each.to, each.why) for each in plan.moves]
        yield from table((_("bottle>"), _("product"), _("from"), _("to"), _("why")), rows, most=60)
    if plan.unsolved:
        yield from [""] if plan.moves else []
        head = _("Still wrong after that") if plan.moves else _("Moving can solve none of these")
        yield f"{head} ({len(plan.unsolved)})"
    for each in plan.unsolved:
        about = ", ".join(_about(each.finding))
        start = f"  {_(each.finding.severity).upper():5}{plain(about, 90)}{': ' if about else ''}"
        yield start + plain(each.finding.message, 500)
        yield f"       {plain(each.why, 500)}"
    if not plan.moves and not plan.unsolved:
        yield _("Nothing needs to be moved.")


def explain(code: str, context: Context) -> Result:
    """`ullage cautions --explain CODE`: the rule, and this studio's change to it where there are books."""
    from stock.cautions import rule_figures  # only here
    from stock.cautions.headings import HEADINGS  # only here
    from stock.cautions.rules import DIRECTIONS, rule_book

    book = rule_book()
    if code == "all":
        rules = sorted(book.rules.values(), key=lambda rule: rule.code)
        rows = [(rule.code, rule.severity, HEADINGS[rule.action], rule.source) for rule in rules]
        lines = table((_("code"), _("severity"), _("what to do"), _("source")), rows, most=80)
        return Result({"rules": [rule.as_json() for rule in rules]}, lines)
    rule = book.rule(code)
    change, measures = _own_choice(code, context)
    own = dict(change.figures) if change else {}

    def here(name: str, value: int) -> str:
        tighter = name in own and DIRECTIONS[rule.tighter[name]](value, own[name]) != value
        said = rule_figures.in_words(name, value, measures)
        return said + (
            _(", here {name}", name=rule_figures.shown(name, own[name], measures)) if tighter else ""
        )

    lines = [
        f"{rule.code}: {rule.severity}, {HEADINGS[rule.action].lower()}",
        _("  says     {message}", message=rule.message),
        _("  remedy   {remedy}", remedy=rule.remedy),
        _("  source   {source}", source=rule.source),
    ]
    if rule.exceptions:
        lines.append(_("  except   {exceptions}", exceptions=rule.exceptions))
    if rule.jurisdiction != "any":
        lines.append(
            _("  holds    where the rule set {jurisdiction} is chosen", jurisdiction=rule.jurisdiction)
        )
    if rule.otherwise:
        lines.append(
            _(
                "  else     the limits of {otherwise}, where no rule set that is chosen has one",
                otherwise=rule.otherwise,
            )
        )
    for name, value in rule.figures.items():
        lines.append(
            _(
                "  figure   {name}: {figure} (tighter is {tighter})",
                name=name,
                figure=here(name, value),
                tighter=_(rule.tighter[name]),
            )
        )
    for limit in rule.limits:
        figures = rule_figures.limit_in_words(limit.figures, here)
        lines.append(
            _(
                "  limit    {jurisdiction}: {what}: {figures} ({source})",
                jurisdiction=limit.jurisdiction,
                what=limit.what,
                figures=figures,
                source=limit.source,
            )
        )
    for name in rule.tighter if rule.limits else ():
        words = rule_figures.unit_of(name).words
        lines.append(
            _(
                "  figure   {name}: {words}, by each limit (tighter is {tighter})",
                name=name,
                words=words,
                tighter=_(rule.tighter[name]),
            )
        )
    if change is None:
        return Result({**rule.as_json(), "here": None}, lines)
    word = (
        "silenced"
        if change.silences
        else _("taken as {severity}", severity=_(change.severity))
        if change.severity
        else "tighter"
    )
    lines.append(_("  here     {word}, because: {reason}", word=word, reason=plain(change.reason, 200)))
    here_json = {
        "severity": change.severity,
        "silenced": change.silences,
        "figures": own,
        "reason": change.reason,
    }
    return Result({**rule.as_json(), "here": here_json}, lines)


def _own_choice(code: str, context: Context) -> tuple[Any, str]:
    """This studio's change to a rule, and its measures; None and metric without one, or without books."""
    from stock.cautions.books import choices_in_force  # loads the tables
    from stock.errors import UllageError
    from stock.shelf.studio import settings  # loads the tables

    try:
        context.open()
    except UllageError:
        return None, "metric"
    every = choices_in_force(context.as_of())
    return next((change for change in every if change.code == code), None), settings().measures


def show_classes(args: Any, context: Context) -> Result:
    """`ullage classify`; books are opened only for their studio's notation."""
    from stock.cautions.classification import classify  # only here

    context.open_if_there()
    flash = units.temperature(args.flash_point) if args.flash_point is not None else None
    boils = units.temperature(args.boiling_point) if args.boiling_point is not None else None
    found = classify(flash, boils)
    lines = [
        _("GHS      {found}", found=_category(found)),
        _(
            "OSHA     {osha}",
            osha=_("category {osha}", osha=found.osha) if found.osha else _("not flammable"),
        ),
        _("NFPA 30  {nfpa}", nfpa=_("class {nfpa}", nfpa=found.nfpa) if found.nfpa else "none"),
        *(
            _("Not known, so the worse case is taken: {replace}", replace=each.replace("_", " "))
            for each in found.assumed
        ),
        *(_("Note: {each}", each=each) for each in found.between),
        SAFETY,
    ]
    return Result(found.as_json(), lines)


def _category(found: Any) -> str:
    if found.ghs is None:
        return _("not flammable by its flash point")
    return _(
        "category {ghs}: {hazard} {phrase}; signal word {signal}",
        ghs=found.ghs,
        hazard=found.hazard,
        phrase=found.phrase,
        signal=_(found.signal or ""),
    )
