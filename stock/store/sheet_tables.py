"""Data sheets, the dosings that they print, and where in them a figure was read."""

from stock.store.fields import DayField
from stock.store.orm import pw
from stock.store.product_tables import Product
from stock.store.table import Table, refers_to


class DataSheet(Table):
    """One revision of a maker's technical or safety sheet.

    One that is `of_line` is its product's line's, and stands with each product of the line.
    """

    product = refers_to(Product)
    title = pw.TextField()
    revised_on = DayField()
    source = pw.TextField(default="")
    withdrawn = pw.BooleanField(default=False)
    superseded_by = refers_to("self", null=True)
    of_line = pw.BooleanField(default=False)

    class Meta:
        indexes = ((("product", "title", "revised_on"), True),)


class Dosing(Table):
    """A sheet's range for one paint or line, one reducer and one needle range, in per cent of the paint."""

    sheet = refers_to(DataSheet)
    with_product = refers_to(Product, null=True)
    for_line = pw.TextField(default="")
    needle_low_um = pw.IntegerField(null=True)
    needle_high_um = pw.IntegerField(null=True)
    low_milli = pw.IntegerField()
    high_milli = pw.IntegerField()
    step_milli = pw.IntegerField(null=True)
    pressure_low_pa = pw.IntegerField(null=True)
    pressure_high_pa = pw.IntegerField(null=True)
    humidity = pw.TextField(default="")
    wording = pw.TextField(default="")


class FigureSource(Table):
    """Where a figure of a product was read: the data sheet, and the line of its file.

    `field` is the figure's name, with a substance's or a needle's behind a colon where a sheet has several; `value` is
    what was booked, as a person would write it, or the sheet's own words where the product has no field for it.
    `page` is 0 where the file has no pages.
    """

    product = refers_to(Product)
    sheet = refers_to(DataSheet)
    field = pw.TextField()
    value = pw.TextField(default="")
    file = pw.TextField()
    sha256 = pw.TextField()
    page = pw.IntegerField(constraints=[pw.Check("page >= 0")])
    line = pw.IntegerField(constraints=[pw.Check("line >= 0")])
    section = pw.IntegerField(null=True)
    words = pw.TextField()

    class Meta:
        indexes = ((("product", "field"), True),)
