"""The proof that the books add up, to the microlitre: per bottle, per product and for the studio; and in money.

    received + kept = on hand + poured + washed + discarded - count differences

A decant leaves one bottle and enters another of the same product, so it cancels out per product; for a bottle it is
added on the left. Everything is checked, and all problems are returned at once.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from stock.language import _
from stock.logbook import money_proof
from stock.logbook.chains import unsound
from stock.money import minor_digits
from stock.shelf.line_drift import drift
from stock.shelf.studio import settings
from stock.store import file_checks, readable
from stock.store.connection import connection, reading
from stock.store.models import (
    Booking,
    Bottle,
    BottleChange,
    Mix,
    Movement,
    Pour,
    Step,
    Undone,
    Wash,
    database,
)
from stock.store.orm import pw
from stock.store.words import MOVEMENT_KINDS
from stock.units import Microlitres, ml

KINDS = MOVEMENT_KINDS[:-1]
Sums = Mapping[str, int]


@dataclass(frozen=True, slots=True)
class Proof:
    """The studio's sums in microlitres by kind, signed as moved, and every problem in words."""

    bottles: int
    movements: int
    mixes: int
    on_hand_ul: Microlitres
    sums: Sums
    money: dict[str, object] | None
    problems: list[str] = field(default_factory=list)

    def as_json(self) -> dict[str, object]:
        """The answer of `ullage check`, as pinned."""
        return {
            "ok": not self.problems,
            "bottles": self.bottles,
            "movements": self.movements,
            "mixes": self.mixes,
            "received_ml": ml(Microlitres(self.sums["received"])),
            "kept_ml": ml(Microlitres(self.sums["kept"])),
            "on_hand_ml": ml(self.on_hand_ul),
            "poured_ml": ml(Microlitres(-self.sums["poured"])),
            "washed_ml": ml(Microlitres(-self.sums["washed"])),
            "discarded_ml": ml(Microlitres(-self.sums["discarded"])),
            "count_difference_ml": ml(Microlitres(self.sums["counted"])),
            "money": self.money,
            "problems": self.problems,
        }


def balance(sums: Sums, on_hand_ul: Microlitres) -> int:
    """The difference between both sides of the proof in microlitres; 0 when the books are right."""
    left = sums["received"] + sums["kept"] + sums["moved_in"] + sums["moved_out"]
    return left - (on_hand_ul - sums["poured"] - sums["washed"] - sums["discarded"] - sums["counted"])


def prove() -> Proof:
    """Add the books up and check everything that must be true of them."""
    with connection(), reading():
        held = {number: (product, held) for number, product, held in _bottles()}
        sums: dict[int, dict[str, int]] = defaultdict(lambda: dict.fromkeys(KINDS, 0))
        movements = 0
        for bottle, kind, change, count in _sums():
            sums[bottle][kind] += int(change)
            movements += count
        damage = _damage()
        problems = [*_unbalanced(held, sums), *_loose_ends(), *drift(), *damage]
        mixes = Mix.select().where(Mix.id.not_in(Undone.select(Undone.booking))).count()
        currency = settings().currency
        money, odd = money_proof.prove() if not damage else (None, [])
        problems += odd
    totals = _total(sums.values())
    return Proof(
        bottles=len(held),
        movements=movements,
        mixes=mixes,
        on_hand_ul=Microlitres(sum(volume for _, volume in held.values())),
        sums=totals,
        money=money.as_json(currency, 10 ** minor_digits(currency)) if money is not None else None,
        problems=problems,
    )


def _bottles() -> Iterable[tuple[int, int, Microlitres]]:
    rows: Iterable[tuple[int, int, Microlitres]] = Bottle.select(
        Bottle.id, Bottle.product, Bottle.on_hand_ul
    ).tuples()
    return rows


def _sums() -> Iterable[tuple[int, str, int, int]]:
    rows: Iterable[tuple[int, str, int, int]] = (
        Movement.select(
            Movement.bottle, Movement.proof_kind, pw.fn.SUM(Movement.change_ul), pw.fn.COUNT(Movement.id)
        )
        .group_by(Movement.bottle, Movement.proof_kind)
        .tuples()
    )
    return rows


def _total(sums: Iterable[Sums]) -> dict[str, int]:
    total = dict.fromkeys(KINDS, 0)
    for one in sums:
        for kind, change in one.items():
            total[kind] += change
    return total


def _unbalanced(held: Mapping[int, tuple[int, Microlitres]], sums: Mapping[int, Sums]) -> list[str]:
    problems = []
    products: dict[int, list[int]] = defaultdict(list)
    for bottle, (product, on_hand_ul) in held.items():
        products[product].append(bottle)
        off = balance(sums[bottle], on_hand_ul)
        if off:
            problems.append(
                _(
                    "bottle {bottle}: {difference_ml} ml too {little_or_much} on hand",
                    bottle=bottle,
                    difference_ml=ml(Microlitres(abs(off))),
                    little_or_much=_("little") if off > 0 else _("much"),
                )
            )
        if on_hand_ul < 0:
            problems.append(_("bottle {bottle}: below empty", bottle=bottle))
    for product, bottles in products.items():
        moved = _total(sums[bottle] for bottle in bottles)
        if moved["moved_in"] + moved["moved_out"]:
            problems.append(
                _("product {product}: what was decanted out is not what was decanted in", product=product)
            )
    return problems


def _loose_ends() -> list[str]:
    """Bookings that lack a row they must have, and rows that belong to no booking."""
    problems = []
    for table, kind in ((Mix, "mix"), (Step, "step"), (Wash, "wash")):
        alone = (
            Booking.select(Booking.id)
            .join(table, pw.JOIN.LEFT_OUTER, on=(table.id == Booking.id))
            .where((Booking.kind == kind) & table.id.is_null())
        )
        problems += [
            _("{kind} {number}: booked without what it made", kind=_(kind), number=number)
            for (number,) in alone.tuples()
        ]
    unpoured = Mix.select(Mix.id).where(Mix.id.not_in(Pour.select(Pour.mix)))
    problems += [_("mix {number}: has no pours", number=number) for (number,) in unpoured.tuples()]
    stray = Movement.select(Movement.id).where(
        (Movement.kind == "poured") & Movement.id.not_in(Pour.select(Pour.movement))
    )
    problems += [_("movement {number}: poured into no mix", number=number) for (number,) in stray.tuples()]
    undone = dict(Undone.select(Undone.booking, Undone.by).tuples())
    problems += [
        _("booking {number}: its mark of being undone does not follow from the undos", number=number)
        for number in unsound(_undoings(), undone)
    ]
    asked_for = Booking.alias()
    astray = (
        Booking.select(Booking.id)
        .join(asked_for, on=(Booking.with_undo == asked_for.id))
        .where(Booking.undoes.is_null() | asked_for.undoes.is_null() | asked_for.with_undo.is_null(False))
    )
    problems += [
        _("booking {number}: booked along with what is no undo", number=number)
        for (number,) in astray.tuples()
    ]
    changed = BottleChange.select(BottleChange.id).join(Bottle).where(Bottle.id.is_null()).count()
    return problems + (
        [_("{changed} changes of bottles that are not there", changed=changed)] if changed else []
    )


def _undoings() -> Iterable[tuple[int, int]]:
    rows: Iterable[tuple[int, int]] = (
        Booking.select(Booking.id, Booking.undoes).where(Booking.undoes.is_null(False)).tuples()
    )
    return rows


def _damage() -> list[str]:
    """Damage that the database engine reports, and every value that a command could not read."""
    engine = database.obj
    if isinstance(engine, pw.SqliteDatabase):
        return file_checks.in_use(engine.execute_sql)
    return readable.problems(lambda query: engine.execute_sql(query).fetchall())
