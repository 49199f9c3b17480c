"""What rests on a booking, so that it can't be taken back or done again by itself: each refusal names it."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from stock.errors import UllageError
from stock.logbook.chains import undone_by
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
from stock.units import ml

RESTS_ON_WHAT_WAS_THERE = ("count", "discard")
"""Errands that looked at everything in the bottle: what they booked is right only by what came before."""
NOTHING = "nothing was booked"


class StandsOnIt(UllageError):
    """Something booked later rests on what should be taken back."""

    code = "stands-on-it"


@dataclass(frozen=True, slots=True)
class Turn:
    """One booking that is to be turned over.

    `reversed` is the last booking of its chain, whose movements are reversed; `root` the errand itself;
    `again` whether the errand will stand afterwards; `group` the numbers of all that turns with it.
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
    """Refuse a turn that something rests on.

    Raises:
        StandsOnIt: names what, and what to undo first.
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


def _first(kind: str, number: int) -> str:
    return f"Undo {kind} {number} first: `ullage undo {kind} {number}`; {NOTHING}"


def _refuse_part_of_a_mix(turn: Turn) -> None:
    """A step can't be turned under a close, nor done again without its mix; a mix has one close."""
    if turn.root.kind not in ("step", "close"):
        return
    table = Step if turn.root.kind == "step" else Close
    mix = table.select(table.mix).where(table.id == turn.root.id).tuples().get()[0]
    by = undone_by(mix)
    if turn.again and by is not None and mix not in turn.group:
        raise StandsOnIt(f"mix {mix} itself is undone", remedy=f"Do it again: `ullage undo undo {by}`")
    if mix in turn.group:
        return
    close = Close.get_or_none((Close.mix == mix) & (Close.id != turn.root.id) & _standing(Close.id))
    if close is not None:
        raise StandsOnIt(f"mix {mix} was closed since", remedy=_first("close", close.id_id))


def _refuse_order(turn: Turn) -> None:
    """An order something came of stays; what came of an order comes again only into what is still open."""
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
            raise StandsOnIt(
                f"something of order {turn.root.id} came or was cancelled ({event[1]} {event[0]})",
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
            raise StandsOnIt(
                f"order {order} itself is undone", remedy=f"Do it again: `ullage undo undo {by}`"
            )
        came = (
            OrderEvent.select(pw.fn.COALESCE(pw.fn.SUM(OrderEvent.packs), 0))
            .where((OrderEvent.line == line) & _standing(OrderEvent.booking))
            .tuples()
            .get()[0]
        )
        if came + again > packs:
            raise StandsOnIt(
                f"order {order} has {packs - came} packs of that line still to come and {turn.name} has {again}",
                remedy=f"Undo what came instead of it first; {NOTHING}",
            )


def _refuse_used_bottles(turn: Turn) -> None:
    """Bottles that the errand made can go only while nothing else was done with them."""
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
            raise StandsOnIt(
                f"bottle {label_of(bottle)} was used since: {kind} {number} stands on {turn.name}",
                remedy=_first(kind, number),
            )


def _refuse_counted(turn: Turn, movements: Sequence[tuple[int, int, datetime, int]]) -> None:
    """A count or a discard of the same bottle rests on what was booked before it."""
    bottles = Movement.select(Movement.bottle).where(Movement.booking == turn.reversed)
    looked = (
        Movement.select(Movement.bottle, Movement.id, Movement.at, Booking.kind, Booking.id)
        .join(Booking)
        .where(Movement.bottle.in_(bottles) & Booking.kind.in_(RESTS_ON_WHAT_WAS_THERE))
        .where(_standing(Booking.id) & Booking.id.not_in(sorted(turn.group)))
        .order_by(Booking.id.desc())
    )
    own = {bottle: (number, at) for bottle, number, at, _ in movements}
    for bottle, number, at, kind, booking in looked.tuples():
        if number > own[bottle][0] and at >= own[bottle][1]:
            raise StandsOnIt(
                f"{kind} {booking} looked at bottle {label_of(bottle)} since and stands on {turn.name}",
                remedy=_first(kind, booking),
            )


def _refuse_gone(turn: Turn, movements: Sequence[tuple[int, int, datetime, int]]) -> None:
    """What a bottle got must still be in it, and what is taken from it again must be there."""
    wanted: dict[int, int] = {}
    for bottle, _, _, change_ul in movements:
        wanted[bottle] = wanted.get(bottle, 0) + change_ul
    held: Mapping[int, int] = dict(
        Bottle.select(Bottle.id, Bottle.on_hand_ul)
        .where(Bottle.id.in_(Movement.select(Movement.bottle).where(Movement.booking == turn.reversed)))
        .tuples()
    )
    for bottle, change_ul in wanted.items():
        if held[bottle] < change_ul:
            last = _last_taken(bottle, turn.group)
            raise StandsOnIt(
                f"bottle {label_of(bottle)} holds {ml(held[bottle])} ml and {ml(change_ul)} ml would have to "
                f"leave it" + (f"; {last} took from it since" if last else ""),
                remedy=f"Undo what was taken from it since, or receive more; {NOTHING}",
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
        StandsOnIt: names that errand.
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
        raise StandsOnIt(
            f"bottle {label_of(change.bottle_id)} was changed since: {later[0]} {later[1]} stands on {turn.name}",
            remedy=_first(later[0], later[1]),
        )
