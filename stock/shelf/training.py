"""Trainings of the studio's people and until when they hold: a record that a rule requires.

Diisocyanates: Regulation (EU) 2020/1149 (entry 74 of annex XVII to REACH) asks for training before any industrial or
professional use from 24 August 2023, renewed at least every five years.
"""

from collections.abc import Iterable
from datetime import date
from typing import Any

from stock import units
from stock.errors import BadInput, NotFound
from stock.language import _
from stock.named_tuples import NamedTuple
from stock.notation import show_day
from stock.remedies import Do, Remedy
from stock.spans import Duration
from stock.store.connection import connection, writing
from stock.store.models import Training
from stock.store.words import TRAININGS
from stock.text import folded
from stock.text import name as clean_name

RENEWED = Duration(60, 0)
"""A training in diisocyanates holds for five years at most."""


class Trained(NamedTuple):
    """One person's training; it holds on the day `until`, too."""

    name: str
    subject: str
    trained_on: date
    until: date

    def as_json(self) -> dict[str, Any]:
        """The training for scripts; days as YYYY-MM-DD."""
        return {
            "name": self.name,
            "subject": self.subject,
            "trained_on": self.trained_on.isoformat(),
            "until": self.until.isoformat(),
        }


def everything() -> list[Trained]:
    """All noted trainings, by name."""
    with connection():
        rows = Training.select(Training.name, Training.subject, Training.trained_on, Training.until)
        return [Trained(*row) for row in rows.order_by(Training.name_key, Training.subject).tuples()]


def by(day: date) -> tuple[tuple[str, date], ...]:
    """Who was trained by a day, each with the last day on which it holds.

    A renewal replaces the earlier training, so before the day of the renewal its person isn't listed.
    """
    return tuple((each.name, each.until) for each in everything() if each.trained_on <= day)


def note(
    name: str,
    trained_on: date,
    *,
    until: date | None = None,
    subject: str = TRAININGS[0],
    today: date | None = None,
) -> Trained:
    """Note a person's training; a newer one replaces the earlier note.

    Args:
        name: the person's.
        trained_on: the day on which it was completed.
        until: the last day on which it holds; five years on when None.
        subject: one of `words.TRAININGS`.
        today: the studio's; a training in the days to come is refused.
    Raises:
        BadInput: an unusable name, an unknown subject, a day to come, or an end before it or beyond five years.
    """
    longest = RENEWED.after(trained_on)
    ends = longest if until is None else until
    if subject not in TRAININGS:
        raise BadInput(
            _("{subject!r} is no training that is noted", subject=subject[:30]),
            remedy=_("Write {trainings}", trainings=_(" or ").join(TRAININGS)),
        )
    if today is not None and trained_on > today:
        raise BadInput(
            _("that day is still to come"), remedy=_("Give the day on which the training was completed")
        )
    if not trained_on < ends <= longest:
        raise BadInput(
            _("a training ends after its day and within five years"),
            remedy=_("Give a day up to {longest}, or leave it out", longest=show_day(longest)),
        )
    shown = clean_name(name, what=_("person's name"))
    with connection(), writing():
        mine = (Training.name_key == folded(shown)) & (Training.subject == subject)
        Training.delete().where(mine).execute()
        Training.insert(
            name=shown, name_key=folded(shown), subject=subject, trained_on=trained_on, until=ends
        ).execute()
    return Trained(shown, subject, trained_on, ends)


ACCEPTED = _("a name and the day of the training, as Ana Reis 2026-02-01; further ones after a semicolon")


def written(found: Iterable[Trained]) -> str:
    """Trainings as one line that `read_line` reads back."""
    return "; ".join(f"{each.name} {show_day(each.trained_on)}" for each in found)


def read_line(text: str, today: date) -> list[tuple[str, date]]:
    """Names with the day on which each was trained, from one line; none from an empty one.

    Raises:
        BadInput: a part without a name or a day that can be read.
    """
    found = []
    for part in filter(None, (part.strip() for part in text.split(";"))):
        name, __, day = part.rpartition(" ")
        if not name:
            raise BadInput(
                _("{part!r} is no name with a day", part=part[:30]),
                remedy=_("Write {accepted}", accepted=ACCEPTED),
            )
        found.append((clean_name(name, what=_("person's name")), units.day(day, today)))
    return found


def keep(text: str, today: date) -> list[Trained]:
    """Replace the trainings by those of one line; an unchanged entry keeps its noted end.

    Raises:
        BadInput: a part that can't be read, or a day to come; then nothing is changed.
    """
    given = read_line(text, today)
    before = {(folded(each.name), each.trained_on): each.until for each in everything()}
    with connection(), writing():
        Training.delete().where(Training.subject == TRAININGS[0]).execute()
        for name, day in given:
            note(name, day, until=before.get((folded(name), day)), today=today)
    return everything()


def forget(name: str, *, subject: str = TRAININGS[0]) -> None:
    """Take a person's training out of the books.

    Raises:
        NotFound: none is noted.
    """
    with connection(), writing():
        mine = (Training.name_key == folded(name)) & (Training.subject == subject)
        if not Training.delete().where(mine).execute():
            raise NotFound(
                _("no training of {name} is noted", name=name[:40]),
                remedy=Remedy(Do("training list"), _(" shows those that are")),
            )
