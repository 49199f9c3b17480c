"""From a plan that was made freely to bottles that are held: does what the plan relied on still stand?

A mix is planned without a lock, so that benches wait for each other only while they write. Inside its
transaction its bottles are locked in ascending order and looked at again; a plan that no longer fits is made
anew. What is known of products and rules counts as it stood when the plan was made, a moment before.
"""

from collections.abc import Iterable, Sequence
from typing import Any, NamedTuple

from stock.shelf.bottles import ChosenBottle
from stock.store.connection import locked
from stock.store.models import Bottle
from stock.store.prepared import Prepared

Relied = dict[int, tuple[Any, ...]]
"""Of each bottle what it held, in microlitres, and then its days and its container."""
RELIED = ChosenBottle._fields.index("container") + 1
"""How many of the first columns of a `ChosenBottle` are relied on; `HELD` asks for the same ones."""


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


class Moved(Exception):
    """Another bench was faster, and the plan has to be made again; never met by a person."""


class Drawn(NamedTuple):
    """Microlitres that a plan takes from a bottle, in the order of pouring."""

    bottle: int
    volume_ul: int


def relied(bottles: Iterable[ChosenBottle]) -> Relied:
    """What a plan relies on of its bottles, as they were read in the transaction in which it was made."""
    return _by_number(bottle[:RELIED] for bottle in bottles)


def hold(drawn: Sequence[Drawn], on: Relied | None = None) -> list[int]:
    """Lock the bottles of a plan and look at them again.

    A bottle that holds enough will do, whatever others took from it since; one that was to be emptied must
    hold what it held, for the plan goes on with another.

    Args:
        drawn: what the plan takes.
        on: what `relied` said when it was made; None if the plan needs no more than that there is enough,
            which the ledger sees to.
    Returns:
        What each draw finds in its bottle now, in microlitres.
    Raises:
        Moved: it no longer fits.
    """
    now = _by_number(HELD.rows(sorted({each.bottle for each in drawn})))
    left = {number: row[0] for number, row in now.items()}
    found = []
    for each in drawn:
        found.append(left[each.bottle])
        left[each.bottle] -= each.volume_ul
    for number, row in (on or {}).items():
        taken = sum(each.volume_ul for each in drawn if each.bottle == number)
        emptied = taken == row[0]
        if now[number][1:] != row[1:] or left[number] < 0 or (emptied and left[number]):
            raise Moved
    return found


def _by_number(rows: Iterable[tuple[Any, ...]]) -> Relied:
    return {row[0]: row[1:] for row in rows}
