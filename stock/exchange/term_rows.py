"""A spreadsheet of suppliers' terms: each row is a supplier, how long it takes, when it sells, what shipping costs.

Terms that the books don't have yet are added; differing ones raise a question.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction

from stock.errors import BadInput
from stock.exchange import product_facts
from stock.exchange.figures import Figures
from stock.exchange.product_facts import refuse_contradiction
from stock.exchange.questions import Questions
from stock.grammar import pointed
from stock.language import _
from stock.logbook.import_records import ImportRecords, RecordChange
from stock.notation import exactly
from stock.shelf import record_changes, record_texts, suppliers
from stock.store.models import Supplier
from stock.text import folded
from stock.text import name as clean_name
from stock.units import minor_digits

MONEY = ("shipping", "free_shipping_from")
WEEKDAYS: Mapping[str, str] = {
    "monday": "mon", "montag": "mon", "mo": "mon", "tuesday": "tue", "dienstag": "tue", "di": "tue", "tues": "tue",
    "wednesday": "wed", "mittwoch": "wed", "mi": "wed", "thursday": "thu", "donnerstag": "thu", "do": "thu",
    "thur": "thu", "thurs": "thu", "friday": "fri", "freitag": "fri", "fr": "fri", "saturday": "sat",
    "samstag": "sat", "sa": "sat", "sunday": "sun", "sonntag": "sun", "so": "sun",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class TermRow:
    """One row, read: the supplier's name, and its terms as `suppliers.read` takes them."""

    name: str
    given: Mapping[str, str]


def read(cell: Mapping[str, str], figures: Figures) -> TermRow:
    """Read one row.

    Raises:
        BadInput: the first cell that can't be read, and why.
    """
    if "supplier" not in cell:
        raise BadInput(_("the supplier is empty"), remedy=_("Fill it in, or take the row out"))
    given: dict[str, str] = {}
    if "lead_time" in cell:
        given["lead_time"] = figures.plain(
            "lead_time", cell["lead_time"], lambda text: _checked("lead_time", text, figures)
        )
    if "order_days" in cell:
        words = cell["order_days"].replace(",", " ").replace("/", " ").replace("+", " ").split()
        days = " ".join(WEEKDAYS.get(folded(word).strip("."), word) for word in words)
        given["order_days"] = figures.text(
            "order_days", days, lambda text: _checked("order_days", text, figures)
        )
    for key in MONEY:
        if key in cell:
            minor = figures.money(key, cell[key])
            given[key] = pointed(Fraction(minor, 10 ** minor_digits(figures.currency)))
    return TermRow(clean_name(cell["supplier"], what=_("supplier's name")), given)


def _checked(key: str, text: str, figures: Figures) -> str:
    suppliers.read({key: text}, figures.currency)
    return text


@dataclass(slots=True)
class SupplierTerms:
    """The terms of a file by supplier: those of new suppliers, and additions and differences of known ones."""

    said: dict[str, dict[str, str]] = field(default_factory=dict)
    names: dict[str, str] = field(default_factory=dict)
    fresh: list[str] = field(default_factory=list)
    kept: list[dict[str, str]] = field(default_factory=list)
    changes: dict[str, dict[str, str]] = field(default_factory=dict)
    _lines: dict[str, int] = field(default_factory=dict)

    def accept(self, line: int, row: TermRow) -> None:
        """Add one row.

        Raises:
            BadInput: it contradicts a row above it.
        """
        key = folded(row.name)
        said = self.said.setdefault(key, {})
        refuse_contradiction(row.name, said, row.given)
        said |= row.given
        self.names.setdefault(key, row.name)
        self._lines.setdefault(key, line)

    @exactly()
    def settle(self, questions: Questions, currency: str) -> None:
        """Compare with the books, and ask which is right if they differ."""
        known = {row.name_key: row for row in suppliers.everything()}
        otherwise: list[tuple[str, str, str, str]] = []
        for key, given in self.said.items():
            row = known.get(key)
            if row is None:
                self.fresh.append(self.names[key])
                self.changes[key] = given
                continue
            stands = record_texts.supplier(row, currency)
            for name, text in given.items():
                if not stands[name]:
                    self.changes.setdefault(key, {})[name] = text
                elif suppliers.read({name: text}, currency) != suppliers.read({name: stands[name]}, currency):
                    otherwise.append((key, name, stands[name], text))
        chosen = (
            product_facts.ask(questions, [self._lines[key] for key, *_ in otherwise]) if otherwise else None
        )
        for key, name, books, text in otherwise:
            if chosen == 0:
                self.changes.setdefault(key, {})[name] = text
            else:
                self.kept.append({"supplier": known[key].name, "field": name, "books": books, "file": text})

    @exactly()
    def book(self, currency: str) -> ImportRecords:
        """Make and change the suppliers; returns the changes. Inside `writing()`."""
        records = ImportRecords()
        made = []
        known = {key for (key,) in Supplier.select(Supplier.name_key).tuples()}
        for key, given in self.changes.items():
            if key not in known:
                suppliers.add(self.names[key], **suppliers.read(given, currency))
                made.append(Supplier.get(Supplier.name_key == key).id)
                continue
            number = Supplier.get(Supplier.name_key == key).id
            before = record_changes.texts("supplier", number)
            suppliers.change(self.names[key], **suppliers.read(given, currency))
            was, now = record_changes.between(before, record_changes.texts("supplier", number))
            change: RecordChange = ("supplier", number, was, now)
            records.changed.append(change)
        if made:
            records.made["supplier"] = made
        return records
