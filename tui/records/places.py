"""Places: what may stand there, how cold and warm they get, and what stands there now."""

from collections.abc import Sequence
from typing import Any

from tui.dialogs.place_form import opening
from tui.dialogs.record_form import Opening
from tui.drawing.figures import count, ml
from tui.drawing.severity import MARKS
from tui.records.card import Card, CardHead, Fact, Said
from tui.records.drawer import Drawer
from tui.widgets.rows import Cell, ListColumn

LABELS = {"premises": "it is in a", "ignition": "flame near"}
"""What a field is called on the record, where it isn't its own key."""


class Places(Drawer[Any]):
    """All places by name."""

    NAME = "Places"
    WIDE = (ListColumn("place"), ListColumn("kind", 12), ListColumn("stands", 11, right=True))
    NARROW = (ListColumn("place"), ListColumn("stands", 10, right=True))
    EMPTY = "No place yet: press n, or write one when a bottle is received."
    CAN = frozenset({"new", "correct", "bottles"})

    def read(self) -> Sequence[Any]:
        """With what stands there."""
        from stock.shelf import places
        from stock.shelf.bottles import on_shelf

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
        from stock.cautions import books, worse_case
        from stock.shelf import record_texts

        texts = record_texts.place(item)
        told = {
            "it is in a": texts["premises"].replace("_", " "), "building": texts["building"],
            "flame near": texts["ignition"], "may hold": texts["flammable_limit"], "lowest": texts["lowest"],
            "highest": texts["highest"], "note": texts["note"],
        }  # fmt: skip
        facts = books.facts()
        treated = worse_case.of_place(next(place for place in facts.places if place.id == item.id))
        here = self._standing.get(item.id, [])
        findings = [one for one in books.findings(None, facts) if one.place_id == item.id]
        card: list[Any] = [CardHead(item.name, item.kind.replace("_", " "))]
        card += [Fact(what, text) for what, text in told.items() if text]
        card += [CardHead("Not known, so treated as")] * bool(treated)
        card += [Fact(LABELS.get(key, key), text, "warn") for key, text in treated.items()]
        card += [CardHead("Look out", "5 shows what to do")] * bool(findings)
        card += [
            Said(f"{MARKS[one.severity]} {one.message}.", one.severity if one.severity != "note" else "ink")
            for one in findings
        ]
        held = sum(view.on_hand_ul for view in here)
        card.append(CardHead("Stands there", f"{count(len(here), 'bottle')}, {ml(held)} ml"))
        return [*card, *(Said(f"{view.label}  {view.product}, {ml(view.on_hand_ul)} ml") for view in here)]

    def new(self, item: Any) -> Opening:
        """A new place."""
        del item
        return opening(None)

    def correct(self, item: Any) -> Opening:
        """What was typed wrongly or not at all."""
        return opening(item.name)
