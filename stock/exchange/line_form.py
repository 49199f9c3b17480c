"""Entering many products of one line at once: one name a row, with its bottles on the shelf.

A row has the cells of `FIELDS` in that order, separated by tabs or semicolons; cells at its end may be left out. A
first row with the fields' names sets another order. Everything is read before anything is booked, and the new products
and one delivery are booked together.
"""

from collections.abc import Callable, Mapping, Sequence
from datetime import date
from typing import Any

from stock import units
from stock.bench import left_in
from stock.errors import BadInput, UllageError
from stock.exchange.badrows import Sieve
from stock.language import _
from stock.ledger import Errand, book, first_answer
from stock.named_tuples import NamedTuple
from stock.notation import in_thousands, show_day
from stock.shelf import colours, inheritance, lines, products
from stock.shelf.deliveries import MOST_BOTTLES, Came, put_in
from stock.shelf.studio import settings
from stock.store.connection import connection, reading, writing
from stock.store.models import Line, LinePack, LineProduct, Product
from stock.text import folded, plain
from stock.text import name as clean_name

FIELDS = ("name", "code", "color", "size", "count", "left", "opened")
HEADS: Mapping[str, str] = {
    "name": "name", "colour name": "name", "product": "name", "code": "code", "number": "code", "colour": "color",
    "color": "color", "size": "size", "how many": "count", "count": "count", "bottles": "count", "how full": "left",
    "left": "left", "opened": "opened", "open since": "opened",
}  # fmt: skip
UNKNOWN = ("unknown", "not known", "?")
SEALED = ("no", "sealed")
MOST_ROWS = 1_000
LONGEST_CELL = 200


class LineRow(NamedTuple):
    """One row as it was written: the number of its line in the text, and its cells by field."""

    number: int
    cells: Mapping[str, str]


class ReadRow(NamedTuple):
    """One row, read: the product's own fields, and its bottles, `many` of them."""

    name: str
    own: Mapping[str, str]
    size_ul: units.Microlitres | None
    many: int
    left_ul: units.Microlitres | None
    opened_on: date | None
    opened_unknown: bool


class LineToFill(NamedTuple):
    """The facts of a line that its rows are read with: its record, its sizes, and its products by folded name."""

    line: Line
    sizes: Sequence[int]
    others: Mapping[str, str]
    """The line of every product in the books that belongs to another one, or to none."""
    today: date


def rows_of(text: str) -> list[LineRow]:
    """Part a text into rows and cells; empty rows are left out.

    Raises:
        BadInput: more rows than can be entered at once, or more cells in a row than there are fields.
    """
    found: list[LineRow] = []
    order: Sequence[str] = FIELDS
    for number, line in enumerate(text.splitlines(), 1):
        if not line.strip():
            continue
        cells = [cell.strip()[: LONGEST_CELL + 1] for cell in line.split("\t" if "\t" in line else ";")]
        heads = [HEADS.get(folded(cell)) for cell in cells]
        if not found and order is FIELDS and None not in heads and "name" in heads:
            order = [head for head in heads if head is not None]
            continue
        while cells and not cells[-1]:
            cells.pop()
        if len(cells) > len(order):
            raise BadInput(
                _("row {number} has {cells} cells", number=number, cells=len(cells)),
                remedy=_("Write at most {count}: {columns}", count=len(order), columns=", ".join(order)),
            )
        if len(found) == MOST_ROWS:
            raise BadInput(
                _("there are more than {most_rows} rows", most_rows=in_thousands(MOST_ROWS)),
                remedy=_("Enter them in parts"),
            )
        found.append(LineRow(number, dict(zip(order, cells, strict=False))))
    return found


def to_fill(line: str) -> LineToFill:
    """The facts of a line, to read its rows with.

    Raises:
        NotFound, Ambiguous: the line.
    """
    with connection(), reading():
        row = lines.find(line)
        packs = LinePack.select(LinePack.size_ul).where(LinePack.line == row).order_by(LinePack.size_ul)
        mine = {
            number
            for (number,) in LineProduct.select(LineProduct.product).where(LineProduct.line == row).tuples()
        }
        others = {
            each.name_key: each.line or _("no line")
            for each in Product.select().where(~Product.taken_back)
            if each.id not in mine
        }
        return LineToFill(row, [size for (size,) in packs.tuples()], others, settings().today())


def read(form: LineToFill, cells: Mapping[str, str]) -> tuple[ReadRow | None, dict[str, str]]:
    """Read one row.

    Returns:
        The row, or None if it can't be read; and the errors by field, each a sentence with its remedy.
    """
    wrong: dict[str, str] = {}

    def cell(field: str, reader: Callable[[str], Any], blank: Any = None) -> Any:
        text = cells.get(field, "").strip()
        if not text:
            return blank
        try:
            if len(text) > LONGEST_CELL:
                raise BadInput(_("the {field} is too long", field=field), remedy=_("Write less"))
            return reader(text)
        except UllageError as refusal:
            wrong[field] = str(refusal.sentence)
            return blank

    name = cell("name", lambda text: clean_name(text, what=_("product's name")), "")
    if not name and "name" not in wrong:
        wrong["name"] = _("The name is empty. Write it, or leave the row out")
    elif folded(name) in form.others:
        wrong["name"] = _(
            "{name} is in the books, of {others}. Write another name",
            name=plain(name, 40),
            others=form.others[folded(name)],
        )
    own = {
        "code": cell("code", lambda text: clean_name(text, what=_("code")), ""),
        "color": cell("color", colours.read, ""),
    }
    size_ul = cell("size", _volume, form.sizes[0] if len(form.sizes) == 1 else None)
    count = cell("count", _count, None)
    opened_on, unknown = cell("opened", lambda text: _opened(text, form.today), (None, False))
    left_ul = None
    if size_ul is not None:
        left_ul = cell("left", lambda text: left_in.read(text, size_ul))
    has_bottle_cells = any(cells.get(field, "").strip() for field in ("size", "left", "opened", "count"))
    if count is None:
        count = 1 if size_ul is not None else 0
    if size_ul is None and has_bottle_cells and count != 0 and "size" not in wrong:
        sizes = ", ".join(f"{units.ml(units.Microlitres(size))} ml" for size in form.sizes)
        wrong["size"] = _(
            "The size is not known. Write it{sizes}",
            sizes=_(": the line has {sizes}", sizes=sizes) if sizes else _(" as 60ml"),
        )
    part_used = left_ul is not None and size_ul is not None and left_ul < size_ul
    if part_used and folded(cells.get("opened", "")) in SEALED:
        wrong["opened"] = _("It is said to be sealed and not full. Write since when it is open, or unknown")
    if wrong:
        return None, wrong
    return ReadRow(
        name, {key: text for key, text in own.items() if text}, size_ul, count, left_ul, opened_on,
        unknown or (part_used and opened_on is None),
    ), {}  # fmt: skip


def _volume(text: str) -> int:
    studio = settings()
    measures: Any = studio.measures
    return units.volume(text, measures=measures, what=_("size"))


def _count(text: str) -> int:
    digits = text.casefold().strip("x× ")
    if not (digits.isascii() and digits.isdigit() and int(digits) <= MOST_BOTTLES):
        raise BadInput(
            _("{text!r} is no count of bottles", text=plain(text, 20)),
            remedy=_("Write 0 to {most_bottles}", most_bottles=in_thousands(MOST_BOTTLES)),
        )
    return int(digits)


def _opened(text: str, today: date) -> tuple[date | None, bool]:
    if folded(text) in UNKNOWN:
        return None, True
    if folded(text) in SEALED:
        return None, False
    day = units.day(text, today)
    if day > today:
        raise BadInput(
            _("it can't have been opened on {day}, which is to come", day=show_day(day)),
            remedy=_("Write a past day, or unknown"),
        )
    return day, False


def fill(
    line: str,
    rows: Sequence[LineRow],
    *,
    source: str = _("the form"),
    place: str | None = None,
    bought: bool = False,
    dry_run: bool = False,
    key: str | None = None,
) -> dict[str, Any]:
    """Enter products of a line with their bottles, whole or not at all.

    Args:
        line: its name, or a part of it.
        rows: as they were written.
        source: where the rows come from, for refusals.
        place: where the bottles stand.
        bought: whether they came in a delivery now; else they are opening stock.
        dry_run: whether to read everything and book nothing.
        key: the caller's key; a repeat books nothing.
    Returns:
        `{"line", "products": [names that are new], "bottles", "volume_ml", "opened_unknown", "delivery", "booked"}`.
    Raises:
        BadRows: rows that can't be read, each with its number and reason.
        BadInput: there is no row, or a product can't be what the line says.
        NotFound, Ambiguous: the line or the place.
    """
    with connection(), writing():
        answered = first_answer("delivery", key)
        if answered is not None:
            return answered
        form = to_fill(line)
        sieve, found = Sieve(), []
        for row in rows:
            one, wrong = read(form, row.cells)
            if one is None:
                sieve.refuse(source, row.number, BadInput("; ".join(wrong.values()).rstrip(".")))
            else:
                found.append(one)
        sieve.stop()
        if not found:
            raise BadInput(_("there is no row to enter"), remedy=_("Write a name a row; nothing was booked"))
        came = [_came(row, place, bought=bought) for row in found if row.many]
        if dry_run:
            fresh = [row.name for row in found if not _is_known(form, row.name)]
            return _answer(form.line.name, list(dict.fromkeys(fresh)), came, booked=False)
        if not came:
            return _answer(form.line.name, _enter(form.line, found), came, booked=True)

        def work(errand: Errand) -> dict[str, Any]:
            fresh = _enter(form.line, found)
            put_in(errand, came)
            return _answer(form.line.name, fresh, came, booked=True) | {"delivery": errand.booking}

        return book("delivery", work, key=key)


def _is_known(form: LineToFill, name: str) -> bool:
    members = inheritance.members(form.line.id)
    return Product.select().where(Product.id.in_(members) & (Product.name_key == folded(name))).exists()


def _enter(line: Line, rows: Sequence[ReadRow]) -> list[str]:
    """Add the products that are new, and note the code and colour of those that are known; the names of the new."""
    fresh = []
    for row in rows:
        known = products.written_out([row.name])
        if not known:
            products.add({"name": row.name, "line": line.name, **row.own})
            fresh.append(row.name)
        elif row.own:
            products.change(row.name, row.own)
    return fresh


def _came(row: ReadRow, place: str | None, *, bought: bool) -> Came:
    assert row.size_ul is not None
    return Came(
        row.name, row.size_ul, count=row.many, left_ul=row.left_ul, opened_on=row.opened_on,
        opened_unknown=row.opened_unknown and row.opened_on is None, place=place, opening_stock=not bought,
    )  # fmt: skip


def _answer(line: str, fresh: Sequence[str], came: Sequence[Came], *, booked: bool) -> dict[str, Any]:
    volume_ul = sum(one.count * (one.size_ul if one.left_ul is None else one.left_ul) for one in came)
    return {
        "line": line,
        "products": list(fresh),
        "bottles": sum(one.count for one in came),
        "volume_ml": units.ml(units.Microlitres(volume_ul)),
        "opened_unknown": sum(one.count for one in came if one.opened_unknown),
        "delivery": None,
        "booked": booked,
    }
