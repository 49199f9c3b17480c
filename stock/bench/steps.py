"""Steps: reducer, a tint or more paint added to an open mix, or paint that brings an over-thinned mix back."""

from collections.abc import Iterable, Sequence
from datetime import date, datetime
from fractions import Fraction

from stock import clock
from stock.bench import reduction as thinning
from stock.bench import step_cautions
from stock.bench.books import PaintAdvice, advice_for
from stock.bench.late_pours import usable_then
from stock.bench.mixes import MixView, lock, open_one
from stock.bench.mixing import PlannedPour, pour_into, refuse_stops
from stock.bench.named_parts import PART_OF_ROLE
from stock.bench.ranges import SheetRange
from stock.bench.reduction import Reduction
from stock.bench.relock import Draw, hold
from stock.bench.stages import Stage
from stock.bench.starting import next_step
from stock.bench.step_plan import StepPlan
from stock.bench.step_requests import StepRequest, thinners
from stock.bench.weighings import note_typed
from stock.cautions.facts import Finding
from stock.errors import BadInput
from stock.grammar import plain_figure
from stock.language import _
from stock.ledger import Answer, Errand, book, zone
from stock.shelf import products
from stock.shelf.bottles_to_pour import candidates
from stock.shelf.choosing import choose
from stock.shelf.studio import settings
from stock.store.connection import connection, reading
from stock.store.models import Product
from stock.store.models import Step as StepRow
from stock.text import note as clean_note
from stock.units import MOST_REDUCTION, Microlitres, MilliPercent, show_volume, split

Added = tuple[Product, Microlitres]
"""A product of a step and its microlitres."""


def plan_step(number: int, request: StepRequest | None = None) -> StepPlan:
    """Work out a step; books nothing.

    Args:
        number: the mix.
        request: what to add; the advised step of its own reducer when None.
    Raises:
        NotFound: no such mix or product.
        ClosedAlready: the mix was closed.
        BadInput: no reducer is named or known, the step is not above 0, or it would go beyond 200 %.
        NotEnough: the usable bottles hold less.
    """
    with connection(), reading():
        return _plan(open_one(number), request or StepRequest(), None)


def _plan(mix: MixView, request: StepRequest, at: datetime | None, *, judge: bool = True) -> StepPlan:
    cup = _cup(mix, request.left_ul)
    more = [_named(name, volume_ul) for name, volume_ul in request.parts]
    more_paint_ul = sum(volume for row, volume in more if PART_OF_ROLE[row.role] == "paint")
    paint_ul = Microlitres(cup.paint_ul + more_paint_ul)
    reducers = thinners(mix, request.reducers) if request.reduces else []
    if not judge:
        if request.points is None:
            raise BadInput(_("a step that is booked later must say how much"), remedy=_("Write it as 5%"))
        return _poured(mix, cup, request, [*more, *_shared(reducers, paint_ul, request)], at)
    rows = {row.id: row for row, _ in reducers}
    asked = advice_of(mix, cup, [row.name for row in rows.values()])
    if request.reduces and request.points is None and request.reducer_ul is None:
        before = Reduction.of(paint_ul, cup.reducer_ul)
        request = request._replace(points=Fraction(_advised_step(asked, before), 1_000))
    planned = _poured(mix, cup, request, [*more, *_shared(reducers, paint_ul, request)], at)
    return _judged(planned, cup, asked, at)


def _named(name: str, volume_ul: Microlitres) -> Added:
    if volume_ul <= 0:
        raise BadInput(_("{name}: the amount must be above 0", name=name), remedy=_("Write it as 0.5ml"))
    return products.find(name), volume_ul


def _shared(
    reducers: Sequence[tuple[Product, int]], paint_ul: Microlitres, request: StepRequest
) -> list[Added]:
    """The reducer of a step, shared out over the products of a blend."""
    if not reducers:
        return []
    amount_ul: Microlitres | None = request.reducer_ul
    if amount_ul is None:
        amount_ul = thinning.step(paint_ul, request.points or Fraction(0))
    if amount_ul <= 0:
        raise BadInput(_("a step adds reducer"), remedy=_("Write a step above 0 %, such as 5%"))
    shares = split(amount_ul, [weight for _, weight in reducers])
    return [(row, share) for (row, _), share in zip(reducers, shares, strict=True) if share]


def _poured(
    mix: MixView,
    cup: Stage,
    request: StepRequest,
    added: Sequence[Added],
    at: datetime | None,
    *,
    purpose: str | None = None,
) -> StepPlan:
    """The step with its pours, without cautions or advice."""
    after = cup.plus((row.id, PART_OF_ROLE[row.role], volume_ul) for row, volume_ul in added)
    percent = Reduction.of(after.paint_ul, after.reducer_ul).percent_of_paint
    if after.reducer_ul > cup.reducer_ul and percent > MOST_REDUCTION:
        raise BadInput(
            _("that would be {percent} % of the paint", percent=plain_figure(percent, 1)),
            remedy=_("Stay within {most_reduction} %; nothing was booked", most_reduction=MOST_REDUCTION),
        )
    purpose = purpose or ("add" if request.parts else "thin")
    return StepPlan(mix, request, tuple(_pours(mix, added, at)), after, purpose)


def _judged(planned: StepPlan, cup: Stage, asked: PaintAdvice, at: datetime | None) -> StepPlan:
    """The step with its cautions, its place in the range, and what to add next."""
    stands = planned.reduction
    before = Reduction.of(cup.paint_ul, cup.reducer_ul)
    rule = asked.advice.rule
    reducer = next((pour.product for pour in planned.pours if pour.part == "reducer"), None)
    found: list[Finding] = []
    judged: set[str] = set()
    if reducer is not None:
        judged = {"beyond-range"}  # the advice has judged it, and it knows the needle
        added_ul = planned.after.reducer_ul - cup.reducer_ul
        first = 0 if cup.reducer_ul else asked.advice.start_milli
        paint_ul = planned.after.paint_ul
        step = max(Fraction(100 * added_ul, paint_ul) - Fraction(first, 1_000), Fraction(0))
        found = step_cautions.about(step, stands, rule, reducer, paint_ul)
    found += step_cautions.brought(planned.mix, cup, planned.pours, _day(at), judged)
    next_at = stands if stands.percent_of_paint else before
    return planned._replace(
        cautions=tuple(found),
        used_milli=_used(stands, rule),
        next_milli=_advised_step(asked, next_at),
    )


def _day(at: datetime | None) -> date:
    return clock.day_of(at, zone()) if at is not None else settings().today()


def _cup(mix: MixView, left_ul: Microlitres | None) -> Stage:
    """What the cup holds: everything that was poured, or what is left after spraying."""
    if left_ul is not None and not 0 < left_ul <= mix.cup.total_ul:
        raise BadInput(
            _(
                "{left_ul} can't be left of a mix of {total_ul}",
                left_ul=show_volume(left_ul),
                total_ul=show_volume(mix.cup.total_ul),
            ),
            remedy=_("Write what the cup holds now"),
        )
    cup = mix.cup if left_ul is None else mix.cup.after_spraying(left_ul)
    if cup.paint_ul <= 0:
        raise BadInput(_("mix {id} holds no paint to thin", id=mix.id), remedy=_("Close it and make another"))
    return cup


def advice_of(mix: MixView, cup: Stage | None = None, added: Sequence[str] = ()) -> PaintAdvice:
    """The advice for the paint of an open mix with the reducers in it.

    Args:
        mix: the mix.
        cup: what it holds, if some was sprayed.
        added: names of reducers that a step will add.
    """
    main = mix.main_paint
    assert main is not None
    names = {pour.product_id: pour.product for pour in mix.pours}
    held = [names[number] for number in (cup or mix.cup).shares("reducer")]
    return advice_for(main.product, reducers=list(dict.fromkeys([*held, *added])), needle_um=mix.needle_um)


def _advised_step(asked: PaintAdvice, at: Reduction) -> MilliPercent:
    """The next step in thousandths of a per cent, given that the mix is too thick at this reduction.

    For paint without reducer, the step is the advised start.
    """
    if not at.percent_of_paint:
        return asked.advice.start_milli
    most = (asked.advice.rule.step_milli or 5_000) / 1_000
    return MilliPercent(round(1_000 * next_step(asked.advice.cells(), float(at.percent_of_paint), most)))


def _used(after: Reduction, rule: SheetRange) -> MilliPercent | None:
    low, high = (Reduction(Fraction(each, 1_000)) for each in (rule.low_milli, rule.high_milli))
    if rule.low_milli == rule.high_milli:
        return None
    return MilliPercent(round(1_000 * thinning.used_of_range(after, low, high)))


def _pours(mix: MixView, added: Sequence[Added], at: datetime | None) -> Iterable[PlannedPour]:
    """What is added, from the same bottles as before where they still hold enough."""
    rows = {row.id: row for row, _ in added}
    studio = settings()
    day = _day(at)
    shelf, not_free_ul = usable_then(candidates(rows, came_by=day), at)
    for row, volume_ul in added:
        used = [pour.bottle for pour in mix.pours if pour.product_id == row.id]
        same = [each.id for each in shelf[row.id] if each.id in used and each.on_hand_ul >= volume_ul]
        takes = choose(
            shelf[row.id],
            volume_ul,
            product=row.name,
            today=day,
            picked=sorted(same)[-1:],
            measures=studio.measures,
            since=clock.local_minute(at, zone()) if at else "",
        )
        for take in takes:
            yield PlannedPour(
                bottle=take.bottle,
                product=row.name,
                product_id=row.id,
                part=PART_OF_ROLE[row.role],
                volume_ul=take.volume_ul,
                before_ul=Microlitres(take.on_hand_ul + not_free_ul.get(take.bottle, 0)),
                why=_("the same bottle as before") if take.bottle in used else take.why,
                color=row.color,
                density_ug_per_ml=row.density_ug_per_ml,
                drops_milli=row.drops_milli,
            )


def book_step(
    number: int,
    request: StepRequest | None = None,
    *,
    accept: Sequence[str] = (),
    at: datetime | None = None,
    key: str | None = None,
    note: str = "",
    judge: bool = True,
) -> Answer:
    """Book a step, from the same bottles as before while they last.

    Args:
        number, request: as for `plan_step`.
        accept: codes of the `stop` cautions that a person accepts.
        at: when; now if not given.
        key: the caller's key; a repeat books nothing.
        judge: False only for a step of `points` that was made long ago and is booked now: no caution can stop it
            any more, and no advice is worked out for it.
    Raises:
        What `plan_step` raises; BadInput also for a time before the mix was made.
        Stopped: a `stop` caution that was not accepted; nothing is booked.
    """
    cleaned = clean_note(note)

    def work(errand: Errand) -> Answer:
        lock(number)
        mix = open_one(number)
        _refuse_before(errand, mix)
        planned = _plan(mix, request or StepRequest(), at, judge=judge)
        refuse_stops(planned.stops(accept))
        return _booked(errand, planned)

    return book("step", work, at=at, key=key, note=cleaned)


def _refuse_before(errand: Errand, mix: MixView) -> None:
    if errand.at < mix.at:
        raise BadInput(
            _("mix {id} was made on {at}, after that time", id=mix.id, at=clock.local_minute(mix.at, zone())),
            remedy=_("Give a later time"),
        )


def _booked(errand: Errand, planned: StepPlan) -> Answer:
    found = hold([Draw(pour.bottle, pour.volume_ul) for pour in planned.pours])
    pours = zip(planned.pours, found, strict=True)
    planned = planned._replace(
        pours=tuple(pour._replace(before_ul=Microlitres(held_ul)) for pour, held_ul in pours)
    )
    StepRow.insert(
        id=errand.booking,
        mix=planned.mix.id,
        left_ul=planned.request.left_ul,
        purpose=planned.purpose,
    ).execute()
    pour_into(errand, planned.mix.id, planned.pours)
    note_typed(errand.booking, planned.pours, planned.request.weighed)
    return planned.as_json(errand.booking)


def plan_back(number: int, target: Reduction) -> StepPlan:
    """Work out the paint that brings an over-thinned mix back to `target`; books nothing.

    Raises:
        BadInput: it is not thinner than the target; what `plan_step` raises.
    """
    with connection(), reading():
        return _plan_back(open_one(number), target, None)


def _plan_back(mix: MixView, target: Reduction, at: datetime | None) -> StepPlan:
    cup = _cup(mix, None)
    add_ul = thinning.bring_back(cup.paint_ul, cup.reducer_ul, target)
    if not add_ul:
        stands = plain_figure(Reduction.of(cup.paint_ul, cup.reducer_ul).percent_of_paint, 1)
        raise BadInput(
            _("mix {number} is at {stands} %, which is not thinner than that", number=mix.id, stands=stands),
            remedy=_("Add reducer with a step instead; nothing was booked"),
        )
    shares = cup.shares("paint")
    rows = products.numbered(list(shares))
    volumes = split(add_ul, list(shares.values()))
    added = [(rows[each], volume) for each, volume in zip(shares, volumes, strict=True) if volume]
    planned = _poured(mix, cup, StepRequest(), added, at, purpose="bring_back")
    return _judged(planned, cup, advice_of(mix), at)


def book_back(
    number: int, target: Reduction, *, at: datetime | None = None, key: str | None = None, note: str = ""
) -> Answer:
    """Book the paint that brings an over-thinned mix back to `target`.

    Raises:
        What `plan_back` raises.
    """
    cleaned = clean_note(note)

    def work(errand: Errand) -> Answer:
        lock(number)
        mix = open_one(number)
        _refuse_before(errand, mix)
        return _booked(errand, _plan_back(mix, target, at))

    return book("step", work, at=at, key=key, note=cleaned)
