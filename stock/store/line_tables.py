"""Tables of lines and of their products."""

from stock.store import words
from stock.store.fields import DayField
from stock.store.line_fields import COLUMNS
from stock.store.orm import pw
from stock.store.product_tables import Product, Supplier
from stock.store.table import Table, one_of, refers_to


class Line(Table):
    """A maker's family of products that share facts. An empty field means that the line has no such fact.

    It has every column that its products inherit, as in `Product`: those of `line_fields.FIELDS`.
    """

    name = pw.TextField()
    name_key = pw.TextField(unique=True)
    role = pw.TextField(null=True, constraints=[one_of("role", words.ROLES)])
    supplier = refers_to(Supplier, null=True)
    usual_reducer = refers_to(Product, null=True)
    note = pw.TextField(default="")
    taken_back = pw.BooleanField(default=False)


for _column in COLUMNS:
    if _column not in Line._meta.fields:
        Line._meta.add_field(_column, Product._meta.fields[_column].clone())


class LinePack(Table):
    """A size in which the products of a line are sold, and its price."""

    line = refers_to(Line)
    size_ul = pw.BigIntegerField(constraints=[pw.Check("size_ul > 0")])
    price_minor = pw.BigIntegerField(null=True, constraints=[pw.Check("price_minor >= 0")])

    class Meta:
        indexes = ((("line", "size_ul"), True),)


class LineSolvent(Table):
    """One solvent of a line's products, as `Solvent`."""

    line = refers_to(Line)
    name = pw.TextField()
    percent_milli = pw.IntegerField(constraints=[pw.Check("percent_milli BETWEEN 0 AND 100000")])
    basis = pw.TextField(default="weight", constraints=[one_of("basis", ("weight", "volume"))])
    low_milli = pw.IntegerField(null=True, constraints=[pw.Check("low_milli BETWEEN 0 AND percent_milli")])

    class Meta:
        indexes = ((("line", "name"), True),)


class LineNotWith(Table):
    """A product that the products of a line must not meet."""

    line = refers_to(Line)
    other = refers_to(Product)

    class Meta:
        indexes = ((("line", "other"), True),)


class LineSheet(Table):
    """A data sheet of a line without products; it becomes the first product's sheet.

    `rest` is JSON: `dosings` and `figures`, each a list of columns of `Dosing` and `FigureSource`.
    """

    line = refers_to(Line)
    title = pw.TextField()
    revised_on = DayField()
    source = pw.TextField(default="")
    rest = pw.TextField()

    class Meta:
        indexes = ((("line", "title", "revised_on"), True),)


class LineProduct(Table):
    """The line of a product, and the product's own fields: words of `line_fields.FIELDS` between blanks."""

    product = refers_to(Product, primary_key=True)
    line = refers_to(Line)
    own_fields = pw.TextField(default="")
