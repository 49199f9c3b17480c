"""A sheet of stock that comes again, corrected: which of its rows stand on the shelf already, from an earlier import.

A row is known by its label, or by product, size and lot and how often they came before it in the file. The stock is
never booked twice without a question: rows that came before are left out or told with what differs, and the others
are booked.
"""

from collections import Counter, defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from stock.errors import BadInput
from stock.exchange.import_plan import ImportPlan
from stock.exchange.stock_rows import BottleRow
from stock.grammar import in_full
from stock.logbook import imports
from stock.remedies import Do, Remedy
from stock.store.models import Bottle, Movement, Place, Product
from stock.text import folded

ANSWERS = ("book the other rows", "book every row as new bottles")
FEW = 3
"""So many rows, and half of the file, must have come before in a file of another name until it is asked."""


@dataclass(frozen=True, slots=True)
class CameBefore:
    """A bottle of an earlier import as that import booked it."""

    bottle: int
    number: int
    label: str | None
    left_ul: int
    facts: tuple[Any, ...]


@dataclass(frozen=True, slots=True)
class Known:
    """A row that came before: its bottles then, and what the row says differently now."""

    line: int
    row: BottleRow
    came: Sequence[CameBefore]
    differs: Sequence[str]


class EarlierStock:
    """The bottles that imported files put on the shelf, each taken by one row of the file that comes now."""

    def __init__(self, made: ImportPlan) -> None:
        self.plan = made
        self.known: list[Known] = []
        self._names: dict[int, tuple[str, str]] = {}
        self._by_label: dict[str, CameBefore] = {}
        self._by_kind: dict[tuple[str, int, str], list[CameBefore]] = defaultdict(list)
        self._taken: set[int] = set()
        if made.meaning.kind == "stock" and not made.wishes.again:
            self._load()

    def _load(self) -> None:
        columns = (
            Bottle.id, Bottle.label, Bottle.size_ul, Bottle.lot, Bottle.best_before, Bottle.price_minor,
            Product.name_key, Place.name_key, Movement.change_ul,
        )  # fmt: skip
        for file in imports.files():
            if file.kind != "stock" or not file.stands:
                continue
            one = imports.numbered(file.number)
            self._names[file.number] = file.name, file.sheet
            made_by = Bottle.select(*columns).join(Product).switch(Bottle).left_outer_join(Place)
            made_by = made_by.switch(Bottle).join(Movement, on=(Movement.bottle == Bottle.id))
            made_by = made_by.where(
                Bottle.delivery.between(one.first, one.last) & (Movement.kind == "received")
            )
            for bottle, label, size, lot, best_before, price, product, place, left in made_by.order_by(
                Bottle.id
            ).tuples():
                before = str(best_before) if best_before else None
                came = CameBefore(bottle, file.number, label, left, (before, price, place or ""))
                self._by_kind[product, size, lot].append(came)
                if label is not None:
                    self._by_label[label] = came

    def find(self, line: int, row: BottleRow) -> Known | None:
        """What came before of a row, noted; None where nothing did."""
        labelled = self._by_label.get(row.label) if row.label is not None else None
        if labelled is not None:
            came = [labelled] if labelled.bottle not in self._taken else []
        else:
            kind = (folded(row.product), row.size_ul, row.lot)
            free = [
                one
                for one in self._by_kind.get(kind, ())
                if one.bottle not in self._taken and (one.label is None or row.label is None)
            ]
            came = free[: row.count]
        if not came:
            return None
        self._taken |= {one.bottle for one in came}
        found = Known(line, row, came, _differences(row, came))
        self.known.append(found)
        return found

    def forget(self, line: int) -> None:
        """Take a row back that turned out bad."""
        if self.known and self.known[-1].line == line:
            self._taken -= {one.bottle for one in self.known.pop().came}

    def settle(self, rows: int) -> None:
        """Ask what to do with the rows that came before, and do what the answer says.

        Args:
            rows: how many rows of stock the file has.
        """
        if not self.known:
            return
        number, many = Counter(each.came[0].number for each in self.known).most_common(1)[0]
        workbook = self.plan.sheet.workbook
        same_name = self._names[number] == (self.plan.sheet.path.name, workbook.name if workbook else "")
        if not same_name and (many < FEW or 2 * many < rows):
            self._refuse_labels()
            return
        questions = self.plan.figures.questions
        about = f"what to do with {len(self.known)} of {rows} rows, which came with import {number}"
        asked = questions.ask("again", "", about, ANSWERS)
        for each in self.known:
            if asked.chosen is None:
                questions.touch(asked)
                questions.of_row(each.line)
            elif asked.chosen == 0:
                self._leave_out(each)
        if asked.chosen == 1:
            self._refuse_labels()

    def _refuse_labels(self) -> None:
        for each in self.known:
            if each.row.label is not None and each.row.label == each.came[0].label:
                error = BadInput(f"the label {each.row.label} is on another bottle", remedy="Write another")
                self._refuse(each, error)

    def _leave_out(self, each: Known) -> None:
        first = each.came[0]
        if not each.differs:
            self._uncount(each)
            self.plan.left_out.add(each.line)
            self.plan.rows -= 1
            self.plan.came_before += 1
            self.plan.not_taken.leave(
                each.line, f"it came with import {first.number} as bottle {first.bottle}"
            )
            return
        size = f"{in_full(each.row.left_ul / 1_000)}ml"
        self._refuse(
            each,
            BadInput(
                f"bottle {first.bottle} came of it with import {first.number}, and {', '.join(each.differs)}",
                remedy=Remedy(
                    "Correct that bottle, as ",
                    Do("bottle count", first.bottle, size),
                    ", and take the row out",
                ),
            ),
        )

    def _refuse(self, each: Known, error: BadInput) -> None:
        self._uncount(each)
        self.plan.bad.refuse(self.plan.sheet.named, each.line, error)

    def _uncount(self, each: Known) -> None:
        self.plan.count(each.row.product, -each.row.count, each.row.left_ul, each.row.price_minor)


def _differences(row: BottleRow, came: Sequence[CameBefore]) -> list[str]:
    """What a row says otherwise than it did when its bottles came, in words."""
    first, found = came[0], []
    if len(came) < row.count:
        found.append(f"it was {len(came)} of {row.count} bottles")
    if row.left_ul != first.left_ul:
        found.append(
            f"{in_full(first.left_ul / 1_000)} ml were left, now {in_full(row.left_ul / 1_000)} ml are"
        )
    before, price, place = first.facts
    now = (row.best_before.isoformat() if row.best_before else None, row.price_minor, folded(row.place))
    words = ("the day it is best before", "the price", "the place")
    found += [
        f"{what} is another"
        for what, old, new in zip(words, (before, price, place), now, strict=True)
        if old != new
    ]
    return found
