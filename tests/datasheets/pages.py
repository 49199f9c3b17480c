"""A page writer over the PDF library: text at places, pages with heads and feet, made the same every time."""

import io
import os
from collections.abc import Sequence
from pathlib import Path

import reportlab
from reportlab.lib.pdfencrypt import StandardEncryption
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Flowable

FONT = "Vera"
WIDTH, HEIGHT = 595, 842
LEFT, TOP, BOTTOM = 50, 780, 60


class Pages:
    """A PDF in the making."""

    def __init__(
        self, *, head: str = "", foot: str = "", password: str | None = None, mark: str = ""
    ) -> None:
        if FONT not in pdfmetrics.getRegisteredFontNames():
            fonts = os.path.join(os.path.dirname(reportlab.__file__), "fonts")
            pdfmetrics.registerFont(TTFont(FONT, os.path.join(fonts, "Vera.ttf")))
        self._bytes = io.BytesIO()
        encrypt = None if password is None else StandardEncryption(password, ownerPassword="owner")
        self._canvas = Canvas(self._bytes, pagesize=(WIDTH, HEIGHT), invariant=1, encrypt=encrypt)
        self._head, self._foot, self._mark = head, foot, mark
        self._page = 0
        self.y = 0.0
        self.next_page()

    def next_page(self) -> None:
        """Begin a page, with its head and foot."""
        if self._page:
            self._canvas.showPage()
        self._page += 1
        self._canvas.setFont(FONT, 8)
        if self._head:
            self._canvas.drawString(LEFT, 812, self._head)
        if self._foot:
            self._canvas.drawString(LEFT, 30, f"{self._foot} {self._page}")
        if self._mark:
            self._canvas.saveState()
            self._canvas.translate(150, 250)
            self._canvas.rotate(50)
            self._canvas.setFont(FONT, 40)
            self._canvas.drawString(0, 0, self._mark)
            self._canvas.restoreState()
        self.y = TOP

    def flowable(self, one: Flowable) -> None:
        """Draw a table or paragraph, on a new page where there is no room for it."""
        _, height = one.wrapOn(self._canvas, WIDTH - 2 * LEFT, HEIGHT)
        if self.y - height < BOTTOM:
            self.next_page()
        one.drawOn(self._canvas, LEFT, self.y + 8 - height)
        self.y -= height + 12

    def at(self, x: float, text: str, *, y: float | None = None, size: float = 8) -> None:
        """Write a text at a place."""
        self._canvas.setFont(FONT, size)
        self._canvas.drawString(x, self.y if y is None else y, text)

    def row(self, *cells: tuple[float, str], size: float = 8, step: float = 13) -> None:
        """Write a row of cells, and go a line down; a new page where there is no room."""
        if self.y < BOTTOM:
            self.next_page()
        for x, text in cells:
            self.at(x, text, size=size)
        self.y -= step

    def lines(self, texts: Sequence[str], *, x: float = LEFT) -> None:
        """Write texts beneath each other."""
        for text in texts:
            self.row((x, text))

    def save(self, path: Path) -> Path:
        """End the file and write it."""
        self._canvas.save()
        path.write_bytes(self._bytes.getvalue())
        return path
