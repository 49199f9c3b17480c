"""`ullage forecast`: the days on which products run out, and the days to order by."""

from collections.abc import Iterable, Sequence
from datetime import date
from typing import TYPE_CHECKING, Any

from stock import units
from stock.cli.files import deliver, writes
from stock.cli.frame import Context, Result, command, whole
from stock.cli.show import table
from stock.errors import BadInput
from stock.language import _
from stock.notation import show_day
from stock.units import Microlitres

if TYPE_CHECKING:
    from stock.forecast.books import Reading
    from stock.forecast.facts import Forecast, WhatIf
    from stock.store.outputs import Output


def register(commands: Any) -> None:
    """Add the parsers."""
    forecast = command(
        commands,
        "forecast",
        show_forecast,
        _("sprays left, the day it runs out, the day to order"),
        entries=("products", "months"),
    )
    forecast.add_argument("product", nargs="?")
    forecast.add_argument(
        "--review", action="store_true", help=_("replay past forecasts against what happened")
    )
    writes(forecast, ("--calendar", _("write order-by and best-before days as a calendar")))
    asked = forecast.add_argument_group(_("what if"))
    asked.add_argument("--use", metavar="PERCENT", help=_("so much more use, as 20%% or --use=-10%%"))
    asked.add_argument("--later", metavar="DAYS", help=_("deliveries come so much later, as 7d"))
    asked.add_argument("--sure", metavar="PERCENT", help=_("how sure that nothing runs dry, as 99%%"))
    asked.add_argument(
        "--bottles", type=whole, default=0, metavar="N", help=_("so many bottles more of each")
    )
    asked.add_argument(
        "--any-size", action="store_true", help=_("also sizes that go bad before they are used up")
    )


def show_forecast(args: Any, context: Context) -> Result:
    """`ullage forecast`."""
    from stock.forecast.books import read  # loads the tables and numpy
    from stock.shelf import products

    context.open()
    if args.review:
        return _review(context)
    wanted = products.find(args.product) if args.product is not None else None
    reading = read(context.as_of())
    if wanted is not None and wanted.id not in reading.facts:
        raise BadInput(
            _("{name} is a leftover mix and is not forecast", name=wanted.name),
            remedy=_("Name a product that is bought"),
        )
    forecasts = reading.forecasts(None if wanted is None else [wanted.id], _what_if(args, reading))
    answer = {"as_of": reading.as_of.isoformat(), "products": [as_json(each, reading) for each in forecasts]}
    lines = list(_details(forecasts[0], reading) if wanted is not None else _overview(forecasts, reading))
    result = Result(answer, lines)
    return (
        result
        if args.calendar is None
        else deliver([_calendar(args, reading, forecasts)], result, context, args)
    )


def _what_if(args: Any, reading: "Reading") -> "WhatIf":
    """The what-if question that the options ask.

    Raises:
        BadInput: a share, a delay or a number of bottles that is out of range.
    """
    from stock.forecast.facts import WhatIf

    more = 0
    if args.use is not None:
        text = args.use.strip()
        sign = -1 if text.startswith("-") else 1
        more = sign * units.percent(text.lstrip("+-"), what=_("use"), most=900 if sign > 0 else 90)
    sure = units.percent(args.sure, what=_("service")) if args.sure is not None else None
    if sure is not None and not 50_000 <= sure <= 99_900:
        raise BadInput(_("{sure} can't be promised", sure=args.sure), remedy=_("Write 50% to 99.9%"))
    if not 0 <= args.bottles <= 1_000:
        raise BadInput(
            _("{bottles} more bottles are out of range", bottles=args.bottles), remedy=_("Write 0 to 1,000")
        )
    later = units.duration(args.later, zero=True) if args.later is not None else None
    return WhatIf(
        risk=reading.risk if sure is None else 1 - sure / 100_000,
        more_use=1 + more / 100_000,
        later_days=(later.after(reading.as_of) - reading.as_of).days if later is not None else 0,
        more_bottles=args.bottles,
        any_size=args.any_size,
    )


def as_json(forecast: "Forecast", reading: "Reading") -> dict[str, Any]:
    """One product's forecast with its pinned keys."""
    sprays, order = forecast.sprays, forecast.order
    return {
        "product": forecast.facts.product,
        "on_hand_ml": units.ml(forecast.facts.on_hand_ul),
        "usable_ml": units.ml(forecast.usable_ul),
        "usual_mix_ml": None if forecast.usual_ul is None else units.ml(forecast.usual_ul),
        "sprays_left": dict(zip(("p10", "p50", "p90"), sprays or (None,) * 3, strict=True)),
        "runs_out_on": {
            name: iso(forecast.day(days))
            for name, days in zip(("p10", "p50", "p90"), forecast.runs_out, strict=True)
        },
        "order_by": iso(forecast.order_by_day),
        "order": None
        if order is None
        else {
            "size_ml": units.ml(order.pack.size_ul),
            "count": order.count,
            "supplier": forecast.facts.supplier,
            "cost": money_number(order.cost_minor, reading.currency),
            "currency": reading.currency,
        },
        "limited_by": forecast.limited_by,
        "events": forecast.facts.history.events,
        "basis": forecast.basis,
    }


def money_number(minor: int | None, currency: str) -> float | int | None:
    """Money as a number in the currency's main unit."""
    if minor is None:
        return None
    digits = units.minor_digits(currency)
    return minor if not digits else round(minor / 10**digits, digits)


def iso(day: date | None) -> str | None:
    """The day as scripts read it."""
    return None if day is None else day.isoformat()


def _overview(forecasts: Sequence["Forecast"], reading: "Reading") -> Iterable[str]:
    if not forecasts:
        return [_("The books hold no product yet. Add one with `ullage product add NAME --role ROLE`.")]
    ordered = sorted(forecasts, key=lambda each: (each.order_by_day or date.max, each.runs_out[1] or 10_000))
    rows = [
        (
            each.facts.product,
            units.show_volume(each.usable_ul, reading.measures, short=True),
            _sprays(each),
            _span(each),
            show_day(each.order_by_day) or "-",
            _packs(each, reading),
            each.remarks[0] if each.remarks else "",
        )
        for each in ordered
    ]
    return table(
        (_("product"), _("usable>"), _("sprays>"), _("runs out"), _("order by"), _("order"), _("note")),
        rows,
        most=44,
    )


def _details(forecast: "Forecast", reading: "Reading") -> Iterable[str]:
    facts = forecast.facts

    def shown(volume_ul: Microlitres) -> str:
        return units.show_volume(units.Microlitres(volume_ul), reading.measures, short=True)

    usual = _("not known") if forecast.usual_ul is None else shown(forecast.usual_ul)
    yield (
        _(
            "{product}: {on_hand_ul} on hand, {usable_ul} of it usable",
            product=facts.product,
            on_hand_ul=shown(facts.on_hand_ul),
            usable_ul=shown(forecast.usable_ul),
        )
    )
    yield _("  usual mix    {usual}, {events} mix days known", usual=usual, events=facts.history.events)
    yield _("  sprays left  {forecast} (cautious, even chance, at best)", forecast=_sprays(forecast))
    yield _("  runs out     {forecast}", forecast=_span(forecast))
    yield _(
        "  order by     {order_by_day}", order_by_day=show_day(forecast.order_by_day) or _("no order day")
    )
    if forecast.order is not None:
        yield _("  order        {forecast}", forecast=_packs(forecast, reading)) + (
            _(" from {supplier}", supplier=facts.supplier) if facts.supplier else ""
        )
    for planned_day, volume in facts.planned:
        yield _(
            "  planned      {volume} on {planned_day}",
            volume=shown(volume),
            planned_day=show_day(forecast.day(planned_day)),
        )
    for remark in forecast.remarks:
        yield f"  {remark}"


def _sprays(forecast: "Forecast") -> str:
    return "-" if forecast.sprays is None else "/".join(str(each) for each in forecast.sprays)


def _span(forecast: "Forecast") -> str:
    first, middle, last = (show_day(forecast.day(days)) or _("later") for days in forecast.runs_out)
    if first == middle == last:
        return _("not within two years") if first == "later" else first
    return _("{middle} ({first} to {last})", middle=middle, first=first, last=last)


def _packs(forecast: "Forecast", reading: "Reading") -> str:
    order = forecast.order
    if order is None:
        return ""
    cost = "" if order.cost_minor is None else f", {units.show_money(order.cost_minor, reading.currency)}"
    return f"{order.count} x {units.show_volume(order.pack.size_ul, reading.measures)}{cost}"


def _review(context: Context) -> Result:
    from stock.forecast.looking_back import look_back  # loads the tables and numpy

    found = look_back(context.as_of())
    answer = {
        "as_of": found.as_of.isoformat(),
        "cases": len(found.review.cases),
        "inside_p10_p90": round(found.review.inside, 4),
        "above_p90": round(found.review.over, 4),
        "stock_outs_avoided": found.review.avoided,
        "stock_outs_missed": found.review.missed,
        "months": [month.as_json() for month in found.months],
    }
    return Result(answer, found.lines())


def _calendar(args: Any, reading: "Reading", forecasts: Sequence["Forecast"]) -> "Output":
    from stock.exchange import calendar  # only with --calendar

    events = [*calendar.order_by_days(forecasts), *calendar.best_before_days(reading.as_of)]
    return calendar.file(args.calendar, events, of=args.product)
