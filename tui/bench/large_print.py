"""The mix in hand in large print: read from three metres, its next action on one key.

On a tablet of ten inches, in a full screen of 24 rows, a row is about six millimetres: the figures are three
centimetres high, the names two.
"""

from typing import Any, ClassVar

from textual import work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.widgets import Static

from stock.errors import UllageError
from stock.grammar import in_full
from stock.language import _
from tui.bench.messages import MixRead
from tui.drawing.figures import ml
from tui.drawing.large_letters import large, small
from tui.drawing.mix import drops_words
from tui.drawing.sentences import sentence_for
from tui.widgets.books_screen import words
from tui.widgets.overlay import Overlay


class LargePrint(Overlay[None]):
    """An open mix: its paint, where it stands, and what the one key adds.

    Args:
        mix: the open mix.
    """

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter,space,s", "step", _("Add the step")),
        Binding("g", "good", _("It sprays right")),
        Binding("escape,q", "dismiss(None)", _("Leave")),
    ]
    VERTICAL_BREAKPOINTS = [(0, "-low"), (24, "-high")]  # noqa: RUF012 - declared so by Textual
    DEFAULT_CSS = """
    LargePrint { background: $ground; align: center top; }
    LargePrint #large { width: 100%; height: 100%; padding: 0 1; background: $ground; border: none; }
    LargePrint Static { text-style: bold; width: 100%; text-wrap: wrap; }
    LargePrint #now, LargePrint #next { color: $key; height: 5; text-wrap: nowrap; }
    LargePrint #name, LargePrint #what { height: 4; text-wrap: nowrap; }
    LargePrint #will { color: $warn; height: auto; }
    LargePrint #keys { dock: bottom; background: $ground; }
    LargePrint.-low #name, LargePrint.-low #what { height: 3; }
    """

    def __init__(self, mix: Any) -> None:
        super().__init__()
        self._mix = mix
        self._step: Any = None
        self._busy = False

    def compose(self) -> ComposeResult:
        """The name, the reduction and the cup in large figures, the next action, and the keys."""
        with VerticalScroll(id="large", can_focus=False):
            for part in ("name", "now", "cup", "next", "what", "then", "will"):
                yield Static(id=part)
            yield Static(words(_("ENTER adds it      G sprays right      ESC leaves")), id="keys")

    def on_mount(self) -> None:
        self._look()

    @work(thread=True, exclusive=True, group="open_mix", exit_on_error=False)
    def _look(self) -> None:
        from tui.bench.working_out import looked_at

        found = looked_at(self._mix.id)
        self.app.call_from_thread(self._read, found)

    def _read(self, found: MixRead | None) -> None:
        if found is None:
            self.dismiss(None)
            return
        state = found.state
        self._mix, self._step, self._busy = state.mix, state.step, False
        cup, reduction = state.mix.cup, state.mix.reduction
        percent = in_full(reduction.percent_of_paint, 1) if reduction is not None else "0"
        width = self.app.size.width - 4
        main = state.mix.main_paint
        texts = {
            "name": "\n".join(small(main.product if main is not None else state.mix.words, width)),
            "now": "\n".join(large(f"{percent}%", width)),
            "cup": _(
                "NOW: {percent} % of the paint is reducer; {total_ul} ml in the cup",
                percent=percent,
                total_ul=ml(cup.total_ul),
            ),
            **self._next(state.refused, width),
        }
        for part, text in texts.items():
            self.query_one(f"#{part}", Static).update(words(text))

    def _next(self, refused: str, width: int) -> dict[str, str]:
        """The next action, or why there is none."""
        if self._step is None:
            return {"next": "", "what": "", "then": refused, "will": ""}
        pours = self._step.pours
        added = ", ".join(
            _(
                "{volume_ul} ml {pour}{product} from bottle {bottle}",
                volume_ul=ml(pour.volume_ul),
                pour=drops_words(pour),
                product=pour.product,
                bottle=pour.bottle,
            )
            for pour in pours
        )
        then = in_full(self._step.reduction.percent_of_paint, 1)
        warned = [one for one in self._step.cautions if one.severity != "note"]
        said = [f"! {one.message}" for one in warned] + [_("The Bench asks about it: ESC, then s.")] * bool(
            warned
        )
        return {
            "next": "\n".join(large(f"+{ml(sum(pour.volume_ul for pour in pours))} ML", width)),
            "what": "\n".join(small(" + ".join(dict.fromkeys(pour.product for pour in pours)), width)),
            "then": _("NEXT: {added}; then {then} %", added=added, then=then),
            "will": "\n".join(said),
        }

    def action_step(self) -> None:
        """Add the step that is shown, unless a caution is to be read first."""
        if self._step is None or self._busy or any(one.severity != "note" for one in self._step.cautions):
            return
        self._busy = True
        self._do(self._mix.id, self._step.points)

    def action_good(self) -> None:
        """Close the mix as good, with nothing left."""
        if not self._busy:
            self._busy = True
            self._do(self._mix.id, None)

    @work(thread=True, group="booking", exit_on_error=False)
    def _do(self, number: int, points: Any) -> None:
        import secrets

        from stock.bench.closing import Ending, close
        from stock.bench.step_requests import StepRequest
        from stock.bench.steps import book_step
        from stock.store.connection import connection

        key = secrets.token_hex(12)
        try:
            with connection():
                if points is None:
                    close(number, Ending("good"), key=key)
                else:
                    book_step(number, StepRequest(points), key=key)
        except UllageError as error:
            self.app.call_from_thread(self._refused, sentence_for(error))
        else:
            self.app.call_from_thread(self._look)

    def _refused(self, text: str) -> None:
        self._busy = False
        self.query_one("#will", Static).update(words(text))
