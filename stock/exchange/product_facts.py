"""The facts about known products in a file's rows: new facts are added, differing ones raise a question."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from stock.errors import BadInput
from stock.exchange.figures import Figures
from stock.exchange.product_cells import NAMES, value_of
from stock.exchange.questions import Questions
from stock.language import _
from stock.logbook.import_records import RecordChange
from stock.notation import exactly
from stock.shelf import entry, record_changes, record_texts
from stock.shelf import products as of_books
from stock.text import folded, plain

ANSWERS = ("take the file", "keep the books")
MOST_KEPT = 200


def ask(questions: Questions, lines: Iterable[int]) -> int | None:
    """Ask whether the file or the books are right about a differing fact; None while nobody answered."""
    asked = questions.ask("facts", "", _("whose word counts where the file and the books differ"), ANSWERS)
    if asked.chosen is None:
        for line in lines:
            questions.touch(asked)
            questions.of_row(line)
    return asked.chosen


@dataclass(slots=True)
class RowFacts:
    """The facts of known products in the rows; `changes` are those to book, `kept` those that stay."""

    changes: dict[str, dict[str, Any]] = field(default_factory=dict)
    kept: list[dict[str, str]] = field(default_factory=list)
    _said: dict[str, dict[str, Any]] = field(default_factory=dict)
    _otherwise: list[tuple[int, str, str, str, Any]] = field(default_factory=list)
    _stands: dict[str, Mapping[str, str]] = field(default_factory=dict)

    @exactly()
    def note(self, line: int, name: str, given: Mapping[str, Any], figures: Figures) -> None:
        """Note the facts of a good row.

        Args:
            line: the row's.
            name: the product's in the books.
            given: its facts, as `product_cells.read` gives them.
            figures: how the file is read.
        Raises:
            BadInput: it contradicts a row above it.
        """
        said = self._said.setdefault(name, {})
        refuse_contradiction(name, said, given)
        for key, text in given.items():
            if key in said:
                continue
            said[key] = text
            if name not in self._stands:
                self._stands[name] = record_texts.product(name)
            books = self._stands[name].get(key, "")
            if not books:
                self.changes.setdefault(name, {})[key] = text
            elif not _same(key, books, text, figures):
                self._otherwise.append((line, name, key, books, text))

    def settle(self, questions: Questions) -> None:
        """Ask whether the file or the books are right if they differ, and follow the answer."""
        if not self._otherwise:
            return
        chosen = ask(questions, [line for line, *_ in self._otherwise])
        for __, name, key, books, text in self._otherwise:
            if chosen == 0:
                self.changes.setdefault(name, {})[key] = text
            elif len(self.kept) < MOST_KEPT:
                self.kept.append({"product": name, "field": key, "books": books, "file": str(text)})

    @exactly()
    def book(self) -> list[RecordChange]:
        """Change the products; returns the changes as `import_records` keeps them. Inside `writing()`."""
        found: list[RecordChange] = []
        for name, given in self.changes.items():
            number = of_books.find(name).id
            before = record_changes.texts("product", number)
            of_books.change(name, {key: value_of(key, value) for key, value in given.items()})
            was, now = record_changes.between(before, record_changes.texts("product", number))
            if now:
                found.append(("product", number, was, now))
        return found


def refuse_contradiction(name: str, said: Mapping[str, Any], given: Mapping[str, Any]) -> None:
    """Refuse a row that contradicts a row above it about a product.

    Raises:
        BadInput: names the field.
    """
    for key, text in given.items():
        if folded(str(said.get(key, text))) != folded(str(text)):
            raise BadInput(
                _(
                    "the {replace} of {name} is {said} in a row above",
                    replace=key.replace("_", " "),
                    name=name,
                    said=plain(str(said[key]), 30),
                ),
                remedy=_("Correct one of them"),
            )


def _same(key: str, books: str, text: Any, figures: Figures) -> bool:
    if folded(books) == folded(str(text)):
        return True
    if key in NAMES:
        return False
    studio: dict[str, Any] = {
        "measures": figures.measures, "currency": figures.currency, "today": figures.today(),
    }  # fmt: skip
    one, other = (entry.read({key: value_of(key, each)}, **studio) for each in (books, str(text)))
    return (one.columns, one.solvents, one.not_with) == (other.columns, other.solvents, other.not_with)
