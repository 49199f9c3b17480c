"""Data sheets: revisions of what a maker says, and the dosings taken from them."""

from dataclasses import dataclass
from datetime import date

from stock.errors import BadInput, UllageError
from stock.shelf import products
from stock.store.connection import connection, writing
from stock.store.models import DataSheet, Dosing, Product
from stock.text import name as clean_name
from stock.text import note as clean_note


@dataclass(frozen=True, slots=True)
class DosingEntry:
    """One range of a sheet: thousandths of a per cent of the paint's volume, needles in micrometres.

    `with_product` names the reducer (or, on a reducer's own sheet, the paint); `for_line` a whole line.
    `wording` keeps what the sheet says where its ratio could be read two ways.
    """

    low_milli: int
    high_milli: int
    step_milli: int | None = None
    with_product: str | None = None
    for_line: str = ""
    needle_low_um: int | None = None
    needle_high_um: int | None = None
    pressure_low_pa: int | None = None
    pressure_high_pa: int | None = None
    humidity: str = ""
    wording: str = ""


def add(
    product: str,
    title: str,
    revised_on: date,
    *,
    dosings: list[DosingEntry] | None = None,
    withdrawn: bool = False,
    source: str = "",
) -> DataSheet:
    """Enter one revision of a sheet with its dosings.

    Raises:
        UllageError: that revision is in the books.
        BadInput: a range upside down.
        NotFound, Ambiguous: the product, or one that a dosing names.
    """
    with connection(), writing():
        row = products.find(product)
        cleaned = clean_name(title, what="sheet's title", most=120)
        same = (
            (DataSheet.product == row) & (DataSheet.title == cleaned) & (DataSheet.revised_on == revised_on)
        )
        if DataSheet.select().where(same).exists():
            raise UllageError(
                f"the sheet {cleaned} of {revised_on} is in the books",
                remedy="Give another day",
                code="exists",
            )
        sheet = DataSheet.create(
            product=row, title=cleaned, revised_on=revised_on, withdrawn=withdrawn, source=clean_note(source)
        )
        for dosing in dosings or []:
            _write(sheet, dosing)
        return sheet


def _write(sheet: DataSheet, dosing: DosingEntry) -> None:
    if not 0 <= dosing.low_milli <= dosing.high_milli:
        raise BadInput("a dosing's low figure is above its high one", remedy="Write low=10 high=20")
    Dosing.create(
        sheet=sheet,
        with_product=products.find(dosing.with_product) if dosing.with_product else None,
        for_line=dosing.for_line,
        needle_low_um=dosing.needle_low_um,
        needle_high_um=dosing.needle_high_um,
        low_milli=dosing.low_milli,
        high_milli=dosing.high_milli,
        step_milli=dosing.step_milli,
        pressure_low_pa=dosing.pressure_low_pa,
        pressure_high_pa=dosing.pressure_high_pa,
        humidity=clean_note(dosing.humidity),
        wording=clean_note(dosing.wording),
    )


def of(product: Product) -> list[DataSheet]:
    """A product's sheets, newest revision first."""
    with connection():
        return list(
            DataSheet.select()
            .where(DataSheet.product == product)
            .order_by(DataSheet.revised_on.desc(), DataSheet.id)
        )


def dosings(sheet: DataSheet) -> list[Dosing]:
    """A sheet's dosings in the order of entry."""
    with connection():
        return list(Dosing.select(Dosing, Product).left_outer_join(Product).where(Dosing.sheet == sheet))
