"""A studio's own spreadsheet of stock or of past mixes, taken in: looked at and shown first, then all or nothing.

The file is read twice as a stream: once to check every row and list all that is wrong, once to book.
"""

import json
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Any

from stock import clock
from stock.errors import BadInput, UllageError
from stock.exchange import mapping, mix_rows, spreadsheet, stock_rows
from stock.exchange.badrows import Sieve
from stock.exchange.bulk import Bulk
from stock.exchange.figures import Figures, Manner, manner
from stock.exchange.mapping import Meaning
from stock.exchange.mix_rows import Poured
from stock.exchange.progress import OnProgress, Tally
from stock.exchange.spreadsheet import Spreadsheet
from stock.exchange.stock_rows import BottleRow
from stock.logbook import imports
from stock.remedies import Do, Option, Remedy
from stock.shelf import jobs, places, products
from stock.shelf.bottles import reads_like_a_number
from stock.shelf.studio import Settings, settings
from stock.store import file_checks
from stock.store.connection import connection, writing
from stock.store.models import Booking, Bottle, Place, Product, Request, database
from stock.text import folded

MOST_MADE = 20_000
"""Products, and places, that one file may make."""


@dataclass(frozen=True, slots=True)
class Wishes:
    """What a person said beside the file: how it is to be read, and what may be made for it.

    `make` lets products and places be made that the books don't have; `role` is theirs in a file of stock
    without a role column. `unit` is what a bare figure means. `again` books a file that was booked before.
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


@dataclass(slots=True)
class ImportPlan:
    """What an import will do, before it is booked."""

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

    def as_json(self) -> dict[str, Any]:
        """The plan as `ullage import FILE --dry-run` prints it."""
        heads = self.meaning.heads(self.sheet.heads)
        return {
            "file": self.sheet.path.name,
            "kind": self.meaning.kind,
            "mapping": heads,
            "remembered": self.meaning.remembered,
            "ignored": [head for head in self.sheet.heads if head and head not in heads.values()],
            "encoding": self.sheet.encoding,
            "encoding_guessed": self.sheet.guessed,
            "delimiter": self.sheet.delimiter,
            "decimal": self.manner.decimal,
            "days": self.manner.order,
            "rows": self.rows,
            "bad_rows": [{"line": row.line, "reason": row.reason} for row in self.bad.rows],
            "bad_count": len(self.bad.rows) + self.bad.more,
            "new_products": [
                {"product": name, "role": given["role"]} for name, given in self.new_products.items()
            ],
            "new_places": list(self.new_places.values()),
            "booked": False,
        }


def plan(path: str, wishes: Wishes | None = None, *, on_progress: OnProgress | None = None) -> ImportPlan:
    """Look at every row of a file and book nothing.

    Args:
        path: the CSV file.
        wishes: what a person said beside it.
        on_progress: called with "looked at", the rows so far and about how many there are.
    Raises:
        BadInput: the file can't be read at all, or its columns aren't understood.
    """
    said = wishes or Wishes()
    found = spreadsheet.look(path, encoding=said.encoding, delimiter=said.delimiter)
    meant = mapping.meaning(found.heads, kind=said.kind, said=said.maps, recall=said.recall)
    if said.role is not None:
        stock_rows.role_of(said.role)
    with connection():
        studio = settings()
        ours = stock_rows if meant.kind == "stock" else mix_rows
        manners = manner(
            _sampled(found, meant, ours.FIELDS),
            _sampled(found, meant, ours.DAYS),
            decimal=said.decimal,
            order=said.days,
        )
        units = dict(meant.units) | ({"": said.unit} if said.unit else {})
        now = clock.now()
        figures = Figures(manners, units, studio.measures, studio.currency, studio.time_zone, now)
        made = ImportPlan(found, meant, manners, said, studio, now, figures)
        _look(made, on_progress)
    return made


def _sampled(found: Spreadsheet, meant: Meaning, fields: Iterable[str]) -> list[str]:
    wanted = [meant.places[name] for name in fields if name in meant.places]
    return [cells[place] for _, cells in found.sample for place in wanted if cells[place]]


def _cells(made: ImportPlan) -> Iterator[tuple[int, dict[str, str] | BadInput]]:
    """Each row by our fields, empty cells left out; or why it can't be one."""
    wanted = list(made.meaning.places.items())
    for line, cells, doubt in made.sheet.rows():
        by_field = {name: cells[place] for name, place in wanted if cells[place]}
        yield line, doubt or _broken(by_field) or by_field


def _broken(cell: Mapping[str, str]) -> BadInput | None:
    """Only a note may run over several lines; a name that does has swallowed what stands below it."""
    for name, text in cell.items():
        if name != "note" and len(text.splitlines()) > 1:
            return BadInput(
                f"the {name.replace('_', ' ')} runs over several lines",
                remedy="Close its quote where it ends, or take the line break out",
            )
    return None


def _look(made: ImportPlan, on_progress: OnProgress | None) -> None:
    books = _Books(made)
    today = clock.day_of(made.now, made.studio.time_zone)
    for line, cell in Tally(on_progress, made.sheet.lines).through("looked at", _cells(made)):
        made.rows += 1
        try:
            if isinstance(cell, BadInput):
                raise cell
            if made.meaning.kind == "stock":
                books.accept_stock(stock_rows.read(cell, made.figures, today))
            else:
                row = mix_rows.read(line, cell, made.figures)
                books.accept_mix(row)
                made.totals.add(row, clock.day_of(row.at, made.studio.time_zone))
        except UllageError as error:
            made.bad.refuse(made.sheet.path.name, line, error)


class _Books:
    """What the books have, against which rows are looked at; notes in the plan what will be made."""

    def __init__(self, made: ImportPlan) -> None:
        self.plan = made
        self.roles = dict(Product.select(Product.name_key, Product.role).tuples())
        self.places = {key for (key,) in Place.select(Place.name_key).tuples()}
        rows = Bottle.select(Bottle.label).where(Bottle.label.is_null(False))
        self.labels = {label for (label,) in rows.tuples()}
        self.open_jobs = {job.name: job for job in jobs.everything()}

    def accept_stock(self, row: BottleRow) -> None:
        """Look at one row of stock."""
        if row.label is not None:
            if reads_like_a_number(row.label):
                raise BadInput(
                    f"the label {row.label!r} reads like a bottle's number", remedy="Write another"
                )
            if row.label in self.labels:
                raise BadInput(f"the label {row.label} is on another bottle", remedy="Write another")
        role = row.new.get("role") or self.plan.wishes.role
        self._product(row.product, {**row.new, "role": role} if role else None)
        if row.place:
            self._place(row.place)
        if row.label is not None:
            self.labels.add(row.label)

    def accept_mix(self, row: Poured) -> None:
        """Look at one row of past mixes."""
        self._product(row.product, {"role": "paint"})
        if row.reducer is not None:
            self._product(row.reducer, {"role": "reducer"})
            role = self._role(row.reducer)
            if role not in ("reducer", "cleaner"):
                raise BadInput(f"{row.reducer} is a {role}, not a reducer", remedy="Correct the row")
        if row.job is not None:
            job = self.open_jobs.get(row.job)
            day = clock.day_of(row.at, self.plan.studio.time_zone)
            if job is not None and job.closed_on is not None and job.closed_on < day:
                raise BadInput(
                    f"job {job.name} was closed on {job.closed_on}",
                    remedy=Remedy("Open it again first: ", Do("job change", job.name, "--open")),
                )

    def _role(self, name: str) -> str:
        key = folded(name)
        return str(self.roles.get(key) or self.plan.new_products[self.plan.names[key]]["role"])

    def _product(self, name: str, given: Mapping[str, str] | None) -> None:
        key = folded(name)
        if key in self.roles or key in self.plan.names:
            return
        if not self.plan.wishes.make:
            raise BadInput(
                f"no product is called {name}",
                remedy=Remedy("Add it first, or let it be made ", Option("make")),
            )
        if given is None:
            raise BadInput(
                f"the role of {name} isn't known",
                remedy=Remedy("Add a column role, or give it ", Option("role", "paint")),
            )
        if len(self.plan.new_products) >= MOST_MADE:
            raise BadInput(f"{MOST_MADE:,} products are made already", remedy="Is this their column?")
        self.plan.names[key] = name
        self.plan.new_products[name] = given

    def _place(self, name: str) -> None:
        key = folded(name)
        if key in self.places or key in self.plan.new_places:
            return
        if not self.plan.wishes.make:
            raise BadInput(
                f"no place is called {name}",
                remedy=Remedy("Add it first, or let it be made ", Option("make")),
            )
        if len(self.plan.new_places) >= MOST_MADE:
            raise BadInput(f"{MOST_MADE:,} places are made already", remedy="Is this their column?")
        self.plan.new_places[key] = name


def book(made: ImportPlan, *, on_progress: OnProgress | None = None) -> dict[str, Any]:
    """Book a plan whole.

    Returns:
        The plan's answer with `booked` true and what was booked; for a file that was booked before its first
        answer, with `again` true, and nothing is booked.
    Raises:
        BadRows: rows that can't be taken in; nothing is booked.
    """
    key = f"{imports.KEY}{made.sheet.digest}"
    with connection(), writing():
        earlier = [json.loads(row.answer) for row in Request.select().where(Request.key.startswith(key))]
        not_undone = [each for each in earlier if imports.stands(imports.numbered(each["import"]))]
        if not_undone and not made.wishes.again:
            return {**not_undone[0], "again": True}
        made.bad.stop()
        if earlier:
            key = f"{key} {clock.stamp(made.now)}"
        numbers = _make(made)
        note = f"imported from {made.sheet.path.name}"[:200]
        bulk = Bulk()
        number = bulk.numbers[Booking]
        if made.meaning.kind == "stock":
            booked = _book_stock(made, bulk, numbers, note, on_progress)
        else:
            booked = _book_mixes(made, bulk, numbers, note, on_progress)
        bulk.end()
        if database.execute_sql(file_checks.UNBALANCED).fetchone() is not None:
            raise UllageError(
                "the sums of the new bottles are off", remedy="Nothing was booked; report this file"
            )
        mapping.remember(made.meaning, made.sheet.heads)
        answer = made.as_json() | booked | {"booked": True, "import": number}
        answer["bookings"] = [number, bulk.numbers[Booking] - 1]
        Request.insert(key=key, kind="import", booking=number, answer=json.dumps(answer)).execute()
        return answer


def _cells_booked(made: ImportPlan, on_progress: OnProgress | None) -> Iterator[tuple[int, dict[str, str]]]:
    """The rows while they are booked.

    Raises:
        BadInput: the file was changed since it was looked at.
    """
    for line, cell in Tally(on_progress, made.rows).through("booked", _cells(made)):
        if isinstance(cell, BadInput):
            raise cell
        yield line, cell
    spreadsheet.require_unchanged(made.sheet)


def _make(made: ImportPlan) -> dict[str, tuple[int, str]]:
    """Make what the books don't have yet; number and role of every product by its folded name."""
    for name, given in made.new_products.items():
        products.add({"name": name, **given})
    for name in made.new_places.values():
        places.add(name)
    rows = Product.select(Product.name_key, Product.id, Product.role).tuples()
    return {key: (number, role) for key, number, role in rows}


def _book_stock(
    made: ImportPlan,
    bulk: Bulk,
    numbers: Mapping[str, tuple[int, str]],
    note: str,
    on_progress: OnProgress | None,
) -> dict[str, Any]:
    places_by_name = dict(Place.select(Place.name_key, Place.id).tuples())
    shelver = stock_rows.Shelver(bulk, made.studio.time_zone, made.now, note)
    today = clock.day_of(made.now, made.studio.time_zone)
    for _, cell in _cells_booked(made, on_progress):
        row = stock_rows.read(cell, made.figures, today)
        shelver.write(
            row, numbers[folded(row.product)][0], places_by_name[folded(row.place)] if row.place else None
        )
    return shelver.answer()


def _book_mixes(
    made: ImportPlan,
    bulk: Bulk,
    numbers: Mapping[str, tuple[int, str]],
    note: str,
    on_progress: OnProgress | None,
) -> dict[str, Any]:
    by_name = {name: numbers[folded(name)] for name in made.totals.volume_ul}
    known = {name: int(jobs.named(name, day).id) for name, day in _jobs_by_day(made.totals.jobs)}
    bencher = mix_rows.Bencher(bulk, made.studio.time_zone, made.now, note)
    delivery = bencher.stock(made.totals, by_name)
    rows = (mix_rows.read(line, cell, made.figures) for line, cell in _cells_booked(made, on_progress))
    for together in mix_rows.mixes(rows):
        bencher.write(together, known)
    return bencher.answer(delivery)


def _jobs_by_day(named: Mapping[str, date]) -> list[tuple[str, date]]:
    return sorted(named.items(), key=lambda each: each[1])
