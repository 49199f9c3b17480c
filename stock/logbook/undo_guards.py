"""Guards of undo and redo: refuse while another booking depends on the one to turn over, and name that booking."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from stock.errors import UllageError
from stock.language import _
from stock.logbook.chains import undone_by
from stock.remedies import Do, Remedy
from stock.shelf.bottles import label_of
from stock.store.models import (
    Booking,
    Bottle,
    BottleChange,
    Close,
    Movement,
    OrderEvent,
    OrderLine,
    Step,
    Undone,
)
from stock.store.orm import pw
from stock.units import Microlitres, ml

DEPEND_ON_CONTENTS = ("count", "discard")
"""Errands that concern the whole content of a bottle: they are right only if everything before them stays booked."""
NOTHING = _("nothing was booked")


class DependsOnIt(UllageError):
    """A later booking depends on the one to undo."""

    code = "stands-on-it"


@dataclass(frozen=True, slots=True)
class Turn:
    """One booking to turn over: to undo, or to do again.

    `reversed` is the last booking of its chain, whose movements are reversed; `root` is the errand itself;
    `again` says whether the errand will stand afterwards; `group` holds the numbers of all bookings that are
    turned over together.
    """

    reversed: Booking
    root: Booking
    again: bool
    group: frozenset[int]

    @property
    def name(self) -> str:
        """The errand as a refusal names it."""
        return f"{self.root.kind} {self.root.id}"


def refuse(turn: Turn) -> None:
    """Refuse to turn over a booking on which another depends.

    Raises:
        DependsOnIt: names the other booking, and what to undo first.
    """
    _refuse_part_of_a_mix(turn)
    _refuse_order(turn)
    movements = list(
        Movement.select(Movement.bottle, Movement.id, Movement.at, Movement.change_ul)
        .where(Movement.booking == turn.reversed)
        .order_by(Movement.id)
        .tuples()
    )
    made = {number for (number,) in Bottle.select(Bottle.id).where(Bottle.delivery == turn.root.id).tuples()}
    if made and not turn.again:
        _refuse_used_bottles(turn)
    _refuse_counted(turn, movements)
    _refuse_gone(turn, movements)


def _standing(booking: "pw.Field") -> "pw.Expression":
    expression: pw.Expression = booking.not_in(Undone.select(Undone.booking))
    return expression


def _first(kind: str, number: int) -> Remedy:
    return Remedy(
        _("Undo {kind} {number} first: ", kind=_(kind), number=number),
        Do("undo", kind, number),
        f"; {NOTHING}",
    )


def _refuse_part_of_a_mix(turn: Turn) -> None:
    """A step can't be undone after its mix was closed, nor done again without its mix; a mix has only one close."""
    if turn.root.kind not in ("step", "close"):
        return
    table = Step if turn.root.kind == "step" else Close
    mix = table.select(table.mix).where(table.id == turn.root.id).tuples().get()[0]
    by = undone_by(mix)
    if turn.again and by is not None and mix not in turn.group:
        raise DependsOnIt(
            _("mix {mix} itself is undone", mix=mix),
            remedy=Remedy(_("Do that again first: "), Do("undo", "undo", by)),
        )
    if mix in turn.group:
        return
    close = Close.get_or_none((Close.mix == mix) & (Close.id != turn.root.id) & _standing(Close.id))
    if close is not None:
        raise DependsOnIt(_("mix {mix} was closed since", mix=mix), remedy=_first("close", close.id_id))


def _refuse_order(turn: Turn) -> None:
    """An order stays while any of it was received or cancelled; a delivery is done again only into open packs."""
    if turn.root.kind == "order":
        event = (
            OrderEvent.select(OrderEvent.booking, Booking.kind)
            .join(OrderLine)
            .switch(OrderEvent)
            .join(Booking)
            .where((OrderLine.order == turn.root.id) & _standing(OrderEvent.booking))
            .tuples()
            .first()
        )
        if event is not None:
            raise DependsOnIt(
                _(
                    "part of order {order} was received or cancelled ({kind} {booking})",
                    order=turn.root.id,
                    kind=event[1],
                    booking=event[0],
                ),
                remedy=_first(event[1], event[0]),
            )
    if turn.again:
        _refuse_taken_order(turn)


def _refuse_taken_order(turn: Turn) -> None:
    own = (
        OrderEvent.select(OrderEvent.line, OrderLine.order, OrderLine.packs, pw.fn.SUM(OrderEvent.packs))
        .join(OrderLine)
        .where(OrderEvent.booking == turn.root.id)
        .group_by(OrderEvent.line, OrderLine.order, OrderLine.packs)
    )
    for line, order, packs, again in own.tuples():
        by = undone_by(order)
        if by is not None:
            raise DependsOnIt(
                _("order {order} itself is undone", order=order),
                remedy=Remedy(_("Do that again first: "), Do("undo", "undo", by)),
            )
        came = (
            OrderEvent.select(pw.fn.COALESCE(pw.fn.SUM(OrderEvent.packs), 0))
            .where((OrderEvent.line == line) & _standing(OrderEvent.booking))
            .tuples()
            .get()[0]
        )
        if came + again > packs:
            raise DependsOnIt(
                _(
                    "order {order} has {packs} packs of that line still to come and {name} has {again}",
                    order=order,
                    packs=packs - came,
                    name=turn.name,
                    again=again,
                ),
                remedy=_("Undo the delivery that came instead first; {nothing}", nothing=NOTHING),
            )


def _refuse_used_bottles(turn: Turn) -> None:
    """Bottles that the errand made can be removed only while no other booking concerns them."""
    made = Bottle.select(Bottle.id).where(Bottle.delivery == turn.root.id)
    for table in (Movement, BottleChange):
        later = (
            table.select(Booking.kind, Booking.id, table.bottle)
            .join(Booking, on=(table.booking == Booking.id))
            .where(table.bottle.in_(made) & (Booking.kind != "undo") & _standing(Booking.id))
            .where(Booking.id.not_in(sorted(turn.group)))
            .order_by(Booking.id.desc())
            .tuples()
            .first()
        )
        if later is not None:
            kind, number, bottle = later
            raise DependsOnIt(
                _(
                    "bottle {bottle} was used since: {kind} {number} depends on {name}",
                    bottle=label_of(bottle),
                    kind=_(kind),
                    number=number,
                    name=turn.name,
                ),
                remedy=_first(kind, number),
            )


def _refuse_counted(turn: Turn, movements: Sequence[tuple[int, int, datetime, int]]) -> None:
    """A count or a discard of the same bottle depends on what was booked before it."""
    bottles = Movement.select(Movement.bottle).where(Movement.booking == turn.reversed)
    looked = (
        Movement.select(Movement.bottle, Movement.id, Movement.at, Booking.kind, Booking.id)
        .join(Booking)
        .where(Movement.bottle.in_(bottles) & Booking.kind.in_(DEPEND_ON_CONTENTS))
        .where(_standing(Booking.id) & Booking.id.not_in(sorted(turn.group)))
        .order_by(Booking.id.desc())
    )
    own = {bottle: (number, at) for bottle, number, at, _ in movements}
    for bottle, number, at, kind, booking in looked.tuples():
        if number > own[bottle][0] and at >= own[bottle][1]:
            raise DependsOnIt(
                _(
                    "{kind} {booking} of bottle {bottle} was booked since and depends on {name}",
                    kind=_(kind),
                    booking=booking,
                    bottle=label_of(bottle),
                    name=turn.name,
                ),
                remedy=_first(kind, booking),
            )


def _refuse_gone(turn: Turn, movements: Sequence[tuple[int, int, datetime, int]]) -> None:
    """A bottle must hold at least the volume that the reversal takes out of it."""
    taken_back: dict[int, int] = {}
    for bottle, __, ___, change_ul in movements:
        taken_back[bottle] = taken_back.get(bottle, 0) + change_ul
    held: Mapping[int, int] = dict(
        Bottle.select(Bottle.id, Bottle.on_hand_ul)
        .where(Bottle.id.in_(Movement.select(Movement.bottle).where(Movement.booking == turn.reversed)))
        .tuples()
    )
    for bottle, change_ul in taken_back.items():
        if held[bottle] < change_ul:
            last = _last_taken(bottle, turn.group)
            raise DependsOnIt(
                _(
                    "bottle {bottle} holds {held} ml, and the undo takes out {change_ul} ml",
                    bottle=label_of(bottle),
                    held=ml(Microlitres(held[bottle])),
                    change_ul=ml(Microlitres(change_ul)),
                )
                + (_("; {last} took from it since", last=last) if last else ""),
                remedy=_("Undo what was taken from it since, or receive more; {nothing}", nothing=NOTHING),
            )


def _last_taken(bottle: int, group: Collection[int]) -> str | None:
    row = (
        Movement.select(Booking.kind, Booking.id)
        .join(Booking)
        .where((Movement.bottle == bottle) & (Movement.change_ul < 0) & (Booking.kind != "undo"))
        .where(_standing(Booking.id) & Booking.id.not_in(sorted(group)))
        .order_by(Movement.id.desc())
        .tuples()
        .first()
    )
    return None if row is None else f"{row[0]} {row[1]}"


def refuse_changed(change: BottleChange, turn: Turn) -> None:
    """Refuse to restore a column of a bottle that another errand set since.

    Raises:
        DependsOnIt: names that errand.
    """
    later = (
        BottleChange.select(Booking.kind, Booking.id)
        .join(Booking)
        .where((BottleChange.bottle == change.bottle_id) & (BottleChange.field == change.field))
        .where((BottleChange.id > change.id) & (Booking.kind != "undo") & _standing(Booking.id))
        .where(Booking.id.not_in(sorted(turn.group)))
        .order_by(BottleChange.id.desc())
        .tuples()
        .first()
    )
    if later is not None:
        raise DependsOnIt(
            _(
                "bottle {bottle} was changed since: {kind} {booking} depends on {name}",
                bottle=label_of(change.bottle_id),
                kind=later[0],
                booking=later[1],
                name=turn.name,
            ),
            remedy=_first(later[0], later[1]),
        )
