"""`ullage receive`, `shelf`: deliveries, and the bottles on the shelf."""

from typing import Any

from stock import units
from stock.cli.files import TABLE, deliver, writes
from stock.cli.frame import Context, Result, command, instant, whole
from stock.cli.show import table
from stock.grammar import in_short
from stock.language import _, ngettext
from stock.notation import show_day


def register(commands: Any) -> None:
    """Add the parsers."""
    receive = command(commands, "receive", receive_bottles, _("take a delivery in"))
    receive.add_argument("product")
    receive.add_argument("size", help=_("what the label says is in each bottle, as 60ml"))
    receive.add_argument("--count", type=whole, default=1, help=_("how many bottles"))
    receive.add_argument("--lot", default="")
    receive.add_argument("--best-before", metavar="DATE")
    receive.add_argument("--made", metavar="DATE", help=_("the day it was made, if printed"))
    receive.add_argument("--place")
    receive.add_argument(
        "--left", help=_("what is left in each, as 22ml, half, 3/4, 40%% or 63.2g with the bottle")
    )
    receive.add_argument("--tare", help=_("the empty bottle's weight, with --left as a weight"))
    receive.add_argument("--opened", metavar="DATE", help=_("for a bottle that comes opened; or unknown"))
    receive.add_argument(
        "--opening-stock", action="store_true", help=_("it stood here before the books began: no purchase")
    )
    receive.add_argument("--owner", help=_("whose it is, if not the studio's"))
    receive.add_argument("--price", help=_("paid for each bottle"))
    receive.add_argument("--container", help=_("glass, plastic, metal, safety_can, aerosol_can or drum"))
    receive.add_argument("--label", help=_("your own label, for one bottle"))
    when(receive)
    shelf = command(
        commands, "shelf", show_shelf, _("show every bottle and what is left in it"), entries=("products",)
    )
    shelf.add_argument("--all", action="store_true", help=_("also bottles that are empty or discarded"))
    writes(
        shelf,
        ("--csv", TABLE),
        ("--page", _("also write a page to print: by place, with classes and limits")),
    )


def when(parser: Any) -> None:
    """Add the options that say when an errand happened, and its key, to the parser of a command that books."""
    parser.add_argument(
        "--on", metavar="DATE", help=_("when it happened, as 2026-03-01 or '2026-03-01 14:30'")
    )
    parser.add_argument("--key", help=_("your own key: a repeat with the same key books nothing"))


def _day(text: str | None, context: Context) -> Any:
    return units.day(text, context.today()) if text is not None else None


def volume(text: str) -> units.Microlitres:
    """A volume in the studio's measures, in microlitres."""
    from stock.shelf.studio import settings  # needs the books

    studio = settings()
    measures: Any = studio.measures
    return units.volume(text, measures=measures, drops_milli=studio.drops_milli)


UNKNOWN = ("unknown", "not known")


def known_day(text: str | None, context: Context) -> tuple[Any, bool]:
    """A day or None, and whether the day was given as unknown."""
    if text is not None and text.strip().casefold() in UNKNOWN:
        return None, True
    return _day(text, context), False


def receive_bottles(args: Any, context: Context) -> Result:
    """`ullage receive`."""
    from stock.bench import left_in  # loads the tables
    from stock.shelf import bottle_facts, deliveries, studio  # loads the tables

    context.open()
    size_ul = volume(args.size)
    opened_on, opened_unknown = known_day(args.opened, context)
    tare = units.mass(args.tare, zero=True) if args.tare is not None else None
    left_ul = None
    if args.left is not None:
        left_ul = left_in.read(args.left, size_ul, product=args.product, tare_mg=tare)
    answer = deliveries.receive(
        args.product,
        size_ul,
        count=args.count,
        lot=args.lot,
        best_before=_day(args.best_before, context),
        made_on=_day(args.made, context),
        place=args.place,
        opened_on=opened_on,
        opened_unknown=opened_unknown,
        left_ul=left_ul,
        opening_stock=args.opening_stock,
        owner=args.owner or "",
        price_minor=units.money(args.price, studio.settings().currency) if args.price else None,
        container=None if args.container is None else bottle_facts.container_of(args.container),
        label=args.label,
        on=instant(args.on),
        key=args.key,
    )
    numbers = ", ".join(str(bottle["id"]) for bottle in answer["bottles"])
    first = answer["bottles"][0]
    count = len(answer["bottles"])
    lines = [
        ngettext(
            "{product}: {number} bottle of {size_ml} ml, number {numbers}",
            "{product}: {number} bottles of {size_ml} ml, number {numbers}",
            count,
            product=first["product"],
            size_ml=in_short(first["size_ml"]),
            numbers=numbers,
        )
    ]
    if left_ul is not None:
        lines.append(_("  {on_hand_ml} ml are left in each", on_hand_ml=in_short(first["on_hand_ml"])))
    if opened_unknown or (left_ul is not None and left_ul < size_ul and opened_on is None):
        lines.append(
            _("  open, and nobody knows since when: its age counts from the earliest day that can be")
        )
    return Result(answer, lines)


def show_shelf(args: Any, context: Context) -> Result:
    """`ullage shelf`."""
    from stock.cautions.listing import shelf  # loads the tables

    context.open()
    listing = shelf(context.as_of())
    lines = (
        [] if context.json else _shelf_lines(listing, everything=args.all)
    )  # the lines take as long as everything else
    result = Result(listing.as_json(), lines)
    if args.csv is None and args.page is None:
        return result
    from stock.cli.reports import report_files  # only for a table or a page
    from stock.logbook.inspection import shelf_report  # only where it is written

    return deliver(report_files(args, shelf_report(context.as_of()), context), result, context, args)


def _shelf_lines(listing: Any, *, everything: bool) -> list[str]:
    rows = []
    for view in listing.bottles:
        if view.gone and not everything:
            continue
        opened = show_day(view.opened_on) or _("an unknown day")
        since = _("open since {opened}", opened=opened) if view.state == "open" else _(view.state)
        if view.owner:
            since += f", {view.owner}'s"
        good_until = _("perhaps over") if view.perhaps_over else view.good_until
        rows.append(
            (
                view.id, view.product, view.role, units.show_volume(view.on_hand_ul, listing.measures, short=True),
                units.show_volume(view.size_ul, listing.measures), since, good_until, view.place,
                ", ".join(listing.codes.get(view.id, ())),
            )
        )  # fmt: skip
    if not rows:
        return [_("The shelf is empty. Put a bottle on it: `ullage receive PRODUCT 60ml`")]
    heads = (
        _("bottle>"),
        _("product"),
        _("role"),
        _("left>"),
        _("of>"),
        _("state"),
        _("good until"),
        _("place"),
        _("cautions"),
    )
    return table(heads, rows)
