"""Products: what is noted about each, and how the cautions treat what nobody has noted."""

from collections.abc import Callable, Sequence
from typing import Any

from stock import hazard_statements, precautionary_statements
from stock.language import N_, _
from stock.store.words import ROLES
from stock.units import Microlitres
from tui.dialogs.product_form import opening
from tui.dialogs.record_form import Opening
from tui.drawing.bottle import Run
from tui.drawing.figures import count, ml, short_day, spelt
from tui.drawing.strips import shown
from tui.records.record_card import Card, CardFact, CardHead, CardSentence
from tui.records.record_kind import RecordKind
from tui.widgets.dialog import Ask
from tui.widgets.rows import Cell, Heading, ListColumn

LABELS = {
    "flash_point": _("Flash point"), "boiling_point": _("Boiling point"), "solvent": _("Solvents"), "water": _("Water"),
    "h_statements": _("Statements"), "opened_life": _("Good opened"), "sealed_life": _("Good unopened"),
    "store_at": _("Keeps at"),
}  # fmt: skip
HEADS = {"mixed": _("Mixed: leftovers in jars")}


class Products(RecordKind[Any]):
    """All products by role."""

    NAME = _("Products")
    WIDE = (ListColumn(_("product")), ListColumn(_("line"), 14), ListColumn(_("on hand"), 10, right=True))
    NARROW = (ListColumn(_("product")), ListColumn(_("on hand"), 9, right=True))
    EMPTY = _("No product yet: press n for the first.")
    CAN = frozenset(
        {"new", "correct", "sheets", "read", "bottles", "mix", "discontinue", "like", "mark", "delete"}
    )

    def __init__(self) -> None:
        self.marked: dict[int, str] = {}
        """The names of the products that are marked, by number."""

    def read(self) -> Sequence[Any]:
        """All products by role, and the bottles of each."""
        from stock.shelf import products
        from stock.shelf.bottles import by_product, on_shelf

        self._bottles_of = by_product([view for view in on_shelf() if not view.gone])
        everything = products.everything()
        rows: list[Any] = []
        for role in ROLES:
            mine = [row for row in everything if row.role == role]
            if mine:
                rows += [
                    Heading(HEADS.get(role, _(role)[:1].upper() + _(role)[1:]), count(len(mine), "product")),
                    *mine,
                ]
        return rows

    def ident(self, item: Any) -> int:
        return int(item.id)

    def letters(self, item: Any) -> str:
        """Name, line and role."""
        return f"{item.name} {item.line} {item.code} {item.role}"

    def cells(self, item: Any, wide: bool) -> Sequence[Cell]:
        """Name, line and what is on hand; a discontinued product is marked."""
        held = self._bottles_of.get(item.id, ())
        on_hand = _on_hand(held) if held else "-"
        name: Cell = f"● {item.name}" if item.id in self.marked else item.name
        if item.discontinued_on is not None:
            name = (Run(f"× {shown(item.name)}", "quiet"),)
        return (name, item.line, on_hand) if wide else (name, on_hand)

    def card(self, item: Any) -> Card:
        """What is noted, and how the rest is treated."""
        from stock.cautions import worse_case
        from stock.cautions.books import read_products
        from stock.shelf import inheritance, record_texts, sheets
        from stock.shelf.studio import settings

        texts = record_texts.product(item.name)
        treated = worse_case.of_product(read_products(settings().today(), [item.id])[item.id])
        revisions = sheets.views([item.id])
        held = self._bottles_of.get(item.id, ())
        return [
            CardHead(item.name, ", ".join(part for part in (_(item.role), item.line) if part)),
            *_warnings(item),
            *noted(texts, inheritance.inherited(item)),
            CardFact(_("sheets"), _sheets_in_words(revisions)),
            CardFact(_("on hand"), f"{count(len(held), 'bottle')}, {_on_hand(held)}"
                 if held else _("no bottle")),
            *([CardHead(_("Unknown, so treated as"))] if treated else []),
            *(CardFact(LABELS.get(key, _(key)).lower(), text, "warn") for key, text in treated.items()),
            *_read_from(item, texts),
        ]  # fmt: skip

    def new(self, item: Any) -> Opening:
        del item
        return opening(None)

    def correct(self, item: Any) -> Opening:
        """Correct any of its fields; of marked products one field for all of them."""
        if self.marked:
            from tui.dialogs.line_record import opening_many

            return opening_many(sorted(self.marked.items(), key=lambda one: one[1]))
        return opening(item.name)

    def like(self, item: Any) -> Opening:
        """A new product that starts with this one's own facts."""
        return opening(None, like=item.name)

    def mark(self, item: Any) -> None:
        """Mark a product, or take its mark away."""
        if self.marked.pop(item.id, None) is None:
            self.marked[item.id] = item.name

    def may(self, action: str, item: Any) -> bool:
        """Whether an action can be done; a reducer or cleaner can't be taken to the Bench."""
        if action == "mix":
            return item is not None and item.role not in ("reducer", "cleaner")
        if action in ("like", "mark", "delete"):
            return item is not None and item.role != "mixed"
        return super().may(action, item)

    def delete(self, item: Any) -> Ask:
        """Delete the product, if nothing uses it."""
        from stock.shelf import taking_back

        text = _(
            "Its record, sizes and sheets are deleted, for good. One that was ever on the shelf, "
            "ordered or named in a recipe is refused."
        )
        return Ask(_("Delete {name}", name=item.name), text, go=_("Delete it"), said=_("{name} is deleted",
        name=item.name),
                   errand=lambda _: taking_back.delete_product(item.name))  # fmt: skip

    def end(self, item: Any) -> Ask:
        """Discontinue the product, or note that it is still made."""
        from stock.shelf import products

        name, gone = item.name, item.discontinued_on is not None
        if gone:
            text = _(
                "It was noted as discontinued on {discontinued_on}. It can be ordered again.",
                discontinued_on=short_day(item.discontinued_on),
            )
            return Ask(_("{name} is still made", name=name), text, go=_("It is made"),
            said=_("{name} is made", name=name),
                       errand=lambda _: products.change(name, {"discontinued": False}))  # fmt: skip
        text = _(
            "From today it is no longer ordered, and a caution says so about its bottles. Its record stays."
        )
        return Ask(_("Discontinue {name}", name=name), text, go=_("Discontinue it"),
        said=_("{name} is discontinued", name=name),
                   errand=lambda _: products.change(name, {"discontinued": True}))  # fmt: skip


def _read_from(item: Any, texts: dict[str, str]) -> list[CardHead | CardFact | CardSentence]:
    """The sources of the figures that are still in the record, with the sheet's words."""
    from stock.shelf import figure_sources

    sources = figure_sources.unchanged(figure_sources.of_product(item), texts)
    if not sources:
        return []
    facts: list[CardHead | CardFact | CardSentence] = [CardHead(_("Read from its sheets"))]
    for one in sources:
        what = one.field.partition(":")[0]
        value = "" if what in texts and what != "solvent" else f"{one.value}, "
        facts.append(
            CardFact(
                LABELS.get(what, _(what.replace("_", " "))).lower(), f"{value}{one.place}: “{one.words}”"
            )
        )
    return facts


def _warnings(item: Any) -> list[CardSentence]:
    """Warnings: it is discontinued, or its sheet contradicts itself."""
    from stock.shelf.sheet_contradictions import of_record  # the books are open by now

    sentences = [
        CardSentence(_("{text}{text2}: the graver counts.", text=text[:1].upper(), text2=text[1:]), "warn")
        for text in of_record(item)
    ]
    if item.discontinued_on is not None:
        sentences.insert(
            0,
            CardSentence(
                _("Discontinued on {discontinued_on}.", discontinued_on=short_day(item.discontinued_on)),
                "warn",
                bold=True,
            ),
        )
    return sentences


FIELDS_OF = {
    "sold in": ("packs",), "from": ("supplier", "lead_time"), "burns": ("flash_point", "boiling_point"),
    "keeps": ("sealed_life", "opened_life", "pot_life", "store_at"), "thinned with": ("usual_reducer",), "pH": ("ph",),
    "made of": ("water", "solids"), "solvents": ("solvent",), "VOC limits": ("voc_categories",),
    "statements": ("h_statements",), "precautions": ("p_statements",), "eyes": ("eye_protection",),
    "breathing": ("breathing_protection",), "not beside": ("incompatible",),
    "transport": ("un_number", "transport_class", "packing_group"),
}  # fmt: skip
"""The fields shown by a label of the card, if they differ from the label's own word."""


def noted(texts: dict[str, str], inherited: Sequence[str] = ()) -> list[CardFact]:
    """The noted facts of a product or of a line; inherited ones are marked.

    Args:
        texts: the fields by the keys of `entry.read`.
        inherited: the fields that are the line's.
    """
    joined = {
        N_("code"): texts.get("code", ""),
        N_("colour"): texts.get("color", ""),
        N_("sold in"): texts["packs"].replace("=", " at "),
        N_("from"): _with(texts["supplier"], texts["lead_time"], " in "),
        N_("maker"): texts["maker"],
        N_("burns"): _with(
            texts["flash_point"].replace("none", _("no flash point")),
            texts["boiling_point"],
            _(", boils at "),
        ),
        N_("pH"): texts["ph"],
        N_("keeps"): _keeps(texts),
        N_("thinned with"): texts["usual_reducer"],
        N_("drops per ml"): texts["drops_per_ml"],
        N_("density"): texts["density"] and f"{texts['density']} g/ml",
        N_("made of"): ", ".join(
            f"{texts[key]} {_(key)}" for key in (N_("water"), N_("solids")) if texts[key]
        ),
        N_("solvents"): texts["solvent"].replace("=", " "),
        N_("groups"): texts["groups"],
        N_("VOC limits"): texts["voc_categories"],
        N_("not with"): texts["not_with"],
        **_warned_of(texts),
        N_("note"): texts["note"],
    }
    for what in ("from", "burns", "keeps", "made of", "solvents"):
        joined[what] = spelt(joined[what])
    return [
        CardFact(_(what), text + _from_line(what, texts, inherited), swatch=text if what == "colour" else "")
        for what, text in joined.items()
        if text
    ]


def _from_line(what: str, texts: dict[str, str], inherited: Sequence[str]) -> str:
    """The inherited fields of a label, in words; empty if there are none."""
    given = [key for key in FIELDS_OF.get(what, (what.replace(" ", "_"),)) if texts.get(key)]
    taken = [key for key in given if key in inherited]
    if not taken:
        return ""
    which = "" if taken == given else f"{', '.join(key.replace('_', ' ') for key in taken)} "
    return _(" ({which}from the line)", which=which)


def _warned_of(texts: dict[str, str]) -> dict[str, str]:
    """The facts of sections 2, 8, 10 and 14 of its safety sheet."""
    number, kind, group = (texts[key] for key in ("un_number", "transport_class", "packing_group"))
    parts = (
        number and f"UN {number}",
        kind and _("class {kind}", kind=kind),
        group and _("packing group {group}", group=group),
    )
    return {
        N_("signal word"): texts["signal_word"],
        N_("statements"): _said(texts["h_statements"], hazard_statements.text_of),
        N_("precautions"): _said(texts["p_statements"], precautionary_statements.text_of),
        N_("pictograms"): texts["pictograms"],
        N_("gloves"): texts["gloves"],
        N_("eyes"): texts["eye_protection"],
        N_("breathing"): texts["breathing_protection"],
        N_("not beside"): texts["incompatible"],
        N_("transport"): _("no dangerous goods")
        if number == "none"
        else ", ".join(part for part in parts if part),
    }


def _said(codes: str, text_of: Callable[[list[str]], str]) -> str:
    """Statements with their texts; `none` and nothing as they are."""
    return codes if codes in ("", "none") else text_of(codes.split())


def _with(one: str, other: str, between: str) -> str:
    if not other:
        return one
    return f"{one}{between}{other}" if one else f"{between.strip(' ,')} {other}"


def _keeps(texts: dict[str, str]) -> str:
    parts = (
        texts["sealed_life"] and _("{sealed_life} unopened", sealed_life=texts["sealed_life"]),
        texts["opened_life"] and _("{opened_life} opened", opened_life=texts["opened_life"]),
        texts["pot_life"] and _("{pot_life} mixed", pot_life=texts["pot_life"]),
        texts["store_at"] and _("at {replace}", replace=texts["store_at"].replace("..", " to ")),
    )
    return ", ".join(part for part in parts if part)


def _on_hand(held: Sequence[Any]) -> str:
    return f"{ml(Microlitres(sum(view.on_hand_ul for view in held)))} ml"


def _sheets_in_words(revisions: Sequence[Any]) -> str:
    if not revisions:
        return _("none entered: press s")
    return _(
        "{revisions}, the newest of {revised_on}",
        revisions=count(len(revisions), "revision"),
        revised_on=short_day(revisions[0].revised_on),
    )
