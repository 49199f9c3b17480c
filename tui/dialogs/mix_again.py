"""The dialog that repeats a mix: it shows the whole preview and books with one key."""

from collections.abc import Callable
from typing import Any, ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType

from stock.grammar import in_full
from tui.dialogs.typed_mix import TypedMix, wish_of
from tui.drawing.bottle import Run
from tui.drawing.figures import ml_of
from tui.drawing.strips import inks
from tui.widgets.dialog import BookingDialog
from tui.widgets.fields import Key
from tui.widgets.page import Page


def wish_for(request: Any) -> TypedMix:
    """A request as the texts of the Bench's fields."""
    from stock.units import plain_figure

    names = [name for name, _ in request.reducers]
    weights = [str(weight) for _, weight in request.reducers]
    blend = f"{':'.join(names)}={':'.join(weights)}" if len(names) > 1 else "".join(names)
    texts = {
        "reduce": f"{plain_figure(request.reduce, 3)}%" if request.reduce is not None else "",
        "reducer": blend,
        "needle": f"{in_full(request.needle_um / 1000)}" if request.needle_um else "",
        "job": request.job or "",
    }
    return wish_of(request.parts, more=lambda name: texts.get(name, ""))


def like(mix: int) -> TypedMix:
    """An earlier mix as it ended, as the texts of the Bench's fields; called with the connection open.

    Raises:
        UllageError: it was undone, or held nothing but reducer.
    """
    from stock.bench.mixes import mix as view
    from stock.bench.scaling import once_more

    return wish_for(once_more(view(mix)))


class Again(BookingDialog[str]):
    """Repeats a mix as it was last made."""

    HEAD: ClassVar[str] = "Mix it again"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "go", "Book it"),
        Binding("b", "bench", "To the Bench"),
    ]

    def __init__(self, request: Any) -> None:
        super().__init__()
        self._request = request
        self._plan: Any = None

    def fields(self) -> ComposeResult:
        yield Page(ground="card", id="preview")
        yield Key("b  Change it at the Bench first", plain=True, id="other")

    def on_mount(self) -> None:
        """Plan the mix in a thread."""
        self.query_one(Page).show([(Run("Working it out …", "quiet"),)])
        self.run_worker(self._work_out, thread=True, group="plan", exit_on_error=False)

    def _work_out(self) -> None:
        from stock.bench.mixing import plan

        planned = plan(self._request)
        self.app.call_from_thread(self._planned, planned)

    def _planned(self, planned: Any) -> None:
        from tui.drawing.mix import everything

        self._plan = planned
        page = self.query_one(Page)
        lines = everything(planned, page.size.width - 1, inks(self.app))
        page.styles.height = min(len(lines), max(4, self.app.size.height - 12))
        page.show(lines)
        if planned.stops():
            self.refuse(
                "A caution stops this mix. Press b for the Bench, where a stop can be accepted by its name."
            )

    def errand(self) -> Callable[[], str]:
        """Book the mix that is shown."""
        from stock.bench.mixing import book_mix

        if self._plan is None:
            self.stay()
        if self._plan.stops():
            self.refuse(
                "A caution stops this mix. Press b for the Bench, where a stop can be accepted by its name."
            )
            self.stay()
        request, key = self._request, self.request

        def book() -> str:
            answer = book_mix(request, key=key)
            took = ", ".join(f"{pour['product']} {ml_of(pour['volume_ml'])} ml" for pour in answer["pours"])
            return f"Mix {answer['mix']} is booked: {took}"

        return book

    @on(Key.Pressed, "#other")
    def _other(self, event: Key.Pressed) -> None:
        event.stop()
        self.action_bench()

    def action_bench(self) -> None:
        """Take the mix to the Bench, unless it is being booked."""
        if self._busy:
            return
        shell = self.shell
        self.dismiss(None)
        shell.go("bench", wish_for(self._request))
