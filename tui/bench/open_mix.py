"""An open mix as the Bench shows it: its reduction, its place in the range, and what each key would do."""

from dataclasses import dataclass
from typing import TYPE_CHECKING

from stock import clock
from stock.errors import UllageError
from stock.language import _
from stock.units import Microlitres
from tui.bench.advice import bar_of
from tui.bench.range_bar import drawn, figure
from tui.drawing.bottle import Line, Run
from tui.drawing.figures import ml
from tui.drawing.mix import caution_lines, drops_words
from tui.drawing.sentences import by_keys, sentence_for
from tui.drawing.strips import width_of, wrapped

if TYPE_CHECKING:
    from stock.bench.books import PaintAdvice
    from stock.bench.mixes import MixView
    from stock.bench.step_plan import StepPlan


@dataclass(frozen=True, slots=True)
class OpenMixState:
    """An open mix with its advice and its next step; `made` is its moment, `refused` says why there is no next step."""

    mix: "MixView"
    paint_advice: "PaintAdvice | None"
    step: "StepPlan | None"
    made: str
    refused: str = ""
    cup_words: tuple[str, ...] = ()


def state_of(number: int) -> OpenMixState:
    """Read an open mix; called with the connection open.

    Raises:
        UllageError: the mix was undone or closed.
    """
    from stock.bench import cup_times, steps
    from stock.bench.mixes import open_one
    from stock.ledger import zone

    mix = open_one(number)
    paint_advice = steps.advice_of(mix) if mix.cup.paint_ul > 0 else None
    made = clock.local_minute(mix.at, zone())
    readings = cup_times.words_of(number)
    try:
        return OpenMixState(mix, paint_advice, steps.plan_step(number), made, cup_words=readings)
    except UllageError as error:
        return OpenMixState(mix, paint_advice, None, made, sentence_for(error), readings)


def lines_of(one: OpenMixState, width: int, drops_milli: int) -> list[Line]:
    """All of it, top to bottom; `drops_milli` are the studio's drops a millilitre, thousandths."""
    mix, cup = one.mix, one.mix.cup
    swatch = Run("██", mix.color) if mix.color else Run("▒▒", "outline")
    number = Run(_(" Mix {id}", id=mix.id), "ink", None, bold=True)
    lines: list[Line] = [(swatch, number, Run(f", {one.made}", "quiet"))]
    if width_of(lines[0]) > width:
        lines = [(swatch, number), (Run(one.made, "quiet"),)]
    lines += [(Run(text, "ink"),) for text in wrapped(mix.words, width)]
    if mix.reduction is not None:
        lines += [(Run(text, "ink", None, bold=True),) for text in wrapped(str(mix.reduction), width)]
    other_ul = Microlitres(cup.total_ul - cup.paint_ul - cup.reducer_ul)
    more = _(" + {other} other", other=ml(other_ul)) if other_ul else ""
    lines.append(
        (
            Run(
                _(
                    "In the cup: {paint_ul} paint + {reducer_ul} reducer{more}",
                    paint_ul=ml(cup.paint_ul),
                    reducer_ul=ml(cup.reducer_ul),
                    more=more,
                ),
                "quiet",
            ),
        )
    )
    if mix.pot_life is not None:
        moment = clock.now()
        ink = "stop" if mix.pot_life.gone(moment) else "warn"
        said = mix.pot_life.words(moment)
        lines += [(Run(text, ink, None, bold=True),) for text in wrapped(said[0].upper() + said[1:], width)]
    if one.paint_advice is not None and mix.reduction is not None:
        now = float(mix.reduction.percent_of_paint)
        lines += [(), *drawn(bar_of(one.paint_advice.advice, now), width), ()]
    lines += _stages(one, width)
    lines += _next(one, width, drops_milli)
    for text in one.cup_words:
        lines += [(Run(line, "quiet"),) for line in wrapped(by_keys(text), width)]
    return lines


def _stages(one: OpenMixState, width: int) -> list[Line]:
    percents = [stage.reduction.percent_of_paint for stage in one.mix.stages if stage.reduction]
    if len(percents) < 2:
        return []
    percents_text = " → ".join(figure(float(percent)) for percent in percents)
    return [
        (Run(text, "quiet"),)
        for text in wrapped(_("So far: {percents_text} %", percents_text=percents_text), width)
    ]


def _next(one: OpenMixState, width: int, drops_milli: int) -> list[Line]:
    if one.step is None:
        return [(Run(text, "quiet"),) for text in wrapped(one.refused, width)]
    plan = one.step
    taken = ", ".join(
        _(
            "{volume_ul} ml {pour}{product} from bottle {bottle}",
            volume_ul=ml(pour.volume_ul),
            pour=drops_words(pour, drops_milli),
            product=pour.product,
            bottle=pour.bottle,
        )
        for pour in plan.pours
    )
    then = figure(float(plan.reduction.percent_of_paint))
    used = "" if plan.used_milli is None else _used(plan.used_milli)
    lines: list[Line] = []
    for number, text in enumerate(
        wrapped(_("s  adds {taken}: then {then} %{used}", taken=taken, then=then, used=used), width)
    ):
        lines.append((Run(text, "ink", None, bold=number == 0),))
    lines += [(Run(text, "quiet"),) for text in wrapped(_("g  sprays right: closes it as good"), width)]
    lines += [(Run(text, "quiet"),) for text in wrapped(_("p  too thin: paint that brings it back"), width)]
    lines += [(Run(text, "quiet"),) for text in wrapped(_("t  a tint, an additive, or more of it"), width)]
    if plan.cautions:
        lines += [(), *caution_lines(plan.cautions, width)]
    return lines


def _used(milli: int) -> str:
    """How much of the range is used up after a step, or that it goes beyond its end."""
    return (
        _(", {milli:.0f} % of the range", milli=milli / 1000) if milli <= 100_000 else _(", beyond the range")
    )
