"""Places: what may stand there, how cold and warm they get, and what stands there now."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Any

from textual import on

from tui.drawing.figures import count, ml
from tui.drawing.severity import MARKS
from tui.records import reading
from tui.records.card import Card, Fact, Head, Said
from tui.records.drawer import Drawer
from tui.records.form import Opening, RecordForm
from tui.widgets.fields import Field
from tui.widgets.rows import Cell, Column

LABELS = {"premises": "it is in a", "ignition": "flame near"}
"""What a field is called on the record, where it isn't its own key."""


def opening(name: str | None, at: str = "") -> Opening:
    """The form of a place, or of a new one; the hand starts in the field `at`."""

    def learn() -> tuple[dict[str, str] | None, dict[str, str]]:
        from stock.cautions import unknown  # noqa: PLC0415
        from stock.cautions.books import facts  # noqa: PLC0415
        from stock.cautions.facts import PlaceFacts  # noqa: PLC0415
        from stock.shelf import places, written  # noqa: PLC0415

        if name is None:
            return None, unknown.of_place(PlaceFacts(0, ""))
        row = places.find(name)
        told = next(place for place in facts(bottles_only=True).places if place.id == row.id)
        return written.place(row), unknown.of_place(told)

    return learn, lambda learned: PlaceForm(*learned, at=at)


class PlaceForm(RecordForm):
    """A place with its limits."""

    def __init__(self, before: Mapping[str, str] | None, treated: Mapping[str, str], *, at: str = "") -> None:
        super().__init__(before, at=at, missed=treated)
        self._treated = treated

    def head(self) -> str:
        """Which one."""
        return "A new place" if self.fresh else self.before["name"]

    def first(self) -> Iterable[Field]:
        """All of it."""
        from stock.store.words import PLACE_KINDS, PREMISES  # noqa: PLC0415

        yield self.field(
            "name", "Name", read=reading.name("place's name"), blank=False, example="Steel cabinet"
        )
        yield self._asked("kind", "Kind", value="shelf", blank=False, offers=PLACE_KINDS)
        yield self._asked("premises", "It is in a", example="home, workshop, spray_room", offers=PREMISES)
        yield self._asked(
            "ignition", "Flame near", offers=("no", "yes"), example="a flame, heater or sparks in the room"
        )
        yield self._asked("flammable_limit", "May hold", example="20 l of flammable stock")
        yield self._asked("lowest", "Lowest", example="5C")
        yield self._asked("highest", "Highest", example="30C")
        yield self._asked("building", "Building", example="places of one building count together")
        yield self._asked("note", "Note")

    def _asked(self, key: str, label: str, **more: Any) -> Field:
        return self.field(key, label, read=reading.of_place(key), **more)

    def on_mount(self) -> None:
        """What is treated as what, beneath the empty fields."""
        super().on_mount()
        for key in self._treated:
            self._say(self.query_one(f"#{key}", Field))

    @on(Field.Changed)
    def _typed(self, event: Field.Changed) -> None:
        event.stop()
        self._say(event.field)

    def _say(self, field: Field) -> None:
        treated = self._treated.get(str(field.id))
        if treated is not None:
            field.hint("" if field.text.strip() else f"Not known: treated as {treated}.")

    def errand(self) -> Callable[[], str]:
        """Enter or correct."""
        from stock.shelf import places  # noqa: PLC0415

        texts = self.typed()
        name = texts.pop("name", None)
        before = self.before.get("name")

        def put() -> str:
            columns, forget = places.read(texts)
            if before is None:
                return f"{places.add(str(name), **columns).name} is among the places"
            row = places.change(before, rename=name, forget=forget, **columns)
            return f"{row.name} is corrected"

        return put


class Places(Drawer[Any]):
    """All places by name."""

    NAME = "Places"
    WIDE = (Column("place"), Column("kind", 12), Column("stands", 11, right=True))
    NARROW = (Column("place"), Column("stands", 10, right=True))
    EMPTY = "No place yet: press n, or write one when a bottle is received."
    CAN = frozenset({"new", "correct", "bottles"})

    def read(self) -> Sequence[Any]:
        """With what stands there."""
        from stock.shelf import places  # noqa: PLC0415
        from stock.shelf.bottles import on_shelf  # noqa: PLC0415

        self._standing: dict[int, list[Any]] = {}
        for view in on_shelf():
            if view.place_id is not None and not view.gone:
                self._standing.setdefault(view.place_id, []).append(view)
        return places.everything()

    def ident(self, item: Any) -> int:
        """Its number."""
        return int(item.id)

    def letters(self, item: Any) -> str:
        """Name and kind."""
        return f"{item.name} {item.kind}"

    def cells(self, item: Any, wide: bool) -> Sequence[Cell]:
        """Name and how many stand there."""
        many = count(len(self._standing.get(item.id, ())), "bottle")
        return (item.name, item.kind.replace("_", " "), many) if wide else (item.name, many)

    def card(self, item: Any) -> Card:
        """Its limits, what is wrong there, what stands there."""
        from stock.cautions import books, unknown  # noqa: PLC0415
        from stock.shelf import written  # noqa: PLC0415

        texts = written.place(item)
        told = {
            "it is in a": texts["premises"].replace("_", " "), "building": texts["building"],
            "flame near": texts["ignition"], "may hold": texts["flammable_limit"], "lowest": texts["lowest"],
            "highest": texts["highest"], "note": texts["note"],
        }  # fmt: skip
        facts = books.facts()
        treated = unknown.of_place(next(place for place in facts.places if place.id == item.id))
        here = self._standing.get(item.id, [])
        findings = [one for one in books.findings(None, facts) if one.place_id == item.id]
        card: list[Any] = [Head(item.name, item.kind.replace("_", " "))]
        card += [Fact(what, text) for what, text in told.items() if text]
        card += [Head("Not known, so treated as")] * bool(treated)
        card += [Fact(LABELS.get(key, key), text, "warn") for key, text in treated.items()]
        card += [Head("Look out", "5 shows what to do")] * bool(findings)
        card += [
            Said(f"{MARKS[one.severity]} {one.message}.", one.severity if one.severity != "note" else "ink")
            for one in findings
        ]
        held = sum(view.on_hand_ul for view in here)
        card.append(Head("Stands there", f"{count(len(here), 'bottle')}, {ml(held)} ml"))
        return [*card, *(Said(f"{view.label}  {view.product}, {ml(view.on_hand_ul)} ml") for view in here)]

    def new(self, item: Any) -> Opening:
        """A new place."""
        del item
        return opening(None)

    def correct(self, item: Any) -> Opening:
        """What was typed wrongly or not at all."""
        return opening(item.name)
