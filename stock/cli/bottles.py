"""`ullage bottle`, `spill`: errands about a bottle on the shelf."""

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING, Any

from stock import units
from stock.cli.frame import Context, Result, command, instant
from stock.cli.scale import add_port, on_the_scale
from stock.cli.shelf import known_day, volume, when
from stock.errors import BadInput
from stock.grammar import in_full, in_short
from stock.language import _
from stock.notation import show_day

if TYPE_CHECKING:
    from stock.shelf.bottle_facts import FactsOfBottle


def register(commands: Any) -> None:
    """Add the parsers."""
    _add_bottle(commands)
    spill = command(
        commands, "spill", spill_bottle, _("book what was spilled from a bottle; a loss, not a use")
    )
    spill.add_argument("bottle", help=_("its number or label code"))
    spill.add_argument("amount", help=_("what was spilled, as 12ml"))
    when(spill)
    spill.add_argument("--note", default="")


def _add_bottle(commands: Any) -> None:
    bottle = commands.add_parser(
        "bottle", help=_("open, move, count, decant, freeze, change or discard a bottle")
    )
    verbs = bottle.add_subparsers(dest="verb", required=True, metavar="VERB")
    parsers = {
        verb: command(verbs, verb, run, words)
        for verb, run, words in (
            ("open", open_bottle, _("note that a bottle was opened")),
            ("move", move_bottle, _("put a bottle in another place")),
            ("count", count_bottle, _("book what was measured in a bottle")),
            ("discard", discard_bottle, _("throw a bottle away with what is left in it")),
            ("decant", decant_bottle, _("fill some into another bottle of the same product")),
            ("freeze", freeze_bottle, _("note that a bottle froze")),
        )
    }
    change = command(
        verbs, "change", change_bottle, _("note a fact of a bottle, in the place of what was noted")
    )
    tested = command(
        verbs, "tested", test_bottle, _("note that a bottle past its day was tested on a card, good")
    )
    tested.add_argument(
        "--until",
        metavar="DATE",
        help=_("the day it is asked again, or after how long; 1mo; `today` takes it back"),
    )
    tested.add_argument("--note", default="", help=_("what was seen on the card"))
    for parser in (*parsers.values(), change, tested):
        parser.add_argument("bottle", help=_("its number or label code"))
    for parser in parsers.values():
        when(parser)
    change.add_argument(
        "--container", help=_("what it is: glass, plastic, metal, safety_can, aerosol_can, drum or unknown")
    )
    change.add_argument("--label", help=_("your own label"))
    change.add_argument(
        "--best-before", metavar="DATE", help=_("the day on its label; unknown if there is none")
    )
    change.add_argument(
        "--made", metavar="DATE", help=_("the day on which its maker made it; unknown if its label says none")
    )
    change.add_argument("--opened", metavar="DATE", help=_("since when it is open; or unknown"))
    change.add_argument("--owner", help=_("whose it is; empty for the studio's"))
    change.add_argument(
        "--since", metavar="DATE", help=_("the day from which the --owner has it; today if left out")
    )
    change.add_argument("--tare", help=_("what it weighs when it is empty, with its cap, as 20.15g"))
    parsers["move"].add_argument("place")
    parsers["count"].add_argument("volume", nargs="?", help=_("what is in it, as 41ml"))
    parsers["count"].add_argument("--weight", help=_("what the scale shows, as 63.2g, instead of a volume"))
    parsers["count"].add_argument("--weigh", action="store_true", help=_("read the weight from the scale"))
    add_port(parsers["count"])
    parsers["count"].add_argument("--tare", help=_("the empty bottle's weight, as 20.15g, which is kept"))
    parsers["count"].add_argument(
        "--level", help=_("how high it stands: 3/4, 75%% or 32mm, instead of a volume")
    )
    parsers["count"].add_argument("--inner-diameter", help=_("of the bottle, as 34mm, for a level in mm"))
    parsers["count"].add_argument("--uncertainty", help=_("of the measurement, as 1ml"))
    parsers["count"].add_argument(
        "--reason", help=_("where the difference went: spilled, leaked, dried out, or not logged")
    )
    parsers["discard"].add_argument("--reason", default="")
    parsers["decant"].add_argument("volume")
    parsers["decant"].add_argument("--into", help=_("a bottle of the same product; a fresh one if left out"))
    parsers["decant"].add_argument("--size", help=_("the fresh bottle's size"))
    parsers["decant"].add_argument("--label", help=_("the fresh bottle's own label"))


def open_bottle(args: Any, context: Context) -> Result:
    """`ullage bottle open`."""
    from stock.shelf import handling  # loads the tables

    context.open()
    answer = handling.open_bottle(args.bottle, on=instant(args.on), key=args.key)
    return Result(
        answer,
        [
            _(
                "Bottle {bottle} is open since {opened_on}",
                bottle=answer["bottle"],
                opened_on=show_day(answer["opened_on"]),
            )
        ],
    )


def move_bottle(args: Any, context: Context) -> Result:
    """`ullage bottle move`."""
    from stock.shelf import handling  # loads the tables

    context.open()
    answer = handling.move_bottle(args.bottle, args.place, on=instant(args.on), key=args.key)
    return Result(
        answer, [_("Bottle {bottle} stands in {place}", bottle=answer["bottle"], place=answer["place"])]
    )


def freeze_bottle(args: Any, context: Context) -> Result:
    """`ullage bottle freeze`."""
    from stock.shelf import handling  # loads the tables

    context.open()
    answer = handling.freeze(args.bottle, on=instant(args.on), key=args.key)
    frozen_on = show_day(answer["frozen_on"])
    return Result(
        answer,
        [
            _(
                "Bottle {bottle} froze on {frozen_on}: test it before use",
                bottle=answer["bottle"],
                frozen_on=frozen_on,
            )
        ],
    )


def test_bottle(args: Any, context: Context) -> Result:
    """`ullage bottle tested`."""
    from stock.cautions.silences import note_card_test  # loads the tables

    context.open()
    answer = note_card_test(args.bottle, until=args.until, remark=args.note)
    again_on = show_day(answer["asked_again_on"])
    return Result(
        answer,
        [
            _(
                "Bottle {bottle} is good by its card, asked again on {again_on}",
                bottle=answer["bottle"],
                again_on=again_on,
            )
        ],
    )


def change_bottle(args: Any, context: Context) -> Result:
    """`ullage bottle change`."""
    from stock.shelf import bottle_facts  # loads the tables

    context.open()
    if args.since is not None and args.owner is None:
        raise BadInput(_("--since is for the owner"), remedy=_("Add --owner, or leave it out"))
    facts = _given_facts(args, context)
    if not facts:
        raise BadInput(
            _("nothing to change was given"),
            remedy=_("Add --container metal, --label, --tare, --best-before DATE, --opened DATE or --owner"),
        )
    answer = bottle_facts.change(args.bottle, facts)
    return Result(answer, list(_facts_in_words(answer)))


def _given_facts(args: Any, context: Context) -> "FactsOfBottle":
    """The given facts; None for an unknown day."""
    given: FactsOfBottle = {}
    if args.container is not None:
        given["container"] = args.container
    if args.label is not None:
        given["label"] = args.label
    if args.best_before is not None:
        given["best_before"] = known_day(args.best_before, context)[0]
    if args.made is not None:
        given["made_on"] = known_day(args.made, context)[0]
    if args.opened is not None:
        given["opened_on"] = known_day(args.opened, context)[0]
    if args.owner is not None:
        given["owner"] = args.owner
        given["owner_since"] = units.day(args.since, context.today()) if args.since is not None else None
    if args.tare is not None:
        given["tare_mg"] = units.mass(args.tare)
    return given


def _facts_in_words(answer: Mapping[str, Any]) -> Iterator[str]:
    """A line for each noted fact."""
    bottle = answer["bottle"]
    if "container" in answer:
        kind = answer["container"]
        made = _("made of {replace}", replace=kind.replace("_", " ")) if kind else _("of unknown material")
        yield _("Bottle {bottle} is noted as {made}", bottle=bottle, made=made)
    if "label" in answer:
        yield _("Bottle {bottle} is labelled {label}", bottle=bottle, label=answer["label"])
    if answer.get("best_before"):
        yield _("Bottle {bottle} is best before {day}", bottle=bottle, day=show_day(answer["best_before"]))
    elif "best_before" in answer:
        yield _("Bottle {bottle} has no best-before day", bottle=bottle)
    if "made_on" in answer:
        day = show_day(answer["made_on"]) or _("a day that nobody knows")
        yield _("Bottle {bottle} was made on {day}", bottle=bottle, day=day)
    if "opened_on" in answer:
        since = show_day(answer["opened_on"]) or _("a day that nobody knows")
        yield _("Bottle {bottle} is open since {since}", bottle=bottle, since=since)
    if "owner" in answer:
        owner = answer["owner"] or _("the studio")
        yield _("Bottle {bottle} belongs to {owner}", bottle=bottle, owner=owner)
    if "tare_g" in answer:
        tare_g = in_full(answer["tare_g"])
        yield _("Bottle {bottle} weighs {tare_g} g when it is empty", bottle=bottle, tare_g=tare_g)


def count_bottle(args: Any, context: Context) -> Result:
    """`ullage bottle count`."""
    from stock.ledger import first_answer  # loads the tables

    context.open()
    answer = first_answer("count", args.key) or _count(args)
    lines = [
        _(
            "Bottle {bottle} holds {on_hand_ml} ml; the books said {expected_ml} ml "
            "({sign}{difference_ml} ml)",
            bottle=answer["bottle"],
            on_hand_ml=in_short(answer["on_hand_ml"]),
            expected_ml=in_short(answer["expected_ml"]),
            sign="+" if answer["difference_ml"] > 0 else "",
            difference_ml=in_short(answer["difference_ml"]),
        ),
        f"  {answer['words']}",
    ]
    if answer.get("reason"):  # an older Ullage asked for none
        lines.append(_("  noted as {replace}", replace=answer["reason"].replace("_", " ")))
    loss = answer["usual_loss"]
    if loss and loss["sure"]:
        lines.append(
            _(
                "  usually {a_mix_ml} ml a mix goes unlogged ({counts} counts)",
                a_mix_ml=in_short(loss["a_mix_ml"]),
                counts=loss["counts"],
            )
        )
    return Result(answer, lines)


def _count(args: Any) -> dict[str, Any]:
    from stock.bench import counting  # loads the tables

    resolution_mg = None
    weight = args.weight
    if args.weigh:
        if (args.volume, args.weight, args.level) != (None, None, None):
            raise BadInput(
                _("the scale weighs already"), remedy=_("Leave the volume, --weight and --level away")
            )
        standing_weight = on_the_scale(args.scale)
        weight, resolution_mg = units.show_mass(standing_weight.mass_mg), standing_weight.resolution_mg
    measured = counting.measured(
        args.bottle,
        volume=args.volume,
        weight=weight,
        resolution_mg=resolution_mg,
        tare=args.tare,
        level=args.level,
        inner_diameter=args.inner_diameter,
        uncertainty=args.uncertainty,
    )
    return counting.count(args.bottle, measured, on=instant(args.on), key=args.key, reason=args.reason)


def spill_bottle(args: Any, context: Context) -> Result:
    """`ullage spill`."""
    from stock.bench.amounts import read_volume  # loads the tables
    from stock.cautions import spills
    from stock.shelf import counts

    context.open()
    spilled_ul = read_volume(args.amount)
    booked = counts.spill(args.bottle, spilled_ul, on=instant(args.on), key=args.key, note=args.note)
    found = spills.about(booked["product"])
    answer = {**booked, "cautions": [found.in_a_mix()]}
    return Result(
        answer,
        [
            _(
                "Spill {spill}: {spilled_ml} ml of {product} from bottle {bottle}, {on_hand_ml} ml left",
                spill=answer["spill"],
                spilled_ml=in_short(answer["spilled_ml"]),
                product=answer["product"],
                bottle=answer["bottle"],
                on_hand_ml=in_short(answer["on_hand_ml"]),
            ),
            f"  {_(found.severity).upper()} {found.code}: {found.message}",
            f"    {found.remedy} [{found.source}]",
        ],
    )


def discard_bottle(args: Any, context: Context) -> Result:
    """`ullage bottle discard`."""
    from stock.shelf import handling  # loads the tables

    context.open()
    answer = handling.discard(args.bottle, reason=args.reason, on=instant(args.on), key=args.key)
    left = in_short(answer["discarded_ml"])
    return Result(
        answer, [_("Bottle {bottle} is discarded with {left} ml in it", bottle=answer["bottle"], left=left)]
    )


def decant_bottle(args: Any, context: Context) -> Result:
    """`ullage bottle decant`."""
    from stock.shelf import handling  # loads the tables

    context.open()
    answer = handling.decant(
        args.bottle,
        volume(args.volume),
        into=args.into,
        size_ul=volume(args.size) if args.size is not None else None,
        label=args.label,
        on=instant(args.on),
        key=args.key,
    )
    return Result(
        answer,
        [
            _(
                "Bottle {bottle} holds {on_hand_ml} ml, bottle {into} {into_on_hand_ml} ml",
                bottle=answer["bottle"],
                on_hand_ml=in_short(answer["on_hand_ml"]),
                into=answer["into"],
                into_on_hand_ml=in_short(answer["into_on_hand_ml"]),
            )
        ],
    )
