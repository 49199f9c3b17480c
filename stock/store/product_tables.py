"""Tables about products: suppliers, composition, and products that must not meet."""

from stock.store import words
from stock.store.fields import DayField, LifeField
from stock.store.orm import pw
from stock.store.table import Table, one_of, refers_to


class Supplier(Table):
    """A supplier: its lead time, the days on which it takes orders, its shipping cost."""

    name = pw.TextField()
    name_key = pw.TextField(unique=True)
    lead_time = LifeField(null=True)
    order_days = pw.TextField(default="")
    shipping_minor = pw.BigIntegerField(null=True)
    free_shipping_from_minor = pw.BigIntegerField(null=True)
    taken_back = pw.BooleanField(default=False)


class Product(Table):
    """A product that can be bought, with the facts of its data sheets. An empty field means "not known".

    Of statements, pictograms and transport None means "not known", and an empty text that the sheet says there is none
    (`shelf/hazard_entry.py`).

    Every column holds the value in force, so readers need not know about lines: a value that the product inherits is
    written here whenever its line changes (`stock/shelf/inheritance.py`). The same holds for `line`, the name of its
    line; `LineProduct` refers to the line itself and lists the product's own fields.
    """

    name = pw.TextField()
    name_key = pw.TextField(unique=True)
    role = pw.TextField(constraints=[one_of("role", words.ROLES)])
    line = pw.TextField(default="")
    maker = pw.TextField(default="")
    color = pw.TextField(null=True)
    supplier = refers_to(Supplier, null=True)
    lead_time = LifeField(null=True)
    density_ug_per_ml = pw.BigIntegerField(null=True, constraints=[pw.Check("density_ug_per_ml > 0")])
    drops_milli = pw.IntegerField(null=True, constraints=[pw.Check("drops_milli > 0")])
    water_milli = pw.IntegerField(null=True, constraints=[pw.Check("water_milli BETWEEN 0 AND 100000")])
    solids_milli = pw.IntegerField(null=True, constraints=[pw.Check("solids_milli BETWEEN 0 AND 100000")])
    flash_point_mc = pw.IntegerField(null=True)
    no_flash_point = pw.BooleanField(default=False)
    boiling_point_mc = pw.IntegerField(null=True)
    ph_low_milli = pw.IntegerField(null=True, constraints=[pw.Check("ph_low_milli BETWEEN 0 AND 14000")])
    ph_high_milli = pw.IntegerField(
        null=True, constraints=[pw.Check("ph_high_milli BETWEEN ph_low_milli AND 14000")]
    )
    no_solvent = pw.BooleanField(default=False)
    opened_life = LifeField(null=True)
    sealed_life = LifeField(null=True)
    store_low_mc = pw.IntegerField(null=True)
    store_high_mc = pw.IntegerField(null=True)
    usual_reducer = refers_to("self", null=True)
    groups = pw.TextField(default="")
    discontinued_on = DayField(null=True)
    note = pw.TextField(default="")
    signal_word = pw.TextField(null=True, constraints=[one_of("signal_word", words.SIGNAL_WORDS)])
    h_statements = pw.TextField(null=True)
    p_statements = pw.TextField(null=True)
    pictograms = pw.TextField(null=True)
    gloves = pw.TextField(default="")
    eye_protection = pw.TextField(default="")
    breathing_protection = pw.TextField(default="")
    un_number = pw.TextField(null=True)
    transport_class = pw.TextField(null=True)
    packing_group = pw.TextField(
        null=True, constraints=[one_of("packing_group", ("", *words.PACKING_GROUPS))]
    )
    incompatible = pw.TextField(default="")
    voc_categories = pw.TextField(default="")
    pot_life_minutes = pw.IntegerField(null=True, constraints=[pw.Check("pot_life_minutes > 0")])
    hot_pot_life_minutes = pw.IntegerField(null=True, constraints=[pw.Check("hot_pot_life_minutes > 0")])
    hot_pot_life_mc = pw.IntegerField(null=True)
    code = pw.TextField(default="")
    taken_back = pw.BooleanField(default=False)


class Solvent(Table):
    """One solvent of a product: its share by weight or by volume, or the ends of its range.

    `percent_milli` is the high end of a range whose low end is `low_milli`, else the share itself.
    """

    product = refers_to(Product)
    name = pw.TextField()
    percent_milli = pw.IntegerField(constraints=[pw.Check("percent_milli BETWEEN 0 AND 100000")])
    basis = pw.TextField(default="weight", constraints=[one_of("basis", ("weight", "volume"))])
    low_milli = pw.IntegerField(null=True, constraints=[pw.Check("low_milli BETWEEN 0 AND percent_milli")])

    class Meta:
        indexes = ((("product", "name"), True),)


class NotWith(Table):
    """Two products that must not meet, according to their makers or the studio."""

    product = refers_to(Product)
    other = refers_to(Product)

    class Meta:
        indexes = ((("product", "other"), True),)
