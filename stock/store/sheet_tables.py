"""Tables of data sheets, of their dosings, and of the places where figures were read."""

from stock.store.fields import DayField
from stock.store.orm import pw
from stock.store.product_tables import Product
from stock.store.table import Table, refers_to


class DataSheet(Table):
    """One revision of a maker's technical or safety sheet.

    A sheet with `of_line` belongs to the product's line and stands with each product of that line.
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
    """The data sheet and the line of its file where a figure of a product was read.

    `field` is the figure's name, followed by a colon and a substance or a needle if a sheet has several; `value` is the
    booked text, or the sheet's own words if the product has no such field. `page` is 0 for a file without pages.
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
