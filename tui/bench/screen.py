"""The Bench: what is to be mixed on one side, everything it will do on the other, before it is booked."""

import secrets
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, ClassVar

from textual import on, work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical
from textual.message import Message
from textual.timer import Timer
from textual.widget import Widget
from textual.widgets import Static
from textual.worker import Worker, WorkerState, get_current_worker

from tui.bench.form import Form
from tui.bench.wish import Unread, Wish
from tui.widgets.drawing import Line, Run
from tui.widgets.fields import Key
from tui.widgets.page import Page
from tui.widgets.room import Room, words
from tui.widgets.rows import Column, Rows
from tui.widgets.say import ml
from tui.widgets.sentences import sentence_for
from tui.widgets.strips import inks

PAUSE = 0.12
"""Seconds without a key before a wish is worked out."""
EMPTY = (
    "Type a few letters of a paint and an amount.",
    "What the mix will take, from which bottles, and what to look out for",
    "stands here before anything is booked.",
)


@dataclass(frozen=True, slots=True)
class BenchBooks:
    """What the Bench knows: names to match letters with, and the mixes that nobody has closed."""

    paints: tuple[str, ...]
    reducers: tuple[str, ...]
    open_mixes: tuple[Any, ...]
    drops_milli: int


class Bench(Room[BenchBooks]):
    """A form, a preview, and the open mixes."""

    CSS_PATH = "bench.tcss"
    ABOUT = (
        "Say what to mix; the right side shows all it will do before it is booked: volumes, drops, parts, grams, "
        "which bottles and what stays in them, and every caution. Nothing is booked before you press the key. "
        "Without a reduction only paint is poured. Esc leaves a field, so that letters work as keys."
    )
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("f8,b", "book", "Book it", key_display="F8", tooltip="Book this mix (b outside the fields)"),
        Binding(
            "f7,a", "another", "+ paint", key_display="F7", tooltip="One more paint (a outside the fields)"
        ),
        Binding("s", "step", "Step", tooltip="Add reducer to the open mix under the hand", id="bench.step"),
        Binding("c", "close", "Close", tooltip="Say how the open mix sprayed", id="bench.close"),
        Binding("w", "wash", "Wash", tooltip="Book a wash-out", id="bench.wash"),
        Binding("n", "clear", "New", tooltip="Empty the form"),
        Binding("i", "fields", "Fields", show=False, tooltip="Back into the form"),
        Binding("pageup", "scroll(-1)", "Preview up", show=False, priority=True),
        Binding("pagedown", "scroll(1)", "Preview down", show=False, priority=True),
    ]

    class Planned(Message):
        """A wish worked out: a plan with its advice, or why there is none."""

        def __init__(self, wish: Wish, plan: Any, advice: Any, unread: Unread | None) -> None:
            super().__init__()
            self.wish = wish
            self.plan = plan
            self.advice = advice
            self.unread = unread

        def can_replace(self, message: Message) -> bool:
            """Only the newest wish is shown."""
            return isinstance(message, Bench.Planned)

    class Booked(Message):
        """The mix is in the books."""

        def __init__(self, answer: Any) -> None:
            super().__init__()
            self.answer = answer

    def __init__(self) -> None:
        super().__init__()
        self._timer: Timer | None = None
        self._plan: Any = None
        self._advice: Any = None
        self._request = secrets.token_hex(12)
        self._busy = False
        self._wanted: Wish | None = None

    def furniture(self) -> ComposeResult:
        """Form and open mixes to the left, preview to the right."""
        with Horizontal():
            with Vertical(id="left"):
                yield Form(id="form")
                with Horizontal(classes="buttons"):
                    yield Key("F7  + paint", plain=True, id="another")
                    yield Key("F8  Book it", id="book")
                yield Rows(
                    (Column("Open mixes"),), self._cells, key=lambda mix: mix.id, id="open", empty="None open"
                )
            with Vertical(id="right"):
                yield Static(id="advice")
                yield Page(id="preview")

    def on_mount(self) -> None:
        """Ready to type."""
        self.query_one(Form).field("paint-0").input.focus()
        self._show_empty()

    def resting(self) -> Widget:
        """The open mixes: letters are keys there."""
        return self.query_one("#open")

    def read_books(self) -> BenchBooks:
        """Names and open mixes."""
        from stock.bench.mixes import open_mixes  # noqa: PLC0415
        from stock.shelf import products  # noqa: PLC0415
        from stock.shelf.studio import settings  # noqa: PLC0415

        rows = products.everything()
        reducers = [row.name for row in rows if row.role in ("reducer", "cleaner")]
        paints = [row.name for row in rows if row.role not in ("reducer", "cleaner")]
        return BenchBooks(tuple(paints), tuple(reducers), tuple(open_mixes()), settings().drops_milli)

    def draw(self, books: BenchBooks) -> None:
        """Names into the form, open mixes into their list; the preview is worked out anew."""
        form = self.query_one(Form)
        form.know(books.paints, books.reducers)
        self.query_one(Rows).show(list(books.open_mixes))
        if self._wanted is not None:
            form.show(self._wanted)
            self._wanted = None
            form.field("amount-0").input.focus()
        self._work_out()

    def _cells(self, mix: Any) -> tuple[Any, ...]:
        swatch = Run("██ ", mix.color) if mix.color else Run("▒▒ ", "outline")
        percent = f"{float(mix.reduction.percent_of_paint):.3g} % " if mix.reduction else ""
        return ((swatch, Run(f"{percent}", "ink", None, bold=True), Run(mix.words, "ink")),)

    def take(self, product: str) -> None:
        """A paint taken to the Bench from another screen."""
        self.fill(Wish(parts=((product, ""),)))

    def fill(self, wish: Wish) -> None:
        """Put a wish into the form, now or once the names are known."""
        self._wanted = wish
        if self.books is not None:
            self.draw(self.books)

    @on(Form.Changed)
    def _changed(self) -> None:
        if self._timer is not None:
            self._timer.stop()
        self._timer = self.set_timer(PAUSE, self._work_out)

    def _work_out(self) -> None:
        wish = self.query_one(Form).wish
        if wish.blank:
            self._plan = None
            self._show_empty()
        elif self.ullage.books_open:
            self._work(wish)

    @work(thread=True, exclusive=True, group="plan", exit_on_error=False)
    def _work(self, wish: Wish) -> None:
        from stock.store.connection import connection  # noqa: PLC0415
        from tui.bench.wish import advised, planned  # noqa: PLC0415

        plan = unread = None
        with connection():
            try:
                plan = planned(wish)
            except Unread as error:
                unread = error
            advice = advised(wish)
        if not get_current_worker().is_cancelled:
            self.post_message(self.Planned(wish, plan, advice, unread))

    @on(Planned)
    def _show_plan(self, message: Planned) -> None:
        message.stop()
        if message.wish != self.query_one(Form).wish:
            return
        self._plan, self._advice = message.plan, message.advice
        self._show_advice()
        if message.plan is not None:
            self.query_one(Page).show(self._lines(message.plan))
        elif message.unread is not None:
            self.query_one(Page).show(self._refusal(message.unread))
        self.refresh_bindings()

    def _lines(self, plan: Any) -> Sequence[Line]:
        from tui.bench.board import drawn  # noqa: PLC0415
        from tui.bench.view import everything  # noqa: PLC0415

        page = self.query_one(Page)
        width = page.size.width - 2
        drops = self.books.drops_milli if self.books else 20_000
        lines = everything(plan, width, inks(self.app), drops)
        if page.size.height >= 26:
            lines = [*drawn(plan, width, inks(self.app)), (), *lines]
        return lines

    def _refusal(self, unread: Unread) -> list[Line]:
        from tui.bench.view import wrapped  # noqa: PLC0415

        form = self.query_one(Form)
        name = form.field(unread.field)
        typed = bool(name.text.strip())
        width = self.query_one(Page).size.width - 2
        lines: list[Line] = [(Run("Nothing can be booked yet.", "ink", None, bold=True),), ()]
        for text in wrapped(sentence_for(unread.error), width):
            lines.append((Run(text, "stop" if typed else "quiet"),))
        return lines

    def _show_empty(self) -> None:
        self._advice = None
        self.query_one(Page).show([(Run(text, "quiet"),) for text in EMPTY])
        self._show_advice()
        self.refresh_bindings()

    def _show_advice(self) -> None:
        line = self.query_one("#advice", Static)
        line.update(words(self._advice or ""))
        line.display = bool(self._advice)

    def on_resize(self) -> None:
        """The preview follows the width."""
        super().on_resize()
        if self._plan is not None:
            self.call_after_refresh(lambda: self.query_one(Page).show(self._lines(self._plan)))

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """A key that can't act now is shown in brackets."""
        del parameters
        if action == "book":
            return True if self._plan is not None and not self._busy else None
        if action in ("step", "close"):
            return True if self.is_mounted and self.query_one(Rows).item is not None else None
        return True

    @on(Rows.Moved)
    def _moved(self) -> None:
        self.refresh_bindings()

    @on(Form.Finished)
    def _finished(self) -> None:
        self.query_one("#book").focus()

    @on(Key.Pressed)
    def _pressed(self, event: Key.Pressed) -> None:
        if event.key.id == "another":
            self.action_another()
        elif event.key.id == "book":
            self.action_book()

    def action_another(self) -> None:
        """One more paint."""
        self.query_one(Form).another()

    def action_fields(self) -> None:
        """Back into the form."""
        self.query_one(Form).field("paint-0").input.focus()

    def action_clear(self) -> None:
        """An empty form."""
        self.query_one(Form).show(Wish())
        self.action_fields()

    def action_scroll(self, way: int) -> None:
        """A page of the preview."""
        page = self.query_one(Page)
        page.scroll_relative(y=way * max(1, page.size.height - 2), animate=False)

    def action_book(self) -> None:
        """Book what the preview shows; a mix that is stopped asks first to accept the cautions by name."""
        if self._plan is None or self._busy:
            return
        stops = self._plan.stops()
        if stops:
            from tui.bench.accepting import Accept  # noqa: PLC0415

            self.app.push_screen(Accept(stops), self._accepted)
        else:
            self._book_it(())

    def _accepted(self, codes: tuple[str, ...] | None) -> None:
        if codes:
            self._book_it(codes)

    def _book_it(self, codes: tuple[str, ...]) -> None:
        self._busy = True
        self.notice("")
        self._book(self._plan.request, codes, self._request)

    @work(thread=True, group="booking", exit_on_error=False)
    def _book(self, request: Any, codes: tuple[str, ...], key: str) -> None:
        from stock.bench.mixing import book_mix  # noqa: PLC0415
        from stock.store.connection import connection  # noqa: PLC0415

        with connection():
            answer = book_mix(request, accept=codes, key=key)
        self.post_message(self.Booked(answer))

    @on(Booked)
    def _booked(self, message: Booked) -> None:
        message.stop()
        answer = message.answer
        self._busy = False
        self._request = secrets.token_hex(12)
        self.query_one(Form).show(Wish())
        took = ", ".join(f"{pour['product']} {pour['volume_ml']:g} ml" for pour in answer["pours"])
        self.ullage.tell(f"Mix {answer['mix']} is booked: {took}")
        self.reload()
        self.query_one(Rows).focus()

    @on(Worker.StateChanged)
    def _let_go(self, event: Worker.StateChanged) -> None:
        if event.worker.group == "booking" and event.state == WorkerState.ERROR:
            self._busy = False
            self._work_out()

    def action_step(self) -> None:
        """More reducer into the open mix under the hand."""
        from tui.bench.closing import AddStep  # noqa: PLC0415

        mix = self.query_one(Rows).item
        if mix is not None:
            self.app.push_screen(AddStep(mix), self._done)

    def action_close(self) -> None:
        """How the open mix under the hand sprayed."""
        from tui.bench.closing import CloseMix  # noqa: PLC0415

        mix = self.query_one(Rows).item
        if mix is not None:
            self.app.push_screen(CloseMix(mix), self._done)

    def action_wash(self) -> None:
        """A wash-out."""
        from tui.bench.closing import WashOut  # noqa: PLC0415

        mix = self.query_one(Rows).item
        self.app.push_screen(WashOut(mix.id if mix is not None else None), self._done)

    def _done(self, said: str | None) -> None:
        if said:
            self.ullage.tell(said)
            self.reload()


def pours_words(pours: Sequence[Any]) -> str:
    """What is poured, in one line."""
    return ", ".join(f"{pour.product} {ml(pour.volume_ul)} ml from bottle {pour.bottle}" for pour in pours)
