"""Places: their limits and temperatures, and the bottles that are there now."""

from collections.abc import Sequence
from typing import Any

from stock.language import N_, _
from tui.dialogs.place_form import opening
from tui.dialogs.record_form import Opening
from tui.drawing.figures import count, ml, spelt
from tui.drawing.severity import sign
from tui.records.record_card import Card, CardFact, CardHead, CardSentence
from tui.records.record_kind import RecordKind
from tui.widgets.rows import Cell, ListColumn

LABELS = {"premises": N_("it is in a"), "ignition": N_("flame near")}
"""Names of fields on the record, where they differ from the keys."""


class Places(RecordKind[Any]):
    """All places by name."""

    NAME = _("Places")
    WIDE = (ListColumn(_("place")), ListColumn(_("kind"), 12), ListColumn(_("holds"), 11, right=True))
    NARROW = (ListColumn(_("place")), ListColumn(_("holds"), 10, right=True))
    EMPTY = _("No place yet: press n, or write one when a bottle is received.")
    CAN = frozenset({"new", "correct", "bottles"})

    def read(self) -> Sequence[Any]:
        """All places, and the bottles in each."""
        from stock.shelf import places
        from stock.shelf.bottles import on_shelf

        self._bottles_at: dict[int, list[Any]] = {}
        for view in on_shelf():
            if view.place_id is not None and not view.gone:
                self._bottles_at.setdefault(view.place_id, []).append(view)
        return places.everything()

    def ident(self, item: Any) -> int:
        return int(item.id)

    def letters(self, item: Any) -> str:
        return f"{item.name} {item.kind}"

    def cells(self, item: Any, wide: bool) -> Sequence[Cell]:
        """Name, kind, and how many bottles are there."""
        many = count(len(self._bottles_at.get(item.id, ())), "bottle")
        return (item.name, item.kind.replace("_", " "), many) if wide else (item.name, many)

    def card(self, item: Any) -> Card:
        """Its limits, findings, and bottles."""
        from stock.cautions import books, worse_case
        from stock.shelf import record_texts

        texts = record_texts.place(item)
        noted = {
            N_("it is in a"): texts["premises"].replace("_", " "), N_("building"): texts["building"],
            N_("flame near"): texts["ignition"], N_("may hold"): texts["flammable_limit"],
            N_("lowest"): texts["lowest"],
            N_("highest"): texts["highest"], N_("note"): texts["note"],
        }  # fmt: skip
        facts = books.facts()
        treated = worse_case.of_place(next(place for place in facts.places if place.id == item.id))
        here = self._bottles_at.get(item.id, [])
        findings = [one for one in books.findings(None, facts) if one.place_id == item.id]
        card: list[Any] = [CardHead(item.name, item.kind.replace("_", " "))]
        card += [
            CardFact(_(what), spelt(text) if what in ("lowest", "highest") else text)
            for what, text in noted.items()
            if text
        ]
        card += [CardHead(_("Unknown, so treated as"))] * bool(treated)
        card += [CardFact(_(LABELS.get(key, key)), text, "warn") for key, text in treated.items()]
        card += [CardHead(_("Cautions"), _("5 shows what to do"))] * bool(findings)
        card += [
            CardSentence(f"{sign(one)}: {one.message}.", one.severity if one.severity != "note" else "ink")
            for one in findings
        ]
        held = sum(view.on_hand_ul for view in here)
        card.append(CardHead(_("Bottles there"), f"{count(len(here), 'bottle')}, {ml(held)} ml"))
        return [
            *card,
            *(CardSentence(f"{view.label}  {view.product}, {ml(view.on_hand_ul)} ml") for view in here),
        ]

    def new(self, item: Any) -> Opening:
        del item
        return opening(None)

    def correct(self, item: Any) -> Opening:
        """Correct any of its fields."""
        return opening(item.name)
