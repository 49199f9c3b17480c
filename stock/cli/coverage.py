"""`ullage coverage`: from an area to an amount of paint, and back."""

from typing import Any

from stock import units
from stock.cli.frame import Context, Result, command
from stock.errors import BadInput
from stock.grammar import in_full
from stock.language import _


def register(commands: Any) -> None:
    """Add the parser."""
    cover = command(
        commands, "coverage", show_coverage, _("how much to mix for an area, or how far an amount reaches")
    )
    cover.add_argument("area", nargs="?", help=_("as 0.5m2, 300cm2 or 40x60cm"))
    cover.add_argument("--amount", metavar="PAINT", help=_("paint on hand, as 10ml: how far it reaches"))
    cover.add_argument(
        "--film", required=True, metavar="THICKNESS", help=_("dry film, all coats together, as 25um")
    )
    cover.add_argument(
        "--solids", required=True, metavar="PERCENT", help=_("volume solids of the paint, as 30%%")
    )
    cover.add_argument(
        "--transfer",
        default="50%",
        metavar="PERCENT",
        help=_("share that reaches the part; no published figure for an airbrush"),
    )
    cover.add_argument("--reduce", metavar="HOW_MUCH", help=_("thinned by 20%% or 5:1"))


def show_coverage(args: Any, context: Context) -> Result:
    """`ullage coverage`."""
    from stock.bench import coverage, reduction  # only this command needs it

    context.open_if_there()
    if (args.area is None) == (args.amount is None):
        raise BadInput(_("coverage needs an area or an amount"), remedy=_("Write 0.5m2, or --amount 10ml"))
    film = coverage.Film(
        coverage.film(args.film),
        units.percent(args.solids, what=_("volume solids")),
        units.percent(args.transfer, what=_("transfer")),
    )
    thinned = reduction.Reduction(units.reduction(args.reduce)) if args.reduce is not None else None
    if args.area is not None:
        area_mm2 = coverage.area(args.area)
        paint_ul, reducer_ul = coverage.to_mix(area_mm2, film, thinned)
    else:
        paint_ul = units.volume(args.amount)
        area_mm2 = film.area_mm2(paint_ul)
        reducer_ul = reduction.reducer_for(paint_ul, thinned) if thinned is not None else units.Microlitres(0)
    answer = {
        "area_m2": area_mm2 / 1_000_000,
        "paint_ml": units.ml(paint_ul),
        "reducer_ml": units.ml(reducer_ul),
        "total_ml": units.ml(units.Microlitres(paint_ul + reducer_ul)),
        "wet_film_um": round(float(film.wet_um(thinned)), 1),
        "m2_per_litre": round(float(film.square_metres_per_litre(thinned)), 2),
        "source": _("10·VS/DFT with VS by ISO 23811 (from memory); transfer is a setting"),
    }
    lines = [
        _(
            "{area_m2} m²: {paint_ul} paint",
            area_m2=in_full(float(answer["area_m2"]), 4),
            paint_ul=units.show_volume(paint_ul),
        )
        + (_(" + {reducer_ul} reducer", reducer_ul=units.show_volume(reducer_ul)) if reducer_ul else ""),
        _(
            "  wet film {wet_film_um} µm; {m2_per_litre} m² a litre with nothing lost",
            wet_film_um=in_full(float(answer["wet_film_um"])),
            m2_per_litre=in_full(float(answer["m2_per_litre"])),
        ),
        _(
            "  {transfer} taken to reach the part: measure your own, no figure for an airbrush is published",
            transfer=args.transfer,
        ),
    ]
    return Result(answer, lines)
