"""An imported file as one errand: undo and redo of everything that it booked.

An import books many errands with bottles of their own in one transaction, so their numbers are consecutive.
They are undone and redone together, in batches, or not at all.
"""

import json
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from stock import clock
from stock.errors import BadInput, NotFound
from stock.language import _
from stock.ledger import Answer, Batch, Errand
from stock.logbook import import_records
from stock.logbook.chains import leader
from stock.logbook.undo_guards import NOTHING, DependsOnIt
from stock.remedies import Do, Remedy
from stock.shelf.bottles import label_of
from stock.store.booking_statements import WRITE_BOOKING
from stock.store.connection import locked
from stock.store.models import Booking, Bottle, BottleChange, Close, Mix, Movement, Request, Step, Undone
from stock.store.orm import pw
from stock.store.statements import insert, run_many
from stock.units import Microlitres, ml

KEY = "import "
BATCH = 5_000
MOST_NAMED = 50
"""How many bottles an answer names at most."""
MOST_USED_NAMED = 12
"""How many bottles a refusal names at most."""


@dataclass(frozen=True, slots=True)
class Imported:
    """What one file booked: bookings numbered `first` to `last`; the import's own number is its first."""

    first: int
    last: int

    def has(self, booking: int) -> bool:
        """Whether that booking belongs to this import."""
        return self.first <= booking <= self.last


def imported() -> list[Imported]:
    """Every imported file, oldest first; one query."""
    rows = Request.select(Request.answer).where(Request.key.startswith(KEY)).order_by(Request.booking)
    answers = [json.loads(answer) for (answer,) in rows.tuples()]
    return [Imported(*map(int, answer["bookings"])) for answer in answers]


@dataclass(frozen=True, slots=True)
class ImportedFile:
    """An imported file: its import's number, its name, kind and rows, when it was booked, whether any of it stands.

    `sheet` is the workbook's sheet that was read; empty for other files.
    """

    number: int
    name: str
    kind: str
    rows: int
    booked_at: datetime
    stands: bool
    sheet: str = ""


def files() -> list[ImportedFile]:
    """The imported files, newest first."""
    rows = (
        Request.select(Request.answer, Booking.booked_at)
        .join(Booking, on=(Request.booking == Booking.id))
        .where(Request.key.startswith(KEY))
        .order_by(Request.booking.desc())
        .tuples()
    )
    found = []
    for text, booked_at in rows:
        answer = json.loads(text)
        one = Imported(*map(int, answer["bookings"]))
        found.append(
            ImportedFile(
                one.first,
                answer["file"],
                answer["kind"],
                answer["rows"],
                booked_at,
                stands(one),
                answer.get("sheet") or "",
            )
        )
    return found


def numbered(number: int) -> Imported:
    """The import of that number.

    Raises:
        NotFound: there is none.
    """
    for each in imported():
        if each.first == number:
            return each
    raise NotFound(
        _("there is no import {number}", number=number),
        remedy=Remedy(Do("logbook", "--kind", "delivery"), _(" lists them, each with its file")),
    )


def import_of(booking: int) -> Imported | None:
    """The import that made this booking, or None."""
    return next((each for each in imported() if each.has(booking)), None)


def stands(one: Imported) -> bool:
    """Whether anything that the import booked stands, that is, was not undone."""
    gone = Undone.select().where(Undone.booking.between(one.first, one.last)).count()
    return int(gone) < one.last - one.first + 1


def lock(one: Imported) -> None:
    """Lock the import's bottles and mixes until the transaction ends, in the order in which every errand locks."""
    list(locked(Mix.select(Mix.id).where(Mix.id.between(one.first, one.last)).order_by(Mix.id)).tuples())
    made = Bottle.select(Bottle.id).where(Bottle.delivery.between(one.first, one.last)).order_by(Bottle.id)
    list(locked(made).tuples())


def turn_over(
    errand: Errand,
    one: Imported,
    tips: dict[int, int],
    *,
    again: bool,
    restore: Callable[[dict[int, int]], None] = lambda _: None,
    replaced: bool = False,
) -> Answer:
    """Undo bookings of an import, or do them again.

    Args:
        errand: the undo of the first of them.
        one: the import.
        tips: the last booking of its chain for each booking to turn over, by its number.
        again: whether they will stand afterwards.
        restore: restores what they changed on bottles; called with the undo of each booking, by booking.
        replaced: whether a corrected file is booked in its place: then each undo is dated as the booking that it takes
            back, and the records that it made stay.
    Returns:
        The answer of `undo`; `bookings` says how many were turned over, and at most 50 bottles are named.
    Raises:
        DependsOnIt: the reason names what was booked since.
    """
    latest = Booking.select(pw.fn.MAX(Booking.at)).where(
        Booking.id.between(min(tips.values()), max(tips.values()))
    )
    if not replaced and clock.stamp(errand.at) < str(latest.tuples().get()[0]):
        raise BadInput(
            _("import {first} holds errands that happened after that", first=one.first),
            remedy=_("Give a later time; nothing was booked"),
        )
    if not again:
        _refuse(one)
    moments = _moments(errand, sorted(tips.values(), reverse=True), own=replaced)
    by = _undos(errand, moments)
    held = _reverse(by, moments)
    _turn(by)
    restore(by)
    if again:
        _put_labels_back(errand, tips[min(tips)])
    else:
        _free_labels(errand, one)
    volumes = sorted(held.items())
    return {
        "undo": errand.booking,
        "again": again,
        "undid": [{"kind": "import", "id": one.first}],
        "bookings": len(tips),
        **follow(one, replaced=replaced),
        "bottles": [
            {"bottle": bottle, "on_hand_ml": ml(Microlitres(volume))}
            for bottle, volume in volumes[:MOST_NAMED]
        ],
    }


def _refuse(one: Imported) -> None:
    """Refuse while a later booking uses the import's bottles or adds to its mixes."""
    inside = Booking.id.between(one.first, one.last)
    made = Bottle.select(Bottle.id).where(Bottle.delivery.between(one.first, one.last))
    for table in (Movement, BottleChange):
        later = (
            table.select(Booking.kind, Booking.id, table.bottle)
            .join(Booking, on=(table.booking == Booking.id))
            .where(table.bottle.in_(made) & (table.booking > one.last) & (Booking.kind != "undo"))
            .where(~inside & Booking.id.not_in(Undone.select(Undone.booking)))
            .order_by(Booking.id.desc())
            .tuples()
            .first()
        )
        if later is not None:
            raise _stands(one, _used(one), later[0], later[1])
    for table, kind in ((Step, "step"), (Close, "close")):
        later = (
            table.select(table.id, table.mix)
            .where(table.mix.between(one.first, one.last) & (table.id > one.last))
            .where(table.id.not_in(Undone.select(Undone.booking)))
            .order_by(table.id.desc())
            .tuples()
            .first()
        )
        if later is not None:
            raise _stands(one, _("mix {later} was changed since", later=later[1]), kind, later[0])


def _used(one: Imported) -> str:
    """The bottles of an import that later bookings concern, in words."""
    numbers: set[int] = set()
    made = Bottle.select(Bottle.id).where(Bottle.delivery.between(one.first, one.last))
    for table in (Movement, BottleChange):
        rows = (
            table.select(table.bottle)
            .join(Booking, on=(table.booking == Booking.id))
            .where(table.bottle.in_(made) & (table.booking > one.last) & (Booking.kind != "undo"))
            .where(Booking.id.not_in(Undone.select(Undone.booking)))
        )
        numbers |= {number for (number,) in rows.distinct().tuples()}
    if len(numbers) == 1:
        return _("bottle {later} was used since", later=label_of(min(numbers)))
    named = ", ".join(label_of(number) for number in sorted(numbers)[:MOST_USED_NAMED])
    more = ", …" if len(numbers) > MOST_USED_NAMED else ""
    return _("{number} bottles were used since ({named})", number=len(numbers), named=named + more)


def follow(one: Imported, *, replaced: bool = False) -> dict[str, list[str]]:
    """Take back the import's effects beside its bookings, or do them again, as its bookings stand; what was done.

    Raises:
        UllageError: a name is another record's by now.
    """
    followed = import_records.follow(one.first, stands=stands(one), replaced=replaced)
    return {what: names for what, names in followed.items() if names}


def _stands(one: Imported, what: str, kind: str, number: int) -> DependsOnIt:
    other = import_of(number)
    if other is not None:
        kind, number = "import", other.first
    return DependsOnIt(
        _(
            "{what}: {kind} {number} depends on import {first}",
            what=what,
            kind=_(kind),
            number=number,
            first=one.first,
        ),
        remedy=Remedy(
            _("Undo {kind} {number} first: ", kind=_(kind), number=number),
            Do("undo", kind, number),
            f"; {NOTHING}",
        ),
    )


def _moments(errand: Errand, tips: Sequence[int], *, own: bool) -> dict[int, tuple[str, str]]:
    """The moment and day of the undo of each booking, as the books write them: those of the booking, or now."""
    if not own:
        return dict.fromkeys(tips, (clock.stamp(errand.at), errand.day.isoformat()))
    found: dict[int, tuple[str, str]] = {}
    for at in range(0, len(tips), BATCH):
        rows = Booking.select(Booking.id, Booking.at, Booking.day).where(
            Booking.id.in_(tips[at : at + BATCH])
        )
        found |= {number: (clock.stamp(moment), day.isoformat()) for number, moment, day in rows.tuples()}
    return {tip: found[tip] for tip in tips}


def _undos(errand: Errand, moments: Mapping[int, tuple[str, str]]) -> dict[int, int]:
    """Book an undo of each of these bookings, including the errand's own; returns the undo by what it undoes."""
    own = Booking.select(Booking.undoes).where(Booking.id == errand.booking).tuples().get()[0]
    booked_at = clock.stamp(errand.booked_at)
    rows = (
        ("undo", *moment, booked_at, "", tip, errand.booking) for tip, moment in moments.items() if tip != own
    )
    run_many(WRITE_BOOKING, rows)
    made = Booking.select(Booking.undoes, Booking.id).where(Booking.id >= errand.booking).tuples()
    return {undoes: number for undoes, number in made if undoes in moments}


def _reverse(by: dict[int, int], moments: Mapping[int, tuple[str, str]]) -> dict[int, int]:
    """Reverse every movement of these bookings; returns the microlitres that each bottle holds then.

    Args:
        by: the undo that takes each booking back, by that booking's number.
        moments: the moment and day of each undo.
    """
    columns = (Movement.id, Movement.bottle, Movement.booking, Movement.change_ul, Movement.proof_kind)
    near = Movement.select(*columns).where(Movement.booking.between(min(by), max(by)))
    bottles = set()
    batch = Batch()
    for movement, bottle, booking, change_ul, counts_as in list(near.order_by(Movement.id.desc()).tuples()):
        if booking in by:
            bottles.add(bottle)
            undo, back_ul, (at, day) = by[booking], -change_ul, moments[booking]
            batch.move(
                bottle, undo, "reversed", back_ul, at=at, day=day, reverses=movement, counts_as=counts_as
            )
    batch.end()
    if not bottles:
        return {}
    held = Bottle.select(Bottle.id, Bottle.on_hand_ul).where(Bottle.id.between(min(bottles), max(bottles)))
    return {bottle: volume_ul for bottle, volume_ul in held.tuples() if bottle in bottles}


def _turn(by: dict[int, int]) -> None:
    """Mark which bookings stand, down every chain; `chains.turn` does the same for one chain."""
    below: dict[int, int | None] = {}
    numbers = sorted(by)
    for at in range(0, len(numbers), BATCH):
        some = numbers[at : at + BATCH]
        below.update(Booking.select(Booking.id, Booking.undoes).where(Booking.id.in_(some)).tuples())
    gone = list(by.items())
    back: list[tuple[int, int]] = []
    # A chain has one booking for each undo and redo; it is walked down from its last booking.
    for tip in numbers:
        stands_, current = False, tip
        while (under := _under(below, current)) is not None:
            stands_ = not stands_
            (back if stands_ else gone).append((under, current))
            current = under
    run_many("DELETE FROM undone WHERE booking_id = ?", ((booking,) for booking, _ in back))
    run_many(insert("undone", ("booking_id", "by_id")), gone)


def _under(below: dict[int, int | None], booking: int) -> int | None:
    if booking not in below:
        below[booking] = Booking.select(Booking.undoes).where(Booking.id == booking).tuples().get()[0]
    return below[booking]


def _free_labels(errand: Errand, one: Imported) -> None:
    """Take the labels off the import's bottles, so that other bottles can use them."""
    made = Bottle.delivery.between(one.first, one.last) & Bottle.label.is_null(False)
    for bottle in list(Bottle.select(Bottle.id).where(made).order_by(Bottle.id).tuples()):
        errand.change(bottle[0], "label", None)


def _put_labels_back(errand: Errand, undo: int) -> None:
    freed = BottleChange.select(BottleChange.bottle, BottleChange.before).where(
        (BottleChange.booking == undo) & (BottleChange.field == "label")
    )
    for bottle, label in list(freed.order_by(BottleChange.id).tuples()):
        if Bottle.select().where(Bottle.label == label).exists():
            raise DependsOnIt(
                _("the label {label} is on another bottle by now", label=label),
                remedy=Remedy(
                    _("Give that bottle another label first: "),
                    Do("bottle change", label, "--label", "OTHER"),
                ),
            )
        errand.change(bottle, "label", label)


def tips_standing(one: Imported) -> dict[int, int]:
    """The last booking of its chain for each booking of an import that stands."""
    gone = {
        number
        for (number,) in Undone.select(Undone.booking)
        .where(Undone.booking.between(one.first, one.last))
        .tuples()
    }
    above = _above(one)
    return {each: _tip(above, each) for each in range(one.first, one.last + 1) if each not in gone}


def tips_turned_with(one: Imported, last: Booking) -> dict[int, int]:
    """The last bookings of the chains that one undo turned over: the undo itself, or undos booked with it."""
    above = _above(one)
    tips = {each: _tip(above, each) for each in range(one.first, one.last + 1)}
    asked_for = leader(last)
    along = Booking.select(Booking.id).where((Booking.id > asked_for) & (Booking.with_undo == asked_for))
    same = {asked_for} | {number for (number,) in along.tuples()}
    return {each: tip for each, tip in tips.items() if tip in same}


def _above(one: Imported) -> dict[int, int]:
    rows = Booking.select(Booking.undoes, Booking.id).where(Booking.undoes >= one.first)
    return dict(rows.tuples())


def _tip(above: dict[int, int], booking: int) -> int:
    while booking in above:
        booking = above[booking]
    return booking
