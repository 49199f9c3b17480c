"""The Bench's advice on a typed mix: where to start and why, jars of it, target times, usual losses."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING, Any

from stock.errors import UllageError
from stock.grammar import in_full
from stock.language import _
from stock.notation import show_day
from tui.bench.range_bar import RangeBar, drawn
from tui.dialogs.typed_mix import RECIPE, TypedMix
from tui.drawing.bottle import Line, Run
from tui.drawing.figures import ml

if TYPE_CHECKING:
    from stock.bench.books import PaintAdvice
    from stock.shelf.bottles import BottleView


@dataclass(frozen=True, slots=True)
class MixAdvice:
    """Advice for a typed mix, read from the books.

    Args:
        paint_advice: where to start, how far, in what steps, and why.
        jars: leftovers of that colour; the one that goes bad first comes first.
        targets: (cup, seconds) noted for the paint.
        losses: sentences on the usual unlogged losses.
        reducers: what the paint may be thinned with.
        day: the day it was read, with which a jar's last good day is compared.
    """

    paint_advice: "PaintAdvice"
    day: date
    jars: "Sequence[BottleView]" = ()
    targets: Sequence[tuple[str, float]] = ()
    losses: Sequence[str] = ()
    reducers: Sequence[str] = ()

    @property
    def start(self) -> str:
        """The advised start as it is typed: `20%`."""
        from stock.units import show_percent

        return show_percent(self.paint_advice.advice.start_milli).replace(" ", "")

    def bar(self, now: float | None) -> RangeBar:
        """The bar of the range with the mix at `now` per cent."""
        return bar_of(self.paint_advice.advice, now)


def bar_of(advice: Any, now: float | None, *, start: bool = True) -> RangeBar:
    """The bar of the range that a piece of advice gives."""
    return RangeBar(
        low=advice.rule.low_milli / 1_000,
        high=advice.limit_milli / 1_000,
        start=advice.start_milli / 1_000 if start else None,
        now=now,
        learnt=advice.window,
    )


def advice_for(typed_mix: TypedMix) -> MixAdvice | None:
    """The advice on a typed mix; None where it names no paint yet. Called with the connection open."""
    from stock import units
    from stock.bench import counting, cup_times
    from stock.bench.amounts import read_blend
    from stock.bench.books import advice_for, jars_with, room_noted
    from stock.bench.ratios import reducers_for
    from stock.shelf import products
    from stock.shelf.studio import settings

    name = next((name for name, _ in typed_mix.parts if name.strip()), "")
    if not name or name.startswith(RECIPE):
        return None
    try:
        reducers = [one for one, _ in read_blend(typed_mix.reducer)] if typed_mix.reducer.strip() else []
        needle = units.needle(typed_mix.needle) if typed_mix.needle.strip() else None
        room, humidity = room_noted(settings().today())
        paint_advice = advice_for(
            name, reducers=reducers, needle_um=needle, room_mc=room, humidity_milli=humidity
        )
        paint = products.find(name)
        named = [one for one, _ in typed_mix.parts if one.strip() and not one.startswith(RECIPE)]
        losses = counting.loss_notes([products.find(one).name for one in named])
    except UllageError:
        return None
    jars, targets = tuple(jars_with(paint.id)), tuple(cup_times.targets(paint.id))
    today = settings().today()
    allowed = tuple(reducers_for(paint, as_of=today))
    return MixAdvice(paint_advice, today, jars, targets, tuple(losses), allowed)


def advice_lines(of: MixAdvice, width: int, now: float | None) -> list[Line]:
    """Where to start, the bar of the range, and the reason, in a few lines."""
    from stock.units import show_percent

    advice = of.paint_advice.advice
    start, step, limit = (
        show_percent(each) for each in (advice.start_milli, advice.step_milli, advice.limit_milli)
    )
    further = (
        _("steps of {step}, at most {limit}", step=step, limit=limit)
        if advice.start_milli < advice.limit_milli
        else _("and no further")
    )
    lines: list[Line] = [
        (Run(_("Start {start}, {further}", start=start, further=further), "ink", None, bold=True),)
    ]
    lines += drawn(of.bar(now), width)
    lines += [(Run(text, "quiet"),) for text in _wrapped(_because(of), width)]
    others = len(advice.disagreements)
    if others:
        text = _("1 sheet gives") if others == 1 else _("{others} sheets give", others=others)
        lines += [
            (Run(line, "warn"),)
            for line in _wrapped(_("! {text} other figures, see below", text=text), width)
        ]
    for jar in of.jars[:1]:
        text, ink = jar_note(jar, of.day)
        lines += [(Run(line, ink),) for line in _wrapped(text, width)]
    return lines


def jar_note(jar: "BottleView", day: date) -> tuple[str, str]:
    """A sentence on a kept leftover, and its ink; a jar that is past its day is never called good."""
    held = _("Leftover: {on_hand_ul} ml in jar {label}", on_hand_ul=ml(jar.on_hand_ul), label=jar.label)
    if jar.good_until is None:
        return _("! {held}, shelf life unknown: test it on a card first; F9 uses it", held=held), "warn"
    if jar.good_until < day:
        return (
            _(
                "! {held}, past its last good day {good_until}: test it on a card first; F9 uses it",
                held=held,
                good_until=show_day(jar.good_until),
            ),
            "warn",
        )
    return _(
        "{held}, good until {good_until}; F9 uses it", held=held, good_until=show_day(jar.good_until)
    ), "good"


def _because(of: MixAdvice) -> str:
    advice = of.paint_advice.advice
    reducers = _(" and ").join(of.paint_advice.reducers) or _("any reducer")
    text = f"{reducers}: {advice.rule.words}."
    if advice.tried:
        own = _("{own} of its own", own=advice.own) if advice.own else _("none of its own")
        text += _(" Learnt from {tried} closed mixes, {own}.", tried=len(advice.tried), own=own)
    return text


def more_lines(of: MixAdvice, width: int) -> list[Line]:
    """Further advice for the lower part of the page: disagreements, neighbours, notes, targets, losses."""
    advice = of.paint_advice.advice
    texts = [f"! {text}." for text in advice.disagreements]
    texts += [_("For other needles: {words}.", words=each.words) for each in advice.neighbours]
    texts += [f"{note[:1].upper()}{note[1:]}." for note in (*of.paint_advice.notes, *advice.notes)]
    texts += [
        _("Target: {seconds} s with {cup}.", seconds=in_full(seconds), cup=cup) for cup, seconds in of.targets
    ]
    texts += [f"{text}." for text in of.losses]
    if not texts:
        return []
    lines: list[Line] = [(Run(_("Further advice"), "ink", None, bold=True),)]
    for text in texts:
        ink = "warn" if text.startswith("!") else "quiet"
        lines += [(Run(line, ink),) for line in _wrapped(text, width)]
    return lines


def _wrapped(text: str, width: int) -> list[str]:
    import textwrap  # only where something is shown

    return textwrap.wrap(text, max(12, width)) or [""]
