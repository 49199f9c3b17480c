"""Undo by reversal: a mistake is put right by movements that take it back, never by an edit.

A booking can be taken back while nothing later stands on it: a count of the same bottle, or for bottles that
the booking made anything done with them. An undo is a booking too; undoing it does the errand again.
"""

from datetime import datetime
from typing import Any

from stock.errors import BadInput, NotFound, UllageError
from stock.ledger import Answer, Errand, book, hold
from stock.shelf.bottles import label_of
from stock.store.connection import connection
from stock.store.fields import DayField
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
from stock.units import ml

KINDS = {"movement": None, "undo": "undo", "receive": "delivery"}
MAKES_BOTTLES = ("received", "kept", "moved_in")


class StandsOnIt(UllageError):
    """Something booked later rests on what should be taken back."""

    code = "stands-on-it"


def undo(
    kind: str, number: int, *, on: datetime | None = None, key: str | None = None, note: str = ""
) -> Answer:
    """Take a booking back whole; a mix with its steps and its close.

    Args:
        kind: the booking's kind as the logbook names it, or `movement` for the booking that one belongs to.
        number: the booking's number, or the movement's.
        on: when; now if not given.
    Returns:
        `{"undo": number, "undid": [{"kind", "id"}], "bottles": [{"bottle", "on_hand_ml"}]}`.
    Raises:
        NotFound: no such booking of that kind.
        BadInput: it is undone already, or a movement of a booking that moved several bottles.
        StandsOnIt: the reason names what was booked since.
    """

    def work(errand: Errand) -> Answer:
        target = _target(kind, number)
        group = _group(target)
        bottles: set[int] = set()
        last = errand.booking
        for position, one in enumerate(group):
            booking = errand if position == len(group) - 1 else _also(errand, one)
            bottles |= _reverse(booking, one, {member.id for member in group})
        held = (
            Bottle.select(Bottle.id, Bottle.on_hand_ul)
            .where(Bottle.id.in_(sorted(bottles)))
            .order_by(Bottle.id)
        )
        return {
            "undo": last,
            "undid": [{"kind": one.kind, "id": one.id} for one in reversed(group)],
            "bottles": [{"bottle": bottle, "on_hand_ml": ml(volume)} for bottle, volume in held.tuples()],
        }

    with connection():
        target = _target(kind, number) if key is None else _quietly(kind, number)
    return book("undo", work, at=on, key=key, note=note, undoes=target.id if target is not None else None)


def _quietly(kind: str, number: int) -> Booking | None:
    """The target, or None where only a repeated key can give the answer."""
    try:
        return _target(kind, number)
    except UllageError:
        return None


def _also(errand: Errand, one: Booking) -> Errand:
    """A further undo in the same transaction, for a step or close that goes with its mix."""
    booked_at = Booking.select(Booking.booked_at).where(Booking.id == errand.booking)
    row = Booking.insert(
        kind="undo", at=errand.at, day=errand.day, booked_at=booked_at, undoes=one.id
    ).execute()
    return Errand(booking=int(row), at=errand.at, day=errand.day, late=errand.late)


def _target(kind: str, number: int) -> Booking:
    if kind == "movement":
        movement = Movement.get_or_none(Movement.id == number)
        if movement is None:
            raise NotFound(f"there is no movement {number}", remedy="`ullage logbook` lists what was booked")
        target = Booking.get_by_id(movement.booking_id)
        if Movement.select().where(Movement.booking == target).count() > 1:
            raise BadInput(
                f"movement {number} is part of {target.kind} {target.id}",
                remedy=f"Undo that whole: `ullage undo {target.kind} {target.id}`",
            )
    else:
        target = Booking.get_or_none((Booking.id == number) & (Booking.kind == KINDS.get(kind, kind)))
        if target is None:
            raise NotFound(f"there is no {kind} {number}", remedy="`ullage logbook` lists what was booked")
    done = Undone.get_or_none(Undone.booking == target)
    if done is not None:
        raise BadInput(
            f"{target.kind} {target.id} is undone already, by undo {done.by_id}",
            remedy=f"To do it again: `ullage undo undo {done.by_id}`",
        )
    return target


def _group(target: Booking) -> list[Booking]:
    """The bookings that go together, newest first, the target last: a mix with its steps and its close."""
    mix = Booking.get_by_id(target.undoes_id) if target.kind == "undo" else target
    if mix.kind != "mix":
        return [target]
    steps = Step.select(Step.id).where(Step.mix == mix.id)
    closes = Close.select(Close.id).where(Close.mix == mix.id)
    with_it = Booking.id.in_(steps) | Booking.id.in_(closes)
    if target.kind == "undo":
        # The undos of its steps and close were made in the same moment as the mix's own.
        with_it = Booking.undoes.in_(steps) | Booking.undoes.in_(closes)
        with_it = with_it & (Booking.booked_at == target.booked_at)
    standing = Booking.id.not_in(Undone.select(Undone.booking))
    return [*Booking.select().where(standing & with_it).order_by(Booking.id.desc()), target]


def _refuse_part_of_a_mix(target: Booking, group: set[int]) -> None:
    """A step can't be taken back under a close, nor done again without its mix."""
    made = Booking.get_by_id(target.undoes_id) if target.kind == "undo" else target
    if made.kind not in ("step", "close"):
        return
    table = Step if made.kind == "step" else Close
    mix = table.select(table.mix).where(table.id == made.id).tuples().get()[0]
    undone = Undone.get_or_none(Undone.booking == mix)
    if target.kind == "undo" and undone is not None and undone.by_id not in group:
        raise StandsOnIt(
            f"mix {mix} itself is undone", remedy=f"Do it again: `ullage undo undo {undone.by_id}`"
        )
    if made.kind == "step" and not group - {target.id}:
        close = Close.get_or_none((Close.mix == mix) & Close.id.not_in(Undone.select(Undone.booking)))
        if close is not None:
            raise StandsOnIt(
                f"mix {mix} was closed on this step",
                remedy=f"Undo the close first: `ullage undo close {close.id_id}`",
            )


def _reverse(errand: Errand, target: Booking, group: set[int]) -> set[int]:
    movements = list(
        Movement.select().where(Movement.booking == target).order_by(Movement.bottle, Movement.id)
    )
    bottles = {movement.bottle_id for movement in movements}
    hold(sorted(bottles))
    _refuse_part_of_a_mix(target, group)
    _refuse_used_order(target)
    _refuse_what_stands_on(target, movements, group)
    for movement in movements:
        _free(movement)
        errand.move(movement.bottle_id, "reversed", -movement.change_ul, reverses=movement.id)
    for change in (
        BottleChange.select().where(BottleChange.booking == target).order_by(BottleChange.id.desc())
    ):
        _restore(errand, change, target, group)
        bottles.add(change.bottle_id)
    if target.kind == "undo":
        Undone.delete().where(Undone.booking == target.undoes_id).execute()
    Undone.insert(booking=target.id, by=errand.booking).execute()
    return bottles


def _refuse_used_order(target: Booking) -> None:
    if target.kind != "order":
        return
    event = (
        OrderEvent.select(OrderEvent.booking)
        .join(OrderLine)
        .where((OrderLine.order == target.id) & OrderEvent.booking.not_in(Undone.select(Undone.booking)))
        .tuples()
        .first()
    )
    if event is not None:
        raise StandsOnIt(
            f"something of order {target.id} came or was cancelled (booking {event[0]})",
            remedy="Undo that first; nothing was booked",
        )


def _free(movement: Movement) -> None:
    """Refuse plainly what the bottle's row would refuse with a count of millilitres."""
    held = Bottle.select(Bottle.on_hand_ul).where(Bottle.id == movement.bottle_id).tuples().get()[0]
    if held < movement.change_ul:
        raise StandsOnIt(
            f"bottle {movement.bottle_id} holds {ml(held)} ml of the {ml(movement.change_ul)} ml it got then",
            remedy="Undo what was taken from it since; nothing was booked",
        )


def _refuse_what_stands_on(target: Booking, movements: list[Movement], group: set[int]) -> None:
    for movement in movements:
        later = (
            Booking.select(Booking.id, Booking.kind)
            .join(Movement, on=(Movement.booking == Booking.id))
            .where((Movement.bottle == movement.bottle_id) & (Movement.id > movement.id))
            .where(Booking.id.not_in(Undone.select(Undone.booking)) & (Booking.kind != "undo"))
            .where(Booking.id.not_in(sorted(group)))
            .order_by(Booking.id.desc())
        )
        if movement.kind not in MAKES_BOTTLES:
            later = later.where(Booking.kind == "count")
        first = later.tuples().first()
        if first is not None:
            raise StandsOnIt(
                f"bottle {label_of(movement.bottle_id)} was used since: {first[1]} {first[0]} stands on "
                f"{target.kind} {target.id}",
                remedy=f"Undo {first[1]} {first[0]} first; nothing was booked",
            )


def _restore(errand: Errand, change: BottleChange, target: Booking, group: set[int]) -> None:
    if change.field == "opened_on" and target.kind != "undo" and _poured_otherwise(change, group):
        return
    column = getattr(Bottle, change.field)
    present = Bottle.select(column).where(Bottle.id == change.bottle_id).tuples().get()[0]
    shown = present.isoformat() if hasattr(present, "isoformat") else present
    if (None if shown is None else str(shown)) != change.after:
        raise StandsOnIt(
            f"bottle {label_of(change.bottle_id)} was changed since ({change.field.replace('_', ' ')})",
            remedy="Undo that first; nothing was booked",
        )
    errand.change(change.bottle_id, change.field, _value(column, change.before))


def _poured_otherwise(change: BottleChange, group: set[int]) -> bool:
    """Whether something else that stands was taken from the bottle, which therefore is open in truth."""
    other = (
        Movement.select()
        .where((Movement.bottle == change.bottle_id) & Movement.kind.in_(("poured", "washed", "moved_out")))
        .where(Movement.booking.not_in(sorted(group)))
        .where(Movement.booking.not_in(Undone.select(Undone.booking)))
    )
    return bool(other.exists())


def _value(column: Any, text: str | None) -> Any:
    if text is None or isinstance(column, DayField):
        return text
    return int(text)
