"""Data sheets: their revisions, the dosings taken from them, and the changes between two revisions."""

from collections.abc import Sequence
from datetime import date
from typing import Any

from stock.errors import BadInput, NotFound, UllageError
from stock.language import _
from stock.named_tuples import NamedTuple
from stock.notation import show_day
from stock.remedies import Do, Remedy
from stock.shelf import dosings as dosing_words
from stock.shelf import line_sheets, products
from stock.shelf.dosings import DosingEntry
from stock.store.connection import connection, reading, writing
from stock.store.models import DataSheet, Dosing, Product
from stock.store.prepared import Prepared
from stock.text import folded, plain
from stock.text import name as clean_name
from stock.text import note as clean_note


def _sheets(end: str) -> Any:
    return (
        DataSheet.select(
            DataSheet.id, DataSheet.product, Product.name, DataSheet.title, DataSheet.revised_on, DataSheet.source,
            DataSheet.withdrawn, DataSheet.superseded_by,
        )
        .join(Product)
        .where(DataSheet.revised_on <= end)
        .order_by(DataSheet.revised_on.desc(), DataSheet.id.desc())
    )  # fmt: skip


ALL_SHEETS = Prepared(_sheets)
SHEETS_OF = Prepared(lambda end, ids: _sheets(end).where(DataSheet.product.in_(ids)))
DOSINGS_OF = Prepared(
    lambda sheets: (
        Dosing.select(
            Dosing.sheet, Dosing.low_milli, Dosing.high_milli, Dosing.step_milli, Product.name, Dosing.for_line,
            Dosing.needle_low_um, Dosing.needle_high_um, Dosing.pressure_low_pa, Dosing.pressure_high_pa,
            Dosing.humidity, Dosing.wording,
        )
        .left_outer_join(Product)
        .where(Dosing.sheet.in_(sheets))
        .order_by(Dosing.id)
    )
)  # fmt: skip
"""The sheet, and then the fields of a `DosingEntry`, in order."""


class SheetView(NamedTuple):
    """One revision of a sheet as a person reads it; `replaced_by` is the day of the revision that replaces it."""

    id: int
    product: str
    title: str
    revised_on: date
    source: str
    withdrawn: bool
    replaced_by: date | None
    dosings: tuple[DosingEntry, ...]

    @property
    def in_force(self) -> bool:
        """Whether it may be used: neither withdrawn nor replaced."""
        return not self.withdrawn and self.replaced_by is None

    def as_json(self) -> dict[str, Any]:
        """The sheet as `ullage sheet list` prints it."""
        return {
            "product": self.product,
            "title": self.title,
            "revised": self.revised_on.isoformat(),
            "source": self.source,
            "withdrawn": self.withdrawn,
            "replaced_by": self.replaced_by.isoformat() if self.replaced_by else None,
            "in_force": self.in_force,
            "dosings": [dosing_words.as_json(entry) for entry in self.dosings],
        }


def add(
    product: str,
    title: str,
    revised_on: date,
    *,
    dosings: Sequence[DosingEntry] | None = None,
    withdrawn: bool = False,
    source: str = "",
    replaces: str | None = None,
    whole_line: bool = False,
) -> DataSheet:
    """Enter one revision of a sheet with its dosings.

    A newer revision of the same title replaces the older one automatically; `replaces` names a sheet of another title
    that this one replaces. A sheet of the `whole_line` is kept with each product of the product's line, and with those
    that join it later.

    Raises:
        UllageError: that revision is in the books.
        BadInput: a range upside down, a sheet that replaces itself, or one of a whole line for a product without any.
        NotFound, Ambiguous: the product, or one that a dosing or `replaces` names.
    """
    with connection(), writing():
        row = products.find(product)
        cleaned = clean_name(title, what=_("sheet's title"), most=120)
        if DataSheet.select().where(_revision(row, cleaned, revised_on)).exists():
            raise UllageError(
                _(
                    "the sheet {cleaned} of {revised_on} is in the books",
                    cleaned=cleaned,
                    revised_on=show_day(revised_on),
                ),
                remedy=Remedy(
                    _("Give another day, or put it right with "),
                    Do("sheet correct", "PRODUCT", "--title", "TITLE", "--revised", "DATE"),
                ),
                code="exists",
            )
        sheet = DataSheet.create(
            product=row, title=cleaned, revised_on=revised_on, withdrawn=withdrawn, source=clean_note(source)
        )
        _write(sheet, dosings or ())
        if replaces is not None:
            _replace(row, replaces, sheet)
        if whole_line and not line_sheets.spread(sheet):
            raise BadInput(
                _("{name} belongs to no line", name=row.name),
                remedy=Remedy(
                    _("Leave it out, or say the line: "),
                    Do("product change", "NAME", "--line", "LINE"),
                    _("; nothing was entered"),
                ),
            )
        return sheet


def correct(
    product: str,
    title: str,
    revised_on: date,
    *,
    dosings: Sequence[DosingEntry] | None = None,
    withdrawn: bool | None = None,
    source: str | None = None,
    new_title: str | None = None,
    new_day: date | None = None,
) -> DataSheet:
    """Correct an entry that was typed wrongly: the given values replace the old ones.

    A sheet of a line is corrected with each product of the line.

    Raises:
        NotFound: no such revision.
        UllageError: another revision has the new title and day.
        BadInput: a range upside down.
    """
    with connection(), writing():
        row = products.find(product)
        cleaned = clean_name(title, what=_("sheet's title"), most=120)
        sheet = DataSheet.get_or_none(_revision(row, cleaned, revised_on))
        if sheet is None:
            raise NotFound(
                _(
                    "{name} has no sheet {cleaned} of {revised_on}",
                    name=row.name,
                    cleaned=cleaned,
                    revised_on=show_day(revised_on),
                ),
                remedy=Remedy(Do("sheet list", "PRODUCT"), _(" shows them")),
            )
        changed = _renamed(sheet, new_title, new_day)
        if withdrawn is not None:
            changed["withdrawn"] = withdrawn
        if source is not None:
            changed["source"] = clean_note(source)
        for each in line_sheets.alike(sheet):
            if changed:
                DataSheet.update(**changed).where(DataSheet.id == each.id).execute()
            if dosings is not None:
                Dosing.delete().where(Dosing.sheet == each).execute()
                _write(each, dosings)
        return DataSheet.get_by_id(sheet.id)


def _renamed(sheet: DataSheet, new_title: str | None, new_day: date | None) -> dict[str, Any]:
    """The columns of a new title or day; empty if both are unchanged."""
    title = clean_name(new_title, what=_("sheet's title"), most=120) if new_title is not None else sheet.title
    day = new_day or sheet.revised_on
    if (title, day) == (sheet.title, sheet.revised_on):
        return {}
    if any(
        DataSheet.select().where(_revision(each.product, title, day)).exists()
        for each in line_sheets.alike(sheet)
    ):
        raise UllageError(
            _("the sheet {title} of {day} is in the books", title=title, day=show_day(day)),
            remedy=_("Give another title or day"),
            code="exists",
        )
    return {"title": title, "revised_on": day}


def _revision(product: Product, title: str, revised_on: date) -> Any:
    return (DataSheet.product == product) & (DataSheet.title == title) & (DataSheet.revised_on == revised_on)


def _replace(product: Product, title: str, sheet: DataSheet) -> None:
    old = (DataSheet.product == product) & (
        DataSheet.title == clean_name(title, what=_("sheet's title"), most=120)
    )
    if not DataSheet.select().where(old).exists():
        raise NotFound(
            _("{name} has no sheet {title}", name=product.name, title=plain(title, 60)),
            remedy=Remedy(Do("sheet list", "PRODUCT"), _(" shows them")),
        )
    if title == sheet.title:
        raise BadInput(_("a sheet can't replace itself"), remedy=_("Give the title of the other one"))
    DataSheet.update(superseded_by=sheet).where(old).execute()


def _write(sheet: DataSheet, dosings: Sequence[DosingEntry]) -> None:
    for entry in dosings:
        if not 0 <= entry.low_milli <= entry.high_milli:
            raise BadInput(_("a dosing's low figure is above its high one"), remedy=_("Write low=10 high=20"))
        Dosing.create(sheet=sheet, **columns_of(entry))


def columns_of(entry: DosingEntry) -> dict[str, Any]:
    """A range as columns of `Dosing`, without its sheet.

    Raises:
        NotFound, Ambiguous: its reducer.
    """
    return {
        "with_product": products.find(entry.with_product).id if entry.with_product else None,
        "for_line": entry.for_line, "needle_low_um": entry.needle_low_um, "needle_high_um": entry.needle_high_um,
        "low_milli": entry.low_milli, "high_milli": entry.high_milli, "step_milli": entry.step_milli,
        "pressure_low_pa": entry.pressure_low_pa, "pressure_high_pa": entry.pressure_high_pa,
        "humidity": clean_note(entry.humidity), "wording": clean_note(entry.wording),
    }  # fmt: skip


def listed(product: str, *, as_of: date | None = None) -> list[SheetView]:
    """A product's sheets with their dosings, newest revision first, as of a day.

    Raises:
        NotFound, Ambiguous: the product.
    """
    with connection(), reading():
        return views([products.find(product).id], as_of=as_of)


def views(product_ids: Sequence[int] | None = None, *, as_of: date | None = None) -> list[SheetView]:
    """The sheets of some products, or of all, newest revision first; two queries.

    Args:
        product_ids: the products' numbers; all when None.
        as_of: sheets revised after that day are left out, and replace nothing.
    """
    end = (as_of or date.max).isoformat()
    if product_ids is None:
        rows = ALL_SHEETS.rows(end)
    else:
        rows = SHEETS_OF.rows(end, list(product_ids)) if product_ids else []
    ranges: dict[int, list[DosingEntry]] = {row[0]: [] for row in rows}
    if rows:
        for sheet, *entry in DOSINGS_OF.rows(list(ranges)):
            ranges[sheet].append(DosingEntry(*entry))
    newest: dict[tuple[int, str], date] = {}
    days = {row[0]: row[4] for row in rows}
    found = []
    for number, product_id, product, title, revised_on, source, withdrawn, superseded_by in rows:
        place = (product_id, folded(title))
        replaced_by = days.get(superseded_by) or newest.get(place)
        if not withdrawn:
            newest.setdefault(place, revised_on)
        found.append(
            SheetView(
                id=number, product=product, title=title, revised_on=revised_on, source=source,
                withdrawn=withdrawn, replaced_by=replaced_by, dosings=tuple(ranges[number]),
            )
        )  # fmt: skip
    return found


class Change(NamedTuple):
    """The change of one range between two revisions: `added`, `dropped`, `changed` or `kept`."""

    what: str
    before: DosingEntry | None
    after: DosingEntry | None

    @property
    def words(self) -> str:
        """The change in one line."""
        if self.before is None and self.after is not None:
            return _("added: {after}", after=dosing_words.words(self.after))
        if self.after is None and self.before is not None:
            return _("dropped: {before}", before=dosing_words.words(self.before))
        assert self.before is not None
        assert self.after is not None
        if self.what == "kept":
            return _("kept: {after}", after=dosing_words.words(self.after))
        was = dosing_words.show_range(self.before.low_milli, self.before.high_milli)
        return _("changed: {after}; it was {was}", after=dosing_words.words(self.after), was=was)


def compare(older: SheetView, newer: SheetView) -> list[Change]:
    """The changes from one revision to another: ranges that were changed, added or dropped.

    Ranges are paired by reducer, line and needle; anything else that differs makes a change.
    """
    before = {_place(entry): entry for entry in older.dosings}
    after = {_place(entry): entry for entry in newer.dosings}
    changes = []
    for place, entry in after.items():
        was = before.get(place)
        what = "added" if was is None else "kept" if was == entry else "changed"
        changes.append(Change(what, was, entry))
    changes += [Change("dropped", entry, None) for place, entry in before.items() if place not in after]
    return changes


def _place(entry: DosingEntry) -> tuple[object, ...]:
    return entry.with_product, folded(entry.for_line), entry.needle_low_um, entry.needle_high_um


def two_revisions(
    sheets: Sequence[SheetView],
    *,
    title: str | None = None,
    older: date | None = None,
    newer: date | None = None,
) -> tuple[SheetView, SheetView]:
    """The two revisions to compare: the newest two of the title, or those of the days given.

    Args:
        sheets: one product's, newest first.
        title: the title of both; if left out, the newest sheet's, or any title if that has only one revision.
        older: the day of the older one.
        newer: the day of the newer one.
    Raises:
        NotFound: fewer than two of them.
    """
    wanted = title or (sheets[0].title if sheets else "")
    fitting = [each for each in sheets if folded(each.title) == folded(wanted)]
    if title is None and len(fitting) < 2:
        fitting = list(sheets)
    second = next((each for each in fitting if newer is None or each.revised_on == newer), None)
    first = None
    if second is not None:
        rest = fitting[fitting.index(second) + 1 :] if older is None else fitting
        first = next((each for each in rest if older is None or each.revised_on == older), None)
    if first is None or second is None or first is second:
        raise NotFound(
            _("there are no two such revisions to compare"),
            remedy=Remedy(Do("sheet list", "PRODUCT"), _(" shows them")),
        )
    return first, second
