"""Products: what the label and the sheets say of each, and what the cautions take for what nobody has noted."""

from collections.abc import Sequence
from typing import Any

from stock.store.words import ROLES
from tui.dialogs.product_form import opening
from tui.dialogs.record_form import Opening
from tui.drawing.bottle import Run
from tui.drawing.figures import count, ml, short_day
from tui.drawing.strips import shown
from tui.records.card import Card, CardHead, Fact, Said
from tui.records.drawer import Drawer
from tui.widgets.dialog import Ask
from tui.widgets.rows import Cell, Heading, ListColumn

LABELS = {
    "flash_point": "Flash point", "boiling_point": "Boiling point", "solvent": "Solvents", "water": "Water",
    "opened_life": "Good opened", "sealed_life": "Good unopened", "store_at": "Keeps at",
}  # fmt: skip
HEADS = {"mixed": "Mixed: what is left of mixes"}


class Products(Drawer[Any]):
    """All products by role."""

    NAME = "Products"
    WIDE = (ListColumn("product"), ListColumn("line", 14), ListColumn("on hand", 10, right=True))
    NARROW = (ListColumn("product"), ListColumn("on hand", 9, right=True))
    EMPTY = "No product yet: press n for the first."
    CAN = frozenset({"new", "correct", "sheets", "bottles", "mix", "discontinue"})

    def read(self) -> Sequence[Any]:
        """By role, each with what is on hand."""
        from stock.shelf import products
        from stock.shelf.bottles import by_product, on_shelf

        self._standing = by_product([view for view in on_shelf() if not view.gone])
        everything = products.everything()
        rows: list[Any] = []
        for role in ROLES:
            mine = [row for row in everything if row.role == role]
            if mine:
                rows += [Heading(HEADS.get(role, role.capitalize()), count(len(mine), "product")), *mine]
        return rows

    def ident(self, item: Any) -> int:
        """Its number."""
        return int(item.id)

    def letters(self, item: Any) -> str:
        """Name, line and role."""
        return f"{item.name} {item.line} {item.role}"

    def cells(self, item: Any, wide: bool) -> Sequence[Cell]:
        """Name and what is on hand; one that isn't made any more says so."""
        held = self._standing.get(item.id, ())
        on_hand = f"{ml(sum(view.on_hand_ul for view in held))} ml" if held else "-"
        name: Cell = item.name
        if item.discontinued_on is not None:
            name = (Run(f"× {shown(item.name)}", "quiet"),)
        return (name, item.line, on_hand) if wide else (name, on_hand)

    def card(self, item: Any) -> Card:
        """What is known, and what stands in for the rest."""
        from stock.cautions import worse_case
        from stock.cautions.books import read_products
        from stock.shelf import record_texts, sheets
        from stock.shelf.studio import settings

        texts = record_texts.product(item.name)
        treated = worse_case.of_product(read_products(settings().today(), [item.id])[item.id])
        revisions = sheets.views([item.id])
        held = self._standing.get(item.id, ())
        return [
            CardHead(item.name, ", ".join(part for part in (item.role, item.line) if part)),
            *_told(texts, item),
            Fact("sheets", _sheets_in_words(revisions)),
            Fact("stands", f"{count(len(held), 'bottle')}, {ml(sum(view.on_hand_ul for view in held))} ml"
                 if held else "no bottle"),
            *([CardHead("Not known, so treated as")] if treated else []),
            *(Fact(LABELS.get(key, key).lower(), text, "warn") for key, text in treated.items()),
        ]  # fmt: skip

    def new(self, item: Any) -> Opening:
        """A new product."""
        del item
        return opening(None)

    def correct(self, item: Any) -> Opening:
        """Whatever was typed wrongly or not at all."""
        return opening(item.name)

    def may(self, action: str, item: Any) -> bool:
        """Only what is sprayed is mixed."""
        if action == "mix":
            return item is not None and item.role not in ("reducer", "cleaner")
        return super().may(action, item)

    def end(self, item: Any) -> Ask:
        """Discontinue it, or say that it is made still."""
        from stock.shelf import products

        name, gone = item.name, item.discontinued_on is not None
        if gone:
            told = f"It was noted as discontinued on {short_day(item.discontinued_on)}. It will be ordered again."
            return Ask(f"{name} is made after all", told, go="It is made", said=f"{name} is made",
                       errand=lambda _: products.change(name, {"discontinued": False}))  # fmt: skip
        told = "From today it is no longer ordered, and the cautions say so of its bottles. Its record stays."
        return Ask(f"Discontinue {name}", told, go="Discontinue it", said=f"{name} is discontinued",
                   errand=lambda _: products.change(name, {"discontinued": True}))  # fmt: skip


def _told(texts: dict[str, str], item: Any) -> list[Fact | Said]:
    joined = {
        "colour": texts["color"],
        "sold in": texts["packs"].replace("=", " at "),
        "from": _with(texts["supplier"], texts["lead_time"], " in "),
        "maker": texts["maker"],
        "burns": _with(
            texts["flash_point"].replace("none", "no flash point"), texts["boiling_point"], ", boils at "
        ),
        "keeps": _keeps(texts),
        "thinned with": texts["usual_reducer"],
        "drops per ml": texts["drops_per_ml"],
        "density": texts["density"] and f"{texts['density']} g/ml",
        "made of": ", ".join(f"{texts[key]} {key}" for key in ("water", "solids") if texts[key]),
        "solvents": texts["solvent"].replace("=", " "),
        "groups": texts["groups"],
        "not with": texts["not_with"],
        "note": texts["note"],
    }
    facts: list[Fact | Said] = [
        Fact(what, text, swatch=texts["color"] if what == "colour" else "")
        for what, text in joined.items()
        if text
    ]
    if item.discontinued_on is not None:
        facts.insert(0, Said(f"Discontinued on {short_day(item.discontinued_on)}.", "warn", bold=True))
    return facts


def _with(one: str, other: str, between: str) -> str:
    if not other:
        return one
    return f"{one}{between}{other}" if one else f"{between.strip(' ,')} {other}"


def _keeps(texts: dict[str, str]) -> str:
    parts = (
        texts["sealed_life"] and f"{texts['sealed_life']} unopened",
        texts["opened_life"] and f"{texts['opened_life']} opened",
        texts["store_at"] and f"at {texts['store_at'].replace('..', ' to ')}",
    )
    return ", ".join(part for part in parts if part)


def _sheets_in_words(revisions: Sequence[Any]) -> str:
    if not revisions:
        return "none entered: press s"
    return f"{count(len(revisions), 'revision')}, the newest of {short_day(revisions[0].revised_on)}"
