"""Dialogs that add to an open mix: a step of reducer, a tint or more paint, and paint that brings it back."""

from collections.abc import Callable, Sequence
from typing import Any, ClassVar

from textual import on, work
from textual.app import ComposeResult
from textual.widgets import Static

from stock.errors import UllageError
from stock.grammar import in_full
from stock.language import _
from tui.bench.form import REDUCTIONS
from tui.dialogs.accepting import StoppableDialog, StopsFound
from tui.drawing.figures import ml, ml_of
from tui.drawing.mix import other_measures
from tui.drawing.sentences import by_keys, sentence_for
from tui.widgets.books_screen import words
from tui.widgets.dialog import BookingDialog
from tui.widgets.field_readers import volume
from tui.widgets.fields import Field
from tui.widgets.name_field import NameField
from tui.widgets.suggestions import AMOUNTS

STEPS = ("2%", "2.5%", "5%", "10%", "15%", "20%", "1 drop", "2 drops", "5 drops", "0.1 ml")
TINTS = ("1 drop", "2 drops", "5 drops", "0.1 ml", "0.5 ml", "1 ml", "2 ml")


def _percent(text: str) -> Any:
    from stock.units import reduction

    return reduction(text)


def _share_or_amount(text: str) -> str:
    """A text that says how much reducer, as it was typed: how large a drop is depends on the reducer."""
    from stock.bench.amounts import is_share

    if is_share(text):
        _percent(text)
        return text
    return _amount(text)


def _amount(text: str) -> str:
    """The text of an amount, if it can be read: how much a drop or a gram is depends on the product."""
    from stock.bench.amounts import is_weight, readings

    if is_weight(text):
        readings(text)
    else:
        volume(text)
    return text


def said(answer: Any) -> str:
    """What a booked step added, and the reduction after it."""
    added = ", ".join(
        f"{ml_of(each['volume_ml'])} ml {each['product']}"
        + (f" ({in_full(each['mass_g'], 2)} g)" if each["mass_g"] is not None else "")
        for each in answer["added"]
    )
    percent = in_full(answer["reduction"]["percent_of_paint"], 1)
    return _(
        "Mix {mix}: {added} more, now {percent} % of the paint",
        mix=answer["mix"],
        added=added,
        percent=percent,
    )


class AddingDialog(StoppableDialog):
    """What both kinds of step share: the plan of what is typed, beneath the fields, and its booking."""

    GO: ClassVar[str] = _("Add it")

    def __init__(self, mix: Any) -> None:
        super().__init__()
        self._mix = mix

    def texts(self) -> dict[str, Any]:
        """What is typed, as `step_requests.read` takes it."""
        raise NotImplementedError

    def names(self) -> dict[str, Sequence[str]]:
        """The names to offer, by the field; called in a thread with the connection open."""
        raise NotImplementedError

    def on_mount(self) -> None:
        """Read the names and work out what is filled in."""
        super().on_mount()
        self.run_worker(self._learn, thread=True, group="known", exit_on_error=False)
        self.look()

    def _learn(self) -> None:
        from stock.store.connection import connection

        with connection():
            found = self.names()
        self.app.call_from_thread(self._offer, found)

    def _offer(self, found: dict[str, Sequence[str]]) -> None:
        for field, names in found.items():
            self.query_one(f"#{field}", NameField).offer(names)

    @on(Field.Changed)
    def _typed(self, event: Field.Changed) -> None:
        event.stop()
        self.accepted = ()
        self.look()

    def look(self) -> None:
        """Show what the typed step will do."""
        self._plan(self.texts())

    @work(thread=True, exclusive=True, group="advice", exit_on_error=False)
    def _plan(self, texts: dict[str, Any]) -> None:
        from stock.bench import step_requests, steps
        from stock.store.connection import connection

        try:
            with connection():
                plan = steps.plan_step(self._mix.id, step_requests.read(self._mix.id, **texts))
        except UllageError as error:
            self.app.call_from_thread(self._will, sentence_for(error))
            return
        self.app.call_from_thread(self.planned, plan)

    def planned(self, plan: Any) -> None:
        taken = ", ".join(
            _(
                "{volume_ul} ml {pour}{product} from bottle {bottle}",
                volume_ul=ml(pour.volume_ul),
                pour=other_measures(pour),
                product=pour.product,
                bottle=pour.bottle,
            )
            for pour in plan.pours
        )
        lines = [
            _(
                "Adds {taken}; then {reduction}, {total_ul} ml in the cup.",
                taken=taken,
                reduction=plan.reduction,
                total_ul=ml(plan.after.total_ul),
            )
        ]
        lines += [f"! {one.message}. {by_keys(one.remedy)}. [{one.source}]" for one in plan.cautions]
        self._will("\n".join(lines))

    def _will(self, text: str) -> None:
        if self.is_mounted:
            self.query_one("#will", Static).update(words(text))

    def errand(self) -> Callable[[], str]:
        """Book the step, unless a stop about it was not accepted."""
        from stock.bench import step_requests, steps

        for field in self.query(Field):
            self.read(str(field.id))
        texts, number, key, accepted = self.texts(), self._mix.id, self.request, self.accepted

        def book() -> str:
            asked = step_requests.read(number, **texts)
            stops = [] if accepted else steps.plan_step(number, asked).stops()
            if stops:
                raise StopsFound(stops)
            return said(steps.book_step(number, asked, accept=accepted, key=key))

        return book

    def text_of(self, field: str) -> str | None:
        """What stands in a field, or None while it is empty."""
        return self.query_one(f"#{field}", Field).meant.strip() or None


class AddStep(AddingDialog):
    """Adds reducer to an open mix: the same as before, another one or a blend."""

    def head(self) -> str:
        return _("A step for mix {id}", id=self._mix.id)

    def fields(self) -> ComposeResult:
        """How much to add; the advised step is filled in."""
        yield Static(
            words(
                _(
                    "{words}: now {reduction}.",
                    words=self._mix.words,
                    reduction=self._mix.reduction or _("without paint"),
                )
            )
        )
        yield Field(
            _("Add"),
            read=_share_or_amount,
            example=_("5%, 2 drops or 0.1 ml"),
            offers=STEPS,
            id="points",
            hint=_("Per cent of the paint, drops, millilitres, or grams."),
        )
        yield NameField(
            _("Reducer"), blank=True, example=_("the same"), id="reducer", hint=_("A blend is A:B=1:1.")
        )
        yield Field(
            _("Left of it"),
            read=volume,
            unit="ml",
            blank=True,
            example=_("all of it"),
            offers=AMOUNTS,
            id="left",
        )
        yield Static(id="will")

    def names(self) -> dict[str, Sequence[str]]:
        from stock.shelf import products

        return {"reducer": [row.name for row in products.everything() if row.role == "reducer"]}

    def texts(self) -> dict[str, Any]:
        """The amount, the reducer, and what is left."""
        return {
            "how_much": self.text_of("points"),
            "reducer": self.text_of("reducer"),
            "left": self.text_of("left"),
        }

    def planned(self, plan: Any) -> None:
        """Fill in the advised step at first, and show the plan."""
        from stock.units import plain_figure

        field = self.query_one("#points", Field)
        if not field.text and plan.points is not None:
            field.text = f"{plain_figure(plan.points)}%"
        super().planned(plan)


class Tint(AddingDialog):
    """Adds a colour, an additive, or more of its own paint to an open mix."""

    def head(self) -> str:
        return _("Tint mix {id}, or make more of it", id=self._mix.id)

    def fields(self) -> ComposeResult:
        """What to add, how much of it, and the reducer that goes with it."""
        yield Static(
            words(
                _(
                    "{words}: now {reduction}.",
                    words=self._mix.words,
                    reduction=self._mix.reduction or _("without paint"),
                )
            )
        )
        yield NameField(
            _("Colour"), example=_("a few letters"), id="colour", hint=_("Or an additive, or its own paint.")
        )
        yield Field(
            _("Amount"), read=_amount, example=_("2 drops, 0.5 ml or 0.5 g"), offers=TINTS, id="amount"
        )
        yield Field(
            _("Reducer"), read=_share_or_amount, blank=True, example=_("none"), offers=STEPS, id="points",
            hint=_("Reducer added with it: per cent of the paint, drops, millilitres, or grams."),
        )  # fmt: skip
        yield Field(
            _("Left of it"),
            read=volume,
            unit="ml",
            blank=True,
            example=_("all of it"),
            offers=AMOUNTS,
            id="left",
        )
        yield Static(id="will")

    def names(self) -> dict[str, Sequence[str]]:
        """The mix's own paints, then all others and the additives."""
        from stock.shelf import products

        own = [pour.product for pour in self._mix.pours if pour.part == "paint"]
        others = [row.name for row in products.everything() if row.role not in ("reducer", "cleaner")]
        return {"colour": list(dict.fromkeys([*own, *others]))}

    def texts(self) -> dict[str, Any]:
        """The product with its amount, the reducer, and what is left."""
        colour, amount = self.text_of("colour"), self.text_of("amount")
        return {
            "how_much": self.text_of("points"),
            "parts": [f"{colour}={amount}"] if colour and amount else [],
            "left": self.text_of("left"),
        }

    def look(self) -> None:
        """Show nothing before a colour and an amount are typed."""
        if self.texts()["parts"]:
            super().look()
        else:
            self.query_one("#will", Static).update("")


class BringBack(BookingDialog[str]):
    """Adds paint to a mix that is too thin."""

    HEAD: ClassVar[str] = _("Too thin")
    GO: ClassVar[str] = _("Add the paint")

    def __init__(self, mix: Any) -> None:
        super().__init__()
        self._mix = mix

    def head(self) -> str:
        return _("Mix {id} is too thin", id=self._mix.id)

    def fields(self) -> ComposeResult:
        """The reduction to go back to; that before the last step is filled in."""
        stages = [stage.reduction for stage in self._mix.stages if stage.reduction is not None]
        before = f"{in_full(stages[-2].percent_of_paint, 1)}%" if len(stages) > 1 else ""
        yield Static(
            words(
                _(
                    "{words}: now {reduction}.",
                    words=self._mix.words,
                    reduction=self._mix.reduction or _("without paint"),
                )
            )
        )
        yield Field(_("Back to"), read=_percent, value=before, example="20%", offers=REDUCTIONS, id="target")
        yield Static(id="will")

    def on_mount(self) -> None:
        """Show what the filled in target needs."""
        self._typed()

    @on(Field.Changed)
    def _typed(self) -> None:
        field = self.query_one("#target", Field)
        if not field.text.strip():
            return
        try:
            target = field.read()
        except UllageError:
            return
        self._plan(target)

    @work(thread=True, exclusive=True, group="advice", exit_on_error=False)
    def _plan(self, target: Any) -> None:
        from stock.bench.reduction import Reduction
        from stock.bench.steps import plan_back
        from stock.store.connection import connection

        try:
            with connection():
                plan = plan_back(self._mix.id, Reduction(target))
        except UllageError as error:
            text = sentence_for(error)
        else:
            taken = ", ".join(
                _(
                    "{volume_ul} ml {product} from bottle {bottle}",
                    volume_ul=ml(pour.volume_ul),
                    product=pour.product,
                    bottle=pour.bottle,
                )
                for pour in plan.pours
            )
            text = _(
                "Adds {taken}; then {reduction}, {total_ul} ml in the cup.",
                taken=taken,
                reduction=plan.reduction,
                total_ul=ml(plan.after.total_ul),
            )
        self.app.call_from_thread(self.query_one("#will", Static).update, words(text))

    def errand(self) -> Callable[[], str]:
        from stock.bench.reduction import Reduction
        from stock.bench.steps import book_back

        target, key, number = self.read("target"), self.request, self._mix.id

        def book() -> str:
            return said(book_back(number, Reduction(target), key=key))

        return book
