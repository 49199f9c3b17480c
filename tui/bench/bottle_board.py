"""The bottles of a planned mix, drawn on a board with what the mix takes from each."""

from stock.bench.mixing import MixPlan
from tui.drawing.bottle import Inks, Line, Run, medium
from tui.drawing.figures import ml_change
from tui.drawing.mix import bottle_of
from tui.drawing.strips import fit

CARD = 14
ROWS = 6


def drawn(plan: MixPlan, width: int, inks: Inks) -> list[Line]:
    """Each bottle with the volume to be poured hatched, its name on the board, and before → after beneath."""
    pours = plan.pours[: max(1, width // CARD)]
    drawings = [medium(bottle_of(pour), inks) for pour in pours]
    lines: list[Line] = []
    for row in range(ROWS):
        runs: list[Run] = []
        for drawing in drawings:
            at = row - (ROWS - len(drawing))
            if at < 0:
                runs.append(Run(" " * CARD, "ink"))
            else:
                runs += [Run("  ", "ink"), *drawing[at], Run(" " * (CARD - 9), "ink")]
        lines.append(tuple(runs))
    names = " ".join(fit(f" {pour.product}", CARD - 1) for pour in pours)
    lines.append((Run(fit(names, width), "board-ink", "board", bold=True),))
    below = "".join(fit(f" {'→'.join(ml_change(pour.before_ul, pour.after_ul))} ml", CARD) for pour in pours)
    lines.append((Run(below, "ink"),))
    return lines
