"""The worth of stock, first in first out or by a moving average, and how it changed over a period.

Money is exact (fractions of the currency's minor unit) until it is shown. Sources: IAS 2 Inventories, paragraphs 25
and 27, name both formulas; a write-off is an expense of the period in which it was booked (paragraph 34).
"""

from collections import deque
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Protocol

from stock.language import _
from stock.named_tuples import NamedTuple
from stock.units import Microlitres

METHODS = ("fifo", "average")
RULE = _(
    "Opening stock, which was there before the books began, counts with the opening. A "
    "delivery counts with what was paid for the bottle, or with the price noted for its "
    "size. What is kept of a mix counts with what went into the mix, and against what was "
    "used. First in, first out: what was received first counts as used first, whichever "
    "bottle it came from. Average: each receipt makes a new average, and what is used counts "
    "with it. Opening + purchases - used - written off = closing, in volume and in money; "
    "opening, purchases, written off and closing are rounded, and what is used is what "
    "remains, so that each line and each total adds up. Written off is what was thrown away "
    "and what counts found missing, less what they found too much. A booking that was undone "
    "in a later period is corrected in that later period."
)
NOTHING = Fraction(0)


class StockMove(NamedTuple):
    """One movement of a product: `kind` is the movement's, `volume_ul` came (or, below 0, left).

    `value` is the cost of a receipt in the minor unit, None if unknown. `mix` is the mix of a pour or of a kept jar, or
    the booking of a decant between two owners' bottles. `movement` is its number, `owner` the bottle's owner, "" for
    the studio.
    """

    product: int
    kind: str
    volume_ul: Microlitres
    value: Fraction | None = None
    mix: int | None = None
    movement: int = 0
    owner: str = ""

    @property
    def flow(self) -> str:
        """The flow that it counts as: `brought`, `purchased`, `used` or `written_off`."""
        if self.kind in ("received", "brought"):
            return "brought" if self.kind == "brought" else "purchased"
        return "written_off" if self.kind in ("discarded", "counted") else "used"


NO_VOLUME = Microlitres(0)


@dataclass(frozen=True, slots=True)
class ValuedVolume:
    """A volume, its worth in the minor unit, and the part of the volume that has no known price (and counts as 0)."""

    volume_ul: Microlitres = NO_VOLUME
    value: Fraction = NOTHING
    unpriced_ul: Fraction = NOTHING

    def __add__(self, other: "ValuedVolume") -> "ValuedVolume":
        return ValuedVolume(
            Microlitres(self.volume_ul + other.volume_ul),
            self.value + other.value,
            self.unpriced_ul + other.unpriced_ul,
        )

    def __neg__(self) -> "ValuedVolume":
        return ValuedVolume(Microlitres(-self.volume_ul), -self.value, -self.unpriced_ul)

    def __sub__(self, other: "ValuedVolume") -> "ValuedVolume":
        return self + -other


class Pool(Protocol):
    """The stock of one product, valued by a cost formula."""

    def put(self, amount: ValuedVolume) -> None:
        """Take an amount in."""

    def take(self, volume_ul: Microlitres) -> ValuedVolume:
        """Take a volume out; the part that exceeds the pool has no price."""

    def held(self) -> ValuedVolume:
        """The whole stock with its worth."""


@dataclass(slots=True)
class FifoPool:
    """Layers in the order of arrival; volumes are taken from the oldest (IAS 2.27)."""

    layers: deque[ValuedVolume] = field(default_factory=deque)

    def put(self, amount: ValuedVolume) -> None:
        """Take an amount in as the newest layer."""
        if amount.volume_ul > 0:
            self.layers.append(amount)

    def take(self, volume_ul: Microlitres) -> ValuedVolume:
        """Take a volume out of the oldest layers; the part that exceeds them has no price."""
        taken, left = ValuedVolume(), volume_ul
        while left > 0 and self.layers:
            oldest = self.layers.popleft()
            part = _part(oldest, min(left, oldest.volume_ul))
            if part.volume_ul < oldest.volume_ul:
                self.layers.appendleft(oldest - part)
            taken, left = taken + part, Microlitres(left - part.volume_ul)
        return taken + ValuedVolume(left, NOTHING, Fraction(left))

    def held(self) -> ValuedVolume:
        """All layers together."""
        return sum(self.layers, ValuedVolume())


@dataclass(slots=True)
class AveragePool:
    """One amount at a moving average price, which each receipt changes (IAS 2.27)."""

    amount: ValuedVolume = field(default_factory=ValuedVolume)

    def put(self, amount: ValuedVolume) -> None:
        """Take an amount in, which changes the average."""
        self.amount += amount

    def take(self, volume_ul: Microlitres) -> ValuedVolume:
        """Take a volume out at the average price; the part that exceeds the pool has no price."""
        part = _part(self.amount, min(volume_ul, self.amount.volume_ul))
        self.amount -= part
        beyond = volume_ul - part.volume_ul
        return part + ValuedVolume(Microlitres(beyond), NOTHING, Fraction(beyond))

    def held(self) -> ValuedVolume:
        """The whole stock with its worth."""
        return self.amount


def _part(whole: ValuedVolume, volume_ul: Microlitres) -> ValuedVolume:
    """A volume of an amount, with its share of the value."""
    if volume_ul <= 0:
        return ValuedVolume()
    share = Fraction(volume_ul, whole.volume_ul)
    return ValuedVolume(volume_ul, whole.value * share, whole.unpriced_ul * share)


@dataclass(frozen=True, slots=True)
class Flows:
    """A product's flows in and out since the books began, and its stock; all figures are normally positive.

    `brought` is opening stock, which was there before the books began.
    """

    brought: ValuedVolume = field(default_factory=ValuedVolume)
    purchased: ValuedVolume = field(default_factory=ValuedVolume)
    used: ValuedVolume = field(default_factory=ValuedVolume)
    written_off: ValuedVolume = field(default_factory=ValuedVolume)
    closing: ValuedVolume = field(default_factory=ValuedVolume)


class StockFlows(NamedTuple):
    """The flows of each owner's products, and the worth of each write-off of the studio, by its movement."""

    owners: Mapping[str, Mapping[int, Flows]]
    written_off: Mapping[int, tuple[int, ValuedVolume]]

    @property
    def products(self) -> Mapping[int, Flows]:
        """The flows of the studio's own products."""
        return self.owners.get("", {})


Mixed = dict[int, dict[str, ValuedVolume]]
"""The volume that each owner's bottles gave to a mix."""


def flows(moves: Iterable[StockMove], method: str) -> StockFlows:
    """The flows of each product up to the last of some movements.

    Args:
        moves: every movement in the order of time, without those that were taken back and without decants within what
            belongs to one owner.
        method: `fifo` or `average`.
    """
    pools: dict[tuple[str, int], Pool] = {}
    sums: dict[tuple[str, int], dict[str, ValuedVolume]] = {}
    mixes: Mixed = {}
    lost: dict[int, tuple[int, ValuedVolume]] = {}
    for move in moves:
        whose = (move.owner, move.product)
        pool = pools.setdefault(whose, FifoPool() if method == "fifo" else AveragePool())
        found = sums.setdefault(
            whose, dict.fromkeys(("brought", "purchased", "used", "written_off"), ValuedVolume())
        )
        if move.volume_ul < 0:
            went = pool.take(Microlitres(-move.volume_ul))
            if move.mix is not None:
                given = mixes.setdefault(move.mix, {})
                given[move.owner] = given.get(move.owner, ValuedVolume()) + went
        else:
            went = -_came(move, pool, mixes)
            pool.put(-went)
        found[move.flow] += -went if move.flow in ("brought", "purchased") else went
        if move.flow == "written_off" and not move.owner:
            lost[move.movement] = (move.product, went)
    owners: dict[str, dict[int, Flows]] = {}
    for (owner, product), found in sums.items():
        owners.setdefault(owner, {})[product] = Flows(**found, closing=pools[owner, product].held())
    return StockFlows(owners, lost)


def _came(move: StockMove, pool: Pool, mixes: Mixed) -> ValuedVolume:
    """The value of a volume that came in: a purchase, a jar kept of a mix, or a surplus that a count found.

    Paint that others gave to a mix costs the owner of the jar nothing.
    """
    if move.kind in ("received", "brought"):
        return _amount(move.volume_ul, move.value)
    if move.mix is not None:
        given = mixes.get(move.mix, {})
        whole = sum(each.volume_ul for each in given.values())
        if not whole:
            return _amount(move.volume_ul, None)
        own, share = given.get(move.owner, ValuedVolume()), Fraction(move.volume_ul, whole)
        return ValuedVolume(move.volume_ul, own.value * share, own.unpriced_ul * share)
    held = pool.held()
    found = _part(held, Microlitres(1)) if held.volume_ul else _amount(Microlitres(1), None)
    return ValuedVolume(move.volume_ul, found.value * move.volume_ul, found.unpriced_ul * move.volume_ul)


def _amount(volume_ul: Microlitres, value: Fraction | None) -> ValuedVolume:
    if value is None:
        return ValuedVolume(volume_ul, NOTHING, Fraction(volume_ul))
    return ValuedVolume(volume_ul, value)


@dataclass(frozen=True, slots=True)
class ValuedProduct:
    """One product in a period: volumes in microlitres, values in whole minor units, the closing stock's unpriced part.

    `opening + purchased - used - written_off = closing` holds for both.
    """

    product: int
    opening_ul: Microlitres
    purchased_ul: Microlitres
    used_ul: Microlitres
    written_off_ul: Microlitres
    closing_ul: Microlitres
    opening: int
    purchased: int
    used: int
    written_off: int
    closing: int
    unpriced_ul: Microlitres


def period(before: Mapping[int, Flows], after: Mapping[int, Flows]) -> list[ValuedProduct]:
    """The changes from the stock before a period to the stock at its end, by product.

    Args:
        before: the flows up to the day before the period, as the books stood then.
        after: the flows up to its last day, as the books stood then.
    """
    found = []
    for product in sorted(before.keys() | after.keys()):
        old, new = before.get(product, Flows()), after.get(product, Flows())
        purchased = new.purchased - old.purchased
        used = new.used - old.used
        written_off = new.written_off - old.written_off
        began = old.closing + new.brought - old.brought
        opening, closing = round(began.value), round(new.closing.value)
        bought, lost = round(purchased.value), round(written_off.value)
        found.append(
            ValuedProduct(
                product,
                began.volume_ul, purchased.volume_ul, used.volume_ul, written_off.volume_ul,
                new.closing.volume_ul,
                opening, bought, opening + bought - lost - closing, lost, closing,
                Microlitres(round(new.closing.unpriced_ul)),
            )
        )  # fmt: skip
    return found


def split(total: int, shares: Sequence[Fraction]) -> list[int]:
    """A whole number of minor units in parts as near to `shares` as whole numbers can be; they add up to `total`.

    The units left after rounding down go to the largest remainders (Hamilton's method). The shares add up to `total`
    to within half a unit.
    """
    parts = [share.numerator // share.denominator for share in shares]
    order = sorted(range(len(shares)), key=lambda at: (parts[at] - shares[at], at))
    for at in order[: max(0, total - sum(parts))]:
        parts[at] += 1
    return parts
