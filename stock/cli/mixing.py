"""`ullage mix`, `wash`: mixes and cleanings at the bench."""

from argparse import ArgumentTypeError
from collections.abc import Iterable
from typing import Any

from stock import units
from stock.cli.frame import Context, Result, command, instant, whole
from stock.cli.show import table
from stock.errors import BadInput
from stock.grammar import all_digits, in_full, in_short
from stock.language import _


def register(commands: Any) -> None:
    """Add the parsers."""
    mix = command(commands, "mix", make_mix, _("log a mix: everything it pours comes off the right bottles"))
    mix.add_argument("parts", nargs="*", metavar="PRODUCT=AMOUNT", help=_('as "Harbour Blue=8ml"'))
    mix.add_argument("--recipe", metavar="NAME", help=_("a recipe instead of parts; needs --total"))
    mix.add_argument(
        "--like", metavar="MIX", help=_("like an earlier mix, as it ended; yesterday, if it was one")
    )
    mix.add_argument("--next", metavar="JOB", help=_("the next mix of a job's queue"))
    mix.add_argument(
        "--total", metavar="AMOUNT", help=_("wanted in all, reducer included: parts count as a ratio")
    )
    mix.add_argument(
        "--reduce",
        metavar="HOW_MUCH",
        help=_("reducer: 20%% of the paint, 5:1 paint to reducer, or an amount"),
    )
    mix.add_argument("--with", dest="with_", metavar="REDUCER", help=_("a reducer, or a blend as A:B=1:1"))
    mix.add_argument("--needle", help=_("in mm, as 0.35"))
    mix.add_argument("--job", help=_("the job it is booked to; made if not known yet"))
    mix.add_argument(
        "--from", dest="from_", action="append", default=[], metavar="BOTTLE", help=_("pick a bottle")
    )
    mix.add_argument("--dry-run", action="store_true", help=_("show what it would do and book nothing"))
    wash = command(commands, "wash", log_wash, _("log a wash-out"))
    wash.add_argument(
        "part",
        nargs="?",
        metavar="CLEANER=AMOUNT",
        help=_('as "Cleaner=15ml"; without an amount, or with nothing, what is usual here'),
    )
    wash.add_argument(
        "--mix", type=whole, help=_("the mix it followed; without it cautions go by the day's last one")
    )
    wash.add_argument(
        "--from", dest="from_", action="append", default=[], metavar="BOTTLE", help=_("pick a bottle")
    )
    for parser in (mix, wash):
        parser.add_argument(
            "--accept", action="append", default=[], metavar="CODE", help=_("accept a stop caution by name")
        )
        parser.add_argument("--on", metavar="INSTANT", help=_("when, as 2026-03-01 or '2026-03-01 14:30'"))
        parser.add_argument("--key", help=_("your own key: a repeat with the same key books nothing"))
        parser.add_argument("--note", default="")


def make_mix(args: Any, context: Context) -> Result:
    """`ullage mix`."""
    from stock.bench import mixing  # loads the tables
    from stock.ledger import first_answer

    context.open()
    if args.dry_run:
        answer = mixing.plan(_wanted(args)).as_json()
    else:
        answer = first_answer("mix", args.key) or mixing.book_mix(
            _wanted(args), accept=args.accept, key=args.key
        )
    return Result(answer, list(mix_lines(answer)))


def _wanted(args: Any) -> Any:
    """The mix that the line asks for."""
    from stock.bench import request_parser  # loads the tables

    queued = None
    if args.next is not None:
        from stock.bench import mix_queue

        if args.parts or args.recipe or args.like or args.job:
            raise BadInput(
                _("--next says what is mixed, and for which job"), remedy=_("Leave the others away")
            )
        queued = mix_queue.first(args.next)
    request = request_parser.request(
        args.parts,
        reduce=args.reduce,
        reducer=args.with_,
        recipe=args.recipe if queued is None else queued.recipe,
        like=_earlier(args.like) if args.like is not None else None,
        total=args.total or (f"{queued.total_ul} ul" if queued is not None else None),
    )._replace(
        job=args.job if queued is None else queued.job,
        bottles=tuple(args.from_),
        at=instant(args.on),
        note=args.note,
    )
    if args.needle is not None:
        request = request._replace(needle_um=units.needle(args.needle))
    return request


def _earlier(text: str) -> int:
    """The number of an earlier mix; `yesterday` is the mix of the last day on which one was made before today."""
    if text.strip().casefold() != "yesterday":
        try:
            return whole(text)
        except ArgumentTypeError as error:
            raise BadInput(str(error), remedy=_("Write a mix's number, or yesterday")) from error
    from stock.bench.mixes import of_last_day
    from stock.shelf.studio import settings

    found = of_last_day(settings().today())
    if len(found) != 1:
        listed = "; ".join(f"{each.id}: {each.words}" for each in found[:9])
        raise BadInput(
            _("{found} mixes were made on the last day before today", found=len(found) or "no")
            + (f" ({listed})" if found else ""),
            remedy=_("Write the number of one of them, as --like 41") if found else _("Write what to mix"),
        )
    return found[0].id


def mix_lines(answer: dict[str, Any]) -> Iterable[str]:
    """A mix as people read it: the amounts, the bottles, the cautions."""
    reduction = answer["reduction"]
    yield _("Mix {mix}", mix=answer["mix"]) if answer["booked"] else _("Not booked (dry run)")
    parts = _(
        "  paint {paint_ml} ml, reducer {reducer_ml} ml, total {total_ml} ml",
        paint_ml=in_short(answer["paint_ml"]),
        reducer_ml=in_short(answer["reducer_ml"]),
        total_ml=in_short(answer["total_ml"]),
    )
    yield parts
    if reduction and reduction["percent_of_paint"]:
        parts = f"{in_full(reduction['paint_parts'], 2)}:{in_full(reduction['reducer_parts'], 2)}"
        of_paint, of_mix = reduction["percent_of_paint"], reduction["percent_of_mix"]
        yield _(
            "  {of_paint} % of the paint = {parts} = {of_mix} % of the mix",
            of_paint=in_full(of_paint, 1),
            parts=parts,
            of_mix=all_digits(of_mix, 1),
        )
    if answer.get("pot_life") is not None:
        words = answer["pot_life"]["words"]
        yield f"  {words[0].upper()}{words[1:]}"
    rows = [
        (
            pour["bottle"],
            pour["product"],
            f"{in_short(pour['volume_ml'])} ml",
            f"{in_short(pour['on_hand_ml'])} ml",
        )
        for pour in answer["pours"]
    ]
    yield from ("  " + line for line in table((_("bottle>"), _("product"), _("poured>"), _("left>")), rows))
    for found in answer.get("cautions", ()):  # an older Ullage answered without, where no mix was named
        yield f"  {_(found['severity']).upper()} {found['code']}: {found['message']}"
        yield f"    {found['remedy']} [{found['source']}]"
    if answer["cautions"]:
        yield f"  {SAFETY}"


SAFETY = _(
    "Estimates from what was entered; the safety data sheet, local fire and environmental "
    "codes and licensed practice decide."
)


def log_wash(args: Any, context: Context) -> Result:
    """`ullage wash`."""
    from stock.ledger import first_answer  # loads the tables

    context.open()
    answer = first_answer("wash", args.key) or _wash(args)
    lines = [
        _(
            "Wash {wash}: {product} {volume_ml} ml",
            wash=answer["wash"],
            product=answer["product"],
            volume_ml=in_short(answer["volume_ml"]),
        )
    ] + [
        _(
            "  bottle {bottle}: {volume_ml} ml, {on_hand_ml} ml left",
            bottle=pour["bottle"],
            volume_ml=in_short(pour["volume_ml"]),
            on_hand_ml=in_short(pour["on_hand_ml"]),
        )
        for pour in answer["pours"]
    ]
    for found in answer.get("cautions", ()):  # an older Ullage answered without, where no mix was named
        lines.append(
            f"  {_(found['severity']).upper()} {found['code']}: {found['message']}. {found['remedy']}"
        )
        lines.append(f"       [{found['source']}]")
    return Result(answer, lines)


def _wash(args: Any) -> dict[str, Any]:
    from stock.bench import washing  # loads the tables

    name, volume_ul = washing.read_wash(args.part)
    return washing.wash(
        name,
        volume_ul,
        mix=args.mix,
        bottles=args.from_,
        on=instant(args.on),
        accept=args.accept,
        key=args.key,
        note=args.note,
    )
