"""Details of bookings that the logbook shows beside their movements: opened, moved, ordered, closed, undone."""

import json
from collections import defaultdict
from collections.abc import Callable, Collection, Iterable, Mapping
from fractions import Fraction
from typing import Any

from stock.language import _
from stock.named_tuples import NamedTuple
from stock.notation import in_thousands, show_day
from stock.shelf.bottles import label_of
from stock.shelf.counts import show_reason
from stock.store.models import (
    Booking,
    Bottle,
    BottleChange,
    Close,
    Count,
    Job,
    Order,
    OrderEvent,
    OrderLine,
    Place,
    PlannedUse,
    Product,
    Request,
    Step,
    Supplier,
    Wash,
    Weighing,
)
from stock.units import Microlitres, Milligrams, plain_figure, show_mass, show_volume


class Detail(NamedTuple):
    """A piece of a sentence with at most one volume in it, in microlitres."""

    before: str = ""
    volume_ul: Microlitres | None = None
    after: str = ""

    def words(self, measures: str = "metric") -> str:
        """The piece as text."""
        volume = show_volume(self.volume_ul, measures) if self.volume_ul is not None else ""
        return " ".join(part for part in (self.before, volume, self.after) if part)


class UndoneErrand(NamedTuple):
    """The errand that an undo turned over: its kind and number, and whether the undo made it stand again."""

    kind: str
    number: int
    again: bool

    def words(self) -> str:
        """The undo's first words."""
        return f"{_('again') if self.again else _('undo of')} {self.kind} {self.number}"


Details = Mapping[int, tuple[Detail, ...]]
WEIGHED = ("mix", "step", "count")
"""The kinds of booking whose volumes may come from a scale."""
IMPORT = "import "
"""How the key of an imported file's answer begins."""


def details(bookings: Mapping[int, str]) -> Details:
    """Details of these bookings; a query or two for each kind among them.

    Args:
        bookings: kind by number.
    """
    by_kind: dict[str, list[int]] = defaultdict(list)
    for number, kind in bookings.items():
        by_kind[kind].append(number)
    found: dict[int, list[Detail]] = defaultdict(list)
    for kind, describe in DESCRIBERS.items():
        if by_kind.get(kind):
            for number, detail in describe(by_kind[kind]):
                found[number].append(detail)
    if scaled := [number for kind in WEIGHED for number in by_kind.get(kind, ())]:
        for number, detail in _weighed(scaled):
            found[number].append(detail)
    return {number: tuple(pieces) for number, pieces in found.items()}


NumberedDetails = Iterable[tuple[int, Detail]]


def _changed(field: str, word: str) -> Callable[[Collection[int]], NumberedDetails]:
    def describe(bookings: Collection[int]) -> NumberedDetails:
        rows = (
            BottleChange.select(BottleChange.booking, BottleChange.bottle, Product.name, BottleChange.after)
            .join(Bottle)
            .join(Product)
            .where(BottleChange.booking.in_(list(bookings)) & (BottleChange.field == field))
            .order_by(BottleChange.id)
        )
        for booking, bottle, product, __ in rows.tuples():
            yield booking, Detail(f"{product} {label_of(bottle)} {word}")

    return describe


def _moved(bookings: Collection[int]) -> NumberedDetails:
    places = {str(number): name for number, name in Place.select(Place.id, Place.name).tuples()}
    rows = (
        BottleChange.select(
            BottleChange.booking, BottleChange.bottle, Product.name, BottleChange.before, BottleChange.after
        )
        .join(Bottle)
        .join(Product)
        .where(BottleChange.booking.in_(list(bookings)) & (BottleChange.field == "place"))
        .order_by(BottleChange.id)
    )
    for booking, bottle, product, before, after in rows.tuples():
        source = _(" from {places}", places=places[before]) if before in places else ""
        yield (
            booking,
            Detail(
                _(
                    "{product} {bottle}{source} to {after}",
                    product=product,
                    bottle=label_of(bottle),
                    source=source,
                    after=places.get(after, _("no place")),
                )
            ),
        )


def _stepped(bookings: Collection[int]) -> NumberedDetails:
    for step, mix in Step.select(Step.id, Step.mix).where(Step.id.in_(list(bookings))).tuples():
        yield step, Detail(_("to mix {mix}", mix=mix))


def _washed(bookings: Collection[int]) -> NumberedDetails:
    rows = Wash.select(Wash.id, Wash.mix).where(Wash.id.in_(list(bookings)) & Wash.mix.is_null(False))
    for wash, mix in rows.tuples():
        yield wash, Detail(_("after mix {mix}", mix=mix))


def _closed(bookings: Collection[int]) -> NumberedDetails:
    rows = Close.select(Close.id, Close.mix, Close.outcome, Close.left_ul, Close.kept)
    for close, mix, outcome, left_ul, kept in rows.where(Close.id.in_(list(bookings))).tuples():
        yield close, Detail(_("mix {mix}: {outcome}", mix=mix, outcome=_(outcome)))
        if left_ul:
            yield close, Detail("", left_ul, _("left, kept") if kept else _("left, thrown away"))


def _weighed(bookings: Collection[int]) -> NumberedDetails:
    """The scale's reading behind a booked volume, and the density by which it was converted."""
    rows = (
        Weighing.select(
            Weighing.booking, Product.name, Weighing.reading_mg, Weighing.tare_mg, Weighing.density_ug_per_ml
        )
        .join(Product)
        .where(Weighing.booking.in_(list(bookings)))
        .order_by(Weighing.id)
    )
    found: dict[int, list[str]] = defaultdict(list)
    for booking, product, reading_mg, tare_mg, density in rows.tuples():
        mass = show_mass(Milligrams(abs(reading_mg - tare_mg)))
        found[booking].append(
            _(
                "{product} {mass} at {density} g/ml",
                product=product,
                mass=mass,
                density=plain_figure(Fraction(density, 1000000)),
            )
        )
    for booking, said in found.items():
        yield booking, Detail(_("by weight: {said}", said=_(" and ").join(said)))


def _counted(bookings: Collection[int]) -> NumberedDetails:
    rows = Count.select(Count.id, Count.reason).where(
        Count.id.in_(list(bookings)) & Count.reason.is_null(False)
    )
    for number, reason in rows.tuples():
        yield number, Detail(show_reason(reason))


def _ordered(bookings: Collection[int]) -> NumberedDetails:
    rows = (
        OrderLine.select(
            OrderLine.order,
            OrderLine.packs,
            OrderLine.size_ul,
            Product.name,
            Supplier.name,
            Order.expected_on,
        )
        .join(Product)
        .switch(OrderLine)
        .join(Order)
        .left_outer_join(Supplier)
        .where(OrderLine.order.in_(list(bookings)))
        .order_by(OrderLine.id)
    )
    for order, packs, size_ul, product, supplier, __ in rows.tuples():
        yield (
            order,
            Detail(
                f"{packs} x",
                size_ul,
                product + (_(" from {supplier}", supplier=supplier) if supplier else ""),
            ),
        )


def _came_or_cancelled(bookings: Collection[int]) -> NumberedDetails:
    rows = (
        OrderEvent.select(
            OrderEvent.booking, OrderEvent.packs, OrderLine.size_ul, Product.name, OrderLine.order
        )
        .join(OrderLine)
        .join(Product)
        .where(OrderEvent.booking.in_(list(bookings)) & OrderEvent.cancelled)
        .order_by(OrderEvent.id)
    )
    for booking, packs, size_ul, product, order in rows.tuples():
        yield (
            booking,
            Detail(f"{packs} x", size_ul, _("{product} of order {order}", product=product, order=order)),
        )


def _planned(bookings: Collection[int]) -> NumberedDetails:
    rows = (
        PlannedUse.select(PlannedUse.id, Product.name, PlannedUse.volume_ul, PlannedUse.needed_on, Job.name)
        .join(Product)
        .switch(PlannedUse)
        .left_outer_join(Job)
        .where(PlannedUse.id.in_(list(bookings)))
    )
    for booking, product, volume_ul, day, job in rows.tuples():
        yield (
            booking,
            Detail(
                product,
                volume_ul,
                _("on {day}", day=show_day(day)) + (_(" for {job}", job=job) if job else ""),
            ),
        )


def _imported(bookings: Collection[int]) -> NumberedDetails:
    rows = Request.select(Request.booking, Request.answer).where(
        Request.booking.in_(list(bookings)) & Request.key.startswith(IMPORT)
    )
    for number, text in rows.tuples():
        answer = json.loads(text)
        counts = (
            (len(answer["new_products"]), "made"),
            (len(answer["changed_products"]), "changed"),
            (answer["corrected"], _("bottles corrected")),
        )
        yield number, Detail(", ".join(f"{in_thousands(many)} {what}" for many, what in counts if many))


DESCRIBERS: Mapping[str, Callable[[Collection[int]], NumberedDetails]] = {
    "open": _changed("opened_on", _("opened")),
    "frozen": _changed("frozen_on", _("froze")),
    "discard": _changed("discarded_on", _("thrown away")),
    "move": _moved,
    "step": _stepped,
    "count": _counted,
    "wash": _washed,
    "close": _closed,
    "order": _ordered,
    "cancel": _came_or_cancelled,
    "planned_use": _planned,
    "import": _imported,
}


def errands(undos: Mapping[int, int]) -> dict[int, UndoneErrand]:
    """The errand that each undo turned over, however long its chain.

    Args:
        undos: number of the undo to the booking that it undoes.
    """
    bookings: dict[int, tuple[str, int | None]] = {}
    unread = set(undos.values())
    while unread:
        rows = Booking.select(Booking.id, Booking.kind, Booking.undoes).where(Booking.id.in_(sorted(unread)))
        fresh = {number: (kind, undoes) for number, kind, undoes in rows.tuples()}
        bookings |= fresh
        unread = {undoes for _, undoes in fresh.values() if undoes is not None} - bookings.keys()
    return {undo: _errand(below, bookings) for undo, below in undos.items()}


def _errand(below: int, bookings: Mapping[int, tuple[str, Any]]) -> UndoneErrand:
    again = False
    kind, undoes = bookings[below]
    while undoes is not None:
        below, again = undoes, not again
        kind, undoes = bookings[below]
    return UndoneErrand(kind, below, again)
