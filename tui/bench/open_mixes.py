"""The list of open mixes, with keys that do what the page beside it announces."""

from collections.abc import Callable, Hashable
from functools import partial
from typing import Any, ClassVar

from textual import work
from textual.binding import BindingType
from textual.message import Message
from textual.worker import Worker, WorkerState

from stock import clock
from stock.grammar import in_full
from stock.language import _
from tui.drawing.bottle import Run
from tui.drawing.figures import span
from tui.drawing.sentences import sentence_for
from tui.widgets.keys import bindings
from tui.widgets.rows import ListColumn, Rows


class OpenMixes(Rows[Any]):
    """Mixes that nobody has closed, newest first; the page shows the selected one."""

    BINDINGS: ClassVar[list[BindingType]] = bindings("open_mix")

    class Done(Message):
        """Something was booked; `text` says what."""

        def __init__(self, text: str) -> None:
            super().__init__()
            self.text = text

    class Refused(Message):
        """Nothing was booked; `text` says why."""

        def __init__(self, text: str) -> None:
            super().__init__()
            self.text = text

    def __init__(self) -> None:
        super().__init__(
            (ListColumn(_("Open mixes")), ListColumn("", 6, right=True)),
            self._row,
            key=lambda mix: mix.id,
            id="open",
            empty=_("None open"),
        )
        self.plan: Any = None
        self._busy = False
        self._just_closed: int | None = None

    def _row(self, mix: Any) -> tuple[Any, ...]:
        swatch = Run("██", mix.color, mix.color) if mix.color else Run("▒▒", "outline")
        percent = f" {in_full(mix.reduction.percent_of_paint, 1)} % " if mix.reduction else " "
        name = (swatch, Run(percent, "ink", None, bold=True), Run(mix.words, "ink"))
        if mix.pot_life is not None:
            now = clock.now()
            return name, (Run(mix.pot_life.short(now), "stop" if mix.pot_life.gone(now) else "warn"),)
        today = getattr(self.app, "day", None)
        old = span((today - mix.day).days) if today is not None and mix.day != today else ""
        return name, (Run(old, "quiet"),)

    @property
    def to_wash(self) -> int | None:
        """The mix that a wash-out follows: the one closed last until something else is done here, else the selected."""
        selected = self.item.id if self.item is not None else None
        return self._just_closed if self._just_closed is not None else selected

    def watch_cursor(self) -> None:
        """Another mix is selected: it is the one in hand."""
        self._just_closed = None
        super().watch_cursor()

    def go_to(self, key: Hashable) -> bool:
        """Select a mix that was just booked."""
        self._just_closed = None
        return super().go_to(key)

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """None for an action that can't be done now; its key is shown in brackets."""
        del parameters
        if action in ("add", "good", "close", "back", "other_step", "tint", "board", "cup", "recipe", "undo"):
            ready = self.item is not None and not self._busy
            return True if ready and (action != "add" or self._step_of(self.item) is not None) else None
        return True

    def _step_of(self, mix: Any) -> Any:
        """The step that the page shows for this mix, if it does."""
        return self.plan if self.plan is not None and self.plan.mix.id == mix.id else None

    def show_plan(self, plan: Any) -> None:
        """Keep the step that the page shows, because the key books that step."""
        self.plan = plan
        self.screen.refresh_bindings()

    def action_add(self) -> None:
        """Book the step that the page shows; with a caution that is more than a note, ask first."""
        mix = self.item
        plan = self._step_of(mix) if mix is not None else None
        if plan is None or self._busy:
            return
        if any(one.severity != "note" for one in plan.cautions):
            self.action_other_step()
            return
        number, points = plan.mix.id, plan.points

        def book(key: str) -> str:
            from stock.bench.step_requests import StepRequest
            from stock.bench.steps import book_step
            from tui.bench.adding import said

            return said(book_step(number, StepRequest(points), key=key))

        self._do(book)

    def action_good(self) -> None:
        """Close the selected mix as good, with nothing left."""
        if self.item is None or self._busy:
            return
        number = self.item.id

        def book(key: str) -> str:
            from stock.bench.closing import Ending, close

            close(number, Ending("good"), key=key)
            return _(
                "Mix {number} is closed: good, nothing left. The Logbook can take it back", number=number
            )

        self._do(book, closes=number)

    def _do(self, book: Callable[[str], str], closes: int | None = None) -> None:
        import secrets

        self._busy = True
        self._book(book, secrets.token_hex(12), closes)

    @work(thread=True, group="booking", exit_on_error=False)
    def _book(self, book: Callable[[str], str], key: str, closes: int | None) -> None:
        from stock.store.connection import connection

        with connection():
            text = book(key)
        self.app.call_from_thread(self._answered, text, closes)

    def on_worker_state_changed(self, event: Worker.StateChanged) -> None:
        """Accept the next key, and post a refusal for the screen to show."""
        if event.state in (WorkerState.SUCCESS, WorkerState.ERROR):
            self._busy = False
            self.screen.refresh_bindings()
        if event.state == WorkerState.ERROR and event.worker.error is not None:
            self.post_message(self.Refused(sentence_for(event.worker.error)))

    def _ask(self, dialog: Any, closes: int | None = None) -> None:
        self.app.push_screen(dialog, partial(self._answered, closes=closes))

    def _answered(self, text: str | None, closes: int | None = None) -> None:
        if text:
            self._just_closed = closes
            self.post_message(self.Done(text))

    def action_other_step(self) -> None:
        """Ask for a step of another size, or one after spraying."""
        from tui.bench.adding import AddStep

        if self.item is not None:
            self._ask(AddStep(self.item))

    def action_tint(self) -> None:
        """Ask for a colour, an additive or more paint to add."""
        from tui.bench.adding import Tint

        if self.item is not None:
            self._ask(Tint(self.item))

    def action_back(self) -> None:
        """Ask for the paint that brings a too thin mix back."""
        from tui.bench.adding import BringBack

        if self.item is not None:
            self._ask(BringBack(self.item))

    def action_close(self) -> None:
        """Ask how the selected mix sprayed, and close it."""
        from tui.bench.closing import CloseMix

        if self.item is not None:
            self._ask(CloseMix(self.item), closes=self.item.id)

    def action_cup(self) -> None:
        """Ask for a flow cup's time of the selected mix."""
        from tui.bench.closing import NoteCupTime

        if self.item is not None:
            self._ask(NoteCupTime(self.item))

    def action_board(self) -> None:
        """Show the selected mix in large print."""
        from tui.bench.large_print import LargePrint

        if self.item is not None:
            self.app.push_screen(LargePrint(self.item), self._left_board)

    def _left_board(self, _: None) -> None:
        self.post_message(self.Done(""))

    def action_recipe(self) -> None:
        """Keep the selected mix as a recipe."""
        from tui.dialogs.recipe import KeepRecipe

        if self.item is not None:
            self._ask(KeepRecipe(self.item.id))

    def action_undo(self) -> None:
        """Undo the whole selected mix, after asking."""
        from stock.logbook.undo import undo
        from tui.widgets.dialog import Ask

        mix = self.item
        if mix is not None:
            self._ask(
                Ask(
                    _("Take mix {id} back", id=mix.id),
                    _("{words}, with its steps. Everything goes back into its bottles.", words=mix.words),
                    go=_("Take it back"),
                    errand=lambda key: undo("mix", mix.id, key=key),
                    said=_("Mix {id} is taken back", id=mix.id),
                )
            )
