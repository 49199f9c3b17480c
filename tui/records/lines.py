"""Lines: the common facts of their products, and the products' own facts."""

from collections.abc import Sequence
from typing import Any

from stock.language import _
from stock.notation import show_day
from tui.dialogs.line_record import opening
from tui.dialogs.record_form import Opening
from tui.drawing.figures import count
from tui.records.products import noted
from tui.records.record_card import Card, CardFact, CardHead, CardSentence
from tui.records.record_kind import RecordKind
from tui.widgets.rows import Cell, ListColumn


class Lines(RecordKind[Any]):
    """All lines by name."""

    NAME = _("Lines")
    WIDE = (ListColumn(_("line")), ListColumn(_("maker")), ListColumn(_("products"), 9, right=True))
    NARROW = (ListColumn(_("line")), ListColumn(_("products"), 9, right=True))
    EMPTY = _("No line yet: press n for the first, or name one on a product.")
    CAN = frozenset({"new", "correct", "fill", "read"})

    def read(self) -> Sequence[Any]:
        """All lines, and how many products each has."""
        from stock.shelf import lines

        self._sizes = lines.sizes()
        return lines.everything()

    def ident(self, item: Any) -> int:
        return int(item.id)

    def letters(self, item: Any) -> str:
        return f"{item.name} {item.maker}"

    def cells(self, item: Any, wide: bool) -> Sequence[Cell]:
        """Name, maker and the count of its products."""
        many = str(self._sizes.get(item.id, 0))
        return (item.name, item.maker, many) if wide else (item.name, many)

    def card(self, item: Any) -> Card:
        """The line's facts, then each product with its own facts."""
        from stock.shelf import line_sheets, lines, record_texts
        from stock.store.line_fields import own_in_words

        texts = record_texts.line(item.name)
        card: list[Any] = [CardHead(item.name, texts["role"]), *noted(texts)]
        if len(card) == 1:
            card.append(CardSentence(_("Nothing is noted of it: press e."), "quiet"))
        for sheet in (*line_sheets.of_line(item.id), *line_sheets.waiting(item.id)):
            card.append(
                CardFact(
                    _("sheet"),
                    _(
                        "{title}, revised {revised_on}",
                        title=sheet.title,
                        revised_on=show_day(sheet.revised_on),
                    ),
                )
            )
        members = lines.products_of(item)
        card.append(CardHead(_("Its products"), count(len(members), "product")))
        if members:
            card.append(CardSentence(_("Beside each stands what it says itself."), "quiet"))
        for product, own in members:
            card.append(CardFact(product.name, own_in_words(own) or "nothing", swatch=product.color or ""))
        return card if members else [*card, CardSentence(_("None yet: press f to enter them."), "quiet")]

    def new(self, item: Any) -> Opening:
        del item
        return opening(None)

    def correct(self, item: Any) -> Opening:
        """Correct its facts; its products follow."""
        return opening(item.name)
