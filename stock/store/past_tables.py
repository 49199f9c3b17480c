"""What was noted until a day, of facts that changed after it."""

from stock.store.bottle_tables import Bottle
from stock.store.fields import DayField
from stock.store.orm import pw
from stock.store.product_tables import Product
from stock.store.table import Table, refers_to


class PastFacts(Table):
    """What was noted of a product until a day, of the facts that were changed after it: the columns as JSON.

    `solvents` holds its solvents' rows, `not_with` the numbers of what it may not meet, and `prices` minor units by
    size in microlitres; the latter two are missing from what older books kept. On a day the earliest row until that day
    or a later one counts, else the product's own row.
    """

    product = refers_to(Product)
    until = DayField()
    facts = pw.TextField()

    class Meta:
        indexes = ((("product", "until"), True),)


class PastOwner(Table):
    """Whose a bottle was until a day, where that changed after it; empty for the studio."""

    bottle = refers_to(Bottle)
    until = DayField()
    owner = pw.TextField(default="")

    class Meta:
        indexes = ((("bottle", "until"), True),)


class PastSubstance(Table):
    """What was noted of an own substance until a day, of those that were changed after it: its columns as JSON.

    On a day the earliest row until that day or a later one counts, else the substance's own row; an empty object says
    that it was not noted then. `number` is the substance's, which may have been deleted since.
    """

    number = pw.IntegerField()
    until = DayField()
    facts = pw.TextField()

    class Meta:
        indexes = ((("number", "until"), True),)
