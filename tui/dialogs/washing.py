"""The dialog that books a wash-out, and shows every caution about it first."""

from collections.abc import Callable, Sequence
from typing import ClassVar

from textual import on, work
from textual.app import ComposeResult
from textual.widgets import Static

from stock.cautions.facts import Finding
from stock.errors import BadInput, UllageError
from stock.grammar import in_full
from tui.dialogs.accepting import StoppableDialog, StopsFound
from tui.drawing.sentences import by_keys
from tui.widgets.books_screen import words
from tui.widgets.field_readers import volume
from tui.widgets.fields import Field
from tui.widgets.name_field import NameField
from tui.widgets.suggestions import AMOUNTS

USUAL_UL = 15_000
"""What is looked at until an amount is typed."""


class WashOut(StoppableDialog):
    """Books cleaner that was used."""

    HEAD: ClassVar[str] = "A wash-out"
    STOPPED: ClassVar[str] = "wash-out"

    def __init__(self, mix: int | None) -> None:
        super().__init__()
        self._mix = mix

    def fields(self) -> ComposeResult:
        mix = str(self._mix) if self._mix is not None else ""
        yield NameField("Cleaner", example="a few letters", id="cleaner")
        yield Field("Amount", read=volume, example="15 ml", offers=AMOUNTS, id="amount")
        yield Field("After mix", read=_number, value=mix, blank=True, example="none in particular", id="mix")
        yield Static(id="will")

    def on_mount(self) -> None:
        """Read the cleaners and open mixes in a thread."""
        self.run_worker(self._learn, thread=True, group="known", exit_on_error=False)

    def _learn(self) -> None:
        from stock.bench.mixes import open_mixes
        from stock.bench.washing import washable

        rows = washable()
        names = sorted(
            (row.name for row in rows), key=lambda name: [row.role for row in rows if row.name == name]
        )
        mixes = [str(mix.id) for mix in open_mixes()]
        self.app.call_from_thread(self._learned, names, mixes)

    def _learned(self, names: Sequence[str], mixes: Sequence[str]) -> None:
        field = self.query_one("#cleaner", Field)
        field.offer(names)
        self.query_one("#mix", Field).offer(mixes)
        if names and not field.text:
            field.text = names[0]
            self.query_one("#amount", Field).input.focus()

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
    def _look(self, cleaner: str, volume_ul: int, mix: int | None) -> None:
        from stock.bench.washing import cautions_before

        try:
            found: Sequence[Finding] = cautions_before(cleaner, volume_ul, mix)
        except UllageError:
            found = ()
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
            return f"Washed with {in_full(answer['volume_ml'])} ml of {answer['product']}"

        return book


def _number(text: str) -> int:
    digits = text.strip().lower().removeprefix("mix").strip()
    if not (digits.isascii() and digits.isdigit() and len(digits) < 16):
        raise BadInput(f"{text[:20]!r} is no mix", remedy="Write its number, as the Logbook shows it")
    return int(digits)
