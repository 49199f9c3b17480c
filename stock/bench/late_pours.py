"""How much of each bottle could be used at an earlier moment, for a mix or a step that is written down late."""

from collections.abc import Mapping, Sequence
from datetime import datetime

from stock.shelf.choosing import Candidate
from stock.store.past_volumes import held_since
from stock.units import Microlitres


def usable_then(
    shelf: dict[int, list[Candidate]], at: datetime | None
) -> tuple[dict[int, list[Candidate]], dict[int, Microlitres]]:
    """Each product's bottles with the volume that can be poured from them, and the volume that each holds beyond that.

    Args:
        shelf: of each product, by its number, the bottles that the pour could come from.
        at: the moment of the pour, where it is written down late.
    """
    not_free_ul = _not_free_then(shelf, at)
    if not not_free_ul:
        return shelf, not_free_ul
    free = {
        number: [
            each._replace(on_hand_ul=Microlitres(each.on_hand_ul - not_free_ul.get(each.id, 0)))
            for each in bottles
        ]
        for number, bottles in shelf.items()
    }
    return free, not_free_ul


def _not_free_then(shelf: Mapping[int, Sequence[Candidate]], at: datetime | None) -> dict[int, Microlitres]:
    """Microlitres in each bottle that a mix of an earlier moment can't use, though the bottle holds them now.

    Nothing can be used of a bottle that was empty, or had not come yet, at that moment or at any moment since.
    """
    if at is None:
        return {}
    bottles = (bottle for each in shelf.values() for bottle in each)
    return {each.id: Microlitres(each.on_hand_ul - max(0, min(held_since(each.id, at)))) for each in bottles}
