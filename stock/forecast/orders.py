"""Making, receiving and cancelling orders, and planning uses; all booked through the ledger."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from stock import clock
from stock.errors import BadInput, NotFound
from stock.forecast.orderbook import OpenLine, order_lines
from stock.language import _
from stock.ledger import Answer, Errand, book, zone
from stock.named_tuples import NamedTuple
from stock.notation import in_thousands, show_day
from stock.remedies import Do, Option, Remedy
from stock.shelf import jobs, places, products, suppliers
from stock.shelf.deliveries import Came, put_in
from stock.store.connection import connection
from stock.store.models import Order, OrderEvent, OrderLine, Pack, PlannedUse, Product
from stock.text import folded
from stock.units import Microlitres, ml

MOST_PACKS = 1_000
MOST_LINES = 200


@dataclass(frozen=True, slots=True)
class NewOrderLine:
    """One line to order: a product's name, the size in microlitres, how many, and the price of each."""

    product: str
    size_ul: Microlitres
    packs: int
    price_minor: int | None = None


def make(
    lines: Sequence[NewOrderLine],
    *,
    supplier: str | None = None,
    expected_on: date | None = None,
    on: datetime | None = None,
    key: str | None = None,
    note: str = "",
) -> Answer:
    """Book an order to one supplier.

    Args:
        lines: at least one; a product may be ordered in several sizes.
        supplier: who it was ordered from; the products' own supplier when None.
        expected_on: the day it should come, when known.
        on: when it was ordered; now if not given.
        key: the caller's key; a repeat books nothing.
    Returns:
        `{"order", "supplier", "ordered_on", "expected_on", "lines": [{"line", "product", "size_ml", "packs"}]}`.
    Raises:
        BadInput: nothing to order, an impossible count, products of several suppliers, an expected day before
            the order, or a product that is no longer made.
        NotFound, Ambiguous: a product or the supplier.
    """
    if not 1 <= len(lines) <= MOST_LINES:
        raise BadInput(
            _("an order needs at least one product"), remedy=_("Write them as 'Harbour Blue=2x60ml'")
        )

    def work(errand: Errand) -> Answer:
        ordered = [(_orderable(line, errand.day), line) for line in lines]
        seller = _one_supplier([product for product, _ in ordered], supplier)
        if expected_on is not None and expected_on < errand.day:
            raise BadInput(
                _(
                    "it can't be expected on {expected_on}, before it was ordered",
                    expected_on=show_day(expected_on),
                ),
                remedy=_("Give a later day"),
            )
        Order.insert(id=errand.booking, supplier=seller, expected_on=expected_on).execute()
        return {
            "order": errand.booking,
            "supplier": seller.name if seller is not None else None,
            "ordered_on": errand.day.isoformat(),
            "expected_on": expected_on.isoformat() if expected_on else None,
            "lines": [_line(errand, product, line) for product, line in ordered],
        }

    return book("order", work, at=on, key=key, note=note)


def _orderable(line: NewOrderLine, day: date) -> Product:
    if not 1 <= line.packs <= MOST_PACKS:
        raise BadInput(
            _("{packs} packs can't be ordered", packs=line.packs),
            remedy=_("Give a count of 1 to {most_packs}", most_packs=in_thousands(MOST_PACKS)),
        )
    if line.size_ul <= 0:
        raise BadInput(_("a pack of nothing can't be ordered"), remedy=_("Give a size such as 60ml"))
    product = products.find(line.product)
    if products.gone(product, day):
        raise BadInput(
            _(
                "{name} has been discontinued since {discontinued_on}",
                name=product.name,
                discontinued_on=show_day(product.discontinued_on),
            ),
            remedy=_("Order another product; nothing was booked"),
        )
    return product


def _one_supplier(rows: Sequence[Product], supplier: str | None) -> Any:
    if supplier is not None:
        return suppliers.find(supplier)
    sellers = {row.supplier_id: row.supplier for row in rows}
    if len(sellers) > 1:
        names = ", ".join(
            sorted(
                seller.name if seller is not None else _("an unknown supplier") for seller in sellers.values()
            )
        )
        raise BadInput(
            _("these products come from {names}", names=names),
            remedy=Remedy(_("Make one order for each supplier, or name one "), Option("supplier")),
        )
    return next(iter(sellers.values()))


def _line(errand: Errand, product: Product, line: NewOrderLine) -> dict[str, Any]:
    price = line.price_minor
    if price is None:
        pack = Pack.get_or_none((Pack.product == product) & (Pack.size_ul == line.size_ul))
        price = pack.price_minor if pack is not None else None
    number = OrderLine.insert(
        order=errand.booking, product=product, size_ul=line.size_ul, packs=line.packs, price_minor=price
    ).execute()
    return {
        "line": int(number),
        "product": product.name,
        "size_ml": ml(line.size_ul),
        "packs": line.packs,
    }


class CameAs(NamedTuple):
    """How the bottles of an order's line came: the text printed on them, and their contents; see `Came`."""

    lot: str = ""
    best_before: date | None = None
    left_ul: Microlitres | None = None
    opened_on: date | None = None
    opened_unknown: bool = False


def receive(
    order: int,
    packs: Mapping[str, int] | Mapping[int, int] | None = None,
    *,
    lot: str = "",
    best_before: date | None = None,
    printed: Mapping[int, CameAs] | None = None,
    place: str | None = None,
    on: datetime | None = None,
    key: str | None = None,
) -> Answer:
    """Book the packs of an order that came; the rest stays open.

    Args:
        order: its number.
        packs: how many came, by product name or by the line's number; everything still open when None.
        lot, best_before: as printed on everything that came now, unless `printed` says otherwise.
        printed: how the bottles of a line came, by the line's number.
        place: where the bottles are put.
        on: when it came; now if not given.
    Returns:
        `{"order", "delivery", "bottles": [{"id", "product", "size_ml", "on_hand_ml"}], "open": packs still to come}`.
    Raises:
        BadInput: nothing open, or more came than was ordered.
        NotFound: the order, a product of it, or the place.
    """

    def work(errand: Errand) -> Answer:
        lines = _open_lines(order, errand.day)
        where = places.find(place).name if place is not None else None
        bottles = []
        for line, count in _share(lines, packs, "came"):
            OrderEvent.insert(booking=errand.booking, line=line.line, packs=count).execute()
            came = (printed or {}).get(line.line, CameAs(lot, best_before))
            of_line = Came(
                line.product, line.size_ul, count, place=where, price_minor=line.price_minor, **came._asdict()
            )
            bottles += put_in(errand, [of_line])
        still = sum(line.open for line in lines) - len(bottles)
        return {"order": order, "delivery": errand.booking, "bottles": bottles, "open": still}

    answer = book("delivery", work, at=on, key=key)
    if answer.get("order") != order:
        raise BadInput(
            _("the request key was used for another delivery before"),
            remedy=_("Make a new key for each errand"),
        )
    return answer


def cancel(
    order: int,
    packs: Mapping[str, int] | Mapping[int, int] | None = None,
    *,
    on: datetime | None = None,
    key: str | None = None,
) -> Answer:
    """Cancel packs of an order.

    Args:
        order: its number.
        packs: how many, by product name or by the line's number; everything still open when None.
    Returns:
        `{"order", "cancelled": packs, "open": packs still to come}`.
    Raises:
        BadInput: nothing open, or more than is open.
        NotFound: the order, or a product of it.
    """

    def work(errand: Errand) -> Answer:
        lines = _open_lines(order, errand.day)
        gone = 0
        for line, count in _share(lines, packs, _("can be cancelled")):
            OrderEvent.insert(booking=errand.booking, line=line.line, packs=count, cancelled=True).execute()
            gone += count
        return {"order": order, "cancelled": gone, "open": sum(line.open for line in lines) - gone}

    return book("cancel", work, at=on, key=key)


def _open_lines(order: int, day: date) -> list[OpenLine]:
    """The order's lines, if something of them is open and the order was made by `day`.

    Everything booked so far counts, whatever its day: where the clock was set back, packs that came are dated later
    than today, and must not come again.
    """
    lines = order_lines(date.max, order=order)
    if not lines:
        raise NotFound(
            _("there is no order {order}", order=order), remedy=Remedy(Do("order list"), _(" shows them"))
        )
    if lines[0].ordered_on > day:
        raise BadInput(
            _(
                "order {order} was made on {ordered_on}, after {day}",
                order=order,
                ordered_on=show_day(lines[0].ordered_on),
                day=show_day(day),
            ),
            remedy=_("Give a later day; nothing was booked"),
        )
    if not any(line.open for line in lines):
        raise BadInput(_("nothing of order {order} is open", order=order), remedy=_("Nothing was booked"))
    return lines


def _share(
    lines: Sequence[OpenLine], packs: Mapping[str, int] | Mapping[int, int] | None, what: str
) -> list[tuple[OpenLine, int]]:
    """Which lines the packs belong to; the lines of a product in several sizes are filled in their order."""
    if packs is None:
        return [(line, line.open) for line in lines if line.open]
    shares: list[tuple[OpenLine, int]] = []
    for name, count in packs.items():
        exact = _lines_named(lines, name)
        if not exact or len({line.product_id for line in exact}) > 1:
            raise NotFound(
                _("no single product of the order is called {name}", name=name),
                remedy=_("It holds ") + ", ".join(dict.fromkeys(line.product for line in lines)),
            )
        left = count
        if count < 1 or count > sum(line.open for line in exact):
            raise BadInput(
                _(
                    "{count} packs of {product} {what}, and {exact} are open",
                    count=count,
                    product=exact[0].product,
                    what=what,
                    exact=sum(line.open for line in exact),
                ),
                remedy=Remedy(
                    _("Give a count up to that; receive what came beside the order with "),
                    Do("receive", "PRODUCT", "SIZE"),
                ),
            )
        for line in exact:
            part = min(left, line.open)
            left -= part
            if part:
                shares.append((line, part))
    return shares


def _lines_named(lines: Sequence[OpenLine], name: str | int) -> list[OpenLine]:
    if isinstance(name, int):
        return [line for line in lines if line.line == name]
    fitting = [line for line in lines if folded(name) in folded(line.product)]
    return [line for line in fitting if folded(line.product) == folded(name)] or fitting


def plan_use(
    product: str,
    volume_ul: Microlitres,
    needed_on: date,
    *,
    job: str | None = None,
    on: datetime | None = None,
    key: str | None = None,
) -> Answer:
    """Book that a job will need a volume of a product on a day.

    Args:
        product: its name.
        volume_ul: microlitres, above zero.
        needed_on: the day; not before the booking's.
        job: the job it is for; made if the books have none of that name.
    Returns:
        `{"planned_use", "product", "volume_ml", "needed_on", "job"}`.
    Raises:
        BadInput: a day that has passed, or nothing planned.
        NotFound, Ambiguous: the product.
    """
    if volume_ul <= 0:
        raise BadInput(_("a planned use of nothing can't be booked"), remedy=_("Give a volume such as 120ml"))

    def work(errand: Errand) -> Answer:
        row = products.find(product)
        if needed_on < errand.day:
            raise BadInput(
                _("{needed_on} has passed", needed_on=show_day(needed_on)),
                remedy=_("Give today or a day to come; nothing was booked"),
            )
        piece = jobs.named(job, errand.day) if job is not None else None
        PlannedUse.insert(
            id=errand.booking, product=row, job=piece, volume_ul=volume_ul, needed_on=needed_on
        ).execute()
        return {
            "planned_use": errand.booking,
            "product": row.name,
            "volume_ml": ml(volume_ul),
            "needed_on": needed_on.isoformat(),
            "job": piece.name if piece is not None else None,
        }

    return book("planned_use", work, at=on, key=key)


def listed(as_of: date | None = None, *, everything: bool = False) -> list[list[OpenLine]]:
    """The lines of each order, newest order first; only orders with open packs unless `everything`."""
    with connection():
        lines = order_lines(as_of or clock.today(zone()), as_of)
    grouped: dict[int, list[OpenLine]] = {}
    for line in lines:
        grouped.setdefault(line.order, []).append(line)
    return [
        rows
        for _, rows in sorted(grouped.items(), reverse=True)
        if everything or any(row.open for row in rows)
    ]
