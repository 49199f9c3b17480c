"""Checking the rows of a spreadsheet against the books: which are refused, and which records must be made."""

from collections.abc import Collection, Mapping
from typing import Any

from stock import clock
from stock.errors import BadInput, UllageError
from stock.exchange import product_cells
from stock.exchange.import_plan import ImportPlan
from stock.exchange.mix_rows import Poured
from stock.exchange.stock_rows import BottleRow
from stock.language import _
from stock.notation import in_thousands, show_day
from stock.remedies import Do, Option, Remedy
from stock.shelf import entry, jobs
from stock.shelf.bottles import reads_like_a_number
from stock.store.closed_periods import closed_until, require_open
from stock.store.models import Bottle, Place, Product
from stock.text import folded
from stock.text import name as clean_name

MOST_MADE = 20_000
"""Products, and places, that one file may make."""


class RowChecks:
    """The content of the books that rows are checked against; notes in the plan which records will be made."""

    def __init__(self, made: ImportPlan) -> None:
        self.plan = made
        self.roles = dict(Product.select(Product.name_key, Product.role).where(~Product.taken_back).tuples())
        self.places = {key for (key,) in Place.select(Place.name_key).where(~Place.taken_back).tuples()}
        rows = Bottle.select(Bottle.label).where(Bottle.label.is_null(False))
        self.labels = {label for (label,) in rows.tuples()}
        self.open_jobs = {job.name: job for job in jobs.everything()}
        self._closed = closed_until()
        self._in_closed: list[tuple[int, BottleRow]] = []
        self._fresh: list[str] = []
        self._fresh_places: list[str] = []

    def names(self) -> Collection[str]:
        """The folded names of the books' products."""
        return self.roles.keys()

    def keep(self) -> None:
        """Keep the records that the last row makes: the row is good."""
        self._fresh.clear()
        self._fresh_places.clear()

    def forget(self) -> None:
        """Drop the records that the last row would make: the row is bad."""
        for key in self._fresh:
            del self.plan.new_products[self.plan.names.pop(key)]
        for key in self._fresh_places:
            del self.plan.new_places[key]
        self.keep()

    def accept_stock(self, line: int, row: BottleRow, *, came_before: bool = False) -> None:
        """Check one row of stock; a row that came before may have the label of its own bottle."""
        if row.label is not None and not came_before:
            if reads_like_a_number(row.label):
                raise BadInput(
                    _("the label {label!r} reads like a bottle's number", label=row.label),
                    remedy=_("Write another"),
                )
            if row.label in self.labels:
                raise BadInput(
                    _("the label {label} is on another bottle", label=row.label), remedy=_("Write another")
                )
        if self._closed is not None and row.received <= self._closed:
            self._in_closed.append((line, row))
        role = row.new.get("role") or self.plan.wishes.role
        self._product(row.product, {**row.new, "role": role} if role else None)
        if row.place:
            self._place(row.place)
        if row.new and folded(row.product) in self.roles:
            self.plan.range.facts.note(line, row.product, row.new, self.plan.figures)
        if row.label is not None:
            self.labels.add(row.label)

    def refuse_closed(self) -> None:
        """Refuse rows that would be booked in the closed period; rows that came before are not booked again."""
        made = self.plan
        for line, row in self._in_closed:
            if line in made.left_out or line in made.bad.reasons:
                continue
            try:
                require_open(row.received, self._closed)
            except UllageError as error:
                count = made.fewer.get(line, row.count)
                made.count(row.product, -count, row.left_ul, row.price_minor)
                place = made.meaning.places.get("received")
                made.bad.refuse(
                    made.sheet.named, line, error, made.sheet.heads[place] if place is not None else ""
                )

    def accept_mix(self, row: Poured) -> None:
        """Check one row of past mixes."""
        require_open(clock.day_of(row.at, self.plan.studio.time_zone), self._closed)
        self._product(row.product, {"role": "paint"})
        if row.reducer is not None:
            self._product(row.reducer, {"role": "reducer"})
            role = self._role(row.reducer)
            if role not in ("reducer", "cleaner"):
                raise BadInput(
                    _("{reducer} is a {role}, not a reducer", reducer=row.reducer, role=role),
                    remedy=_("Correct the row"),
                )
        if row.job is not None:
            job = self.open_jobs.get(row.job)
            day = clock.day_of(row.at, self.plan.studio.time_zone)
            if job is not None and job.closed_on is not None and job.closed_on < day:
                raise BadInput(
                    _(
                        "job {name} was closed on {closed_on}",
                        name=job.name,
                        closed_on=show_day(job.closed_on),
                    ),
                    remedy=Remedy(_("Open it again first: "), Do("job change", job.name, "--open")),
                )

    def _role(self, name: str) -> str:
        key = folded(name)
        return str(self.roles.get(key) or self.plan.new_products[self.plan.names[key]]["role"])

    def _product(self, name: str, given: Mapping[str, Any] | None) -> None:
        key = folded(name)
        if key in self.roles or key in self.plan.names:
            return
        if not self.plan.wishes.make:
            raise BadInput(
                _("no product is called {name}", name=name),
                remedy=Remedy(_("Add it first, or let it be made "), Option("make")),
            )
        if given is None:
            raise BadInput(
                _("the role of {name} isn't known", name=name),
                remedy=Remedy(_("Add a column role, or give it "), Option("role", "paint")),
            )
        if len(self.plan.new_products) >= MOST_MADE:
            raise BadInput(
                _("{most_made} products are made already", most_made=in_thousands(MOST_MADE)),
                remedy=_("Is this their column?"),
            )
        try:
            self._read(given)
        except UllageError as error:
            raise BadInput(
                _("{name} can't be made: {message}", name=name, message=error.message), remedy=error.remedy
            ) from error
        self.plan.names[key] = name
        self.plan.new_products[name] = given
        self._fresh.append(key)

    def _read(self, given: Mapping[str, Any]) -> None:
        """Read a product's fields as when it is made, so that the preview gives the same refusals."""
        studio = self.plan.studio
        today = clock.day_of(self.plan.now, studio.time_zone)
        if "supplier" in given:
            clean_name(given["supplier"], what=_("supplier's name"))
        given = {key: product_cells.value_of(key, value) for key, value in given.items()}
        entry.read(given, measures=studio.measures, currency=studio.currency, today=today)

    def _place(self, name: str) -> None:
        key = folded(name)
        if key in self.places or key in self.plan.new_places:
            return
        if not self.plan.wishes.make:
            raise BadInput(
                _("no place is called {name}", name=name),
                remedy=Remedy(_("Add it first, or let it be made "), Option("make")),
            )
        if len(self.plan.new_places) >= MOST_MADE:
            raise BadInput(
                _("{most_made} places are made already", most_made=in_thousands(MOST_MADE)),
                remedy=_("Is this their column?"),
            )
        clean_name(name, what=_("place's name"))
        self.plan.new_places[key] = name
        self._fresh_places.append(key)
