"""Where a product's figures were read: the data sheet's file, its page and the words of the line."""

from collections.abc import Mapping, Sequence
from typing import Any

from stock.language import _
from stock.named_tuples import NamedTuple
from stock.notation import show_day
from stock.store.models import DataSheet, FigureSource, Product
from stock.store.prepared import Prepared

OF_PRODUCTS = Prepared(
    lambda ids: (
        FigureSource.select(
            FigureSource.product, FigureSource.field, FigureSource.value, FigureSource.file, FigureSource.sha256,
            FigureSource.page, FigureSource.line, FigureSource.section, FigureSource.words, DataSheet.title,
            DataSheet.revised_on,
        )
        .join(DataSheet)
        .where(FigureSource.product.in_(ids))
        .order_by(FigureSource.id)
    )
)  # fmt: skip

PRINTED = "_printed"
"""The ending of a figure's name if only its words are kept although the record has a field of that name."""


class FigurePlace(NamedTuple):
    """A figure and the line that it was read from; `page` is 0 if the file has none."""

    field: str
    value: str
    file: str
    sha256: str
    page: int
    line: int
    section: int | None
    words: str
    title: str
    revised_on: Any

    @property
    def place(self) -> str:
        """Its place in words: `Safety data sheet of 2024-03-14, page 4, section 9`."""
        where = [
            _("{title} of {revised_on}", title=self.title, revised_on=show_day(self.revised_on)),
            _("page {page}", page=self.page) if self.page else _("line {line}", line=self.line),
        ]
        return ", ".join([*where, _("section {section}", section=self.section)] if self.section else where)

    def as_json(self) -> dict[str, Any]:
        """The source for scripts."""
        return {
            "field": self.field, "value": self.value, "sheet": self.title, "revised": self.revised_on.isoformat(),
            "file": self.file, "sha256": self.sha256, "page": self.page or None, "line": self.line,
            "section": self.section, "words": self.words,
        }  # fmt: skip


def of_product(product: Product) -> list[FigurePlace]:
    """The sources of a product's figures, in the order noted; one query."""
    return [FigurePlace(*row[1:]) for row in OF_PRODUCTS.rows([product.id])]


def unchanged(sources: Sequence[FigurePlace], texts: Mapping[str, str]) -> list[FigurePlace]:
    """The sources whose figure is still in the record.

    A figure that was changed by hand since no longer comes from the sheet.

    Args:
        sources: a product's.
        texts: its record as `record_texts.product` gives it.
    """
    return [each for each in sources if still_stands(each.field, each.value, texts)]


def still_stands(field: str, value: str, texts: Mapping[str, str]) -> bool:
    """Whether a record still has the value that was read; True for fields that no record has."""
    name = field.partition(":")[0]
    if name not in texts:
        return True
    if name == "solvent":
        return value in texts[name]
    return texts[name] == value
