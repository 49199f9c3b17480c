"""The only code that changes a volume.

Every errand is one booking, made inside `book`: its movements, what it changes on bottles and the caller's request key
are written whole or not at all. A movement and the bottle's volume change together; the database refuses to edit it.
"""

from collections.abc import Callable, Iterable, Sequence
from datetime import date, datetime
from typing import Any

from stock import clock
from stock.errors import BadInput
from stock.language import _
from stock.named_tuples import NamedTuple
from stock.store.booking_statements import (
    BEGIN_NOW,
    CHANGE_UNLESS_LATE,
    CHANGE_VOLUME,
    MIX_ON_A_SERVER,
    MOVEMENT,
    POUR,
    POUR_ON_A_SERVER,
    WRITE_BOOKING,
    WRITE_MIX,
    WRITE_MOVEMENT,
    WRITE_NUMBERED,
)
from stock.store.closed_periods import hold_closed_until, require_open
from stock.store.connection import connection, locked, writing
from stock.store.models import Bottle, BottleChange, Movement, database
from stock.store.newest_booking import SET_BACK, newest_booking, newest_moment
from stock.store.past_volumes import below_empty, held_since, why_never, why_not, why_not_since
from stock.store.request_keys import answered, remember
from stock.store.settings import settings
from stock.store.statements import insert, number, number_if_any, rows, run, run_many
from stock.units import Microlitres, Micrometres

Answer = dict[str, Any]
BATCH = 5_000
"""Movements that are written at once."""


class Errand(NamedTuple):
    """A booking while its transaction is open. Code outside keeps its number, not this object."""

    booking: int
    at: datetime
    day: date
    booked_at: datetime

    def take_along(self, undoes: int) -> "Errand":
        """Book a further undo with this one, for a booking that must be undone together with it.

        Args:
            undoes: the booking that the further undo reverses.
        """
        at, booked_at = clock.stamp(self.at), clock.stamp(self.booked_at)
        row = ("undo", at, self.day.isoformat(), booked_at, "", undoes, self.booking)
        booking = number(WRITE_BOOKING, *row)
        return self._replace(booking=booking)

    def move(self, bottle: int, kind: str, change_ul: Microlitres, *, reverses: int | None = None) -> int:
        """Change one bottle's volume by `change_ul` microlitres and write the movement.

        Args:
            bottle: the bottle's number.
            kind: one of `words.MOVEMENT_KINDS`.
            change_ul: signed microlitres; negative takes out.
            reverses: the movement that this one reverses; None for any other.
        Returns:
            The movement's number.
        Raises:
            NotEnough: the bottle would go below empty, now or at any moment since the errand's own.
            BadInput: the errand is dated before the bottle came.
        """
        at = clock.stamp(self.at)
        row = (change_ul, bottle, -change_ul, self.day.isoformat())
        if change_ul >= 0 or not run(CHANGE_UNLESS_LATE, *row, at).rowcount:
            if not run(CHANGE_VOLUME, *row).rowcount:
                raise why_not(bottle, change_ul, self.day)
            if change_ul < 0:
                self._refuse_below_empty_since(bottle, change_ul)
        counts_as = kind if reverses is None else _proof_kind(reverses)
        return number(WRITE_MOVEMENT, bottle, self.booking, kind, change_ul, at, reverses, counts_as)

    def pour(self, mix: int, drawn: Sequence[tuple[int, int, str]]) -> None:
        """Pour the parts of a mix out of several bottles, as `move` does from one, and note the purpose of each.

        Args:
            mix: the mix's number.
            drawn: (bottle's number, microlitres above 0, one of `words.PARTS`) each, in ascending order of the bottles.
        Raises:
            What `move` raises.
        """
        if drawn and database.obj.for_update:
            self._pour_at_once(mix, drawn, POUR_ON_A_SERVER)
        elif drawn:
            poured = [
                (self.move(bottle, "poured", Microlitres(-ul)), mix, part) for bottle, ul, part in drawn
            ]
            run(insert("pour", POUR, len(poured)), *(value for row in poured for value in row))

    def mix(
        self, drawn: Sequence[tuple[int, int, str]], *, job: int | None, needle_um: Micrometres | None
    ) -> None:
        """Write a mix, whose number is the booking's, and pour what it is made of.

        Args:
            drawn: as for `pour`; at least one.
            job: the number of the job that it is for.
            needle_um: the needle that it is for.
        Raises:
            What `move` raises.
        """
        row = (self.booking, job, needle_um)
        if database.obj.for_update:
            self._pour_at_once(self.booking, drawn, MIX_ON_A_SERVER, *row)
        else:
            run(WRITE_MIX, *row)
            self.pour(self.booking, drawn)

    def _pour_at_once(
        self, mix: int, drawn: Sequence[tuple[int, int, str]], statement: str, *first: object
    ) -> None:
        bottles, volumes, parts = map(list, zip(*drawn, strict=True))
        at = clock.stamp(self.at)
        row = (bottles, volumes, self.day.isoformat(), self.booking, at, mix, parts)
        latest = dict(rows(statement, *first, *row))
        for bottle in dict.fromkeys(bottles):
            change_ul = Microlitres(-sum(ul for number, ul, _ in drawn if number == bottle))
            if bottle not in latest:
                raise why_not(bottle, change_ul, self.day)
            if latest[bottle] > at:
                self._refuse_below_empty_since(bottle, change_ul)

    def fill(self, kind: str, size_ul: Microlitres, **columns: Any) -> int:
        """Add a new bottle, filled by a `received`, `kept` or `moved_in` movement.

        Args:
            kind: the movement's kind.
            size_ul: the bottle's size in microlitres, and its content unless `holds_ul` is given.
            columns: further columns of `models.Bottle`; `holds_ul` if it isn't full.
        Returns:
            The bottle's number.
        """
        holds_ul = columns.pop("holds_ul", size_ul)
        columns.setdefault("received_on", self.day)
        bottle = int(Bottle.insert(size_ul=size_ul, on_hand_ul=0, delivery=self.booking, **columns).execute())
        self.move(bottle, kind, holds_ul)
        return bottle

    def change(self, bottle: int, field: str, after: object) -> None:
        """Set a column of a bottle other than its volume, and log its old value.

        Args:
            bottle: the bottle's number.
            field: the column, e.g. `opened_on`, `place`.
            after: its new value; None empties it.
        """
        column = getattr(Bottle, field)
        before = Bottle.select(column).where(Bottle.id == bottle).tuples().get()[0]
        Bottle.update({column: after}).where(Bottle.id == bottle).execute()
        BottleChange.insert(
            booking=self.booking, bottle=bottle, field=field, before=_text(before), after=_text(after)
        ).execute()

    def held(self, bottle: int) -> int:
        """The bottle's volume at the errand's moment by the present bookings, in microlitres."""
        return held_since(bottle, self.at)[-1]

    def _refuse_below_empty_since(self, bottle: int, change_ul: Microlitres) -> None:
        """Refuse a late booking that takes more than the bottle held at that moment or later."""
        least_ul = min(held_since(bottle, self.at))
        # The bottle's row, and so every one of these volumes, already includes the change.
        if least_ul < 0:
            raise why_not_since(bottle, change_ul, self.day, least_ul - change_ul)


class Batch:
    """Movements of many errands, written some thousands at a time under the same rules as `Errand.move`.

    For an imported file and for its undo. A new bottle is empty until its movements fill it. Use it inside `writing()`;
    `end` writes the rest.

    Args:
        columns: those of the new bottles; `id` and `received_on` are the first two.
        before: writes the bookings that waiting movements refer to; called before they are written.
    """

    def __init__(
        self,
        columns: Sequence[str] = ("id", "received_on"),
        *,
        before: Callable[[], None] = lambda: None,
    ) -> None:
        self._before = before
        self._write_bottle = insert("bottle", (*columns, "on_hand_ul"))
        self._new: dict[int, tuple[Any, ...]] = {}
        self._moves: list[tuple[Any, ...]] = []
        self._sums: dict[int, int] = {}
        self._lowest: dict[int, int] = {}
        self._first_day: dict[int, str] = {}
        self._taken_from: set[int] = set()
        self._closed = hold_closed_until()

    def bottle(self, row: tuple[Any, ...]) -> None:
        """Add a new bottle, empty until a movement fills it; the values are in the order of `columns`."""
        self._new[row[0]] = row

    def move(
        self,
        bottle: int,
        booking: int,
        kind: str,
        change_ul: Microlitres,
        *,
        at: str,
        day: str,
        number: int | None = None,
        reverses: int | None = None,
        counts_as: str | None = None,
    ) -> None:
        """Change one bottle's volume by `change_ul` microlitres and write the movement with the next batch.

        Args:
            bottle, booking, kind, change_ul, reverses: as for `Errand.move`.
            at, day: when, as the books write it.
            number: the movement's own number; given for all movements of a batch or for none.
            counts_as: its kind in the proof, where that is another.
        """
        held = self._sums[bottle] = self._sums.get(bottle, 0) + change_ul
        if change_ul < 0:
            self._taken_from.add(bottle)
            if held < self._lowest.get(bottle, 0):
                self._lowest[bottle] = held
        if day < self._first_day.setdefault(bottle, day):
            self._first_day[bottle] = day
        if self._closed is not None and day <= str(self._closed):
            require_open(date.fromisoformat(day), self._closed)
        row = (bottle, booking, kind, change_ul, at, reverses, counts_as or kind)
        self._moves.append(row if number is None else (*row, number))
        if len(self._moves) >= BATCH:
            self.write()

    def write(self) -> None:
        """Write the waiting bottles and movements.

        Raises:
            NotEnough, BadInput: as `Errand.move`; nothing may be booked then.
        """
        self._before()
        existing = []
        for bottle, change_ul in self._sums.items():
            row, lowest, day = self._new.get(bottle), self._lowest.get(bottle, 0), self._first_day[bottle]
            if row is None:
                existing.append((change_ul, bottle, -lowest, day))
            elif lowest < 0 or day < row[1]:
                run(self._write_bottle, *row, 0)
                raise why_not(bottle, lowest, date.fromisoformat(day))
        if self._new:
            run_many(self._write_bottle, [(*row, self._sums.get(new, 0)) for new, row in self._new.items()])
        if existing:
            _change_volumes(existing)
        if self._moves:
            numbered = len(self._moves[0]) > len(MOVEMENT)
            run_many(WRITE_NUMBERED if numbered else WRITE_MOVEMENT, self._moves)
        for waiting in (self._new, self._moves, self._sums, self._lowest, self._first_day):
            waiting.clear()

    def end(self) -> None:
        """Write the rest, and check that no bottle was below empty at any moment.

        Raises:
            NotEnough: names the bottle and the moment.
        """
        self.write()
        bottles = sorted(self._taken_from)
        for start in range(0, len(bottles), BATCH):
            some = bottles[start : start + BATCH]
            below = below_empty(some)
            if below is not None:
                raise why_never(*below)


def _change_volumes(changes: Sequence[tuple[int, int, int, str]]) -> None:
    """Change many volumes; a row is the change, the bottle, the least that it must hold, the day it must be there."""
    with database.atomic() as point:
        if run_many(CHANGE_VOLUME, changes) == len(changes):
            return
        point.rollback()
    for change_ul, bottle, least_ul, day in changes:  # one by one, to find the one that failed
        if not run(CHANGE_VOLUME, change_ul, bottle, least_ul, day).rowcount:
            raise why_not(bottle, -least_ul, date.fromisoformat(day))


def book(
    kind: str,
    work: Callable[[Errand], Answer],
    *,
    at: datetime | None = None,
    key: str | None = None,
    note: str = "",
    undoes: int | None = None,
) -> Answer:
    """Run `work` in a transaction as one booking, and return its answer.

    Args:
        kind: one of `words.BOOKING_KINDS`.
        work: makes the movements through the errand it is handed; its answer must be JSON-able.
        at: when it happened; now if not given. It must not lie in the future; if the clock was set back, it may lie
            up to the newest booking.
        key: the caller's own key for this errand; a repeat returns the first answer and books nothing.
        note: a person's words about it.
        undoes: the booking that this one reverses.
    Raises:
        BadInput: `at` lies in the future, or `key` was used for an errand of another kind.
        UllageError: `at` lies in a closed period.
        Whatever `work` raises; nothing is booked then.
    """
    with connection(), writing():
        if key is not None:
            first = answered(kind, key)
            if first is not None:
                return first
        errand = _begin(kind, at, note, undoes)
        answer = work(errand)
        if key is not None:
            remember(kind, key, errand.booking, answer)
        return answer


def first_answer(kind: str, key: str | None) -> Answer | None:
    """The answer to the errand booked with this key; None without a key or such an errand.

    For callers that look up names before they make an errand: a recipe may be gone when the errand is repeated, and the
    repeat must still get its first answer.

    Raises:
        BadInput: the key was used for an errand of another kind.
    """
    if key is None:
        return None
    with connection(), writing(books=False):
        return answered(kind, key)


def _begin(kind: str, at: datetime | None, note: str, undoes: int | None) -> Errand:
    now = clock.now()
    begun = _begin_now(kind, now, note, undoes) if at is None else None
    if begun is not None:
        return begun
    newest, closed = newest_moment(now)
    moment = at or (newest if now < newest <= now + SET_BACK else now)
    if moment > max(now, newest):
        raise BadInput(
            _("{moment} lies in the future", moment=clock.stamp(moment)),
            remedy=_("Give a past day; nothing was booked"),
        )
    day = clock.day_of(moment, zone())
    require_open(day, closed)
    booking = number(
        WRITE_BOOKING, kind, clock.stamp(moment), day.isoformat(), clock.stamp(now), note, undoes, None
    )
    return Errand(booking=booking, at=moment, day=day, booked_at=now)


def _begin_now(kind: str, now: datetime, note: str, undoes: int | None) -> Errand | None:
    """Begin an errand of the present moment; None if a booking is newer or the day is closed."""
    stamp, day = clock.stamp(now), clock.day_of(now, zone())
    written = day.isoformat()
    row = (kind, stamp, written, stamp, note, undoes, stamp, stamp, written)
    booking = number_if_any(BEGIN_NOW % newest_booking(), *row)
    return Errand(booking, now, day, booked_at=now) if booking is not None else None


def zone() -> str:
    """The studio's time zone, as an IANA name."""
    return settings().time_zone


def hold(bottles: Iterable[int]) -> None:
    """Lock these bottles until the transaction ends, in ascending order so that no two benches deadlock.

    Does nothing on SQLite, which locks the whole file when the errand begins.
    """
    if not database.obj.for_update:
        return
    numbers = sorted(bottles)
    if numbers:
        list(locked(Bottle.select(Bottle.id).where(Bottle.id.in_(numbers)).order_by(Bottle.id)))


def _proof_kind(movement: int) -> str:
    kind: str = Movement.select(Movement.proof_kind).where(Movement.id == movement).tuples().get()[0]
    return kind


def _text(value: object) -> str | None:
    return None if value is None else value.isoformat() if isinstance(value, date) else str(value)
