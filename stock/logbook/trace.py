"""Where a bottle or a lot went: bottles it was decanted into, mixes, jars kept of them, mixes from those, jobs."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from stock.errors import BadInput, NotFound
from stock.language import _
from stock.remedies import Do, Option, Remedy
from stock.shelf.bottles import label_of, numbered, state_of
from stock.shelf.past_shelf import in_force
from stock.shelf.studio import settings
from stock.store.connection import connection, reading
from stock.store.models import Booking, Bottle, Close, Job, Mix, Movement, Place, Pour, Product
from stock.store.orm import pw
from stock.text import plain
from stock.units import Microlitres, ml

SEVERAL = 500


@dataclass(frozen=True, slots=True)
class TracedBottle:
    """A bottle that holds or held some of the lot; `through` is the bottle or mix it came from, or None."""

    id: int
    product: str
    size_ul: Microlitres
    on_hand_ul: Microlitres
    state: str
    place: str | None
    through: str | None


@dataclass(frozen=True, slots=True)
class TracedMix:
    """A mix that contains some of the lot: `volume_ul` came from the bottles in `bottles`."""

    id: int
    day: date
    job: str | None
    customer: str
    outcome: str | None
    volume_ul: Microlitres
    bottles: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Trace:
    """Where a lot or bottle went."""

    about: str
    as_of: date
    measures: str
    bottles: tuple[TracedBottle, ...]
    mixes: tuple[TracedMix, ...]
    washed_ul: Microlitres

    @property
    def jobs(self) -> dict[str, list[int]]:
        """The mixes of each job, jobs by name."""
        found: dict[str, list[int]] = defaultdict(list)
        for mix in self.mixes:
            if mix.job is not None:
                found[mix.job].append(mix.id)
        return dict(sorted(found.items(), key=lambda each: each[0].casefold()))

    def as_json(self) -> dict[str, Any]:
        """The answer of `ullage trace`."""
        return {
            "about": self.about,
            "as_of": self.as_of.isoformat(),
            "bottles": [
                {
                    "bottle": one.id, "product": one.product, "size_ml": ml(one.size_ul),
                    "on_hand_ml": ml(one.on_hand_ul), "state": one.state, "place": one.place,
                    "through": one.through,
                }
                for one in self.bottles
            ],
            "mixes": [
                {
                    "mix": one.id, "day": one.day.isoformat(), "job": one.job, "customer": one.customer,
                    "outcome": one.outcome, "volume_ml": ml(one.volume_ul), "bottles": list(one.bottles),
                }
                for one in self.mixes
            ],
            "jobs": [{"job": job, "mixes": mixes} for job, mixes in self.jobs.items()],
            "washed_ml": ml(self.washed_ul),
        }  # fmt: skip


def trace(*, lot: str | None = None, bottle: str | None = None, as_of: date | None = None) -> Trace:
    """Follow a lot or one bottle through all bookings that were not undone.

    Raises:
        BadInput: neither or both are given.
        NotFound: no bottle of that lot, or no such bottle.
    """
    if (lot is None) == (bottle is None):
        raise BadInput(
            _("a trace needs a lot or a bottle"),
            remedy=Remedy(_("Name one "), Option("lot", "L7"), " or ", Option("bottle", "12")),
        )
    with connection(), reading():
        studio = settings()
        day = as_of or studio.today()
        start = [numbered(bottle).id] if bottle is not None else _of_lot(lot or "", day)
        through = _spread(start, day)
        mixes = _mixes(through, day)
        return Trace(
            about=_("lot {lot}", lot=(lot or "").strip())
            if lot is not None
            else _("bottle {start}", start=label_of(start[0])),
            as_of=day,
            measures=studio.measures,
            bottles=tuple(_bottles(through)),
            mixes=tuple(mixes),
            washed_ul=Microlitres(_washed(through, day)),
        )


def _of_lot(lot: str, day: date) -> list[int]:
    printed = lot.strip()
    rows = Bottle.select(Bottle.id).where(
        (Bottle.lot == printed) | (pw.fn.LOWER(Bottle.lot) == printed.lower())
    )
    rows = rows.where(in_force(Bottle.delivery, day) & (Bottle.received_on <= day))
    found = [number for (number,) in rows.tuples()] if printed else []
    if not found:
        raise NotFound(
            _("no bottle has the lot {lot!r}", lot=plain(lot, 40)),
            remedy=Remedy(
                _("Write it as it is printed on the bottle, or name a bottle "),
                Option("bottle"),
                ": ",
                Do("shelf"),
                _(" lists them"),
            ),
        )
    return found


def _spread(start: Sequence[int], day: date) -> dict[int, str | None]:
    """Every bottle that got some of the lot, and from where, in the order found; each is followed once."""
    through: dict[int, str | None] = dict.fromkeys(start)
    fresh = list(start)
    while fresh:
        found: dict[int, str] = {}
        for part in _parts(fresh):
            found |= _decanted(part, day) | _kept(part, day)
        fresh = [bottle for bottle in found if bottle not in through]
        through |= {bottle: found[bottle] for bottle in fresh}
    return through


def _parts(bottles: Sequence[int]) -> Iterable[list[int]]:
    for at in range(0, len(bottles), SEVERAL):
        yield list(bottles[at : at + SEVERAL])


def _decanted(bottles: list[int], day: date) -> dict[int, str]:
    out = Movement.alias()
    rows = (
        Movement.select(Movement.bottle, out.bottle)
        .join(out, on=((out.booking == Movement.booking) & (out.kind == "moved_out")))
        .switch(Movement)
        .join(Booking)
        .where((Movement.kind == "moved_in") & out.bottle.in_(bottles))
        .where((Booking.day <= day) & in_force(Booking.id, day))
        .order_by(Movement.id)
    )
    return {into: _("bottle {source}", source=label_of(source)) for into, source in rows.tuples()}


def _kept(bottles: list[int], day: date) -> dict[int, str]:
    mixes = Pour.select(Pour.mix).join(Movement).where(Movement.bottle.in_(bottles))
    mixes = mixes.where(in_force(Movement.booking, day))
    rows = (
        Bottle.select(Bottle.id, Close.mix)
        .join(Close, on=(Bottle.delivery == Close.id))
        .join(Booking, on=(Close.id == Booking.id))
        .where(Close.mix.in_(mixes) & (Booking.day <= day) & in_force(Close.id, day))
        .order_by(Bottle.id)
    )
    return {jar: _("mix {mix}", mix=mix) for jar, mix in rows.tuples()}


def _mixes(through: dict[int, str | None], day: date) -> list[TracedMix]:
    volume: dict[int, int] = defaultdict(int)
    bottles: dict[int, list[int]] = defaultdict(list)
    details: dict[int, tuple[date, str | None, str]] = {}
    for part in _parts(list(through)):
        rows = (
            Pour.select(Pour.mix, Movement.bottle, Movement.change_ul, Booking.day, Job.name, Job.customer)
            .join(Mix)
            .join(Booking, on=(Mix.id == Booking.id))
            .switch(Mix)
            .left_outer_join(Job)
            .switch(Pour)
            .join(Movement)
            .where(Movement.bottle.in_(part) & (Booking.day <= day))
            .where(in_force(Pour.mix, day) & in_force(Movement.booking, day))
            .order_by(Movement.id)
        )
        for mix, bottle, change_ul, on, job, customer in rows.tuples():
            volume[mix] -= change_ul
            bottles[mix].append(bottle)
            details[mix] = (on, job, customer or "")
    outcomes = _outcomes(list(details), day)
    found = [
        TracedMix(
            mix,
            *details[mix],
            outcomes.get(mix),
            Microlitres(volume[mix]),
            tuple(dict.fromkeys(bottles[mix])),
        )
        for mix in details
    ]
    return sorted(found, key=lambda one: (one.day, one.id))


def _outcomes(mixes: Sequence[int], day: date) -> dict[int, str]:
    found: dict[int, str] = {}
    for part in _parts(mixes):
        rows = Close.select(Close.mix, Close.outcome).join(Booking, on=(Close.id == Booking.id))
        rows = rows.where(Close.mix.in_(part) & (Booking.day <= day) & in_force(Close.id, day))
        found |= dict(rows.tuples())
    return found


def _washed(through: dict[int, str | None], day: date) -> int:
    total = 0
    for part in _parts(list(through)):
        rows = (
            Movement.select(pw.fn.COALESCE(pw.fn.SUM(Movement.change_ul), 0))
            .join(Booking)
            .where((Movement.kind == "washed") & Movement.bottle.in_(part))
            .where((Booking.day <= day) & in_force(Booking.id, day))
        )
        total -= int(rows.tuples().get()[0])
    return total


def _bottles(through: dict[int, str | None]) -> Iterable[TracedBottle]:
    rows: dict[int, tuple[Any, ...]] = {}
    for part in _parts(list(through)):
        query = (
            Bottle.select(
                Bottle.id, Product.name, Bottle.size_ul, Bottle.on_hand_ul, Bottle.opened_on, Bottle.discarded_on,
                Place.name,
            )
            .join(Product)
            .switch(Bottle)
            .left_outer_join(Place)
            .where(Bottle.id.in_(part))
        )  # fmt: skip
        rows |= {row[0]: row for row in query.tuples()}
    for number, source in through.items():
        _, product, size_ul, held_ul, opened, discarded, place = rows[number]
        state = state_of(held_ul, opened, discarded)
        yield TracedBottle(number, product, size_ul, held_ul, state, place, source)
