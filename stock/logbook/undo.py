"""Undo by reversal: a mistake is corrected by movements that reverse it, never by an edit.

A booking can be undone while no later booking depends on it. An undo is a booking too: undoing it does the
errand again, as often as a person likes.
"""

from collections.abc import Callable, Mapping
from datetime import datetime
from typing import Any

from stock.errors import BadInput, NotFound, UllageError
from stock.language import _
from stock.ledger import Answer, Errand, book, hold
from stock.logbook import imports
from stock.logbook.chains import leader, root, tip, turn, undone_by
from stock.logbook.imports import Imported
from stock.logbook.undo_guards import DependsOnIt, Turn, refuse, refuse_changed
from stock.notation import show_day
from stock.remedies import Do, Remedy
from stock.shelf.bottles import label_of
from stock.shelf.past_shelf import OPENS, in_force
from stock.store.connection import connection, locked, writing
from stock.store.models import Booking, Bottle, BottleChange, Close, Mix, Movement, Step, Undone
from stock.store.orm import pw
from stock.store.words import BOOKING_KINDS
from stock.text import note as clean_note
from stock.text import plain
from stock.units import ml

ALSO_CALLED = {"receive": "delivery", "plan-use": "planned_use"}
CORRECTS = ("count", "move", "import")
"""Bookings of an import about bottles that were on the shelf before it."""
LARGEST = 2**63 - 1


def undo(
    kind: str,
    number: int,
    *,
    on: datetime | None = None,
    key: str | None = None,
    note: str = "",
    replaced: bool = False,
) -> Answer:
    """Undo a whole booking; a mix with its steps and its close.

    Args:
        kind: the booking's kind as the logbook names it, `movement` for the booking that one belongs to, or
            `import` for everything that one imported file booked.
        number: the booking's number, the movement's or the import's.
        on: when; now if not given.
        replaced: for an import, whether a corrected file is booked in its place. Then each undo is dated as the booking
            that it takes back, so that no past day holds both, and the records that it made stay.
    Returns:
        `{"undo": number, "again": bool, "undid": [{"kind", "id"}], "bottles": [{"bottle", "on_hand_ml"}]}`;
        `again` says that an undo was undone, so that the errands named in `undid` stand once more.
    Raises:
        NotFound: no such booking of that kind.
        BadInput: it is undone already; the movement's booking moved several bottles; or `on` is before the booking.
        DependsOnIt: the reason names what was booked since.
    """
    cleaned = clean_note(note)
    with connection(), writing():
        try:
            last, turn_over = _prepared(kind, number, replaced=replaced)
        except UllageError:
            if key is None:
                raise

            def again(errand: Errand) -> Answer:
                return _prepared(kind, number)[1](errand)

            # A repeat with its key, whose errand is undone already: `book` returns the first answer.
            return book("undo", again, at=on, key=key)
        at = Booking.get_by_id(last).at if replaced else on
        return book("undo", turn_over, at=at, key=key, note=cleaned, undoes=last)


def turn_import(number: int, *, key: str | None = None) -> Answer:
    """Undo everything that an imported file booked, or do it again if none of it stands.

    Args:
        number: the import's.
    Returns:
        The answer of `undo`.
    Raises:
        NotFound, BadInput, DependsOnIt: as `undo`.
    """
    with connection():
        one = imports.numbered(number)
        by = None if imports.stands(one) else undone_by(one.first)
    return undo("import", number, key=key) if by is None else undo("undo", by, key=key)


def _prepared(kind: str, number: int, *, replaced: bool = False) -> tuple[int, Callable[[Errand], Answer]]:
    """The booking that is reversed first, and the function that turns over all bookings that belong to it."""
    if kind == "import":
        one = imports.numbered(number)
        imports.lock(one)
        tips = imports.tips_standing(one)
        if not tips:
            raise BadInput(
                _("import {number} is undone already", number=number),
                remedy=_("To book the file again, import it again"),
            )
        return tips[min(tips)], lambda errand: _turn_import(errand, one, tips, again=False, replaced=replaced)
    last = tip(_lock(_named(kind, number)))
    bottom = root(last)
    whole = imports.import_of(bottom.id) if last.id != bottom.id else None
    if whole is not None:
        imports.lock(whole)
        tips = imports.tips_turned_with(whole, last)
        again = undone_by(bottom.id) is not None
        if tips.get(whole.first) not in (None, last.id):
            raise DependsOnIt(
                _(
                    "{kind} {id} was undone with import {first}",
                    kind=_(bottom.kind),
                    id=bottom.id,
                    first=whole.first,
                ),
                remedy=Remedy(
                    _("Do the whole import again: "),
                    Do("undo", "undo", tips[whole.first]),
                    _("; nothing was booked"),
                ),
            )
        if len(tips) > 1 and bottom.id == whole.first:
            return last.id, lambda errand: _turn_import(errand, whole, tips, again=again)
    return last.id, lambda errand: _turned(errand, last)


def _turn_import(
    errand: Errand, one: Imported, tips: Mapping[int, int], *, again: bool, replaced: bool = False
) -> Answer:
    """Turn bookings of an import over; those that correct bottles of earlier files are looked at one by one."""
    rows = Booking.select().where(Booking.id.in_(list(tips)) & Booking.kind.in_(CORRECTS))
    roots = {row.id: row for row in rows.order_by(Booking.id.desc())}
    group = frozenset({*tips, *tips.values()})
    turns = [
        Turn(reversed=Booking.get_by_id(tips[number]), root=row, again=again, group=group)
        for number, row in roots.items()
    ]
    if turns:
        moved = Movement.select(Movement.bottle).where(
            Movement.booking.in_([one.reversed.id for one in turns])
        )
        hold(sorted({bottle for (bottle,) in moved.tuples()}))
    for turn_ in turns:
        refuse(turn_)

    def restore(by: dict[int, int]) -> None:
        for turn_ in turns:
            booking = errand._replace(booking=by[turn_.reversed.id])
            for bottle in sorted(_restore_bottles(booking, turn_)):
                _set_opened(booking, bottle)

    return imports.turn_over(errand, one, dict(tips), again=again, restore=restore, replaced=replaced)


def _named(kind: str, number: int) -> Booking:
    """The booking of that kind and number, if it stands."""
    named = ALSO_CALLED.get(kind, kind)
    if named not in (*BOOKING_KINDS, "movement"):
        raise BadInput(
            _("{kind!r} is not a kind of booking", kind=plain(kind, 40)),
            remedy=_("Write movement or one of {booking_kinds}", booking_kinds=", ".join(BOOKING_KINDS)),
        )
    target = None
    if 0 < number <= LARGEST:
        target = (
            _of_movement(number)
            if named == "movement"
            else Booking.get_or_none((Booking.id == number) & (Booking.kind == named))
        )
    if target is None:
        raise NotFound(
            _("there is no {named} {number}", named=named, number=number),
            remedy=Remedy(Do("logbook"), _(" lists what was booked")),
        )
    by = undone_by(target.id)
    if by is not None:
        raise BadInput(
            _("{kind} {id} is undone already, by undo {by}", kind=_(target.kind), id=target.id, by=by),
            remedy=Remedy(_("To do it again: "), Do("undo", "undo", by)),
        )
    return target


def _of_movement(number: int) -> Booking | None:
    movement = Movement.get_or_none(Movement.id == number)
    if movement is None:
        return None
    target: Booking = Booking.get_by_id(movement.booking_id)
    if Movement.select().where(Movement.booking == target).count() > 1:
        raise BadInput(
            _("movement {number} is part of {kind} {id}", number=number, kind=_(target.kind), id=target.id),
            remedy=Remedy(_("Undo that whole booking: "), Do("undo", target.kind, target.id)),
        )
    return target


def _lock(target: Booking) -> Booking:
    """Lock the errand and its mix, so that no other bench undoes it or adds to the mix until this is done."""
    bottom = root(target)
    list(locked(Booking.select(Booking.id).where(Booking.id == bottom.id)))
    for table in (Step, Close):
        part = table.get_or_none(table.id == bottom.id)
        if part is not None:
            bottom = Booking.get_by_id(part.mix_id)
    list(locked(Mix.select(Mix.id).where(Mix.id == bottom.id)))
    by = undone_by(target.id)
    if by is not None:
        raise BadInput(
            _("{kind} {id} is undone already, by undo {by}", kind=_(target.kind), id=target.id, by=by),
            remedy=_("Look at the logbook again"),
        )
    return target


def _turned(errand: Errand, last: Booking) -> Answer:
    turns = _turns(last)
    moved = Movement.select(Movement.bottle).where(Movement.booking.in_([one.reversed.id for one in turns]))
    hold(sorted({bottle for (bottle,) in moved.tuples()}))
    bottles: set[int] = set()
    for one in turns:
        booking = errand if one.reversed.id == last.id else errand.take_along(one.reversed.id)
        bottles |= _reverse(booking, one)
    held = Bottle.select(Bottle.id, Bottle.on_hand_ul).where(Bottle.id.in_(sorted(bottles)))
    by_root = sorted(turns, key=lambda one: int(one.root.id))
    whole = imports.import_of(int(by_root[0].root.id))
    return {
        "undo": errand.booking,
        "again": turns[0].again,
        "undid": [{"kind": one.root.kind, "id": one.root.id} for one in by_root],
        "bottles": [
            {"bottle": bottle, "on_hand_ml": ml(volume)}
            for bottle, volume in held.order_by(Bottle.id).tuples()
        ],
        **(imports.follow(whole) if whole is not None else {}),
    }


def _turns(last: Booking) -> list[Turn]:
    """All turns that belong together, in the order in which they are done.

    A mix is undone with its steps and its close, the newest first, and done again with those that were undone
    with it.
    """
    bottom = root(last)
    again = undone_by(bottom.id) is not None
    pairs = [(last, bottom)]
    if bottom.kind == "mix":
        parts = _parts_of_mix(bottom, last if again else None)
        pairs = [*pairs, *parts] if again else [*reversed(parts), *pairs]
    group = frozenset(int(one.id) for pair in pairs for one in pair)
    return [Turn(reversed=tip_, root=root_, again=again, group=group) for tip_, root_ in pairs]


def _parts_of_mix(mix: Booking, gone_with: Booking | None) -> list[tuple[Booking, Booking]]:
    """A mix's steps and closes as (last of its chain, itself): those that stand, or those that one undo took back."""
    steps = Step.select(Step.id).where(Step.mix == mix.id)
    closes = Close.select(Close.id).where(Close.mix == mix.id)
    parts = Booking.select().where(Booking.id.in_(steps) | Booking.id.in_(closes)).order_by(Booking.id)
    pairs = [(tip(part), part) for part in parts]
    if gone_with is None:
        return [pair for pair in pairs if undone_by(pair[1].id) is None]
    asked_for = leader(gone_with)
    return [
        (last, part) for last, part in pairs if undone_by(part.id) is not None and leader(last) == asked_for
    ]


def _reverse(errand: Errand, one: Turn) -> set[int]:
    if errand.at < one.reversed.at:
        raise BadInput(
            _(
                "{kind} {id} happened on {day}, after that",
                kind=_(one.reversed.kind),
                id=one.reversed.id,
                day=show_day(one.reversed.day),
            ),
            remedy=_("Give a later time; nothing was booked"),
        )
    query = Movement.select(Movement.id, Movement.bottle, Movement.change_ul)
    movements = list(
        query.where(Movement.booking == one.reversed).order_by(Movement.bottle, Movement.id).tuples()
    )
    bottles = {bottle for _, bottle, _ in movements}
    refuse(one)
    for movement, bottle, change_ul in movements:
        errand.move(bottle, "reversed", -change_ul, reverses=movement)
    turn(one.reversed, errand.booking)
    bottles |= _restore_bottles(errand, one)
    for bottle in sorted(bottles):
        _set_opened(errand, bottle)
    return bottles


def _restore_bottles(errand: Errand, one: Turn) -> set[int]:
    """Restore what the booking changed on bottles; the day of opening is worked out by `_set_opened`."""
    if not one.again:
        labelled = Bottle.select(Bottle.id).where(
            (Bottle.delivery == one.root.id) & Bottle.label.is_null(False)
        )
        for (bottle,) in list(labelled.tuples()):
            errand.change(bottle, "label", None)  # another bottle may need the label
    touched = set()
    changes = BottleChange.select().where(BottleChange.booking == one.reversed)
    for change in changes.order_by(BottleChange.id.desc()):
        touched.add(int(change.bottle_id))
        if change.field == "opened_on" or (change.field == "label" and not one.again):
            continue
        refuse_changed(change, one)
        _restore(errand, change)
    return touched


def _restore(errand: Errand, change: BottleChange) -> None:
    column = getattr(Bottle, change.field)
    present = Bottle.select(column).where(Bottle.id == change.bottle_id).tuples().get()[0]
    shown = present.isoformat() if hasattr(present, "isoformat") else present
    if (None if shown is None else str(shown)) != change.after:
        raise DependsOnIt(
            _(
                "bottle {bottle_id} was changed since ({replace})",
                bottle_id=label_of(change.bottle_id),
                replace=change.field.replace("_", " "),
            ),
            remedy=_("Set that back first; nothing was booked"),
        )
    if change.field == "label" and Bottle.select().where(Bottle.label == change.before).exists():
        raise DependsOnIt(
            _("the label {before} is on another bottle by now", before=change.before),
            remedy=Remedy(
                _("Give that bottle another label first: "),
                Do("bottle change", change.before, "--label", "OTHER"),
            ),
        )
    errand.change(change.bottle_id, change.field, _value(column, change.before))


def _value(column: Any, text: str | None) -> Any:
    return text if text is None or isinstance(column, pw.TextField) else int(text)


def _set_opened(errand: Errand, bottle: int) -> None:
    """Set the day of opening: the original one, the one that a standing booking notes, or the first day of a pour."""
    noted = (
        BottleChange.select(BottleChange.before, BottleChange.after, Booking.kind, Booking.id)
        .join(Booking)
        .where((BottleChange.bottle == bottle) & (BottleChange.field == "opened_on"))
        .order_by(BottleChange.id)
    )
    rows = list(noted.tuples())
    if not rows:
        return
    gone = {
        number
        for (number,) in Undone.select(Undone.booking)
        .where(Undone.booking.in_([row[3] for row in rows]))
        .tuples()
    }
    days = [rows[0][0]] + [after for _, after, kind, number in rows if kind == "open" and number not in gone]
    taken = (
        Movement.select(pw.fn.MIN(Booking.day))
        .join(Booking)
        .where((Movement.bottle == bottle) & Movement.kind.in_(OPENS) & in_force(Booking.id, None))
        .tuples()
        .get()[0]
    )
    opened_on = min((day for day in [*days, _iso(taken)] if day is not None), default=None)
    present = Bottle.select(Bottle.opened_on).where(Bottle.id == bottle).tuples().get()[0]
    if opened_on != _iso(present):
        errand.change(bottle, "opened_on", opened_on)


def _iso(day: Any) -> str | None:
    return day.isoformat() if hasattr(day, "isoformat") else day
