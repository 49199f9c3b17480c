"""Dialogs about one bottle: open, move, decant, discard, what is noted of it, frozen."""

from collections.abc import Callable, Sequence
from datetime import date
from typing import Any, ClassVar

from textual.app import ComposeResult
from textual.widgets import Static

from stock.language import _
from tui.drawing.boards import MarkedBottle
from tui.drawing.figures import ml, ml_of
from tui.widgets.books_screen import words
from tui.widgets.dialog import Ask, BookingDialog
from tui.widgets.field_readers import volume
from tui.widgets.fields import Field, such_as
from tui.widgets.suggestions import AMOUNTS


class OfBottle(BookingDialog[str]):
    """A dialog about one bottle."""

    WORD: ClassVar[str] = ""

    def __init__(self, one: MarkedBottle) -> None:
        super().__init__()
        self.one = one

    @property
    def bottle(self) -> str:
        """Its number, as text."""
        return str(self.one.view.id)

    def head(self) -> str:
        """The errand, the product and the bottle."""
        return _(
            "{word} {product}, bottle {label}",
            word=self.WORD,
            product=self.one.view.product,
            label=self.one.view.label,
        )

    def holds(self) -> str:
        """A sentence that says what it holds by the books."""
        view = self.one.view
        return _(
            "The books say it holds {on_hand_ul} of {size_ul} ml.",
            on_hand_ul=ml(view.on_hand_ul),
            size_ul=ml(view.size_ul),
        )


class Opened(OfBottle):
    """Notes that a bottle was opened, today or on an earlier day."""

    WORD = _("Open")
    GO = _("It is open")

    def fields(self) -> ComposeResult:
        yield Static(
            words(_("Its opened life runs from that day. A mix that takes from it notes this by itself."))
        )
        yield Field(_("Opened on"), read=_past_day, value="today", offers=DAYS, id="day")

    def errand(self) -> Callable[[], str]:
        from stock import clock
        from stock.shelf.bottle_facts import note_days
        from stock.shelf.bottles import OPEN
        from stock.shelf.handling import open_bottle
        from stock.store.settings import settings

        day, bottle, key, view = self.read("day"), self.bottle, self.request, self.one.view

        def book() -> str:
            if view.state == OPEN:  # since a day that nobody had noted
                since = clock.day_of(day or clock.now(), settings().time_zone)
                note_days(bottle, {"opened_on": since})
            else:
                open_bottle(bottle, on=day, key=key)
            return _("{product}, bottle {label}, is open", product=view.product, label=view.label)

        return book


UNKNOWN = "unknown"
DAYS = ("today", "yesterday", *(f"-{days}d" for days in (2, 3, 4, 5, 6, 7, 14, 21, 28, 60, 90)))


def _day(text: str) -> date | None:
    """A day, or None where it is said that nobody knows it."""
    from stock.units import day
    from tui.opening import whose

    return None if text.strip().casefold() == UNKNOWN else day(text, whose()[1])


def _past_day(text: str) -> Any:
    """An instant on a day: now for today, noon for another day."""
    from stock import clock
    from stock.units import day, instant
    from tui.opening import whose

    _, today, zone = whose()
    return instant(day(text, today).isoformat(), zone, clock.now())


def freezing(one: MarkedBottle) -> Ask:
    """The question whether a bottle froze."""
    from stock.shelf.handling import freeze

    view = one.view
    return Ask(
        _("{product}, bottle {label}, froze", product=view.product, label=view.label),
        _("It is to be tested before use from now on; its sheet says whether it can be used at all."),
        go=_("It froze"),
        errand=lambda key: freeze(str(view.id), key=key),
        said=_("{product}, bottle {label}, froze", product=view.product, label=view.label),
    )


class NotedFacts(OfBottle):
    """Notes what a bottle's label says, since when it is open, what it is made of and whose it is."""

    WORD = _("What is noted of")
    GO = _("Note it")

    def noted(self) -> dict[str, str]:
        """What is noted now, by field; a day that nobody knows is empty."""
        view = self.one.view
        days = {} if view.left_of is not None else {"best_before": view.best_before, "made_on": view.made_on}
        if view.state == "open":
            days["opened_on"] = view.opened_on
        texts = {field: day.isoformat() if day is not None else "" for field, day in days.items()}
        return texts | {"container": view.container or UNKNOWN, "label": view.label, "owner": view.owner}

    def fields(self) -> ComposeResult:
        from stock.store.words import CONTAINERS

        noted = self.noted()
        for field, label, example in (
            ("best_before", _("Best before"), _("2027-03-01, if printed")),
            ("made_on", _("Made on"), _("2027-03-01, if printed")),
            ("opened_on", _("Open since"), _("a day that nobody knows")),
        ):
            if field in noted:
                yield Field(label, read=_day, value=noted[field], blank=True, example=example, id=field)
        yield Field(
            _("Made of"),
            value=noted["container"],
            offers=(*CONTAINERS, UNKNOWN),
            hint=_("How large it may be, and whether it may come into a spray room, goes by this."),
            id="container",
        )
        yield Field(_("Label"), value=noted["label"], id="label")
        yield Field(_("Belongs to"), value=noted["owner"], blank=True, example=_("the studio"), id="owner")

    def errand(self) -> Callable[[], str]:
        from stock.shelf import bottle_facts

        bottle, view, noted = self.bottle, self.one.view, self.noted()
        changed: Any = {
            field: self.read(field) for field, text in noted.items() if self.field_named(field).text != text
        }
        if not changed:
            self.refuse(_("Nothing is changed yet. Esc leaves."))
            self.stay()

        def note() -> str:
            bottle_facts.change(bottle, changed)
            return _("{product}, bottle {label}: noted", product=view.product, label=view.label)

        return note


class MoveBottle(OfBottle):
    """Moves a bottle to another place, which is made if it is new."""

    WORD = _("Move")

    def __init__(self, one: MarkedBottle, places: Sequence[str]) -> None:
        super().__init__(one)
        self._places = places

    def fields(self) -> ComposeResult:
        names = ", ".join(self._places) or _("none yet")
        yield Static(
            words(
                _(
                    "It stands in: {place}. Places: {known}.",
                    place=self.one.view.place or _("no place noted"),
                    known=names,
                )
            )
        )
        elsewhere = [place for place in self._places if place != self.one.view.place]
        yield Field(
            _("Put it in"), example=(elsewhere or [_("Steel cabinet")])[0], offers=elsewhere, id="place"
        )

    def errand(self) -> Callable[[], str]:
        from stock.shelf.handling import move_bottle
        from tui.dialogs.delivery import place_named

        place, bottle, key = self.read("place"), self.bottle, self.request

        def book() -> str:
            answer = move_bottle(bottle, place_named(place), key=key)
            return _("Bottle {label} stands in {place}", label=self.one.view.label, place=answer["place"])

        return book


class Decant(OfBottle):
    """Fills some of a bottle into another container."""

    WORD = _("Decant")

    def __init__(self, one: MarkedBottle, others: Sequence[str] = ()) -> None:
        super().__init__(one)
        self._others = others

    def fields(self) -> ComposeResult:
        yield Static(words(self.holds()))
        yield Field(_("How much"), read=volume, unit="ml", example=_("10 ml"), offers=AMOUNTS, id="amount")
        yield Field(
            _("Into bottle"),
            blank=True,
            offers=self._others,
            id="into",
            hint=_("Its number or label; leave it empty for a fresh container."),
        )
        yield Field(
            _("of size"),
            read=volume,
            unit="ml",
            blank=True,
            example=_("as much as goes in"),
            offers=AMOUNTS,
            id="size",
        )

    def errand(self) -> Callable[[], str]:
        from stock.shelf.handling import decant

        amount, into, size = self.read("amount"), self.read("into"), self.read("size")
        bottle, key = self.bottle, self.request

        def book() -> str:
            answer = decant(bottle, amount, into=into or None, size_ul=size, key=key)
            held, stay = ml_of(answer["into_on_hand_ml"]), ml_of(answer["on_hand_ml"])
            return _(
                "Bottle {into} holds {held} ml, {stay} ml stay", into=answer["into"], held=held, stay=stay
            )

        return book


REASONS = ("too old", "skinned over", "curdled", "frozen", "spilt", "empty")


class Discard(OfBottle):
    """Discards a bottle with what is left in it."""

    WORD = _("Discard")
    GO = _("Throw it away")

    def fields(self) -> ComposeResult:
        yield Static(
            words(_("{holds} All of it is written off. The Logbook can take this back.", holds=self.holds()))
        )
        yield Static(
            words(
                _("Solvent-bearing paint is hazardous waste in many places: its safety data sheet decides.")
            )
        )
        yield Field(_("Because"), example=such_as(_("skinned over")), blank=True, offers=REASONS, id="reason")

    def errand(self) -> Callable[[], str]:
        from stock.shelf.handling import discard

        reason, bottle, key = self.read("reason"), self.bottle, self.request

        def book() -> str:
            answer = discard(bottle, reason=reason or "", key=key)
            return _(
                "Discarded bottle {label} with {discarded_ml} ml",
                label=self.one.view.label,
                discarded_ml=ml_of(answer["discarded_ml"]),
            )

        return book
