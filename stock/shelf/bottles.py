"""The bottles on the shelf, each with its product and place, on any day.

The shelf of a past day is worked out backwards from today's: the volume on hand less all later movements. A booking
that was undone later still counts on that day.
"""

from collections.abc import Collection, Mapping, Sequence
from datetime import date, timedelta
from types import MappingProxyType
from typing import Any

from stock import clock
from stock.errors import BadInput, NotFound
from stock.language import N_, _
from stock.named_tuples import NamedTuple
from stock.notation import show_day
from stock.remedies import Do, Remedy
from stock.shelf.life import good_until
from stock.shelf.past_shelf import in_force, otherwise
from stock.store.connection import connection, reading
from stock.store.models import Bottle, BottleChange, CardTest, Movement, Place, Product, Undone
from stock.store.orm import pw
from stock.store.prepared import Prepared
from stock.store.settings import settings
from stock.text import name as clean_name
from stock.units import Microlitres

LONGEST_LABEL = 40
LONGEST_NUMBER = 19
TESTED = (
    CardTest.select(CardTest.asked_again_on.concat(CardTest.at))
    .where(CardTest.bottle == Bottle.id)
    .order_by(CardTest.id.desc())
    .limit(1)
)
"""The day until which the newest card test holds a bottle good, and when that test was noted."""
NOTHING_ELSE: Mapping[str, Any] = MappingProxyType({})
SEALED, OPEN, EMPTY, DISCARDED = N_("sealed"), N_("open"), N_("empty"), N_("discarded")


class BottleView(NamedTuple):
    """One bottle as a person sees it; volumes in microlitres.

    A bottle that is `open` without an `opened_on` was opened on an unknown day; its `good_until` counts from the
    earliest possible day. `owner` is whom it belongs to, empty for the studio.

    `good_until` is the last day on which it is good, the earliest that its label and its lives give, or None if nothing
    is known; `tested_until` is the day on which a bottle that was tested on a card must be tested again. `color` is its
    paint's, as #rrggbb.
    """

    id: int
    label: str
    product_id: int
    product: str
    role: str
    line: str
    color: str | None
    size_ul: Microlitres
    on_hand_ul: Microlitres
    state: str
    received_on: date
    opened_on: date | None
    best_before: date | None
    good_until: date | None
    frozen_on: date | None
    place_id: int | None
    place: str | None
    lot: str
    price_minor: int | None
    left_of: int | None
    made_on: date | None = None
    container: str | None = None
    tested_until: date | None = None
    owner: str = ""
    opening_stock: bool = False
    priced_ul: Microlitres | None = None

    @property
    def gone(self) -> bool:
        """Whether nothing can be taken from it any more."""
        return self.state in (EMPTY, DISCARDED)

    @property
    def perhaps_over(self) -> bool:
        """Whether it is open since an unknown day, so that its life may already be over."""
        unknown = self.state == OPEN and self.opened_on is None
        return unknown and self.good_until is not None and self.good_until < self.received_on


def label_of(number: int) -> str:
    """The code printed on a bottle that has no label of its own, and read back by `numbered`."""
    return f"B{number:04d}"


def state_of(on_hand_ul: Microlitres, opened_on: date | None, discarded_on: date | None) -> str:
    """The word for a bottle's state."""
    if discarded_on is not None:
        return DISCARDED
    if on_hand_ul == 0:
        return EMPTY
    return OPEN if opened_on is not None else SEALED


def on_shelf(as_of: date | None = None, *, only: Collection[int] | None = None) -> list[BottleView]:
    """Every bottle that had arrived by the end of a day, gone ones included; at most two queries.

    Args:
        as_of: the day; today when None.
        only: numbers of the bottles wanted; all when None.
    """
    with connection(), reading():
        if as_of is None:
            if only is None:
                return [_view(row, None) for row in ALL_NOW.rows()]
            return [_view(row, None) for row in THESE_NOW.rows(list(only))] if only else []
        query = _rows(as_of)
        rows = list((query if only is None else query.where(Bottle.id.in_(list(only)))).tuples())
        since, then = _moved_since(as_of), otherwise(as_of) if as_of < settings().today() else {}
    return [_view(row, as_of, since.get(row[0], Microlitres(0)), then.get(row[0], {})) for row in rows]


def _rows(as_of: date | None) -> "pw.ModelSelect":
    query = (
        Bottle.select(
            Bottle.id, Bottle.label, Bottle.product, Product.name, Product.role, Product.line, Product.color,
            Bottle.size_ul, Bottle.on_hand_ul, Bottle.received_on, Bottle.opened_on, Bottle.best_before,
            Bottle.made_on, Bottle.frozen_on, Bottle.discarded_on, Product.sealed_life, Product.opened_life,
            Bottle.place, Place.name, Bottle.lot, Bottle.price_minor, Bottle.left_of, Bottle.container,
            _tested(as_of),
            Bottle.opened_unknown, Bottle.owner, Bottle.opening_stock, Bottle.priced_ul,
        )
        .join(Product)
        .switch(Bottle)
        .left_outer_join(Place)
        .where(in_force(Bottle.delivery, as_of))
        .order_by(Product.role, Product.name_key, Bottle.id)
    )  # fmt: skip
    return query.where(Bottle.received_on <= as_of) if as_of is not None else query


def _tested(as_of: date | None) -> "pw.ModelSelect":
    if as_of is None:
        return TESTED
    return TESTED.where(
        CardTest.at < clock.stamp(clock.start_of(as_of + timedelta(days=1), settings().time_zone))
    )


ALL_NOW = Prepared(lambda: _rows(None))
THESE_NOW = Prepared(lambda numbers: _rows(None).where(Bottle.id.in_(numbers)))


def _moved_since(as_of: date) -> dict[int, Microlitres]:
    end = clock.start_of(as_of + timedelta(days=1), settings().time_zone)
    moved = (
        Movement.select(Movement.bottle, pw.fn.SUM(Movement.change_ul))
        .where(Movement.bottle.in_(Bottle.select(Bottle.id)) & (Movement.at >= end))  # by its index
        .group_by(Movement.bottle)
    )
    return {bottle: Microlitres(int(change)) for bottle, change in moved.tuples()}


def _view(
    row: tuple[Any, ...],
    as_of: date | None,
    moved_ul: Microlitres = Microlitres(0),
    then: Mapping[str, Any] = NOTHING_ELSE,
) -> BottleView:
    (
        number, label, product_id, product, role, line, color, size_ul, on_hand_ul, received_on, opened_on,
        best_before, made_on, frozen_on, discarded_on, sealed_life, opened_life, place_id, place, lot, price,
        left_of, container, tested, opened_unknown, owner, opening_stock, priced_ul,
    ) = row  # fmt: skip
    if as_of is not None:
        days = {"opened_on": opened_on, "frozen_on": frozen_on, "discarded_on": discarded_on, **then}
        opened_on, frozen_on, discarded_on = (
            day if day is not None and day <= as_of else None
            for day in (days["opened_on"], days["frozen_on"], days["discarded_on"])
        )
        place_id, place = then.get("place_id", place_id), then.get("place", place)
        owner = then.get("owner", owner)
    tested_until = tested_until_of(tested, frozen_on)
    held = on_hand_ul - moved_ul
    return BottleView(
        id=number, label=label or label_of(number), product_id=product_id, product=product, role=role, line=line,
        color=color, size_ul=size_ul, on_hand_ul=held, state=state_of(held, opened_on, discarded_on),
        received_on=received_on, opened_on=None if opened_unknown else opened_on, best_before=best_before,
        good_until=good_until(
            best_before=best_before, made_on=made_on, opened_on=opened_on,
            sealed_life=sealed_life, opened_life=opened_life, tested_until=tested_until,
        ),
        frozen_on=frozen_on, place_id=place_id, place=place, lot=lot, price_minor=price, left_of=left_of,
        made_on=made_on, container=container, tested_until=tested_until, owner=owner,
        opening_stock=bool(opening_stock), priced_ul=priced_ul,
    )  # fmt: skip


def tested_until_of(tested: str | None, frozen_on: date | None) -> date | None:
    """The day on which a card test must be repeated; None without a test, or if the bottle froze since.

    Args:
        tested: the result of `TESTED`, which Peewee leaves as text.
        frozen_on: when it froze. A test of that day doesn't count, because it isn't known which came first.
    """
    if tested is None:
        return None
    until, said_at = tested[:10], clock.read_stamp(tested[10:])
    if frozen_on is not None and clock.day_of(said_at, settings().time_zone) <= frozen_on:
        return None
    return date.fromisoformat(until)


def numbered(text: str) -> Bottle:
    """The bottle that a number or a label code means.

    Raises:
        BadInput: neither a number nor a code.
        NotFound: no such bottle, or its delivery was undone.
    """
    code = text.strip()
    digits = code[1:] if code[:1] in "Bb" else code
    with connection():
        row = Bottle.get_or_none(Bottle.label == code)
        if row is None:
            if not (digits.isascii() and digits.isdigit()):
                raise BadInput(
                    _("{code!r} is no bottle", code=code[:40]),
                    remedy=_("Write its number or label code, such as 12 or B0012"),
                )
            row = Bottle.get_or_none(Bottle.id == int(digits)) if len(digits) < LONGEST_NUMBER else None
        if row is None or Undone.select().where(Undone.booking == row.delivery_id).exists():
            raise NotFound(
                _("there is no bottle {code}", code=code[:40]), remedy=Remedy(Do("shelf"), _(" lists them"))
            )
    found: Bottle = row
    return found


def reads_like_a_number(label: str) -> bool:
    """Whether a label could be taken for a bottle's number or for the code of a bottle without a label."""
    return label.isdigit() or (label[:1] in "Bb" and label[1:].isdigit())


def free_label(label: str | None, *, most: int = LONGEST_LABEL) -> str | None:
    """A person's own label for a new bottle, as the books keep it; None stays None.

    Args:
        label: what was typed.
        most: the most letters it may have.
    Raises:
        BadInput: it is no name, reads like a bottle's number, or is on another bottle.
    """
    if label is None:
        return None
    cleaned = clean_name(label, what=_("label"), most=most)
    if reads_like_a_number(cleaned):
        raise BadInput(
            _("{cleaned!r} reads like a bottle's number", cleaned=cleaned),
            remedy=_("Put a letter other than B before it"),
        )
    if Bottle.select().where(Bottle.label == cleaned).exists():
        raise BadInput(
            _("the label {cleaned} is on another bottle", cleaned=cleaned),
            remedy=_("Write another; nothing was booked"),
        )
    return cleaned


def usable(found: Bottle) -> Bottle:
    """The bottle, if it can still be used.

    Raises:
        BadInput: it was discarded.
    """
    if found.discarded_on is not None:
        by = (
            BottleChange.select(BottleChange.booking)
            .where((BottleChange.bottle == found.id) & (BottleChange.field == "discarded_on"))
            .order_by(BottleChange.id.desc())
            .tuples()
            .first()
        )
        back = (_("Take that back first: "), Do("undo", "discard", by[0]), "; ") if by is not None else ()
        raise BadInput(
            _(
                "bottle {id} was discarded on {discarded_on}",
                id=found.id,
                discarded_on=show_day(found.discarded_on),
            ),
            remedy=Remedy(*back, _("nothing was booked")),
        )
    return found


def by_product(views: Sequence[BottleView]) -> dict[int, list[BottleView]]:
    """The bottles of each product, in the given order."""
    shelves: dict[int, list[BottleView]] = {}
    for view in views:
        shelves.setdefault(view.product_id, []).append(view)
    return shelves
