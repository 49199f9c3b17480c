"""The Bench: a form for the mix on one side, and on the other everything the mix will do, before it is booked."""

from collections.abc import Sequence
from typing import Any, ClassVar

from textual import on, work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical
from textual.timer import Timer
from textual.widget import Widget
from textual.worker import Worker, WorkerState, get_current_worker

from stock.language import _
from tui.bench.books import BenchBooks
from tui.bench.draft import MixDraft
from tui.bench.form import MixForm
from tui.bench.messages import Booked, MixRead, Planned, what_is_booked
from tui.bench.open_mixes import OpenMixes
from tui.dialogs.typed_mix import TypedMix, UnreadField, queued_mix
from tui.drawing.bottle import Line
from tui.drawing.figures import ml_of
from tui.drawing.strips import inks
from tui.widgets.books_screen import BooksScreen
from tui.widgets.drafts import drafts_of
from tui.widgets.fields import FIELD_KEYS, Key
from tui.widgets.keys import bindings
from tui.widgets.page import Page
from tui.widgets.rows import Rows

COUNT_DOWN_EVERY = 20.0
"""Seconds after which what is left of a pot life is shown anew."""
PAUSE = 0.12
"""Seconds without a key before a typed mix is worked out."""
KEYS_BESIDE = 26
"""Cells in the row of keys that are not available for the name of the paint."""
TALL = 30
"""The bottles are drawn on the page if it has at least so many rows."""


class BenchScreen(BooksScreen[BenchBooks]):
    """A form, the open mixes, and a page about the one that has the focus."""

    CSS_PATH = "bench.tcss"
    ABOUT = _(
        "Type what to mix; the page shows where to start and why, and everything that the mix "
        "will do: volumes, drops, parts, grams, which bottles and what stays in them, and every "
        "caution. Enter in the empty Reduction accepts the advised start; without a reduction "
        "only paint is poured. Amounts may be 8 ml, 30 drops, 8.4 g, or 10.0..18.4 g, the "
        "scale's readings before and after. With a Total, the amounts count as a ratio. Nothing "
        "is booked before you press the key. On an open mix the page says what s adds."
    )
    BINDINGS: ClassVar[list[BindingType]] = [
        *FIELD_KEYS,
        # Heard before the field, so that what is typed behind it is the new field's.
        Binding("f7", "another", _("+ paint"), key_display="F7", priority=True),
        *bindings("bench"),
        Binding("pageup", "scroll(-1)", _("Page up"), show=False, priority=True),
        Binding("pagedown", "scroll(1)", _("Page down"), show=False, priority=True),
    ]

    def __init__(self) -> None:
        super().__init__()
        self._timer: Timer | None = None
        self._wish: TypedMix | None = None
        self._plan: Any = None
        self._advice: Any = None
        self._unread: UnreadField | None = None
        self._open_mix: Any = None
        self._busy = False
        self._to_fill: TypedMix | None = None
        self._newest: int | None = None
        self._by_weight = False
        self._draft: MixDraft | None = None

    def furniture(self) -> ComposeResult:
        """The form and the open mixes on the left, the page on the right."""
        with Horizontal():
            with Vertical(id="left"):
                yield MixForm(id="form")
                with Horizontal(classes="buttons"):
                    yield Key(_("F7  + paint"), plain=True, id="another")
                    yield Key(_("F8  Book it"), id="book")
                yield OpenMixes()
            with Vertical(id="right"):
                yield Page(id="preview")

    def on_mount(self) -> None:
        self.query_one(MixForm).field("paint-0").input.focus()
        self._show()
        self.set_interval(COUNT_DOWN_EVERY, self._count_down)

    def default_focus(self) -> Widget:
        """The open mixes: letters are keys there."""
        return self.query_one(OpenMixes)

    def read_books(self) -> BenchBooks:
        """Names and open mixes."""
        from tui.bench.books import read

        return read()

    def draw(self, books: BenchBooks) -> None:
        """Put names into the form and open mixes into their list, and work the page out again."""
        form = self.query_one(MixForm)
        form.know(books.paints, books.reducers, jobs=books.jobs, labels=books.labels, details=books.details)
        mixes = self.query_one(OpenMixes)
        mixes.show(list(books.open_mixes))
        if self._by_weight and books.open_mixes:
            self._newest, self._by_weight = max(mix.id for mix in books.open_mixes), False
        if self._newest is not None and mixes.go_to(self._newest):
            self._newest = None
        if self._draft is None:
            self._draft = MixDraft(drafts_of(self))
            self._restore(self._draft)
        if self._to_fill is not None:
            form.show(self._to_fill)
            self._to_fill = None
            form.field("amount-0").input.focus()
        self._work_out()
        if mixes.item is None:  # else the list says which mix it is at
            self._look_at_mix()

    def _count_down(self) -> None:
        """Show what is left of pot lives, while a two-part mix is open."""
        if self.books is not None and any(mix.pot_life is not None for mix in self.books.open_mixes):
            self.query_one(OpenMixes).refresh()
            self._show()

    def take(self, in_hand: str | TypedMix) -> None:
        """Put a paint's name, or a whole typed mix, into the form."""
        self.fill(TypedMix(parts=((in_hand, ""),)) if isinstance(in_hand, str) else in_hand)

    def fill(self, typed_mix: TypedMix) -> None:
        """Put a typed mix into the form, now or once the names are known."""
        self._to_fill = typed_mix
        if self.books is not None:
            self.draw(self.books)

    def _restore(self, draft: MixDraft) -> None:
        """Put back what was typed and not booked, unless something else was brought along."""
        form = self.query_one(MixForm)
        typed_mix = draft.restored() if self._to_fill is None and form.typed_mix.blank else None
        if typed_mix is not None:
            form.show(typed_mix)
            self.notice(_("The form holds what you typed before and did not book; n empties it."))

    def _keep(self) -> None:
        if self._draft is not None:
            self._draft.keep(self.query_one(MixForm).typed_mix)

    @on(MixForm.Changed)
    def _changed(self) -> None:
        self._keep()
        if self._timer is not None:
            self._timer.stop()
        self._timer = self.set_timer(PAUSE, self._work_out)

    def _work_out(self) -> None:
        typed_mix = self.query_one(MixForm).typed_mix
        if typed_mix.blank:
            self._plan = self._advice = self._unread = None
            self.query_one(MixForm).advise("")
            self._show()
        elif self.shell.books_open:
            self._work(typed_mix)

    @work(thread=True, exclusive=True, group="plan", exit_on_error=False)
    def _work(self, typed_mix: TypedMix) -> None:
        from tui.bench.working_out import worked_out

        found = worked_out(typed_mix)
        if not get_current_worker().is_cancelled:
            self.post_message(found)

    @on(Planned)
    def _planned(self, message: Planned) -> None:
        message.stop()
        form = self.query_one(MixForm)
        if message.typed_mix != form.typed_mix:
            return
        self._wish = message.typed_mix
        self._plan, self._advice, self._unread = message.plan, message.advice, message.unread
        form.advise(message.advice.start if message.advice is not None else "")
        if message.advice is not None:
            form.allow(message.advice.reducers)
        self._show()

    @on(Rows.Moved)
    def _look_at_mix(self) -> None:
        mix = self.query_one(OpenMixes).item
        if mix is None:
            self._open_mix = None
            self._show()
        elif self.shell.books_open:
            self._look(mix.id)

    @work(thread=True, exclusive=True, group="open_mix", exit_on_error=False)
    def _look(self, number: int) -> None:
        from tui.bench.working_out import looked_at

        found = looked_at(number)
        if found is not None and not get_current_worker().is_cancelled:
            self.post_message(found)

    @on(MixRead)
    def _mix_read(self, message: MixRead) -> None:
        message.stop()
        self._open_mix = message.state
        self.query_one(OpenMixes).show_plan(message.state.step)
        self._show()

    def on_descendant_focus(self) -> None:
        """Show the form's mix or the open mix, whichever has the focus."""
        self._show()

    @on(Page.Resized)
    def _show(self) -> None:
        page = self.query_one(Page)
        page.show(self._lines(page.size.width - 2, page.size.height))
        room = self.query_one("#left").size.width - KEYS_BESIDE
        self.query_one("#book", Key).label(_("F8  Book {plan}", plan=what_is_booked(self._plan, room)))
        self.refresh_bindings()

    def _lines(self, width: int, height: int) -> Sequence[Line]:
        from tui.bench.mix_page import MixPage

        mixes, drops = self.query_one(OpenMixes), self.books.drops_milli if self.books else 20_000
        layout = MixPage(width, height >= TALL, inks(self.app), drops)
        if mixes.has_focus and self._open_mix is not None and mixes.item is not None:
            return layout.of_mix(self._open_mix)
        typed = self._unread is not None and bool(
            self.query_one(MixForm).field(self._unread.field).text.strip()
        )
        return layout.of_wish(
            self._plan, self._advice, self._unread, typed=typed, queue=self.books.queue if self.books else ()
        )

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """None for an action that can't be done now (shown in brackets), False for one without anything to act on."""
        del parameters
        if action == "pour" and self.shell.scale is None:
            return False
        if action in ("book", "pour"):
            return True if self._plan is not None and not self._busy else None
        if action == "next":
            return bool(self.books is not None and self.books.queue)
        if action == "jar":
            return self._advice is not None and bool(self._advice.jars)
        return True

    @on(MixForm.Finished)
    def _finished(self) -> None:
        self.query_one("#book").focus()

    @on(Key.Pressed)
    def _pressed(self, event: Key.Pressed) -> None:
        if event.key.id == "another":
            self.action_another()
        elif event.key.id == "book":
            self.action_book()

    def action_another(self) -> None:
        self.query_one(MixForm).another()

    def action_fields(self) -> None:
        """Back into the form."""
        self.query_one(MixForm).field("paint-0").input.focus()

    def action_clear(self) -> None:
        self.query_one(MixForm).show(TypedMix())
        self._keep()
        self.action_fields()

    def action_next(self) -> None:
        """Fill in the next mix that a job needs; pressed again, the one after it."""
        wishes = [queued_mix(each) for each in self.books.queue] if self.books else []
        if wishes:
            now = self.query_one(MixForm).typed_mix
            self.fill(wishes[(wishes.index(now) + 1 if now in wishes else 0) % len(wishes)])

    def action_scroll(self, way: int) -> None:
        page = self.query_one(Page)
        page.scroll_relative(y=way * max(1, page.size.height - 2), animate=False)

    def action_jar(self) -> None:
        """Fill in the jar of leftovers of this colour; pressed again, the next jar."""
        self.query_one(MixForm).next_jar(self._advice.jars)

    def action_area(self) -> None:
        """Ask for an area, and fill the amounts into the form."""
        self.query_one(MixForm).ask_area()

    def action_book(self) -> None:
        """Book what the page shows; a stopped mix asks for the names of its cautions first."""
        if self._plan is None or self._draft is None or not self._as_shown():
            return
        stops = self._plan.stops()
        if stops:
            from tui.dialogs.accepting import Accept

            self.app.push_screen(Accept(stops), self._accepted)
        else:
            self._book_it(())

    def action_pour(self) -> None:
        """Pour what the page shows by weight, part after part."""
        if self._plan is not None and self._as_shown():
            self.query_one(MixForm).pour_by_weight(self._plan.request, self._poured)

    def _poured(self, said: str | None) -> None:
        if said and self._draft is not None:
            self._draft.booked()
            self.query_one(MixForm).show(TypedMix())
            self._by_weight = True
            self._done(said)
            self.query_one(OpenMixes).focus()

    def _accepted(self, codes: tuple[str, ...] | None) -> None:
        if codes and self._as_shown():
            self._book_it(codes)

    def _as_shown(self) -> bool:
        """Whether the page shows what the fields say; what was typed just now is not booked before it was shown."""
        if self._busy:
            return False
        shown = self._plan is not None and self._wish == self.query_one(MixForm).typed_mix
        if not shown:
            self.notice(_("Nothing was booked: the page lags behind. Look at it, and press the key again."))
        return shown

    def _book_it(self, codes: tuple[str, ...]) -> None:
        if self._draft is None:
            return
        self._busy = True
        self.notice("")
        self._book(self._plan.request, codes, self._draft.request)

    @work(thread=True, group="booking", exit_on_error=False)
    def _book(self, request: Any, codes: tuple[str, ...], key: str) -> None:
        from stock.bench.mixing import book_mix
        from stock.store.connection import connection

        with connection():
            answer = book_mix(request, accept=codes, key=key)
        self.post_message(Booked(answer))

    @on(Booked)
    def _booked(self, message: Booked) -> None:
        message.stop()
        answer = message.answer
        self._busy = False
        if self._draft is not None:
            self._draft.booked()
        self.query_one(MixForm).show(TypedMix())
        took = ", ".join(f"{pour['product']} {ml_of(pour['volume_ml'])} ml" for pour in answer["pours"])
        self.shell.announce(_("Mix {mix} is booked: {took}", mix=answer["mix"], took=took))
        self._newest = answer["mix"]
        self.reload()
        self.query_one(OpenMixes).focus()

    @on(Worker.StateChanged)
    def _let_go(self, event: Worker.StateChanged) -> None:
        if event.worker.group == "booking" and event.state == WorkerState.ERROR:
            self._busy = False
            self._work_out()

    def action_wash(self) -> None:
        from tui.dialogs.washing import WashOut

        self.app.push_screen(WashOut(self.query_one(OpenMixes).to_wash), self._done)

    def _done(self, text: str | None) -> None:
        if text:
            self.app.clear_notifications()
            self.shell.announce(text)
        if text is not None:
            self.reload()

    @on(OpenMixes.Done)
    def _mix_done(self, message: OpenMixes.Done) -> None:
        message.stop()
        self._done(message.text)

    @on(OpenMixes.Refused)
    def _mix_refused(self, message: OpenMixes.Refused) -> None:
        message.stop()
        self.notice(message.text)
