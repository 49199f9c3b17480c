"""Facts of a bottle, each noted in the place of what was noted before: its label, its days, its container, its owner.

They are no errands: nothing is booked, and a wrong one is corrected by noting the right one.
"""

from datetime import date, timedelta
from typing import Any, TypedDict

from stock.errors import BadInput
from stock.language import _
from stock.ledger import Answer
from stock.notation import show_day
from stock.remedies import Do, Remedy
from stock.shelf.bottles import free_label, numbered, usable
from stock.shelf.life import opened_at_worst
from stock.store import closed_periods
from stock.store.connection import connection, writing
from stock.store.models import Bottle, Pack, PastOwner
from stock.store.settings import settings
from stock.store.words import CONTAINERS
from stock.text import name as clean_name
from stock.text import plain
from stock.units import Milligrams, from_thousandths

UNKNOWN = "unknown"
_ALSO_CALLED = {"can": "metal", "tin": "metal", "aerosol": "aerosol_can", "spray_can": "aerosol_can"}


class DaysOfBottle(TypedDict, total=False):
    """The days to note, None for one that nobody knows; a day that is left out stays as it is."""

    made_on: date | None
    best_before: date | None
    opened_on: date | None


class FactsOfBottle(DaysOfBottle, total=False):
    """What else can be noted of a bottle, as the functions of this module take it; what is left out stays."""

    container: str
    label: str
    owner: str | None
    owner_since: date | None
    tare_mg: Milligrams


def change(bottle: str, facts: FactsOfBottle) -> Answer:
    """Note several facts of a bottle, or none of them if one is refused.

    Args:
        bottle: its number or label.
        facts: those to note; an `owner` that is empty or None is the studio.
    Returns:
        What the functions of the given facts return, in one.
    Raises:
        BadInput: one of them is refused.
    """
    answer: Answer = {}
    days: Any = {field: day for field, day in facts.items() if field in DaysOfBottle.__annotations__}
    with connection(), writing():
        number = str(usable(numbered(bottle)).id)
        if "container" in facts:
            answer |= note_container(number, facts["container"])
        if "label" in facts:
            answer |= relabel(number, facts["label"])
        if days:
            answer |= note_days(number, days)
        if "owner" in facts:
            answer |= note_owner(number, facts["owner"] or "", since=facts.get("owner_since"))
        if "tare_mg" in facts:
            answer |= note_tare(number, facts["tare_mg"])
    return answer


def note_days(bottle: str, days: DaysOfBottle) -> Answer:
    """Note the days that a bottle's life counts from, all checked against each other.

    Args:
        bottle: its number or label.
        days: when it was made, until when its label calls it good, since when it is open. A bottle that is open since
            a day that nobody knows counts as open since the earliest possible day.
    Returns:
        `{"bottle"}` with each of the given days in ISO 8601; None for one that is not known.
    Raises:
        BadInput: the bottle was discarded; it is sealed and a day of opening is given; it is a leftover of a mix, which
            has no maker's dates; it was made or opened on a day to come, made after it came or after it was opened, or
            it is best before a day before it was made.
    """
    with connection(), writing():
        found = usable(numbered(bottle))
        made_on = days.get("made_on", found.made_on)
        _refuse_dates_of_a_leftover(found, days)
        _refuse_odd_days(found, days)
        changes: dict[str, Any] = {**days}
        unknown = days["opened_on"] is None if "opened_on" in days else found.opened_unknown
        if unknown:
            changes["opened_on"] = opened_at_worst(made_on)
        if "opened_on" in days:
            changes["opened_unknown"] = unknown
        Bottle.update(changes).where(Bottle.id == found.id).execute()
    noted: dict[str, Any] = {**days}
    return {"bottle": found.id} | {
        field: day.isoformat() if day is not None else None for field, day in noted.items()
    }


def _refuse_dates_of_a_leftover(found: Bottle, days: DaysOfBottle) -> None:
    if found.left_of_id is not None and ("made_on" in days or "best_before" in days):
        raise BadInput(
            _("bottle {id} is a leftover of a mix, so no maker dated it", id=found.id),
            remedy=Remedy(
                _("Its life counts from the mix; if it is good by a test, note that: "),
                Do("bottle tested", str(found.id)),
            ),
        )


def _refuse_odd_days(found: Bottle, days: DaysOfBottle) -> None:
    """Refuse given days that contradict each other, what is noted, the day that it came or today."""
    if "opened_on" in days and found.opened_on is None:
        raise BadInput(
            _("bottle {id} is sealed by the books", id=found.id),
            remedy=Remedy(_("Open it: "), Do("bottle open", str(found.id))),
        )
    made_on = days.get("made_on", found.made_on)
    best_before = days.get("best_before", found.best_before)
    opened_on = days.get("opened_on", None if found.opened_unknown else found.opened_on)
    if "made_on" in days and made_on is not None and made_on > found.received_on:
        raise BadInput(
            _(
                "it was made on {made_on}, after it came on {came}",
                made_on=show_day(made_on),
                came=show_day(found.received_on),
            ),
            remedy=_("Give another day"),
        )
    too_early = opened_on is not None and made_on is not None and opened_on < made_on
    if "opened_on" in days and opened_on is not None and (too_early or opened_on > settings().today()):
        raise BadInput(
            _("bottle {id} can't have been opened on {day}", id=found.id, day=show_day(opened_on)),
            remedy=_("Give another day"),
        )
    if "made_on" in days and too_early:
        raise BadInput(
            _(
                "it was made on {made_on}, after it was opened on {opened_on}",
                made_on=show_day(made_on),
                opened_on=show_day(opened_on),
            ),
            remedy=_("Give another day, or both days if both are wrong"),
        )
    given = "made_on" in days or "best_before" in days
    if given and made_on is not None and best_before is not None and best_before < made_on:
        raise BadInput(_("it is best before a day before it was made"), remedy=_("Swap the days"))


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
