"""The worth of the stock as a report and as JSON: columns, totals and rules."""

from collections.abc import Sequence
from typing import Any

from stock.grammar import in_full
from stock.language import _
from stock.logbook.flat_tables import valued
from stock.logbook.report import Cell, Report, ReportTable
from stock.logbook.stock_value import StockValue, monthly
from stock.logbook.valuation import RULE, ValuedProduct
from stock.money import minor_digits, money_figure
from stock.notation import show_day
from stock.units import Microlitres, ml

STEPS = ("opening", "purchased", "used", "written_off", "closing")
THE_STUDIO = _("the studio")
WORDS = {"fifo": _("first in, first out"), "average": _("moving average")}


def value_report(value: StockValue, rows_of: str = "product") -> Report:
    """The worth of the stock by product, by place and by owner, and its changes in the period.

    Args:
        value: the period's.
        rows_of: what a row of the flat table is, one of `flat_tables.ROWS_OF_VALUE`.
    """
    notes = [RULE]
    if value.unpriced:
        bottles = ", ".join(f"{name} ({in_full(ml(Microlitres(ul)))} ml)" for name, ul in value.unpriced)
        notes.append(
            _(
                "The price of these is unknown, so they count as nothing and the real worth is higher "
                "than shown: {bottles}.",
                bottles=bottles,
            )
        )
    about = f"{_period(value)}, {WORDS[value.method]}"
    return Report(
        title=_("Value of the stock"),
        studio=value.studio,
        about=about,
        tables=[_money(value), _volumes(value), _places(value), *_owners(value), _write_offs(value)],
        notes=notes,
        subject=f"{value.method}, {_days(value)}, {rows_of}s",
        flat=lambda: valued(monthly(since=value.since, until=value.until, method=value.method), rows_of),
    )


def _period(value: StockValue) -> str:
    return (
        _("as of {until}", until=show_day(value.until))
        if value.since is None
        else _("{since} to {until}", since=show_day(value.since), until=show_day(value.until))
    )


def _days(value: StockValue) -> str:
    return (
        _("all days")
        if value.since is None
        else _("{since} to {until}", since=show_day(value.since), until=show_day(value.until))
    )


def _money(value: StockValue) -> ReportTable:
    heads = (
        _("product"),
        _("opening>"),
        _("purchases>"),
        _("used>"),
        _("written off>"),
        _("closing {currency}>", currency=value.currency),
    )
    rows: list[Sequence[Cell]] = [
        (name, *(money_figure(getattr(one, step), value.currency) for step in STEPS))
        for name, one in value.products
    ]
    totals = (_("together"), *(money_figure(_sum(value, step), value.currency) for step in STEPS))
    return ReportTable(_("Money"), heads, rows, totals)


def _volumes(value: StockValue) -> ReportTable:
    heads = (
        _("product"),
        _("opening>"),
        _("purchases>"),
        _("used>"),
        _("written off>"),
        _("closing ml>"),
        _("of it unpriced ml>"),
    )
    steps = (*(f"{step}_ul" for step in STEPS), "unpriced_ul")
    rows: list[Sequence[Cell]] = [
        (name, *(ml(Microlitres(getattr(one, step))) for step in steps)) for name, one in value.products
    ]
    return ReportTable(
        _("Volume"), heads, rows, (_("together"), *(ml(Microlitres(_sum(value, step))) for step in steps))
    )


def _places(value: StockValue) -> ReportTable:
    rows: list[Sequence[Cell]] = [
        (
            one.name,
            ml(one.closing_ul),
            ml(one.unpriced_ul),
            money_figure(one.closing, value.currency),
        )
        for one in value.places
    ]
    total = sum(one.closing for one in value.places)
    totals = (
        _("together"),
        ml(Microlitres(sum(one.closing_ul for one in value.places))),
        ml(Microlitres(sum(one.unpriced_ul for one in value.places))),
        money_figure(total, value.currency),
    )
    return ReportTable(
        _("Places at the end"),
        (_("place"), _("ml>"), _("of it unpriced ml>"), f"{value.currency}>"),
        rows,
        totals,
    )


def _owners(value: StockValue) -> list[ReportTable]:
    """The stock by owner, if any belongs to somebody else; without a total, because only the studio's stock counts."""
    if len(value.owners) < 2:
        return []
    rows: list[Sequence[Cell]] = [
        (
            one.name or THE_STUDIO,
            ml(one.closing_ul),
            ml(one.unpriced_ul),
            money_figure(one.closing, value.currency),
        )
        for one in value.owners
    ]
    heads = (_("owner"), _("ml>"), _("of it unpriced ml>"), f"{value.currency}>")
    return [ReportTable(_("Owners at the end; the rest is the studio's alone"), heads, rows)]


def _write_offs(value: StockValue) -> ReportTable:
    heads = (_("day"), _("product"), _("bottle"), _("reason"), _("ml>"), f"{value.currency}>")
    rows: list[Sequence[Cell]] = [
        (
            show_day(one.day), one.product, one.bottle, one.reason, ml(one.volume_ul),
            money_figure(one.value, value.currency),
        )
        for one in value.write_offs
    ]  # fmt: skip
    return ReportTable(_("Written off, each rounded by itself"), heads, rows)


def _sum(value: StockValue, step: str) -> int:
    return sum(getattr(one, step) for _, one in value.products)


def value_json(value: StockValue) -> dict[str, Any]:
    """The answer of `ullage valuation`; money in the currency's main unit, volumes in millilitres."""
    scale = 10 ** minor_digits(value.currency)

    def figures(one: ValuedProduct) -> dict[str, Any]:
        return {
            **{step: getattr(one, step) / scale for step in STEPS},
            **{f"{step}_ml": ml(Microlitres(getattr(one, f"{step}_ul"))) for step in STEPS},
            "unpriced_ml": ml(one.unpriced_ul),
        }

    return {
        "since": value.since.isoformat() if value.since else None,
        "until": value.until.isoformat(),
        "method": value.method,
        "currency": value.currency,
        "products": [{"product": name, **figures(one)} for name, one in value.products],
        "places": [
            {
                "place": one.name,
                "closing": one.closing / scale,
                "closing_ml": ml(one.closing_ul),
                "unpriced_ml": ml(one.unpriced_ul),
            }
            for one in value.places
        ],
        "owners": [
            {
                "owner": one.name or None,
                "closing": one.closing / scale,
                "closing_ml": ml(one.closing_ul),
                "unpriced_ml": ml(one.unpriced_ul),
            }
            for one in value.owners
        ],
        "write_offs": [
            {
                "day": one.day.isoformat(),
                "product": one.product,
                "bottle": one.bottle,
                "reason": one.reason,
                "volume_ml": ml(one.volume_ul),
                "value": one.value / scale,
            }
            for one in value.write_offs
        ],
        "total": {step: _sum(value, step) / scale for step in STEPS},
        "unpriced": [{"bottle": name, "volume_ml": ml(Microlitres(ul))} for name, ul in value.unpriced],
        "rule": RULE,
    }
