"""The mixes that a job still needs, in order (base, mid, shade). Each is a recipe and a size.

An entry is done once a mix of that recipe is booked to the job; if that mix is taken back, the entry waits again. The
queue is only a note: it changes no volume and no forecast.
"""

from collections.abc import Sequence
from typing import Any

from stock.bench import recipes
from stock.bench.amounts import read_volume
from stock.bench.mixing import MixRequest
from stock.errors import BadInput, NotFound
from stock.language import _
from stock.named_tuples import NamedTuple
from stock.notation import show_day
from stock.remedies import Do, Remedy
from stock.shelf import jobs
from stock.store.connection import connection, reading, writing
from stock.store.models import Job, PlannedMix, Recipe, Undone
from stock.text import plain
from stock.units import Microlitres, ml, show_volume

MOST = 100
"""How many mixes of one job may wait."""


class QueuedMix(NamedTuple):
    """One entry: its number, its job, its recipe and the size of the mix."""

    id: int
    job: str
    recipe: str
    total_ul: Microlitres

    @property
    def words(self) -> str:
        """The entry in a few words."""
        return f"{self.recipe} {show_volume(self.total_ul)}"

    def as_json(self) -> dict[str, Any]:
        """The entry as JSON."""
        return {
            "id": self.id, "job": self.job, "recipe": self.recipe, "total_ml": ml(self.total_ul),
        }  # fmt: skip

    def request(self) -> MixRequest:
        """The request that makes this mix.

        Raises:
            NotFound: the recipe was renamed in the meantime; what `recipes.request` raises.
        """
        return recipes.request(recipes.find(self.recipe), self.total_ul)._replace(job=self.job)


def read_entry(text: str) -> tuple[str, int]:
    """Read `Base=30ml` as (recipe's name, microlitres).

    Raises:
        BadInput: no `=`, or an amount that can't be read.
        NotFound, Ambiguous: the recipe.
    """
    name, sign, amount = text.rpartition("=")
    if not sign or not name.strip():
        raise BadInput(
            _("{text!r} has no amount", text=plain(text, 60)),
            remedy=_('Write a recipe and a size, as "Base=30ml"'),
        )
    return recipes.find(name.strip()).name, read_volume(amount)


def append(job: str, entries: Sequence[tuple[str, int]]) -> list[QueuedMix]:
    """Put mixes at the end of a job's queue; returns all that wait.

    Args:
        job: the job's name or a part of it.
        entries: (recipe's name, microlitres) each.
    Raises:
        NotFound, Ambiguous: the job or a recipe.
        BadInput: the job is closed, a size is not above 0, or too many would wait.
    """
    with connection(), writing():
        row = jobs.find(job)
        if row.closed_on is not None:
            raise BadInput(
                _(
                    "the job {name} is closed since {closed_on}",
                    name=row.name,
                    closed_on=show_day(row.closed_on),
                ),
                remedy=Remedy(_("Open it again: "), Do("job change", row.name, "--open")),
            )
        if len(_waiting(row.name)) + len(entries) > MOST:
            raise BadInput(
                _("at most {most} mixes of a job may wait", most=MOST), remedy=_("Make some of them first")
            )
        for name, total_ul in entries:
            if total_ul <= 0:
                raise BadInput(
                    _("{name}: the amount must be above 0", name=name), remedy=_("Write it as Base=30ml")
                )
            recipe = Recipe.get(Recipe.name == recipes.find(name).name)
            PlannedMix.create(job=row.id, recipe=recipe.id, total_ul=total_ul)
        return _waiting(row.name)


def drop(number: int) -> QueuedMix:
    """Take an entry out of its queue.

    Raises:
        NotFound: no such entry waits.
    """
    with connection(), writing():
        entry = next((each for each in _waiting(None) if each.id == number), None)
        if entry is None:
            raise NotFound(
                _("no mix with the number {number} waits", number=number),
                remedy=Remedy(Do("job queue", "JOB"), _(" lists them")),
            )
        PlannedMix.delete().where(PlannedMix.id == number).execute()
        return entry


def waiting(job: str | None = None) -> list[QueuedMix]:
    """The mixes that wait, in their order: of one job, or of all open jobs.

    Raises:
        NotFound, Ambiguous: the job.
    """
    with connection(), reading():
        return _waiting(jobs.find(job).name if job is not None else None)


def first(job: str) -> QueuedMix:
    """The next mix of a job.

    Raises:
        NotFound: none waits; what `waiting` raises.
    """
    found = waiting(job)
    if not found:
        raise NotFound(
            _("no mix waits for {name}", name=jobs.find(job).name),
            remedy=Remedy(_("Put one in its queue: "), Do("job queue", "JOB", "RECIPE=30ml")),
        )
    return found[0]


def _waiting(job: str | None) -> list[QueuedMix]:
    gone = Undone.select(Undone.booking)
    query = (
        PlannedMix.select(PlannedMix.id, Job.name, Recipe.name, PlannedMix.total_ul)
        .join(Job)
        .switch(PlannedMix)
        .join(Recipe)
        .where((PlannedMix.mix.is_null() | PlannedMix.mix.in_(gone)) & Job.closed_on.is_null())
        .order_by(PlannedMix.id)
    )
    if job is not None:
        query = query.where(Job.name == job)
    return [QueuedMix(*row) for row in query.tuples()]


def note_made(mix: int, job: int, recipe: str) -> None:
    """Note that a mix by a recipe was booked to a job: the first such entry that waits is done.

    Args:
        mix: the mix's number.
        job: the job's number.
        recipe: the recipe's name.
    """
    gone = Undone.select(Undone.booking)
    entry = (
        PlannedMix.select(PlannedMix.id)
        .join(Recipe)
        .where((PlannedMix.job == job) & (Recipe.name == recipe))
        .where(PlannedMix.mix.is_null() | PlannedMix.mix.in_(gone))
        .order_by(PlannedMix.id)
        .tuples()
        .first()
    )
    if entry is not None:
        PlannedMix.update(mix=mix).where(PlannedMix.id == entry[0]).execute()
