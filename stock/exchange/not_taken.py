"""Rows of a person's spreadsheet that hold no bottle, product or mix: titles, groups, totals, repeated heads.

Such a row is left out and reported with its reason; a half-filled row is not such a row, but a bad one.
"""

import re
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from stock.exchange.mapping import NEEDED
from stock.language import _
from stock.text import folded

ABOVE = _("it stands above the heads")
BLANK = _("it is blank")
HEADS_AGAIN = _("it repeats the heads")
TITLE = _("only one of its cells is filled: taken for a title or a remark")
TOTAL = _("taken for a total")
MOST_LISTED = 500
NOTHING_SAID = ("-", "--", "–", "—", "n/a", "n.a.", "k.a.")
DASH_MEANS = ("left", "opened")
"""Fields in which a dash has a meaning: nothing is left, or the bottle is sealed."""
_TOTAL = re.compile(
    r"(grand |sub-?\s?)?total(s|e|en|es)?|sum|summe|gesamt(summe)?|zwischensumme|insgesamt|soma|suma|somme|"
    r"total (geral|general|général)"
)
_BEGINS = re.compile(rf"({_TOTAL.pattern})\b.*")
_FIGURE = re.compile(r"[\d.,'\s€$£¥%+-]*\d[\d.,'\s€$£¥%]*([a-z]{1,4}\.?)?")


def reason(
    cells: Sequence[str], cell: Mapping[str, str], heads: Sequence[str], kind: str, products: Collection[str]
) -> str | None:
    """Why a row isn't taken; None if it is to be read.

    Args:
        cells: all its cells.
        cell: those of our fields that are filled.
        heads: the file's.
        kind: the kind of file.
        products: folded names of the books' products: a row that names one is never a title.
    """
    if all(folded(text) == folded(head) for text, head in zip(cells, heads, strict=False)):
        return HEADS_AGAIN
    filled = [text for text in cells if text]
    missing = [field for field in NEEDED[kind] if field not in cell]
    first, name = folded(filled[0]), folded(cell.get("product", ""))
    if name in products and name:
        return None
    word = name or first
    if _TOTAL.fullmatch(word.rstrip(": .")) or (missing and _BEGINS.fullmatch(word)):
        return TOTAL
    if len(filled) == 1 and len(heads) > 1:
        if not _FIGURE.fullmatch(first):
            return TITLE
        return None if any(field in cell for field in NEEDED[kind]) else TOTAL
    figures_alone = all(_FIGURE.fullmatch(folded(text)) for text in filled)
    return TOTAL if figures_alone and not any(field in cell for field in NEEDED[kind]) else None


def said(cells: Sequence[str], wanted: Iterable[tuple[str, int]]) -> dict[str, str]:
    """The cells of our fields that are filled.

    Args:
        cells: the row's.
        wanted: our fields, each with the place of its column.
    """
    found = {name: cells[place] for name, place in wanted if cells[place]}
    return {
        name: text for name, text in found.items() if name in DASH_MEANS or folded(text) not in NOTHING_SAID
    }


@dataclass(slots=True)
class NotTaken:
    """The first rows that were left out with their reasons, and how many in all; blank rows at the end don't count."""

    rows: list[tuple[int, str]] = field(default_factory=list)
    count: int = 0
    _blank: list[int] = field(default_factory=list)

    def leave(self, row: int, why: str) -> None:
        """Note a row that is left out."""
        self.goes_on()
        self.count += 1
        if len(self.rows) < MOST_LISTED:
            self.rows.append((row, why))

    def blank(self, row: int) -> None:
        """Note a blank row; it counts once another row follows."""
        self._blank.append(row)

    def goes_on(self) -> None:
        """Note that another row follows."""
        waiting, self._blank = self._blank, []
        for row in waiting:
            self.leave(row, BLANK)

    def as_json(self) -> list[dict[str, Any]]:
        """The rows for the import's answer."""
        return [{"row": row, "reason": why} for row, why in self.rows]
