"""What a person confirmed of a data sheet, booked: fields of the product, the revision, and where each was read."""

from collections.abc import Iterable, Sequence
from datetime import date
from typing import Any, NamedTuple

from stock.datasheets.files import SheetFile
from stock.datasheets.proposals import TITLES, Proposal
from stock.errors import BadInput, NotFound
from stock.remedies import Option, Remedy
from stock.shelf import dosings, products, record_texts, sheets
from stock.shelf.shares import solvent
from stock.store.connection import connection, writing
from stock.store.models import DataSheet, FigureSource, Product
from stock.substance_table import row_of
from stock.text import folded, plain

SURE = "sure"
FIELDS = (
    "maker", "flash_point", "boiling_point", "density", "water", "solids", "signal_word", "h_statements",
    "p_statements",
    "pictograms", "gloves", "eye_protection", "breathing_protection", "incompatible", "un_number", "transport_class",
    "packing_group", "sealed_life", "opened_life",
)  # fmt: skip
"""Proposals that are fields of a product; the others stand with the sheet, or are kept as its words."""
OF_THE_SHEET = ("name", "revised_on", "version")
SAFETY, TECHNICAL = "Safety data sheet", "Technical data sheet"


class Taken(NamedTuple):
    """What was booked of one product.

    Attributes:
        product: its name.
        title, revised_on: of the sheet's revision.
        booked: the ids of what is now in its record.
        kept: the ids of what has no field there and is kept as the sheet's words.
        left: the ids of what was not taken.
    """

    product: str
    title: str
    revised_on: date
    booked: list[str]
    kept: list[str]
    left: list[str]

    def as_json(self) -> dict[str, Any]:
        """The answer for scripts."""
        return self._asdict() | {"revised_on": self.revised_on.isoformat()}


def chosen(proposals: Sequence[Proposal], take: Iterable[str]) -> list[Proposal]:
    """The proposals that these words mean: `sure`, an id, or a field for all of its ids.

    Raises:
        BadInput: a word that means none of them.
    """
    ids: set[str] = set()
    for word in take:
        meant = [one.id for one in proposals if word in (one.id, one.name) or (word == SURE and one.sure)]
        if not meant and word != SURE:
            there = ", ".join(one.id for one in proposals) or "nothing"
            raise BadInput(
                f"the sheet proposes no {plain(word, 40)!r}",
                remedy=f"It proposes {there}; write sure for all that are sure",
            )
        ids.update(meant)
    return [one for one in proposals if one.id in ids]


def take(
    file: SheetFile,
    proposals: Sequence[Proposal],
    taken: Sequence[Proposal],
    *,
    product: str,
    role: str | None = None,
    title: str | None = None,
    revised_on: date | None = None,
) -> Taken:
    """Book what was confirmed, whole or not at all; the same again changes nothing.

    Substances are added to those of the product, or take the place of the same substance. Of a bound,
    and of what the sheet
    calls not known, only the words are kept.

    Args:
        file: what was read.
        proposals: all that it proposes.
        taken: those that a person confirmed.
        product: whose figures they are.
        role: adds the product where the books have none of that name.
        title: of the sheet; else what kind it is.
        revised_on: its day, where the sheet's own isn't among `taken`.
    Raises:
        NotFound, Ambiguous: the product.
        BadInput: no day is known, nothing was taken, or what is taken doesn't fit what is noted.
    """
    if not taken:
        raise BadInput(
            "nothing was taken",
            remedy=Remedy("Take what is sure ", Option("take", "sure"), ", or fields by name"),
        )
    day = revised_on or _day(proposals, taken)
    with connection(), writing():
        row = _product(product, role)
        given = {one.name: one.value for one in taken if one.name in FIELDS and one.value is not None}
        fields: dict[str, Any] = dict(given)
        if _solvents(taken):
            fields["solvent"] = _joined(row, taken)
        if fields:
            products.change(row.name, fields)
        sheet = _sheet(row, title or kind(proposals), day, file, taken)
        _note(row, sheet, file, taken)
    booked = [
        one.id for one in taken if one.value is not None and (one.name in (*FIELDS, "solvent", "dosing"))
    ]
    kept = [one.id for one in taken if one.id not in booked and one.name not in OF_THE_SHEET]
    ids = {one.id for one in taken}
    left = [one.id for one in proposals if one.id not in ids and one.name not in OF_THE_SHEET]
    return Taken(row.name, sheet.title, day, booked, kept, left)


def kind(proposals: Sequence[Proposal]) -> str:
    """What a sheet is called where nobody says: by whether it has a safety sheet's sections."""
    return SAFETY if any(one.section is not None for one in proposals) else TECHNICAL


def _day(proposals: Sequence[Proposal], taken: Sequence[Proposal]) -> date:
    """The day of the revision: the sheet's own, if it was taken or is sure."""
    for one in (*taken, *(one for one in proposals if one.sure)):
        if one.name == "revised_on" and one.value is not None:
            return date.fromisoformat(one.value)
    raise BadInput(
        "the day of the sheet's revision isn't sure",
        remedy=Remedy("Give it ", Option("revised", "DATE"), "; nothing was booked"),
    )


def _product(name: str, role: str | None) -> Product:
    try:
        return products.find(name)
    except NotFound:
        if role is None:
            raise
        return products.add({"name": name, "role": role})


def _solvents(taken: Sequence[Proposal]) -> list[Proposal]:
    return [one for one in taken if one.name == "solvent" and one.value is not None]


def _joined(row: Product, taken: Sequence[Proposal]) -> list[str]:
    """The product's solvents with the sheet's in the place of the same substances, as `entry.read` takes them."""
    new = [one.value for one in _solvents(taken) if one.value is not None]
    named = {_substance(solvent(text).name) for text in new}
    percents = [
        record_texts.solvent(name, share, basis, low)
        for name, share, basis, low in products.details(row)["solvents"]
        if _substance(name) not in named
    ]
    return [*percents, *new]


def _substance(name: str) -> str:
    found = row_of(name)
    return found["cas"] if found is not None else folded(name)


def _sheet(row: Product, title: str, day: date, file: SheetFile, taken: Sequence[Proposal]) -> DataSheet:
    """The revision with the ranges taken; one that is in the books keeps its other words."""
    ranges = [_range(one) for one in taken if one.name == "dosing" and one.value is not None]
    known = next(
        (
            each
            for each in sheets.listed(row.name)
            if folded(each.title) == folded(title) and each.revised_on == day
        ),
        None,
    )
    if known is None:
        return sheets.add(row.name, title, day, dosings=ranges, source=file.name)
    return sheets.correct(row.name, known.title, day, dosings=ranges or None)


def _range(one: Proposal) -> dosings.DosingEntry:
    """A range with its reducer, where the books have it, and the sheet's words."""
    entry = dosings.read(one.value or "")
    reducer = one.figures.get("with")
    named = products.written_out([str(reducer)]) if reducer else {}
    with_product = next(iter(named.values())).name if named else None
    return entry._replace(with_product=with_product, wording=one.words[:300])


def _note(row: Product, sheet: DataSheet, file: SheetFile, taken: Sequence[Proposal]) -> None:
    """Write where each figure was read, in the place of what was noted of it before."""
    texts = record_texts.product(row.name)
    for one in taken:
        if one.name in OF_THE_SHEET:
            continue
        FigureSource.delete().where((FigureSource.product == row) & (FigureSource.field == one.id)).execute()
        FigureSource.create(
            product=row, sheet=sheet, field=one.id, value=_value(one, texts), file=file.name, sha256=file.sha256,
            page=one.page, line=one.line, section=one.section, words=plain(one.words, 300),
        )  # fmt: skip


def _value(one: Proposal, texts: dict[str, str]) -> str:
    """What is now in the record, as a person would write it; else the sheet's words for it."""
    if one.value is not None and one.name in texts and one.name != "solvent":
        return texts[one.name]
    if one.name == "solvent" and one.value is not None:
        share = solvent(one.value)
        return record_texts.solvent(share.name, share.percent_milli, share.basis, share.low_milli)
    return plain(one.shown, 300)


def titles(ids: Iterable[str]) -> list[str]:
    """What some ids are called to a person, each once."""
    return list(dict.fromkeys(TITLES[each.partition(":")[0]] for each in ids))
