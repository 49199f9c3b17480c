"""Tables of purchases: sizes and prices, orders, invoices, and planned uses."""

from stock.store.bottle_tables import Booking, Job
from stock.store.fields import DayField
from stock.store.orm import pw
from stock.store.product_tables import Product, Supplier
from stock.store.table import Table, refers_to


class Pack(Table):
    """A size in which a product is sold, and its price."""

    product = refers_to(Product)
    size_ul = pw.BigIntegerField(constraints=[pw.Check("size_ul > 0")])
    price_minor = pw.BigIntegerField(null=True, constraints=[pw.Check("price_minor >= 0")])
    inner_diameter_um = pw.IntegerField(null=True)
    tare_mg = pw.BigIntegerField(null=True)

    class Meta:
        indexes = ((("product", "size_ul"), True),)


class Order(Table):
    """An order from one supplier; its number is its booking's."""

    id = refers_to(Booking, primary_key=True, column_name="id")
    supplier = refers_to(Supplier, null=True)
    expected_on = DayField(null=True)

    class Meta:
        table_name = "orders"


class OrderLine(Table):
    """One product and size of an order."""

    order = refers_to(Order)
    product = refers_to(Product)
    size_ul = pw.BigIntegerField(constraints=[pw.Check("size_ul > 0")])
    packs = pw.IntegerField(constraints=[pw.Check("packs > 0")])
    price_minor = pw.BigIntegerField(null=True)


class OrderEvent(Table):
    """Packs of an order line that were delivered (with the delivery's booking) or cancelled; append-only."""

    booking = refers_to(Booking)
    line = refers_to(OrderLine)
    packs = pw.IntegerField(constraints=[pw.Check("packs > 0")])
    cancelled = pw.BooleanField(default=False)


class PlannedUse(Table):
    """A job's known future need of a product on a day; its number is its booking's."""

    id = refers_to(Booking, primary_key=True, column_name="id")
    product = refers_to(Product)
    job = refers_to(Job, null=True)
    volume_ul = pw.BigIntegerField(constraints=[pw.Check("volume_ul > 0")])
    needed_on = DayField()


class Invoice(Table):
    """A supplier's invoice, or its part at one tax rate."""

    number = pw.TextField()
    supplier = refers_to(Supplier)
    dated_on = DayField()
    net_minor = pw.BigIntegerField(constraints=[pw.Check("net_minor >= 0")])
    tax_milli = pw.IntegerField(constraints=[pw.Check("tax_milli BETWEEN 0 AND 100000")])
    gross_minor = pw.BigIntegerField(constraints=[pw.Check("gross_minor >= 0")])

    class Meta:
        indexes = ((("supplier", "number", "tax_milli"), True),)


class InvoiceDelivery(Table):
    """A delivery that an invoice is for."""

    invoice = refers_to(Invoice)
    delivery = refers_to(Booking)

    class Meta:
        indexes = ((("invoice", "delivery"), True),)
