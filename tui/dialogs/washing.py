"""The dialog that books a wash-out, and shows every caution about it first."""

from collections.abc import Callable, Mapping, Sequence
from typing import ClassVar

from textual import on, work
from textual.app import ComposeResult
from textual.widgets import Static

from stock.cautions.facts import Finding
from stock.errors import BadInput, UllageError
from stock.language import _
from stock.units import Microlitres
from tui.dialogs.accepting import StoppableDialog, StopsFound
from tui.drawing.figures import ml_exact, ml_of
from tui.drawing.sentences import by_keys
from tui.widgets.books_screen import words
from tui.widgets.field_readers import volume
from tui.widgets.fields import Field
from tui.widgets.name_field import NameField
from tui.widgets.suggestions import AMOUNTS

USUAL_UL = Microlitres(15_000)
"""The volume for which cautions are shown until an amount is typed."""


class WashOut(StoppableDialog):
    """Books cleaner that was used."""

    HEAD: ClassVar[str] = _("A wash-out")
    STOPPED: ClassVar[str] = "wash-out"

    def __init__(self, mix: int | None) -> None:
        super().__init__()
        self._mix = mix
        self._usual_ul: Mapping[str, Microlitres | None] = {}
        self._filled = ""

    def fields(self) -> ComposeResult:
        mix = str(self._mix) if self._mix is not None else ""
        yield NameField(_("Cleaner"), example=_("a few letters"), id="cleaner")
        yield Field(_("Amount"), read=volume, unit="ml", example=_("15 ml"), offers=AMOUNTS, id="amount")
        yield Field(
            _("After mix"), read=_number, value=mix, blank=True, example=_("none in particular"), id="mix"
        )
        yield Static(id="will")

    def on_mount(self) -> None:
        """Read the cleaners and open mixes in a thread."""
        # Its answer moves the focus, so letters wait for it.
        self.run_worker(self._learn, thread=True, group="form", exit_on_error=False)

    def _learn(self) -> None:
        from stock.bench.mixes import open_mixes
        from stock.bench.washing import usual_amount, usual_cleaner, washable
        from stock.store.connection import connection

        with connection():
            rows = sorted(washable(), key=lambda row: (row.role, row.name))
            last = usual_cleaner()
            usual_ul = {row.name: usual_amount(row.id) for row in rows}
            mixes = [str(mix.id) for mix in open_mixes()]
        first = last.name if last is not None else next((row.name for row in rows), "")
        self.app.call_from_thread(self._learned, first, usual_ul, mixes)

    def _learned(self, first: str, usual_ul: Mapping[str, Microlitres | None], mixes: Sequence[str]) -> None:
        """Fill in the usual cleaner and what a wash-out usually takes of it, so that Enter books that."""
        self._usual_ul = usual_ul
        field = self.query_one("#cleaner", Field)
        field.offer(list(usual_ul))
        self.query_one("#mix", Field).offer(mixes)
        if first and not field.text:
            field.text = first
            self._fill_usual()
            self.query_one("#amount", Field).input.focus()

    @on(NameField.Settled, "#cleaner")
    def _fill_usual(self) -> None:
        """Put the usual amount of the cleaner into the field, unless another one was typed."""
        cleaner, amount = self.query_one("#cleaner", Field).meant, self.query_one("#amount", Field)
        usual_ul = self._usual_ul.get(cleaner)
        if amount.text in ("", self._filled):
            self._filled = f"{ml_exact(usual_ul)} ml" if usual_ul else ""
            amount.text = self._filled
            amount.hint(_("What a wash-out with it usually takes here.") if usual_ul else "")

    @on(Field.Changed, "#cleaner")
    @on(Field.Changed, "#amount")
    @on(Field.Changed, "#mix")
    def _typed(self) -> None:
        """Show every caution about the wash-out before it is booked; what was accepted belonged to another one."""
        self.accepted = ()
        cleaner = self.query_one("#cleaner", Field).meant.strip()
        amount = self.query_one("#amount", Field)
        try:
            volume_ul = amount.read() if amount.text.strip() else USUAL_UL
            mix = self.query_one("#mix", Field).read()
        except UllageError:
            return
        if cleaner:
            self._look(cleaner, volume_ul, mix)
        else:
            self.query_one("#will", Static).update("")

    @work(thread=True, exclusive=True, group="advice", exit_on_error=False)
    def _look(self, cleaner: str, volume_ul: Microlitres, mix: int | None) -> None:
        from stock.bench.washing import cautions_before

        try:
            found: Sequence[Finding] = cautions_before(cleaner, volume_ul, mix)
        except UllageError:
            found = ()
        self.app.call_from_thread(self.query_one("#mix", Field).hint, _mix_in_words(mix))
        said = "\n".join(f"! {one.message}. {by_keys(one.remedy)}. [{one.source}]" for one in found)
        self.app.call_from_thread(self.query_one("#will", Static).update, words(said))

    def errand(self) -> Callable[[], str]:
        """Book the wash, unless a stop about it was not accepted."""
        from stock.bench.washing import cautions_before, wash

        cleaner, amount, mix, key = self.read("cleaner"), self.read("amount"), self.read("mix"), self.request
        accepted = self.accepted

        def book() -> str:
            found = () if accepted else cautions_before(cleaner, amount, mix)
            stops = [each for each in found if each.severity == "stop"]
            if stops:
                raise StopsFound(stops)
            answer = wash(cleaner, amount, mix=mix, accept=accepted, key=key)
            after = _(", after mix {mix}", mix=mix) if mix is not None else ""
            return _(
                "Washed with {volume_ml} ml of {product}{after}",
                volume_ml=ml_of(answer["volume_ml"]),
                product=answer["product"],
                after=after,
            )

        return book


def _mix_in_words(number: int | None) -> str:
    """The mix of this number and when it was made, in words; empty if there is none."""
    from stock import clock
    from stock.bench.mixes import mix
    from stock.ledger import zone
    from stock.store.connection import connection

    if number is None:
        return ""
    try:
        with connection():
            view = mix(number)
            return _("{words}, {made}", words=view.words, made=clock.local_minute(view.at, zone()))
    except UllageError:
        return ""


def _number(text: str) -> int:
    digits = text.strip().lower().removeprefix("mix").strip()
    if not (digits.isascii() and digits.isdigit() and len(digits) < 16):
        raise BadInput(
            _("{text!r} is no mix", text=text[:20]), remedy=_("Write its number, as the Logbook shows it")
        )
    return int(digits)
