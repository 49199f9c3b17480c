"""The bottle, drawn in cells: plain functions from a bottle's facts to coloured text.

The glass contrasts with the paint in every theme: pale paint is drawn in dark glass, dark paint in pale glass. The cap
shows the state without colour: a sealed bottle has a full cap, an open one a bare neck, one with a caution its sign.
"""

from typing import TYPE_CHECKING, Literal

from stock.named_tuples import NamedTuple
from tui.drawing.colour import blend, contrast

if TYPE_CHECKING:
    from stock.units import Microlitres

Size = Literal["small", "medium", "large"]

RISING = " ▁▂▃▄▅▆▇█"
SPREADING = " ▏▎▍▌▋▊▉█"
GONE = "░"
SIGNS = {"": "", "note": "·", "warn": "!", "stop": "✕"}
SMALL_CELLS = 6
LEAST_SEEN = 1.7
"""The contrast below which paint can't be told from glass, so that the other glass is drawn."""


class Run(NamedTuple):
    """A part of a line in one pair of colours; a `ground` of None is the background."""

    text: str
    ink: str
    ground: str | None = None
    bold: bool = False


Line = tuple[Run, ...]


class Inks(NamedTuple):
    """What a bottle is drawn with besides its paint, all `#rrggbb`.

    Args:
        outline: walls, neck and cap.
        glass: the empty part of a bottle, if the paint contrasts with it.
        pale_glass: the same for dark paint that does not contrast with `glass`.
        dark_glass: the same for pale paint.
        caution: the sign of a caution.
        liquid: what a product without a colour is drawn in: a grey, so that it is taken for no colour.
        one_ink: if given, the ink of all paint; without colours, greys would hide the levels.
    """

    outline: str
    glass: str
    pale_glass: str
    dark_glass: str
    caution: str
    liquid: str
    one_ink: str = ""


class DrawnBottle(NamedTuple):
    """What the drawing shows of a bottle.

    Args:
        on_hand_ul: the volume in it, in µL.
        size_ul: the volume when full, in µL; above 0.
        colour: `#rrggbb` of the paint, or None for a clear liquid.
        state: "sealed", "open", "empty" or "discarded".
        severity: the gravest of its cautions: "", "note", "warn" or "stop".
        after_ul: the volume after the previewed booking, in µL.
    """

    on_hand_ul: "Microlitres"
    size_ul: "Microlitres"
    colour: str | None = None
    state: str = "open"
    severity: str = ""
    after_ul: "Microlitres | None" = None


def eighths(volume_ul: "Microlitres", size_ul: "Microlitres", cells: int) -> int:
    """The level in eighths of a cell, 0 to `cells * 8`; 0 only for an empty bottle."""
    if volume_ul <= 0 or size_ul <= 0:
        return 0
    most = cells * 8
    return max(1, min(most, (volume_ul * most * 2 + size_ul) // (size_ul * 2)))


def glass_for(paint: str, inks: Inks) -> str:
    """The glass that contrasts with this paint."""
    if contrast(paint, inks.glass) >= LEAST_SEEN:
        return inks.glass
    return max((inks.pale_glass, inks.dark_glass), key=lambda glass: contrast(paint, glass))


def _fill(bottle: DrawnBottle, cells: int, steps: str, inks: Inks) -> list[Run]:
    """One run for each cell, from the full end to the empty one; what a booking would take is hatched."""
    paint = inks.one_ink or bottle.colour or inks.liquid
    glass = glass_for(paint, inks)
    taken = blend(glass, paint, 0.35)
    before = eighths(bottle.on_hand_ul, bottle.size_ul, cells)
    after = before if bottle.after_ul is None else eighths(bottle.after_ul, bottle.size_ul, cells)
    runs = []
    for cell in range(cells):
        low, high = cell * 8, cell * 8 + 8
        if after >= high:
            runs.append(Run("█", paint, glass))
        elif after > low:
            runs.append(Run(steps[after - low], paint, taken if before >= high else glass))
        elif before >= high:
            runs.append(Run(GONE, paint, taken))
        elif before > low:
            runs.append(Run(steps[before - low], taken, glass))
        else:
            runs.append(Run(" ", inks.outline, glass))
    return runs


def cap_sign(bottle: DrawnBottle) -> str:
    """One cell that shows a caution, or whether the bottle is sealed, open, empty or discarded."""
    if bottle.state in ("empty", "discarded"):
        return "×" if bottle.state == "discarded" else "○"
    return SIGNS[bottle.severity] or ("■" if bottle.state == "sealed" else "□")


def small(bottle: DrawnBottle, inks: Inks, cells: int = SMALL_CELLS) -> Line:
    """A bottle lying in one line: `cells` of fill, both walls and the cap; `cells + 3` wide."""
    ink = inks.caution if bottle.severity in ("warn", "stop") else inks.outline
    return (
        Run("▐", inks.outline),
        *_fill(bottle, cells, SPREADING, inks),
        Run("▌", inks.outline),
        Run(cap_sign(bottle), ink, bold=bool(bottle.severity)),
    )


def body_rows(size_ul: "Microlitres", most: int) -> int:
    """The height of a standing bottle of this size, 2 rows to `most`."""
    steps = (45_000, 90_000, 180_000, 360_000)
    return min(most, 2 + sum(size_ul > step for step in steps))


def _cap(bottle: DrawnBottle, inner: int, inks: Inks) -> list[Line]:
    """Cap, neck and shoulders: two lines, `inner + 2` wide."""
    neck = (1 if inner < 7 else 3) + (inner % 2 == 0)
    side = (inner + 2 - neck - 2) // 2
    pad = " " * side
    shoulder = "─" * (side - 1)
    sign = SIGNS[bottle.severity]
    mark = (sign or " ").center(neck)[:neck]
    mark_ink = inks.caution if sign else inks.outline
    if bottle.state == "sealed":
        top: Line = (Run(f"{pad}▟{'█' * neck}▙{pad}", inks.outline),)
    elif bottle.state == "open":
        top = (Run(f"{pad}╷{' ' * neck}╷{pad}", inks.outline),)
    else:
        top = (Run(" " * (inner + 2), inks.outline),)
    return [
        top,
        (
            Run(f"╭{shoulder}┘", inks.outline),
            Run(mark, mark_ink, bold=bool(sign)),
            Run(f"└{shoulder}╮", inks.outline),
        ),
    ]


def _standing(bottle: DrawnBottle, inner: int, rows: int, inks: Inks) -> list[Line]:
    levels = _fill(bottle, rows, RISING, inks)
    body: list[Line] = [
        (
            Run("│", inks.outline),
            Run(level.text * inner, level.ink, level.ground),
            Run("│", inks.outline),
        )
        for level in reversed(levels)
    ]
    return [*_cap(bottle, inner, inks), *body]


def medium(bottle: DrawnBottle, inks: Inks, *, inner: int = 5, most_rows: int = 4) -> list[Line]:
    """A bottle on a board: `inner + 2` wide, its height by its size, without a bottom."""
    return _standing(bottle, inner, body_rows(bottle.size_ul, most_rows), inks)


def large(bottle: DrawnBottle, inks: Inks, *, inner: int = 11, rows: int = 8) -> list[Line]:
    """A bottle with a foot and a scale of quarters at its right wall; `inner + 8` wide."""
    lines = _standing(bottle, inner, rows, inks)
    marks = {2: "full", 2 + rows // 4: "¾", 2 + rows // 2: "½", 2 + rows * 3 // 4: "¼"}
    for number, mark in marks.items():
        wall = lines[number][-1]
        lines[number] = (*lines[number][:-1], replace_text(wall, "├"), Run(f" {mark:<5}", inks.outline))
    lines.append((Run(f"╰{'─' * inner}╯", inks.outline),))
    return lines


def replace_text(run: Run, text: str) -> Run:
    """The run with another text."""
    return run._replace(text=text)


def previewed(bottle: DrawnBottle, after_ul: "Microlitres") -> DrawnBottle:
    """The bottle as it is, with the volume that a booking would leave in it."""
    return bottle._replace(after_ul=after_ul)
