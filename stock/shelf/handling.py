"""Handling bottles on the shelf: opening, moving, freezing, decanting, discarding.

Each function checks the bottle inside the booking, so that a repeat with the same key gets the first answer and not a
refusal.
"""

from datetime import datetime

from stock.errors import BadInput
from stock.language import _
from stock.ledger import Answer, Errand, book, hold
from stock.notation import show_day
from stock.remedies import Do, Remedy
from stock.shelf import places
from stock.shelf.bottles import free_label, numbered, usable
from stock.store.models import Bottle, Product
from stock.text import note as clean_note
from stock.units import Microlitres, ml


def open_bottle(bottle: str, *, on: datetime | None = None, key: str | None = None) -> Answer:
    """Note that a bottle was opened; its opened life runs from that day.

    Raises:
        BadInput: it is open already, discarded, or came later than that day.
    """

    def work(errand: Errand) -> Answer:
        found = usable(numbered(bottle))
        if found.opened_on is not None:
            if found.opened_unknown:
                raise BadInput(
                    _("bottle {id} is open, and nobody knows since when", id=found.id),
                    remedy=Remedy(_("Say it with "), Do("bottle change", str(found.id), "--opened", "DATE")),
                )
            raise BadInput(
                _("bottle {id} is open since {opened_on}", id=found.id, opened_on=show_day(found.opened_on)),
                remedy=_("Nothing was booked"),
            )
        _refuse_before_it_came(found, errand)
        errand.change(found.id, "opened_on", errand.day)
        return {"bottle": found.id, "opened_on": errand.day.isoformat()}

    return book("open", work, at=on, key=key)


def move_bottle(
    bottle: str, place: str | None, *, on: datetime | None = None, key: str | None = None
) -> Answer:
    """Put a bottle in another place; None for no noted place.

    Raises:
        NotFound, Ambiguous: the place.
        BadInput: the bottle was discarded, or stands there already.
    """

    def work(errand: Errand) -> Answer:
        found, target = usable(numbered(bottle)), places.find(place) if place is not None else None
        if target is None:
            errand.change(found.id, "place", None)
            return {"bottle": found.id, "place": None}
        if found.place_id == target.id:
            raise BadInput(
                _("bottle {id} stands in {name} already", id=found.id, name=target.name),
                remedy=_("Nothing was booked"),
            )
        errand.change(found.id, "place", target.id)
        return {"bottle": found.id, "place": target.name}

    return book("move", work, at=on, key=key)


def freeze(bottle: str, *, on: datetime | None = None, key: str | None = None) -> Answer:
    """Note that a bottle froze; from then on it must be tested before use."""

    def work(errand: Errand) -> Answer:
        found = usable(numbered(bottle))
        _refuse_before_it_came(found, errand)
        errand.change(found.id, "frozen_on", errand.day)
        return {"bottle": found.id, "frozen_on": errand.day.isoformat()}

    return book("frozen", work, at=on, key=key)


def discard(bottle: str, *, reason: str = "", on: datetime | None = None, key: str | None = None) -> Answer:
    """Throw a bottle away with its contents.

    Returns:
        `{"discard": number, "bottle", "discarded_ml"}`; the number is what `undo discard` takes.
    Raises:
        BadInput: it was discarded before.
    """
    note = clean_note(reason)

    def work(errand: Errand) -> Answer:
        hold([numbered(bottle).id])
        found = usable(numbered(bottle))
        if errand.held(found.id) != found.on_hand_ul:
            raise BadInput(
                _("something was taken from bottle {id} after {day}", id=found.id, day=show_day(errand.day)),
                remedy=_("Give a later day"),
            )
        if found.on_hand_ul:
            errand.move(found.id, "discarded", -found.on_hand_ul)
        errand.change(found.id, "discarded_on", errand.day)
        return {"discard": errand.booking, "bottle": found.id, "discarded_ml": ml(found.on_hand_ul)}

    return book("discard", work, at=on, key=key, note=note)


def decant(
    bottle: str,
    volume_ul: Microlitres,
    *,
    into: str | None = None,
    size_ul: Microlitres | None = None,
    label: str | None = None,
    on: datetime | None = None,
    key: str | None = None,
) -> Answer:
    """Fill some of a bottle into another of the same product, or into a fresh container.

    A fresh container takes over the lot and the dates, because pouring makes the paint no younger.

    Args:
        bottle: where it comes from.
        volume_ul: microlitres, above 0.
        into: a bottle of the same product; a fresh container when None.
        size_ul: the fresh container's size; `volume_ul` when None.
        label: the fresh container's own label.
    Returns:
        `{"bottle", "on_hand_ml", "into", "into_on_hand_ml"}`.
    Raises:
        BadInput: another product, the same bottle, or more than the container holds.
        NotEnough: the bottle holds less.
    """

    def work(errand: Errand) -> Answer:
        source = usable(numbered(bottle))
        if source.opened_on is None:
            errand.change(source.id, "opened_on", errand.day)
        target = usable(numbered(into)) if into is not None else None
        if target is not None:
            _refuse_strange_target(source, target, volume_ul)
        hold([source.id] + ([target.id] if target is not None else []))
        errand.move(source.id, "moved_out", Microlitres(-volume_ul))
        if target is not None:
            errand.move(target.id, "moved_in", volume_ul)
            if target.opened_on is None:
                errand.change(target.id, "opened_on", errand.day)
            number = target.id
        else:
            number = _fresh(errand, source, volume_ul, size_ul, label)
        held = dict(
            Bottle.select(Bottle.id, Bottle.on_hand_ul).where(Bottle.id.in_([source.id, number])).tuples()
        )
        return {
            "bottle": source.id,
            "on_hand_ml": ml(held[source.id]),
            "into": number,
            "into_on_hand_ml": ml(held[number]),
        }

    return book("decant", work, at=on, key=key)


def _fresh(
    errand: Errand, source: Bottle, volume_ul: Microlitres, size_ul: Microlitres | None, label: str | None
) -> int:
    size = size_ul or volume_ul
    if size < volume_ul:
        raise BadInput(_("the container is smaller than what goes into it"), remedy=_("Give a larger size"))
    return errand.fill(
        "moved_in",
        size,
        holds_ul=volume_ul,
        product=source.product_id,
        lot=source.lot,
        best_before=source.best_before,
        made_on=source.made_on,
        opened_on=source.opened_on or errand.day,
        opened_unknown=source.opened_unknown,
        opening_stock=source.opening_stock,
        owner=source.owner,
        frozen_on=source.frozen_on,
        place=source.place_id,
        label=free_label(label),
    )


def _refuse_strange_target(source: Bottle, target: Bottle, volume_ul: Microlitres) -> None:
    if target.id == source.id:
        raise BadInput(
            _("a bottle can't be decanted into itself"), remedy=_("Name another; nothing was booked")
        )
    if target.product_id != source.product_id:
        names = [Product.get_by_id(row.product_id).name for row in (source, target)]
        raise BadInput(
            _(
                "bottle {source} is {source_product} and bottle {target} is {target_product}",
                source=source.id,
                source_product=names[0],
                target=target.id,
                target_product=names[1],
            ),
            remedy=_("Decant into a bottle of the same product; to mix two, book a mix"),
        )
    room = target.size_ul - target.on_hand_ul
    if volume_ul > room:
        raise BadInput(
            _("bottle {id} has room for {room} ml", id=target.id, room=ml(room)),
            remedy=_("Decant less, or into a larger one"),
        )


def _refuse_before_it_came(found: Bottle, errand: Errand) -> None:
    if found.received_on > errand.day:
        raise BadInput(
            _(
                "bottle {id} came on {received_on}, after {day}",
                id=found.id,
                received_on=show_day(found.received_on),
                day=show_day(errand.day),
            ),
            remedy=_("Give a later day"),
        )
