"""`ullage reduce`, `viscosity`, `advise`, `step`, `close`: thinning, and work on an open mix."""

from collections.abc import Iterable
from typing import Any

from stock import units
from stock.cli.frame import Context, Result, command, instant, whole
from stock.errors import BadInput
from stock.grammar import in_drops, in_full, in_short
from stock.language import _
from stock.notation import example, show_day


def register(commands: Any) -> None:
    """Add the parsers."""
    reduce = command(commands, "reduce", show_reduction, _("how much reducer an amount of paint takes"))
    reduce.add_argument("amount", help=_("paint, as 30ml"))
    reduce.add_argument("reduction", help=_("20%% of the paint, or 5:1 paint to reducer"))
    reduce.add_argument("--total", action="store_true", help=_("the amount is what is wanted sprayable"))
    viscosity = command(commands, "viscosity", show_viscosity, _("what a flow cup's seconds mean"))
    viscosity.add_argument("cup", help=_("as iso2431-4, ford-4, zahn-2; or milk, to have it explained"))
    viscosity.add_argument("seconds", nargs="?", help=_("the time of flow, as 42"))
    viscosity.add_argument("--density", help=_("g/ml, as 1.05, for mPa·s"))
    viscosity.add_argument("--at", metavar="TEMPERATURE", help=_("the liquid's temperature, as 21C"))
    viscosity.add_argument("--mix", type=whole, help=_("note it as a reading of this mix"))
    viscosity.add_argument("--target-for", metavar="PRODUCT", help=_("note it as this paint's target"))
    advise = command(
        commands, "advise", show_advice, _("where to start thinning, how far, in what steps, and why")
    )
    advise.add_argument("product")
    advise.add_argument("--with", dest="with_", metavar="REDUCER", help=_("a reducer, or a blend as A:B=1:1"))
    advise.add_argument("--needle", help=_("in mm, as 0.2"))
    advise.add_argument(
        "--room", metavar="TEMPERATURE", help=_("the room's, as 28C: mixes made in other weather count less")
    )
    advise.add_argument("--humidity", help=_("relative, as 45%%"))
    advise.add_argument(
        "--paint", metavar="AMOUNT", help=_("how much paint the air is worked out for; 20ml if left out")
    )
    _register_step(commands)
    _register_close(commands)


def _register_step(commands: Any) -> None:
    step = command(commands, "step", add_step, _("add reducer, a tint or more paint to an open mix"))
    step.add_argument("mix", type=whole)
    step.add_argument(
        "how_much",
        nargs="?",
        help=_("reducer, as 5%% of the paint, '2 drops', 0.1ml or 0.2g; the advised step if left out"),
    )
    step.add_argument(
        "--with", dest="with_", metavar="REDUCER", help=_("another reducer, or a blend as A:B=1:1")
    )
    step.add_argument(
        "--add",
        action="append",
        default=[],
        metavar="PRODUCT=AMOUNT",
        help=_(
            'a colour or an additive, or more of the same paint, as "White=0.5ml", "White=3 drops" '
            'or "White=0.5g"'
        ),
    )
    step.add_argument("--left", help=_("what the cup holds, if some was sprayed already"))
    step.add_argument(
        "--back-to", metavar="PERCENT", help=_("too thin: add the paint that brings it to this")
    )
    step.add_argument("--dry-run", action="store_true", help=_("show what it would do and book nothing"))
    step.add_argument(
        "--accept", action="append", default=[], metavar="CODE", help=_("accept a stop caution by name")
    )
    _when(step)


def _register_close(commands: Any) -> None:
    close = command(commands, "close", close_mix, _("close a mix with its outcome and what is left of it"))
    close.add_argument("mix", type=whole)
    close.add_argument("--outcome", required=True, help=_("good, thick, thin or ruined"))
    close.add_argument("--left", help=_("what is left, as 3ml"))
    rest = close.add_mutually_exclusive_group()
    rest.add_argument("--keep", action="store_true", help=_("keep what is left in a labelled jar"))
    rest.add_argument("--throw", action="store_true", help=_("throw it away"))
    close.add_argument("--jar", help=_("the jar's size, as 30ml"))
    close.add_argument("--label", help=_("the jar's own label"))
    close.add_argument("--place", help=_("where the jar stands"))
    close.add_argument("--needle", help=_("in mm, as 0.35"))
    close.add_argument("--pressure", help=_("as '1.5 bar' or '20 psi'"))
    close.add_argument("--room", metavar="TEMPERATURE", help=_("the room's, as 21C"))
    close.add_argument("--humidity", help=_("relative, as 45%%"))
    _when(close)


def _when(parser: Any) -> None:
    parser.add_argument("--on", metavar="INSTANT", help=_("when, as 2026-03-01 or '2026-03-01 14:30'"))
    parser.add_argument("--key", help=_("your own key: a repeat with the same key books nothing"))
    parser.add_argument("--note", default="")


def _volume(text: str) -> units.Microlitres:
    from stock.bench.amounts import read_volume  # needs the books

    return read_volume(text)


def show_reduction(args: Any, context: Context) -> Result:
    """`ullage reduce`."""
    from stock.bench import reduction  # only this command needs it

    there = context.open_if_there()
    wanted = reduction.Reduction(units.reduction(args.reduction))
    amount_ul = _volume(args.amount) if there else units.volume(args.amount)
    paint_ul = reduction.to_total(amount_ul, wanted)[0] if args.total else amount_ul
    answer = reduction.as_amounts(paint_ul, wanted)
    lines = [
        _(
            "{paint_ml} ml paint + {reducer_ml} ml reducer = about {total_ml} ml",
            paint_ml=in_short(answer["paint_ml"]),
            reducer_ml=in_short(answer["reducer_ml"]),
            total_ml=in_short(answer["total_ml"]),
        ),
        str(wanted),
    ]
    return Result(answer, lines)


def show_viscosity(args: Any, context: Context) -> Result:
    """`ullage viscosity`."""
    from stock.bench import viscosity  # only this command needs it

    if args.cup.strip().casefold() == "milk":
        notes = viscosity.like_milk()
        return Result(
            {
                "mm2_per_s": viscosity.MILK_MM2_S,
                "range_mm2_per_s": list(viscosity.MILK_RANGE_MM2_S),
                "notes": notes,
            },
            notes,
        )
    if args.mix is not None and args.target_for is not None:
        raise BadInput(
            _("a time of flow is noted for a mix or as a paint's target, not as both; nothing was booked"),
            remedy=_("Leave out --mix or --target-for, and type a second line for the other"),
        )
    if args.seconds is None:
        raise BadInput(
            _("no time of flow was given"), remedy=_("Write it behind the cup, as `viscosity ford-4 42`")
        )
    noted = args.mix is not None or args.target_for is not None
    if noted:
        context.open()
    else:
        context.open_if_there()
    reading = viscosity.read(
        viscosity.cup(args.cup),
        viscosity.seconds(args.seconds),
        density_ug_per_ml=units.density(args.density) if args.density is not None else None,
        at_mc=units.temperature(args.at) if args.at is not None else None,
    )
    answer = reading.as_json()
    lines = [viscosity.show(reading), *(f"  {note}" for note in reading.notes), f"  [{answer['source']}]"]
    if noted:
        lines += _note_time(args, reading, answer)
    return Result(answer, lines)


def _note_time(args: Any, reading: Any, answer: dict[str, Any]) -> list[str]:
    from stock.bench import cup_times  # loads the tables

    liquid_mc = units.temperature(args.at) if args.at is not None else None
    if args.target_for is not None:
        name = cup_times.note_target(args.target_for, reading, liquid_mc=liquid_mc)
        return [_("  noted as the target of {name}", name=name)]
    noted = cup_times.note_reading(args.mix, reading, liquid_mc=liquid_mc)
    answer["next"] = noted.as_json()
    return [f"  {note}" for note in noted.words]


def show_advice(args: Any, context: Context) -> Result:
    """`ullage advise`."""
    from stock.bench import advised_air, amounts, books  # loads the tables

    context.open()
    blend = amounts.read_blend(args.with_) if args.with_ is not None else ()
    asked = books.advice_for(
        args.product,
        reducers=[name for name, _ in blend],
        needle_um=units.needle(args.needle) if args.needle is not None else None,
        room_mc=units.temperature(args.room) if args.room is not None else None,
        humidity_milli=units.percent(args.humidity, what=_("humidity"))
        if args.humidity is not None
        else None,
        as_of=context.as_of(),
    )
    paint_ul = units.Microlitres(_volume(args.paint)) if args.paint else advised_air.USUALLY_UL
    weights = {name: weight for name, (_, weight) in zip(asked.reducers, blend, strict=False)}
    air = advised_air.air_for(asked, weights, paint_ul, context.as_of())
    answer = {
        **asked.as_json(),
        "air_for_ml": units.ml(paint_ul),
        "cautions": [found.in_a_mix() for found in air],
    }
    return Result(answer, list(advice_lines(answer)))


def advice_lines(answer: dict[str, Any]) -> Iterable[str]:
    """Advice in lines: the figures, their reasons, and the sources that disagree."""
    reducers = _(" and ").join(answer["with"]) or _("any reducer")
    needle = (
        _(", needle {needle_mm} mm", needle_mm=in_full(answer["needle_mm"])) if answer["needle_mm"] else ""
    )
    yield _("{product} with {reducers}{needle}", product=answer["product"], reducers=reducers, needle=needle)
    yield (
        _(
            "  start at {start_percent} % of the paint, steps of {step_percent} %, not beyond "
            "{limit_percent} %",
            start_percent=in_full(answer["start_percent"]),
            step_percent=in_full(answer["step_percent"]),
            limit_percent=in_full(answer["limit_percent"]),
        )
    )
    for each in answer["because"]:
        if each["kind"] == "outcomes":
            yield (
                _(
                    "  because {n} closed mixes ({own} of its own) put the window at about {low} to {high} %",
                    n=each["n"],
                    own=each["own"],
                    low=in_full(each["low"]),
                    high=in_full(each["high"]),
                )
            )
        elif each["used"]:
            dated = _(" of {revised}", revised=show_day(each["revised"])) if each["revised"] else ""
            pressure = f", {each['pressure']}" if each["pressure"] else ""
            low, high = in_full(each["low"]), in_full(each["high"])
            figures = _(
                "{low} to {high} %, {needle}{pressure}",
                low=low, high=high, needle=each["needle"], pressure=pressure,
            )  # fmt: skip
            title = each["title"] if dated else example(each["title"])
            yield _("  because {title}{dated} says {figures}", title=title, dated=dated, figures=figures)
    yield from (_("  but {said}", said=said) for said in answer["disagreements"])
    for each in answer["neighbours"]:
        yield _(
            "  beside it: {low} to {high} %, {needle} ({title})",
            low=in_full(each["low"]),
            high=in_full(each["high"]),
            needle=each["needle"],
            title=each["title"],
        )
    yield from (f"  {note}" for note in answer["notes"])
    meant = _("{air_for_ml} ml of the paint thinned so", air_for_ml=in_short(answer["air_for_ml"]))
    if not answer["cautions"]:
        yield _("  air: nothing to say of {meant}", meant=meant)
    for found in answer["cautions"]:
        yield _(
            "  {severity} {code}, for {meant}: {message}",
            severity=_(found["severity"]).upper(),
            code=found["code"],
            meant=meant,
            message=found["message"],
        )
        yield f"    {found['remedy']} [{found['source']}]"


def add_step(args: Any, context: Context) -> Result:
    """`ullage step`."""
    from stock.bench import steps  # loads the tables
    from stock.bench.reduction import Reduction
    from stock.ledger import first_answer

    context.open()
    if args.back_to is not None:
        if args.how_much is not None or args.left is not None or args.with_ is not None or args.add:
            raise BadInput(
                _("--back-to works out the paint alone; nothing was booked"), remedy=_("Leave the other out")
            )
        target = Reduction(units.reduction(args.back_to))
        if args.dry_run:
            answer = steps.plan_back(args.mix, target).as_json()
        else:
            answer = steps.book_back(args.mix, target, at=instant(args.on), key=args.key, note=args.note)
        return Result(answer, list(step_lines(answer)))
    answer = first_answer("step", args.key) or _step(args)
    return Result(answer, list(step_lines(answer)))


def _step(args: Any) -> dict[str, Any]:
    from stock.bench import step_requests, steps  # loads the tables

    asked = step_requests.read(args.mix, args.how_much, reducer=args.with_, parts=args.add, left=args.left)
    if args.dry_run:
        return steps.plan_step(args.mix, asked).as_json()
    return steps.book_step(
        args.mix, asked, accept=args.accept, at=instant(args.on), key=args.key, note=args.note
    )


def step_lines(answer: dict[str, Any]) -> Iterable[str]:
    """A step as people read it."""
    from fractions import Fraction  # loaded already where there is an answer

    from stock.bench.reduction import Reduction

    booked = _("Step {step}", step=answer["step"]) if answer["booked"] else _("Not booked (dry run)")
    added = ", ".join(
        f"{in_short(each['volume_ml'])} ml {each['product']} ({_counted_or_weighed(each)})"
        for each in answer.get("added", ())  # an older Ullage answered without
    )
    yield _(
        "{booked}: mix {mix}, {added} added",
        booked=booked,
        mix=answer["mix"],
        added=added or in_short(answer["added_ml"]) + " ml",
    )
    yield f"  {Reduction(Fraction(str(answer['reduction']['percent_of_paint'])))}"
    if answer.get("pot_life") is not None:
        words = answer["pot_life"]["words"]
        yield f"  {words[0].upper()}{words[1:]}"
    if answer["range_used_percent"] is not None:
        used, following = answer["range_used_percent"], answer["next_step_percent"]
        yield _(
            "  {used:.0f} % of the allowed range used; next step {following} %",
            used=used,
            following=in_full(following),
        )
    for pour in answer["pours"]:
        left = _("{on_hand_ml} ml left", on_hand_ml=in_short(pour["on_hand_ml"]))
        yield _(
            "  bottle {bottle} {product}: {volume_ml} ml, {left}",
            bottle=pour["bottle"],
            product=pour["product"],
            volume_ml=in_short(pour["volume_ml"]),
            left=left,
        )
    for found in answer["cautions"]:
        yield f"  {_(found['severity']).upper()} {found['code']}: {found['message']}"
        yield f"    {found['remedy']} [{found['source']}]"


def _counted_or_weighed(added: dict[str, Any]) -> str:
    """What a step adds in drops, and in grams where its density is known."""
    weighed = added.get("mass_g") is not None  # an older Ullage answered without
    return in_drops(added["drops"]) + (f", {in_full(added['mass_g'], 2)} g" if weighed else "")


def close_mix(args: Any, context: Context) -> Result:
    """`ullage close`."""
    from stock.bench.closing import Ending, close  # loads the tables

    context.open()
    if args.left is not None and not args.keep and not args.throw:
        raise BadInput(
            _("--left needs to know whether the rest is kept or thrown away"),
            remedy=_("Add --keep or --throw"),
        )
    if args.keep and args.left is None:
        raise BadInput(_("--keep needs to know how much is left"), remedy=_("Add --left 3ml"))
    ending = Ending(
        outcome=args.outcome.strip().casefold(),
        left_ul=_volume(args.left) if args.left is not None else units.Microlitres(0),
        keep=args.keep,
        jar_ul=_volume(args.jar) if args.jar is not None else None,
        place=args.place,
        label=args.label,
        needle_um=units.needle(args.needle) if args.needle is not None else None,
        pressure_pa=units.pressure(args.pressure) if args.pressure is not None else None,
        room_mc=units.temperature(args.room) if args.room is not None else None,
        humidity_milli=units.percent(args.humidity, what=_("humidity"))
        if args.humidity is not None
        else None,
        note=args.note,
    )
    answer = close(args.mix, ending, at=instant(args.on), key=args.key)
    lines = [
        _(
            "Mix {mix} closed as {outcome}: {sprayed_ml} ml sprayed",
            mix=answer["mix"],
            outcome=answer["outcome"],
            sprayed_ml=in_short(answer["sprayed_ml"]),
        )
    ]
    if answer["kept"]:
        kept = answer["kept"]
        lines.append(
            _(
                "  {on_hand_ml} ml kept in jar {label} (bottle {bottle}), good until {best_before}",
                on_hand_ml=in_short(kept["on_hand_ml"]),
                label=kept["label"],
                bottle=kept["bottle"],
                best_before=show_day(kept["best_before"]),
            )
        )
    elif answer["left_ml"]:
        lines.append(_("  {left_ml} ml thrown away", left_ml=in_short(answer["left_ml"])))
    return Result(answer, lines)
