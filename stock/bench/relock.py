"""Locking the bottles of a plan that was made without a lock, and checking that they are as the plan assumed.

A mix is planned without a lock, so that benches wait for each other only while they write. Inside its
transaction its bottles are locked in ascending order and read again; a plan that no longer fits is made
again. Products and rules count as they were when the plan was made, a moment before.
"""

from collections.abc import Iterable, Sequence
from typing import Any

from stock.named_tuples import NamedTuple
from stock.shelf.bottles_to_pour import ChosenBottle
from stock.store.connection import locked
from stock.store.models import Bottle
from stock.store.prepared import Prepared
from stock.units import Microlitres

BottleStates = dict[int, tuple[Any, ...]]
"""By bottle number: what it held in microlitres, its product, its days and its container."""
RELIED = ChosenBottle._fields.index("container") + 1
"""How many of a `ChosenBottle`'s first columns `states_of` keeps; `HELD` selects the same ones."""


HELD = Prepared(
    lambda numbers: locked(
        Bottle.select(
            Bottle.id, Bottle.on_hand_ul, Bottle.product, Bottle.received_on, Bottle.opened_on, Bottle.best_before,
            Bottle.made_on, Bottle.frozen_on, Bottle.discarded_on, Bottle.container,
        )
        .where(Bottle.id.in_(numbers))
        .order_by(Bottle.id)
    )
)  # fmt: skip


class PlanOutdated(Exception):
    """Another bench booked first, so the plan has to be made again; a person never sees this."""


class Draw(NamedTuple):
    """Microlitres that a plan takes from a bottle, in the order of pouring."""

    bottle: int
    volume_ul: Microlitres


def states_of(bottles: Iterable[ChosenBottle]) -> BottleStates:
    """The state of a plan's bottles, as they were read in the transaction in which it was made."""
    return _by_number(bottle[:RELIED] for bottle in bottles)


def hold(drawn: Sequence[Draw], planned_on: BottleStates | None = None) -> list[int]:
    """Lock the bottles of a plan and read them again.

    A bottle only has to hold enough, whatever others took from it since. But a bottle that the plan empties must
    hold exactly as much as it did, because the plan continues with another bottle.

    Args:
        drawn: the volumes that the plan takes.
        planned_on: what `states_of` returned when the plan was made; None if the plan only needs enough volume,
            which the ledger checks.
    Returns:
        The volume that each draw finds in its bottle now, in microlitres.
    Raises:
        PlanOutdated: the plan no longer fits.
    """
    now = _by_number(HELD.rows(sorted({each.bottle for each in drawn})))
    left = {number: row[0] for number, row in now.items()}
    found = []
    for each in drawn:
        found.append(left[each.bottle])
        left[each.bottle] -= each.volume_ul
    for number, row in (planned_on or {}).items():
        taken = sum(each.volume_ul for each in drawn if each.bottle == number)
        emptied = taken == row[0]
        if now[number][1:] != row[1:] or left[number] < 0 or (emptied and left[number]):
            raise PlanOutdated
    return found


def _by_number(rows: Iterable[tuple[Any, ...]]) -> BottleStates:
    return {row[0]: row[1:] for row in rows}
