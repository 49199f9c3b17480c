"""Suppliers: their terms, and the products bought from them."""

from collections.abc import Callable, Iterable, Sequence
from typing import Any

from stock.language import _
from tui.dialogs.record_form import Opening, RecordForm, nothing
from tui.drawing.figures import spelt
from tui.records.record_card import Card, CardFact, CardHead, CardSentence
from tui.records.record_kind import RecordKind
from tui.widgets import field_readers
from tui.widgets.fields import Field, such_as
from tui.widgets.rows import Cell, ListColumn


class SupplierForm(RecordForm):
    """A supplier's name and terms."""

    def head(self) -> str:
        return _("A new supplier") if self.fresh else self.before["name"]

    def first(self) -> Iterable[Field]:
        yield self.field("name", _("Name"), read=field_readers.name(_("supplier's name")), blank=False)
        yield self._asked("lead_time", _("Lead time"), example="7d", hint=_("From order to delivery."))
        yield self._asked(
            "order_days", _("Order days"), example=such_as(_("mon thu")), hint=_("Empty: on any day.")
        )
        yield self._asked("shipping", _("Shipping"), example="6.90", hint=_("What each shipment costs."))
        yield self._asked(
            "free_shipping_from", _("Free from"), example="60", hint=_("The order value that ships free.")
        )

    def _asked(self, key: str, label: str, **more: Any) -> Field:
        return self.field(key, label, read=field_readers.of_supplier(key), **more)

    def errand(self) -> Callable[[], str]:
        """Enter the supplier, or correct it."""
        from stock.shelf import suppliers
        from stock.shelf.studio import settings

        texts = self.typed()
        name = texts.pop("name", None)
        before = self.before.get("name")

        def put() -> str:
            terms = suppliers.read(texts, settings().currency)
            if before is None:
                suppliers.add(str(name), **terms)
                return _("{name} was entered as a supplier", name=name)
            suppliers.change(before, rename=name, **terms)
            return _("{name} is corrected", name=name or before)

        return put


class Suppliers(RecordKind[Any]):
    """All suppliers by name."""

    NAME = _("Suppliers")
    WIDE = (
        ListColumn(_("supplier")),
        ListColumn(_("lead time"), 10),
        ListColumn(_("products"), 9, right=True),
    )
    NARROW = (ListColumn(_("supplier")), ListColumn(_("lead"), 6))
    EMPTY = _("No supplier yet: press n, or name one on a product.")

    def read(self) -> Sequence[Any]:
        """All suppliers, and the products of each."""
        from stock.shelf import products, suppliers

        self._sells: dict[int, list[Any]] = {}
        for row in products.everything():
            if row.supplier_id:
                self._sells.setdefault(row.supplier_id, []).append(row)
        return suppliers.everything()

    def ident(self, item: Any) -> int:
        return int(item.id)

    def letters(self, item: Any) -> str:
        return str(item.name)

    def cells(self, item: Any, wide: bool) -> Sequence[Cell]:
        """Name and lead time."""
        row = (item.name, item.lead_time or "-", str(len(self._sells.get(item.id, ()))))
        return row if wide else row[:2]

    def card(self, item: Any) -> Card:
        """Terms, then each product with its sizes and prices."""
        from stock.forecast.ordering import ASSUMED_DAYS
        from stock.shelf import products, record_texts
        from stock.shelf.studio import settings

        currency = settings().currency
        terms = record_texts.supplier(item, currency)
        sells = self._sells.get(item.id, [])
        card: list[Any] = [
            CardHead(item.name),
            CardFact(
                _("lead time"),
                spelt(terms["lead_time"])
                or _("unknown: {assumed_days} d until orders show it", assumed_days=ASSUMED_DAYS),
            ),
            CardFact(_("order days"), terms["order_days"] or _("on any day")),
            CardFact(
                _("shipping"),
                f"{terms['shipping']} {currency}" if terms["shipping"] else _("unknown: counts as 0"),
            ),
        ]
        if terms["free_shipping_from"]:
            card.append(CardFact(_("free from"), f"{terms['free_shipping_from']} {currency}"))
        card.append(CardHead(_("Sells"), _("a product's own record has its sizes and prices")))
        packs = products.packs_of([row.id for row in sells])
        for row in sells:
            sold = ", ".join(
                record_texts.pack(*one, currency).replace("=", " at ") for one in packs.get(row.id, ())
            )
            lead = _(", in {lead_time}", lead_time=row.lead_time) if row.lead_time else ""
            card.append(CardSentence(f"{row.name}: {sold or _('no size noted')}{lead}"))
        return card if sells else [*card, CardSentence(_("No product has this supplier."), "quiet")]

    def new(self, item: Any) -> Opening:
        del item
        return nothing, lambda _: SupplierForm()

    def correct(self, item: Any) -> Opening:
        """Correct its name and terms."""

        def learn() -> dict[str, str]:
            from stock.shelf import record_texts, suppliers
            from stock.shelf.studio import settings

            return record_texts.supplier(suppliers.find(item.name), settings().currency)

        return learn, SupplierForm
