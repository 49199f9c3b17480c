"""The form of a line's record, and the form that changes a field for several products at once."""

from collections.abc import Callable, Iterable, Sequence

from stock.language import _, ngettext
from stock.store.words import ROLES
from tui.dialogs.product_form import ProductForm, ProductFormFacts
from tui.dialogs.record_form import Group, Opening
from tui.widgets.fields import Field

NEVER_A_LINES = ("line", "code", "color", "discontinued")
"""Fields that only a product has."""


def _learned(before: dict[str, str] | None) -> ProductFormFacts:
    from stock.shelf import products, suppliers

    return ProductFormFacts(
        before,
        {},
        tuple(row.name for row in suppliers.everything()),
        tuple(row.name for row in products.everything() if row.role in ("reducer", "cleaner")),
    )


def opening(name: str | None) -> Opening:
    """The form of a line, or of a new one for None."""

    def learn() -> ProductFormFacts:
        from stock.shelf import record_texts

        return _learned(record_texts.line(name) if name is not None else None)

    return learn, LineRecordForm


def opening_many(products: Sequence[tuple[int, str]]) -> Opening:
    """The form that changes fields of several products, given by number and name."""
    return lambda: _learned(None), lambda facts: ManyProductsForm(facts, products)


class LineRecordForm(ProductForm):
    """A line: the fields that its products inherit."""

    def head(self) -> str:
        return (
            _("A new line") if self.fresh else _("{name}: what its products share", name=self.before["name"])
        )

    def first(self) -> Iterable[Field]:
        yield self._asked("name", _("Name"), example=_("as on the label of its bottles"), blank=False)
        roles = [role for role in ROLES if role != "mixed"]
        yield self._asked("role", _("Role"), example=_("paint, where all of them are"), offers=roles)
        yield self._asked("packs", _("Sold in"), example=_("60 ml=7.90, 120 ml"))

    def groups(self) -> Iterable[Group]:
        for group in super().groups():
            yield group.without(NEVER_A_LINES)

    def errand(self) -> Callable[[], str]:
        """Add the line, or change what was typed differently; its products follow."""
        given, before = self._given(), self.before.get("name", "")

        def put() -> str:
            from stock.shelf import lines

            if self.fresh:
                return _("{name} is among the lines", name=lines.add(given).name)
            row = lines.change(before, given)
            many = len(lines.products_of(row))
            return ngettext(
                "{name} is corrected, and its {number} product with it",
                "{name} is corrected, and its {number} products with it",
                many,
                name=row.name,
            )

        return put


class ManyProductsForm(ProductForm):
    """Fields of several products: a typed field is set for all of them, empty ones stay as they are."""

    def __init__(self, facts: ProductFormFacts, products: Sequence[tuple[int, str]]) -> None:
        super().__init__(facts)
        self._products = products

    def head(self) -> str:
        return _(
            "{products} products: what you write here holds for all of them", products=len(self._products)
        )

    def go_word(self) -> str:
        return _("Correct them all")

    def first(self) -> Iterable[Field]:
        roles = [role for role in ROLES if role != "mixed"]
        yield self._asked("role", _("Role"), example=_("as they are"), offers=roles)
        yield self._asked("packs", _("Sold in"), example=_("as they are"))

    def errand(self) -> Callable[[], str]:
        """Change all of them, or none."""
        given, numbers = self._given(), [number for number, _ in self._products]

        def put() -> str:
            from stock.shelf import products

            changed = products.change_all(numbers, given)
            what = ", ".join(key.replace("_", " ").replace("packs", "sizes") for key in given)
            return _("Corrected {what} of {changed} products", what=what, changed=len(changed))

        return put
