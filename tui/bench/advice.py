"""What the Bench tells beside a wish: where to start and why, jars of it, targets, what usually goes unlogged."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING, Any

from stock.errors import UllageError
from stock.grammar import in_full
from tui.bench.scale import Scale, drawn
from tui.dialogs.typed_mix import RECIPE, TypedMix
from tui.drawing.bottle import Line, Run
from tui.drawing.figures import ml

if TYPE_CHECKING:
    from stock.bench.books import Asked
    from stock.shelf.bottles import BottleView


@dataclass(frozen=True, slots=True)
class MixAdvice:
    """Advice for a wish, read from the books.

    Args:
        asked: where to start, how far, in what steps, and why.
        jars: leftovers of that colour, what goes bad first at the top.
        targets: (cup, seconds) noted for the paint.
        losses: sentences on what usually goes unlogged.
        day: the day it was read, against which a jar's life is held.
    """

    asked: "Asked"
    day: date
    jars: "Sequence[BottleView]" = ()
    targets: Sequence[tuple[str, float]] = ()
    losses: Sequence[str] = ()

    @property
    def start(self) -> str:
        """The advised start as it is typed: `20%`."""
        from stock.units import show_percent

        return show_percent(self.asked.advice.start_milli).replace(" ", "")

    def scale(self, now: float | None) -> Scale:
        """The thinning scale with the mix at `now` per cent."""
        return scale_of(self.asked.advice, now)


def scale_of(advice: Any, now: float | None, *, start: bool = True) -> Scale:
    """The thinning scale of a piece of advice."""
    return Scale(
        low=advice.rule.low_milli / 1_000,
        high=advice.limit_milli / 1_000,
        start=advice.start_milli / 1_000 if start else None,
        now=now,
        learnt=advice.window,
    )


def advice_for(wish: TypedMix) -> MixAdvice | None:
    """What there is to tell about a wish; None where it names no paint yet. Called with the connection open."""
    from stock import units
    from stock.bench import counting, cup_times
    from stock.bench.amounts import read_blend
    from stock.bench.books import advice_for, jars_with, room_noted
    from stock.shelf import products
    from stock.shelf.studio import settings

    name = next((name for name, _ in wish.parts if name.strip()), "")
    if not name or name.startswith(RECIPE):
        return None
    try:
        reducers = [one for one, _ in read_blend(wish.reducer)] if wish.reducer.strip() else []
        needle = units.needle(wish.needle) if wish.needle.strip() else None
        room, humidity = room_noted(settings().today())
        asked = advice_for(name, reducers=reducers, needle_um=needle, room_mc=room, humidity_milli=humidity)
        paint = products.find(name)
        named = [one for one, _ in wish.parts if one.strip() and not one.startswith(RECIPE)]
        losses = counting.offered([products.find(one).name for one in named])
    except UllageError:
        return None
    jars, targets = tuple(jars_with(paint.id)), tuple(cup_times.targets(paint.id))
    return MixAdvice(asked, settings().today(), jars, targets, tuple(losses))


def advice_lines(told: MixAdvice, width: int, now: float | None) -> list[Line]:
    """Where to start, the scale, and the reason, in a few lines."""
    from stock.units import show_percent

    advice = told.asked.advice
    start, step, limit = (
        show_percent(each) for each in (advice.start_milli, advice.step_milli, advice.limit_milli)
    )
    further = (
        f"steps of {step}, at most {limit}" if advice.start_milli < advice.limit_milli else "and no further"
    )
    lines: list[Line] = [(Run(f"Start {start}, {further}", "ink", None, bold=True),)]
    lines += drawn(told.scale(now), width)
    lines += [(Run(text, "quiet"),) for text in _wrapped(_because(told), width)]
    others = len(advice.disagreements)
    if others:
        said = "1 sheet says otherwise" if others == 1 else f"{others} sheets say otherwise"
        lines.append((Run(f"! {said}: below", "warn"),))
    for jar in told.jars[:1]:
        text, ink = jar_said(jar, told.day)
        lines += [(Run(line, ink),) for line in _wrapped(text, width)]
    return lines


def jar_said(jar: "BottleView", day: date) -> tuple[str, str]:
    """A kept leftover and its ink: what is past its day is never offered as good."""
    held = f"Left of it: {ml(jar.on_hand_ul)} ml in jar {jar.label}"
    if jar.good_until is None:
        return f"! {held}, nothing says how long it keeps: test it on a card; F9 takes it", "warn"
    if jar.good_until < day:
        return f"! {held}, past its day since {jar.good_until}: test it on a card first; F9 takes it", "warn"
    return f"{held}, good until {jar.good_until}; F9 takes it", "good"


def _because(told: MixAdvice) -> str:
    advice = told.asked.advice
    reducers = " and ".join(told.asked.reducers) or "any reducer"
    said = f"{reducers}: {advice.rule.words}."
    if advice.tried:
        own = f"{advice.own} of its own" if advice.own else "none of its own"
        said += f" Learnt from {len(advice.tried)} closed mixes, {own}."
    return said


def more_lines(told: MixAdvice, width: int) -> list[Line]:
    """What else is said: disagreements, neighbours, notes, targets, losses; for further down the page."""
    advice = told.asked.advice
    said = [f"! {text}." for text in advice.disagreements]
    said += [f"Beside it: {each.words}." for each in advice.neighbours]
    said += [f"{note[:1].upper()}{note[1:]}." for note in (*told.asked.notes, *advice.notes)]
    said += [f"Target: {in_full(seconds)} s with {cup}." for cup, seconds in told.targets]
    said += [f"{text}." for text in told.losses]
    if not said:
        return []
    lines: list[Line] = [(Run("What else is said", "ink", None, bold=True),)]
    for text in said:
        ink = "warn" if text.startswith("!") else "quiet"
        lines += [(Run(line, ink),) for line in _wrapped(text, width)]
    return lines


def _wrapped(text: str, width: int) -> list[str]:
    import textwrap  # only where something is shown

    return textwrap.wrap(text, max(12, width)) or [""]
