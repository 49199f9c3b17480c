"""The bottles that a pour could come from, read in one query."""

from collections.abc import Collection, Iterator, Mapping
from datetime import date
from typing import Any, cast

from stock.named_tuples import NamedTuple
from stock.shelf.bottles import TESTED, state_of, tested_until_of
from stock.shelf.choosing import Candidate
from stock.shelf.life import good_until
from stock.store.models import Bottle, CardTest, Product
from stock.store.orm import pw
from stock.store.prepared import Prepared
from stock.store.table import listed
from stock.units import Microlitres

TESTED_IF_ANY = pw.Case(None, [(pw.fn.EXISTS(CardTest.select(pw.SQL("1"))), TESTED)])  # few studios test
ALIKE = (
    Bottle.product, Bottle.received_on, Bottle.opened_on, Bottle.best_before, Bottle.made_on, Bottle.frozen_on,
    Bottle.discarded_on, Bottle.container, Bottle.size_ul, Bottle.place, Bottle.left_of, Bottle.opened_unknown,
    TESTED_IF_ANY,
)  # fmt: skip
"""The facts that the bottles of a delivery share: the columns of a `ChosenBottle` after its number and volume."""
CANDIDATES = Prepared(
    lambda products, came_by: (
        Bottle.select(*ALIKE, Bottle.owner, listed(Bottle.id), listed(Bottle.on_hand_ul))
        .where(Bottle.product.in_(products) & (Bottle.on_hand_ul > 0) & Bottle.discarded_on.is_null())
        .where(Bottle.received_on <= came_by)
        .group_by(*(pw.SQL(str(at)) for at in range(1, len(ALIKE) + 2)))
    )
)
CHOSEN = Prepared(
    lambda numbers: Bottle.select(Bottle.id, Bottle.on_hand_ul, *ALIKE).where(Bottle.id.in_(numbers))
)


class ChosenBottle(NamedTuple):
    """A bottle that was chosen to pour from, as in the table; volumes in microlitres."""

    id: int
    on_hand_ul: Microlitres
    product_id: int
    received_on: date
    opened_on: date | None
    best_before: date | None
    made_on: date | None
    frozen_on: date | None
    discarded_on: date | None
    container: str | None
    size_ul: Microlitres
    place_id: int | None
    left_of: int | None
    opened_unknown: bool
    tested_until: date | None

    @property
    def state(self) -> str:
        """The word for its state."""
        return state_of(self.on_hand_ul, self.opened_on, self.discarded_on)


class Pourable(NamedTuple):
    """The bottles that a pour could come from: the candidates by product, and each bottle as in the table."""

    by_product: dict[int, list[Candidate]]
    alike: list[tuple[dict[int, Microlitres], tuple[Any, ...]]]

    def bottle(self, number: int) -> ChosenBottle:
        """One of the bottles, as it was read."""
        held_ul, row = next(each for each in self.alike if number in each[0])
        return _chosen((number, held_ul[number], *row))


def pourable(products: Mapping[int, Product], *, came_by: date) -> Pourable:
    """The bottles of these products that a pour on the day `came_by` could come from.

    One query, which returns one row for all bottles that differ only in their number and volume.
    """
    found = Pourable({number: [] for number in products}, [])
    for *row, owner, numbers, volumes in (
        CANDIDATES.rows(list(products), came_by.isoformat()) if products else ()
    ):
        each_ul = cast("Iterator[Microlitres]", map(int, volumes.split(",")))
        held_ul = dict(zip(map(int, numbers.split(",")), each_ul, strict=True))
        product, _, opened_on, best_before, made_on, frozen_on, *_, tested = row
        own = products[product]
        end = good_until(
            best_before=best_before, made_on=made_on, opened_on=opened_on,
            sealed_life=own.sealed_life, opened_life=own.opened_life,
            tested_until=tested_until_of(tested, frozen_on),
        )  # fmt: skip
        is_open, not_ours = opened_on is not None and opened_on <= came_by, owner != ""
        found.alike.append((held_ul, tuple(row)))
        found.by_product[product] += [
            Candidate(number, on_hand_ul, is_open, end, not_ours) for number, on_hand_ul in held_ul.items()
        ]
    return found


def candidates(products: Mapping[int, Product], *, came_by: date) -> dict[int, list[Candidate]]:
    """By product number, the bottles that a pour on the day `came_by` could come from; one query."""
    return pourable(products, came_by=came_by).by_product


def chosen(numbers: Collection[int]) -> dict[int, ChosenBottle]:
    """These bottles by their numbers; one query."""
    rows = CHOSEN.rows(list(numbers)) if numbers else []
    return {row[0]: _chosen(row) for row in rows}


def _chosen(row: tuple[Any, ...]) -> ChosenBottle:
    *cells, tested = row
    frozen_on = cells[ChosenBottle._fields.index("frozen_on")]
    return ChosenBottle._make((*cells, tested_until_of(tested, frozen_on)))
