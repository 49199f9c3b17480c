"""A part that is poured by weight, as a bar: what is in is dark, what is still to come light, too much hatched.

Tone, shape and words say it, so that no colour is needed: `█` poured, `░` to come, `▏` the target, `▚` too much.
"""

from stock.bench.pour_by_weight import PourProgress
from stock.language import _
from stock.units import Milligrams, show_mass
from tui.drawing.bottle import Line, Run

POURED, TO_COME, TARGET, TOO_MUCH = "█", "░", "┃", "▚"
INKS = {"far": "ink", "near": "key", "right": "good", "over": "stop"}
SIGNS = {"far": "▸", "near": "▸▸", "right": "✓", "over": "✕"}
ROOM_BEYOND = 5
"""Of how many cells one lies beyond the target."""


def bar(progress: PourProgress, width: int) -> Line:
    """The bar in `width` cells, with a part of it beyond the target."""
    inside = max(4, width - max(2, width // ROOM_BEYOND) - 1)
    beyond = max(1, width - inside - 1)
    target_mg = max(1, progress.target_mg)
    filled = min(inside, max(0, progress.poured_mg * inside // target_mg))
    over_mg = max(0, -progress.left_mg)
    too_much = min(beyond, -(-over_mg * inside // target_mg)) if progress.nearness == "over" else 0
    ink = INKS[progress.nearness]
    return (
        Run(POURED * filled, ink),
        Run(TO_COME * (inside - filled), "quiet"),
        Run(TARGET, "ink", None, bold=True),
        Run(TOO_MUCH * too_much, "stop", None, bold=True),
        Run(" " * (beyond - too_much), "ink"),
    )


def grams(mass_mg: Milligrams, resolution_mg: Milligrams = Milligrams(1)) -> str:
    """A mass in grams as a figure without its unit, to the last digit of the scale."""
    return show_mass(Milligrams(round(mass_mg / resolution_mg) * resolution_mg)).removesuffix(" g")


def words_of(progress: PourProgress, resolution_mg: Milligrams = Milligrams(1)) -> str:
    """How far it is, in words, with a sign before them."""
    left = f"{grams(Milligrams(abs(progress.left_mg)), resolution_mg)} g"
    said = {
        "far": _("{left} still to come", left=left),
        "near": _("{left} still to come: slowly now", left=left),
        "right": _("right: stop pouring"),
        "over": _("{left} too much", left=left),
    }[progress.nearness]
    return f"{SIGNS[progress.nearness]} {said}"
