"""The dialog that prints labels for bottles."""

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, ClassVar

from textual.app import ComposeResult
from textual.widgets import Static

from stock.language import _
from tui.drawing.figures import count
from tui.widgets.books_screen import words
from tui.widgets.fields import Field, path
from tui.widgets.writing import WritesFiles

if TYPE_CHECKING:
    from stock.store.outputs import Output


class PrintLabels(WritesFiles):
    """Labels with a QR code, to print."""

    HEAD: ClassVar[str] = _("Labels to print")
    GO: ClassVar[str] = _("Draw them")

    def __init__(self, address: str, bottle: str | None = None) -> None:
        """`bottle` is the label of the selected bottle."""
        super().__init__(address)
        self._bottle = bottle

    def fields(self) -> ComposeResult:
        """Which bottles, and where to."""
        from stock.exchange import labels
        from stock.shelf.studio import settings

        yield Static(
            words(_("A scanner types a label's code into any find box, and the bottle is selected."))
        )
        yield Field(
            _("Bottles"),
            blank=True,
            example=_("all that are not empty"),
            id="bottles",
            hint=_("Labels or numbers."),
            offers=(self._bottle,) if self._bottle else (),
        )
        yield Field(_("Page"), value=settings().sheet, offers=("a4", "letter"), id="page")
        yield Field(
            _("Label"),
            value="60x25",
            offers=labels.SIZES,
            id="label",
            hint=_("Width x height in mm."),
        )
        yield Field(
            _("File"),
            value=str(Path.home() / "ullage-labels.pdf"),
            read=path,
            id="path",
            hint=_("As .svg or .pdf."),
        )

    def files(self) -> "Callable[[], tuple[Sequence[Output], str]]":
        chosen, page, label = self.read("bottles"), self.read("page"), self.read("label")
        target = self.read("path")

        def draw() -> "tuple[Sequence[Output], str]":
            from stock.exchange import labels
            from stock.shelf.bottles import numbered
            from stock.shelf.studio import settings

            numbers = [numbered(text).id for text in chosen.replace(",", " ").split()] if chosen else None
            many, pages = labels.files(labels.paper(page, label), numbers, target, settings().measures)
            written = _(
                "{many} on {pages}: {target}",
                many=count(many, "label"),
                pages=count(len(pages), "page"),
                target=target,
            )
            missing = labels.letters_missing(numbers) if target.suffix.lower() == ".pdf" else ""
            return pages, f"{written}. {missing}" if missing else written

        return draw
