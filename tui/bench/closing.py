"""What follows a mix: a step of reducer, its close with an outcome, a wash-out."""

from collections.abc import Callable
from typing import Any, ClassVar

from textual.app import ComposeResult
from textual.widgets import Static

from tui.shelf.errands import volume
from tui.widgets.errand import Errand
from tui.widgets.fields import Field
from tui.widgets.room import words
from tui.widgets.say import ml


def _percent(text: str) -> Any:
    from stock.units import reduction  # noqa: PLC0415

    return reduction(text)


class AddStep(Errand[str]):
    """More of the same reducer into an open mix."""

    HEAD: ClassVar[str] = "A step of reducer"
    GO: ClassVar[str] = "Add it"

    def __init__(self, mix: Any) -> None:
        super().__init__()
        self._mix = mix

    def head(self) -> str:
        """Which mix."""
        return f"A step for mix {self._mix.id}"

    def fields(self) -> ComposeResult:
        """How much; the advised step stands in the field."""
        yield Static(words(f"{self._mix.words}: now {self._mix.reduction or 'without paint'}."))
        yield Field("Add", read=_percent, example="5%", id="points", hint="Per cent of the paint.")
        yield Field("Left of it", read=volume, blank=True, example="all of it", id="left")
        yield Static(id="will")

    def on_mount(self) -> None:
        """Work the advised step out."""
        self.run_worker(self._advise, thread=True, group="advice", exit_on_error=False)

    def _advise(self) -> None:
        from stock.bench.steps import plan_step  # noqa: PLC0415
        from stock.store.connection import connection  # noqa: PLC0415

        with connection():
            plan = plan_step(self._mix.id)
        self.app.call_from_thread(self._advised, plan)

    def _advised(self, plan: Any) -> None:
        from stock.units import plain_figure  # noqa: PLC0415

        points = plan.reduction.percent_of_paint - self._mix.reduction.percent_of_paint
        field = self.query_one("#points", Field)
        if not field.text:
            field.text = f"{plain_figure(points, 1)}%"
        taken = ", ".join(f"{ml(pour.volume_ul)} ml from bottle {pour.bottle}" for pour in plan.pours)
        self.query_one("#will", Static).update(words(f"Advised: {taken}; then {plan.reduction}."))

    def errand(self) -> Callable[[], str]:
        """Book the step."""
        from stock.bench.steps import book_step  # noqa: PLC0415

        points, left, key = self.read("points"), self.read("left"), self.request
        number = self._mix.id

        def book() -> str:
            answer = book_step(number, points, left_ul=left, key=key)
            percent = answer["reduction"]["percent_of_paint"]
            return f"Mix {number}: {answer['added_ml']:g} ml more, {percent:g} % of the paint"

        return book


class WashOut(Errand[str]):
    """Cleaner used."""

    HEAD: ClassVar[str] = "A wash-out"

    def __init__(self, mix: int | None) -> None:
        super().__init__()
        self._mix = mix

    def fields(self) -> ComposeResult:
        """With what, and how much."""
        yield Field("Cleaner", example="a few letters", id="cleaner")
        yield Field("Amount", read=volume, example="15 ml", id="amount")

    def on_mount(self) -> None:
        """The studio's cleaner stands in the field."""
        self.run_worker(self._learn, thread=True, group="known", exit_on_error=False)

    def _learn(self) -> None:
        from stock.bench.washing import washable  # noqa: PLC0415

        cleaners = [row.name for row in washable() if row.role == "cleaner"]
        self.app.call_from_thread(self._learned, cleaners)

    def _learned(self, cleaners: list[str]) -> None:
        field = self.query_one("#cleaner", Field)
        if cleaners and not field.text:
            field.text = cleaners[0]
            field.hint(", ".join(cleaners[:4]))
            self.query_one("#amount", Field).input.focus()

    def errand(self) -> Callable[[], str]:
        """Book the wash."""
        from stock.bench.washing import wash  # noqa: PLC0415

        cleaner, amount, key, mix = self.read("cleaner"), self.read("amount"), self.request, self._mix

        def book() -> str:
            answer = wash(cleaner, amount, mix=mix, key=key)
            return f"Washed with {answer['volume_ml']:g} ml of {answer['product']}"

        return book


OUTCOMES = ("good", "thick", "thin", "ruined")


def _outcome(text: str) -> str:
    from stock.errors import BadInput  # noqa: PLC0415

    word = text.strip().lower()
    fitting = [one for one in OUTCOMES if word and one.startswith(word)]
    if len(fitting) != 1:
        raise BadInput(f"{text[:20]!r} is no outcome", remedy=f"Write one of {', '.join(OUTCOMES)}")
    return fitting[0]


def _kept(text: str) -> bool:
    from stock.errors import BadInput  # noqa: PLC0415

    word = text.strip().lower()
    if not word or not ("keep".startswith(word) or "throw".startswith(word)):
        raise BadInput(f"{text[:20]!r} is neither", remedy="Write keep or throw")
    return "keep".startswith(word)


class CloseMix(Errand[str]):
    """How a mix sprayed, and what became of the rest."""

    HEAD: ClassVar[str] = "Close a mix"
    GO: ClassVar[str] = "Close it"

    def __init__(self, mix: Any) -> None:
        super().__init__()
        self._mix = mix

    def head(self) -> str:
        """Which mix."""
        return f"How did mix {self._mix.id} spray?"

    def fields(self) -> ComposeResult:
        """Outcome, rest, settings."""
        yield Static(words(f"{self._mix.words}: {self._mix.reduction or 'no paint'}."))
        yield Field("Outcome", read=_outcome, value="good", id="outcome", hint=", ".join(OUTCOMES))
        yield Field("Left over", read=volume, blank=True, example="nothing", id="left")
        yield Field("Keep it", read=_kept, value="throw", id="keep", hint="keep: in a labelled jar; or throw")
        yield Field("Needle", read=_needle, blank=True, example="as mixed", id="needle")
        yield Field("Pressure", read=_pressure, blank=True, example="1.5 bar", id="pressure")
        yield Field("Words", blank=True, example="what to know next time", id="note")

    def errand(self) -> Callable[[], str]:
        """Book the close."""
        from stock.bench.closing import Ending, close  # noqa: PLC0415

        left, keep = self.read("left") or 0, self.read("keep")
        ending = Ending(
            outcome=self.read("outcome"), left_ul=left, keep=keep and left > 0, needle_um=self.read("needle"),
            pressure_pa=self.read("pressure"), note=self.read("note") or "",
        )  # fmt: skip
        number, key = self._mix.id, self.request

        def book() -> str:
            answer = close(number, ending, key=key)
            kept = answer["kept"]
            rest = f"; {kept['on_hand_ml']:g} ml kept in jar {kept['label']}" if kept else ""
            return f"Mix {number} is closed: {answer['outcome']}{rest}"

        return book


def _needle(text: str) -> int:
    from stock.units import needle  # noqa: PLC0415

    return needle(text)


def _pressure(text: str) -> int:
    from stock.units import pressure  # noqa: PLC0415

    return pressure(text)
