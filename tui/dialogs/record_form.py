"""The base of records' forms: the first fields, and groups of fields that open one at a time."""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any, ClassVar

from textual import events, on
from textual.app import ComposeResult
from textual.containers import Vertical, VerticalScroll
from textual.content import Content
from textual.message import Message
from textual.screen import Screen
from textual.widget import Widget

from stock.language import _
from tui.widgets.dialog import BookingDialog, Misread
from tui.widgets.drafts import Content as DraftContent
from tui.widgets.fields import Field

Learn = Callable[[], Any]
Make = Callable[[Any], BookingDialog[Any]]
Opening = tuple[Learn, Make]
"""What a form reads first, in a thread with the connection open, and what makes the form from it."""
UNKNOWN = "?"
"""The value of `at` that stands for the first field that the cautions miss."""


class GroupHead(Widget, can_focus=True):
    """The heading of a group of fields; Enter, a blank or a click opens and closes the group."""

    class Pressed(Message):
        """The heading was pressed."""

        def __init__(self, head: "GroupHead") -> None:
            super().__init__()
            self.head = head

    def __init__(self, title: str) -> None:
        super().__init__()
        self.title = title
        self.note = ""

    def render(self) -> Content:
        """The group's name, whether it is open, and how many of its fields are noted."""
        group = self.parent
        mark = "▾" if isinstance(group, Group) and group.opened else "▸"
        note = "" if self.has_focus else "not bold $quiet"
        return Content.assemble(f"{mark} {self.title}", (f"   {self.note}", note))

    def on_mouse_down(self) -> None:
        self.post_message(self.Pressed(self))

    def on_key(self, event: events.Key) -> None:
        if event.key in ("enter", "space"):
            event.stop()
            self.post_message(self.Pressed(self))


class Group(Vertical):
    """Fields that belong together, hidden until the group is opened.

    They are mounted when it is opened first: a product has 36 of them in five groups, and most visits to its form
    open one or none.
    """

    def __init__(self, title: str, members: Sequence[Field]) -> None:
        super().__init__()
        self._title = title
        self.members = tuple(members)
        self.opened = False

    def compose(self) -> ComposeResult:
        yield GroupHead(self._title)

    def on_mount(self) -> None:
        self._count()

    async def open(self, opened: bool) -> None:
        """Show the fields, or hide them and show how many are noted."""
        self.opened = opened
        if opened and not self.members[0].is_attached:
            await self.mount(Vertical(*self.members, classes="fields"))
        self.query(".fields").set(display=opened)
        self._count()

    def _count(self) -> None:
        noted = sum(bool(field.text.strip()) for field in self.members)
        head = self.query_one(GroupHead)
        head.note = (
            "" if self.opened else _("{noted} of {fields} noted", noted=noted, fields=len(self.members))
        )
        head.refresh(layout=True)

    def without(self, ids: Sequence[str]) -> "Group":
        """The same group without some of its fields, before it is shown."""
        return Group(self._title, [field for field in self.members if field.id not in ids])


class RecordForm(BookingDialog[Any]):
    """A form that adds or corrects one record. Only texts that were changed are passed to the books.

    Args:
        before: the texts of the fields by their ids; None for a new record.
        at: the id of the field that gets the focus; `UNKNOWN` stands for the first one that is missed.
        missed: ids of the fields that the cautions miss.
    """

    CSS_PATH = Path(__file__).with_name("record_form.tcss")  # whole: forms of other folders take it over
    GO: ClassVar[str] = _("Add it")

    def __init__(
        self, before: Mapping[str, str] | None = None, *, at: str = "", missed: Iterable[str] = ()
    ) -> None:
        super().__init__()
        self.fresh = before is None
        self.before = dict(before or {})
        self._at = at if at != UNKNOWN else next(iter(missed), "")
        self._groups: Sequence[Group] = ()
        self._fields: Sequence[Field] = ()

    def go_word(self) -> str:
        return self.GO if self.fresh else _("Correct it")

    def first(self) -> Iterable[Widget]:
        """The fields above the groups."""
        raise NotImplementedError

    def groups(self) -> Iterable[Group]:
        """The groups of other fields."""
        return ()

    def fields(self) -> ComposeResult:
        first, self._groups = list(self.first()), list(self.groups())
        grouped = [field for group in self._groups for field in group.members]
        self._fields = [*(one for one in first if isinstance(one, Field)), *grouped]
        yield from first
        yield from self._groups

    def every_field(self) -> Sequence[Field]:
        """All fields in their order, also those of groups that were not opened yet."""
        return self._fields

    def field_named(self, name: str) -> Field:
        return next(field for field in self._fields if field.id == name)

    def field(self, name: str, label: str, **more: Any) -> Field:
        """A field with its text of now; it may be blank unless `more` says otherwise."""
        return Field(
            label, value=self.before.get(name, more.pop("value", "")), id=name, **{"blank": True, **more}
        )

    def on_mount(self) -> None:
        """Focus the field that was asked for."""
        if self._at:
            self.go_to(self.field_named(self._at))

    def go_to(self, field: Field) -> None:
        """Open the group of a field, and focus the field."""
        self.call_later(self._go_to, field)

    async def _go_to(self, field: Field) -> None:
        group = next((group for group in self._groups if field in group.members), None)
        if group is not None:
            await self.only(group)
        field.input.focus()

    async def only(self, wanted: Group | None) -> None:
        """Open one group and close the others; None closes all."""
        for group in self._groups:
            await group.open(group is wanted)

    @on(GroupHead.Pressed)
    async def _turned(self, message: GroupHead.Pressed) -> None:
        message.stop()
        group = message.head.parent
        assert isinstance(group, Group)
        await self.only(None if group.opened else group)
        if group.opened:
            group.members[0].input.focus()
            self.call_after_refresh(
                self.query_one("#sheet", VerticalScroll).scroll_to_widget, group, animate=False
            )

    def take_draft(self, content: DraftContent) -> None:
        """Put a draft into the fields, and open the group of the first one that it fills."""
        super().take_draft(content)
        filled = next((field for field in self.every_field() if field.touched and field.text), None)
        if filled is not None:
            self.go_to(filled)

    @contextmanager
    def reading(self, field: Field) -> Iterator[None]:
        """Show a refusal inside the block beneath the field, and open the field's group."""
        try:
            with super().reading(field):
                yield
        except Misread:
            self.go_to(field)
            raise

    def typed(self) -> dict[str, str]:
        """The texts that were changed, by their fields' ids, after all fields were read.

        Raises:
            Misread: a field can't be read, or nothing was changed.
        """
        from stock.errors import BooksUnreachable
        from stock.store.connection import connection

        try:
            with connection():  # one for all fields, since their readers look into the books
                for field in self.every_field():
                    with self.reading(field):
                        field.read()
        except BooksUnreachable as error:
            self.refused(error)
            self.stay()
        texts = {str(field.id): field.text.strip() for field in self.every_field()}
        changed = {name: text for name, text in texts.items() if text != self.before.get(name, "")}
        if not changed:
            self.refuse(_("No field was changed, so nothing was booked."))
            self.stay()
        return changed


def ask(room: Screen[Any], opening: Opening, done: Callable[[Any], None]) -> None:
    """Read what a form needs, in a thread, and open the form over a screen."""
    learn, make = opening

    def read() -> None:
        from stock.store.connection import connection

        with connection():
            learned = learn()

        def show() -> None:
            room.app.push_screen(make(learned), done)

        room.app.call_from_thread(show)

    room.run_worker(read, thread=True, exclusive=True, group="form", exit_on_error=False)


def nothing() -> None:
    """The reading of a form that needs nothing from the books."""
