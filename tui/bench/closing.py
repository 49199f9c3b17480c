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

        points = plan.after.percent_of_paint - self._mix.reduction.percent_of_paint
        field = self.query_one("#points", Field)
        if not field.text:
            field.text = f"{plain_figure(points, 1)}%"
        taken = ", ".join(f"{ml(pour.volume_ul)} ml from bottle {pour.bottle}" for pour in plan.pours)
        self.query_one("#will", Static).update(words(f"Advised: {taken}; then {plan.after}."))

    def errand(self) -> Callable[[], str]:
        """Book the step."""
        from stock.bench.steps import book_step  # noqa: PLC0415

        points, left, key = self.read("points"), self.read("left"), self.request
        number = self._mix.id

        def book() -> str:
            answer = book_step(number, points, left_ul=left, key=key)
            return f"Mix {number}: {answer['added_ml']:g} ml more, {answer['reduction']['percent_of_paint']:g} % of the paint"

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
