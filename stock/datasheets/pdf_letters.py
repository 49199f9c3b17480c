"""The letters of a PDF page with their places, and nothing else: no lines, no pictures, no colours.

Reading everything that pdfminer and pdfplumber note about a letter takes three times as long.
"""

from typing import Any

from pdfminer.pdfdevice import PDFTextDevice
from pdfminer.pdffont import PDFFont, PDFUnicodeNotDefined
from pdfminer.pdfinterp import PDFPageInterpreter, PDFTextState
from pdfminer.utils import apply_matrix_rect

STRAIGHT = 0.1
"""How much a line of letters may rise or fall, in parts of its length."""
UNSEEN = 3
"""The text rendering mode (ISO 32000-1, table 106) that draws nothing, as under the picture of a scanned page."""
Letter = dict[str, Any]


class PageLetters(PDFTextDevice):
    """Collects the letters drawn on one page: upright, askew and invisible ones."""

    def __init__(self, resources: Any, top: float) -> None:
        """`top` is the page's upper edge, from which places are counted, in points."""
        super().__init__(resources)
        self.upright: list[Letter] = []
        self.askew: list[Letter] = []
        self.unseen: list[Letter] = []
        self._top = top
        self._mode = 0
        self._fonts: dict[PDFFont, dict[int, tuple[str, float, float]]] = {}

    def render_string(self, textstate: PDFTextState, *rest: Any) -> None:
        """Take a string of letters."""
        self._mode = textstate.render
        super().render_string(textstate, *rest)

    def render_char(self, matrix: Any, font: PDFFont, *rest: Any) -> float:
        """Take one letter; returns how far the next one stands."""
        fontsize, scaling, rise, cid = rest[:4]
        cached = self._fonts.setdefault(font, {}).get(cid)
        if cached is None:
            cached = self._fonts[font][cid] = _text(font, cid), font.char_width(cid), font.get_descent()
        text, width, descent = cached
        advance: float = width * fontsize * scaling
        vertical = font.is_vertical()
        low = descent * fontsize + rise
        a, b, c, d, e, f = matrix
        if not vertical and b == c == 0:
            x0, y0, x1, y1 = e, low * d + f, advance * a + e, (low + fontsize) * d + f
        else:
            box = _box(font, cid, fontsize, rise, advance) if vertical else (0, low, advance, low + fontsize)
            x0, y0, x1, y1 = apply_matrix_rect(matrix, box)
        x0, x1, y0, y1 = min(x0, x1), max(x0, x1), min(y0, y1), max(y0, y1)
        letter = {
            "text": text, "x0": x0, "x1": x1, "top": self._top - y1, "bottom": self._top - y0, "doctop": self._top - y1,
            "height": y1 - y0, "width": x1 - x0, "size": x1 - x0 if vertical else y1 - y0,
            "upright": a * d * scaling > 0 and b * c <= 0,
        }  # fmt: skip
        if self._mode == UNSEEN:
            self.unseen.append(letter)
        else:
            (self.askew if abs(b) > STRAIGHT * abs(a) else self.upright).append(letter)
        return advance


def _text(font: PDFFont, cid: int) -> str:
    """The text of a font's letter; its number if the font doesn't say."""
    try:
        return str(font.to_unichr(cid))
    except PDFUnicodeNotDefined:
        return f"(cid:{cid})"


def _box(
    font: Any, cid: int, fontsize: float, rise: float, advance: float
) -> tuple[float, float, float, float]:
    """The box of a letter that is written downwards, in its own units."""
    across, down = font.char_disp(cid)
    left = -fontsize * 0.5 if across is None else -across * fontsize * 0.001
    low = (1_000 - down) * fontsize * 0.001 + rise
    return left, low + advance, left + fontsize, low


def of_page(page: Any) -> tuple[list[Letter], bool]:
    """The letters of one of pdfplumber's pages, and whether they are invisible under a picture of the page.

    Askew letters, as of a watermark, are left out if most are upright; invisible letters if most are visible.
    """
    taken = PageLetters(page.pdf.rsrcmgr, float(page.height) + float(page.mediabox[1]))
    PDFPageInterpreter(page.pdf.rsrcmgr, taken).process_page(page.page_obj)
    if len(taken.unseen) > len(taken.upright) + len(taken.askew):
        return taken.unseen, True
    return taken.upright if len(taken.upright) > len(taken.askew) else taken.upright + taken.askew, False
