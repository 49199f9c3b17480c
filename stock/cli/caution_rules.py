"""`ullage caution-rule`: this studio's changes of caution rules, and its rule sets."""

from typing import Any

from stock.cli.cautions import silenced_lines
from stock.cli.frame import Context, Result, command
from stock.cli.show import table
from stock.errors import BadInput
from stock.language import _
from stock.notation import show_day
from stock.remedies import Option, Remedy
from stock.text import plain


def register(commands: Any) -> None:
    """Add the parsers."""
    rules = commands.add_parser(
        "caution-rule", help=_("silence a caution, take it more gravely, pick rule sets")
    )
    verbs = rules.add_subparsers(dest="verb", required=True, metavar="VERB")
    helps = {
        "silence": _("stop showing a caution"),
        "tighten": _("take a caution more gravely, or its figures more tightly"),
        "restore": _("take a caution by its own severity again"),
    }
    for verb, words in helps.items():
        parser = command(verbs, verb, change_rule, words)
        parser.add_argument("code")
        parser.add_argument("--reason", required=True, help=_("why; it is logged in the books"))
        if verb != "tighten":
            scope = parser.add_mutually_exclusive_group()
            scope.add_argument("--product", help=_("only for this product"))
            scope.add_argument("--bottle", help=_("only for this bottle, by its number or label code"))
            scope.add_argument("--place", help=_("only for this place"))
            parser.add_argument(
                "--other", metavar="PRODUCT", help=_("beside --product, the one that it may meet")
            )
        if verb == "silence":
            parser.add_argument(
                "--until",
                metavar="DATE",
                help=_("with one of these: the day it is asked again, or after how long; 3mo"),
            )
        if verb == "tighten":
            parser.add_argument("--to", choices=("warn", "stop"), help=_("the graver severity"))
            parser.add_argument(
                "--figure", action="append", metavar="NAME=FIGURE", default=[],
                help=_("a tighter figure with its unit, by its name in --explain: litres_milli=20l; may be "
"repeated"),
            )  # fmt: skip
    sets = command(
        verbs, "sets", pick_sets, _("the codes this studio lives by: ghs, us-osha, nfpa, uk, de ...")
    )
    sets.add_argument("names", nargs="*", metavar="SET")
    command(verbs, "list", list_choices, _("what this studio chose, and why"))


def change_rule(args: Any, context: Context) -> Result:
    """`ullage caution-rule silence|tighten|restore`."""
    from stock.cautions.choices import choose  # loads the tables
    from stock.shelf.studio import settings  # loads the tables

    context.open()
    if args.verb != "tighten" and (args.product or args.bottle or args.place):
        return _silence_one(args)
    if getattr(args, "other", None):
        raise BadInput(
            _("--other goes beside --product"),
            remedy=Remedy(
                _("Name both, "), Option("product"), " and ", Option("other"), _("; nothing was changed")
            ),
        )
    if getattr(args, "until", None):
        raise BadInput(
            _("a rule that is silenced everywhere isn't asked again"),
            remedy=_("Name one product, bottle or place, or leave --until out; nothing was changed"),
        )
    choice = "default" if args.verb == "restore" else args.verb
    given = getattr(args, "figure", ())
    figures = dict(_figure(text, settings().measures) for text in given) if given else {}
    made = choose(args.code, choice, reason=args.reason, severity=getattr(args, "to", None), figures=figures)
    words = {
        "silence": _("is silenced"),
        "tighten": _("is taken as {to}", to=made.to),
        "default": _("is as it was made"),
    }
    return Result(_choice_json(made), [f"{made.code} {words[choice]}: {made.reason}"])


def _silence_one(args: Any) -> Result:
    """Silence a rule for one product, bottle or place, or end that."""
    from stock.cautions import books  # loads the tables
    from stock.cautions.silences import silence  # loads the tables

    until = args.until if args.verb == "silence" else "today"
    before = books.findings()
    made = silence(
        args.code, reason=args.reason, product=args.product, bottle=args.bottle, place=args.place,
        other=args.other, until=until,
    )  # fmt: skip
    words = (
        _("is silenced for {about} and asked again on {until}", about=made.about, until=show_day(made.until))
        if args.verb == "silence"
        else _("is heard again for {about}", about=made.about)
    )
    lines = [f"{made.code} {words}: {made.reason}"]
    if args.verb == "silence" and books.findings() == before:
        lines.append(
            _("No finding about the stock is hidden by that today: none is about {about}", about=made.about)
        )
    return Result({"choice": args.verb, **made.as_json()}, lines)


def _figure(text: str, measures: str) -> tuple[str, int]:
    """Read a rule's figure as it is typed: `near_days=60`, `litres_milli=20l`."""
    from stock.cautions import rule_figures  # only here

    name, sign, figure = text.partition("=")
    if not sign or not name.strip():
        raise BadInput(
            _("{text!r} is no figure", text=plain(text, 40)),
            remedy=_("Write it as near_days=60 or litres_milli=20l"),
        )
    return name.strip(), rule_figures.read_figure(name.strip(), figure, measures)


def _choice_json(made: Any) -> dict[str, Any]:
    from stock import clock  # only here

    return {
        "code": made.code,
        "choice": made.choice,
        "severity": made.severity,
        "figures": dict(made.figures),
        "reason": made.reason,
        "at": clock.stamp(made.at),
    }


def pick_sets(args: Any, context: Context) -> Result:
    """`ullage caution-rule sets`: show or choose them."""
    from stock.cautions.choices import choose_sets  # loads the tables
    from stock.cautions.rules import DEFAULT_SETS  # loads the tables
    from stock.shelf.studio import settings  # loads the tables

    context.open()
    sets = choose_sets(args.names) if args.names else settings().rule_sets or DEFAULT_SETS
    return Result({"rule_sets": list(sets)}, [_("Rule sets: {sets}", sets=", ".join(sets))])


def list_choices(args: Any, context: Context) -> Result:  # noqa: ARG001 - every command takes its arguments
    """`ullage caution-rule list`."""
    from stock.cautions.books import silences_in_force  # loads the tables
    from stock.cautions.choices import chosen  # loads the tables
    from stock.cautions.silences import silenced  # loads the tables

    context.open()
    made, changes = chosen(), silences_in_force(None)
    rows = [(each.code, each.choice, each.to, each.at.date(), each.reason) for each in made]
    lines = table((_("code"), _("choice"), _("to"), _("on"), _("reason")), rows, most=60) if made else []
    lines += silenced_lines(changes)
    answer = {
        "choices": [_choice_json(each) for each in made],
        "silences": [each.as_json() for each in silenced(changes)],
    }
    return Result(answer, lines or [_("Every caution is as it was made.")])
