"""Today: what to order, what not to use, what was just done, and the usual mixes."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import TYPE_CHECKING, Any

from stock import clock
from stock.bench.mixes import MixView, open_mixes
from stock.cautions.facts import Finding
from stock.language import _
from stock.logbook.history import Filter, LogEntry, entries
from stock.logbook.usual import RECENT_DAYS, PastMix, UsualMix, usual
from stock.money import minor_digits, show_money
from stock.named_tuples import NamedTuple
from stock.notation import show_day
from stock.shelf.past_shelf import in_force
from stock.shelf.studio import Settings, settings
from stock.store.connection import connection, reading
from stock.store.models import Booking, Bottle, Close, Mix, Movement, Pour, Product
from stock.text import plain
from stock.units import Microlitres, Micrometres, ml, show_volume

if TYPE_CHECKING:
    from stock.forecast.books import Reading

AHEAD_DAYS = 28
"""How far ahead an order-by day is shown: common practice, no source."""
JUST_DONE = 5
SHOWN = 3
SAFETY = _(
    "Estimates from what was entered; the safety data sheet, local fire and environmental "
    "codes and licensed practice decide."
)


@dataclass(frozen=True, slots=True)
class ToOrder:
    """One product to order and the day to order by, with the packs if they are known; money in the minor unit.

    `late` means that even an order today may come too late; `sprays` are the cautious sprays left.
    """

    product_id: int
    product: str
    order_by: date
    late: bool
    size_ul: Microlitres | None
    count: int | None
    supplier: str | None
    cost_minor: int | None
    runs_out_on: date | None
    sprays: int | None

    def what(self, measures: str) -> str:
        """`2 x 60 ml`; empty if no size is known."""
        return "" if self.size_ul is None else f"{self.count} x {show_volume(self.size_ul, measures)}"


def _names(one: Finding) -> tuple[str, ...]:
    own = one.product or one.place
    return (own,) if own else one.others or ("the studio",)


class CautionGroup(NamedTuple):
    """Findings of one rule: for a `stop` those of one product or place, else those of all."""

    found: tuple[Finding, ...]

    @property
    def first(self) -> Finding:
        """The finding that is shown for the group."""
        return self.found[0]

    @property
    def not_to_use(self) -> bool:
        """Whether something must not be used; otherwise it only needs attention."""
        return self.first.not_to_use

    @property
    def about(self) -> tuple[str, ...]:
        """Names of the products or places it concerns, each once; the studio where a finding names none."""
        return tuple(dict.fromkeys(name for one in self.found for name in _names(one)))

    @property
    def bottles(self) -> tuple[int, ...]:
        """The bottles it concerns, each once."""
        return tuple(dict.fromkeys(one.bottle for one in self.found if one.bottle is not None))

    def words(self) -> str:
        """The first finding's message in one line, with its product or place."""
        message = plain(self.first.message, 400)
        about = plain(self.about[0])
        bottle = _(" (bottle {bottle})", bottle=self.first.bottle) if self.first.bottle is not None else ""
        return message if message.startswith(about) else f"{about}{bottle}: {message}"

    def others(self) -> str:
        """The other products or places that it concerns, in one line; empty if there are none."""
        further = self.about[1:]
        names = ", ".join(plain(name) for name in further[:SHOWN])
        if len(further) > SHOWN:
            names += _(" and {further} more", further=len(further) - SHOWN)
        if not further:
            return _("{bottles} bottles", bottles=len(self.bottles)) if len(self.bottles) > 1 else ""
        return (
            _("also {names}; {bottles} bottles in total", names=names, bottles=len(self.bottles))
            if self.bottles
            else _("also {names}", names=names)
        )

    def as_json(self) -> dict[str, Any]:
        """The group with its first finding's message and all that it concerns."""
        one = self.first.as_json()
        return {
            "code": one["code"],
            "severity": one["severity"],
            "action": self.first.action,
            "not_to_use": self.not_to_use,
            "about": list(self.about),
            "bottles": list(self.bottles),
            "since": one["since"],
            "message": one["message"],
            "remedy": one["remedy"],
            "source": one["source"],
        }


class Today(NamedTuple):
    """What a studio sees first on a day."""

    as_of: date
    studio: Settings
    order: tuple[ToOrder, ...]
    cautions: tuple[CautionGroup, ...]
    done: tuple[LogEntry, ...]
    usual: tuple[UsualMix, ...]
    two_part: tuple[MixView, ...] = ()
    """Open mixes with a hardener, whose pot life runs."""

    def as_json(self) -> dict[str, Any]:
        """The answer of `ullage today --json`."""
        return {
            "as_of": self.as_of.isoformat(),
            "order": [self._order(one) for one in self.order],
            "cautions": [one.as_json() for one in self.cautions],
            "done": [one.as_json() for one in self.done],
            "usual": [one.as_json() for one in self.usual],
            "two_part": [
                {"mix": one.id, "what": one.words, **one.pot_life.counted_down(clock.now())}
                for one in self.two_part
                if one.pot_life is not None
            ],
        }

    def _order(self, one: ToOrder) -> dict[str, Any]:
        scale = 10 ** minor_digits(self.studio.currency)
        return {
            "product": one.product,
            "order_by": one.order_by.isoformat(),
            "late": one.late,
            "size_ml": ml(one.size_ul) if one.size_ul is not None else None,
            "count": one.count,
            "supplier": one.supplier,
            "cost": one.cost_minor / scale if one.cost_minor is not None else None,
            "currency": self.studio.currency,
            "runs_out_on": one.runs_out_on.isoformat() if one.runs_out_on else None,
            "sprays_left": one.sprays,
        }

    def lines(self) -> list[str]:
        """The day as `ullage today` prints it."""
        stops = [one for one in self.cautions if one.not_to_use]
        watch = [one for one in self.cautions if not one.not_to_use]
        text = [f"{plain(self.studio.name)}, {show_day(self.as_of)}", ""]
        if self.two_part:
            text += [_("Mixed with hardener"), *map(_pot_line, self.two_part), ""]
        text += [_("Order")]
        text += [f"  {self._order_words(one)}" for one in self.order] or [
            _("  Nothing within {ahead_days} days.", ahead_days=AHEAD_DAYS)
        ]
        text += ["", _("Do not use")]
        text += [line for one in stops for line in _caution_lines(one)] or [
            _("  No caution forbids a bottle.")
        ]
        if watch:
            text += ["", _("Watch")]
            text += [line for one in watch for line in _caution_lines(one)]
        text += ["", _("Just done")]
        text += [
            f"  {show_day(one.day)} {one.kind} {one.id}: {one.words(self.studio.measures)}".rstrip(": ")
            for one in self.done
        ] or [_("  Nothing yet.")]
        if self.usual:
            text += ["", _("Usual mixes")]
            text += [f"  {one.words(self.studio.measures)}{_short(one)}" for one in self.usual]
        return [*text, "", SAFETY]

    def _order_words(self, one: ToOrder) -> str:
        when = (
            _("now, it may come too late")
            if one.late
            else _("by {order_by}", order_by=show_day(one.order_by))
        )
        what = one.what(self.studio.measures) or _("size unknown")
        cost = f", {show_money(one.cost_minor, self.studio.currency)}" if one.cost_minor is not None else ""
        supplier = f", {plain(one.supplier)}" if one.supplier else ""
        return f"{when}: {plain(one.product)}, {what}{supplier}{cost}"


def _pot_line(mix: MixView) -> str:
    words = mix.pot_life.words(clock.now()) if mix.pot_life is not None else ""
    return _("  Mix {id}, {words}: {time_left}", id=mix.id, words=plain(mix.words), time_left=words)


def open_two_part(as_of: date | None) -> tuple[MixView, ...]:
    """The open mixes with a hardener, the least time left first; empty for a past day."""
    if as_of is not None:
        return ()
    now = clock.now()
    left = [
        (mix.pot_life.left_minutes(now) or 0, -mix.id, mix)
        for mix in open_mixes()
        if mix.pot_life is not None
    ]
    return tuple(mix for _, _, mix in sorted(left, key=lambda each: each[:2]))


def _caution_lines(one: CautionGroup) -> Iterable[str]:
    yield f"  {_(one.first.severity).upper()} {one.words()}"
    if others := one.others():
        yield f"    {others}"
    yield f"    {plain(one.first.remedy, 400)} [{plain(one.first.source)}]"


def _short(one: UsualMix) -> str:
    return _(" (too little {short})", short=", ".join(plain(name) for name in one.short)) if one.short else ""


def today(as_of: date | None = None) -> Today:
    """Read what Today shows of a day; of today when None."""
    from stock.forecast.books import read  # numpy, only when a forecast is wanted

    with connection(), reading():
        studio = settings()
        day = as_of or studio.today()
        forecast = read(as_of)
        cautions = grouped(_findings(as_of))
        done = entries(Filter(until=day), limit=JUST_DONE, as_of=day)
        made = made_since(day - timedelta(days=RECENT_DAYS), day)
        two_part = open_two_part(as_of)
    return Today(
        as_of=day,
        studio=studio,
        order=tuple(to_order(forecast)),
        cautions=tuple(cautions),
        done=tuple(done),
        usual=tuple(usual(made, day, usable_ul=forecast.usable_ul())),
        two_part=two_part,
    )


def _findings(as_of: date | None) -> list[Finding]:
    from stock.cautions.books import findings  # reads the rules

    return findings(as_of)


def to_order(forecast: "Reading") -> list[ToOrder]:
    """What to order within the next `AHEAD_DAYS` days: what is late, then the earliest order-by day first."""
    due = []
    for one in forecast.due(AHEAD_DAYS):
        if one.order_by is None or one.order_by_day is None:
            continue
        choice = one.order
        due.append(
            ToOrder(
                product_id=one.facts.number,
                product=one.facts.product,
                order_by=one.order_by_day,
                late=one.order_by.late,
                size_ul=choice.pack.size_ul if choice is not None else None,
                count=choice.count if choice is not None else None,
                supplier=one.facts.supplier,
                cost_minor=choice.cost_minor if choice is not None else None,
                runs_out_on=one.day(one.runs_out[1]),
                sprays=one.sprays[0] if one.sprays is not None else None,
            )
        )
    return sorted(due, key=lambda one: (not one.late, one.order_by, one.product.casefold()))


def grouped(found: Iterable[Finding]) -> list[CautionGroup]:
    """Findings of severity `stop` and `warn` in groups: a `stop` by product or place, warnings by their rule.

    A finding about a gas that kills has a group of its own, like a `stop`.
    """
    groups: dict[Any, list[Finding]] = defaultdict(list)
    for one in found:
        if one.severity != "note":
            about = (one.product, one.place) if one.severity == "stop" or one.deadly else None
            groups[one.code, one.severity, about].append(one)
    return [CautionGroup(tuple(same)) for same in groups.values()]


def made_since(since: date, until: date) -> list[PastMix]:
    """The mixes made in these days and not undone by `until`, with their steps; two queries."""
    with connection(), reading():
        rows = list(_poured(since, until).tuples())
        outcomes = {
            mix: (outcome, needle)
            for mix, outcome, needle in Close.select(Close.mix, Close.outcome, Close.needle_um)
            .join(Booking, on=(Booking.id == Close.id))
            .where((Booking.day >= since) & (Booking.day <= until) & in_force(Close.id, until))
            .order_by(Close.id)
            .tuples()
        }
    mixes: dict[int, list[tuple[Any, ...]]] = defaultdict(list)
    for row in rows:
        mixes[row[0]].append(row)
    return [_made(pours, *outcomes.get(mix, (None, None))) for mix, pours in mixes.items()]


def _poured(since: date, until: date) -> Any:
    poured = Booking.alias()  # a step may be of a later day than its mix
    return (
        Pour.select(Pour.mix, Booking.day, Mix.needle_um, Pour.part, Product.name, Movement.change_ul)
        .join(Mix)
        .join(Booking, on=(Booking.id == Mix.id))
        .switch(Pour)
        .join(Movement)
        .join(poured, on=(poured.id == Movement.booking))
        .switch(Movement)
        .join(Bottle)
        .join(Product)
        .where((Booking.day >= since) & (Booking.day <= until) & (poured.day <= until))
        .where(in_force(Pour.mix, until) & in_force(Movement.booking, until))
        .order_by(Pour.movement)
    )


def _made(pours: Sequence[tuple[Any, ...]], outcome: str | None, sprayed_um: Micrometres | None) -> PastMix:
    parts: dict[str, Microlitres] = {}
    reducers: dict[str, Microlitres] = {}
    paint_ul = 0
    for __, ___, ____, part, name, change_ul in pours:
        sums = reducers if part == "reducer" else parts
        sums[name] = Microlitres(sums.get(name, 0) - change_ul)
        paint_ul -= change_ul if part == "paint" else 0
    mix, day, needle_um = pours[0][:3]
    return PastMix(
        mix=mix,
        day=day,
        parts=tuple(parts.items()),
        reducers=tuple(reducers.items()),
        paint_ul=Microlitres(paint_ul),
        needle_um=sprayed_um or needle_um,
        outcome=outcome,
    )
