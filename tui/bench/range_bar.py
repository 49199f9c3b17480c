"""The bar of a thinning range: the allowed range, the start, where earlier mixes sprayed, and the mix.

Each has its own sign, so that nothing depends on colour: `━` the range in force, `▒` where this studio's mixes
sprayed, `▼` the start, `▲` the mix.
"""

import math
from dataclasses import dataclass

from stock.grammar import in_full
from stock.language import _
from tui.drawing.bottle import Line, Run

NARROWEST = 16


@dataclass(frozen=True, slots=True)
class RangeBar:
    """What the bar shows, all in per cent of the paint.

    Args:
        low: low end of the range in force.
        high: its high end.
        start: where to start; None leaves it out.
        now: the mix's reduction; None leaves it out.
        learnt: where this studio's mixes sprayed, from and to; None if nothing was learnt.
    """

    low: float
    high: float
    start: float | None = None
    now: float | None = None
    learnt: tuple[float, float] | None = None

    @property
    def top(self) -> int:
        """The figure at the right end: the next multiple of ten above everything shown."""
        most = max(self.high, self.start or 0, self.now or 0, self.learnt[1] if self.learnt else 0)
        return max(20, 10 * math.ceil((most + 1) / 10))


def figure(percent: float) -> str:
    """A percentage with one decimal, or none where that is 0."""
    return in_full(percent, 1)


def drawn(bar: RangeBar, width: int, *, now_word: str = _("this mix")) -> list[Line]:
    """The lines of the bar in `width` cells: the start above it, the mix below it."""
    end = f" {bar.top} %"
    cells = max(NARROWEST, width - 2 - len(end))

    def at(percent: float) -> int:
        return min(cells - 1, max(0, round(percent / bar.top * (cells - 1))))

    lines: list[Line] = []
    if bar.start is not None:
        lines.append(_mark("▼", _("start {start} %", start=figure(bar.start)), at(bar.start), cells, "key"))
    runs = [Run("0 ", "quiet")]
    for cell in range(cells):
        sign, ink = "·", "quiet"
        if at(bar.low) <= cell <= at(bar.high):
            sign, ink = "━", "key"
        if bar.learnt is not None and at(bar.learnt[0]) <= cell <= at(bar.learnt[1]):
            sign, ink = "▒", "good"
        if runs[-1].ink == ink and len(runs) > 1:
            runs[-1] = runs[-1]._replace(text=runs[-1].text + sign)
        else:
            runs.append(Run(sign, ink))
    lines.append((*runs, Run(end, "quiet")))
    if bar.now is not None:
        beyond = bar.now > bar.high
        words = f"{now_word} {figure(bar.now)} %{_(', beyond the range') if beyond else ''}"
        lines.append(_mark("▲", words, at(bar.now), cells, "warn" if beyond else "ink"))
    return lines


def _mark(sign: str, words: str, at: int, cells: int, ink: str) -> Line:
    """A sign at its cell, with its words on the side that has room."""
    if at + 2 + len(words) <= cells + 2:
        return (Run(" " * (at + 2) + sign, ink, None, bold=True), Run(f" {words}", ink))
    return (
        Run(f"{words} ".rjust(at + 2), ink),
        Run(sign, ink, None, bold=True),
    )
