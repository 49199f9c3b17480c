"""The Bench's form: which paints, how much, how thin, through which needle."""

from collections.abc import Callable, Sequence

from textual import on
from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.message import Message
from textual.widgets import Input

from tui.bench.wish import OTHERS, Wish
from tui.widgets.fields import Field
from tui.widgets.say import ml

MOST_PARTS = 6
UNTHINNED = "20%, 5:1 or 2 ml"


class Form(VerticalScroll, can_focus=False):
    """Fields that say what is to be mixed; Enter goes to the next one, and from the last to the key."""

    class Changed(Message):
        """Something else is wished for."""

        def can_replace(self, message: Message) -> bool:
            """Only the newest wish matters."""
            return isinstance(message, Form.Changed)

    class Finished(Message):
        """Enter in the last field."""

    def __init__(self, *, id: str | None = None) -> None:  # noqa: A002
        super().__init__(id=id)
        self._shown = 1
        self._paints: Sequence[str] = ()
        self._reducers: Sequence[str] = ()
        self._advised = ""

    def compose(self) -> ComposeResult:
        """As many paints as a mix may have here, all but the first put away."""
        for number in range(MOST_PARTS):
            yield Field(
                "Paint" if number == 0 else f"Paint {number + 1}",
                example="a few letters",
                id=f"paint-{number}",
            )
            yield Field("Amount", example="8 ml", id=f"amount-{number}")
        yield Field("Needle", example="0.35", id="needle")
        yield Field("Reduction", example=UNTHINNED, id="reduce")
        yield Field("Reducer", example="its usual one", id="reducer")
        yield Field("In all", example="as above", id="total")
        yield Field("Job", example="none", id="job")
        yield Field("Bottles", example="the Shelf's choice", id="bottles")

    def on_mount(self) -> None:
        """Only the first paint."""
        self._arrange()

    def _arrange(self) -> None:
        for number in range(MOST_PARTS):
            for part in ("paint", "amount"):
                self.query_one(f"#{part}-{number}").display = number < self._shown

    def know(self, paints: Sequence[str], reducers: Sequence[str]) -> None:
        """The names that letters are matched with."""
        self._paints, self._reducers = paints, reducers

    def advise(self, start: str) -> None:
        """Offer a start in the empty Reduction field, which Enter takes; empty takes the offer back."""
        self._advised = start
        self.field("reduce").input.placeholder = f"Enter takes {start}" if start else UNTHINNED

    def another(self) -> None:
        """A field for one more paint."""
        self._shown = min(MOST_PARTS, self._shown + 1)
        self._arrange()
        self.field(f"paint-{self._shown - 1}").input.focus()

    def field(self, name: str) -> Field:
        """A field by its name."""
        return self.query_one(f"#{name}", Field)

    @property
    def wish(self) -> Wish:
        """What is typed."""
        return Wish(
            parts=tuple(
                (self.field(f"paint-{number}").text, self.field(f"amount-{number}").text)
                for number in range(self._shown)
            ),
            **{name: self.field(name).text for name in OTHERS},
        )

    def show(self, wish: Wish) -> None:
        """Put a wish into the fields."""
        self._shown = max(1, min(MOST_PARTS, len(wish.parts)))
        self._arrange()
        for number in range(MOST_PARTS):
            name, amount = wish.parts[number] if number < len(wish.parts) else ("", "")
            self.field(f"paint-{number}").text = name
            self.field(f"amount-{number}").text = amount
        for name in OTHERS:
            self.field(name).text = getattr(wish, name)

    def _names(self, field: Field) -> Sequence[str] | None:
        if field.id and field.id.startswith("paint-"):
            return self._paints
        return self._reducers if field.id == "reducer" else None

    def _fitting(self, field: Field) -> list[str]:
        letters = field.text.casefold().split()
        names = self._names(field)
        if not letters or names is None:
            return []
        fitting = [name for name in names if all(part in name.casefold() for part in letters)]
        return sorted(fitting, key=lambda name: not name.casefold().startswith(letters[0]))

    @on(Field.Changed)
    def _typed(self, event: Field.Changed) -> None:
        event.stop()
        field = event.field
        fitting = self._fitting(field)
        done = field.text in fitting
        if self._names(field) is not None:
            more = f" +{len(fitting) - 3}" if len(fitting) > 3 else ""
            field.hint("" if done or not fitting else "↵ " + ", ".join(fitting[:3]) + more)
        self.post_message(self.Changed())

    @on(Input.Submitted)
    def _entered(self, event: Input.Submitted) -> None:
        event.stop()
        shown = [field for field in self.query(Field) if field.display]
        at = next(number for number, field in enumerate(shown) if field.input is event.input)
        fitting = self._fitting(shown[at])
        if fitting and shown[at].text not in fitting:
            shown[at].text = fitting[0]
        if shown[at].id == "reduce" and not shown[at].text.strip():
            shown[at].text = self._advised
        if at + 1 < len(shown):
            shown[at + 1].input.focus()
        else:
            self.post_message(self.Finished())


def wish_of(parts: Sequence[tuple[str, int]], *, more: Callable[[str], str]) -> Wish:
    """A wish with these parts in microlitres; `more` gives the text of each other field."""
    return Wish(
        parts=tuple((name, f"{ml_exact(volume)} ml") for name, volume in parts),
        **{name: more(name) for name in OTHERS},
    )


def ml_exact(volume_ul: int) -> str:
    """Millilitres to the microlitre, so that what is read back is what was meant."""
    return f"{volume_ul / 1000:.3f}".rstrip("0").rstrip(".") or ml(volume_ul)
