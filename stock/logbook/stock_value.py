"""The worth of the stock on a day, and the purchases, uses and losses that led to it, read from the books."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from datetime import date, datetime, timedelta
from fractions import Fraction

from stock.errors import BadInput
from stock.language import _
from stock.logbook import prices
from stock.logbook.booked_months import booked_months
from stock.logbook.months import month_of
from stock.logbook.valuation import (
    METHODS,
    Flows,
    StockFlows,
    StockMove,
    ValuedProduct,
    ValuedVolume,
    flows,
    period,
    split,
)
from stock.named_tuples import NamedTuple
from stock.notation import show_day
from stock.shelf import past_shelf
from stock.shelf.bottles import label_of
from stock.shelf.past_shelf import in_force
from stock.shelf.studio import settings
from stock.store.connection import connection, reading
from stock.store.models import Booking, Bottle, Close, Count, Movement, Place, Pour, Product
from stock.text import plain
from stock.units import Microlitres

NO_PLACE = _("no place")
MOVES = ("received", "poured", "washed", "discarded", "counted", "kept")
DECANTED = ("moved_out", "moved_in")


class BookedMove(NamedTuple):
    """A movement as the books have it: `poured` and `closed` are the mix that it belongs to, `reason` a count's own."""

    number: int
    bottle: int
    product: int
    kind: str
    change_ul: Microlitres
    poured: int | None
    closed: int | None
    reason: str | None
    brought: bool
    owner: str
    at: datetime


class ValueShare(NamedTuple):
    """The stock at a place, or of an owner: microlitres, minor units, and microlitres without a price."""

    name: str
    closing_ul: Microlitres
    closing: int
    unpriced_ul: Microlitres


class WriteOff(NamedTuple):
    """One write-off of a period: microlitres and minor units, below 0 if a count found more or it was undone."""

    day: date
    product: str
    bottle: str
    reason: str
    volume_ul: Microlitres
    value: int


class StockValue(NamedTuple):
    """The worth of a studio's stock in a period, without bottles that belong to somebody else.

    Attributes:
        since: the first day of the period; None for all days that the books know.
        until: its last day.
        method: `fifo` or `average`.
        products: each product's name, and its figures.
        places: the stock at each place at the end.
        owners: the stock of each owner at the end, the studio first; all other figures count only the studio's.
        write_offs: each of the period, oldest first; their values are rounded one by one.
        unpriced: the bottles without a known price, each with the microlitres in it at the end.
    """

    studio: str
    currency: str
    since: date | None
    until: date
    method: str
    products: Sequence[tuple[str, ValuedProduct]]
    places: Sequence[ValueShare]
    owners: Sequence[ValueShare]
    write_offs: Sequence[WriteOff]
    unpriced: Sequence[tuple[str, int]]


def read(*, since: date | None = None, until: date | None = None, method: str = "fifo") -> StockValue:
    """The worth of the stock at the end of a period, as the books stood then, and the flows that led to it.

    Args:
        since: the first day of the period; None for all.
        until: its last day; today when None.
        method: `fifo` or `average`.
    Raises:
        BadInput: another method, or a period that ends before it begins.
    """
    with connection(), reading():
        last = until or settings().today()
        require_period(since, last, method)
        before = flows(moves(since - timedelta(days=1)) if since is not None else [], method)
        return _value(since, last, method, before, flows(moves(last), method))


def monthly(
    *, since: date | None = None, until: date | None = None, method: str = "fifo"
) -> list[StockValue]:
    """The worth of the stock month by month, the first and the last cut to the period.

    Args:
        since: the first day; that of the first movement when None.
        until: the last day; today when None.
        method: `fifo` or `average`.
    Raises:
        BadInput: another method, or a period that ends before it begins.
    """
    with connection(), reading():
        last = until or settings().today()
        require_period(since, last, method)
        booked = booked_months(last)
        first = since or (booked[0].first if booked else last)
        found, before = [], flows(moves(first - timedelta(days=1)), method)
        while first <= last:
            end = min(month_of(first).last, last)
            after = flows(moves(end), method) if month_of(end) in booked else before
            found.append(_value(first, end, method, before, after))
            first, before = end + timedelta(days=1), after
        return found


def require_period(since: date | None, last: date, method: str) -> None:
    """Refuse another method, or a period that ends before it begins.

    Raises:
        BadInput: see above.
    """
    if method not in METHODS:
        raise BadInput(
            _("{method!r} is no way to value stock", method=plain(method, 40)),
            remedy=_("Write {methods}", methods=_(" or ").join(METHODS)),
        )
    if since is not None and since > last:
        raise BadInput(
            _("the period from {since} to {last} has no day", since=show_day(since), last=show_day(last)),
            remedy=_("Swap the two days"),
        )


def _value(since: date | None, last: date, method: str, before: StockFlows, after: StockFlows) -> StockValue:
    studio = settings()
    lines = period(before.products, after.products)
    names = dict(Product.select(Product.id, Product.name).tuples())
    held = _held(last)
    return StockValue(
        studio=studio.name,
        currency=studio.currency,
        since=since,
        until=last,
        method=method,
        products=sorted(((names[one.product], one) for one in lines), key=lambda one: one[0].casefold()),
        places=_by_place(held, after.products, lines),
        owners=_by_owner(after, lines),
        write_offs=_write_offs(before.written_off, after.written_off, names),
        unpriced=_unpriced(held, names, last),
    )


def _by_owner(after: StockFlows, lines: Sequence[ValuedProduct]) -> list[ValueShare]:
    """The stock of each owner. Each owner's worth is rounded on its own; the studio's is the sum of its products."""
    own = ValueShare(
        "",
        Microlitres(sum(one.closing_ul for one in lines)),
        sum(one.closing for one in lines),
        Microlitres(sum(one.unpriced_ul for one in lines)),
    )
    found = [own]
    for owner in sorted(after.owners.keys() - {""}, key=str.casefold):
        held = sum((each.closing for each in after.owners[owner].values()), ValuedVolume())
        if held.volume_ul:
            found.append(
                ValueShare(owner, held.volume_ul, round(held.value), Microlitres(round(held.unpriced_ul)))
            )
    return found


def moves(as_of: date) -> list[StockMove]:
    """Every movement that stood on that day, in the order of time."""
    query = (
        Movement.select(
            Movement.id, Movement.bottle, Bottle.product, Movement.kind, Movement.change_ul, Pour.mix, Close.mix,
            Count.reason, Bottle.opening_stock, Bottle.owner, Movement.at,
        )
        .join(Booking)
        .switch(Movement)
        .join(Bottle)
        .switch(Movement)
        .left_outer_join(Pour, on=(Pour.movement == Movement.id))
        .switch(Movement)
        .left_outer_join(Close, on=(Close.id == Movement.booking))
        .switch(Movement)
        .left_outer_join(Count, on=(Count.id == Movement.booking))
        .where(Movement.kind.in_(MOVES) & (Booking.day <= as_of) & in_force(Booking.id, as_of))
        .order_by(Movement.at, Movement.id)
    )  # fmt: skip
    paid, owners = prices.noted(as_of), past_shelf.owners(as_of)
    booked = [*(BookedMove(*row) for row in query.tuples()), *_given_over(as_of, owners)]
    return [
        StockMove(
            one.product,
            _counts_as(one.kind, one.reason, brought=one.brought),
            one.change_ul,
            _cost(paid.get(one.bottle), one.change_ul),
            one.poured or one.closed,
            one.number,
            owners.get(one.bottle, one.owner),
        )
        for one in after_receipts(booked)
        if one.change_ul
    ]


def _given_over(as_of: date, owners: Mapping[int, str]) -> list[BookedMove]:
    """Decants from one owner's bottle into another's; all others cancel out.

    They count as used, like pours and kept jars. Paint that came from somebody else's bottle costs nothing.
    """
    theirs = Bottle.select(Bottle.id).where((Bottle.owner != "") | Bottle.id.in_(list(owners)))
    touched = Movement.select(Movement.booking).where(
        Movement.bottle.in_(theirs) & Movement.kind.in_(DECANTED)
    )
    query = (
        Movement.select(
            Movement.id, Movement.bottle, Bottle.product, Movement.kind, Movement.change_ul, Movement.booking,
            Bottle.owner, Movement.at,
        )
        .join(Booking)
        .switch(Movement)
        .join(Bottle)
        .where(
            Movement.booking.in_(touched)
            & Movement.kind.in_(DECANTED)
            & (Booking.day <= as_of)
            & in_force(Booking.id, as_of)
        )
    )  # fmt: skip
    found = [
        BookedMove(number, bottle, product, kind, change_ul, booking, None, None, False, owner, at)
        for number, bottle, product, kind, change_ul, booking, owner, at in query.tuples()
    ]
    whose: dict[int | None, set[str]] = defaultdict(set)
    for move in found:
        whose[move.poured].add(owners.get(move.bottle, move.owner))
    return [move for move in found if len(whose[move.poured]) > 1]


def after_receipts(moves: Sequence[BookedMove]) -> list[BookedMove]:
    """Movements in the order of time, but none before the receipt of its bottle.

    Of two benches on a server, one can pour from a bottle that the other has just received although its own errand
    began a moment earlier. In the order of those moments, the poured volume would not be there yet.

    Args:
        moves: in any order; the one of a bottle's lowest number is its receipt.
    """
    receipts: dict[int, BookedMove] = {}
    for move in moves:
        if move.number <= receipts.setdefault(move.bottle, move).number:
            receipts[move.bottle] = move
    return sorted(moves, key=lambda move: (max(move.at, receipts[move.bottle].at), move.number))


def _counts_as(kind: str, reason: str | None, *, brought: bool) -> str:
    """The kind that a movement counts as: an unlogged pour counts as used, opening stock not as bought."""
    if reason == "not_logged":
        return "poured"
    return "brought" if kind == "received" and brought else kind


def _cost(price: Fraction | None, change_ul: Microlitres) -> Fraction | None:
    return None if price is None else price * change_ul


def _write_offs(
    before: Mapping[int, tuple[int, ValuedVolume]],
    after: Mapping[int, tuple[int, ValuedVolume]],
    names: Mapping[int, str],
) -> list[WriteOff]:
    """The write-offs between two days, and earlier ones that were taken back since."""
    changed = [(number, after[number]) for number in after.keys() - before.keys()]
    changed += [(number, (before[number][0], -before[number][1])) for number in before.keys() - after.keys()]
    about = {
        number: (day, bottle, reason or note)
        for number, day, bottle, note, reason in Movement.select(
            Movement.id, Booking.day, Movement.bottle, Booking.note, Count.reason
        )
        .join(Booking)
        .switch(Movement)
        .left_outer_join(Count, on=(Count.id == Movement.booking))
        .where(Movement.kind.in_(("discarded", "counted")))
        .tuples()
    }
    found = [
        WriteOff(
            about[number][0], names[product], label_of(about[number][1]), about[number][2].replace("_", " "),
            lost.volume_ul, round(lost.value),
        )
        for number, (product, lost) in changed
    ]  # fmt: skip
    return sorted(found, key=lambda one: (one.day, one.product, one.bottle))


def _held(as_of: date) -> list[tuple[int, int, int, str | None]]:
    """Number, product, microlitres and place on that day of the studio's own bottles that held something."""
    sums: dict[int, int] = defaultdict(int)
    query = (
        Movement.select(Movement.bottle, Movement.change_ul)
        .join(Booking)
        .where((Movement.kind != "reversed") & (Booking.day <= as_of) & in_force(Booking.id, as_of))
    )
    for bottle, change_ul in query.tuples():
        sums[bottle] += change_ul
    then = past_shelf.otherwise(as_of)
    owners = past_shelf.owners(as_of)
    rows = Bottle.select(Bottle.id, Bottle.product, Place.name, Bottle.owner).left_outer_join(Place)
    return [
        (number, product, sums[number], then.get(number, {}).get("place", place))
        for number, product, place, owner in rows.order_by(Bottle.id).tuples()
        if sums.get(number) and not owners.get(number, owner)
    ]


def _by_place(
    held: Sequence[tuple[int, int, int, str | None]],
    after: Mapping[int, Flows],
    lines: Sequence[ValuedProduct],
) -> list[ValueShare]:
    """The closing stock of each product shared out over the places where it stands, by volume."""
    volumes: dict[int, dict[str, int]] = defaultdict(lambda: defaultdict(int))
    for __, product, volume_ul, place in held:
        volumes[product][place or NO_PLACE] += volume_ul
    found: dict[str, list[int]] = defaultdict(lambda: [0, 0, 0])
    closing = {one.product: one for one in lines}
    for product, by_place in volumes.items():
        whole = after[product].closing
        names, shares = list(by_place), [Fraction(ul, whole.volume_ul) for ul in by_place.values()]
        money = split(closing[product].closing, [whole.value * share for share in shares])
        unpriced = split(round(whole.unpriced_ul), [whole.unpriced_ul * share for share in shares])
        for name, minor, without in zip(names, money, unpriced, strict=True):
            found[name][0] += by_place[name]
            found[name][1] += minor
            found[name][2] += without
    return [
        ValueShare(name, Microlitres(volume_ul), minor, Microlitres(unpriced_ul))
        for name, (volume_ul, minor, unpriced_ul) in sorted(
            found.items(), key=lambda one: (one[0] == NO_PLACE, one[0].casefold())
        )
    ]


def _unpriced(
    held: Sequence[tuple[int, int, int, str | None]], names: Mapping[int, str], as_of: date
) -> list[tuple[str, int]]:
    """The bottles whose price is neither noted nor follows from another bottle."""
    priced, noted = prices.read(as_of), prices.noted(as_of)
    return [
        (f"{names[product]} {label_of(number)}", volume_ul)
        for number, product, volume_ul, _ in held
        if number not in noted and not priced.newest(number)
    ]
