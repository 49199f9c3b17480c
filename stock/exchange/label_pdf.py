"""Sheets of labels as one PDF file, by reportlab."""

import io
from collections.abc import Sequence
from typing import Any

from stock.errors import UllageError
from stock.exchange.label_layout import Layout
from stock.language import _
from stock.store.outputs import MARK

MM = 72 / 25.4
FONTS = ("Helvetica", "Helvetica-Bold")
"""Two of the fourteen typefaces that every reader of PDF has; they hold the letters of Western Europe."""
ENCODING = "cp1252"


def shown(text: str) -> str:
    """A text with a question mark in place of each letter that the typeface doesn't have."""
    return text.encode(ENCODING, errors="replace").decode(ENCODING)


def draw(
    pages: Sequence[Sequence[tuple[float, float, Layout]]],
    page: tuple[float, float],
    label: tuple[float, float],
) -> str:
    """The file, all in ASCII.

    Args:
        pages: of each page its labels with the left upper corner of each, in millimetres.
        page: its width and height.
        label: the width and height of a label.
    Raises:
        UllageError: the library isn't installed.
    """
    try:
        from reportlab.pdfgen import canvas  # an extra, only for labels as PDF
    except ImportError:
        raise UllageError(
            _("PDF can't be written here"),
            remedy=_("Install it: pip install 'ullage[labels]', or name a file that ends in .svg"),
            code="not-installed",
        ) from None
    out = io.BytesIO()
    made = canvas.Canvas(out, pagesize=(page[0] * MM, page[1] * MM), pageCompression=0, invariant=1)
    made.setTitle(_("Labels"))
    made.setAuthor("Ullage")
    made.setSubject(_("Written by Ullage, {mark}", mark=MARK))
    for labels in pages:
        for left, top, layout in labels:
            _label(made, left, page[1] - top, label, layout)
        made.showPage()
    made.save()
    # The comment after the first line would only mark the file as binary, which this one is not.
    head, __, rest = out.getvalue().partition(b"\n")
    return (head + b"\n" + bytes(one if one < 128 else ord("#") for one in rest)).decode("ascii")


def _label(made: Any, left: float, top: float, label: tuple[float, float], layout: Layout) -> None:
    """One label; `top` counts from the bottom of the page."""
    made.setLineWidth(0.1 * MM)
    made.setStrokeGray(0.6)
    made.rect(left * MM, (top - label[1]) * MM, label[0] * MM, label[1] * MM, stroke=1, fill=0)
    made.setFillGray(0)
    code = layout.code
    module = code.side / code.modules
    dark = made.beginPath()
    for column, line in code.dark:
        dark.rect(
            (left + code.x + column * module) * MM,
            (top - code.y - (line + 1) * module) * MM,
            module * MM,
            module * MM,
        )
    made.drawPath(dark, stroke=0, fill=1)
    for words in layout.words:
        made.setFont(FONTS[words.bold], words.size * MM)
        made.drawString((left + words.x) * MM, (top - words.y) * MM, shown(words.text))
    if layout.swatch is not None:
        made.setFillColor(layout.swatch.color)
        made.setStrokeGray(0)
        made.rect(
            (left + layout.swatch.x) * MM, (top - layout.swatch.y - 3) * MM, 3 * MM, 3 * MM, stroke=1, fill=1
        )
