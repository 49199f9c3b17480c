"""Disagreements between a data sheet and the record: a differing figure is asked about, never overwritten."""

from collections.abc import Iterable
from typing import Any

from stock.datasheets.books import FIELDS, cas_or_name
from stock.datasheets.proposals import Proposal
from stock.errors import UllageError
from stock.shelf import entry, lines, products, record_texts
from stock.shelf.shares import Share, solvent
from stock.shelf.studio import settings
from stock.shelf.written import OF_LINE, OF_PRODUCT, shares_of
from stock.store.line_fields import is_said
from stock.store.models import Line, Product
from stock.store.row_values import value_of
from stock.text import folded


def from_record(
    name: str, proposals: Iterable[Proposal], *, is_line: bool = False, adds: bool = False
) -> dict[str, str]:
    """The record's differing values, as a person would write them, by the proposal's field.

    Args:
        name: the product's or the line's.
        proposals: of the sheet.
        is_line: whether it is a line.
        adds: whether the product may be new, to be made with the sheet.
    """
    if adds and not is_line and Product.get_or_none(Product.name_key == folded(name)) is None:
        return {}
    row: Any = lines.find(name) if is_line else products.find(name)
    texts = record_texts.line(row.name) if is_line else record_texts.product(row.name)
    shares = {cas_or_name(one.name): one for one in shares_of(OF_LINE if is_line else OF_PRODUCT, row.id)}
    differing: dict[str, str] = {}
    for one in proposals:
        if one.value is None:
            continue
        if one.name == "solvent":
            mine = shares.get(cas_or_name(solvent(one.value).name))
            if mine is not None and _share(mine) != _share(solvent(one.value)):
                differing[one.field] = record_texts.solvent(*mine)
        elif one.name == "store_at":
            ends = texts["store_at"].split("..")
            end = ends[0 if one.key == "low" else -1]
            if end and end != one.value:
                differing[one.field] = end
        elif one.name in FIELDS and _otherwise(row, one.name, one.value):
            differing[one.field] = texts[one.name]
    return differing


def _otherwise(row: Product | Line, name: str, value: str) -> bool:
    """Whether the record has another value in a field; an empty field doesn't count."""
    studio = settings()
    try:
        read = entry.read(
            {name: value}, measures=studio.measures, currency=studio.currency, today=studio.today()
        ).columns
    except UllageError:
        return False  # booking it will say why
    columns = type(row)._meta.fields
    said = any(is_said(value_of(row, each), null=columns[each].null) for each in read)
    return said and any(_comparable(value_of(row, each)) != _comparable(new) for each, new in read.items())


def _comparable(value: Any) -> Any:
    """The value in a form for comparing: lists of words in any order, and words in any case, are equal."""
    return sorted(folded(value).split()) if isinstance(value, str) else value


def _share(one: Share) -> tuple[Any, ...]:
    return one.percent_milli, one.basis, one.percent_milli if one.low_milli is None else one.low_milli
