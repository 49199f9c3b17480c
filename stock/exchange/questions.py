"""Questions about cells of a spreadsheet that have two readings, asked with both readings and the cells' rows.

A question's id is the field and a number in the order of the file, `size-1`; it stays the same for the same file.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import Any

from stock.errors import BadInput
from stock.language import _
from stock.remedies import Option, Remedy
from stock.text import folded, plain

MOST_ROWS = 100
"""Rows that a question names; the others are counted."""


@dataclass(slots=True)
class Question:
    """A text that can be read in several ways; `chosen` is the index of the reading that a person chose."""

    id: str
    about: str
    readings: tuple[str, ...]
    chosen: int | None = None
    rows: list[int] = field(default_factory=list)
    count: int = 0

    def as_json(self) -> dict[str, Any]:
        """The question for the import's answer."""
        return {
            "id": self.id,
            "about": self.about,
            "readings": list(self.readings),
            "rows": list(self.rows),
            "row_count": self.count,
        }


class Unanswered(BadInput):
    """There are open questions; nothing is booked."""

    code = "unanswered"

    def __init__(self, questions: Sequence[Question], file: str) -> None:
        first = questions[0]
        rows = ", ".join(map(str, first.rows[:5])) + (", ..." if first.count > 5 else "")
        super().__init__(
            _(
                "{file} raises a question: {about} (row {rows}): {readings}",
                file=plain(file, 100),
                about=first.about,
                rows=rows,
                readings=_(" or ").join(first.readings),
            ),
            remedy=Remedy(
                _("Say which "),
                Option("answer", f"{first.id}={first.readings[0]}"),
                _("; nothing was booked"),
            ),
        )
        self.lines = [f"{one.id}: {one.about}: {' or '.join(one.readings)}" for one in questions[1:]]
        self.data = {"questions": [one.as_json() for one in questions]}


class Questions:
    """The questions of one file, and the answers that a person gave."""

    def __init__(self, answers: Iterable[str] = ()) -> None:
        """`answers` are `QUESTION=READING`.

        Raises:
            BadInput: one without an equals sign.
        """
        self._answers: dict[str, str] = {}
        for text in answers:
            name, sign, reading = text.partition("=")
            if not sign or not reading.strip():
                raise BadInput(
                    _("{text!r} answers no question", text=plain(text, 60)),
                    remedy=_("Write QUESTION=READING, as size-1='1000 ml'"),
                )
            self._answers[folded(name)] = _run_together(reading)
        self._known: dict[tuple[str, str], Question] = {}
        self._of_field: dict[str, int] = {}
        self._touched: list[Question] = []
        self._misread: list[Question] = []

    def ask(self, name: str, text: str, about: str, readings: Sequence[str]) -> Question:
        """The question about a text of a field; it is the same for the same text."""
        found = self._known.get((name, text))
        if found is None:
            self._of_field[name] = number = self._of_field.get(name, 0) + 1
            found = Question(f"{name.replace('_', '-')}-{number}", about, tuple(readings))
            said = self._answers.get(folded(found.id))
            if said is not None:
                found.chosen = _meant(said, [_run_together(one) for one in readings])
                if found.chosen is None:
                    self._misread.append(
                        found
                    )  # `refuse_strange` reports it, because it is not an error of a row
            self._known[name, text] = found
        return found

    def begin_again(self) -> None:
        """Forget which rows raised the questions, for a file that is read from its beginning again."""
        for one in self._known.values():
            one.count = 0
            one.rows.clear()

    def touch(self, question: Question) -> None:
        """Note that the row that is being read raises the question."""
        if question not in self._touched:
            self._touched.append(question)

    def of_row(self, row: int) -> bool:
        """Whether the row that was just read raised an open question, which then lists the row."""
        raised = bool(self._touched)
        for question in self._touched:
            question.count += 1
            if len(question.rows) < MOST_ROWS:
                question.rows.append(row)
        self._touched.clear()
        return raised

    def open(self) -> list[Question]:
        """The questions without an answer, in the order of the file."""
        return [one for one in self._known.values() if one.chosen is None and one.count]

    def refuse_strange(self) -> None:
        """Refuse an answer that is none of its question's readings, or to a question that the file doesn't raise.

        Raises:
            BadInput: with the readings, or the ids that there are.
        """
        for one in self._misread:
            raise BadInput(
                _("the answer to {id} is none of its readings", id=one.id),
                remedy=Remedy(_("Say one of "), Option("answer", f"{one.id}={' | '.join(one.readings)}")),
            )
        ids = {folded(one.id): one.id for one in self._known.values()}
        strange = [name for name in self._answers if name not in ids]
        if strange:
            listed = ", ".join(ids.values()) or "none"
            raise BadInput(
                _("this file raises no question {strange!r}", strange=plain(strange[0], 40)),
                remedy=_("Its questions: {listed}", listed=listed),
            )


def _meant(said: str, readings: Sequence[str]) -> int | None:
    """The index of the reading that was typed: whole, or its first letters if no other reading begins so."""
    if said in readings:
        return readings.index(said)
    begun = [at for at, one in enumerate(readings) if said.isalpha() and one.startswith(said)]
    return begun[0] if len(begun) == 1 else None


def _run_together(text: str) -> str:
    return "".join(folded(text).split())
