"""Mixes read from the books: what was poured, each step, and how they were closed.

What was undone is left out. Volumes are microlitres. The stages of a mix are what it held after it was made and
after each step, in the order of time.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from datetime import date, datetime
from typing import Any

from stock.bench.pot_life import NotedLife, PotLife, pot_life
from stock.bench.reduction import Reduction
from stock.bench.stages import MixPour, Stage, StepNote, stages
from stock.errors import NotFound, UllageError
from stock.language import _
from stock.named_tuples import NamedTuple
from stock.notation import show_day
from stock.remedies import Do, Remedy
from stock.shelf.past_shelf import in_force
from stock.shelf.studio import settings
from stock.store.connection import connection, locked, reading
from stock.store.models import (
    Booking,
    Bottle,
    Close,
    Job,
    Mix,
    Movement,
    Pour,
    Product,
    Step,
    Undone,
    database,
)
from stock.store.orm import pw
from stock.store.prepared import Prepared
from stock.units import Microlitres, Micrometres, MilliCelsius, MilliPercent, Pascals


class Closed(NamedTuple):
    """How a mix was closed; settings are None where nobody noted them."""

    id: int
    outcome: str
    left_ul: Microlitres
    kept: bool
    day: date
    needle_um: Micrometres | None
    pressure_pa: Pascals | None
    room_mc: MilliCelsius | None
    humidity_milli: MilliPercent | None
    note: str


class MixView(NamedTuple):
    """One mix with everything that was poured into it."""

    id: int
    at: datetime
    day: date
    needle_um: Micrometres | None
    job: str | None
    note: str
    pours: tuple[MixPour, ...]
    closed: Closed | None = None
    color: str | None = None
    stages: tuple[Stage, ...] = ()
    pot_life: PotLife | None = None

    def poured_ul(self, *parts: str) -> Microlitres:
        """The volume of everything that was ever poured into it, or of the parts named."""
        return Microlitres(sum(pour.volume_ul for pour in self.pours if not parts or pour.part in parts))

    @property
    def cup(self) -> Stage:
        """What is in the cup now, by the books."""
        return self.stages[-1] if self.stages else Stage()

    @property
    def reduction(self) -> Reduction | None:
        """Its present reduction, or None without paint."""
        return self.cup.reduction

    @property
    def main_paint(self) -> MixPour | None:
        """A pour of its main paint: the paint that it holds most of."""
        return self.largest("paint")

    def largest(self, part: str) -> MixPour | None:
        """A pour of the product that it holds most of among the products of one part."""
        held: dict[int, int] = defaultdict(int)
        for pour in self.pours:
            if pour.part == part:
                held[pour.product_id] += pour.volume_ul
        if not held:
            return None
        most = max(held, key=lambda product: held[product])
        return next(pour for pour in self.pours if pour.part == part and pour.product_id == most)

    def shares(self, part: str) -> dict[int, int]:
        """Microlitres of each product of a part, by its number, in the order of pouring."""
        held: dict[int, int] = {}
        for pour in self.pours:
            if pour.part == part:
                held[pour.product_id] = held.get(pour.product_id, 0) + pour.volume_ul
        return held

    @property
    def words(self) -> str:
        """The mix in one line: the paints, then the reducers."""
        names = list(dict.fromkeys(pour.product for pour in self.pours if pour.part != "reducer"))
        reducers = list(dict.fromkeys(pour.product for pour in self.pours if pour.part == "reducer"))
        return " + ".join(names) + (
            _(" with {reducers}", reducers=_(" and ").join(reducers)) if reducers else ""
        )


class ClosedAlready(UllageError):
    """The mix was closed, by this bench or another."""

    code = "closed"


def mix(number: int) -> MixView:
    """The mix of that number.

    Raises:
        NotFound: no such mix, or it was undone.
    """
    with connection(), reading():
        found = _views([number], as_of=None)
    if not found:
        raise NotFound(
            _("there is no mix {number}", number=number),
            remedy=Remedy(Do("logbook", "--kind", "mix"), _(" lists them; undone mixes don't count")),
        )
    return found[0]


def lock(number: int) -> None:
    """Lock this mix against other benches until the transaction ends; on SQLite the whole file is locked anyway."""
    if database.obj.for_update:
        list(locked(Mix.select(Mix.id).where(Mix.id == number)))


def open_one(number: int) -> MixView:
    """The mix of that number if it is still open.

    Raises:
        NotFound: no such mix, or it was undone.
        ClosedAlready: it was closed; says how and when.
    """
    found = mix(number)
    if found.closed is not None:
        raise ClosedAlready(
            _(
                "mix {number} was closed as {outcome} on {day}",
                number=number,
                outcome=_(found.closed.outcome),
                day=show_day(found.closed.day),
            ),
            remedy=Remedy(
                _("To reopen it: "), Do("undo", "close", found.closed.id), _("; nothing was booked")
            ),
        )
    return found


def open_mixes() -> list[MixView]:
    """Mixes that nobody has closed, newest first."""
    shut = Close.select(Close.mix).where(Close.id.not_in(Undone.select(Undone.booking)))
    with connection(), reading():
        return _views(Mix.select(Mix.id).where(Mix.id.not_in(shut)), as_of=None)


def of_last_day(before: date) -> list[MixView]:
    """The mixes of the last day on which anything was mixed before a given day, in the order of mixing.

    Args:
        before: the given day, which is excluded.
    """
    with connection(), reading():
        made = Mix.select(Mix.id).join(Booking, on=(Mix.id == Booking.id)).where(in_force(Mix.id, None))
        last = made.where(Booking.day < before).select(pw.fn.MAX(Booking.day)).tuples().first()
        if last is None or last[0] is None:
            return []
        return _views(made.where(Booking.day == last[0]), as_of=None)[::-1]


def closed_with(reducers: Sequence[int], *, as_of: date | None, most: int = 400) -> list[MixView]:
    """The newest closed mixes that contain one of these reducers; with an empty list those without reducer.

    Args:
        reducers: products' numbers.
        as_of: what was booked after that day is left out; None for now.
        most: how many at most.
    Returns:
        Oldest first.
    """
    reduced = Pour.select(Pour.mix).where(Pour.part == "reducer")
    if reducers:
        of_these = Bottle.product.in_(list(reducers))
        held = Pour.mix.in_(reduced.join(Movement).join(Bottle).where(of_these))
    else:
        held = Pour.mix.not_in(reduced)
    query = (
        Close.select(Close.mix)
        .join(Booking, on=(Close.id == Booking.id))
        .where(in_force(Close.id, as_of) & Close.mix.in_(Pour.select(Pour.mix).where(held)))
        .order_by(Close.id.desc())
        .limit(most)
    )
    if as_of is not None:
        query = query.where(Booking.day <= as_of)
    numbers = [number for (number,) in query.tuples()]
    return sorted(_views(numbers, as_of=as_of), key=lambda each: (each.at, each.id)) if numbers else []


def mixed_often(since: date) -> dict[int, int]:
    """How many mixes since a day contained each product, by its number, undone mixes left out; one query.

    A mix counts once, however often the product was added to it, also after spraying.
    """
    with connection():
        rows = (
            Pour.select(Bottle.product, pw.fn.COUNT(Pour.mix.distinct()))
            .join(Booking, on=(Booking.id == Pour.mix))
            .switch(Pour)
            .join(Movement)
            .join(Bottle)
            .where(Booking.day >= since, in_force(Pour.mix, None), in_force(Movement.booking, None))
            .group_by(Bottle.product)
        )
        return dict(rows.tuples())


def _views(numbers: Any, *, as_of: date | None) -> list[MixView]:
    """Mixes whose number is in `numbers` (a list or a query), newest first; four queries."""
    if as_of is None and isinstance(numbers, list):
        rows = MIXES_NOW.rows(numbers)
    else:
        rows = list(_mixes(numbers, as_of).tuples())
    if not rows:
        return []
    ids = [row[0] for row in rows]
    poured, colors = _pours(ids, as_of)
    lives = _noted_lives(poured.values())
    closes = _closes(ids, as_of)
    notes = {step: StepNote(left_ul, purpose) for step, left_ul, purpose in STEPS.rows(ids)}
    return [
        MixView(
            id=number, at=at, day=day, needle_um=needle, job=job, note=note, pours=tuple(poured[number]),
            closed=closes.get(number), color=colors.get(number), stages=stages(poured[number], notes),
            pot_life=_pot_life(poured[number], lives, at),
        )
        for number, at, day, needle, job, note in rows
    ]  # fmt: skip


def _mixes(numbers: Any, as_of: date | None) -> "pw.ModelSelect":
    return (
        Mix.select(Mix.id, Booking.at, Booking.day, Mix.needle_um, Job.name, Booking.note)
        .join(Booking, on=(Mix.id == Booking.id))
        .switch(Mix)
        .left_outer_join(Job)
        .where(Mix.id.in_(numbers) & in_force(Mix.id, as_of))
        .order_by(Booking.at.desc(), Mix.id.desc())
    )


MIXES_NOW = Prepared(lambda numbers: _mixes(numbers, None))
STEPS = Prepared(lambda mixes: Step.select(Step.id, Step.left_ul, Step.purpose).where(Step.mix.in_(mixes)))


def _pours(ids: Sequence[int], as_of: date | None) -> tuple[dict[int, list[MixPour]], dict[int, str]]:
    rows = POURS_NOW.rows(list(ids)) if as_of is None else _poured_into(ids, as_of).tuples()
    poured: dict[int, list[MixPour]] = defaultdict(list)
    most: dict[int, int] = {}
    colors: dict[int, str] = {}
    for number, booking, bottle, product, name, role, line, part, change_ul, color in rows:
        poured[number].append(MixPour(booking, bottle, product, name, role, line, part, -change_ul))
        if part == "paint" and color and -change_ul > most.get(number, 0):
            most[number], colors[number] = -change_ul, color
    return poured, colors


def _poured_into(mixes: Any, as_of: date | None) -> "pw.ModelSelect":
    query = (
        Pour.select(
            Pour.mix, Movement.booking, Bottle.id, Product.id, Product.name, Product.role, Product.line,
            Pour.part, Movement.change_ul, Product.color,
        )
        .join(Movement)
        .join(Booking)
        .switch(Movement)
        .join(Bottle)
        .join(Product)
        .where(Pour.mix.in_(mixes) & in_force(Movement.booking, as_of))
        .order_by(Booking.at, Booking.id, Movement.id)
    )  # fmt: skip
    return query if as_of is None else query.where(Booking.day <= as_of)


POURS_NOW = Prepared(lambda mixes: _poured_into(mixes, None))


def _noted_lives(poured: Iterable[Sequence[MixPour]]) -> dict[int, NotedLife]:
    """The pot lives noted for the products of mixes with a hardener; no query if there is no hardener."""
    two_part = [pours for pours in poured if any(_hardens(pour) for pour in pours)]
    numbers = {pour.product_id for pours in two_part for pour in pours}
    if not numbers:
        return {}
    rows = Product.select(
        Product.id,
        Product.name,
        Product.pot_life_minutes,
        Product.hot_pot_life_minutes,
        Product.hot_pot_life_mc,
    ).where(Product.id.in_(list(numbers)))
    return {number: NotedLife(name, False, *life) for number, name, *life in rows.tuples()}


def _hardens(pour: MixPour) -> bool:
    return "hardener" in (pour.part, pour.role)


def _pot_life(pours: Sequence[MixPour], lives: Mapping[int, NotedLife], at: datetime) -> PotLife | None:
    """The pot life of a mix, counted from when it was made, even if its hardener was added later."""
    return pot_life(
        [
            lives[pour.product_id]._replace(hardens=_hardens(pour))
            for pour in pours
            if pour.product_id in lives
        ],
        at,
        settings().time_zone,
    )


def _closes(ids: Sequence[int], as_of: date | None) -> dict[int, Closed]:
    rows = CLOSES_NOW.rows(list(ids)) if as_of is None else _closed(ids, as_of).tuples()
    return {mix: Closed._make(row) for mix, *row in rows}


def _closed(mixes: Any, as_of: date | None) -> "pw.ModelSelect":
    """How mixes were closed, by the mix's number."""
    query = (
        Close.select(
            Close.mix, Close.id, Close.outcome, Close.left_ul, Close.kept, Booking.day, Close.needle_um,
            Close.pressure_pa, Close.room_mc, Close.humidity_milli, Booking.note,
        )
        .join(Booking, on=(Close.id == Booking.id))
        .where(Close.mix.in_(mixes) & in_force(Close.id, as_of))
    )  # fmt: skip
    return query if as_of is None else query.where(Booking.day <= as_of)


CLOSES_NOW = Prepared(lambda mixes: _closed(mixes, None))
