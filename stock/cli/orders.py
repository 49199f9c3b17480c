"""`ullage order`, `plan-use`: orders, and planned uses of jobs."""

from collections.abc import Sequence
from datetime import date
from typing import Any

from stock import units
from stock.cli.frame import Context, Result, command, instant, whole
from stock.errors import BadInput, NotFound
from stock.grammar import in_short
from stock.language import _
from stock.notation import show_day
from stock.remedies import Do, Remedy
from stock.text import plain


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
    from stock.cli import order_listing  # only for this verb

    if args.every_studio:
        return order_listing.of_every_studio(args, context)
    return order_listing.of_this_studio(args, context)


def _volume(text: str) -> units.Microlitres:
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
    """The facts of delivered bottles for each order line named in `--of`, by the line's number.

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
    """The facts given for one product's bottles, by the words of `_OF`."""
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
