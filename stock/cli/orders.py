"""`ullage order`, `plan-use`: what is on order, what should be, and what jobs will need."""

from collections.abc import Iterable, Sequence
from datetime import date
from typing import TYPE_CHECKING, Any

from stock import clock, units
from stock.cli.forecast import iso, money_number
from stock.cli.frame import Context, Result, command, instant, whole
from stock.cli.show import table
from stock.errors import BadInput, NotFound
from stock.grammar import in_short
from stock.language import _
from stock.notation import show_day
from stock.remedies import Do, Remedy
from stock.text import plain

if TYPE_CHECKING:
    from stock.forecast.baskets import Basket
    from stock.forecast.books import Reading
    from stock.forecast.every_studio import StudioOrders
    from stock.forecast.orderbook import OpenLine


def register(commands: Any) -> None:
    """Add the parsers."""
    order = commands.add_parser("order", help=_("list, make, receive or cancel orders"))
    verbs = order.add_subparsers(dest="verb", required=True, metavar="VERB")
    listing = command(verbs, "list", list_orders, _("what is on order, and what should be"))
    listing.add_argument("--all", action="store_true", help=_("also orders that came whole"))
    listing.add_argument(
        "--every-studio",
        action="store_true",
        help=_("what every studio on the server has to order, in one table"),
    )
    making = command(verbs, "make", make_order, _("write an order down"))
    making.add_argument("lines", nargs="*", metavar="PRODUCT=PACKS", help=_('as "Harbour Blue=2x60ml"'))
    making.add_argument("--supplier")
    making.add_argument(
        "--basket", metavar="SUPPLIER", help=_("order what the forecast says is due from this supplier")
    )
    making.add_argument("--expected", metavar="DATE")
    receiving = command(verbs, "receive", receive_order, _("put what came of an order on the shelf"))
    cancelling = command(verbs, "cancel", cancel_order, _("take what will not come off an order"))
    for parser in (receiving, cancelling):
        parser.add_argument("order", type=whole)
        parser.add_argument(
            "packs", nargs="*", metavar="PRODUCT=COUNT", help=_("only these; everything if left out")
        )
    receiving.add_argument("--lot", default="")
    receiving.add_argument("--best-before", metavar="DATE")
    receiving.add_argument(
        "--of", action="append", nargs="+", metavar="PRODUCT|KEY=VALUE", default=[],
        help=_("what is on the bottles of one product, where it differs: PRODUCT, then some of lot=A12 "
"best-before=2027-03-01 left=half opened=unknown"),
    )  # fmt: skip
    receiving.add_argument("--place")
    plan = command(commands, "plan-use", plan_use, _("write down what a job will need"))
    plan.add_argument("product")
    plan.add_argument("volume", help=_("as 120ml"))
    plan.add_argument("--on", metavar="DATE", required=True, help=_("the day it is needed"))
    plan.add_argument("--job")
    plan.add_argument("--key", help=_("your own key: a repeat with the same key books nothing"))
    for parser in (making, receiving, cancelling):
        parser.add_argument("--on", metavar="DATE", help=_("when it happened"))
        parser.add_argument("--key", help=_("your own key: a repeat with the same key books nothing"))


def list_orders(args: Any, context: Context) -> Result:
    """`ullage order list`."""
    from stock.forecast import orders  # loads the tables
    from stock.forecast.books import read  # loads numpy
    from stock.forecast.forecasting import baskets_of

    if args.every_studio:
        return _every_studio(args, context)
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
            f"{line.packs} x {units.show_volume(units.Microlitres(line.size_ul), reading.measures, short=True)}",
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
        lines += ["", *basket_lines(each, reading)]
    return Result(answer, lines)


def _every_studio(args: Any, context: Context) -> Result:
    """`ullage order list --every-studio`; exits with 1 if a studio can't be read, because its needs are unknown."""
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
        packs = f"{line.count} x {units.show_volume(units.Microlitres(line.size_ul), orders.measures, short=True)}"
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
                "size_ml": units.ml(units.Microlitres(line.size_ul)),
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
                "size_ml": units.ml(units.Microlitres(line.size_ul)),
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


def basket_lines(basket: "Basket", reading: "Reading") -> Iterable[str]:
    """The basket as a person reads it."""
    day = date.fromordinal(reading.as_of.toordinal() + basket.day)
    yield _(
        "To order from {supplier} by {day}:",
        supplier=basket.supplier or _("no known supplier"),
        day=show_day(day),
    )
    for line in (*basket.must, *basket.along):
        cost = "" if line.cost_minor is None else f"  {units.show_money(line.cost_minor, reading.currency)}"
        size = units.show_volume(units.Microlitres(line.size_ul), reading.measures, short=True)
        yield f"  {line.count} x {size} {line.product}{cost}{(_('  (rides along)') if line in basket.along else '')}"
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


def _volume(text: str) -> int:
    from stock.cli.shelf import volume  # the studio's measures

    return volume(text)


def make_order(args: Any, context: Context) -> Result:
    """`ullage order make`."""
    from stock.ledger import first_answer  # loads the tables

    context.open()
    answer = first_answer("order", args.key) or _ordered(args, context)
    lines = ", ".join(
        f"{line['packs']} x {in_short(line['size_ml'])} ml {line['product']}" for line in answer["lines"]
    )
    return Result(answer, [_("Order {order}: {lines}", order=answer["order"], lines=lines)])


def _ordered(args: Any, context: Context) -> dict[str, Any]:
    from stock.forecast import orders  # loads the tables

    if bool(args.lines) == (args.basket is not None):
        raise BadInput(
            _("an order needs its lines or --basket SUPPLIER"),
            remedy=_("Write them as 'Harbour Blue=2x60ml'"),
        )
    lines, supplier = [_wanted(text) for text in args.lines], args.supplier
    if args.basket is not None:
        lines, supplier = _basket_of(args.basket)
    expected = units.day(args.expected, context.today()) if args.expected is not None else None
    return orders.make(lines, supplier=supplier, expected_on=expected, on=instant(args.on), key=args.key)


def _wanted(text: str) -> Any:
    from stock.forecast.orders import NewOrderLine  # loads the tables

    name, sign, packs = text.rpartition("=")
    count, times, size = packs.partition("x")
    if not sign or not times or not count.strip().isascii() or not count.strip().isdigit() or len(count) > 6:
        raise BadInput(
            _("{text!r} is no line of an order", text=text[:60]),
            remedy=_("Write it as 'Harbour Blue=2x60ml'"),
        )
    return NewOrderLine(name, _volume(size), int(count))


def _basket_of(supplier: str) -> tuple[list[Any], str]:
    from stock.forecast.books import read  # loads numpy
    from stock.forecast.forecasting import baskets_of
    from stock.forecast.orders import NewOrderLine
    from stock.shelf import suppliers

    name = suppliers.find(supplier).name
    basket = next((each for each in baskets_of(read().forecasts()) if each.supplier == name), None)
    if basket is None:
        raise BadInput(
            _("nothing has to be ordered from {name}", name=name),
            remedy=Remedy(Do("order list"), _(" shows what is due")),
        )
    return [
        NewOrderLine(line.product, line.size_ul, line.count) for line in (*basket.must, *basket.along)
    ], name


def _counts(texts: Sequence[str]) -> dict[str, int] | None:
    counts: dict[str, int] = {}
    for text in texts:
        name, sign, count = text.rpartition("=")
        if not sign or not count.strip().isascii() or not count.strip().isdigit() or len(count) > 6:
            raise BadInput(
                _("{text!r} has no count", text=text[:60]), remedy=_("Write it as 'Harbour Blue=2'")
            )
        counts[name] = counts.get(name, 0) + int(count)
    return counts or None


def receive_order(args: Any, context: Context) -> Result:
    """`ullage order receive`."""
    from stock.forecast import orders  # loads the tables
    from stock.ledger import first_answer

    context.open()
    best_before = units.day(args.best_before, context.today()) if args.best_before is not None else None
    repeated = first_answer("delivery", args.key) is not None  # its lines aren't open any more
    printed = {} if repeated else _came_as(args, context.today(), best_before)
    answer = orders.receive(
        args.order, _counts(args.packs), lot=args.lot, best_before=best_before,
        printed=printed, place=args.place, on=instant(args.on), key=args.key,
    )  # fmt: skip
    numbers = ", ".join(str(bottle["id"]) for bottle in answer["bottles"])
    rest = (
        _("; {open} still to come", open=answer["open"]) if answer["open"] else _("; the order is complete")
    )
    return Result(
        answer,
        [_("Bottles {numbers} came of order {order}{rest}", numbers=numbers, order=args.order, rest=rest)],
    )


_OF = ("lot", "best-before", "left", "opened")


def _came_as(args: Any, today: date, best_before: date | None) -> dict[int, Any]:
    """How the bottles of each line that `--of` speaks of came, by the line's number; the rest as for all.

    Raises:
        BadInput: a word that is no `key=value`, or a product named twice.
        NotFound, Ambiguous: no product on order, or several.
    """
    from stock.bench import left_in  # loads the tables
    from stock.forecast import orders
    from stock.shelf import products

    open_lines = [
        line for lines in orders.listed() for line in lines if line.order == args.order and line.open
    ]
    found: dict[int, Any] = {}
    for product, *words in args.of:
        name = products.find(product).name
        lines = [line for line in open_lines if line.product == name]
        if not lines:
            raise NotFound(
                _("order {order} has nothing of {name} to come", order=args.order, name=name),
                remedy=Remedy(Do("order list"), _(" shows its lines")),
            )
        given = _of_one(name, words)
        for line in lines:
            if line.line in found:
                raise BadInput(
                    _("{name} is named twice", name=name),
                    remedy=_("Write all of it behind one --of; nothing was booked"),
                )
            opened = given.get("opened")
            found[line.line] = orders.CameAs(
                lot=given.get("lot", args.lot),
                best_before=units.day(given["best-before"], today) if "best-before" in given else best_before,
                left_ul=left_in.read(given["left"], line.size_ul, product=name) if "left" in given else None,
                opened_on=units.day(opened, today) if opened not in (None, "unknown") else None,
                opened_unknown=opened == "unknown",
            )
    return found


def _of_one(product: str, words: Sequence[str]) -> dict[str, str]:
    """What is said of one product's bottles, by the words of `_OF`."""
    given = dict(word.partition("=")[::2] for word in words)
    strange = [
        word for word in words if word.partition("=")[0] not in _OF or not word.partition("=")[2].strip()
    ]
    if strange or not words:
        what = (
            _("{strange!r} says nothing", strange=plain(strange[0], 60)) if strange else _("nothing is said")
        )
        raise BadInput(
            _("{what} of the bottles of {product}", what=what, product=product),
            remedy=_(
                "Write some of lot=A12 best-before=2027-03-01 left=half opened=unknown; nothing was booked"
            ),
        )
    return given


def cancel_order(args: Any, context: Context) -> Result:
    """`ullage order cancel`."""
    from stock.forecast import orders  # loads the tables

    context.open()
    answer = orders.cancel(args.order, _counts(args.packs), on=instant(args.on), key=args.key)
    return Result(
        answer,
        [
            _(
                "Order {order}: {cancelled} cancelled, {open} still to come",
                order=args.order,
                cancelled=answer["cancelled"],
                open=answer["open"],
            )
        ],
    )


def plan_use(args: Any, context: Context) -> Result:
    """`ullage plan-use`."""
    from stock.forecast import orders  # loads the tables

    context.open()
    day = units.day(args.on, context.today())
    answer = orders.plan_use(args.product, _volume(args.volume), day, job=args.job, key=args.key)
    return Result(
        answer,
        [
            _(
                "{product}: {volume_ml} ml planned for {needed_on}",
                product=answer["product"],
                volume_ml=in_short(answer["volume_ml"]),
                needed_on=show_day(answer["needed_on"]),
            )
        ],
    )
