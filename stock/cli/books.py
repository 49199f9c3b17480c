"""`ullage today`, `logbook`, `undo`, `check`: past bookings, and the proof of the books."""

from typing import Any

from stock import clock, units
from stock.cli.frame import Context, Result, command, whole
from stock.cli.show import table
from stock.grammar import all_digits, in_full, in_short
from stock.language import _
from stock.notation import in_thousands


def register(commands: Any) -> None:
    """Add the parsers."""
    command(commands, "today", show_today, _("what to order, what not to use, what was just done"))
    logbook = command(
        commands, "logbook", show_logbook, _("everything that was booked, newest first"), entries=("entries",)
    )
    logbook.add_argument("--product")
    logbook.add_argument("--bottle")
    logbook.add_argument("--lot")
    logbook.add_argument("--job")
    logbook.add_argument("--kind", help=_("mix, wash, delivery, count, discard, undo ..."))
    logbook.add_argument("--since", metavar="DATE")
    logbook.add_argument("--until", metavar="DATE")
    logbook.add_argument("--limit", type=whole, default=200)
    undo = command(commands, "undo", take_back, _("take a booking back by reversal"))
    undo.add_argument(
        "kind", help=_("mix, wash, delivery, count, discard, import, movement ... or undo, to do it again")
    )
    undo.add_argument("id", type=whole)
    undo.add_argument("--on", metavar="INSTANT")
    undo.add_argument("--key")
    command(commands, "check", check, _("prove that the books add up"))


def show_today(args: Any, context: Context) -> Result:  # noqa: ARG001 - every command takes its arguments
    """`ullage today`."""
    from stock.logbook.today import today  # loads the tables

    context.open()
    seen = today(context.as_of())
    return Result(seen.as_json(), seen.lines())


def show_logbook(args: Any, context: Context) -> Result:
    """`ullage logbook`."""
    from stock.logbook import history  # loads the tables
    from stock.shelf.studio import settings  # loads the tables

    context.open()
    today, as_of = context.today(), context.as_of()
    until = units.day(args.until, today) if args.until is not None else None
    wanted = history.Filter(
        product=args.product,
        bottle=args.bottle,
        lot=args.lot,
        job=args.job,
        kind=args.kind,
        since=units.day(args.since, today) if args.since is not None else None,
        until=min(day for day in (until, as_of) if day is not None) if until or as_of else None,
    )
    found = history.entries(wanted, limit=args.limit, as_of=as_of)
    studio = settings()
    rows = [
        (
            entry.id, entry.kind, clock.local_minute(entry.at, studio.time_zone),
            entry.words(studio.measures), entry.job, _("undone by {undone_by}",
            undone_by=entry.undone_by) if entry.undone_by else entry.note,
        )
        for entry in found
    ]  # fmt: skip
    lines = table((_("id>"), _("kind"), _("when"), _("what"), _("job"), ""), rows, most=60)
    return Result(
        {"entries": [entry.as_json() for entry in found]},
        lines if rows else [_("Nothing was booked that fits.")],
    )


FOLLOWED = {
    "taken_back": _("taken back with it, since nothing else uses them"),
    "kept": _("stay, since something else uses them"),
    "brought_back": _("brought back with it"),
}
"""Headings for the records of an imported file that an undo affected, by the key of its answer."""


def take_back(args: Any, context: Context) -> Result:
    """`ullage undo`."""
    from stock.ledger import zone  # loads the tables
    from stock.logbook.undo import undo  # loads the tables

    context.open()
    on = units.instant(args.on, zone(), clock.now()) if args.on is not None else None
    answer = undo(args.kind, args.id, on=on, key=args.key)
    what = ", ".join(f"{one['kind']} {one['id']}" for one in answer["undid"])
    if "bookings" in answer:
        what += (
            f" ({in_thousands(answer['bookings'])} {'booking' if answer['bookings'] == 1 else 'bookings'})"
        )
    lines = [f"{_('Done again') if answer['again'] else _('Took back')}: {what}"]
    lines += [
        _(
            "  bottle {bottle} holds {on_hand_ml} ml",
            bottle=row["bottle"],
            on_hand_ml=in_short(row["on_hand_ml"]),
        )
        for row in answer["bottles"]
    ]
    for key, heading in FOLLOWED.items():
        if answer.get(key):
            lines.append(
                f"  {heading}: {', '.join(answer[key][:12])}{' ...' if len(answer[key]) > 12 else ''}"
            )
    back = _("take it back") if answer["again"] else _("do it again")
    return Result(answer, [*lines, _("To {back}: `ullage undo undo {undo}`", back=back, undo=answer["undo"])])


def check(args: Any, context: Context) -> Result:  # noqa: ARG001 - every command takes its arguments
    """`ullage check`."""
    from stock.logbook.proof import prove  # loads the tables
    from stock.store.refusals import damaged  # loads the tables

    context.open()
    context.today()  # a time zone that no longer exists is reported here as well
    answer: Any = prove().as_json()
    verdict = _("The books add up") if answer["ok"] else _("The books do not add up")
    lines = [
        _(
            "{verdict}: {bottles} bottles, {movements} movements, {mixes} mixes",
            verdict=verdict,
            bottles=answer["bottles"],
            movements=answer["movements"],
            mixes=answer["mixes"],
        ),
        _(
            "  received {received_ml} + kept {kept_ml} = on hand {on_hand_ml} + poured {poured_ml} + "
            "washed {washed_ml} + discarded {discarded_ml} - count differences {count_difference_ml} "
            "ml",
            received_ml=in_full(answer["received_ml"]),
            kept_ml=in_full(answer["kept_ml"]),
            on_hand_ml=in_full(answer["on_hand_ml"]),
            poured_ml=in_full(answer["poured_ml"]),
            washed_ml=in_full(answer["washed_ml"]),
            discarded_ml=in_full(answer["discarded_ml"]),
            count_difference_ml=in_full(answer["count_difference_ml"]),
        ),
        *([_money_line(answer["money"])] if answer["money"] is not None else []),
        *(f"  {problem}" for problem in answer["problems"]),
        *([] if answer["ok"] else [damaged(context.address).remedy]),
    ]
    return Result(answer, lines, 0 if answer["ok"] else 1)


def _money_line(money: dict[str, Any]) -> str:
    digits = units.minor_digits(money["currency"])
    shown = {key: all_digits(figure, digits) for key, figure in money.items() if key != "currency"}
    return _(
        "  opening stock {opening} + purchases {purchased} = used {used} + written off {written_off} + closing "
        "{closing} {currency}",
        currency=money["currency"],
        **shown,
    )
