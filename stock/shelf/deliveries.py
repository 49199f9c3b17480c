"""Deliveries: putting bottles on the shelf."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from stock import clock
from stock.errors import BadInput
from stock.grammar import in_full
from stock.language import _
from stock.ledger import Answer, Errand, book, zone
from stock.notation import in_thousands, show_day
from stock.shelf import places, products
from stock.shelf.bottles import free_label
from stock.shelf.life import opened_at_worst
from stock.store.models import Pack, Product
from stock.store.words import CONTAINERS
from stock.text import name as clean_name
from stock.units import Microlitres, ml

MOST_BOTTLES = 1_000
LOT_OF_PAST_MIXES = "before these books"
"""The lot of a bottle that stands for everything past mixes used; nobody bought a bottle of that size."""


@dataclass(frozen=True, slots=True)
class Came:
    """Equal bottles of one product in a delivery, full and sealed unless noted otherwise.

    Attributes:
        product: its name, or a part of one.
        size_ul: the volume on each label, in microlitres.
        count: how many, 1 to 1,000.
        lot, best_before, made_on: as printed on the bottle; the days in the studio's calendar.
        place: where they are put.
        left_ul: the volume in each, in microlitres; full when None. A bottle that isn't full is open.
        opened_on: for bottles that come opened.
        opened_unknown: whether they are open since an unknown day; the worst case is then assumed.
        opening_stock: whether they stood on the shelf before the books began.
        owner: whom they belong to; empty for the studio.
        price_minor: paid for each as it came; the price of its size on record when not given.
        container: one of `words.CONTAINERS`, if known.
        label: the person's own label, for one bottle.
    """

    product: str
    size_ul: Microlitres
    count: int = 1
    lot: str = ""
    best_before: date | None = None
    made_on: date | None = None
    place: str | None = None
    opened_on: date | None = None
    price_minor: int | None = None
    container: str | None = None
    label: str | None = None
    left_ul: Microlitres | None = None
    opened_unknown: bool = False
    opening_stock: bool = False
    owner: str = ""

    def __post_init__(self) -> None:
        if not 1 <= self.count <= MOST_BOTTLES:
            raise BadInput(
                _("{count} bottles can't come at once", count=self.count),
                remedy=_("Give a count of 1 to {most_bottles}", most_bottles=in_thousands(MOST_BOTTLES)),
            )
        if self.label is not None and self.count > 1:
            raise BadInput(_("one label can't be on several bottles"), remedy=_("Receive them one by one"))
        if self.left_ul is not None and not 0 <= self.left_ul * 10 <= self.size_ul * 11:
            raise BadInput(
                _(
                    "{left_ul} ml are more than {size_ul} ml hold",
                    left_ul=in_full(self.left_ul / 1000),
                    size_ul=in_full(self.size_ul / 1000),
                ),
                remedy=_("Swap or correct them; nothing was booked"),
            )
        if self.opened_on is not None and self.opened_unknown:
            raise BadInput(
                _("the day of opening is given and not known"), remedy=_("Give one; nothing was booked")
            )
        if self.container is not None and self.container not in CONTAINERS:
            raise BadInput(
                _("{container!r} is no container", container=_(self.container)),
                remedy=_("Write one of {containers}", containers=", ".join(CONTAINERS)),
            )


def receive(
    product: str, size_ul: Microlitres, *, on: datetime | None = None, key: str | None = None, **more: Any
) -> Answer:
    """Put equal bottles of one product on the shelf; `more` are the other fields of `Came`.

    Raises:
        BadInput: a count or day that can't be, nothing booked.
        NotFound, Ambiguous: the product or place.
    """
    return take_in([Came(product, size_ul, **more)], on=on, key=key)


def take_in(lines: Sequence[Came], *, on: datetime | None = None, key: str | None = None) -> Answer:
    """Put a delivery on the shelf, whole or not at all.

    Args:
        lines: what came, several products and sizes.
        on: when it came; now if not given.
        key: the caller's key; a repeat books nothing.
    Returns:
        `{"delivery": number, "bottles": [{"id", "product", "size_ml", "on_hand_ml"}]}`.
    Raises:
        BadInput: nothing came, too much at once, or a day that can't be; nothing booked.
        NotFound, Ambiguous: a product or place.
    """
    _refuse_too_many(lines)
    return book(
        "delivery",
        lambda errand: {"delivery": errand.booking, "bottles": put_in(errand, lines)},
        at=on,
        key=key,
    )


def _refuse_too_many(lines: Sequence[Came]) -> None:
    if not 1 <= sum(line.count for line in lines) <= MOST_BOTTLES:
        raise BadInput(
            _("a delivery is 1 to {most_bottles} bottles", most_bottles=in_thousands(MOST_BOTTLES)),
            remedy=_("Receive it in parts"),
        )


def put_in(errand: Errand, lines: Sequence[Came]) -> list[dict[str, Any]]:
    """The bottles of a delivery, inside its booking: `[{"id", "product", "size_ml", "on_hand_ml"}]`.

    Raises:
        BadInput, NotFound, Ambiguous: as for `take_in`.
    """
    _refuse_too_many(lines)
    bottles = []
    for line in lines:
        _refuse_odd_days(line, errand.day)
        row, columns = _columns(line)
        holds_ul = line.size_ul if line.left_ul is None else line.left_ul
        for __ in range(line.count):
            number = errand.fill("received", line.size_ul, holds_ul=holds_ul, **columns)
            size, left = ml(line.size_ul), ml(holds_ul)
            bottles.append({"id": number, "product": row.name, "size_ml": size, "on_hand_ml": left})
    return bottles


def _columns(line: Came) -> tuple[Product, dict[str, Any]]:
    """The product of a line, and the columns that its bottles share."""
    row = products.find(line.product)
    price = line.price_minor if line.price_minor is not None else _pack_price(row, line.size_ul)
    part_used = line.left_ul is not None and line.left_ul < line.size_ul
    bought = part_used and line.price_minor is not None and not line.opening_stock
    unknown = line.opened_unknown or (part_used and line.opened_on is None)
    return row, {
        "product": row.id,
        "lot": clean_name(line.lot, what=_("lot")) if line.lot.strip() else "",
        "best_before": line.best_before,
        "made_on": line.made_on,
        "opened_on": opened_at_worst(line.made_on) if unknown else line.opened_on,
        "opened_unknown": unknown,
        "opening_stock": line.opening_stock,
        "owner": clean_name(line.owner, what=_("owner")) if line.owner.strip() else "",
        "place": places.find(line.place).id if line.place is not None else None,
        "price_minor": price,
        "priced_ul": (line.left_ul or None) if bought else None,
        "container": line.container,
        "label": free_label(line.label),
    }


def _refuse_odd_days(line: Came, came: date) -> None:
    made_on, best_before = line.made_on, line.best_before
    for what, day in (("opened", line.opened_on), ("made", made_on)):
        if day is not None and day > clock.today(zone()):
            raise BadInput(
                _("it can't have been {what} on {day}, which is to come", what=what, day=show_day(day)),
                remedy=_("Give a past day"),
            )
    if made_on is not None and made_on > came:
        raise BadInput(
            _(
                "it was made on {made_on}, after it came on {came}",
                made_on=show_day(made_on),
                came=show_day(came),
            ),
            remedy=_("Swap the days"),
        )
    if made_on is not None and best_before is not None and best_before < made_on:
        raise BadInput(_("it is best before a day before it was made"), remedy=_("Swap the days"))


def _pack_price(product: Product, size_ul: Microlitres) -> int | None:
    pack = Pack.get_or_none((Pack.product == product) & (Pack.size_ul == size_ul))
    return pack.price_minor if pack is not None else None
