"""Booking the figures of a data sheet that a person confirmed: the product's fields, the revision, and each source."""

from collections.abc import Iterable, Iterator, Sequence
from datetime import date
from typing import Any

from stock.datasheets.files import SheetFile
from stock.datasheets.proposals import Proposal
from stock.errors import BadInput, NotFound
from stock.language import _
from stock.named_tuples import NamedTuple
from stock.notation import exactly
from stock.remedies import Option, Remedy
from stock.shelf import (
    dosings,
    figure_sources,
    inheritance,
    line_sheets,
    lines,
    own_substances,
    products,
    record_texts,
    sheets,
)
from stock.shelf.shares import solvent
from stock.shelf.written import OF_LINE, details
from stock.store.connection import connection, writing
from stock.store.models import DataSheet, FigureSource, Product
from stock.substance_table import row_of
from stock.text import folded, plain
from stock.text import name as clean_name

ALL_SURE = "all-sure"
FIELDS = (
    "maker", "flash_point", "boiling_point", "ph", "density", "water", "solids", "signal_word", "h_statements",
    "p_statements", "pictograms", "gloves", "eye_protection", "breathing_protection", "incompatible", "un_number",
    "transport_class", "packing_group", "sealed_life", "opened_life", "pot_life",
)  # fmt: skip
"""Proposals that are fields of a product; the others are kept with the sheet, or only as its words."""
_LIMIT_OF = {"8 hours": "exposure_limit", "short term": "short_term_limit", "ceiling": "ceiling_limit"}
_PPM = ("ppm", "ml/m3", "cm3/m3")
"""Units of an exposure limit that mean parts per million of the air by volume."""
OF_THE_SHEET = ("name", "revised_on", "version")
SAFETY, TECHNICAL = _("Safety data sheet"), _("Technical data sheet")


class Taken(NamedTuple):
    """The figures that were booked for a product, or for a line and its products.

    Attributes:
        whose: the name of the product or line.
        products: those with which the sheet is kept.
        title, revised_on: of the sheet's revision.
        booked: the fields, as scripts call them, that are now in the record.
        kept: fields that have no place in the record and are kept as the sheet's words.
        left: fields that were not taken.
    """

    whose: str
    products: list[str]
    title: str
    revised_on: date
    booked: list[str]
    kept: list[str]
    left: list[str]

    def as_json(self) -> dict[str, Any]:
        """The answer for scripts."""
        return self._asdict() | {"revised_on": self.revised_on.isoformat()}


class Confirmed(NamedTuple):
    """A file, its proposals, and those that a person confirmed.

    Attributes:
        title: the sheet's title; if empty, its kind.
        revised_on: the day of the revision, if the sheet's own day is not among the confirmed proposals.
    """

    file: SheetFile
    proposals: Sequence[Proposal]
    taken: Sequence[Proposal]
    title: str = ""
    revised_on: date | None = None

    def day(self) -> date:
        """The day of the revision: the sheet's own, if it was taken or is sure.

        Raises:
            BadInput: none is known.
        """
        if self.revised_on is not None:
            return self.revised_on
        for one in (*self.taken, *(one for one in self.proposals if one.sure)):
            if one.name == "revised_on" and one.value is not None:
                return date.fromisoformat(one.value)
        raise BadInput(
            _("the day of the sheet's revision isn't sure"),
            remedy=Remedy(_("Give it "), Option("revised", "DATE"), _("; nothing was booked")),
        )

    def fields(self) -> dict[str, Any]:
        """The fields for the record, as `entry.read` takes them, without the substances."""
        return {one.name: one.value for one in self.taken if one.name in FIELDS and one.value is not None}


def chosen(proposals: Sequence[Proposal], take: Iterable[str]) -> list[Proposal]:
    """The proposals that these words mean: `all-sure`, a field as scripts call it, or one for all of its keys.

    Raises:
        BadInput: a word that means none of them.
    """
    fields: set[str] = set()
    for word in take:
        meant = [
            one.field
            for one in proposals
            if word in (one.field, one.field.partition(":")[0]) or (word == ALL_SURE and one.sure)
        ]
        if not meant and word != ALL_SURE:
            there = ", ".join(one.field for one in proposals) or "nothing"
            raise BadInput(
                _("the sheet proposes no {word!r}", word=plain(word, 40)),
                remedy=_("Take some of {there}; or all-sure, for all that are", there=there),
            )
        fields.update(meant)
    return [one for one in proposals if one.field in fields]


@exactly()
def take(what: Confirmed, product: str, *, role: str | None = None) -> Taken:
    """Book the confirmed figures of a product, whole or not at all; a repeat changes nothing.

    Substances are added to the noted ones, or replace the same substance. Of a bound only the words are kept.

    Args:
        what: the file and its confirmed proposals.
        product: the product's name.
        role: if given, the product is added with this role when the books have none of that name.
    Raises:
        NotFound, Ambiguous: the product.
        BadInput: no day is known, nothing was taken, or what is taken doesn't fit what is noted.
    """
    _refuse_nothing(what)
    day = what.day()
    with connection(), writing():
        row = _product(product, role)
        noted = products.details(row)["solvents"]
        at = _store_at(what, record_texts.product(row.name)["store_at"])
        fields = what.fields() | _solvents(what, noted) | at
        if fields:
            products.change(row.name, fields)
        title = str(_keep(row, what, day, frozenset()).title)
        limits = _note_limits(what, title, day)
    return _answer(what, Taken(row.name, [row.name], title, day, [*fields, *limits], [], []))


@exactly()
def take_for_line(what: Confirmed, line: str) -> Taken:
    """Book the confirmed figures of a line; the sheet and its sources are kept with each product, later ones included.

    If the line has no product yet, they wait for the first one. A figure that a product has of its own is not
    attributed to the sheet.

    Args:
        what: the file and its confirmed proposals.
        line: the line's name.
    Raises:
        NotFound, Ambiguous: the line.
        BadInput: as `take`.
    """
    _refuse_nothing(what)
    day = what.day()
    with connection(), writing():
        row = lines.find(line)
        members = lines.products_of(row)
        at = _store_at(what, record_texts.line(row.name)["store_at"])
        fields = what.fields() | _solvents(what, details(OF_LINE, row.id)["solvents"]) | at
        if fields:
            lines.change(row.name, fields)
        title = clean_name(what.title or kind(what.proposals), what=_("sheet's title"), most=120)
        if members:
            kept = [_keep(product, what, day, own) for product, own in members]
            line_sheets.spread(kept[0])
        else:
            texts = record_texts.line(row.name)
            line_sheets.wait(
                row.id, title, day, what.file.name, dosings=[sheets.columns_of(each) for each in _ranges(what)],
                figures=list(_figures(what, texts, frozenset())),
            )  # fmt: skip
        limits = _note_limits(what, title, day)
    names = [product.name for product, _ in members]
    return _answer(what, Taken(row.name, names, title, day, [*fields, *limits], [], []))


def _note_limits(what: Confirmed, title: str, day: date) -> list[str]:
    """Note limits of exposure with the studio's own substances; the ids of those noted.

    Only for substances that are not in the table of substances, and for limits in parts per million, because a limit
    by mass needs the molar mass. A limit that an own substance already has stays.
    """
    noted: list[str] = []
    for one in what.taken:
        column = _LIMIT_OF.get(str(one.figures.get("span")))
        cas = one.figures.get("cas")
        values = one.figures.get("values")
        ppm = (
            [text.split()[0] for text in values if text.split()[1] in _PPM]
            if isinstance(values, list)
            else []
        )
        if one.name != "exposure_limit" or column is None or cas is None or len(ppm) != 1:
            continue
        known = next((own for own in own_substances.everything() if own.cas == cas), None)
        if known is None:
            source = _("{title} of {day}, {name}", title=title, day=day, name=what.file.name)
            own_substances.add(
                {"name": str(one.figures["name"]), "cas": str(cas), column: f"{ppm[0]} ppm", "source": source}
            )
        elif own_substances.as_texts(known)[column]:
            continue
        else:
            own_substances.change(known.name, {column: f"{ppm[0]} ppm"})
        noted.append(one.id)
    return noted


def _refuse_nothing(what: Confirmed) -> None:
    if not what.taken:
        raise BadInput(
            _("nothing was taken"),
            remedy=Remedy(_("Take what is sure "), Option("take", ALL_SURE), _(", or fields by name")),
        )


def _answer(what: Confirmed, done: Taken) -> Taken:
    """The answer, with the names that scripts use in place of the record's fields."""
    in_record = {*done.booked, "dosing"}
    with connection():
        booked = [
            one.field
            for one in what.taken
            if not in_record.isdisjoint((one.name, one.id)) and _in_record(one)
        ]
    kept = [one.field for one in what.taken if one.field not in booked and one.name not in OF_THE_SHEET]
    taken = {one.field for one in what.taken}
    left = [one.field for one in what.proposals if one.field not in taken and one.name not in OF_THE_SHEET]
    return done._replace(booked=booked, kept=kept, left=left)


def _keep(row: Product, what: Confirmed, day: date, own: frozenset[str]) -> DataSheet:
    """Keep the sheet with a product, and where its figures were read, which replaces earlier notes about them."""
    sheet = _sheet(row, what.title or kind(what.proposals), day, what)
    figures = list(_figures(what, record_texts.product(row.name), own))
    fields = {one["field"] for one in figures}
    fields |= {name for one in what.taken if not fields.isdisjoint(_names(one)) for name in _names(one)}
    FigureSource.delete().where((FigureSource.product == row) & FigureSource.field.in_(fields)).execute()
    for one in figures:
        FigureSource.create(product=row, sheet=sheet, **one)
    return sheet


def kind(proposals: Sequence[Proposal]) -> str:
    """The title of a sheet without one: a safety sheet if it has a safety sheet's sections, else a technical one."""
    return SAFETY if any(one.section is not None for one in proposals) else TECHNICAL


def _product(name: str, role: str | None) -> Product:
    try:
        return products.find(name)
    except NotFound:
        if role is None:
            raise
        return products.add({"name": name, "role": role})


def _solvents(what: Confirmed, noted: Sequence[tuple[Any, ...]]) -> dict[str, Any]:
    """The noted solvents, with the sheet's replacing the same substances; empty if none was confirmed."""
    new = [one.value for one in what.taken if one.name == "solvent" and one.value is not None]
    named = {cas_or_name(solvent(text).name) for text in new}
    others = [record_texts.solvent(*share) for share in noted if cas_or_name(share[0]) not in named]
    return {"solvent": [*others, *new]} if new else {}


def cas_or_name(name: str) -> str:
    """What identifies a substance whatever it is called: its CAS number, or its name if that is unknown."""
    found = row_of(name)
    return found["cas"] if found is not None else folded(name)


def _store_at(what: Confirmed, noted: str) -> dict[str, str]:
    """The storage temperatures, if both ends are confirmed, or one is and the record has the other."""
    ends = dict(zip(("low", "high"), noted.split(".."), strict=True)) if noted else {}
    taken = {one.key: one.value for one in what.taken if one.name == "store_at" and one.value is not None}
    ends |= taken
    return {"store_at": f"{ends['low']}..{ends['high']}"} if taken and len(ends) == 2 else {}


def _sheet(row: Product, title: str, day: date, what: Confirmed) -> DataSheet:
    """The revision with the confirmed ranges; a revision that is already in the books keeps its other words."""
    ranges = _ranges(what)
    known = next(
        (
            each
            for each in sheets.listed(row.name)
            if folded(each.title) == folded(title) and each.revised_on == day
        ),
        None,
    )
    if known is None:
        return sheets.add(row.name, title, day, dosings=ranges, source=what.file.name)
    return sheets.correct(row.name, known.title, day, dosings=ranges or None)


def _ranges(what: Confirmed) -> list[dosings.DosingEntry]:
    return [_range(one) for one in what.taken if one.name == "dosing" and _in_record(one)]


def _reducer(one: Proposal) -> Product | None:
    """The product that a range names as its reducer; None if it names none that is in the books."""
    named = one.figures.get("with")
    return next(iter(products.written_out([str(named)]).values()), None) if named else None


def _in_record(one: Proposal) -> bool:
    """Whether a figure goes into the record: a range for an unknown reducer is not booked as one for any reducer."""
    if one.name == "dosing" and one.figures.get("with") and _reducer(one) is None:
        return False
    return one.value is not None


def _range(one: Proposal) -> dosings.DosingEntry:
    """A range with its reducer, if the books have it, and the sheet's words with their page."""
    entry = dosings.read(one.value or "")
    reducer = _reducer(one)
    with_product = reducer.name if reducer is not None else None
    page = _(" (page {page})", page=one.page) if one.page else ""
    return entry._replace(with_product=with_product, wording=f"{one.words[:280]}{page}")


def _names(one: Proposal) -> list[str]:
    """The names for a figure's source: its field in the record, or, if only its words are kept, a name of no field."""
    return [one.id, one.field, f"{one.field}{figure_sources.PRINTED}"]


def _figures(what: Confirmed, texts: dict[str, str], own: frozenset[str]) -> Iterator[dict[str, Any]]:
    """Where each figure was read, as columns of `FigureSource`, without figures that a product has of its own.

    Args:
        what: what was confirmed.
        texts: the record as it is now, of the product or of the line.
        own: the fields that the product has of its own.
    """
    own_fields = {word.partition(inheritance.AT)[0] for word in own}
    for one in what.taken:
        if one.name in OF_THE_SHEET or one.name in own_fields:
            continue
        booked = _in_record(one) and (one.name != "store_at" or texts["store_at"] != "")
        record, printed, marked = _names(one)
        yield {
            "field": record if booked else marked if printed in texts else printed, "value": _value(one, texts),
            "file": what.file.name, "sha256": what.file.sha256, "page": one.page, "line": one.line,
            "section": one.section, "words": plain(one.words, 300),
        }  # fmt: skip


def _value(one: Proposal, texts: dict[str, str]) -> str:
    """The value that is now in the record, as a person would write it; else the sheet's words."""
    if one.value is not None and one.name != "solvent" and texts.get(one.name):
        return texts[one.name]
    if one.name == "solvent" and one.value is not None:
        share = solvent(one.value)
        return record_texts.solvent(share.name, share.percent_milli, share.basis, share.low_milli)
    return plain(one.shown, 300)
