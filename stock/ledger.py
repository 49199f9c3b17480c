"""The only code that changes a volume.

Every errand at the shelf or bench is one booking, made inside `book`: its movements, what it changes on
bottles and the caller's request key land in one transaction, whole or not at all. Each movement changes the
bottle's volume on hand in the same breath, and the database refuses an edit of what was written.
"""

import json
from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from datetime import date, datetime, timedelta
from typing import Any, NamedTuple

from stock import clock
from stock.errors import BadInput, NotEnough, NotFound
from stock.remedies import Do, Option, Remedy
from stock.store.connection import connection, locked, writing
from stock.store.models import Bottle, BottleChange, Movement, Request, database
from stock.store.orm import pw
from stock.store.settings import settings

Answer = dict[str, Any]

# Every booking runs these, so they are written out: building them anew each time costs more than
# the database takes to run them (tests/benchmarks/booking.py).
CHANGE_VOLUME = (
    "UPDATE bottle SET on_hand_ul = on_hand_ul + ? WHERE id = ? AND on_hand_ul >= ? AND received_on <= ?"
)
WRITE_MOVEMENT = (
    "INSERT INTO movement (bottle_id, booking_id, kind, change_ul, at, reverses_id, proof_kind) "
    "VALUES (?, ?, ?, ?, ?, ?, ?) RETURNING id"
)
WRITE_BOOKING = (
    "INSERT INTO booking (kind, at, day, booked_at, note, undoes_id, with_undo_id) "
    "VALUES (?, ?, ?, ?, ?, ?, ?) RETURNING id"
)
HELD_NOW = "SELECT on_hand_ul FROM bottle WHERE id = ?"
MOVED_LATER = "SELECT change_ul FROM movement WHERE bottle_id = ? AND at > ? ORDER BY at DESC, id DESC"
NEWEST_MOMENT = "SELECT at, booked_at FROM booking ORDER BY id DESC LIMIT 1"
LONGEST_KEY = 200
SET_BACK = timedelta(days=1)
"""Where the clock is behind the newest booking by no more than this, a new one takes that one's moment, so that the
order is kept. Behind by more, nobody knows which of the two is wrong: the clock is taken, and a later moment may be
named up to that of the newest booking."""


class Errand(NamedTuple):
    """A booking while it is being made; hand its number on, not itself."""

    booking: int
    at: datetime
    day: date
    late: bool
    booked_at: datetime

    def take_along(self, undoes: int) -> "Errand":
        """Book one more undo with this one, for a booking that goes with what this one takes back.

        Args:
            undoes: the booking that the further undo takes back.
        """
        at, booked_at = clock.stamp(self.at), clock.stamp(self.booked_at)
        number = _number(WRITE_BOOKING, "undo", at, self.day.isoformat(), booked_at, "", undoes, self.booking)
        return self._replace(booking=number)

    def move(self, bottle: int, kind: str, change_ul: int, *, reverses: int | None = None) -> int:
        """Change one bottle's volume by `change_ul` microlitres and write the movement.

        Args:
            bottle: the bottle's number.
            kind: one of `words.MOVEMENT_KINDS`.
            change_ul: signed microlitres; negative takes out.
            reverses: the movement that this one takes back, if it does.
        Returns:
            The movement's number.
        Raises:
            NotEnough: the bottle would go below empty, now or at any moment since the errand's own.
            BadInput: the errand is dated before the bottle came.
        """
        changed = run(CHANGE_VOLUME, change_ul, bottle, -change_ul, self.day.isoformat())
        if not changed.rowcount:
            raise self._why_not(bottle, change_ul)
        if self.late and change_ul < 0:
            self._refuse_below_empty_since(bottle, change_ul)
        counts_as = kind if reverses is None else _proof_kind(reverses)
        at = clock.stamp(self.at)
        return _number(WRITE_MOVEMENT, bottle, self.booking, kind, change_ul, at, reverses, counts_as)

    def fill(self, kind: str, size_ul: int, **columns: Any) -> int:
        """A new bottle, holding what the `received`, `kept` or `moved_in` movement puts into it.

        Args:
            kind: the movement's kind.
            size_ul: the bottle's size in microlitres, and what is in it unless `holds_ul` says otherwise.
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
        """Set a column of a bottle other than its volume, and write down what it was.

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

    def _why_not(self, bottle: int, change_ul: int) -> Exception:
        row = Bottle.get_or_none(Bottle.id == bottle)
        if row is None:
            return NotFound(f"there is no bottle {bottle}", remedy=Remedy(Do("shelf"), " lists them"))
        if row.received_on > self.day:
            return BadInput(
                f"bottle {bottle} came on {row.received_on}, after {self.day}",
                remedy="Give a later day; nothing was booked",
            )
        return NotEnough(
            f"bottle {bottle} holds {_ml(row.on_hand_ul)} ml and {_ml(-change_ul)} ml were asked of it",
            remedy="Pour what is left and open another bottle, or count this one first; nothing was booked",
        )

    def held(self, bottle: int) -> int:
        """Microlitres the bottle held at the errand's own moment, by what is booked now."""
        return self._held_since(bottle)[-1]

    def _held_since(self, bottle: int) -> list[int]:
        """What the bottle holds now, and before each movement later than the errand, back to its moment."""
        held = [int(run(HELD_NOW, bottle).fetchall()[0][0])]
        if self.late:
            for (moved_ul,) in run(MOVED_LATER, bottle, clock.stamp(self.at)).fetchall():
                held.append(held[-1] - moved_ul)
        return held

    def _refuse_below_empty_since(self, bottle: int, change_ul: int) -> None:
        """A late booking must fit into what the bottle held then, not only into what it holds now."""
        held = self._held_since(bottle)
        # The bottle's row holds the change already and so do all these figures.
        if min(held) < 0:
            raise NotEnough(
                f"on {self.day} or after it bottle {bottle} held {_ml(min(held) - change_ul)} ml "
                f"and {_ml(-change_ul)} ml were asked of it",
                remedy=Remedy(
                    "Pour from another bottle ", Option("from"), ", or give a later day; nothing was booked"
                ),
            )


def book(
    kind: str,
    work: Callable[[Errand], Answer],
    *,
    at: datetime | None = None,
    key: str | None = None,
    note: str = "",
    undoes: int | None = None,
) -> Answer:
    """Make one booking whole: run `work` in a transaction and return its answer.

    Args:
        kind: one of `words.BOOKING_KINDS`.
        work: makes the movements through the errand it is handed; its answer must be JSON-able.
        at: when it happened; now if not given. May not lie in the future, nor behind the newest booking where the
            clock was set back.
        key: the caller's own key for this errand; a repeat returns the first answer and books nothing.
        note: a person's words about it.
        undoes: the booking that this one takes back.
    Raises:
        BadInput: `at` lies in the future, or `key` was used for an errand of another kind.
        Whatever `work` raises; nothing is booked then.
    """
    with connection(), writing():
        if key is not None:
            first = _answered(kind, key)
            if first is not None:
                return first
        errand = _begin(kind, at, note, undoes)
        answer = work(errand)
        if key is not None:
            Request.insert(key=key, kind=kind, booking=errand.booking, answer=json.dumps(answer)).execute()
        return answer


def first_answer(kind: str, key: str | None) -> Answer | None:
    """What was answered to the errand that was booked with this key; None without a key, or where none was.

    For whoever looks names up before an errand can be put together: a recipe may be gone by the time an errand
    is repeated, and the repeat still gets its first answer.

    Raises:
        BadInput: the key was used for an errand of another kind.
    """
    if key is None:
        return None
    with connection(), writing(books=False):
        return _answered(kind, key)


def _begin(kind: str, at: datetime | None, note: str, undoes: int | None) -> Errand:
    now = clock.now()
    newest = _newest_moment(now)
    moment = at or (newest if now < newest <= now + SET_BACK else now)
    if moment > max(now, newest):
        raise BadInput(
            f"{clock.stamp(moment)} lies in the future", remedy="Give a past day; nothing was booked"
        )
    day = clock.day_of(moment, zone())
    number = _number(
        WRITE_BOOKING, kind, clock.stamp(moment), day.isoformat(), clock.stamp(now), note, undoes, None
    )
    late = at is not None or moment < newest
    return Errand(booking=number, at=moment, day=day, late=late, booked_at=now)


def _newest_moment(now: datetime) -> datetime:
    """When the newest booking happened or was written; `now` if there is none."""
    row = run(NEWEST_MOMENT).fetchone()
    return clock.read_stamp(max(row)) if row is not None else now


def _answered(kind: str, key: str) -> Answer | None:
    if not key or len(key) > LONGEST_KEY:
        raise BadInput(f"a request key has 1 to {LONGEST_KEY} letters", remedy="Make a shorter one")
    if isinstance(database.obj, pw.PostgresqlDatabase):
        # Two equal requests at once: the second waits here for the first's answer. The lock is the studio's own,
        # and the transaction's, so that a pooler may give the next one another session.
        database.execute_sql("SELECT pg_advisory_xact_lock(hashtext(current_schema()), hashtext(%s))", (key,))
    row = Request.get_or_none(Request.key == key)
    if row is None:
        return None
    if row.kind != kind:
        raise BadInput(
            f"the request key was used for a {row.kind} before", remedy="Make a new key for each errand"
        )
    answer: Answer = json.loads(row.answer)
    return answer


def zone() -> str:
    """The studio's time zone, as an IANA name."""
    return settings().time_zone


def run(statement: str, *values: object) -> Any:
    """Run a statement that every booking runs, written out with `?` for its values."""
    engine = database.obj
    return engine.execute_sql(statement.replace("?", engine.param), values)


def many(statement: str, rows: Iterable[Sequence[object]]) -> None:
    """Run a statement, written out with `?` for its values, for each of many rows."""
    engine = database.obj
    engine.cursor().executemany(statement.replace("?", engine.param), list(rows))


def reverse(errand: Errand, by: Mapping[int, int]) -> dict[int, int]:
    """Reverse every movement of many bookings at once; their bottles must be held.

    Args:
        errand: the first of the undos; says when.
        by: the number of the undo that takes each booking back, by that booking's number.
    Returns:
        Microlitres that each bottle holds then, by its number.
    """
    query = Movement.select(
        Movement.id, Movement.bottle, Movement.booking, Movement.change_ul, Movement.proof_kind
    )
    near = query.where(Movement.booking.between(min(by), max(by))).order_by(Movement.id.desc()).tuples()
    moved = [row for row in near if row[2] in by]
    at = clock.stamp(errand.at)
    many(
        WRITE_MOVEMENT.removesuffix(" RETURNING id"),
        [
            (bottle, by[booking], "reversed", -change, at, number, kind)
            for number, bottle, booking, change, kind in moved
        ],
    )
    back: dict[int, int] = defaultdict(int)
    for _, bottle, _, change_ul, _ in moved:
        back[bottle] -= change_ul
    many(
        "UPDATE bottle SET on_hand_ul = on_hand_ul + ? WHERE id = ?",
        [(ul, number) for number, ul in back.items()],
    )
    held = Bottle.select(Bottle.id, Bottle.on_hand_ul).where(Bottle.id.between(min(back), max(back)))
    return {number: ul for number, ul in held.tuples() if number in back}


def _number(statement: str, *values: object) -> int:
    """The number of the row that an INSERT ... RETURNING wrote."""
    return int(run(statement, *values).fetchall()[0][0])


def hold(bottles: Iterable[int]) -> None:
    """Lock these bottles until the transaction ends, in ascending order so that no two benches deadlock.

    SQLite locks the whole file when the errand begins, so nothing is asked of it.
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
    if value is None:
        return None
    return value.isoformat() if isinstance(value, date) else str(value)


def _ml(volume_ul: int) -> str:
    return f"{volume_ul / 1000:,.3f}".rstrip("0").rstrip(".")
