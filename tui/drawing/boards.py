"""The drawn shelf: plain functions that place bottles on boards."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from itertools import groupby
from typing import TYPE_CHECKING

from stock.language import _
from stock.named_tuples import NamedTuple
from stock.units import Microlitres
from tui.drawing.bottle import DrawnBottle, Inks, Line, Run, medium
from tui.drawing.figures import ml, span
from tui.drawing.severity import MARKS
from tui.drawing.strips import fit, heading

if TYPE_CHECKING:
    from stock.shelf.bottles import (
        BottleView,
    )  # Today's first frame stands before the books' tables are loaded

CARD = 10
GLASS_ROWS = 6
BOARD_ROWS = GLASS_ROWS + 3
ROLE_NAMES = {
    "paint": _("Paint"), "clear": _("Clear"), "reducer": _("Reducer"), "cleaner": _("Cleaner"),
    "additive": _("Additive"),
    "hardener": _("Hardener"), "mixed": _("Mixed"),
}  # fmt: skip
ORDER = list(ROLE_NAMES)
WAYS = ("role", "line", "place")


class MarkedBottle(NamedTuple):
    """A bottle and the gravest severity among its cautions."""

    view: BottleView
    severity: str = ""

    @property
    def drawn(self) -> DrawnBottle:
        """The bottle as it is drawn."""
        view = self.view
        return DrawnBottle(view.on_hand_ul, view.size_ul, view.color, view.state, self.severity)


class BoardHead(NamedTuple):
    """The headings of the parts of the shelf that begin on the board beneath, with a note about each.

    `parts` are (position on the board, name, note).
    """

    parts: tuple[tuple[int, str, str], ...]
    rows: int = 1


class Board(NamedTuple):
    """One board and its bottles from left to right; None is a gap between two parts of the shelf."""

    bottles: tuple[MarkedBottle | None, ...]
    rows: int = BOARD_ROWS

    @property
    def without_gaps(self) -> list[MarkedBottle]:
        """The bottles without the gaps."""
        return [one for one in self.bottles if one is not None]


Furniture = BoardHead | Board


def part_of(view: BottleView, way: str) -> str:
    """The part of the shelf that a bottle stands in, by role, line or place."""
    if way == "line":
        return view.line or _("No line")
    if way == "place":
        return view.place or _("No place noted")
    return ROLE_NAMES.get(view.role, view.role)


def ordered(bottles: Iterable[MarkedBottle], way: str) -> list[MarkedBottle]:
    """The bottles in their order on the shelf: by part, product, open before sealed, number."""

    def rank(one: MarkedBottle) -> tuple[object, ...]:
        view = one.view
        part = (
            ORDER.index(view.role) if way == "role" and view.role in ORDER else part_of(view, way).casefold()
        )
        return part, view.product.casefold(), view.state != "open", view.id

    return sorted(bottles, key=rank)


def boards(bottles: Sequence[MarkedBottle], width: int, way: str) -> list[Furniture]:
    """Heads and boards for a shelf of `width` cells, top to bottom; small parts share a board."""
    most = max(1, (width - 2) // CARD)
    shelves: list[tuple[list[tuple[int, str, str]], list[MarkedBottle | None]]] = []
    for part, group in groupby(ordered(bottles, way), key=lambda one: part_of(one.view, way)):
        there = list(group)
        held_ul = Microlitres(sum(one.view.on_hand_ul for one in there))
        note = _("{there} standing, {held} ml", there=len(there), held=ml(held_ul))
        if shelves and len(shelves[-1][1]) + 1 + len(there) <= most:
            heads, last = shelves[-1]
            heads.append((len(last) + 1, part, note))
            last += [None, *there]
            continue
        for at in range(0, len(there), most):
            shelves.append(([(0, part, note)] if at == 0 else [], list(there[at : at + most])))
    furniture: list[Furniture] = []
    for heads, placed in shelves:
        furniture += [BoardHead(tuple(heads))] if heads else []
        furniture.append(Board(tuple(placed)))
    return furniture


def head_line(head: BoardHead, width: int) -> Line:
    """The names of the parts, each above its first bottle."""
    ends = [place * CARD for place, _, _ in head.parts[1:]] + [width]
    first = head.parts[0][0] * CARD
    runs: list[Run] = [Run("─" * first, "rule")] if first else []
    for (place, text, note), end in zip(head.parts, ends, strict=True):
        room = end - place * CARD
        runs += heading(text, room, note if room > len(text) + len(note) + 9 else "")
    return tuple(runs)


def found(bottles: Iterable[MarkedBottle], letters: str) -> list[MarkedBottle]:
    """The bottles whose product, line, label, place or lot contains every typed word."""
    wanted = letters.casefold().split()

    def words(view: BottleView) -> str:
        return f"{view.product} {view.line} {view.label} {view.place or ''} {view.lot}".casefold()

    return [one for one in bottles if all(word in words(one.view) for word in wanted)]


def worst(findings: Mapping[int, Sequence[str]], bottle: int) -> str:
    """The gravest severity among a bottle's findings."""
    severities = findings.get(bottle, ())
    return next((grade for grade in ("stop", "warn", "note") if grade in severities), "")


def captions(one: MarkedBottle, today: date) -> tuple[str, str]:
    """The two lines under a bottle: how much is in it, and its state or age."""
    view = one.view
    mark = MARKS[one.severity]
    if view.state == "open" and view.opened_on is not None:
        age = span((today - view.opened_on).days)
        state = age if mark else _("open {age}", age=age)
    else:
        state = _(view.state)
    below = f"{mark} {state}" if mark else state
    return f"{ml(view.on_hand_ul)} ml", below if len(below) < CARD else below[:-4] + below[-4:].replace(
        " ", ""
    )


def board_line(  # noqa: PLR0917 - one line of one drawing
    board: Board, row: int, width: int, today: date, inks: Inks, hand: int | None
) -> Line:
    """One line of a board: its bottles, its edge with the names, or the captions beneath.

    Args:
        board: the bottles.
        row: 0 is the top of the tallest bottle.
        width: cells of the shelf.
        today: the day from which ages count.
        inks: what bottles are drawn with.
        hand: the number of the selected bottle, on this board or another.
    """
    if row < GLASS_ROWS:
        return _glass(board, row, inks, hand)
    if row == GLASS_ROWS:
        return _edge(board, width)
    runs = [Run(" ", "ink")]
    for one in board.bottles:
        if one is None:
            runs.append(Run(" " * CARD, "ink"))
            continue
        text = fit(captions(one, today)[row - GLASS_ROWS - 1].center(CARD - 1)[: CARD - 1], CARD - 1)
        grave = row == GLASS_ROWS + 2 and one.severity in ("stop", "warn")
        ink = one.severity if grave else ("ink" if row == GLASS_ROWS + 1 else "quiet")
        if one.view.id == hand:
            runs.append(Run(text, "cursor-ink", "cursor", bold=row == GLASS_ROWS + 1))
        else:
            runs.append(Run(text, ink, None, bold=one.severity == "stop" and grave))
        runs.append(Run(" ", "ink"))
    return tuple(runs)


def _glass(board: Board, row: int, inks: Inks, hand: int | None) -> Line:
    runs = [Run(" ", "ink")]
    for one in board.bottles:
        if one is None:
            runs.append(Run(" " * CARD, "ink"))
            continue
        drawing = medium(one.drawn, inks)
        at = row - (GLASS_ROWS - len(drawing))
        pointer = "▸" if one.view.id == hand and row == GLASS_ROWS - 1 else " "
        if at < 0:
            runs.append(Run(" " * CARD, "ink"))
        else:
            runs += [Run(pointer, "key", None, bold=True), *drawing[at], Run("  ", "ink")]
    return tuple(runs)


def _edge(board: Board, width: int) -> Line:
    """The board's edge, with each product's name under its bottles."""
    text = " "
    for __, group in groupby(board.bottles, key=lambda one: one.view.product_id if one else None):
        same = list(group)
        text += fit(same[0].view.product if same[0] else "", len(same) * CARD - 1) + " "
    return (Run(fit(text, width), "board-ink", "board", bold=True),)
