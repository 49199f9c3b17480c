"""What is known of products: who sells them, in which sizes, what is in them, what their sheets say."""

from stock.store import words
from stock.store.fields import DayField, LifeField
from stock.store.line_fields import COLUMNS
from stock.store.orm import pw
from stock.store.table import Table, one_of


class Supplier(Table):
    """Who sells: how long a delivery takes, on which days an order goes out, what shipping costs."""

    name = pw.TextField()
    name_key = pw.TextField(unique=True)
    lead_time = LifeField(null=True)
    order_days = pw.TextField(default="")
    shipping_minor = pw.BigIntegerField(null=True)
    free_shipping_from_minor = pw.BigIntegerField(null=True)
    taken_back = pw.BooleanField(default=False)


class Product(Table):
    """Something that can be bought, and what its sheets say of it. An empty field means: not known.

    Of statements, pictograms and transport None is not known, and an empty text the sheet's word that there is none
    (`shelf/hazard_entry.py`).

    Every column holds the value in force, so a reader needs to know nothing of lines: what a product doesn't say
    itself is its line's, and is written here whenever the line changes (`stock/shelf/inheritance.py`). So is `line`,
    the name of its line; `LineProduct` has the line itself, and which fields the product says for itself.
    """

    name = pw.TextField()
    name_key = pw.TextField(unique=True)
    role = pw.TextField(constraints=[one_of("role", words.ROLES)])
    line = pw.TextField(default="")
    maker = pw.TextField(default="")
    color = pw.TextField(null=True)
    supplier = pw.ForeignKeyField(Supplier, null=True, backref="products", on_delete="RESTRICT")
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
    usual_reducer = pw.ForeignKeyField("self", null=True, on_delete="RESTRICT")
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


class PastFacts(Table):
    """What was noted of a product until a day, of the facts that were changed after it: the columns as JSON.

    `solvents` holds its solvents' rows, `not_with` the numbers of what it may not meet, and `prices` minor units by
    size in microlitres; the latter two are missing from what older books kept. On a day the earliest row until that day
    or a later one counts, else the product's own row.
    """

    product = pw.ForeignKeyField(Product, backref="past_facts", on_delete="RESTRICT")
    until = DayField()
    facts = pw.TextField()

    class Meta:
        indexes = ((("product", "until"), True),)


class Pack(Table):
    """A size in which a product is sold, and its price."""

    product = pw.ForeignKeyField(Product, backref="packs", on_delete="RESTRICT")
    size_ul = pw.BigIntegerField(constraints=[pw.Check("size_ul > 0")])
    price_minor = pw.BigIntegerField(null=True, constraints=[pw.Check("price_minor >= 0")])
    inner_diameter_um = pw.IntegerField(null=True)
    tare_mg = pw.BigIntegerField(null=True)

    class Meta:
        indexes = ((("product", "size_ul"), True),)


class Solvent(Table):
    """One solvent of a product: its share by weight or by volume, or the ends of its range.

    `percent_milli` is the high end where `low_milli` is noted, else the share itself.
    """

    product = pw.ForeignKeyField(Product, backref="solvents", on_delete="RESTRICT")
    name = pw.TextField()
    percent_milli = pw.IntegerField(constraints=[pw.Check("percent_milli BETWEEN 0 AND 100000")])
    basis = pw.TextField(default="weight", constraints=[one_of("basis", ("weight", "volume"))])
    low_milli = pw.IntegerField(null=True, constraints=[pw.Check("low_milli BETWEEN 0 AND percent_milli")])

    class Meta:
        indexes = ((("product", "name"), True),)


class NotWith(Table):
    """Two products that may not meet, by what their makers or the studio say."""

    product = pw.ForeignKeyField(Product, backref="not_with", on_delete="RESTRICT")
    other = pw.ForeignKeyField(Product, backref="not_with_me", on_delete="RESTRICT")

    class Meta:
        indexes = ((("product", "other"), True),)


class DataSheet(Table):
    """One revision of a maker's technical or safety sheet.

    One that is `of_line` is its product's line's, and stands with each product of the line.
    """

    product = pw.ForeignKeyField(Product, backref="sheets", on_delete="RESTRICT")
    title = pw.TextField()
    revised_on = DayField()
    source = pw.TextField(default="")
    withdrawn = pw.BooleanField(default=False)
    superseded_by = pw.ForeignKeyField("self", null=True, on_delete="RESTRICT")
    of_line = pw.BooleanField(default=False)

    class Meta:
        indexes = ((("product", "title", "revised_on"), True),)


class Dosing(Table):
    """A sheet's range for one paint or line, one reducer and one needle range, in per cent of the paint."""

    sheet = pw.ForeignKeyField(DataSheet, backref="dosings", on_delete="RESTRICT")
    with_product = pw.ForeignKeyField(Product, null=True, backref="dosings_with", on_delete="RESTRICT")
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


class Line(Table):
    """A maker's family of products that share facts. An empty field means: the line doesn't say it.

    It has every column that its products take over, as `Product` has it: those of `line_fields.FIELDS`.
    """

    name = pw.TextField()
    name_key = pw.TextField(unique=True)
    role = pw.TextField(null=True, constraints=[one_of("role", words.ROLES)])
    supplier = pw.ForeignKeyField(Supplier, null=True, backref="lines", on_delete="RESTRICT")
    usual_reducer = pw.ForeignKeyField(Product, null=True, backref="usual_of_lines", on_delete="RESTRICT")
    note = pw.TextField(default="")
    taken_back = pw.BooleanField(default=False)


for _column in COLUMNS:
    if _column not in Line._meta.fields:
        Line._meta.add_field(_column, Product._meta.fields[_column].clone())


class LinePack(Table):
    """A size in which the products of a line are sold, and its price."""

    line = pw.ForeignKeyField(Line, backref="packs", on_delete="RESTRICT")
    size_ul = pw.BigIntegerField(constraints=[pw.Check("size_ul > 0")])
    price_minor = pw.BigIntegerField(null=True, constraints=[pw.Check("price_minor >= 0")])

    class Meta:
        indexes = ((("line", "size_ul"), True),)


class LineSolvent(Table):
    """One solvent of a line's products, as `Solvent`."""

    line = pw.ForeignKeyField(Line, backref="solvents", on_delete="RESTRICT")
    name = pw.TextField()
    percent_milli = pw.IntegerField(constraints=[pw.Check("percent_milli BETWEEN 0 AND 100000")])
    basis = pw.TextField(default="weight", constraints=[one_of("basis", ("weight", "volume"))])
    low_milli = pw.IntegerField(null=True, constraints=[pw.Check("low_milli BETWEEN 0 AND percent_milli")])

    class Meta:
        indexes = ((("line", "name"), True),)


class LineNotWith(Table):
    """A product that those of a line may not meet."""

    line = pw.ForeignKeyField(Line, backref="not_with", on_delete="RESTRICT")
    other = pw.ForeignKeyField(Product, backref="not_with_lines", on_delete="RESTRICT")

    class Meta:
        indexes = ((("line", "other"), True),)


class LineSheet(Table):
    """A data sheet of a line that has no product yet; with the first one that comes it becomes that product's.

    `rest` is JSON: `dosings` and `figures`, each a list of columns of `Dosing` and `FigureSource`.
    """

    line = pw.ForeignKeyField(Line, backref="sheets", on_delete="RESTRICT")
    title = pw.TextField()
    revised_on = DayField()
    source = pw.TextField(default="")
    rest = pw.TextField()

    class Meta:
        indexes = ((("line", "title", "revised_on"), True),)


class LineProduct(Table):
    """That a product belongs to a line, and what it says itself: words of `line_fields.FIELDS` between blanks."""

    product = pw.ForeignKeyField(Product, primary_key=True, backref="line_product", on_delete="RESTRICT")
    line = pw.ForeignKeyField(Line, backref="products", on_delete="RESTRICT")
    own_fields = pw.TextField(default="")


class FigureSource(Table):
    """Where a figure of a product was read: the data sheet, and the line of its file.

    `field` is the figure's name, with a substance's or a needle's behind a colon where a sheet has several; `value` is
    what was booked, as a person would write it, or the sheet's own words where the product has no field for it.
    `page` is 0 where the file has no pages.
    """

    product = pw.ForeignKeyField(Product, backref="figure_sources", on_delete="RESTRICT")
    sheet = pw.ForeignKeyField(DataSheet, backref="figures", on_delete="RESTRICT")
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
