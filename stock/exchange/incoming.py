"""Importing a studio's own spreadsheet of stock or of past mixes: checked and shown first, then booked whole or not.

The file is read as a stream to check every row and list all errors; a long file is read again for booking.
"""

import json
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from typing import Any

from stock import clock
from stock.errors import BadInput, UllageError
from stock.exchange import (
    correcting,
    mapping,
    mix_rows,
    not_taken,
    product_cells,
    product_rows,
    row_booking,
    spreadsheet,
    stock_rows,
    term_rows,
)
from stock.exchange.bad_cells import BadCells
from stock.exchange.bulk import Bulk
from stock.exchange.corrections import EarlierStock
from stock.exchange.figures import Figures, manner
from stock.exchange.import_checks import RowChecks
from stock.exchange.import_plan import ImportPlan, Wishes
from stock.exchange.mapping import Meaning
from stock.exchange.progress import OnProgress, Tally
from stock.exchange.questions import Questions, Unanswered
from stock.exchange.spreadsheet import Spreadsheet
from stock.language import _
from stock.logbook import import_records, imports
from stock.logbook.import_records import ImportRecords
from stock.logbook.undo import undo
from stock.notation import exactly
from stock.remedies import Option, Remedy
from stock.shelf.studio import settings
from stock.store import file_checks
from stock.store.connection import connection, writing
from stock.store.models import Booking, Request, database
from stock.store.orm import pw
from stock.text import plain

FIGURES_OF: Mapping[str, tuple[Sequence[str], Sequence[str]]] = {
    "stock": (stock_rows.FIELDS, stock_rows.DAYS),
    "mixes": (mix_rows.FIELDS, mix_rows.DAYS),
    "products": (("size", "price", "density", "water", "solids"), ("discontinued",)),
    "terms": (term_rows.MONEY, ()),
}
"""By kind of file, the fields from which the manner of its figures and days is found out."""
RECORDS = ("products", "terms")
"""Kinds of files that bring no bottles or mixes; their facts are added once, however often they are imported."""
__all__ = ["ImportPlan", "Wishes", "book", "plan"]


@exactly(shown=False)
def plan(path: str, wishes: Wishes | None = None, *, on_progress: OnProgress | None = None) -> ImportPlan:
    """Check every row of a file; books nothing.

    Args:
        path: the CSV file.
        wishes: the person's choices.
        on_progress: called with "looked at", the rows so far and about how many there are.
    Raises:
        BadInput: the file can't be read at all, or its columns aren't understood.
    """
    said = wishes or Wishes()
    found = look(path, said)
    meant = mapping.meaning(found.heads, kind=said.kind, said=said.maps, recall=said.recall)
    if said.role is not None:
        product_cells.role_of(said.role)
    with connection():
        asked = Questions(said.answers)
        meant = mapping.with_labels(meant, found.heads, (cells for _, cells in found.sample))
        if said.kind is None and not meant.remembered and mapping.may_be_a_price_list(meant):
            meant = _stock_or_products(found, meant, said, asked)
        studio = settings()
        numbers, days = FIGURES_OF[meant.kind]
        manners = manner(
            _sampled(found, meant, numbers),
            _sampled(found, meant, days),
            decimal=said.decimal,
            order=said.days,
        )
        units = dict(meant.units) | ({"": said.unit} if said.unit else {})
        now = clock.now()
        figures = Figures(manners, units, studio.measures, studio.currency, studio.time_zone, now, asked)
        figures.ask_of_bare_left(_sampled(found, meant, ("left",)))
        made = ImportPlan(found, meant, manners, said, studio, now, figures)
        _look(made, on_progress)
        if made.replaces is not None:
            made = _look_anew(made, on_progress)
        if not made.booked_before:  # its questions were answered then and are not asked again
            figures.questions.refuse_strange()
    return made


def _look_anew(first: ImportPlan, on_progress: OnProgress | None) -> ImportPlan:
    """Check a file as if the imports that it replaces were already taken back; that is rolled back afterwards.

    Raises:
        DependsOnIt: something else was booked on their bottles.
    """
    first.figures.questions.begin_again()
    made = ImportPlan(
        first.sheet, first.meaning, first.manner, first.wishes, first.studio, first.now, first.figures,
        replaces=first.replaces,
    )  # fmt: skip
    with writing(), database.atomic() as point:
        _take_back(made)
        _look(made, on_progress)
        point.rollback()
    return made


def _take_back(made: ImportPlan) -> None:
    """Take back the imports that the file replaces; the records that they made stay."""
    for number in made.replaces.imports if made.replaces is not None else ():
        undo("import", number, replaced=True)


def _stock_or_products(found: Spreadsheet, meant: Meaning, said: Wishes, asked: Questions) -> Meaning:
    """Ask what a file with sizes and prices holds: bottles on the shelf, or products that can be bought."""
    about = _("whether its rows are bottles in stock or products that can be bought")
    question = asked.ask("kind", "", about, ("stock", "products"))
    if question.chosen is None:
        asked.touch(question)
        asked.of_row(found.head_line)
    if question.chosen != 1:
        return meant
    return mapping.meaning(found.heads, kind="products", said=said.maps, recall=said.recall)


def look(path: str, said: Wishes) -> Spreadsheet:
    """Find out how a file is written and where its heads are.

    Raises:
        BadInput: it can't be read at all.
    """
    with connection():
        return spreadsheet.look(
            path,
            encoding=said.encoding,
            delimiter=said.delimiter,
            head=said.head,
            sheet_name=said.sheet,
            are_heads=lambda heads: mapping.are_heads(heads, kind=said.kind, said=said.maps),
        )


def _sampled(found: Spreadsheet, meant: Meaning, fields: Iterable[str]) -> list[str]:
    wanted = [meant.places[name] for name in fields if name in meant.places]
    return [cells[place] for _, cells in found.sample for place in wanted if cells[place]]


def _cells(made: ImportPlan, products: Collection[str]) -> Iterator[tuple[int, dict[str, str] | BadInput]]:
    """Each row's cells by our fields without empty ones, or why it can't be read. Titles and totals are noted."""
    wanted, take = list(made.meaning.places.items()), set(made.wishes.take)
    for line in made.sheet.above:
        made.not_taken.leave(line, not_taken.ABOVE)
    for line, written, doubt in made.sheet.rows():
        if not written:
            made.not_taken.blank(line)
            continue
        cells = made.mend(line, written)
        by_field = not_taken.said(cells, wanted)
        why = None
        if line not in take:
            why = not_taken.reason(cells, by_field, made.sheet.heads, made.meaning.kind, products)
        if why is not None:
            made.left_out.add(line)
            made.not_taken.leave(line, why)
            continue
        made.not_taken.goes_on()
        yield line, doubt or _broken(by_field) or by_field


def _broken(cell: Mapping[str, str]) -> BadInput | None:
    """Only a note may run over several lines; a name that does has swallowed what stands below it."""
    for name, text in cell.items():
        if name != "note" and len(text.splitlines()) > 1:
            return BadInput(
                _("the {replace} runs over several lines", replace=name.replace("_", " ")),
                remedy=_("Close its quote where it ends, or take the line break out"),
            )
    return None


def _look(made: ImportPlan, on_progress: OnProgress | None) -> None:
    anew = made.replaces is not None
    books, earlier = RowChecks(made), EarlierStock(made)
    earlier.load()
    today = clock.day_of(made.now, made.studio.time_zone)
    asked = made.figures.questions
    if made.meaning.kind == "products":
        made.range.load()
    rows = Tally(on_progress, made.sheet.lines).through(_("looked at"), _cells(made, books.names()))
    for line, cell in rows:
        made.rows += 1
        made.content.update(repr(cell).encode("utf-8", "surrogatepass"))
        try:
            if isinstance(cell, BadInput):
                raise cell
            if made.meaning.kind == "stock":
                row = stock_rows.read(cell, made.figures, today)
                books.accept_stock(line, row, came_before=earlier.knows(row))
                earlier.note(line, row)
                made.keep(line, row)
                made.count(row.product, row.count, row.left_ul, row.price_minor)
            elif made.meaning.kind == "products":
                row_of_products = product_rows.read(cell, made.figures)
                made.range.accept(line, row_of_products, made.wishes.role, made.figures)
            elif made.meaning.kind == "terms":
                made.terms.accept(line, term_rows.read(cell, made.figures))
            else:
                mixed = mix_rows.read(line, cell, made.figures)
                books.accept_mix(mixed)
                made.totals.add(mixed, clock.day_of(mixed.at, made.studio.time_zone))
            asked.of_row(line)
            books.keep()
        except UllageError as error:
            books.forget()
            # An error that follows from a reading that nobody chose yet is not the row's fault.
            if not asked.of_row(line):
                for one in error.errors if isinstance(error, BadCells) else [error]:
                    place = made.meaning.places.get(one.column)
                    column = made.sheet.heads[place] if place is not None else ""
                    made.bad.refuse(made.sheet.named, line, one, column)
    made.booked_before = made.meaning.kind not in RECORDS and _booked_before(made)
    if not made.booked_before:
        earlier.settle(made.rows)
        if anew or made.replaces is None:
            books.refuse_closed()
        made.range.facts.settle(asked)
        made.terms.settle(asked, made.studio.currency)


def _booked_before(made: ImportPlan) -> bool:
    """Whether a file with these very rows was booked and stands; `book` then answers as it did."""
    return any(imports.stands(imports.numbered(each["import"])) for each in _earlier(made))


def _earlier(made: ImportPlan) -> list[dict[str, Any]]:
    """The answers to earlier imports of these rows, found by the rows' digest, or in older books by the file's."""
    keys = (made.content.hexdigest(), made.sheet.digest)
    return [
        json.loads(row.answer)
        for key in keys
        for row in Request.select().where(Request.key.startswith(f"{imports.KEY}{key}"))
    ]


@exactly(shown=False)
def book(made: ImportPlan, *, on_progress: OnProgress | None = None) -> dict[str, Any]:
    """Book a plan whole.

    Returns:
        The plan's answer with `booked` true and the bookings. For a file that was booked before, its first answer
        with `again` true; nothing is booked.
    Raises:
        Unanswered: something can be read in two ways; nothing is booked.
        BadRows: rows that can't be taken in, without `take_good`; nothing is booked.
        BadInput: there is no good row.
    """
    key = f"{imports.KEY}{made.content.hexdigest()}"
    with connection(), writing():
        earlier = _earlier(made)
        not_undone = [each for each in earlier if imports.stands(imports.numbered(each["import"]))]
        if not_undone and not made.wishes.again and made.meaning.kind not in RECORDS:
            return {**not_undone[0], "again": True}
        _refuse(made)
        if earlier:
            key = f"{key} {clock.stamp(made.now)}"
        _take_back(made)
        booked, records = _booked(made, on_progress)
        if made.replaces is not None:
            import_records.pass_on(made.replaces.imports, records)
        if database.execute_sql(file_checks.UNBALANCED).fetchone() is not None:
            raise UllageError(
                _("the sums of the new bottles are off"), remedy=_("Nothing was booked; report this file")
            )
        mapping.remember(made.meaning, made.sheet.heads)
        answer = made.as_json() | booked | {"booked": True}
        number = answer.setdefault("import", None)
        if number is not None:
            last = Booking.select(pw.fn.MAX(Booking.id)).tuples().get()[0]
            answer["bookings"] = [number, last]
            Request.insert(key=key, kind="import", booking=number, answer=json.dumps(answer)).execute()
            import_records.keep(number, records)
        return answer


def _booked(made: ImportPlan, on_progress: OnProgress | None) -> tuple[dict[str, Any], ImportRecords]:
    """Book everything; returns the bookings, and the records that were made and changed."""
    if made.meaning.kind in RECORDS:
        spreadsheet.require_unchanged(made.sheet)
        ours = made.meaning.kind == "products"
        records = made.range.book() if ours else made.terms.book(made.studio.currency)
        booked: dict[str, Any] = {
            "products" if ours else "suppliers": len(made.range.fresh if ours else made.terms.fresh),
            "changed": len({which for _, which, *_ in records.changed}),
        }
        if any(booked.values()):
            booked["import"] = _own_booking(made, Bulk())
        return booked, records
    numbers, records = row_booking.make(made)
    bulk = Bulk()
    number = bulk.numbers[Booking]
    note = _note(made)
    if made.corrections or made.range.facts.changes:
        _own_booking(made, bulk)
    if made.meaning.kind == "stock":
        booked = row_booking.book_stock(made, bulk, numbers, note, on_progress)
    else:
        booked = row_booking.book_mixes(made, bulk, numbers, note, on_progress)
    bulk.end()
    records.changed += made.range.facts.book()
    correcting.book(made, records)
    return booked | {"import": number}, records


def _own_booking(made: ImportPlan, bulk: Bulk) -> int:
    """Book the file itself if no other booking stands for the records that it makes or corrects; its number."""
    number, now = bulk.number(Booking), clock.stamp(made.now)
    day = clock.day_of(made.now, made.studio.time_zone).isoformat()
    bulk.add(Booking, stock_rows.BOOKING, (number, "import", now, day, now, _note(made)))
    if made.meaning.kind in RECORDS:
        bulk.end()
    return number


def _note(made: ImportPlan) -> str:
    return f"imported from {made.sheet.path.name}"[:200]


def _refuse(made: ImportPlan) -> None:
    """Refuse a file with open questions, with bad rows that nobody said to leave out, or without a good row."""
    asked = made.figures.questions.open()
    if asked:
        raise Unanswered(asked, made.sheet.named)
    if not made.wishes.take_good:
        made.bad.stop()
    if made.rows == len(made.bad.reasons) and not made.corrections and not made.range.facts.changes:
        made.bad.stop()
        if made.came_before:
            raise BadInput(
                _("every row of {name} came with an earlier import", name=plain(made.sheet.path.name, 60)),
                remedy=_("Nothing was booked, and nothing is to be"),
            )
        raise BadInput(
            _("{name} holds no row that can be taken in", name=plain(made.sheet.path.name, 60)),
            remedy=Remedy(_("Name the line of its heads "), Option("head", "3"), _("; nothing was booked")),
        )
