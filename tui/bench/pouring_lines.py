"""Lines and fields of the pouring by weight: a line for each part, the drift of a bottle, the fields of the Bench."""

from dataclasses import replace
from typing import TYPE_CHECKING

from textual.content import Content

from stock.errors import UllageError
from stock.language import _
from stock.units import Microlitres, Milligrams
from tui.dialogs.typed_mix import TypedMix
from tui.drawing.figures import ml_exact
from tui.drawing.pour_bar import SIGNS, grams
from tui.drawing.sentences import sentence_for
from tui.drawing.strips import fit

if TYPE_CHECKING:
    from stock.bench.pour_by_weight import Pouring, PourProgress, WeighedPart
    from stock.bench.weighings import WeighableBottle

NAME_CELLS = 24


def part_lines(pouring: "Pouring", resolution_mg: Milligrams) -> list[Content]:
    """A line for each part: its state as a sign, its target, what was poured, its bottle; the present one is bold."""
    lines = []
    for number, part in enumerate(pouring.parts):
        here = number == pouring.at
        poured = (
            _("{poured_mg} g poured", poured_mg=grams(part.poured_mg, resolution_mg)) if part.weighed else ""
        )
        name, target = fit(part.planned.product, NAME_CELLS), f"{grams(part.target_mg, resolution_mg):>8} g"
        text = _(
            "{part} {name} {target}  {poured:<17} bottle {bottle}",
            part=_sign(part, here, resolution_mg),
            name=name,
            target=target,
            poured=poured,
            bottle=part.planned.bottle,
        )
        lines.append(Content.assemble((text, "bold" if here else "")))
    return lines


def _sign(part: "WeighedPart", here: bool, resolution_mg: Milligrams) -> str:
    if part.done:
        return (
            SIGNS["over"] if part.progress(resolution_mg=resolution_mg).nearness == "over" else SIGNS["right"]
        )
    return SIGNS["far"] if here else "·"


def drift_words(bottle: "WeighableBottle | None", reading_mg: Milligrams, resolution_mg: Milligrams) -> str:
    """How far the books are from what a bottle weighs before a pour, as a sentence."""
    if bottle is None or bottle.tare_mg is None:
        return _("Its empty weight isn't known, so it isn't compared with the books.")
    try:
        drift = bottle.drift(bottle.measured(reading_mg, resolution_mg))
    except UllageError as error:
        return sentence_for(error)
    return f"{'!' if drift.beyond else '✓'} {drift.sentence[:1].upper()}{drift.sentence[1:]}."


def whole_words(pouring: "Pouring | None", progress: "PourProgress | None") -> str:
    """The total of the mix after rescaling to the present part, as a sentence with a blank before it."""
    if pouring is None or progress is None or progress.target_mg <= 0:
        return ""
    total_ul = sum(part.target_ul for part in pouring.parts) * progress.poured_mg // progress.target_mg
    return _(" The mix would be {total_ul} ml then.", total_ul=ml_exact(Microlitres(round(total_ul, -2))))


def as_typed(pouring: "Pouring", typed_mix: TypedMix) -> TypedMix:
    """The fields of the mix with the poured volumes, and the planned volumes of parts that were not poured."""
    named: dict[str, Microlitres] = {}
    thinner_ul = Microlitres(0)
    for part in pouring.parts:
        volume_ul = part.poured_ul or part.target_ul
        if part.planned.part == "reducer" and pouring.request.reduce is not None:
            thinner_ul = Microlitres(thinner_ul + volume_ul)
        else:
            name = part.planned.product
            named[name] = Microlitres(named.get(name, 0) + volume_ul)
    return replace(
        typed_mix,
        parts=tuple((name, f"{ml_exact(volume_ul)} ml") for name, volume_ul in named.items()),
        reduce=f"{ml_exact(thinner_ul)} ml" if thinner_ul else typed_mix.reduce,
        total="",
    )
