"""Weighing: a bottle on the scale becomes a count, and a measured volume on it teaches a density."""

from collections.abc import Callable
from typing import TYPE_CHECKING, Any, ClassVar

from textual import on, work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal
from textual.widgets import Static

from stock.errors import UllageError
from stock.language import _
from stock.units import Microlitres, Milligrams
from tui.drawing.figures import ml, ml_of
from tui.drawing.sentences import sentence_for
from tui.widgets.books_screen import words
from tui.widgets.dialog import BookingDialog
from tui.widgets.field_readers import volume
from tui.widgets.fields import Field, Key
from tui.widgets.live_weight import LIFTED, LiveWeight

if TYPE_CHECKING:
    from stock.bench.weighing import Measured
    from stock.bench.weighings import WeighableBottle


def _mass(text: str) -> Milligrams:
    from stock.units import mass

    return mass(text)


def _grams(mass_mg: Milligrams) -> str:
    from stock.units import show_mass

    return show_mass(mass_mg)


class WeighBottle(BookingDialog[str]):
    """A bottle on the scale: its level is proposed from its empty weight and its density, and Enter counts it.

    It stays open for the next bottle, whose label a scanner types.

    Args:
        bottle: the number of the first bottle, or its label.
    """

    GO: ClassVar[str] = _("Count it")
    DRAFTED = False  # an empty weight that was typed for one bottle must never stand for another one
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("f6", "tare", _("Empty weight"), show=False),
        Binding("f7", "sealed", _("Sealed and full"), show=False),
        Binding("f9", "density", _("Density"), show=False),
    ]

    def __init__(self, bottle: str) -> None:
        super().__init__()
        self._asked = bottle
        self._on: WeighableBottle | None = None
        self._counted = ""
        self._counted_mg: int | None = None
        self._weighed_mg: int | None = None

    def head(self) -> str:
        return (
            _("Weigh a bottle")
            if self._on is None
            else _("Weigh {product}, bottle {asked}", product=self._on.product, asked=self._asked)
        )

    def fields(self) -> ComposeResult:
        """The bottle, its empty weight, the scale, and what that makes."""
        yield Static(id="last")
        yield Field(_("Next bottle"), example=_("scan or type its label"), blank=True, id="label")
        yield Field(
            _("Empty weight"),
            read=_mass,
            blank=True,
            example=_("not known"),
            id="tare",
            hint=_("With its cap, as 20.15 g."),
        )
        yield LiveWeight()
        yield Static(id="proposal")
        with Horizontal(classes="scalekeys"):
            yield Key(_("F6  It is empty"), plain=True, id="tare-key")
            yield Key(_("F7  It is sealed"), plain=True, id="sealed-key")
            yield Key(_("F9  Density"), plain=True, id="density-key")

    def on_mount(self) -> None:
        """Read what is known of the first bottle."""
        self._read(self._asked)

    @work(thread=True, exclusive=True, group="bottle", exit_on_error=False)
    def _read(self, bottle: str) -> None:
        from stock.bench.counting import weighable
        from stock.store.connection import connection

        try:
            with connection():
                found = weighable(bottle)
        except UllageError as error:
            self.app.call_from_thread(self._not_found, sentence_for(error))
        else:
            self.app.call_from_thread(self._take, bottle, found)

    def _not_found(self, text: str) -> None:
        field = self.query_one("#label", Field)
        field.wrong(text)
        field.input.focus()

    def _take(self, bottle: str, found: "WeighableBottle") -> None:
        tare = self.query_one("#tare", Field)
        tare.text = "" if found.tare_mg is None else _grams(found.tare_mg)
        self._asked, self._on = bottle.strip(), found
        self.query_one("#sheet").border_title = words(self.head())
        self.query_one("#label", Field).text = ""
        hint = (
            _("With its cap; noted for another bottle of this size.")
            if found.tare_of_pack
            else _("With its cap.")
        )
        tare.hint(hint)
        self._propose()

    @on(LiveWeight.Changed)
    def _weight_changed(self) -> None:
        """Note that the bottle that was counted last is off the scale, and show what the weight makes now."""
        live = self.query_one(LiveWeight)
        apart_mg = abs((live.live_mg or 0) - (self._counted_mg or 0))
        if live.live_mg is not None and apart_mg > LIFTED * live.resolution_mg:
            self._counted_mg = None
        self._propose()

    @on(Field.Changed)
    def _propose(self) -> None:
        """Show what the weight makes, beside the books."""
        line = self.query_one("#proposal", Static)
        if self._on is None:
            line.update("")
            return
        books = _(
            "The books say {on_hand_ul} of {size_ul} ml.",
            on_hand_ul=ml(self._on.on_hand_ul),
            size_ul=ml(self._on.size_ul),
        )
        try:
            measured = self._measured()
        except UllageError as error:
            line.update(words(f"{books}\n{sentence_for(error)}"))
            return
        if measured is None:
            line.update(words(books))
            return
        drift = self._on.drift(measured)
        held = _(
            "In it: {volume_ul} ml, give or take {uncertainty_ul}.",
            volume_ul=ml(measured.volume_ul),
            uncertainty_ul=ml(Microlitres(2 * measured.uncertainty_ul)),
        )
        compared = f"{'!' if drift.beyond else '✓'} {drift.sentence[:1].upper()}{drift.sentence[1:]}."
        line.update(words(f"{books}\n{held}\n{compared}"))

    def _measured(self) -> "Measured | None":
        """The volume in the bottle, from the weight that stands still on the scale; None while there is none.

        Raises:
            UllageError: a figure is missing, can't be read, or the weight can't be that bottle's.
        """
        live = self.query_one(LiveWeight)
        weight = live.standing_weight
        if self._on is None or weight is None:
            return None
        text = self.query_one("#tare", Field).text
        tare_mg = _mass(text) if text.strip() else None
        return self._on.measured(weight.mass_mg, weight.resolution_mg, tare_mg)

    def action_go(self) -> None:
        """Go to the bottle whose label was typed, or count the one on the scale."""
        label = self.query_one("#label", Field).text.strip()
        if label:
            self.refuse("")
            self._read(label)
        else:
            super().action_go()

    def errand(self) -> Callable[[], str]:
        """Count it by the weight that stands on the scale at this moment."""
        from stock.bench.counting import count

        tare = self.query_one("#tare", Field)
        with self.reading(tare):
            tare.read()
            measured = self._measured()
        if self._on is None or measured is None:
            self.refuse(_("{why_none} Nothing was booked.", why_none=self.query_one(LiveWeight).why_none()))
            self.stay()
        if self._counted_mg is not None:
            self.refuse(
                _(
                    "The bottle that was counted last is still on the scale. Put the next one on, or press "
                    "Esc."
                )
            )
            self.stay()
        bottle, key, label = str(self._on.bottle), self.request, self._asked
        self._weighed_mg = measured.weighed.reading_mg if measured.weighed is not None else None

        def book() -> str:
            answer = count(bottle, measured, key=key)
            return _(
                "Counted bottle {label}: {on_hand_ml} ml; {words}",
                label=label,
                on_hand_ml=ml_of(answer["on_hand_ml"]),
                words=answer["words"],
            )

        return book

    def _end(self) -> None:
        """Stay for the next bottle, and read this one again."""
        if self._answers and self.app.screen is self:
            self._counted = self._answers.pop()
            self._counted_mg = self._weighed_mg
            self.another()
            self.query_one("#last", Static).update(words(self._counted))
            self.query_one("#label", Field).input.focus()
            self._read(self._asked)

    def action_leave(self) -> None:
        """Leave, with what was counted last; Esc is asked for once more while something is being booked."""
        if self._busy:
            super().action_leave()
            return
        self.dismiss(self._counted or None)

    def action_tare(self) -> None:
        """Take what stands on the scale as the empty weight of this bottle's size."""
        weight = self.query_one(LiveWeight).standing_weight
        if weight is None:
            self.refuse(self.query_one(LiveWeight).why_none())
            return
        self.refuse("")
        self.query_one("#tare", Field).text = _grams(weight.mass_mg)
        self._propose()

    def action_sealed(self) -> None:
        """Learn the empty weight from this bottle, which is sealed and full."""
        weight = self.query_one(LiveWeight).standing_weight
        if weight is None or self._on is None:
            self.refuse(self.query_one(LiveWeight).why_none())
            return
        self._learn_tare(str(self._on.bottle), weight.mass_mg, weight.resolution_mg)

    @work(thread=True, exclusive=True, group="tare", exit_on_error=False)
    def _learn_tare(self, bottle: str, gross_mg: Milligrams, resolution_mg: Milligrams) -> None:
        from stock.bench.weighings import teach_tare
        from stock.store.connection import connection

        with connection():
            teach_tare(bottle, gross_mg, resolution_mg=resolution_mg)
        self.app.call_from_thread(self._read, self._asked)

    def action_density(self) -> None:
        """Weigh a measured volume of its product."""
        if self._on is not None:
            self.app.push_screen(TeachDensity(self._on.product), self._learnt)

    def _learnt(self, said: str | None) -> None:
        if said:
            self.query_one("#last", Static).update(words(said))
            self._read(self._asked)

    @on(Key.Pressed)
    def _line_key(self, event: Key.Pressed) -> None:
        act: dict[str | None, Callable[[], Any]] = {
            "tare-key": self.action_tare, "sealed-key": self.action_sealed, "density-key": self.action_density,
        }  # fmt: skip
        if event.key.id in act:
            act[event.key.id]()


class TeachDensity(BookingDialog[str]):
    """A measured volume on the scale teaches the density of a product, with its uncertainty."""

    GO: ClassVar[str] = _("Note it")
    BINDINGS: ClassVar[list[BindingType]] = [Binding("f6", "tare", _("Empty cup"), show=False)]

    def __init__(self, product: str) -> None:
        super().__init__()
        self._product = product

    def head(self) -> str:
        return _("Density of {product}", product=self._product)

    def fields(self) -> ComposeResult:
        """How much, how sure, the empty cup, the scale, and the density that follows."""
        yield Static(
            words(
                _(
                    "Put an empty cup on the scale and press F6. Then measure the volume into it; Enter "
                    "notes the density."
                )
            )
        )
        yield Field(_("Measured"), read=volume, value="10 ml", id="volume")
        yield Field(_("Wrong by"), read=volume, blank=True, example=_("5 % of it, a syringe's"), id="limit")
        yield Field(_("Empty cup"), read=_mass_or_none, value="0 g", id="tare")
        yield LiveWeight()
        yield Static(id="proposal")
        with Horizontal(classes="scalekeys"):
            yield Key(_("F6  It is empty"), plain=True, id="tare-key")

    @on(LiveWeight.Changed)
    @on(Field.Changed)
    def _propose(self) -> None:
        from fractions import Fraction

        from stock.bench.weighing import COVERAGE, density_of
        from stock.grammar import plain_figure

        line, weight = self.query_one("#proposal", Static), self.query_one(LiveWeight).standing_weight
        if weight is None:
            line.update("")
            return
        try:
            volume_ul, limit_ul, tare_mg = (
                self.query_one(f"#{one}", Field).read() for one in ("volume", "limit", "tare")
            )
            found = density_of(
                weight.mass_mg - tare_mg, volume_ul, resolution_mg=weight.resolution_mg, limit_ul=limit_ul
            )
        except UllageError as error:
            line.update(words(sentence_for(error)))
            return
        figure, give = (
            plain_figure(Fraction(one, 1_000_000))
            for one in (found.density_ug_per_ml, COVERAGE * found.error_ug_per_ml)
        )
        line.update(
            words(
                _(
                    "{mass_mg} of it: {figure} g/ml, give or take {give}.",
                    mass_mg=_grams(weight.mass_mg - tare_mg),
                    figure=figure,
                    give=give,
                )
            )
        )

    def errand(self) -> Callable[[], str]:
        """Note the density by the weight that stands on the scale at this moment."""
        from stock.bench.weighings import density_words, teach_density

        volume_ul, limit_ul, tare_mg = self.read("volume"), self.read("limit"), self.read("tare")
        live = self.query_one(LiveWeight)
        weight = live.standing_weight
        if weight is None:
            self.refuse(_("{why_none} Nothing was noted.", why_none=live.why_none()))
            self.stay()
        product = self._product

        def teach() -> str:
            return density_words(
                teach_density(
                    product,
                    weight.mass_mg,
                    tare_mg,
                    volume_ul,
                    resolution_mg=weight.resolution_mg,
                    limit_ul=limit_ul,
                )
            )

        return teach

    def action_tare(self) -> None:
        """Take what stands on the scale as the empty cup."""
        live = self.query_one(LiveWeight)
        if live.standing_weight is None:
            self.refuse(live.why_none())
            return
        self.refuse("")
        self.query_one("#tare", Field).text = _grams(live.standing_weight.mass_mg)

    @on(Key.Pressed, "#tare-key")
    def _tare_pressed(self) -> None:
        self.action_tare()


def _mass_or_none(text: str) -> Milligrams:
    from stock.units import mass

    return mass(text, zero=True)
