"""Tables of former facts, each with the last day for which it holds."""

from stock.store.bottle_tables import Bottle
from stock.store.fields import DayField
from stock.store.orm import pw
from stock.store.product_tables import Product
from stock.store.table import Table, refers_to


class PastFacts(Table):
    """The columns of a product before a change, as JSON, with the last day for which they hold.

    `solvents` holds the rows of its solvents, `not_with` the numbers of products that it must not meet, and `prices`
    minor units by size in microlitres; rows of older books lack the latter two. For a past day the earliest row that
    ends on that day or later counts, else the product's own row.
    """

    product = refers_to(Product)
    until = DayField()
    facts = pw.TextField()

    class Meta:
        indexes = ((("product", "until"), True),)


class PastOwner(Table):
    """A former owner of a bottle, with the last day for which it holds; empty for the studio."""

    bottle = refers_to(Bottle)
    until = DayField()
    owner = pw.TextField(default="")

    class Meta:
        indexes = ((("bottle", "until"), True),)


class PastSubstance(Table):
    """The columns of an own substance before a change, as JSON, with the last day for which they hold.

    For a past day the earliest row that ends on that day or later counts, else the substance's own row; an empty object
    means that the substance was not noted then. `number` is the substance's, which may have been deleted since.
    """

    number = pw.IntegerField()
    until = DayField()
    facts = pw.TextField()

    class Meta:
        indexes = ((("number", "until"), True),)
