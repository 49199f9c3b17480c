"""The answer of `ullage order list`: open orders and due baskets, of one studio or of all."""

from collections.abc import Iterable, Sequence
from datetime import date
from typing import TYPE_CHECKING, Any

from stock import clock, units
from stock.cli.forecast import iso, money_number
from stock.cli.frame import Context, Result
from stock.cli.show import table
from stock.errors import BadInput, NotFound
from stock.language import _
from stock.notation import show_day
from stock.remedies import Do, Remedy

if TYPE_CHECKING:
    from stock.forecast.baskets import Basket
    from stock.forecast.books import Reading
    from stock.forecast.every_studio import StudioOrders
    from stock.forecast.orderbook import OpenLine


def of_this_studio(args: Any, context: Context) -> Result:
    """The open orders and due baskets of this studio."""
    from stock.forecast import orders  # loads the tables
    from stock.forecast.books import read  # loads numpy
    from stock.forecast.forecasting import baskets_of

    context.open()
    reading = read(context.as_of())
    found = orders.listed(context.as_of(), everything=args.all)
    baskets = baskets_of(reading.forecasts())
    answer = {
        "as_of": reading.as_of.isoformat(),
        "orders": [_order_json(rows, reading.currency) for rows in found],
        "to_order": [_basket_json(each, reading) for each in baskets],
    }
    rows = [
        (
            line.order, line.ordered_on, line.expected_on, line.supplier or "", line.product,
            f"{line.packs} x {units.show_volume(line.size_ul, reading.measures, short=True)}",
            line.received, line.cancelled, line.open,
        )
        for lines in found
        for line in lines
    ]  # fmt: skip
    heads = (
        _("order>"),
        _("made"),
        _("expected"),
        _("supplier"),
        _("product"),
        _("packs"),
        _("came>"),
        _("cancelled>"),
        _("open>"),
    )
    lines = table(heads, rows) if rows else [_("Nothing is on order.")]
    for each in baskets:
        lines += ["", *_basket_lines(each, reading)]
    return Result(answer, lines)


def of_every_studio(args: Any, context: Context) -> Result:
    """The due baskets of every studio of a server.

    It exits with 1 if a studio can't be read, because its needs are unknown.

    Raises:
        BadInput: `--all`, or a day in the future.
        NotFound: no studio has books there.
    """
    from stock.forecast import every_studio  # loads numpy

    if args.all:
        raise BadInput(_("--every-studio lists what is to be ordered"), remedy=_("Leave --all out"))
    day = None
    if context.as_of_text is not None:
        today = clock.now().date()
        day = units.day(context.as_of_text, today)
        if day > today:
            raise BadInput(
                _("--as-of {day} is in the future", day=show_day(day)), remedy=_("Give today or a past day")
            )
    read: list[StudioOrders] = []
    unread: list[every_studio.UnreadStudio] = []
    for each in every_studio.orders(context.address, day):
        if isinstance(each, every_studio.UnreadStudio):
            unread.append(each)
        else:
            read.append(each)
    if not read and not unread:
        raise NotFound(
            _("no schema of that database holds a studio's books"),
            remedy=Remedy(_("Make one with "), Do("new")),
        )
    answer = {
        "studios": [
            {
                "schema": each.schema,
                "studio": each.name,
                "as_of": each.as_of.isoformat(),
                "to_order": [_basket_json(basket, each) for basket in each.baskets],
            }
            for each in read
        ],
        "not_read": [{"schema": each.schema, "reason": each.reason} for each in unread],
    }
    rows = sorted(row for each in read for basket in each.baskets for row in _studio_rows(each, basket))
    heads = (_("order by"), _("studio"), _("schema"), _("supplier"), _("product"), _("packs"), _("cost>"))
    nothing = sum(not each.baskets for each in read)
    lines = table(heads, rows) if rows else []
    lines.append(
        _("{read} studios read; {nothing} of them have nothing to order.", read=len(read), nothing=nothing)
    )
    lines += [_("Not read: {schema}: {reason}", schema=each.schema, reason=each.reason) for each in unread]
    return Result(answer, lines, status=1 if unread else 0)


def _studio_rows(orders: "StudioOrders", basket: "Basket") -> Iterable[tuple[date | str, ...]]:
    day = date.fromordinal(orders.as_of.toordinal() + basket.day)
    for line in (*basket.must, *basket.along):
        packs = f"{line.count} x {units.show_volume(line.size_ul, orders.measures, short=True)}"
        cost = "" if line.cost_minor is None else units.show_money(line.cost_minor, orders.currency)
        yield day, orders.name, orders.schema, basket.supplier or _("not known"), line.product, packs, cost


def _order_json(lines: Sequence["OpenLine"], currency: str) -> dict[str, Any]:
    first = lines[0]
    return {
        "id": first.order,
        "supplier": first.supplier,
        "ordered_on": first.ordered_on.isoformat(),
        "expected_on": iso(first.expected_on),
        "lines": [
            {
                "line": line.line,
                "product": line.product,
                "size_ml": units.ml(line.size_ul),
                "packs": line.packs,
                "received": line.received,
                "cancelled": line.cancelled,
                "open": line.open,
                "price": money_number(line.price_minor, currency),
            }
            for line in lines
        ],
    }


def _basket_json(basket: "Basket", reading: "Reading | StudioOrders") -> dict[str, Any]:
    day = date.fromordinal(reading.as_of.toordinal() + basket.day)
    return {
        "supplier": basket.supplier or None,
        "order_by": day.isoformat(),
        "lines": [
            {
                "product": line.product,
                "size_ml": units.ml(line.size_ul),
                "count": line.count,
                "cost": money_number(line.cost_minor, reading.currency),
                "rides_along": line in basket.along,
            }
            for line in (*basket.must, *basket.along)
        ],
        "goods": money_number(basket.goods_minor, reading.currency),
        "shipping": money_number(basket.shipping_minor, reading.currency),
        "saved": money_number(basket.saved_minor, reading.currency),
        "currency": reading.currency,
    }


def _basket_lines(basket: "Basket", reading: "Reading") -> Iterable[str]:
    """A basket in lines."""
    day = date.fromordinal(reading.as_of.toordinal() + basket.day)
    yield _(
        "To order from {supplier} by {day}:",
        supplier=basket.supplier or _("no known supplier"),
        day=show_day(day),
    )
    for line in (*basket.must, *basket.along):
        cost = "" if line.cost_minor is None else f"  {units.show_money(line.cost_minor, reading.currency)}"
        size = units.show_volume(line.size_ul, reading.measures, short=True)
        yield f"  {line.count} x {size} {line.product}{cost}{_('  (rides along)') if line in basket.along else ''}"
    goods = units.show_money(basket.goods_minor, reading.currency)
    shipping = (
        _(
            ", shipping {shipping_minor}",
            shipping_minor=units.show_money(basket.shipping_minor, reading.currency),
        )
        if basket.shipping_minor
        else ""
    )
    yield _("  goods {goods}{shipping}", goods=goods, shipping=shipping) + (
        _(", {unpriced} without a price", unpriced=basket.unpriced) if basket.unpriced else ""
    )
    if basket.missing_minor is not None:
        yield _(
            "  {missing_minor} more would make shipping free",
            missing_minor=units.show_money(basket.missing_minor, reading.currency),
        )
