"""Recipes: named parts by volume that can be mixed at any size."""

from collections.abc import Callable, Iterable, Sequence
from typing import Any

from textual import on

from stock.grammar import in_full
from stock.language import _
from tui.dialogs.record_form import Opening, RecordForm
from tui.records.record_card import Card, CardFact, CardHead, CardSentence
from tui.records.record_kind import RecordKind
from tui.widgets import field_readers
from tui.widgets.fields import Field
from tui.widgets.rows import Cell, ListColumn


def _parts(text: str) -> list[tuple[str, int]]:
    """Read `Harbour Blue=3, Slow Reducer=1`, each a product in the books."""
    from stock.bench.recipes import read_part
    from stock.shelf.entry import parted

    return [(field_readers.product(name), milli) for name, milli in map(read_part, parted(text))]


class RecipeForm(RecordForm):
    """A recipe's name and parts."""

    def __init__(self, before: dict[str, str] | None, products: Sequence[str]) -> None:
        super().__init__(before)
        self._products = products

    def head(self) -> str:
        return _("A new recipe") if self.fresh else self.before["name"]

    def first(self) -> Iterable[Field]:
        yield self.field(
            "name",
            _("Name"),
            read=field_readers.name(_("recipe's name")),
            blank=False,
            example=_("Harbour mist"),
        )
        yield self.field("parts", _("Parts"), read=_parts, example=_("Harbour Blue=3, Gull White=1, Eddy Reducer=1"),
                         blank=False, hint=_("By volume, including the reducer."))  # fmt: skip
        yield self.field("note", _("Note"))

    @on(Field.Changed, "#parts")
    def _parts_typed(self, event: Field.Changed) -> None:
        event.stop()
        letters = event.field.text.split(",")[-1].split("=")[0].casefold().split()
        fitting = [
            name for name in self._products if letters and all(one in name.casefold() for one in letters)
        ]
        more = _(" and {fitting} more", fitting=len(fitting) - 3) if len(fitting) > 3 else ""
        event.field.hint(", ".join(fitting[:3]) + more if fitting else _("By volume, including the reducer."))

    def errand(self) -> Callable[[], str]:
        """Enter the recipe, or correct it."""
        from stock.bench import recipes

        texts = self.typed()
        parts = self.read("parts")
        if not self.fresh:
            before = self.before["name"]
            given = parts if "parts" in texts else None
            return lambda: _in_words(
                recipes.change(before, rename=texts.get("name"), parts=given, note=texts.get("note"))
            )
        name, note = texts["name"], texts.get("note", "")
        return lambda: _in_words(recipes.add(name, parts, note=note))


def _in_words(recipe: Any) -> str:
    return f"{recipe.name}: {recipe.words}"


class Recipes(RecordKind[Any]):
    """All recipes by name."""

    NAME = _("Recipes")
    WIDE = (ListColumn(_("recipe")), ListColumn(_("parts")))
    NARROW = (ListColumn(_("recipe")),)
    EMPTY = _("No recipe yet: press n, or keep a mix as one on the Bench.")
    CAN = frozenset({"new", "correct", "mix"})

    def read(self) -> Sequence[Any]:
        """All recipes by name."""
        from stock.bench import recipes

        return recipes.everything()

    def ident(self, item: Any) -> str:
        """Its name, which is unique."""
        return str(item.name)

    def letters(self, item: Any) -> str:
        return f"{item.name} {item.words}"

    def cells(self, item: Any, wide: bool) -> Sequence[Cell]:
        return (item.name, item.words) if wide else (item.name,)

    def card(self, item: Any) -> Card:
        """Its parts, and the share of each."""
        from stock.units import show_percent

        whole = sum(milli for _, _, milli in item.parts)
        parts = [
            CardFact(
                part,
                _(
                    "{milli} {name}, {milli2} of the mix",
                    milli=in_full(milli / 1000),
                    name=name,
                    milli2=show_percent(100000 * milli // whole),
                ),
            )
            for name, part, milli in item.parts
        ]
        note = [CardFact(_("note"), item.note)] if item.note else []
        return [
            CardHead(item.name),
            *parts,
            *note,
            CardSentence(_("x takes it to the Bench, at any size."), "quiet"),
        ]

    def _opening(self, item: Any | None) -> Opening:
        def learn() -> tuple[dict[str, str] | None, list[str]]:
            from stock.shelf import products
            from stock.shelf.entry import joined
            from stock.shelf.record_texts import thousandths

            names = [row.name for row in products.everything()]
            if item is None:
                return None, names
            parts = joined([f"{name}={thousandths(milli)}" for name, _, milli in item.parts])
            return {"name": item.name, "parts": parts, "note": item.note}, names

        return learn, lambda learned: RecipeForm(*learned)

    def new(self, item: Any) -> Opening:
        del item
        return self._opening(None)

    def correct(self, item: Any) -> Opening:
        """Correct its name, parts and note."""
        return self._opening(item)
