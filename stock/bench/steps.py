"""Steps: reducer added to an open mix, or paint that brings an over-thinned mix back."""

from datetime import datetime
from fractions import Fraction
from typing import NamedTuple

from stock.bench import reduction as thinning
from stock.bench.books import PaintAdvice, advice_for
from stock.bench.mixes import MixView, Stage, lock, open_one
from stock.bench.mixing import PlannedPour, pour_into
from stock.bench.ranges import RangeLevel, SheetRange
from stock.bench.reduction import Reduction
from stock.bench.relock import Draw, hold
from stock.bench.starting import next_step
from stock.cautions.facts import Finding
from stock.errors import BadInput
from stock.ledger import Answer, Errand, book
from stock.remedies import Option, Remedy
from stock.shelf.bottles import candidates
from stock.shelf.choosing import choose
from stock.shelf.studio import settings
from stock.store.connection import connection, reading
from stock.store.models import Product
from stock.store.models import Step as StepRow
from stock.text import note as clean_note
from stock.units import (
    MOST_REDUCTION,
    Microlitres,
    MilliPercent,
    ml,
    per_cent,
    plain_figure,
    show_percent,
    show_volume,
    split,
)

PRACTICE = "common practice, no source"


class StepPlan(NamedTuple):
    """What a step will add, before it is booked.

    Args:
        mix: the mix before the step.
        pours: what is added, from which bottles.
        after: what the cup will hold.
        cautions: cautions about the step; none of them refuses it.
        used_milli: how much of the allowed range is used after it, thousandths of a per cent.
        next_milli: the advised next step while it is too thick, thousandths of a per cent of the paint.
        left_ul: what the cup held before it, if some had been sprayed.
        points: reducer added, in per cent of the paint; None where paint is added.
    """

    mix: MixView
    pours: tuple[PlannedPour, ...]
    after: Stage
    cautions: tuple[Finding, ...]
    used_milli: int | None
    next_milli: int
    left_ul: int | None = None
    points: Fraction | None = None

    @property
    def reduction(self) -> Reduction:
        """The reduction after the step."""
        return Reduction.of(self.after.paint_ul, self.after.reducer_ul)

    def as_json(self, step: int | None = None) -> Answer:
        """The answer of `ullage step`."""
        added_ul = sum(pour.volume_ul for pour in self.pours)
        return {
            "mix": self.mix.id,
            "step": step,
            "added_ml": ml(Microlitres(added_ul)),
            "paint_ml": ml(Microlitres(self.after.paint_ul)),
            "reducer_ml": ml(Microlitres(self.after.reducer_ul)),
            "total_ml": ml(Microlitres(self.after.total_ul)),
            "reduction": self.reduction.as_json(),
            "range_used_percent": None
            if self.used_milli is None
            else per_cent(MilliPercent(self.used_milli)),
            "next_step_percent": per_cent(MilliPercent(self.next_milli)),
            "pours": [pour.as_json() for pour in self.pours],
            "cautions": [found.in_a_mix() for found in self.cautions],
            "booked": step is not None,
        }


def plan_step(number: int, points: Fraction | None = None, *, left_ul: int | None = None) -> StepPlan:
    """Work out a step; books nothing.

    Args:
        number: the mix.
        points: reducer in per cent of the paint; the advised step when None.
        left_ul: what is left of the mix, if some was sprayed already; the step counts from the paint in that.
    Raises:
        NotFound: no such mix.
        ClosedAlready: it was closed.
        BadInput: the mix holds no reducer yet, the step is not above 0, or it would go beyond 200 %.
        NotEnough: the usable bottles hold less.
    """
    with connection(), reading():
        return _plan(number, points, left_ul)


def _plan(number: int, points: Fraction | None, left_ul: int | None, *, judge: bool = True) -> StepPlan:
    mix = open_one(number)
    cup = _cup(mix, left_ul)
    if not cup.reducer_ul:
        raise BadInput(
            f"mix {number} holds no reducer, so it is unknown which one to add",
            remedy=Remedy("Undo it and mix it again ", Option("reduce"), ", or close it"),
        )
    if not judge and points is not None:
        return _stepped(mix, cup, points, left_ul)
    asked = advice_of(mix)
    before = Reduction.of(cup.paint_ul, cup.reducer_ul)
    step = points if points is not None else Fraction(_advised_step(asked, before), 1_000)
    planned = _stepped(mix, cup, step, left_ul)
    stands = Reduction.of(planned.after.paint_ul, planned.after.reducer_ul)
    return planned._replace(
        cautions=tuple(_cautions(mix, step, stands, asked.advice.rule)),
        used_milli=_used(stands, asked.advice.rule),
        next_milli=_advised_step(asked, stands),
    )


def _stepped(mix: MixView, cup: Stage, step: Fraction, left_ul: int | None) -> StepPlan:
    """The step's pours, without cautions and advice."""
    percent = Reduction.of(cup.paint_ul, cup.reducer_ul).percent_of_paint + step
    if percent > MOST_REDUCTION:
        raise BadInput(
            f"that would be {plain_figure(percent, 1)} % of the paint",
            remedy=f"Stay within {MOST_REDUCTION} %; nothing was booked",
        )
    added_ul = thinning.step(cup.paint_ul, step)
    return StepPlan(
        mix=mix,
        pours=tuple(_pours(mix, "reducer", added_ul)),
        after=Stage(cup.paint_ul, cup.reducer_ul + added_ul, cup.total_ul + added_ul),
        cautions=(),
        used_milli=None,
        next_milli=0,
        left_ul=left_ul,
        points=step,
    )


def _cup(mix: MixView, left_ul: int | None) -> Stage:
    """What the cup holds: what was poured, or what is left of it after spraying."""
    if left_ul is not None and not 0 < left_ul <= mix.cup.total_ul:
        raise BadInput(
            f"{show_volume(Microlitres(left_ul))} can't be left of a mix of "
            f"{show_volume(Microlitres(mix.cup.total_ul))}",
            remedy="Write what the cup holds now",
        )
    cup = mix.cup if left_ul is None else mix.cup.after_spraying(left_ul)
    if cup.paint_ul <= 0:
        raise BadInput(f"mix {mix.id} holds no paint to thin", remedy="Close it and make another")
    return cup


def advice_of(mix: MixView) -> PaintAdvice:
    """The advice for the paint and the reducers of an open mix."""
    main = mix.main_paint
    assert main is not None
    reducers = list(dict.fromkeys(pour.product for pour in mix.pours if pour.part == "reducer"))
    return advice_for(main.product, reducers=reducers, needle_um=mix.needle_um)


def _advised_step(asked: PaintAdvice, at: Reduction) -> int:
    """The next step in thousandths of a per cent, given that the mix is too thick at this reduction."""
    most = (asked.advice.rule.step_milli or 5_000) / 1_000
    return round(1_000 * next_step(asked.advice.cells(), float(at.percent_of_paint), most))


def _used(after: Reduction, rule: SheetRange) -> int | None:
    low, high = (Reduction(Fraction(each, 1_000)) for each in (rule.low_milli, rule.high_milli))
    if rule.low_milli == rule.high_milli:
        return None
    return round(1_000 * thinning.used_of_range(after, low, high))


def _pours(mix: MixView, part: str, volume_ul: int) -> list[PlannedPour]:
    """More of a part, from the same bottles as before; a blend in its present proportion."""
    shares = mix.shares(part)
    pours: list[PlannedPour] = []
    measures = settings().measures
    today = settings().today()
    for product_id, share_ul in zip(shares, split(volume_ul, list(shares.values())), strict=True):
        if not share_ul:
            continue
        product = Product.get_by_id(product_id)
        usable = candidates({product_id: product}, came_by=today)[product_id]
        used = [pour.bottle for pour in mix.pours if pour.product_id == product_id]
        same = [each.id for each in usable if each.id in used and each.on_hand_ul >= share_ul]
        takes = choose(
            usable, share_ul, product=product.name, today=today, picked=sorted(same)[-1:], measures=measures
        )
        pours += [
            PlannedPour(
                bottle=take.bottle,
                product=product.name,
                product_id=product_id,
                part=part,
                volume_ul=take.volume_ul,
                before_ul=take.on_hand_ul,
                why="the same bottle as before" if take.bottle in used else take.why,
                color=product.color,
                density_ug_per_ml=product.density_ug_per_ml,
                drops_milli=product.drops_milli,
            )
            for take in takes
        ]
    return pours


def _cautions(mix: MixView, step: Fraction, after: Reduction, rule: SheetRange) -> list[Finding]:
    found = []
    largest = rule.step_milli
    sheet = PRACTICE if rule.level is RangeLevel.HOUSE else f"{rule.title} of {rule.revised}"
    reducer = mix.largest("reducer")
    name = reducer.product if reducer else "reducer"
    if largest is not None and step * 1_000 > largest:
        found.append(
            _finding(
                "step-too-large",
                f"a step of {plain_figure(step, 1)} % is more than the {show_percent(MilliPercent(largest))} "
                "that the range allows; "
                "a strong reducer added at once can make waterborne paint congeal",
                f"Add {name} in steps of {show_percent(MilliPercent(largest))}, stirring each in",
                f"{sheet}; congealing: {PRACTICE}",
                name,
            )
        )
    if after.percent_of_paint * 1_000 > rule.high_milli:
        found.append(
            _finding(
                "beyond-range",
                f"{plain_figure(after.percent_of_paint, 1)} % is beyond the range, which ends at "
                f"{show_percent(MilliPercent(rule.high_milli))}",
                "Try it on a test card first; another reducer or a larger needle may work better",
                sheet,
                name,
            )
        )
    return found


def _finding(code: str, message: str, remedy: str, source: str, product: str) -> Finding:
    return Finding(
        code=code, severity="warn", product=product, bottle=None, place=None, since=None, message=message,
        remedy=remedy, source=source, action="take_care",
    )  # fmt: skip


def book_step(
    number: int,
    points: Fraction | None = None,
    *,
    left_ul: int | None = None,
    at: datetime | None = None,
    key: str | None = None,
    note: str = "",
    judge: bool = True,
) -> Answer:
    """Book a step: more of the same reducer, from the same bottle while it lasts.

    Args:
        number, points, left_ul: as for `plan_step`.
        at: when; now if not given.
        key: the caller's key; a repeat books nothing.
        judge: False only for a step of `points` that was made long ago and is booked now: no advice is worked
            out for it.
    Raises:
        What `plan_step` raises; BadInput also for a time before the mix was made.
    """
    cleaned = clean_note(note)

    def work(errand: Errand) -> Answer:
        lock(number)
        return _booked(errand, _plan(number, points, left_ul, judge=judge))

    return book("step", work, at=at, key=key, note=cleaned)


def _booked(errand: Errand, planned: StepPlan) -> Answer:
    if errand.at < planned.mix.at:
        raise BadInput(
            f"mix {planned.mix.id} was made on {planned.mix.day}, after that time", remedy="Give a later time"
        )
    found = hold([Draw(pour.bottle, pour.volume_ul) for pour in planned.pours])
    pours = zip(planned.pours, found, strict=True)
    planned = planned._replace(pours=tuple(pour._replace(before_ul=held_ul) for pour, held_ul in pours))
    StepRow.insert(id=errand.booking, mix=planned.mix.id, left_ul=planned.left_ul).execute()
    for pour in sorted(planned.pours, key=lambda pour: pour.bottle):
        pour_into(errand, planned.mix.id, pour)
    return planned.as_json(errand.booking)


def plan_back(number: int, target: Reduction) -> StepPlan:
    """Work out the paint that brings an over-thinned mix back to `target`; books nothing.

    Raises:
        BadInput: it is not thinner than the target; what `plan_step` raises.
    """
    with connection(), reading():
        return _plan_back(number, target)


def _plan_back(number: int, target: Reduction) -> StepPlan:
    mix = open_one(number)
    cup = _cup(mix, None)
    add_ul = thinning.bring_back(cup.paint_ul, cup.reducer_ul, target)
    if not add_ul:
        stands = plain_figure(Reduction.of(cup.paint_ul, cup.reducer_ul).percent_of_paint, 1)
        raise BadInput(
            f"mix {number} is at {stands} %, which is not thinner than that",
            remedy="Add reducer with a step instead; nothing was booked",
        )
    asked = advice_of(mix)
    after = Stage(cup.paint_ul + add_ul, cup.reducer_ul, cup.total_ul + add_ul)
    stands_then = Reduction.of(after.paint_ul, after.reducer_ul)
    return StepPlan(
        mix=mix,
        pours=tuple(_pours(mix, "paint", add_ul)),
        after=after,
        cautions=(),
        used_milli=_used(stands_then, asked.advice.rule),
        next_milli=_advised_step(asked, stands_then),
    )


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
        return _booked(errand, _plan_back(number, target))

    return book("step", work, at=at, key=key, note=cleaned)
