"""The form that enters or corrects a product."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from dataclasses import field as fact
from typing import Any

from textual import on

from stock.cautions.facts import ProductFacts
from stock.language import _
from stock.store.words import ROLES, SIGNAL_WORDS
from tui.dialogs.record_form import Group, Opening, RecordForm
from tui.widgets import field_readers
from tui.widgets.fields import Field, such_as

WHERE = {
    "flash_point": _("Safety sheet, section 9, closed cup; none if it has none."),
    "boiling_point": _("Safety sheet, section 9, initial boiling point."),
    "solvent": _("Safety sheet, section 3: a share or its range, by weight, or say by volume; none if none."),
    "water": _("Safety sheet, section 3, by weight."),
    "ph": _("Safety sheet, section 9, of the product itself, not of a dilution."),
    "packs": _("Each size, with its price where known."),
    "groups": _("For compatibility; what its solvents are is known."),
    "voc_categories": _("Whose limit of solvent the mix is held to; empty: none is compared."),
    "not_with": _("Products that it may not meet, by what its sheet says."),
    "discontinued": _("The day from which it isn't made any more."),
    "signal_word": _("Safety sheet, section 2: danger, warning or none."),
    "h_statements": _("Safety sheet, section 2; none if it lists none."),
    "p_statements": _("Safety sheet, section 2."),
    "pictograms": _("Safety sheet, section 2, by number or name."),
    "gloves": _("Safety sheet, section 8, as printed."),
    "eye_protection": _("Safety sheet, section 8, as printed."),
    "breathing_protection": _("Safety sheet, section 8, as printed."),
    "incompatible": _("Safety sheet, section 10, as printed."),
    "un_number": _("Safety sheet, section 14; none if it is no dangerous goods."),
    "transport_class": _("Safety sheet, section 14."),
    "packing_group": _("Safety sheet, section 14."),
    "drops_per_ml": _("Of the dropper it comes with."),
    "solids": _("Technical sheet, per cent by weight; what does not evaporate."),
}
"""Where a field's figure is found, or what the field is for."""


@dataclass(frozen=True, slots=True)
class ProductFormFacts:
    """The data for a product's form: texts, how the cautions treat empty fields, the suppliers and reducers.

    `inherited` names the fields whose text is that of its line, `lines` all lines with the role that each
    says; `like` holds the texts that a new
    product begins with.
    """

    before: dict[str, str] | None
    treated: dict[str, str]
    suppliers: tuple[str, ...]
    reducers: tuple[str, ...]
    inherited: tuple[str, ...] = ()
    lines: Mapping[str, str] = fact(default_factory=dict)
    like: Mapping[str, str] = fact(default_factory=dict)


def opening(name: str | None, at: str = "", *, like: str | None = None) -> Opening:
    """The form of a product, or of a new one for None; the focus starts in the field `at`.

    Args:
        name: the product.
        at: a field's id.
        like: for a new one, a product whose texts it begins with, but for its name, code and colour.
    """

    def learn() -> ProductFormFacts:
        from stock.cautions import worse_case
        from stock.cautions.books import read_products
        from stock.shelf import inheritance, lines, products, record_texts, suppliers
        from stock.shelf.studio import settings

        rows = products.everything()
        bare = ProductFacts(id=0, name="", role="paint")
        inherited: list[str] = []
        if name is not None:
            row = products.find(name)
            bare = read_products(settings().today(), [row.id])[row.id]
            inherited = inheritance.inherited(row)
        return ProductFormFacts(
            record_texts.product(name) if name is not None else None,
            worse_case.of_product(bare),
            tuple(row.name for row in suppliers.everything()),
            tuple(row.name for row in rows if row.role in ("reducer", "cleaner")),
            tuple(inherited),
            {row.name: row.role or "" for row in lines.everything()},
            products.texts_like(like) if like is not None else {},
        )

    return learn, lambda facts: ProductForm(facts, at=at)


class ProductForm(RecordForm):
    """A product: name, role and sizes, then the other fields grouped by where they are read."""

    def __init__(self, facts: ProductFormFacts, *, at: str = "") -> None:
        super().__init__(facts.before, at=at, missed=facts.treated)
        self._known = facts

    def head(self) -> str:
        return (
            _("A new product") if self.fresh else _("{name}: what is known of it", name=self.before["name"])
        )

    def first(self) -> Iterable[Field]:
        yield self._asked("name", _("Name"), example=_("as on its label"), blank=False)
        roles = [role for role in ROLES if role != "mixed"]
        yield self._asked("role", _("Role"), value="paint", offers=roles)
        yield self._asked("packs", _("Sold in"), example=_("60 ml=7.90, 120 ml"))

    def groups(self) -> Iterable[Group]:
        from stock.shelf import colours
        from stock.shelf.entry import GROUPS
        from stock.voc_categories import categories

        ask, facts = self._asked, self._known
        yield Group(_("What the label says"), [
            ask("line", _("Line"), example=_("what it doesn't say is its line's"), offers=tuple(facts.lines)),
            ask("maker", _("Maker")),
            ask("code", _("Code"), example=_("the maker's number for it")),
            ask("color", _("Colour"), example=such_as(_("navy, dark orange or #2a6f97")),
            offers=tuple(colours.by_name())),
            ask("supplier", _("Supplier"), offers=facts.suppliers),
            ask("lead_time", _("Lead time"), example=_("7d; empty: as its supplier's")),
            ask("discontinued", _("Discontinued"), example=_("still made")), ask("note", _("Note")),
        ])  # fmt: skip
        yield Group(_("Fire and storage"), [
            ask("flash_point", _("Flash point"), example=_("18C or none")),
            ask("boiling_point", _("Boiling point"), example="78C"), ask("ph", _("pH"), example=_("8.5 or 11-13")),
            ask("sealed_life", _("Good unopened"), example="3y"), ask("opened_life", _("Good opened"),
            example=_("12mo")),
            ask("pot_life", _("Pot life"), example=_("of a two-part product: 4h; 2h from 30C")),
            ask("store_at", _("Keeps at"), example="5C..35C"),
        ])  # fmt: skip
        yield Group(_("How it thins"), [
            ask("usual_reducer", _("Usual reducer"), offers=facts.reducers),
            ask("drops_per_ml", _("Drops per ml"), example="20"),
            ask("density", _("Density"), example=_("1.05 g/ml; without it nothing is weighed")),
        ])  # fmt: skip
        yield Group(_("What it is made of"), [
            ask("water", _("Water"), example="60%"), ask("solids", _("Solids"), example="30%"),
            ask("solvent", _("Solvents"), example=_("ethanol=30%, acetone=1-5%")),
            ask("groups", _("Groups"), example=such_as(_("waterborne")), offers=GROUPS), ask("not_with", _("Not with")),
            ask("voc_categories", _("VOC limits"), example=such_as(_("eu:topcoat us:topcoat")),
                offers=tuple(categories())),
        ])  # fmt: skip
        yield Group(_("What its safety sheet warns of"), [
            ask("signal_word", _("Signal word"), offers=SIGNAL_WORDS),
            ask("h_statements", _("H-statements"), example=_("H225 H319 EUH066 or none")),
            ask("p_statements", _("P-statements"), example=_("P210 P305+P351+P338 or none")),
            ask("pictograms", _("Pictograms"), example=_("GHS02, exclamation mark")),
            ask("gloves", _("Gloves"), example=such_as(_("nitrile, 0.4 mm"))), ask("eye_protection", _("Eyes")),
            ask("breathing_protection", _("Breathing"), example=_("A2-P3 filter")),
            ask("incompatible", _("Not beside"), example=such_as(_("oxidisers, strong acids"))),
            ask("un_number", _("UN number"), example=_("1263 or none")),
            ask("transport_class", _("UN class"), example="3"),
            ask("packing_group", _("Packing group"), offers=("I", "II", "III", "none")),
        ])  # fmt: skip

    def _asked(self, key: str, label: str, **more: Any) -> Field:
        if key in self._known.like:
            more["value"] = self._known.like[key]
        field = self.field(key, label, read=field_readers.of_product(key), **more)
        self._say(field)
        return field

    @on(Field.Changed)
    def _typed(self, event: Field.Changed) -> None:
        event.stop()
        self._say(event.field)
        if event.field.id == "supplier":
            self._offer(event.field, self._known.suppliers, _("A supplier not known yet: made with it."))
        elif event.field.id == "usual_reducer":
            self._offer(event.field, self._known.reducers, "")
        elif event.field.id == "line":
            self._offer(event.field, tuple(self._known.lines), _("A line not known yet: made with it."))
            self._take_role(event.field)

    def on_mount(self) -> None:
        """Leave the role to the line of a product that a new one begins like; its field may not be mounted yet."""
        if self._known.like:
            self._take_role(self.field_named("line"))

    def _take_role(self, line: Field) -> None:
        role = self.field_named("role")
        if self.fresh and not role.touched and self._known.lines.get(line.text.strip()):
            role.text = ""
            role.hint(_("As its line says."))

    def _say(self, field: Field) -> None:
        """Show beneath a field where it is read, and how the cautions treat it while empty."""
        key = str(field.id)
        if key == "color":
            show_colour(field)
            return
        said = [WHERE[key]] if key in WHERE else []
        if key in self._known.inherited and field.text.strip() == self.before.get(key, ""):
            said.append(_("From the line; what you write here is this product's own."))
        elif key in self._known.inherited:
            said.append(_("Empty: as its line says. Write unknown if this product doesn't have that."))
        if not field.text.strip() and key in self._known.treated:
            said.append(_("Not known: treated as {treated}.", treated=self._known.treated[key]))
        field.hint(" ".join(said))

    @staticmethod
    def _offer(field: Field, names: Sequence[str], new: str) -> None:
        letters = field.text.casefold().split()
        fitting = [name for name in names if all(part in name.casefold() for part in letters)]
        is_known = not letters or field.text.strip().casefold() in {name.casefold() for name in names}
        field.offer(names if is_known else fitting)
        field.hint("" if is_known else new)

    def _given(self) -> dict[str, Any]:
        """What was typed differently, as the books take it."""
        from stock.shelf.entry import parted

        texts = self.typed()
        return {key: parted(text) if key in field_readers.LISTS else text for key, text in texts.items()}

    def errand(self) -> Callable[[], str]:
        """Add the product, or change what was typed differently."""
        given, before = self._given(), self.before.get("name", "")

        def put() -> str:
            from stock.shelf import products

            if self.fresh:
                return _("{name} is among the products", name=products.add(given).name)
            row = products.change(before, given)
            what = ", ".join(key.replace("_", " ").replace("packs", "sizes") for key in given)
            return _("{name}: corrected {what}", name=row.name, what=what)

        return put


def show_colour(field: Field) -> None:
    """Show the swatch of a colour's name beneath its field; without one the bottle is drawn in no colour."""
    from stock.errors import UllageError
    from stock.shelf import colours

    if not field.text.strip():
        field.hint(_("Without one its bottles are drawn in no colour."))
        return
    try:
        color = colours.read(field.text)
    except UllageError:
        field.hint("")
        return
    field.swatch(color, f"{color} {colours.name_of(color)}".rstrip())
