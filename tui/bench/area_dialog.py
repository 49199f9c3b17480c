"""The dialog that works out how much to mix for an area, including what is sprayed past it."""

from collections.abc import Callable
from fractions import Fraction
from typing import Any, ClassVar

from textual import on
from textual.app import ComposeResult
from textual.widgets import Static

from stock.errors import UllageError
from stock.language import _
from stock.units import Microlitres
from tui.drawing.figures import ml
from tui.widgets.books_screen import words
from tui.widgets.dialog import BookingDialog
from tui.widgets.fields import Field

Needed = tuple[int, int, str]
"""Paint and reducer in microlitres, and the reduction as it was typed."""
AREAS = ("10x10 cm", "15x15 cm", "20x20 cm", "20x30 cm", "30x40 cm", "40x60 cm", "0.5 m2", "1 m2")
FILMS = ("10um", "15um", "20um", "25um", "30um", "40um", "50um", "75um", "100um")
SHARES = tuple(f"{percent}%" for percent in range(10, 100, 5))


class ForArea(BookingDialog[Needed]):
    """Works out amounts for an area and hands them to the Bench's form; books nothing."""

    HEAD: ClassVar[str] = _("How much for an area")
    GO: ClassVar[str] = _("Fill in the form")

    def __init__(self, reduce: str) -> None:
        super().__init__()
        self._reduce = reduce

    def fields(self) -> ComposeResult:
        """The area, the film, the paint's solids, the transfer, and the reduction."""
        yield Field(_("Area"), read=_area, example=_("40x60 cm"), offers=AREAS, id="area")
        yield Field(
            _("Dry film"),
            read=_film,
            example=_("25um"),
            offers=FILMS,
            id="film",
            hint=_("All coats together."),
        )
        yield Field(
            _("Volume solids"), read=_share, example="30%", offers=SHARES, id="solids",
            hint=_("From the paint's data sheet; per cent by volume, not by weight."),
        )  # fmt: skip
        yield Field(
            _("Transfer"), read=_share, value="50%", offers=SHARES, id="transfer",
            hint=_("How much lands on the part; a guess, no figure is published for an airbrush."),
        )  # fmt: skip
        yield Field(
            _("Reduction"), read=_reduction, value=self._reduce, blank=True, example=_("none"), id="reduce",
            offers=[f"{percent}%" for percent in range(5, 105, 5)],
        )  # fmt: skip
        yield Static(id="will")

    def _needed(self, texts: dict[str, Any]) -> tuple[Microlitres, Microlitres, Any]:
        from stock.bench import coverage
        from stock.bench.reduction import Reduction

        film = coverage.Film(texts["film"], texts["solids"], texts["transfer"])
        thinned = Reduction(texts["reduce"]) if texts["reduce"] is not None else None
        return (*coverage.to_mix(texts["area"], film, thinned), film.wet_um(thinned))

    @on(Field.Changed)
    def _typed(self) -> None:
        """Show the amounts once all fields can be read."""
        try:
            read = {field.id or "": field.read() for field in self.query(Field) if field.text.strip()}
            paint, reducer, wet = self._needed({"reduce": None, **read})
        except (UllageError, KeyError):
            self.query_one("#will", Static).update("")
            return
        thinned = _(" and {reducer} ml reducer", reducer=ml(reducer)) if reducer else ""
        text = _(
            "{paint} ml paint{thinned}; the film is about {wet:.0f} µm when wet.",
            paint=ml(paint),
            thinned=thinned,
            wet=float(wet),
        )
        self.query_one("#will", Static).update(words(text))

    def errand(self) -> Callable[[], Needed]:
        """The amounts of paint and reducer, and the reduction."""
        read = {field: self.read(field) for field in ("area", "film", "solids", "transfer", "reduce")}
        paint, reducer, _ = self._needed(read)
        reduce = self.query_one("#reduce", Field).text.strip()
        return lambda: (paint, reducer, reduce)


def _area(text: str) -> int:
    from stock.bench.coverage import area

    return area(text)


def _film(text: str) -> Fraction:
    from stock.bench.coverage import film

    return film(text)


def _share(text: str) -> int:
    from stock.units import percent

    return percent(text, what=_("share"))


def _reduction(text: str) -> Any:
    from stock.units import reduction

    return reduction(text)
