"""A record for reading: headings, facts and sentences, broken into lines for the width there is."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import takewhile

from rich.cells import cell_len, chop_cells

from tui.drawing.bottle import Line, Run
from tui.drawing.strips import fit, heading, shown

LABEL = 14
"""Cells before a fact's text; beneath a heading with longer labels, up to a third of the width."""


@dataclass(frozen=True, slots=True)
class CardHead:
    """A heading with a note."""

    text: str
    note: str = ""


@dataclass(frozen=True, slots=True)
class CardFact:
    """A label and a text; `swatch` is a paint's colour drawn before the text."""

    what: str
    text: str
    ink: str = "ink"
    swatch: str = ""


@dataclass(frozen=True, slots=True)
class CardSentence:
    """A sentence without a label."""

    text: str
    ink: str = "ink"
    bold: bool = False


Card = Sequence[CardHead | CardFact | CardSentence]


def lines(card: Card, width: int) -> list[Line]:
    """The card in lines of at most `width` cells."""
    drawn: list[Line] = []
    label = _label_cells(card, width)
    for number, part in enumerate(card):
        if isinstance(part, CardHead):
            label = _label_cells(card[number + 1 :], width)
            drawn += (
                [(), heading(part.text, width, part.note)]
                if drawn
                else [heading(part.text, width, part.note)]
            )
        elif isinstance(part, CardSentence):
            drawn += [(Run(f" {text}", part.ink, None, part.bold),) for text in wrapped(part.text, width - 2)]
        else:
            drawn += _fact(part, width, label)
    return drawn


def _label_cells(card: Card, width: int) -> int:
    """The cells for the labels up to the next heading."""
    facts = [
        part
        for part in takewhile(lambda part: not isinstance(part, CardHead), card)
        if isinstance(part, CardFact)
    ]
    return max(LABEL, min(1 + max((cell_len(fact.what) for fact in facts), default=0), width // 3))


def _fact(fact: CardFact, width: int, cells: int) -> Iterator[Line]:
    label = fit(fact.what, cells - 1)
    for number, text in enumerate(wrapped(fact.text, width - cells - 2 - 5 * bool(fact.swatch)) or [""]):
        before = Run(f" {label} " if number == 0 else " " * (cells + 1), "quiet")
        if fact.swatch:
            swatch = Run("███", fact.swatch) if number == 0 else Run("   ", "ink")
            yield (before, swatch, Run("  ", "ink"), Run(text, fact.ink))
        else:
            yield (before, Run(text, fact.ink))


def wrapped(text: str, width: int) -> list[str]:
    """Words in lines of at most `width` cells; a word that is too long is cut; no line where the width is below 1."""
    if width < 1:
        return []
    rows: list[str] = []
    row = ""
    for word in shown(text).split():
        if cell_len(word) > width:
            *whole, word = [piece for piece in chop_cells(word, width) if piece]  # noqa: PLW2901 - the rest of the word
            rows += [row] * bool(row) + whole
            row = ""
        if row and cell_len(row) + 1 + cell_len(word) > width:
            rows.append(row)
            row = word
        else:
            row = f"{row} {word}".strip()
    return [*rows, row] if row else rows
