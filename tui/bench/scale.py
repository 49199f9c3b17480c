"""The thinning scale: the allowed range, the start, where earlier mixes sprayed, and the mix.

Each has its own sign, so that nothing depends on colour: `━` the range in force, `▒` where this studio's mixes
sprayed, `▼` the start, `▲` the mix.
"""

import math
from dataclasses import dataclass

from tui.drawing.bottle import Line, Run

NARROWEST = 16


@dataclass(frozen=True, slots=True)
class Scale:
    """What the scale shows, all in per cent of the paint.

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
    return f"{percent:.1f}".removesuffix(".0")


def drawn(scale: Scale, width: int, *, now_word: str = "this mix") -> list[Line]:
    """The lines of the scale in `width` cells: the start above it, the mix below it."""
    end = f" {scale.top} %"
    cells = max(NARROWEST, width - 2 - len(end))

    def at(percent: float) -> int:
        return min(cells - 1, max(0, round(percent / scale.top * (cells - 1))))

    lines: list[Line] = []
    if scale.start is not None:
        lines.append(_mark("▼", f"start {figure(scale.start)} %", at(scale.start), cells, "key"))
    bar = [Run("0 ", "quiet")]
    for cell in range(cells):
        sign, ink = "·", "quiet"
        if at(scale.low) <= cell <= at(scale.high):
            sign, ink = "━", "key"
        if scale.learnt is not None and at(scale.learnt[0]) <= cell <= at(scale.learnt[1]):
            sign, ink = "▒", "good"
        if bar[-1].ink == ink and len(bar) > 1:
            bar[-1] = bar[-1]._replace(text=bar[-1].text + sign)
        else:
            bar.append(Run(sign, ink))
    lines.append((*bar, Run(end, "quiet")))
    if scale.now is not None:
        beyond = scale.now > scale.high
        words = f"{now_word} {figure(scale.now)} %{', beyond the range' if beyond else ''}"
        lines.append(_mark("▲", words, at(scale.now), cells, "warn" if beyond else "ink"))
    return lines


def _mark(sign: str, words: str, at: int, cells: int, ink: str) -> Line:
    """A sign at its cell, with its words on the side that has room."""
    if at + 2 + len(words) <= cells + 2:
        return (Run(" " * (at + 2) + sign, ink, None, bold=True), Run(f" {words}", ink))
    return (
        Run(f"{words} ".rjust(at + 2), ink),
        Run(sign, ink, None, bold=True),
    )
