"""Pouring the Bench's mix by weight: part after part on the scale; the volumes really poured are booked."""

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Any, ClassVar

from textual import on, work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal
from textual.content import Content
from textual.widgets import Digits, Static

from stock.language import _
from stock.units import Milligrams
from tui.bench.pouring_lines import as_typed, drift_words, part_lines, whole_words
from tui.dialogs.accepting import StoppableDialog
from tui.dialogs.typed_mix import TypedMix
from tui.drawing.bottle import Line
from tui.drawing.pour_bar import bar, grams, words_of
from tui.drawing.strips import colours, shown
from tui.widgets.books_screen import words
from tui.widgets.fields import Key
from tui.widgets.live_weight import LIFTED, LiveWeight

if TYPE_CHECKING:
    from stock.bench.mixing import MixRequest
    from stock.bench.pour_by_weight import Pouring, PourProgress, WeighedPart
    from stock.bench.weighings import WeighableBottle
    from tui.bench.pouring_books import PouringBooks


class PourByWeight(StoppableDialog):
    """Each part of a mix on the scale: its target, the live weight, and what is still to come.

    Args:
        request: the mix as it was asked.
        typed_mix: the fields that it was typed in.
        keep: called with those fields and the poured volumes if the dialog is left before booking.
    """

    GO: ClassVar[str] = _("Go on")
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "go", _("Go on"), show=False),
        Binding("f6", "zero", _("From here"), show=False),
        Binding("f7", "rescale", _("Rescale"), show=False),
        Binding("f9", "bottle", _("Bottle on the scale"), show=False),
        Binding("f10", "density", _("Density"), show=False),
    ]
    CSS_PATH = "pouring.tcss"

    def __init__(self, request: "MixRequest", typed_mix: TypedMix, keep: Callable[[TypedMix], None]) -> None:
        super().__init__()
        self._asked = request
        self._typed_mix = typed_mix
        self._keep = keep
        self._pouring: Pouring | None = None
        self._bottles: Mapping[int, WeighableBottle] = {}
        self._before_mg: Milligrams | None = None
        self._net_mg = Milligrams(0)
        self._broken = False
        self._by_bottle = False
        self._sure = False
        self._nearness = ""
        self._result = ""
        self._lacking = ""
        self._cautions: frozenset[tuple[str, str]] = frozenset()

    def head(self) -> str:
        """What is done here."""
        return _("Pour by weight")

    def fields(self) -> ComposeResult:
        """The parts, the large figure with the bar beneath it, the scale, what to do, and the keys."""
        yield Static(id="parts")
        with Horizontal(id="big"):
            yield Digits("", id="left")
            yield Static(id="beside")
        yield Static(id="bar")
        yield LiveWeight()
        yield Static(id="todo")
        with Horizontal(classes="scalekeys"):
            yield Key(_("F6  From here"), plain=True, id="zero")
            yield Key(_("F7  Rescale"), plain=True, id="rescale")
            yield Key(_("F9  Bottle is on"), plain=True, id="bottle")

    def on_mount(self) -> None:
        """Read the parts and their densities."""
        self._read()

    @work(thread=True, exclusive=True, group="parts", exit_on_error=False)
    def _read(self) -> None:
        from tui.bench.pouring_books import read_pouring

        books = read_pouring(self._asked)
        if isinstance(books, str):
            self.app.call_from_thread(self._lacks, books)
        else:
            self.app.call_from_thread(self._begin, books)

    def _lacks(self, product: str) -> None:
        """Say that a product has no density, and how it is learnt."""
        self._lacking = product
        self.query_one("#todo", Static).update(
            words(
                _(
                    "No density of {product} is known. F10 learns it: you measure a volume, the scale weighs "
                    "it.",
                    product=product,
                )
            )
        )

    def action_density(self) -> None:
        """Weigh a measured volume of the product that has no density."""
        if self._lacking:
            from tui.dialogs.weigh_bottle import TeachDensity

            self.app.push_screen(TeachDensity(self._lacking), self._learnt)

    def _learnt(self, said: str | None) -> None:
        if said:
            self._lacking = ""
            self._read()

    def _begin(self, books: "PouringBooks") -> None:
        self._pouring, self._bottles, self._cautions = books.pouring, books.bottles, books.cautions
        self._show()

    @property
    def _part(self) -> "WeighedPart | None":
        """The part that is poured now."""
        at = self._pouring.at if self._pouring is not None else None
        return None if self._pouring is None or at is None else self._pouring.parts[at]

    @property
    def _progress(self) -> "PourProgress | None":
        """How far the part that is poured now is."""
        if self._part is None:
            return None
        return self._part.progress(Milligrams(max(0, self._net_mg)), self._digit_mg)

    @property
    def _digit_mg(self) -> Milligrams:
        """The last digit of the scale."""
        return self.query_one(LiveWeight).resolution_mg

    @on(LiveWeight.Changed)
    def _weight_changed(self) -> None:
        """Follow the scale; what was in the cup when it went away is remembered."""
        live = self.query_one(LiveWeight)
        if live.heard is not None and live.heard.trouble is not None and self._before_mg is not None:
            self._broken = self._net_mg > 0
        elif live.live_mg is not None and self._before_mg is not None:
            net_mg = self._net_of(live.live_mg)
            if self._broken and abs(net_mg - self._net_mg) <= LIFTED * live.resolution_mg:
                self._broken = False
            if not self._broken:
                self._net_mg = net_mg
        self._show()

    def _net_of(self, live_mg: Milligrams) -> Milligrams:
        """What came out of the bottle or into the cup since the part was begun."""
        change_mg = live_mg - (self._before_mg or Milligrams(0))
        return Milligrams(-change_mg if self._by_bottle else change_mg)

    def _show(self) -> None:
        if self._pouring is None:
            return
        progress = self._progress if self._before_mg is not None else None
        self._ring(progress)
        digit_mg = self._digit_mg
        lines = part_lines(self._pouring, digit_mg)
        self.query_one("#parts", Static).update(Content("\n").join(lines))
        left = grams(Milligrams(abs(progress.left_mg)), digit_mg) if progress is not None else ""
        self.query_one("#left", Digits).update(left)
        self.query_one("#beside", Static).update(
            words(words_of(progress, digit_mg) if progress is not None else "")
        )
        line = bar(progress, max(20, self.query_one("#bar").size.width)) if progress is not None else ()
        self.query_one("#bar", Static).update(self._content(line))
        for part in ("#big", "#bar"):
            self.query_one(part).display = progress is not None
        self.query_one("#todo", Static).update(words(self._todo()))
        self.query_one("#go", Key).label(
            _("Enter  {part}", part=_("Book it") if self._part is None else _("Go on"))
        )

    def _ring(self, progress: "PourProgress | None") -> None:
        """Ring the terminal's bell once when the part is right, and once when it is too much."""
        nearness = progress.nearness if progress is not None else ""
        if nearness != self._nearness and nearness in ("right", "over"):
            self.app.bell()
        self._nearness = nearness

    def _content(self, line: Line) -> Content:
        named = colours(self.app)
        return Content.assemble(
            *(
                (shown(run.text), f"{'bold ' if run.bold else ''}{named.get(run.ink, run.ink)}")
                for run in line
            )
        )

    def _todo(self) -> str:
        """What to do next, as a sentence or two."""
        part = self._part
        if part is None:
            return self._result or _("Everything is in. It is being worked out.")
        name = part.planned.product
        if self._broken:
            in_it = grams(self._net_mg, self._digit_mg)
            return _(
                "The scale was away when {in_it} g of {name} was in. F6 goes on from there.",
                in_it=in_it,
                name=name,
            )
        if self._before_mg is None and self._by_bottle:
            return _(
                "Put bottle {bottle} of {name} on the scale, and press Enter.",
                bottle=part.planned.bottle,
                name=name,
            )
        if self._before_mg is None:
            return _("Put the cup on the scale and press Enter.")
        if self._by_bottle:
            return _(
                "{drift} Pour {name} from it, put it back, and press Enter.", drift=self._drift(), name=name
            )
        if self._nearness == "over":
            whole = whole_words(self._pouring, self._progress)
            return _("Enter takes it as it is; F7 rescales the other parts to it.{whole}", whole=whole)
        return _("Pour {name} into the cup; Enter takes it when it stands still.", name=name)

    def _drift(self) -> str:
        """How far the books are from what the bottle weighs before the pour."""
        bottle = self._bottles.get(self._part.planned.bottle) if self._part is not None else None
        return drift_words(bottle, self._before_mg or Milligrams(0), self._digit_mg)

    def action_go(self) -> None:
        """Begin a part, take what was poured of it, or book everything."""
        live = self.query_one(LiveWeight)
        self.refuse("")
        if self._pouring is None:
            self._read()
        elif self._part is None:
            super().action_go()
        elif live.standing_weight is None:
            self.refuse(live.why_none())
        elif self._broken:
            self.refuse(_("The scale was away meanwhile: press F6 first, so that nothing is weighed twice."))
        elif self._before_mg is None:
            self._before_mg, self._net_mg = live.standing_weight.mass_mg, Milligrams(0)
            self._show()
        else:
            self._take(live.standing_weight.mass_mg, live.standing_weight.resolution_mg)

    def _take(self, after_mg: Milligrams, resolution_mg: Milligrams) -> None:
        """Take the present part as it stands on the scale; one that is far from its target is asked about once."""
        assert self._pouring is not None
        assert self._part is not None
        self._net_mg = self._net_of(after_mg)
        if self._net_mg <= 0:
            less = _("The scale shows less than before. F6 goes on from there; what was taken stays.")
            none = _("No {product} was poured yet.", product=self._part.planned.product)
            self.refuse(less if self._net_mg < -LIFTED * resolution_mg else none)
            return
        progress = self._part.progress(self._net_mg, resolution_mg)
        if progress.nearness in ("far", "near") and not self._sure:
            self._sure = True
            left = grams(progress.left_mg, resolution_mg)
            self.refuse(_("{left} g are still to come. Enter once more takes it as it is.", left=left))
            return
        self._pouring = self._pouring.taken(self._before_mg or Milligrams(0), after_mg, resolution_mg)
        self._next(after_mg)

    def _next(self, after_mg: Milligrams) -> None:
        """Go on with the next part, or work out what was poured in all."""
        self._before_mg = None if self._by_bottle else after_mg
        self._net_mg, self._sure, self._result = Milligrams(0), False, ""
        if self._part is None and self._pouring is not None:
            self._work_out(self._pouring)
        self._show()

    @work(thread=True, exclusive=True, group="result", exit_on_error=False)
    def _work_out(self, pouring: "Pouring") -> None:
        from tui.bench.pouring_books import result_words

        self.app.call_from_thread(self._worked_out, result_words(pouring, self._cautions))

    def _worked_out(self, text: str) -> None:
        self._result = text
        self._show()

    def action_zero(self) -> None:
        """Go on from what the scale shows: after it was away, or was set to zero."""
        live = self.query_one(LiveWeight)
        if live.standing_weight is None or self._part is None:
            self.refuse(live.why_none() if live.standing_weight is None else "")
            return
        if not self._broken and self._net_mg > LIFTED * live.resolution_mg:
            self.refuse(
                _(
                    "{net_mg} g of it is in already: Enter takes that first.",
                    net_mg=grams(self._net_mg, self._digit_mg),
                )
            )
            return
        in_it_mg = self._net_mg if self._broken else 0
        self._before_mg = Milligrams(
            live.standing_weight.mass_mg + (in_it_mg if self._by_bottle else -in_it_mg)
        )
        self._broken = False
        self.refuse("")
        self._weight_changed()

    def action_rescale(self) -> None:
        """Raise all targets to the part that was over-poured, taking the present one first if it is too much."""
        live = self.query_one(LiveWeight)
        if self._pouring is None:
            return
        if self._before_mg is not None and self._nearness == "over":
            if live.standing_weight is None:
                self.refuse(live.why_none())
                return
            self._pouring = self._pouring.taken(
                self._before_mg, live.standing_weight.mass_mg, live.standing_weight.resolution_mg
            )
            self._pouring = self._pouring.rescaled()
            self._next(live.standing_weight.mass_mg)
        elif self._pouring.too_much > 1:
            self._pouring = self._pouring.rescaled()
            self._next(self._before_mg or Milligrams(0)) if self._before_mg is not None else self._show()
        else:
            self.refuse(_("No part is too much, so there is nothing to rescale."))

    def action_bottle(self) -> None:
        """Weigh the bottle before and after each pour instead of the cup, or the cup again."""
        if self._net_mg > 0 and self._before_mg is not None:
            self.refuse(_("This part was begun: take it first, then change what stands on the scale."))
            return
        self._by_bottle = not self._by_bottle
        self._before_mg, self._net_mg = None, Milligrams(0)
        self.query_one("#bottle", Key).label(
            _("F9  {by_bottle} is on", by_bottle=_("Cup") if self._by_bottle else _("Bottle"))
        )
        self._show()

    def errand(self) -> Callable[[], str]:
        """Book what was poured, with its weighings."""
        from tui.bench.pouring_books import book_poured

        pouring, key, accepted = self._pouring, self.request, self.accepted
        assert pouring is not None
        return lambda: book_poured(pouring, accepted, key)

    def action_leave(self) -> None:
        """Leave; what was poured and isn't booked stays in the Bench's fields, after one question."""
        if self._pouring is None or self._busy or not any(part.weighed for part in self._pouring.parts):
            super().action_leave()
        elif not self._warned:
            self._warned = True
            self.refuse(
                _("What was poured isn't booked yet. Esc once more leaves; its amounts stay in the fields.")
            )
        else:
            self._keep(as_typed(self._pouring, self._typed_mix))
            self.dismiss(None)

    @on(Key.Pressed)
    def _line_key(self, event: Key.Pressed) -> None:
        act: dict[str | None, Callable[[], Any]] = {
            "zero": self.action_zero, "rescale": self.action_rescale, "bottle": self.action_bottle,
        }  # fmt: skip
        if event.key.id in act:
            act[event.key.id]()
