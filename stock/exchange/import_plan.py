"""The plan of an import, made before it is booked: the person's wishes, the findings, and the records to make."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from hashlib import sha256
from itertools import islice
from typing import Any

from stock import units
from stock.exchange import mix_rows, stock_rows
from stock.exchange.badrows import Sieve
from stock.exchange.earlier_stock import CameBefore
from stock.exchange.figures import Figures, Manner
from stock.exchange.known_rows import Correction
from stock.exchange.mapping import Meaning
from stock.exchange.not_taken import NotTaken
from stock.exchange.product_rows import Range
from stock.exchange.spreadsheet import Spreadsheet
from stock.exchange.term_rows import SupplierTerms
from stock.grammar import in_figures
from stock.language import _
from stock.money import minor_of, show_money
from stock.notation import in_thousands
from stock.shelf.studio import Settings
from stock.units import Microlitres

MOST_KEPT = 20_000
"""Rows of stock that are kept between looking and booking; more are read from the file again."""
MOST_LISTED = 200
"""The most products whose sums a plan lists one by one."""


@dataclass(frozen=True, slots=True)
class Wishes:
    """A person's choices for a file: how to read it, and which records may be made for it.

    `make` allows making products and places that the books don't have; `role` is the role of new products in a file of
    stock without a role column. `unit` is the unit of bare figures. `again` books a file that was booked before.
    `head` is the line of the heads, `sheet` the name of a workbook's sheet; `answers` are `QUESTION=READING`.
    `take` are lines to read although they look like titles or totals. `take_good` books the good rows without
    the bad ones. `mended` are corrected cells, each with its line and the place of its column.
    """

    kind: str | None = None
    maps: Sequence[str] = ()
    encoding: str | None = None
    delimiter: str | None = None
    decimal: str | None = None
    days: str | None = None
    unit: str | None = None
    make: bool = False
    role: str | None = None
    recall: bool = True
    again: bool = False
    head: int | None = None
    sheet: str | None = None
    answers: Sequence[str] = ()
    take: Sequence[int] = ()
    take_good: bool = False
    mended: Sequence[tuple[int, int, str]] = ()


@dataclass(slots=True)
class Sum:
    """Bottles, their microlitres, and the cost of those with a price in the currency's minor unit."""

    bottles: int = 0
    volume_ul: Microlitres = Microlitres(0)
    value_minor: int = 0
    without_price: int = 0

    def add(self, count: int, volume_ul: Microlitres, price_minor: int | None) -> None:
        """Count bottles of `volume_ul` each."""
        self.bottles += count
        self.volume_ul = Microlitres(self.volume_ul + count * volume_ul)
        if price_minor is None:
            self.without_price += count
        else:
            self.value_minor += count * price_minor

    def as_json(self, currency: str) -> dict[str, Any]:
        """In millilitres and in the currency."""
        value = self.value_minor / 10 ** units.minor_digits(currency)
        return {
            "bottles": self.bottles,
            "volume_ml": units.ml(self.volume_ul),
            "value": value,
            "without_price": self.without_price,
        }


def sum_in_words(total: Mapping[str, Any], currency: str) -> str:
    """Bottles, their volume, and the cost of those with a price: `3 bottles, 90 ml, 23.70 EUR`.

    Args:
        total: as `Sum.as_json` gives it.
        currency: the studio's.
    """
    bottles = (
        _("1 bottle")
        if total["bottles"] == 1
        else _("{bottles} bottles", bottles=in_thousands(total["bottles"]))
    )
    money = f", {show_money(minor_of(total['value'], currency), currency)}" if total["value"] else ""
    unpriced = (
        _(" ({without_price} without a price)", without_price=in_thousands(total["without_price"]))
        if money and total["without_price"]
        else ""
    )
    return f"{bottles}, {in_figures(total['volume_ml'])} ml{money}{unpriced}"


@dataclass(slots=True)
class Replaced:
    """Earlier imports of a sheet that are taken back for it, the newest first, and its differences.

    `bottles` is how many they brought; `gone` are those that the sheet no longer lists.
    """

    imports: Sequence[int]
    bottles: int
    differences: Sequence[Correction]
    gone: Sequence[CameBefore]


@dataclass(slots=True)
class ImportPlan:
    """The plan of an import, before it is booked."""

    sheet: Spreadsheet
    meaning: Meaning
    manner: Manner
    wishes: Wishes
    studio: Settings
    now: datetime
    figures: Figures
    rows: int = 0
    bad: Sieve = field(default_factory=Sieve)
    new_products: dict[str, Mapping[str, str]] = field(default_factory=dict)
    new_places: dict[str, str] = field(default_factory=dict)
    names: dict[str, str] = field(default_factory=dict)
    totals: mix_rows.Totals = field(default_factory=mix_rows.Totals)
    not_taken: NotTaken = field(default_factory=NotTaken)
    content: Any = field(default_factory=sha256)
    """A digest of the rows, by which the file is recognised when it is imported again."""
    left_out: set[int] = field(default_factory=set)
    """Lines below the heads that are no rows of ours."""
    range: Range = field(default_factory=Range)
    """The products of a file of products, and the facts of known products in a file of stock."""
    terms: SupplierTerms = field(default_factory=SupplierTerms)
    """The suppliers of a file of terms."""
    came_before: int = 0
    """Rows that are left out because an earlier import booked them."""
    booked_before: bool = False
    """Whether a file with these very rows was booked and stands."""
    corrections: list[Correction] = field(default_factory=list)
    """The corrections of bottles that an earlier import of the file brought."""
    fewer: dict[int, int] = field(default_factory=dict)
    """For rows of which some bottles came before: how many are new, by line."""
    gone: list[CameBefore] = field(default_factory=list)
    """Bottles that the file brought before and no longer lists; they stay as they are."""
    replaces: Replaced | None = None
    """The earlier imports that are taken back for this file, which is then booked whole."""
    bottles: list[tuple[int, stock_rows.BottleRow]] | None = field(default_factory=list)
    """The rows of stock by line, so that booking need not read them again; None for more than `MOST_KEPT`."""
    whole: Sum = field(default_factory=Sum)
    by_product: dict[str, Sum] = field(default_factory=dict)

    def count(self, product: str, count: int, volume_ul: Microlitres, price_minor: int | None) -> None:
        """Count the bottles of a row, in all and by product."""
        for each in (self.whole, self.by_product.setdefault(product, Sum())):
            each.add(count, volume_ul, price_minor)

    def keep(self, line: int, row: stock_rows.BottleRow) -> None:
        """Keep a row of stock for booking, unless there are too many rows."""
        if self.bottles is not None:
            self.bottles.append((line, row))
            if len(self.bottles) > MOST_KEPT:
                self.bottles = None

    def mend(self, line: int, cells: list[str]) -> list[str]:
        """The cells of a row, with corrected cells in place of the original ones."""
        anew = {place: text for row, place, text in self.wishes.mended if row == line}
        return [anew.get(place, cell) for place, cell in enumerate(cells)] if anew else cells

    def as_json(self) -> dict[str, Any]:
        """The plan as `ullage import FILE --dry-run` prints it."""
        heads = self.meaning.heads(self.sheet.heads)
        replaced = self.replaces
        differing = replaced.differences if replaced else self.corrections
        gone = replaced.gone if replaced else self.gone
        return {
            "file": self.sheet.path.name,
            "kind": self.meaning.kind,
            "mapping": heads,
            "remembered": self.meaning.remembered,
            "ignored": [head for head in self.sheet.heads if head and head not in heads.values()],
            "encoding": self.sheet.encoding,
            "encoding_guessed": self.sheet.guessed,
            "delimiter": self.sheet.delimiter or None,
            "sheet": self.sheet.workbook.name if self.sheet.workbook else None,
            "head": self.sheet.head_line,
            "decimal": self.manner.decimal,
            "days": self.manner.order,
            "rows": self.rows,
            "bad_rows": [
                {"line": row.line, "column": row.column or None, "reason": row.reason}
                for row in self.bad.rows
            ],
            "bad_count": len(self.bad.reasons),
            "new_products": [
                {"product": name, "role": given.get("role")}
                for name, given in (*self.new_products.items(), *self._fresh())
            ],
            "changed_products": self.range.changed,
            "kept": self.range.facts.kept + self.terms.kept,
            "new_suppliers": self.terms.fresh,
            "changed_suppliers": [
                name for key, name in self.terms.names.items() if key in self.terms.changes
            ],
            "new_places": list(self.new_places.values()),
            "currency": self.studio.currency,
            **self.whole.as_json(self.studio.currency),
            "by_product": [
                {"product": name, **each.as_json(self.studio.currency)}
                for name, each in islice(self.by_product.items(), MOST_LISTED)
                if each.bottles
            ],
            "not_taken": self.not_taken.as_json(),
            "not_taken_count": self.not_taken.count,
            "questions": [one.as_json() for one in self.figures.questions.open()],
            "corrections": [
                {"row": one.line, "bottle": one.bottle, "product": one.product, "changes": one.words()}
                for one in differing[:MOST_LISTED]
            ],
            "corrected": len(differing),
            "gone": [
                {
                    "bottle": one.bottle,
                    "product": one.product,
                    "on_hand_ml": units.ml(one.on_hand_ul),
                }
                for one in gone[:MOST_LISTED]
            ],
            "gone_count": len(gone),
            "takes_back": list(replaced.imports) if replaced else [],
            "takes_back_bottles": replaced.bottles if replaced else 0,
            "booked": False,
        }

    def _fresh(self) -> list[tuple[str, Mapping[str, Any]]]:
        return [(given["name"], given) for given in self.range.fresh.values()]
