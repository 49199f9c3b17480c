"""Which part of the stock can still be used, and when parts of it go bad.

Bottles are used up in the order in which the bench takes them, at the usual pace. A bottle whose life ends
before its turn comes does not count, and what is left of a bottle when its life ends is lost.
Days are counted from the day of the forecast, which is day 0; volumes are microlitres.
"""

from collections.abc import Sequence

from stock.named_tuples import NamedTuple
from stock.units import Microlitres


class StockBottle(NamedTuple):
    """One bottle that is not empty.

    Attributes:
        on_hand_ul: what it holds.
        opened: whether it is open.
        good_for: days it is still good, 0 = today is its last; None if unknown.
        opened_life: days it is good once opened; None if unknown.
    """

    on_hand_ul: Microlitres
    opened: bool
    good_for: int | None
    opened_life: int | None


class Usable(NamedTuple):
    """A product's usable stock, now and on later days.

    Attributes:
        now_ul: what the usable bottles hold.
        losses: (day, microlitres) lost from that day on because a bottle's life ended the day before.
        ends: first day on which nothing is usable any more; None when a bottle has no known end.
    """

    now_ul: Microlitres
    losses: tuple[tuple[int, float], ...]
    ends: int | None


def usable(bottles: Sequence[StockBottle], daily_ul: float) -> Usable:
    """The usable stock.

    Args:
        bottles: in the order in which they are used up.
        daily_ul: mean use a day; where it is 0, every bottle that is still good counts.
    """
    held, turn = 0, 0.0
    losses: list[tuple[int, float]] = []
    ends: int | None = 0
    for bottle in bottles:
        if bottle.on_hand_ul <= 0 or (bottle.good_for is not None and bottle.good_for < turn):
            continue
        held += bottle.on_hand_ul
        end = _end(bottle, turn)
        if end is None:
            ends = None
            turn += bottle.on_hand_ul / daily_ul if daily_ul > 0 else 0.0
            continue
        ends = None if ends is None else max(ends, end)
        if daily_ul <= 0:
            continue
        lost = bottle.on_hand_ul - daily_ul * (end - turn)
        if lost > 0:
            losses.append((end, lost))
        turn = min(turn + bottle.on_hand_ul / daily_ul, float(end))
    return Usable(Microlitres(held), tuple(losses), ends if held else None)


def _end(bottle: StockBottle, turn: float) -> int | None:
    """The first day on which the bottle is no longer good, given the day of its turn."""
    days = [bottle.good_for] if bottle.good_for is not None else []
    if not bottle.opened and bottle.opened_life is not None:
        days.append(int(turn) + bottle.opened_life)
    return min(days) + 1 if days else None
