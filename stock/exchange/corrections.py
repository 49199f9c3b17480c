"""A corrected sheet of stock that is imported again: which of its rows are on the shelf already, and what changed.

A row is recognised by its label, or by product, size and lot. If several rows match, unchanged ones are paired first,
and the others in their order. The stock is never booked twice without a question.
"""

from collections import Counter, defaultdict, deque
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Any

from stock.errors import BadInput
from stock.exchange import product_facts
from stock.exchange.earlier_stock import CameBefore, of_imports
from stock.exchange.import_plan import ImportPlan, Replaced
from stock.exchange.known_rows import Correction, EarlierRow, against, came_otherwise, odd, staying
from stock.exchange.stock_rows import BottleRow
from stock.language import _
from stock.logbook import import_records
from stock.notation import show_day
from stock.remedies import Do, Remedy
from stock.text import folded

ANSWERS = ("book the differences", "book every row as new bottles")
ARRIVED = ("keep what the books have", "take the earlier import back and book the file anew")
EMPTIED = ("keep what the books have", "empty it in the books, too")
AMOUNTS = ("what is in them now", "what was in them when they came")
FEW = 3
"""In a file of another name, so many rows and half of the file must have come before until the question is asked."""


@dataclass(slots=True)
class EarlierStock:
    """The bottles that imported files put on the shelf, each taken by one row of the file that comes now."""

    plan: ImportPlan
    _by_label: dict[str, CameBefore] = field(default_factory=dict)
    _by_kind: dict[tuple[str, int, str], list[CameBefore]] = field(default_factory=lambda: defaultdict(list))
    _files: dict[int, tuple[str, str]] = field(default_factory=dict)
    _rows: list[tuple[int, BottleRow]] = field(default_factory=list)

    def load(self) -> None:
        """Read the bottles that earlier files brought, if this file could be one of them again."""
        if self.plan.meaning.kind != "stock" or self.plan.wishes.again or self.plan.replaces:
            return
        self._files, came = of_imports()
        for one in came:
            self._by_kind[one.product, one.size_ul, one.lot].append(one)
            if one.label is not None:
                self._by_label[one.label] = one

    def knows(self, row: BottleRow) -> bool:
        """Whether a bottle that an earlier file brought has the row's label."""
        return row.label is not None and row.label in self._by_label

    def note(self, line: int, row: BottleRow) -> None:
        """Note a good row if it may have come before."""
        if self.knows(row) or (folded(row.product), row.size_ul, row.lot) in self._by_kind:
            self._rows.append((line, row))

    def settle(self, rows: int) -> None:
        """Ask what to do with the rows that came before, and follow the answer.

        Args:
            rows: how many rows of stock the file has.
        """
        known = self._paired()
        if not known:
            return
        number, many = Counter(each.came[0].number for each in known).most_common(1)[0]
        workbook = self.plan.sheet.workbook
        name = (self.plan.sheet.path.name, workbook.name if workbook else "")
        if self._files[number] != name and (many < FEW or 2 * many < rows):
            self._refuse_labels(known)
            return
        questions = self.plan.figures.questions
        about = _(
            "what to do with {known} of {rows} rows, which came with import {number}",
            known=len(known),
            rows=rows,
            number=number,
        )
        asked = questions.ask("again", "", about, ANSWERS)
        for each in known:
            if asked.chosen is None:
                questions.touch(asked)
                questions.of_row(each.line)
        if asked.chosen == 1:
            self._refuse_labels(known)
            return
        self._name_what_is_gone(known, {number} | {at for at, file in self._files.items() if file == name})
        if self._ask_of_days(known):
            self._replace(known)
        else:
            self._correct(known)

    def _paired(self) -> list[EarlierRow]:
        """The rows with the bottles that came of them, in the order of the file."""
        found: dict[int, EarlierRow] = {}
        taken: set[int] = set()
        rest: dict[tuple[str, int, str], list[tuple[int, BottleRow]]] = defaultdict(list)
        for line, row in self._rows:
            labelled = self._by_label.get(row.label) if row.label is not None else None
            if labelled is None:
                rest[folded(row.product), row.size_ul, row.lot].append((line, row))
            elif labelled.bottle not in taken:
                taken.add(labelled.bottle)
                found[line] = EarlierRow(line, row, [labelled])
        for kind, rows in rest.items():
            free = [one for one in self._by_kind.get(kind, ()) if one.bottle not in taken]
            alike: dict[Any, deque[CameBefore]] = defaultdict(deque)
            for one in free:
                alike[one.left_ul, folded(one.place)].append(one)
            for pick in (
                lambda row, alike=alike: alike[row.left_ul, folded(row.place)],
                lambda _, free=deque(free): free,
            ):
                self._pair(rows, pick, found, taken)
        return [found[line] for line in sorted(found)]

    @staticmethod
    def _pair(
        rows: Sequence[tuple[int, BottleRow]],
        pick: Callable[[BottleRow], deque[CameBefore]],
        found: dict[int, EarlierRow],
        taken: set[int],
    ) -> None:
        """Pair each row with bottles that `pick` selects, until it has its count."""
        for line, row in rows:
            mine = found.get(line)
            waiting, passed = pick(row), []
            while waiting and (mine is None or len(mine.came) < row.count):
                one = waiting.popleft()
                if one.bottle in taken:
                    continue
                if row.label is not None and one.label is not None:
                    passed.append(one)
                    continue
                taken.add(one.bottle)
                if mine is None:
                    mine = found[line] = EarlierRow(line, row, [])
                mine.came.append(one)
            waiting.extendleft(reversed(passed))

    def _ask_of_days(self, earlier: Sequence[EarlierRow]) -> bool:
        """Ask whether to book another day of arrival, for which the earlier import is taken back.

        A delivery is one booking of all bottles of a day, and its day is never edited.
        """
        differing = [(each, one) for each in earlier for one in each.came if came_otherwise(each.row, one)]
        if not differing:
            return False
        questions, (each, one) = self.plan.figures.questions, differing[0]
        about = _(
            "what another day of arrival means; bottle {bottle} came on {before}, now the file says {now}",
            bottle=one.bottle,
            before=show_day(one.received_on),
            now=show_day(each.row.received),
        )
        asked = questions.ask("arrived", "", about, ARRIVED)
        for line in dict.fromkeys(each.line for each, _one in differing):
            if asked.chosen is None:
                questions.touch(asked)
                questions.of_row(line)
        return asked.chosen == 1

    def _replace(self, earlier: Sequence[EarlierRow]) -> None:
        """Note the earlier imports to take back, the file's differences, and the bottles that it lacks."""
        brought = {one.bottle: one for kind in self._by_kind.values() for one in kind}
        numbers = {one.number for each in earlier for one in each.came}
        mine = {bottle for bottle, one in brought.items() if one.number in numbers}
        for number in self._files:
            if mine.intersection(bottle for bottle, *_said in import_records.of(number).said):
                numbers.add(number)
        mine = {bottle for bottle, one in brought.items() if one.number in numbers}
        differing = []
        for each in earlier:
            for one in each.came:
                found = against(each.line, each.row, one) or Correction.nothing(each.line, each.row, one)
                if came_otherwise(each.row, one):
                    days = one.received_on.isoformat(), each.row.received.isoformat()
                    found.facts = {"received_on": days} | found.facts
                if found.says_anything:
                    differing.append(found)
        kept = {one.bottle for each in earlier for one in each.came}
        gone = [brought[bottle] for bottle in sorted(mine - kept)]
        self.plan.replaces = Replaced(sorted(numbers, reverse=True), len(mine), differing, gone)

    def _correct(self, earlier: Sequence[EarlierRow]) -> None:
        """Note the corrections, and how many bottles of each row are new."""
        plan = self.plan
        differing: list[Correction] = []
        whole: list[tuple[EarlierRow, list[Correction]]] = []
        columns = plan.meaning.places.keys()
        for each in earlier:
            row = each.row
            wrong = next((why for one in each.came if (why := odd(row, one)) is not None), None)
            if wrong is not None:
                self._refuse(each, wrong)
                continue
            stays = staying(row, each.came[0], columns)
            plan.count(row.product, -len(each.came), row.left_ul, row.price_minor)
            if len(each.came) == row.count:
                plan.left_out.add(each.line)
                plan.rows -= 1
                plan.came_before += 1
            else:
                plan.fewer[each.line] = row.count - len(each.came)
            found = [one for came in each.came if (one := against(each.line, row, came, columns)) is not None]
            for one in found:
                one.stays = stays
            differing += found
            if len(each.came) == row.count:
                whole.append((each, found))
        facts = [one for one in differing if one.facts]
        if facts and product_facts.ask(plan.figures.questions, [one.line for one in facts]) == 1:
            for one in facts:
                one.facts.clear()
        self._ask_of_emptied([one for one in differing if one.emptied])
        self._ask_of_amounts([one for one in differing if one.left is not None])
        plan.corrections += [one for one in differing if one.says_anything]
        for each, found in whole:
            if not any(one.says_anything for one in found):
                came = each.came[0]
                came_already = _(
                    "it came with import {number} as bottle {bottle}", number=came.number, bottle=came.bottle
                )
                plan.not_taken.leave(each.line, "; ".join([came_already, *staying(each.row, came, columns)]))

    def _ask_of_emptied(self, differing: Sequence[Correction]) -> None:
        """Ask whether a cell that is empty now takes back its earlier content, or only doesn't repeat it."""
        if not differing:
            return
        questions = self.plan.figures.questions
        first = differing[0]
        about = _(
            "what empty cells mean that said something before; of bottle {bottle} {words}",
            bottle=first.bottle,
            words=_(" and ").join(first.emptied_words()),
        )
        asked = questions.ask("emptied", "", about, EMPTIED)
        for one in differing:
            if asked.chosen is None:
                questions.touch(asked)
                questions.of_row(one.line)
                continue
            if asked.chosen == 1:
                one.place = one.emptied.pop("place", one.place)
                one.facts |= one.emptied
            one.emptied = {}

    def _ask_of_amounts(self, differing: Sequence[Correction]) -> None:
        """Ask whether a changed amount of a bottle that was used since is of now or of the day when it came."""
        used = [one for one in differing if one.left is not None and one.on_hand_ul != one.left[0]]
        if not used:
            return
        questions = self.plan.figures.questions
        about = _(
            "what other amounts are; bottle {bottle} was used since the file came", bottle=used[0].bottle
        )
        asked = questions.ask("amounts", "", about, AMOUNTS)
        for one in used:
            if asked.chosen is None:
                questions.touch(asked)
                questions.of_row(one.line)
            elif asked.chosen == 1:
                one.of_then = True
                if one.measured_ul() < 0:
                    named, reason = (
                        self.plan.sheet.named,
                        _("more was taken from bottle {bottle} than that", bottle=one.bottle),
                    )
                    remedy = Remedy(
                        _("Count it, as "),
                        Do("bottle count", one.bottle, "20ml"),
                        _(", and take the row out"),
                    )
                    error = BadInput(reason, remedy=remedy)
                    self.plan.bad.refuse(named, one.line, error)

    def _name_what_is_gone(self, earlier: Sequence[EarlierRow], imports: set[int]) -> None:
        """Name the bottles that the sheet no longer lists; they stay in the books."""
        kept = {one.bottle for each in earlier for one in each.came}
        for kind in self._by_kind.values():
            self.plan.gone += [
                one for one in kind if one.number in imports and one.bottle not in kept and one.on_hand_ul
            ]
        self.plan.gone.sort(key=lambda one: one.bottle)

    def _refuse_labels(self, earlier: Sequence[EarlierRow]) -> None:
        for each in earlier:
            if each.row.label is not None and each.row.label == each.came[0].label:
                error = BadInput(
                    _("the label {label} is on another bottle", label=each.row.label),
                    remedy=_("Write another"),
                )
                self._refuse(each, error)

    def _refuse(self, each: EarlierRow, error: BadInput) -> None:
        self.plan.count(each.row.product, -each.row.count, each.row.left_ul, each.row.price_minor)
        self.plan.bad.refuse(self.plan.sheet.named, each.line, error)
