"""Planning a mix from a request, choosing its bottles, and booking it whole.

`plan` works everything out and books nothing; `book_mix` books that plan in one transaction. Volumes are
microlitres; the reduction is reducer in per cent of the paint's volume.
"""

from collections.abc import Collection, Iterable, Mapping, Sequence
from datetime import date, datetime
from fractions import Fraction
from operator import attrgetter

from stock import clock
from stock.bench import relock
from stock.bench.late_pours import usable_then
from stock.bench.named_parts import Part, named_parts, picked_bottles
from stock.bench.pot_life import PotLife, of_rows
from stock.bench.reduction import Reduction
from stock.bench.relock import BottleStates, Draw, PlanOutdated
from stock.cautions.facts import Finding
from stock.errors import BadInput, BooksUnreachable, Stopped, UllageError
from stock.language import _
from stock.ledger import Answer, Errand, book, hold, zone
from stock.named_tuples import NamedTuple
from stock.remedies import Option, Remedy
from stock.shelf import jobs, products
from stock.shelf.bottles_to_pour import ChosenBottle, pourable
from stock.shelf.choosing import Candidate, Take, choose
from stock.shelf.noted_products import Noted
from stock.shelf.studio import settings
from stock.store.connection import connection, reading
from stock.store.models import Bottle, Product, database
from stock.text import note as clean_note
from stock.units import Microlitres, Micrometres, Milligrams, ml

MOST_PARTS = 40
TRIES = 3
"""How many plans are made without a lock before the bottles are locked first."""


class MixRequest(NamedTuple):
    """What a person asks for, before bottles are chosen.

    `parts` are (product, microlitres); `reduce` is per cent of the paint's volume; `reducers` are
    (product, weight) of a blend, one entry for a single reducer, none for the paint's usual one; `recipe` is the name
    of the recipe that it follows, if it does; `weighed` are (product, scale before, scale after), in milligrams, of the
    parts whose amounts were given as weights.
    """

    parts: tuple[tuple[str, Microlitres], ...]
    reduce: Fraction | None = None
    reducers: tuple[tuple[str, int], ...] = ()
    needle_um: Micrometres | None = None
    job: str | None = None
    bottles: tuple[str, ...] = ()
    at: datetime | None = None
    note: str = ""
    recipe: str | None = None
    weighed: tuple[tuple[str, Milligrams, Milligrams], ...] = ()


class PlannedPour(NamedTuple):
    """One component's share from one bottle, and what the bottle holds before and after it."""

    bottle: int
    product: str
    product_id: int
    part: str
    volume_ul: Microlitres
    before_ul: Microlitres
    why: str
    opened: bool = False
    color: str | None = None
    size_ul: Microlitres = Microlitres(0)
    density_ug_per_ml: int | None = None
    drops_milli: int | None = None

    @property
    def after_ul(self) -> Microlitres:
        """What the bottle will hold after the pour."""
        return Microlitres(self.before_ul - self.volume_ul)

    def as_json(self) -> Answer:
        """The pour as the commands print it, as pinned."""
        return {
            "bottle": self.bottle,
            "product": self.product,
            "volume_ml": ml(self.volume_ul),
            "on_hand_ml": ml(self.after_ul),
        }


class MixPlan(NamedTuple):
    """Everything that a mix will take, before it is booked; `made` is when it was made, if it is written down late."""

    request: MixRequest
    day: date
    pours: tuple[PlannedPour, ...]
    cautions: tuple[Finding, ...] = ()
    pot_life: PotLife | None = None
    made: str = ""

    def total(self, *parts: str) -> Microlitres:
        """Microlitres of the named parts together; of all when none is named."""
        return Microlitres(sum(pour.volume_ul for pour in self.pours if not parts or pour.part in parts))

    @property
    def reduction(self) -> Reduction | None:
        """The reduction of the mix, or None without paint."""
        paint_ul = self.total("paint")
        return Reduction.of(paint_ul, self.total("reducer")) if paint_ul else None

    def stops(self, accepted: Sequence[str] = ()) -> list[Finding]:
        """The cautions that refuse the mix, unless they are accepted by their code."""
        return [found for found in self.cautions if found.severity == "stop" and found.code not in accepted]

    def as_json(self, mix: int | None = None) -> Answer:
        """The answer of `ullage mix`, as pinned."""
        paint_ul, reducer_ul = self.total("paint"), self.total("reducer")
        reduction = Reduction.of(paint_ul, reducer_ul) if paint_ul else None
        return {
            "mix": mix,
            "paint_ml": ml(paint_ul),
            "reducer_ml": ml(reducer_ul),
            "total_ml": ml(self.total()),
            "reduction": reduction.as_json() if reduction else None,
            "pours": [pour.as_json() for pour in self.pours],
            "cautions": [found.in_a_mix() for found in self.cautions],
            "booked": mix is not None,
            **({"pot_life": self.pot_life.as_json()} if self.pot_life is not None else {}),
        }


BY_BOTTLE = attrgetter("bottle")
NOTHING = Microlitres(0)
Free = tuple[MixPlan, BottleStates]
"""A plan made without a lock, and the state of its bottles."""


def plan(request: MixRequest) -> MixPlan:
    """Work out a mix: its bottles, what they will hold, the reduction and every caution; books nothing.

    Raises:
        BadInput: nothing to pour, a reducer without an amount, a blend of a reducer with itself.
        NotFound, Ambiguous: a product or bottle.
        NotEnough: the usable bottles hold less than is needed.
    """
    with connection(), reading():
        return _plan(request)[0]


def _plan(request: MixRequest, *, judge: bool = True, among: Collection[int] | None = None) -> Free:
    """The plan, and the state of the bottles that it relies on.

    Args:
        request: what was asked.
        judge: whether its cautions are worked out.
        among: the bottles that may be poured from; all of them when None.
    """
    if not request.parts:
        raise BadInput(_("a mix needs at least one product"), remedy=_('Write it as "Harbour Blue=8ml"'))
    if len(request.parts) > MOST_PARTS:
        raise BadInput(
            _("a mix has at most {most_parts} parts", most_parts=MOST_PARTS), remedy=_("Mix it as two mixes")
        )
    day = clock.day_of(request.at or clock.now(), zone())
    made = clock.local_minute(request.at, zone()) if request.at else ""
    components, about = named_parts(request)
    picked = picked_bottles(request, components, day)
    measures = settings().measures
    pours: list[PlannedPour] = []
    used: dict[int, ChosenBottle] = {}
    rows = {product.id: product for product, _, _ in components}
    there = pourable(rows, came_by=day)
    shelf, not_free_ul = usable_then(there.by_product, request.at)
    for component in components:
        product, _part, volume_ul = component
        usable = shelf[product.id]
        if among is not None:
            usable = [each for each in usable if each.id in among]
        takes = choose(
            usable,
            volume_ul,
            product=product.name,
            today=day,
            picked=picked.get(product.id, ()),
            measures=measures,
            since=made,
        )
        for take in takes:
            bottle = used[take.bottle] = there.bottle(take.bottle)
            pours.append(_pour(component, take, bottle, not_free_ul.get(take.bottle, NOTHING), day))
        if len(rows) < len(components):
            shelf[product.id] = [_less(bottle, takes) for bottle in usable]
    poured = [(pour.product_id, pour.part, pour.volume_ul, pour.bottle) for pour in pours]
    cautions = cautions_about(poured, day, rows, used.values(), about) if judge else ()
    lasts = of_rows(
        [(product, part == "hardener") for product, part, _ in components], request.at or clock.now(), zone()
    )
    return MixPlan(request, day, tuple(pours), tuple(cautions), lasts, made), relock.states_of(used.values())


def _less(bottle: Candidate, takes: Sequence[Take]) -> Candidate:
    """The bottle less what one part takes from it, for a later part of the same product."""
    taken_ul = sum(take.volume_ul for take in takes if take.bottle == bottle.id)
    return bottle._replace(on_hand_ul=Microlitres(bottle.on_hand_ul - taken_ul)) if taken_ul else bottle


def _pour(of: Part, take: Take, bottle: ChosenBottle, spoken_for_ul: Microlitres, day: date) -> PlannedPour:
    product, part, _all_ul = of
    return PlannedPour(
        bottle=take.bottle, product=product.name, product_id=product.id, part=part, volume_ul=take.volume_ul,
        before_ul=Microlitres(take.on_hand_ul + spoken_for_ul), why=take.why, color=product.color,
        density_ug_per_ml=product.density_ug_per_ml, drops_milli=product.drops_milli, size_ul=bottle.size_ul,
        opened=bottle.opened_on is not None and bottle.opened_on <= day,
    )  # fmt: skip


def cautions_about(
    poured: Sequence[tuple[int, str, int, int]],
    day: date,
    rows: Mapping[int, Product],
    bottles: Iterable[ChosenBottle],
    about: Noted | None = None,
) -> list[Finding]:
    """Every caution about what is in a cup, gravest first.

    Args:
        poured: (product's number, part, microlitres, bottle) each.
        day: the day of the mix.
        rows: the products by number.
        bottles: the bottles as they stand now.
        about: what is noted of the products, where it is read already.
    """
    from stock.bench import ratios  # the rules are read only when a mix is planned
    from stock.cautions.books import for_mix
    from stock.cautions.facts import SEVERITIES

    found = for_mix(
        [(product, volume, bottle) for product, _, volume, bottle in poured],
        as_of=day,
        rows=rows,
        bottles=bottles,
        about=about,
    )
    with_sheets = about is None or about.sheets
    found += ratios.findings([part[:3] for part in poured], rows, as_of=day, with_sheets=with_sheets)
    return sorted(found, key=lambda each: -SEVERITIES.index(each.severity))


def book_mix(
    request: MixRequest, *, accept: Sequence[str] = (), key: str | None = None, judge: bool = True
) -> Answer:
    """Plan the mix, and book that very plan whole.

    On a server the plan is made first, so that benches wait for each other only while they write; then its bottles
    are locked, and it is booked if they are still as it assumed. A file has one lock for everything, and waiting for
    the disk holds that lock ten times as long as planning does; so on a file the plan is made under the lock.

    Args:
        request: what was asked.
        accept: codes of the `stop` cautions that a person accepts.
        key: the caller's key; a repeat returns the first answer, booked once.
        judge: False only for a mix that was made long ago and is booked now: no caution can stop it any more,
            so none is worked out.
    Returns:
        The answer of `ullage mix`, as pinned.
    Raises:
        Stopped: a `stop` caution that was not accepted; nothing is booked.
        What `plan` raises.
    """
    note = clean_note(request.note)
    for __ in range(TRIES if database.obj.for_update else 0):
        free = _free(request, judge=judge)
        if free is None:
            break
        try:
            return _book(request, free, accept, key, note, judge=judge)
        except PlanOutdated:
            continue
    return _book(request, None, accept, key, note, judge=judge)


def _free(request: MixRequest, *, judge: bool) -> Free | None:
    """A plan made without a lock; None inside a transaction, or if a refusal must be confirmed under the lock."""
    with connection():
        if database.obj.in_transaction():
            return None
        try:
            with reading():
                return _plan(request, judge=judge)
        except BooksUnreachable:
            raise
        except UllageError:
            return None


def _book(
    request: MixRequest, free: Free | None, accept: Sequence[str], key: str | None, note: str, *, judge: bool
) -> Answer:
    """Try once: book the free plan if it still fits, or a plan made after all bottles of the products were locked.

    Raises:
        PlanOutdated: the free plan doesn't fit any more; nothing is booked.
    """

    def work(errand: Errand) -> Answer:
        job = jobs.named(request.job, errand.day) if request.job else None
        # Everything before this needs no bottle; other benches wait from here on.
        if free is not None:
            planned = _held(*free)
        else:
            among = _lockable(request)
            hold(among or ())
            planned, _ = _plan(request, judge=judge, among=among)
        refuse_stops(planned.stops(accept))
        needle_um = request.needle_um
        errand.mix(_drawn(planned.pours), job=job.id if job is not None else None, needle_um=needle_um)
        _mark_opened(errand, planned.pours)
        if job is not None and request.recipe is not None:
            from stock.bench.mix_queue import note_made  # it plans mixes itself

            note_made(errand.booking, job.id, request.recipe)
        if request.weighed:
            from stock.bench.weighings import note_typed  # seldom

            note_typed(errand.booking, planned.pours, request.weighed)
        return planned.as_json(errand.booking)

    return book("mix", work, at=request.at, key=key, note=note)


def refuse_stops(stops: Sequence[Finding]) -> None:
    """Refuse a mix that a caution stops.

    Raises:
        Stopped: there is one; the remedy says how it is accepted.
    """
    if stops:
        raise Stopped(
            f"{stops[0].message} ({stops[0].code}: {stops[0].source})",
            remedy=Remedy(
                stops[0].remedy,
                _(". To mix it anyway, accept it "),
                Option("accept", stops[0].code),
                _("; nothing was booked"),
            ),
        )


def _held(planned: MixPlan, states: BottleStates) -> MixPlan:
    """The plan with its bottles locked and with what each bottle holds now."""
    found = relock.hold([Draw(pour.bottle, pour.volume_ul) for pour in planned.pours], states)
    pours = zip(planned.pours, found, strict=True)
    return planned._replace(
        pours=tuple(pour._replace(before_ul=Microlitres(before_ul)) for pour, before_ul in pours)
    )


def pour_into(errand: Errand, mix: int, pours: Sequence[PlannedPour]) -> None:
    """Book pours of a mix; their bottles count as open from that day on."""
    errand.pour(mix, _drawn(pours))
    _mark_opened(errand, pours)


def _drawn(pours: Iterable[PlannedPour]) -> list[tuple[int, int, str]]:
    """The pours as the ledger wants them, in ascending order of the bottles."""
    in_order = sorted(pours, key=BY_BOTTLE)
    return [(pour.bottle, pour.volume_ul, pour.part) for pour in in_order]


def _mark_opened(errand: Errand, pours: Iterable[PlannedPour]) -> None:
    for bottle in sorted(pour.bottle for pour in pours if not pour.opened):
        mark_open(errand, bottle)


def mark_open(errand: Errand, bottle: int) -> None:
    """Note that a bottle was open on the errand's day, if the books have it as sealed on that day."""
    opened_on = Bottle.select(Bottle.opened_on).where(Bottle.id == bottle).tuples().get()[0]
    if opened_on is None or opened_on > errand.day:
        errand.change(bottle, "opened_on", errand.day)


def _lockable(request: MixRequest) -> set[int] | None:
    """All bottles of the named products, so that two benches wait for each other and never deadlock.

    A bottle that is received while this waits for the locks is not locked and must not be poured from. None if the
    transaction locks everything anyway.
    """
    if not database.obj.for_update:
        return None
    names = [name for name, _ in request.parts] + [name for name, _ in request.reducers]
    found = [products.find(name) for name in names]
    usual = [products.reducer_of(product) for product in found]
    ids = {product.id for product in (*found, *usual) if product is not None}
    rows = Bottle.select(Bottle.id).where(Bottle.product.in_(sorted(ids)))
    return {number for (number,) in rows.tuples()}
