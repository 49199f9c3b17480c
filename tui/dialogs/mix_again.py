"""The dialog that repeats a mix: it shows the whole preview and books with one key."""

from collections.abc import Callable
from contextlib import suppress
from dataclasses import replace
from datetime import datetime
from typing import Any, ClassVar

from textual import on, work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.worker import get_current_worker

from stock.errors import UllageError
from stock.grammar import in_full
from stock.language import _
from tui.dialogs.typed_mix import TypedMix, wish_of
from tui.drawing.bottle import Run
from tui.drawing.figures import ml_of
from tui.drawing.sentences import sentence_for
from tui.drawing.strips import inks
from tui.widgets.dialog import BookingDialog
from tui.widgets.fields import Field, Key
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


MOMENTS = ("yesterday", "today 9:00", "today 12:00", "today 15:00", "yesterday 9:00", "yesterday 15:00")


def _moment(text: str) -> datetime:
    from stock.shelf.studio import past_moment
    from stock.store.connection import connection

    with connection():
        return past_moment(text)


class Again(BookingDialog[str]):
    """Repeats a mix as it was last made, now or at an earlier moment."""

    HEAD: ClassVar[str] = _("Mix it again")
    DRAFTED = False  # a moment that was typed for one mix must not be another one's
    AUTO_FOCUS = "#go"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "go", _("Book it")),
        Binding("b", "bench", _("To the Bench")),
    ]

    def __init__(self, request: Any) -> None:
        super().__init__()
        self._request = request
        self._plan: Any = None

    def fields(self) -> ComposeResult:
        yield Page(ground="card", id="preview")
        yield Field(
            _("When"), read=_moment, blank=True, example=_("now"), offers=MOMENTS, id="when",
            hint=_("For a mix that is written down late."),
        )  # fmt: skip
        yield Key(_("b  Change it at the Bench first"), plain=True, id="other")

    def on_mount(self) -> None:
        """Plan the mix in a thread."""
        self.query_one(Page).show([(Run(_("Working it out …"), "quiet"),)])
        self._work_out(self._request)

    @on(Field.Changed, "#when")
    def _moved(self) -> None:
        """Plan it anew for another moment."""
        self._plan = None
        with suppress(UllageError):  # said beneath the field, once it is left
            self._work_out(self._request._replace(at=self.query_one("#when", Field).read()))

    @work(thread=True, exclusive=True, group="plan", exit_on_error=False)
    def _work_out(self, request: Any) -> None:
        from stock.bench.mixing import plan
        from stock.store.connection import connection

        try:
            with connection():
                planned = plan(request)
        except UllageError as error:
            self.app.call_from_thread(self._cannot, sentence_for(error))
            return
        if not get_current_worker().is_cancelled:
            self.app.call_from_thread(self._planned, request, planned)

    def _cannot(self, why: str) -> None:
        """Say why there is no such mix, without the one shown before."""
        self.query_one(Page).show([])
        self.refuse(why)

    def _planned(self, request: Any, planned: Any) -> None:
        from tui.drawing.mix import everything

        self._request, self._plan = request, planned
        self.refuse("")
        page = self.query_one(Page)
        lines = everything(planned, page.size.width - 1, inks(self.app))
        page.styles.height = min(len(lines), max(4, self.app.size.height - 13))
        page.show(lines)
        if planned.stops():
            self.refuse(
                _(
                    "A caution stops this mix. Press b for the Bench, where a stop can be accepted by its "
                    "name."
                )
            )

    def errand(self) -> Callable[[], str]:
        """Book the mix that is shown."""
        from stock.bench.mixing import book_mix

        self.read("when")
        if self._plan is None:
            self.refuse(_("It is still being worked out. Press the key again once it is shown."))
            self.stay()
        if self._plan.stops():
            self.refuse(
                _(
                    "A caution stops this mix. Press b for the Bench, where a stop can be accepted by its "
                    "name."
                )
            )
            self.stay()
        request, key = self._request, self.request

        def book() -> str:
            answer = book_mix(request, key=key)
            took = ", ".join(f"{pour['product']} {ml_of(pour['volume_ml'])} ml" for pour in answer["pours"])
            return _("Mix {mix} is booked: {took}", mix=answer["mix"], took=took)

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
        when = self.query_one("#when", Field).text
        self.dismiss(None)
        shell.go("bench", replace(wish_for(self._request), when=when))
