"""Booking the rows of a file of stock or of mixes, after its plan was confirmed."""

from collections.abc import Iterator, Mapping
from dataclasses import replace
from datetime import date
from typing import Any

from stock import clock
from stock.exchange import mix_rows, not_taken, product_cells, spreadsheet, stock_rows
from stock.exchange.bulk import Bulk
from stock.exchange.import_plan import ImportPlan
from stock.exchange.new_names import NewNames
from stock.exchange.progress import OnProgress, Tally
from stock.logbook.import_records import ImportRecords
from stock.shelf import jobs, places, products
from stock.store.models import Job, Place, Product
from stock.text import folded


def _cells_booked(made: ImportPlan, on_progress: OnProgress | None) -> Iterator[tuple[int, dict[str, str]]]:
    """The rows while they are booked.

    Raises:
        BadInput: the file was changed since it was looked at.
    """
    wanted = list(made.meaning.places.items())
    left_out = made.left_out | made.bad.reasons.keys()
    for line, cells, __ in Tally(on_progress, made.rows).through("booked", made.sheet.rows()):
        if cells and line not in left_out:
            yield line, not_taken.said(made.mend(line, cells), wanted)
    spreadsheet.require_unchanged(made.sheet)


def _bottles_booked(
    made: ImportPlan, on_progress: OnProgress | None
) -> Iterator[tuple[int, stock_rows.BottleRow]]:
    """The rows of stock for booking: those kept from the plan, else read anew.

    Raises:
        BadInput: the file was changed since it was looked at.
    """
    if made.bottles is None:
        today = clock.day_of(made.now, made.studio.time_zone)
        for line, cell in _cells_booked(made, on_progress):
            yield line, stock_rows.read(cell, made.figures, today)
        return
    for line, row in Tally(on_progress, made.rows).through("booked", made.bottles):
        if line not in made.left_out and line not in made.bad.reasons:
            yield line, row
    spreadsheet.require_unchanged(made.sheet)


def make(made: ImportPlan) -> tuple[dict[str, tuple[int, str]], ImportRecords]:
    """Make the records that the books lack; number and role of every product by folded name, and the records."""
    names = NewNames.of(made.new_products.values())
    new = [
        products.add(
            {"name": name, **{key: product_cells.value_of(key, value) for key, value in given.items()}}
        ).id
        for name, given in made.new_products.items()
    ]
    stood = [places.add(name).id for name in made.new_places.values()]
    there = {key for (key,) in Job.select(Job.name_key).tuples()} if made.totals.jobs else set()
    worked = {
        int(jobs.named(name, day).id): folded(name) not in there for name, day in _by_day(made.totals.jobs)
    }
    rows = Product.select(Product.name_key, Product.id, Product.role).where(~Product.taken_back).tuples()
    found = {key: (number, role) for key, number, role in rows}
    return found, ImportRecords(
        made=names.made(product=new, place=stood, job=[number for number, fresh in worked.items() if fresh])
    )


def book_stock(
    made: ImportPlan,
    bulk: Bulk,
    numbers: Mapping[str, tuple[int, str]],
    note: str,
    on_progress: OnProgress | None,
) -> dict[str, Any]:
    """Write the bottles of a file of stock; returns the answer."""
    places_by_name = dict(Place.select(Place.name_key, Place.id).where(~Place.taken_back).tuples())
    shelver = stock_rows.Shelver(bulk, made.studio.time_zone, made.now, note)
    for line, row in _bottles_booked(made, on_progress):
        if line in made.fewer:
            row = replace(row, count=made.fewer[line])  # noqa: PLW2901
        shelver.write(
            row, numbers[folded(row.product)][0], places_by_name[folded(row.place)] if row.place else None
        )
    return shelver.answer()


def book_mixes(
    made: ImportPlan,
    bulk: Bulk,
    numbers: Mapping[str, tuple[int, str]],
    note: str,
    on_progress: OnProgress | None,
) -> dict[str, Any]:
    """Write the mixes of a file, with the delivery of their bottles; returns the answer."""
    by_name = {name: numbers[folded(name)] for name in made.totals.volume_ul}
    known = {name: int(Job.get(Job.name_key == folded(name)).id) for name in made.totals.jobs}
    bencher = mix_rows.Bencher(bulk, made.studio.time_zone, made.now, note)
    delivery = bencher.stock(made.totals, by_name)
    rows = (mix_rows.read(line, cell, made.figures) for line, cell in _cells_booked(made, on_progress))
    for together in mix_rows.mixes(rows):
        bencher.write(together, known)
    return bencher.answer(delivery)


def _by_day(named: Mapping[str, date]) -> list[tuple[str, date]]:
    return sorted(named.items(), key=lambda each: each[1])
