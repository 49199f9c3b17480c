"""Cautions about a step: its size, its place in the range, and hazards that the mix did not have before."""

from collections.abc import Collection, Sequence
from datetime import date
from fractions import Fraction

from stock.bench.mixes import MixView
from stock.bench.mixing import PlannedPour, cautions_about
from stock.bench.ranges import RangeLevel, SheetRange
from stock.bench.reduction import Reduction
from stock.bench.stages import Stage
from stock.cautions.facts import Finding
from stock.language import _
from stock.notation import show_day
from stock.shelf import products
from stock.shelf.bottles_to_pour import chosen
from stock.units import Microlitres, plain_figure, show_percent, split

PRACTICE = _("common practice, no source")
Part = tuple[int, str, int, int]
"""(product's number, part, microlitres, bottle)."""


def about(
    step: Fraction, after: Reduction, rule: SheetRange, reducer: str, paint_ul: Microlitres
) -> list[Finding]:
    """Whether a step is larger than its range allows at once, and whether it leaves the range.

    Args:
        step: reducer added at once, in per cent of the paint; of a first pour, the part beyond the advised start.
        after: the reduction after it.
        rule: the range that applies.
        reducer: the reducer's name.
        paint_ul: the paint in the cup. Pours are whole microlitres, so half a microlitre of rounding is tolerated;
            otherwise the advised step itself could be found too large.
    """
    found = []
    largest = rule.step_milli
    rounding_milli = Fraction(50_000, paint_ul)
    sheet = (
        PRACTICE
        if rule.level is RangeLevel.HOUSE
        else _("{title} of {revised}", title=rule.title, revised=show_day(rule.revised))
    )
    if largest is not None and step * 1_000 > largest + rounding_milli:
        found.append(
            _finding(
                "step-too-large",
                _(
                    "a step of {step} % is more than the {largest} that the range allows; a strong reducer "
                    "added at once can make waterborne paint congeal",
                    step=plain_figure(step, 1),
                    largest=show_percent(largest),
                ),
                _(
                    "Add {reducer} in steps of {largest}, stirring each in",
                    reducer=reducer,
                    largest=show_percent(largest),
                ),
                _("{sheet}; congealing: {practice}", sheet=sheet, practice=PRACTICE),
                reducer,
            )
        )
    if after.percent_of_paint * 1_000 > rule.high_milli + rounding_milli:
        found.append(
            _finding(
                "beyond-range",
                _(
                    "{percent_of_paint} % is beyond the range, which ends at {high_milli}",
                    percent_of_paint=plain_figure(after.percent_of_paint, 1),
                    high_milli=show_percent(rule.high_milli),
                ),
                _("Try it on a test card first; another reducer or a larger needle may work better"),
                sheet,
                reducer,
            )
        )
    return found


def brought(
    mix: MixView, cup: Stage, pours: Sequence[PlannedPour], day: date, said: Collection[str]
) -> list[Finding]:
    """The cautions that apply to the mix after a step and did not before it, gravest first.

    Args:
        mix: the mix before the step.
        cup: what it held before the step.
        pours: what the step adds.
        day: the day of the step.
        said: codes of cautions that were already given for the step.
    """
    before = _parts(mix, cup)
    after = [*before, *((pour.product_id, pour.part, pour.volume_ul, pour.bottle) for pour in pours)]
    rows = products.numbered(list(dict.fromkeys(number for number, *_ in after)))
    bottles = chosen({bottle for *_, bottle in after})
    known = {_sort(one) for one in cautions_about(before, day, rows, bottles.values())}
    found = cautions_about(after, day, rows, bottles.values())
    return [one for one in found if _sort(one) not in known and one.code not in said]


def _sort(one: Finding) -> tuple[str, str | None, int | None, str]:
    """The key by which two findings count as the same, whatever their figures."""
    return one.code, one.product, one.bottle, one.severity


def _parts(mix: MixView, cup: Stage) -> list[Part]:
    """What the cup holds, each product shared out over the bottles that it came from."""
    parts: list[Part] = []
    for each in cup.held:
        poured = [pour for pour in mix.pours if pour.product_id == each.product_id]
        shares = split(each.volume_ul, [pour.volume_ul for pour in poured])
        parts += [
            (each.product_id, each.part, share, pour.bottle)
            for pour, share in zip(poured, shares, strict=True)
            if share
        ]
    return parts


def _finding(code: str, message: str, remedy: str, source: str, product: str) -> Finding:
    return Finding(
        code=code, severity="warn", product=product, bottle=None, place=None, since=None, message=message,
        remedy=remedy, source=source, action="take_care",
    )  # fmt: skip
