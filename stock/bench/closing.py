"""Closing a mix: its outcome, the settings it was sprayed with, and what is left of it."""

from datetime import datetime, timedelta
from typing import Any

from stock import clock
from stock.bench import leftovers
from stock.bench.mixes import MixView, lock, open_one
from stock.errors import BadInput
from stock.language import _
from stock.ledger import Answer, Errand, book, zone
from stock.named_tuples import NamedTuple
from stock.remedies import Option, Remedy
from stock.shelf import places
from stock.shelf.bottles import free_label
from stock.store.models import Bottle, Close
from stock.store.words import OUTCOMES
from stock.text import note as clean_note
from stock.text import plain
from stock.units import Microlitres, Micrometres, MilliCelsius, MilliPercent, Pascals, ml, show_volume

LONGEST_JAR_LABEL = 20


class Ending(NamedTuple):
    """How a mix ended.

    Args:
        outcome: `good`, `thick`, `thin` or `ruined`.
        left_ul: what is left of it; 0 when the cup is empty.
        keep: whether that is kept in a jar; otherwise it is thrown away.
        jar_ul: the jar's size; as large as its content when None.
        place: the jar's place.
        label: the jar's own label; `M` and the mix's number when None.
        needle_um: the needle it was sprayed with; the needle of the mix when None.
        pressure_pa: the pressure it was sprayed at.
        room_mc: the room's temperature.
        humidity_milli: relative humidity, thousandths of a per cent.
        note: a person's words.
    """

    outcome: str
    left_ul: Microlitres = Microlitres(0)
    keep: bool = False
    jar_ul: Microlitres | None = None
    place: str | None = None
    label: str | None = None
    needle_um: Micrometres | None = None
    pressure_pa: Pascals | None = None
    room_mc: MilliCelsius | None = None
    humidity_milli: MilliPercent | None = None
    note: str = ""


def close(number: int, ending: Ending, *, at: datetime | None = None, key: str | None = None) -> Answer:
    """Close a mix; what was sprayed is everything that was poured less what is left.

    Returns:
        `{"mix", "close", "outcome", "sprayed_ml", "left_ml", "kept": {"bottle", "label", "product",
        "on_hand_ml", "best_before"} or None, "reduction"}`.
    Raises:
        NotFound: no such mix.
        ClosedAlready: this bench or another closed it.
        BadInput: an unknown outcome, more left than was made, a jar of a mix with hardener, or a time before
            the mix was made.
    """
    if ending.outcome not in OUTCOMES:
        raise BadInput(
            _("{outcome!r} is not an outcome", outcome=plain(ending.outcome, 30)),
            remedy=_("Write good, thick, thin or ruined"),
        )
    if ending.keep and not ending.left_ul:
        raise BadInput(_("nothing is left to keep"), remedy=Remedy(_("Say how much "), Option("left", "3ml")))
    note = clean_note(ending.note)

    def work(errand: Errand) -> Answer:
        lock(number)
        mix = open_one(number)
        _refuse(mix, ending, errand)
        Close.insert(
            id=errand.booking,
            mix=number,
            outcome=ending.outcome,
            left_ul=ending.left_ul,
            kept=ending.keep,
            needle_um=ending.needle_um or mix.needle_um,
            pressure_pa=ending.pressure_pa,
            room_mc=ending.room_mc,
            humidity_milli=ending.humidity_milli,
        ).execute()
        kept = _jar(errand, mix, ending) if ending.keep else None
        reduction = mix.reduction
        return {
            "mix": number,
            "close": errand.booking,
            "outcome": ending.outcome,
            "sprayed_ml": ml(Microlitres(mix.poured_ul() - ending.left_ul)),
            "left_ml": ml(ending.left_ul),
            "kept": kept,
            "reduction": reduction.as_json() if reduction else None,
        }

    return book("close", work, at=at, key=key, note=note)


def _refuse(mix: MixView, ending: Ending, errand: Errand) -> None:
    if errand.at < mix.at:
        raise BadInput(
            _("mix {id} was made on {at}, after that time", id=mix.id, at=clock.local_minute(mix.at, zone())),
            remedy=_("Give a later time"),
        )
    if ending.left_ul > mix.cup.total_ul:
        raise BadInput(
            _(
                "{left_ul} can't be left of a mix of {total_ul}",
                left_ul=show_volume(ending.left_ul),
                total_ul=show_volume(mix.cup.total_ul),
            ),
            remedy=_("Write what is left now; nothing was booked"),
        )
    if ending.keep and any(pour.part == "hardener" for pour in mix.pours):
        raise BadInput(
            _("there is hardener in mix {id}: it sets in the jar and may burst it", id=mix.id),
            remedy=_("Throw it away once it has set in the open; its data sheet decides"),
        )


def _jar(errand: Errand, mix: MixView, ending: Ending) -> dict[str, Any]:
    names = {pour.product_id: pour.product for pour in mix.pours}
    held = [(each.product_id, names[each.product_id], each.part, each.volume_ul) for each in mix.cup.held]
    parts = leftovers.in_the_jar(held, ending.left_ul)
    product = leftovers.product_of(parts, color=mix.color, day=errand.day, mix=mix.id)
    size_ul = ending.jar_ul or ending.left_ul
    if size_ul < ending.left_ul:
        raise BadInput(_("the jar is smaller than what is to be kept in it"), remedy=_("Give a larger one"))
    label = free_label(ending.label, most=LONGEST_JAR_LABEL) or f"M{mix.id}"
    if ending.label is None and Bottle.select().where(Bottle.label == label).exists():
        label = f"{label}-{errand.booking}"
    best_before = errand.day + timedelta(leftovers.LIFE_DAYS)
    bottle = errand.fill(
        "kept",
        size_ul,
        holds_ul=ending.left_ul,
        product=product,
        opened_on=errand.day,
        made_on=errand.day,
        best_before=best_before,
        place=places.find(ending.place).id if ending.place else None,
        label=label,
        left_of=mix.id,
    )
    return {
        "bottle": bottle,
        "label": label,
        "product": mix.words,
        "on_hand_ml": ml(ending.left_ul),
        "best_before": best_before.isoformat(),
    }
