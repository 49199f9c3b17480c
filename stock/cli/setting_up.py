"""`ullage new`, `studio`, `place`, `supplier`: the studio, its places and its suppliers."""

from fractions import Fraction
from typing import Any

from stock import config, units
from stock.cli.frame import Context, Result, command, whole
from stock.cli.show import table
from stock.grammar import in_full
from stock.language import _
from stock.notation import show_day


def register(commands: Any) -> None:
    """Add the parsers."""
    new = command(commands, "new", make, _("make empty books where --studio says"))
    new.add_argument("--name", default="My studio", help=_("the studio's name"))
    new.add_argument("--currency", default="EUR", help=_("ISO 4217 code of its money"))
    new.add_argument("--time-zone", default="UTC", help=_("IANA name, as Europe/Lisbon"))
    new.add_argument(
        "--measures",
        help=_("metric, us or imperial; metric if neither this nor `ullage config set measures us` says it"),
    )
    new.add_argument("--decimal-mark", default="point", help=_("point or comma: how figures are shown"))
    new.add_argument("--dates", default="iso", help=_("iso, day-first or month-first: how days are shown"))
    _register_studio(commands)
    _register_place(commands)


def _register_studio(commands: Any) -> None:
    studio = commands.add_parser("studio", help=_("show or change the studio's settings"))
    verbs = studio.add_subparsers(dest="verb", required=True, metavar="VERB")
    command(verbs, "show", show_studio, _("show the studio's settings"))
    change = command(verbs, "change", change_studio, _("change the settings given"))
    change.add_argument("--name")
    change.add_argument("--measures", help=_("metric, us or imperial"))
    change.add_argument(
        "--decimal-mark",
        help=_("point, or comma: shown, and read beside a point; JSON, CSV and files keep points"),
    )
    change.add_argument(
        "--dates",
        metavar="ORDER",
        help=_(
            "iso (2026-11-27), day-first (27.11.2026) or month-first (11/27/2026): shown, and read beside iso"
        ),
    )
    change.add_argument("--paper", metavar="SIZE", help=_("of pages and labels: a4 or letter"))
    change.add_argument("--drops-per-ml", help=_("of products that have no figure of their own"))
    change.add_argument("--dry-risk", help=_("the chance of running dry you take, as 5%%"))
    change.add_argument("--rule-sets", nargs="+", metavar="SET", help=_("of the cautions, as: ghs strictest"))
    change.add_argument(
        "--fan", type=whole, metavar="M3_PER_HOUR", help=_("air that your fan was measured to move")
    )
    change.add_argument("--room", metavar="M3", help=_("air in the room you spray in, as 30 or 4x3x2.5"))
    change.add_argument(
        "--spray-rate", metavar="ML_PER_MIN", help=_("mix your airbrush uses while it sprays, as 1.5ml")
    )
    change.add_argument("--labour", metavar="MONEY", help=_("what an hour of work on a job costs, as 45"))
    change.add_argument(
        "--mark-up", metavar="PERCENT", help=_("what a job's price adds to material and work, as 20%%")
    )
    change.add_argument("--address", help=_("the studio's, as it is printed"))
    change.add_argument(
        "--voc-limit",
        metavar="MASS",
        help=_("volatile organic compounds you may emit in twelve months, as 25kg"),
    )
    change.add_argument(
        "--waste-collected", metavar="DATE", help=_("the day your hazardous waste last left the studio")
    )


def _register_place(commands: Any) -> None:
    place = commands.add_parser("place", help=_("add, change or list places where bottles stand"))
    verbs = place.add_subparsers(dest="verb", required=True, metavar="VERB")
    for verb, run in (("add", add_place), ("change", change_place)):
        parser = command(verbs, verb, run, _("{verb} a place", verb=verb))
        parser.add_argument("name")
        parser.add_argument("--kind", help=_("cabinet, shelf, store, spray_area or rag_bin"))
        parser.add_argument("--premises", help=_("home, garage (at a dwelling), workshop or spray_room"))
        parser.add_argument("--building", help=_("places of one building count together"))
        parser.add_argument(
            "--flammable-limit",
            help=_("flammable stock it may hold, by volume or by mass: 20l, 10gal, 20kg, 40lb"),
        )
        parser.add_argument("--lowest", help=_("its lowest temperature, as -4C"))
        parser.add_argument("--highest", help=_("its highest temperature, as 32C"))
        parser.add_argument(
            "--ignition", choices=("yes", "no"), help=_("flame, heater or sparks in the same room")
        )
        parser.add_argument("--note", default=None)
        if verb == "change":
            parser.add_argument("--rename", help=_("its new name"))
    command(verbs, "list", list_places, _("list all places"), entries=("places",))


def make(args: Any, context: Context) -> Result:
    """`ullage new`."""
    from stock.shelf import studio  # loads the tables

    studio.make(
        context.address,
        name=args.name,
        currency=args.currency,
        time_zone=args.time_zone,
        measures=args.measures or config.value(config.MEASURES) or "metric",
        decimal_mark=args.decimal_mark,
        date_order=args.dates,
    )
    made = studio.settings()
    answer = {
        "name": made.name,
        "currency": made.currency,
        "time_zone": made.time_zone,
        "measures": made.measures,
    }
    return Result(
        answer,
        [
            _(
                "{name}: empty books, {currency}, {time_zone}, {measures} measures",
                name=made.name,
                currency=made.currency,
                time_zone=made.time_zone,
                measures=made.measures,
            )
        ],
        made=True,
    )


def show_studio(args: Any, context: Context) -> Result:  # noqa: ARG001 - every command takes its arguments
    """`ullage studio show`."""
    from stock.shelf import studio  # loads the tables

    context.open()
    return _studio_shown(studio.settings())


def change_studio(args: Any, context: Context) -> Result:
    """`ullage studio change`."""
    from stock.cautions.rules import rule_book  # only to refuse an unknown set
    from stock.shelf import studio  # loads the tables
    from stock.shelf.entry import drops_per_ml  # loads the tables
    from stock.shelf.studio_words import reads, room  # loads the tables

    context.open()
    if args.rule_sets is not None:
        rule_book(args.rule_sets)
    changed = studio.change(
        name=args.name,
        measures=args.measures,
        decimal_mark=args.decimal_mark,
        date_order=args.dates,
        paper=args.paper,
        drops_milli=drops_per_ml(args.drops_per_ml) if args.drops_per_ml is not None else None,
        dry_risk_milli=units.percent(args.dry_risk) if args.dry_risk is not None else None,
        rule_sets=tuple(args.rule_sets) if args.rule_sets is not None else None,
        fan_m3_per_h=args.fan,
        room_l=room(args.room) if args.room is not None else None,
        labour_minor_per_h=reads("labour_minor_per_h", args.labour),
        markup_milli=reads("markup_milli", args.mark_up),
        address=args.address,
        voc_limit_mg=reads("voc_limit_mg", args.voc_limit),
        spray_ul_per_min=units.volume(args.spray_rate) if args.spray_rate is not None else None,
        waste_collected_on=(
            units.day(args.waste_collected, context.today()) if args.waste_collected is not None else None
        ),
    )
    return _studio_shown(changed)


def _studio_shown(settings: Any) -> Result:
    answer = {
        "name": settings.name,
        "currency": settings.currency,
        "time_zone": settings.time_zone,
        "measures": settings.measures,
        "decimal_mark": settings.decimal_mark,
        "dates": settings.date_order,
        "paper": settings.paper or None,
        "drops_per_ml": settings.drops_milli / 1_000,
        "dry_risk_percent": settings.dry_risk_milli / 1_000,
        "rule_sets": list(settings.rule_sets),
        "fan_m3_per_h": settings.fan_m3_per_h,
        "room_m3": settings.room_l / 1_000 if settings.room_l else None,
        "labour_per_hour": (
            settings.labour_minor_per_h / 10 ** units.minor_digits(settings.currency)
            if settings.labour_minor_per_h is not None
            else None
        ),
        "mark_up_percent": settings.markup_milli / 1_000 if settings.markup_milli is not None else None,
        "address": settings.address or None,
        "voc_limit_kg": settings.voc_limit_mg / 1_000_000 if settings.voc_limit_mg is not None else None,
        "spray_ml_per_min": units.ml(settings.spray_ul_per_min) if settings.spray_ul_per_min else None,
        "waste_collected_on": (
            settings.waste_collected_on.isoformat() if settings.waste_collected_on else None
        ),
    }
    lines = [f"{key.replace('_', ' '):<18}{_in_words(key, value)}" for key, value in answer.items()]
    return Result(answer, lines)


def _in_words(key: str, value: Any) -> str:
    if value in (None, []):
        return _("not set")
    if key.endswith("_on"):
        return show_day(value)
    return in_full(value, 6) if isinstance(value, int | float) else str(value)


PLACE_FIELDS = ("kind", "premises", "building", "flammable_limit", "lowest", "highest", "ignition", "note")


def add_place(args: Any, context: Context) -> Result:
    """`ullage place add`."""
    from stock.shelf import places  # loads the tables

    context.open()
    columns, _ = places.read({key: getattr(args, key) for key in PLACE_FIELDS})
    return _place_shown(places.add(args.name, **columns))


def change_place(args: Any, context: Context) -> Result:
    """`ullage place change`."""
    from stock.shelf import places  # loads the tables

    context.open()
    columns, forget = places.read({key: getattr(args, key) for key in PLACE_FIELDS})
    return _place_shown(places.change(args.name, rename=args.rename, forget=forget, **columns))


def _place_answer(place: Any) -> dict[str, Any]:
    limit, limit_mg = place.flammable_limit_ul, place.flammable_limit_mg
    return {
        "name": place.name,
        "kind": place.kind,
        "premises": place.premises,
        "building": place.building,
        "flammable_limit_ml": units.ml(limit) if limit is not None else None,
        "flammable_limit_kg": limit_mg / 1_000_000 if limit_mg is not None else None,
        "lowest_c": place.low_mc / 1000 if place.low_mc is not None else None,
        "highest_c": place.high_mc / 1000 if place.high_mc is not None else None,
        "ignition": place.ignition,
    }


def _place_shown(place: Any) -> Result:
    answer = _place_answer(place)
    return Result(answer, [f"{place.name}: {place.kind.replace('_', ' ')}"])


def _limit_in_words(row: dict[str, Any]) -> str | None:
    """A place's limit of flammable stock, in its own unit; None without one."""
    if row["flammable_limit_kg"] is not None:
        return f"{in_full(row['flammable_limit_kg'])} kg"
    limit_ml = row["flammable_limit_ml"]
    if limit_ml is None:
        return None
    return f"{in_full(Fraction(str(limit_ml)) / 1_000)} l" if limit_ml >= 1_000 else f"{in_full(limit_ml)} ml"


def list_places(args: Any, context: Context) -> Result:  # noqa: ARG001 - every command takes its arguments
    """`ullage place list`."""
    from stock.shelf import places  # loads the tables

    context.open()
    answers = [_place_answer(place) for place in places.everything()]
    rows = [
        (row["name"], row["kind"], row["premises"], row["building"], _limit_in_words(row)) for row in answers
    ]
    lines = table((_("place"), _("kind"), _("premises"), _("building"), _("may hold>")), rows)
    return Result(
        {"places": answers}, lines if rows else [_("No places yet. Add one: `ullage place add NAME`")]
    )
