"""Labels for bottles: sheets as SVG pages or as a PDF, each label with a QR code that a scanner types.

The code holds only the label (as B0012), so a scanner that types into any find box opens the bottle. If a label of the
studio's own is too long for a code that prints well, the code holds the bottle's number, which means the same.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from html import escape
from pathlib import Path

from stock.errors import BadInput
from stock.exchange.label_layout import Layout, lay_out
from stock.grammar import exact, pointed
from stock.language import _
from stock.remedies import Option, Remedy
from stock.shelf.bottles import BottleView, on_shelf
from stock.store.outputs import MARK, Output
from stock.text import plain

PAGES = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}
FEW_LETTERS = 12
"""How many letters that can't be printed are named."""
MARGIN_MM = 8.0
GAP_MM = 2.0
SIZES = (
    "15x15", "20x20", "25x15", "25x25", "30x20", "40x20", "40x30", "50x25", "60x25", "60x40", "70x35", "90x30",
    "100x60",
)  # fmt: skip
"""Sizes of labels that are offered, in millimetres; others may be named."""


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
    """Read the page and label size that a person typed.

    Raises:
        BadInput: an unknown page, or labels that don't fit on it.
    """
    width, sign, height = label.partition("x")
    if page not in PAGES or not sign or not width.isdecimal() or not height.isdecimal():
        raise BadInput(
            _(
                "there is no page {page!r} with labels of {label!r}",
                page=plain(page, 20),
                label=plain(label, 20),
            ),
            remedy=_("Write one of {pages} and a size in mm such as 60x25", pages=", ".join(PAGES)),
        )
    found = Paper(*PAGES[page], float(width), float(height))
    if min(found.label_width, found.label_height) < 15 or found.columns < 1 or found.lines < 1:
        raise BadInput(
            _(
                "labels of {label} mm don't fit on {page}, or are too small to be scanned",
                label=plain(label, 20),
                page=page,
            ),
            remedy=_("Write a size from 15x15 up"),
        )
    return found


def sheets(bottles: Sequence[BottleView], on: Paper, measures: str = "metric") -> list[str]:
    """SVG pages with one label a bottle.

    Raises:
        BadInput: no bottle.
        UllageError: the library that draws QR codes isn't installed.
    """
    return [_page(labels, on) for labels in _laid_out(bottles, on, measures)]


def pdf(bottles: Sequence[BottleView], on: Paper, measures: str = "metric") -> str:
    """The same pages as one PDF file.

    Raises:
        BadInput: no bottle.
        UllageError: a library that it needs isn't installed.
    """
    from stock.exchange import label_pdf  # only where a PDF is wanted

    pages = _laid_out(bottles, on, measures)
    return label_pdf.draw(pages, (on.width, on.height), (on.label_width, on.label_height))


Placed = list[tuple[float, float, Layout]]
"""The labels of a page with the left upper corner of each."""


def _laid_out(bottles: Sequence[BottleView], on: Paper, measures: str) -> list[Placed]:
    if not bottles:
        raise BadInput(
            _("there is no bottle to label"),
            remedy=Remedy(_("Receive one, or name others "), Option("bottle")),
        )
    pages: list[Placed] = []
    for at, view in enumerate(bottles):
        line, column = divmod(at % (on.columns * on.lines), on.columns)
        if not line and not column:
            pages.append([])
        left = MARGIN_MM + column * (on.label_width + GAP_MM)
        top = MARGIN_MM + line * (on.label_height + GAP_MM)
        pages[-1].append((left, top, lay_out(view, on.label_width, on.label_height, measures)))
    return pages


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
        target: the first file; if its name ends in .pdf, the only one, with all pages.
    Returns:
        How many labels, and the files to be written.
    Raises:
        BadInput: no bottle.
    """
    chosen = bottles(numbers)
    if target.suffix.lower() == ".pdf":
        return len(chosen), [Output(target, pdf(chosen, on, measures), _("labels as PDF"))]
    pages = sheets(chosen, on, measures)
    names = [
        target if at == 1 else target.parent / f"{target.stem}-{at}{target.suffix}"
        for at in range(1, len(pages) + 1)
    ]
    written = [
        Output(name, page, _("labels, page {at}", at=at))
        for at, (name, page) in enumerate(zip(names, pages, strict=True), 1)
    ]
    return len(chosen), written


def letters_missing(numbers: Iterable[int] | None) -> str:
    """A sentence naming the letters of these labels that a PDF can't print; empty if it can print all."""
    from stock.exchange.label_pdf import shown  # only where a PDF is wanted

    texts = [
        text for view in bottles(numbers) for text in (view.product, view.place or "", view.label, view.owner)
    ]
    letters = sorted({letter for text in texts for letter in text if shown(letter) != letter})
    if not letters:
        return ""
    named = " ".join(letters[:FEW_LETTERS]) + (" …" if len(letters) > FEW_LETTERS else "")
    return _(
        "The PDF prints ? for letters that its typeface hasn't: {named}. A file that ends in .svg has them",
        named=named,
    )


def _page(labels: Placed, on: Paper) -> str:
    drawn = "\n".join(
        f'<g transform="translate({_mm(left)} {_mm(top)})">{_label(layout, on)}</g>'
        for left, top, layout in labels
    )
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{_mm(on.width)}mm" height="{_mm(on.height)}mm" '
        f'viewBox="0 0 {_mm(on.width)} {_mm(on.height)}"><rect width="100%" height="100%" fill="#fff"/>\n'
        f"{drawn}\n</svg>\n<!-- Written by Ullage, {MARK} -->\n"
    )


def _label(layout: Layout, on: Paper) -> str:
    code = layout.code
    dark = "".join(f"M{x} {y}h1v1h-1z" for x, y in code.dark)
    parts = [
        f'<rect width="{_mm(on.label_width)}" height="{_mm(on.label_height)}" '
        'fill="none" stroke="#999" stroke-width=".1"/>',
        f'<path transform="translate({_mm(code.x)} {_mm(code.y)}) scale({code.side / code.modules:.5f})" '
        f'd="{dark}" fill="#000"/>',
    ]
    parts += [
        f'<text x="{_mm(one.x)}" y="{_mm(one.y)}" font-family="Helvetica, Arial, sans-serif" '
        f'font-size="{_mm(one.size)}" font-weight="{"bold" if one.bold else "normal"}" '
        f'fill="#000">{escape(one.text)}</text>'
        for one in layout.words
    ]
    if layout.swatch is not None:
        swatch = layout.swatch
        parts.append(
            f'<rect x="{_mm(swatch.x)}" y="{_mm(swatch.y)}" width="3" height="3" fill="{escape(swatch.color)}" '
            'stroke="#000" stroke-width=".1"/>'
        )
    return "".join(parts)


def _mm(millimetres: float) -> str:
    """A length to the thousandth of a millimetre, as SVG has it."""
    return pointed(exact(round(millimetres, 3)))
