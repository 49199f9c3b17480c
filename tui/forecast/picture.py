"""The run-out fan as lines of coloured text: what is left against days, from P10 to P90 with the median.

The band is drawn to an eighth of a row, the median to half a row. Marks are dotted lines with a letter above and
a word in the legend, so that nothing depends on colour.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from rich.cells import cell_len

from stock.forecast.facts import FanDay
from stock.language import _
from stock.units import Microlitres
from tui.drawing.bottle import RISING, Line, Run
from tui.drawing.figures import ml, short_day
from tui.drawing.strips import fit

AXIS = 9
BELOW = 3
STEPS = (7, 14, 28, 56, 91, 182, 364)
LEAST_TICK = 12


@dataclass(frozen=True, slots=True)
class Mark:
    """An event on a day: days from today, its letter, and its words in the legend."""

    day: int
    letter: str
    words: str


@dataclass(frozen=True, slots=True)
class Fan:
    """What is drawn: the days, the span, and the marks; `today` is day 0."""

    days: Sequence[FanDay]
    span: int
    today: date
    marks: Sequence[Mark] = ()


def drawn(fan: Fan, width: int, height: int, *, band: str = "rule") -> list[Line]:
    """Exactly `height` lines of at most `width` cells: letters, the fan, its axis, days, the legend.

    Args:
        fan: what to draw; its days ascend from 0.
        width: cells, 30 or more.
        height: lines, 7 or more.
        band: the colour's name for the stretch from P10 to P90.
    """
    across, rows = width - AXIS - 1, height - BELOW - 1
    columns = [_at(fan.days, column * fan.span / max(1, across - 1)) for column in range(across)]
    top = max((one[2] for one in columns), default=0.0)
    if not top:
        return _nothing(fan, width, height, band)
    scaled = [tuple(volume / top * rows for volume in one) for one in columns]
    marked = _columns(fan, across)
    lines = [_letters(marked, across)]
    for row in reversed(range(rows)):
        label = _label(row, rows, top)
        cells = _row(scaled, row, set(marked.values()), band)
        lines.append((Run(f"{label:>{AXIS - 1}}", "quiet"), Run("┤" if label else "│", "rule"), *cells))
    return [*lines, *_below(fan, across), _legend(fan, width, band)]


def _nothing(fan: Fan, width: int, height: int, band: str) -> list[Line]:
    """The picture of a product of which nothing usable is left: its days, and that in words."""
    across, rows = width - AXIS - 1, height - BELOW - 1
    text = fit(f"  {_('Nothing usable is left.')}", across)
    middle = rows // 2
    lines: list[Line] = [_letters(_columns(fan, across), across)]
    for row in range(rows):
        label = "0" if row == rows - 1 else ""
        runs = (Run(f"{label:>{AXIS - 1}}", "quiet"), Run("┤" if label else "│", "rule"))
        lines.append((*runs, Run(text if row == middle else "", "warn")))
    return [*lines, *_below(fan, across), _legend(fan, width, band)]


def _at(days: Sequence[FanDay], day: float) -> tuple[float, float, float]:
    """(P10, P50, P90) of what is left on a day, interpolated between the two known days around it."""
    after = next((place for place, one in enumerate(days) if one.day >= day), len(days) - 1)
    one, two = days[max(0, after - 1)], days[after]
    part = 1.0 if two.day == one.day else min(max((day - one.day) / (two.day - one.day), 0.0), 1.0)
    return (
        one.low_ul + (two.low_ul - one.low_ul) * part,
        one.middle_ul + (two.middle_ul - one.middle_ul) * part,
        one.high_ul + (two.high_ul - one.high_ul) * part,
    )


def _columns(fan: Fan, across: int) -> dict[str, int]:
    """The column of each mark inside the picture; marks of the same column are put side by side."""
    taken: dict[str, int] = {}
    for mark in sorted(fan.marks, key=lambda one: one.day):
        column = round(mark.day / max(1, fan.span) * (across - 1))
        while column in taken.values():
            column += 1
        if 0 <= mark.day <= fan.span and column < across:
            taken[mark.letter] = column
    return taken


def _letters(marked: dict[str, int], across: int) -> Line:
    text = [" "] * across
    for letter, column in marked.items():
        text[column] = letter
    return (Run(" " * AXIS, "quiet"), Run("".join(text), "key", None, True))


def _label(row: int, rows: int, top: float) -> str:
    """The volume at the upper edge of the top row, in the middle of an odd number of rows, and 0 at the bottom."""
    if row == rows - 1:
        return f"{ml(Microlitres(round(top)))} ml"
    if rows % 2 and row == rows // 2 and rows >= 5:
        return ml(Microlitres(round(top / 2)))
    return "0" if row == 0 else ""


def _row(scaled: Sequence[tuple[float, ...]], row: int, marks: set[int], band: str) -> list[Run]:
    cells = []
    for column, (low, middle, high) in enumerate(scaled):
        before = scaled[max(0, column - 1)][1]
        line = _line_glyph(min(before, middle), max(before, middle), row)
        covered = low <= row + 0.5 <= high
        whole = high <= row or low >= row + 1 or (low <= row and high >= row + 1)
        if line:
            cells.append(Run(line, "ink", band if covered else None))
        elif column in marks and whole:
            cells.append(Run("┊", "key", band if covered else None))
        else:
            cells.append(_band_glyph(low - row, high - row, band))
    return _joined(cells)


def _line_glyph(low: float, high: float, row: int) -> str:
    """The median's part of this cell in halves; the line is at least one half thick."""
    first, last = int(low * 2), int(max(high * 2 - 1e-9, low * 2))
    lower, upper = first <= 2 * row <= last, first <= 2 * row + 1 <= last
    return "█" if lower and upper else "▄" if lower else "▀" if upper else ""


def _band_glyph(low: float, high: float, band: str) -> Run:
    """The band's part of this cell in eighths: full, its upper edge, or its lower edge on the band's ground."""
    filled, empty = round(min(max(high, 0.0), 1.0) * 8), round(min(max(low, 0.0), 1.0) * 8)
    if filled <= empty:
        return Run(" ", "ink")
    if empty == 0:
        return Run(RISING[filled], band)
    if filled == 8:
        return Run(RISING[empty], "ground", band)
    return Run(RISING[filled], band)


def _joined(cells: Sequence[Run]) -> list[Run]:
    """Neighbouring cells of the same colours joined to one run."""
    runs: list[Run] = []
    for cell in cells:
        if runs and runs[-1][1:] == cell[1:]:
            runs[-1] = runs[-1]._replace(text=runs[-1].text + cell.text)
        else:
            runs.append(cell)
    return runs


def _below(fan: Fan, across: int) -> list[Line]:
    """The axis of days with its ticks, and their dates."""
    fitting = (step for step in STEPS if step / max(1, fan.span) * (across - 1) >= LEAST_TICK)
    step = next(fitting, STEPS[-1])
    axis, dates = ["─"] * across, ""
    for day in range(0, fan.span + 1, step):
        column = round(day / max(1, fan.span) * (across - 1))
        date_text = _("today") if day == 0 else short_day(fan.today + timedelta(days=day), fan.today)
        axis[column] = "┬"
        if column >= cell_len(dates) and column + cell_len(date_text) <= across:
            dates = f"{dates:<{column}}{date_text}"
    return [
        (Run(" " * (AXIS - 1), "quiet"), Run("└" + "".join(axis), "rule")),
        (Run(" " * AXIS, "quiet"), Run(dates, "quiet")),
    ]


def _legend(fan: Fan, width: int, band: str) -> Line:
    """What the parts mean, as much as fits; the marks come first because they need an action."""
    wide = width >= 100
    parts: list[Line] = [
        (Run(mark.letter, "key", None, True), Run(f" {mark.words}  ", "ink"))
        for mark in fan.marks
        if 0 <= mark.day <= fan.span
    ]
    parts += [
        (Run("▀▀", "ink"), Run(_(" even chance  ") if wide else " even ", "quiet")),
        (Run("██", band), Run(_(" 8 chances in 10") if wide else _(" 8 in 10"), "quiet")),
    ]
    line: list[Run] = [Run(" ", "ink")]
    used = 1
    for part in parts:
        room = sum(cell_len(run.text) for run in part)
        if used + room <= width:
            line += part
            used += room
    return tuple(line)
