"""Labels for bottles: sheets of them as SVG pages, each with a QR code that a scanner types as the bottle's code.

The code holds the label alone (as B0012), so that a scanner typed into any find box opens the bottle.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from html import escape
from pathlib import Path
from typing import Any

from stock.errors import BadInput, UllageError
from stock.grammar import in_full
from stock.remedies import Option, Remedy
from stock.shelf.bottles import BottleView, on_shelf
from stock.store.outputs import MARK, Output
from stock.text import plain
from stock.units import Microlitres, show_volume

PAGES = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}
MARGIN_MM = 8.0
GAP_MM = 2.0
QUIET = 4
"""Modules left free around a QR code: ISO/IEC 18004."""


@dataclass(frozen=True, slots=True)
class Paper:
    """A page and its labels, all in millimetres."""

    width: float
    height: float
    label_width: float = 60.0
    label_height: float = 25.0

    @property
    def columns(self) -> int:
        """Labels beside each other."""
        return int((self.width - 2 * MARGIN_MM + GAP_MM) // (self.label_width + GAP_MM))

    @property
    def lines(self) -> int:
        """Labels above each other."""
        return int((self.height - 2 * MARGIN_MM + GAP_MM) // (self.label_height + GAP_MM))


def paper(page: str = "a4", label: str = "60x25") -> Paper:
    """The page that a person means.

    Raises:
        BadInput: an unknown page, or labels that don't fit on it.
    """
    width, sign, height = label.partition("x")
    if page not in PAGES or not sign or not width.isdecimal() or not height.isdecimal():
        raise BadInput(
            f"there is no page {plain(page, 20)!r} with labels of {plain(label, 20)!r}",
            remedy=f"Write one of {', '.join(PAGES)} and a size in mm such as 60x25",
        )
    found = Paper(*PAGES[page], float(width), float(height))
    if min(found.label_width, found.label_height) < 15 or found.columns < 1 or found.lines < 1:
        raise BadInput(
            f"labels of {plain(label, 20)} mm don't fit on {page}, or are too small to be scanned",
            remedy="Write a size from 15x15 up",
        )
    return found


def sheets(bottles: Sequence[BottleView], on: Paper, measures: str = "metric") -> list[str]:
    """SVG pages with one label a bottle.

    Raises:
        BadInput: no bottle.
        UllageError: the library that draws QR codes isn't installed.
    """
    if not bottles:
        raise BadInput(
            "there is no bottle to label", remedy=Remedy("Receive one, or name others ", Option("bottle"))
        )
    page = on.columns * on.lines
    return [_page(bottles[at : at + page], on, measures) for at in range(0, len(bottles), page)]


def bottles(numbers: Iterable[int] | None = None) -> list[BottleView]:
    """The bottles of these numbers, in the order given; all that still hold something when None."""
    shelf = {view.id: view for view in on_shelf()}
    if numbers is None:
        return [view for view in shelf.values() if not view.gone]
    return [shelf[number] for number in numbers if number in shelf]


def files(on: Paper, numbers: Iterable[int] | None, target: Path, measures: str) -> tuple[int, list[Output]]:
    """The sheets as files, the first as named, further ones with -2, -3 ... before the ending.

    Args:
        on: the page and its labels.
        numbers: which bottles; all that hold something when None.
        target: the first file.
    Returns:
        How many labels, and the files to be written.
    Raises:
        BadInput: no bottle.
    """
    chosen = bottles(numbers)
    pages = sheets(chosen, on, measures)
    names = [
        target if at == 1 else target.parent / f"{target.stem}-{at}{target.suffix}"
        for at in range(1, len(pages) + 1)
    ]
    written = [
        Output(name, page, f"labels, page {at}")
        for at, (name, page) in enumerate(zip(names, pages, strict=True), 1)
    ]
    return len(chosen), written


def _page(views: Sequence[BottleView], on: Paper, measures: str) -> str:
    labels = []
    for at, view in enumerate(views):
        line, column = divmod(at, on.columns)
        left = MARGIN_MM + column * (on.label_width + GAP_MM)
        top = MARGIN_MM + line * (on.label_height + GAP_MM)
        labels.append(
            f'<g transform="translate({in_full(left)} {in_full(top)})">{_label(view, on, measures)}</g>'
        )
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{in_full(on.width)}mm" height="{in_full(on.height)}mm" '
        f'viewBox="0 0 {in_full(on.width)} {in_full(on.height)}"><rect width="100%" height="100%" fill="#fff"/>\n'
        + "\n".join(labels)
        + f"\n</svg>\n<!-- Written by Ullage, {MARK} -->\n"
    )


def _label(view: BottleView, on: Paper, measures: str) -> str:
    side = min(on.label_height, on.label_width / 2) - 2
    room = on.label_width - side - 4
    words = [
        (view.label, 4.2, "bold"),
        (view.product, 3.4, "bold"),
        (
            f"{show_volume(Microlitres(view.size_ul), measures)}{f', lot {view.lot}' if view.lot else ''}",
            2.8,
            "normal",
        ),
        (f"good until {view.good_until}" if view.good_until else "", 2.8, "normal"),
        (f"open since {view.opened_on}" if view.opened_on else "opened:", 2.8, "normal"),
    ]
    parts = [
        f'<rect width="{in_full(on.label_width)}" height="{in_full(on.label_height)}" '
        'fill="none" stroke="#999" stroke-width=".1"/>',
        _code(view.label, side),
    ]
    top = 1.0
    for text, size, weight in words:
        if not text or top + size > on.label_height:
            continue
        top += size * 1.15
        most = max(int(room / (size * 0.55)), 4)
        parts.append(
            f'<text x="{in_full(side + 3)}" y="{in_full(top)}" font-family="Helvetica, Arial, sans-serif" '
            f'font-size="{in_full(size)}" font-weight="{weight}" fill="#000">{escape(plain(text, most))}</text>'
        )
    if view.color:
        parts.append(
            f'<rect x="{in_full(on.label_width - 4)}" y="1" width="3" height="3" fill="{escape(view.color)}" '
            'stroke="#000" stroke-width=".1"/>'
        )
    return "".join(parts)


def _code(text: str, side: float) -> str:
    """A QR code of that side in millimetres, its quiet zone included."""
    matrix: Any = _segno().make(text, error="m", micro=False).matrix
    modules = len(matrix) + 2 * QUIET
    dark = "".join(
        f"M{x + QUIET} {y + QUIET}h1v1h-1z"
        for y, row in enumerate(matrix)
        for x, bit in enumerate(row)
        if bit
    )
    return f'<path transform="translate(1 1) scale({side / modules:.5f})" d="{dark}" fill="#000"/>'


def _segno() -> Any:
    try:
        import segno  # an extra, only for labels
    except ImportError:
        raise UllageError(
            "QR codes can't be drawn here",
            remedy="Install them: pip install 'ullage[labels]'",
            code="not-installed",
        ) from None
    return segno
