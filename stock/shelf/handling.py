"""Handling bottles on the shelf: opening, moving, freezing, decanting, discarding.

Each function checks the bottle inside the booking, so that a repeat with the same key gets the first answer and not a
refusal.
"""

from datetime import date, datetime, timedelta

from stock.errors import BadInput
from stock.language import _
from stock.ledger import Answer, Errand, book, hold
from stock.notation import show_day
from stock.remedies import Do, Remedy
from stock.shelf import places
from stock.shelf.bottles import free_label, numbered, usable
from stock.shelf.life import opened_at_worst
from stock.store import closed_periods
from stock.store.connection import connection, writing
from stock.store.models import Bottle, Pack, PastOwner, Product
from stock.store.settings import settings
from stock.store.words import CONTAINERS
from stock.text import name as clean_name
from stock.text import note as clean_note
from stock.text import plain
from stock.units import Microlitres, Milligrams, from_thousandths, ml

UNKNOWN = "unknown"
_ALSO_CALLED = {"can": "metal", "tin": "metal", "aerosol": "aerosol_can", "spray_can": "aerosol_can"}


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


def relabel(bottle: str, label: str) -> Answer:
    """Put another label on a bottle.

    Args:
        bottle: its number or label.
        label: the person's own label.
    Returns:
        `{"bottle", "label"}`.
    Raises:
        BadInput: it is no label or on another bottle, or the bottle was discarded.
    """
    with connection(), writing():
        found = usable(numbered(bottle))
        cleaned = free_label(label) if label != found.label else label
        Bottle.update(label=cleaned).where(Bottle.id == found.id).execute()
    return {"bottle": found.id, "label": cleaned}


def container_of(text: str) -> str:
    """The books' word for a container that a person named: a `can` or a `tin` is metal.

    Raises:
        BadInput: none of them; for a bottle or a jar, which may be of either, what it is made of is asked for.
    """
    word = text.strip().casefold().replace(" ", "_")
    kind = _ALSO_CALLED.get(word, word)
    if kind in CONTAINERS:
        return kind
    made_of = _(" (a bottle or a jar by what it is made of)") if word in ("bottle", "jar") else ""
    raise BadInput(
        _("{text!r} is no container", text=plain(text, 30)),
        remedy=_("Write one of {containers}{made_of}", containers=", ".join(CONTAINERS), made_of=made_of),
    )


def note_container(bottle: str, container: str) -> Answer:
    """Note what a bottle is made of. It is a fact, not an errand, so it is corrected by noting it again.

    Args:
        bottle: its number or label.
        container: as `container_of` reads it, or `unknown`, which counts as the worse case.
    Returns:
        `{"bottle", "container"}`; None if it is not known.
    Raises:
        BadInput: another word, or the bottle was discarded.
    """
    known = None if container.strip().casefold() == UNKNOWN else container_of(container)
    with connection(), writing():
        found = usable(numbered(bottle))
        if known is None and found.container == "aerosol_can":
            raise BadInput(
                _("that it is an aerosol can can't become unknown"),
                remedy=_("Write what it is; nothing was changed"),
            )
        Bottle.update(container=known).where(Bottle.id == found.id).execute()
    return {"bottle": found.id, "container": known}


def note_tare(bottle: str, tare_mg: Milligrams) -> Answer:
    """Note a bottle's empty weight, with its cap. It is a fact, corrected by noting it again.

    Other bottles of the same product and size are assumed to weigh the same until their own weight is noted.

    Args:
        bottle: its number or label.
        tare_mg: milligrams, above 0.
    Returns:
        `{"bottle", "tare_g"}`.
    Raises:
        BadInput: no weight, or the bottle was discarded.
    """
    if tare_mg <= 0:
        raise BadInput(_("an empty bottle weighs something"), remedy=_("Write it as 20.15 g"))
    with connection(), writing():
        found = usable(numbered(bottle))
        Bottle.update(tare_mg=tare_mg).where(Bottle.id == found.id).execute()
        of_size = (Pack.product == found.product_id) & (Pack.size_ul == found.size_ul)
        Pack.update(tare_mg=tare_mg).where(of_size & Pack.tare_mg.is_null()).execute()
    return {"bottle": found.id, "tare_g": from_thousandths(tare_mg)}


def note_opened(bottle: str, day: date | None) -> Answer:
    """Note since when an open bottle is open. It is a fact, not an errand, corrected by noting it again.

    Args:
        bottle: its number or label.
        day: None if nobody knows; it then counts as open since the earliest possible day.
    Returns:
        `{"bottle", "opened_on"}`; None where it is not known.
    Raises:
        BadInput: it is sealed or was discarded, or the day is to come or before the day it was made.
    """
    with connection(), writing():
        found = usable(numbered(bottle))
        if found.opened_on is None:
            raise BadInput(
                _("bottle {id} is sealed by the books", id=found.id),
                remedy=Remedy(_("Open it: "), Do("bottle open", str(found.id))),
            )
        if day is not None and (
            day > settings().today() or (found.made_on is not None and day < found.made_on)
        ):
            raise BadInput(
                _("bottle {id} can't have been opened on {day}", id=found.id, day=show_day(day)),
                remedy=_("Give another day"),
            )
        known = {"opened_on": day or opened_at_worst(found.made_on), "opened_unknown": day is None}
        Bottle.update(known).where(Bottle.id == found.id).execute()
    return {"bottle": found.id, "opened_on": day.isoformat() if day is not None else None}


def note_owner(bottle: str, owner: str, *, since: date | None = None) -> Answer:
    """Note whom a bottle belongs to. A bottle of somebody else is not stock, and nothing is ordered to replace it.

    Args:
        bottle: its number or label.
        owner: a name.
        since: the day from which it is theirs; the day it came where it came today, else today.
    Returns:
        `{"bottle", "owner"}`.
    Raises:
        BadInput: an unusable name, the bottle was discarded, or a day to come.
        UllageError: the day is closed.
    """
    cleaned = clean_name(owner, what=_("owner")) if owner.strip() else ""
    with connection(), writing():
        found = usable(numbered(bottle))
        today, closed = settings().today(), closed_periods.closed_until()
        if since is not None and since > today:
            raise BadInput(
                _("{since} is still to come", since=show_day(since)),
                remedy=_("Give today or a past day; nothing was changed"),
            )
        if since is not None:
            closed_periods.require_open(since, closed)
        until = (since or today) - timedelta(days=1)
        if closed is not None and closed > until:
            until = closed
        if cleaned != found.owner:
            _keep_owner(found, until)
        Bottle.update(owner=cleaned).where(Bottle.id == found.id).execute()
    return {"bottle": found.id, "owner": cleaned}


def _keep_owner(found: Bottle, until: date) -> None:
    """Keep a bottle's earlier owner until a day, if it was here by then; owners kept for later days are dropped."""
    mine = PastOwner.bottle == found.id
    later = list(PastOwner.select().where(mine & (PastOwner.until >= until)).order_by(PastOwner.until))
    PastOwner.delete().where(mine & (PastOwner.until >= until)).execute()
    if until >= found.received_on:
        owner = later[0].owner if later else found.owner
        PastOwner.create(bottle=found.id, until=until, owner=owner)


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
