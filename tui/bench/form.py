"""The Bench's form: paints, amounts, needle, reduction, reducer, total, job and bottles."""

from collections.abc import Callable, Mapping, Sequence
from typing import TYPE_CHECKING

from rich.cells import cell_len
from textual import on
from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.message import Message
from textual.widgets import Input

from stock.language import _
from tui.dialogs.mix_again import MOMENTS
from tui.dialogs.typed_mix import OTHERS, RECIPE, TypedMix
from tui.drawing.figures import ml_exact
from tui.widgets.fields import Field
from tui.widgets.name_field import NameDetail, NameField
from tui.widgets.suggestions import AMOUNTS

if TYPE_CHECKING:
    from stock.bench.mixing import MixRequest
    from stock.shelf.bottles import BottleView
    from stock.units import Microlitres

MOST_PARTS = 6
UNTHINNED = _("such as 20% or 2 ml")
BLEND = _("a blend of two …")
"""The last row of the reducers' list; taking it opens the dialog that picks them."""
NEEDLES = ("0.15", "0.18", "0.2", "0.23", "0.3", "0.35", "0.4", "0.5", "0.6", "0.8")
REDUCTIONS = tuple(f"{percent}%" for percent in range(5, 105, 5))


def _to_measure(volume_ul: "Microlitres") -> "Microlitres":
    """An estimated need, rounded up to what can be measured: 0.1 ml, or 0.01 ml below 1 ml."""
    from stock.units import Microlitres

    step = 100 if volume_ul >= 1_000 else 10
    return Microlitres(-(-volume_ul // step) * step)


class MixForm(VerticalScroll, can_focus=False):
    """The fields of a mix; Enter goes to the next field, and from the last one to the key that books."""

    class Changed(Message):
        """Another mix is typed."""

        def can_replace(self, message: Message) -> bool:
            """Only the newest typed mix matters."""
            return isinstance(message, MixForm.Changed)

    class Finished(Message):
        """Enter in the last field."""

    def __init__(self, *, id: str | None = None) -> None:  # noqa: A002
        super().__init__(id=id)
        self._shown = 1
        self._advised = ""
        self._advised_on = TypedMix().advised_on
        self._awaited = False
        self._labels: Mapping[str, tuple[str, int]] = {}
        self._pairs = 0
        self._paints: tuple[Sequence[str], Mapping[str, NameDetail], Mapping[str, str]] = ((), {}, {})

    def compose(self) -> ComposeResult:
        """The fields of one paint, and hidden ones for a second, which are there as soon as they are asked for."""
        yield from self._pair()
        yield from self._pair()
        yield Field(_("Needle"), example="0.35", offers=NEEDLES, id="needle")
        yield Field(_("Reduction"), example=UNTHINNED, offers=REDUCTIONS, id="reduce")
        yield NameField(_("Reducer"), example=_("its usual one"), id="reducer")
        yield Field(_("Total"), example=_("the amounts added"), offers=AMOUNTS, unit="ml", id="total")
        yield NameField(_("Job"), example=_("none"), id="job")
        yield Field(_("Bottles"), example=_("chosen for you"), id="bottles")
        yield Field(_("When"), example=_("now"), offers=MOMENTS, id="when")

    def _pair(self) -> Sequence[Field]:
        """The fields of one more paint: its name and its amount."""
        number, self._pairs = self._pairs, self._pairs + 1
        name = NameField(
            _("Paint") if number == 0 else _("Paint {number}", number=number + 1),
            example=_("a few letters"),
            id=f"paint-{number}",
        )
        self._offer_paints(name)
        return name, Field(_("Amount"), example=_("8 ml"), offers=AMOUNTS, unit="ml", id=f"amount-{number}")

    def on_mount(self) -> None:
        """Only the first paint."""
        self._arrange()

    def _arrange(self) -> None:
        """Show the fields of as many paints as there are, and keep those of one more in hand."""
        while self._pairs < min(self._shown + 1, MOST_PARTS):
            self.mount(*self._pair(), before="#needle")
        for number in range(self._pairs):
            for part in ("paint", "amount"):
                self.query_one(f"#{part}-{number}").display = number < self._shown

    def know(
        self,
        paints: Sequence[str],
        reducers: Sequence[str],
        *,
        jobs: Sequence[str] = (),
        labels: Mapping[str, tuple[str, int]] | None = None,
        details: Mapping[str, NameDetail] | None = None,
    ) -> None:
        """The names that letters are matched with, open jobs, and (product, number) of each bottle's label."""
        self._labels = labels or {}
        self._paints = paints, details or {}, {label: product for label, (product, _) in self._labels.items()}
        for field in self.query(NameField):
            if field.id in ("job", "reducer"):
                field.names.describe(details or {}, {})
                field.offer(jobs if field.id == "job" else (*reducers, BLEND))
            else:
                self._offer_paints(field)

    def _offer_paints(self, field: NameField) -> None:
        names, details, labels = self._paints
        field.names.describe(details, labels)
        field.offer(names)

    def advise(self, start: str) -> None:
        """Offer a start for what is typed in the empty Reduction field; an empty text removes the offer.

        Enter accepts it; where Enter came first, it is filled in now.
        """
        self._advised, self._advised_on = start, self.typed_mix.advised_on
        field = self.field("reduce")
        field.input.placeholder = _("Enter takes {start}", start=start) if start else UNTHINNED
        if self._awaited and start:
            self._awaited = False
            if not field.text.strip():
                field.text = start

    def allow(self, reducers: Sequence[str]) -> None:
        """Offer the reducers that go with the paint."""
        field = self.query_one("#reducer", NameField)
        if (*reducers, BLEND) != tuple(field.names.words):
            field.offer((*reducers, BLEND))

    @property
    def reducers(self) -> Sequence[str]:
        """The reducers that are offered."""
        return [name for name in self.query_one("#reducer", NameField).names.words if name != BLEND]

    def take_blend(self, blend: str | None) -> None:
        """Fill in a blend of reducers; None leaves the field empty."""
        self.field("reducer").text = blend or ""
        self.field("total" if blend else "reducer").input.focus()

    def another(self) -> None:
        """Show the fields for one more paint."""
        self._shown = min(MOST_PARTS, self._shown + 1)
        self._arrange()
        # `focus()` is queued behind the next key, which would then go to the field before.
        self.screen.set_focus(self.field(f"paint-{self._shown - 1}").input)

    def field(self, name: str) -> Field:
        """A field by its name."""
        return self.query_one(f"#{name}", Field)

    @property
    def typed_mix(self) -> TypedMix:
        return TypedMix(
            parts=tuple(
                (self.field(f"paint-{number}").meant, self.field(f"amount-{number}").meant)
                for number in range(self._shown)
            ),
            **{name: self.field(name).meant for name in OTHERS},
        )

    def show(self, typed_mix: TypedMix) -> None:
        """Put a typed mix into the fields."""
        self._awaited = False
        self._shown = max(1, min(MOST_PARTS, len(typed_mix.parts)))
        self._arrange()
        for number in range(self._pairs):
            name, amount = typed_mix.parts[number] if number < len(typed_mix.parts) else ("", "")
            self.field(f"paint-{number}").text = name
            self.field(f"amount-{number}").text = amount
        for name in OTHERS:
            self.field(name).text = getattr(typed_mix, name)

    def take_jar(self, jar: "BottleView") -> None:
        """Fill in the contents of a jar, without a reduction because it is thinned already."""
        texts = {"paint-0": jar.product, "amount-0": f"{ml_exact(jar.on_hand_ul)} ml", "bottles": str(jar.id)}
        for name, text in {**texts, "reduce": "", "total": ""}.items():
            self.field(name).text = text
        self.field("amount-0").input.focus()

    def next_jar(self, jars: "Sequence[BottleView]") -> None:
        """Fill in the first of these jars, or the one after that which is filled in."""
        at = next((n for n, jar in enumerate(jars) if str(jar.id) == self.field("bottles").text.strip()), -1)
        self.take_jar(jars[(at + 1) % len(jars)])

    def ask_area(self) -> None:
        """Ask for an area, and fill in the amounts that it needs."""
        from tui.bench.area_dialog import ForArea

        self.app.push_screen(ForArea(self.field("reduce").text), self.take_area)

    def _ask_blend(self) -> None:
        """Ask for two reducers and their parts, and fill in that blend."""
        from tui.bench.blend_dialog import PickBlend

        self.app.push_screen(PickBlend(self.reducers), self.take_blend)

    def pour_by_weight(self, request: "MixRequest", done: Callable[[str | None], None]) -> None:
        """Pour the typed mix by weight; if that is left, what was poured so far stands in the fields.

        Args:
            request: the mix.
            done: called with what was booked, or None.
        """
        from tui.bench.pouring import PourByWeight

        self.app.push_screen(PourByWeight(request, self.typed_mix, self.show), done)

    def take_area(self, needed: "tuple[Microlitres, Microlitres, str] | None") -> None:
        """Fill in what an area needs: the amount of a single paint, or the total of several."""
        if needed is None:
            return
        from stock.units import Microlitres

        paint, reducer, reduce = needed
        paint_ul, total_ul = _to_measure(paint), _to_measure(Microlitres(paint + reducer))
        self.field("reduce").text = reduce
        if self._shown == 1 and not self.field("paint-0").text.startswith(RECIPE):
            self.field("amount-0").text, self.field("total").text = f"{ml_exact(paint_ul)} ml", ""
        elif self._shown == 1:
            self.field("amount-0").text = f"{ml_exact(total_ul)} ml"
        else:
            self.field("total").text = f"{ml_exact(total_ul)} ml"
        self.field("amount-0").input.focus()

    @on(Field.Changed)
    def _typed(self, event: Field.Changed) -> None:
        event.stop()
        if event.field.id == "reducer":
            self._show_whole(event.field)
        self.post_message(self.Changed())

    @on(Input.Submitted)
    def _entered(self, event: Input.Submitted) -> None:
        event.stop()
        shown = [field for field in self.query(Field) if field.display]
        at = next(number for number, field in enumerate(shown) if field.input is event.input)
        if isinstance(field := shown[at], NameField):
            field.settle()
        if shown[at].id == "reduce" and not shown[at].text.strip():
            self._take_start(shown[at])
        if at + 1 < len(shown):
            shown[at + 1].input.focus()
        else:
            self.post_message(self.Finished())

    def _show_whole(self, field: Field) -> None:
        """Show a blend once more, beneath its field, where that is too narrow for it."""
        text = field.text.strip()
        cut = "=" in text and cell_len(text) >= field.input.content_size.width
        field.hint(text if cut else "")

    def _take_start(self, field: Field) -> None:
        """Fill in the advised start; one for another paint, needle or reducer is not taken but waited for."""
        if self._advised and self._advised_on == self.typed_mix.advised_on:
            field.text = self._advised
        else:
            self._awaited = True

    @on(NameField.Settled)
    def _scanned(self, event: NameField.Settled) -> None:
        """A bottle's label in a paint's field stands for its paint, poured from that bottle."""
        event.stop()
        reducer = self.field("reducer")
        if reducer.text == BLEND:
            reducer.text = ""
            self._ask_blend()
            return
        found = self._labels.get(event.typed.strip().casefold())
        if found is not None:
            bottles, number = self.field("bottles"), str(found[1])
            chosen = bottles.text.replace(",", " ").split()
            bottles.text = " ".join([*chosen, *([number] if number not in chosen else [])])
