"""Tables of a studio's own choices and facts: its settings, its caution rules, its substances."""

from stock.notation import DATE_ORDERS, DECIMAL_MARKS
from stock.store import words
from stock.store.fields import DayField, InstantField
from stock.store.orm import pw
from stock.store.table import Table, one_of


class Studio(Table):
    """The single row with the studio's name and settings."""

    id = pw.IntegerField(primary_key=True, default=1, constraints=[pw.Check("id = 1")])
    schema_version = pw.IntegerField()
    name = pw.TextField()
    currency = pw.TextField()
    time_zone = pw.TextField()
    measures = pw.TextField(constraints=[one_of("measures", ("metric", "us", "imperial"))])
    drops_milli = pw.IntegerField(default=20_000)
    dry_risk_milli = pw.IntegerField(default=5_000)
    rule_sets = pw.TextField(default="")
    fan_m3_per_h = pw.IntegerField(null=True)
    spray_ul_per_min = pw.IntegerField(null=True, constraints=[pw.Check("spray_ul_per_min > 0")])
    waste_collected_on = DayField(null=True)
    labour_minor_per_h = pw.BigIntegerField(null=True, constraints=[pw.Check("labour_minor_per_h >= 0")])
    markup_milli = pw.IntegerField(null=True, constraints=[pw.Check("markup_milli >= 0")])
    closed_until = DayField(null=True)
    room_l = pw.IntegerField(null=True, constraints=[pw.Check("room_l > 0")])
    address = pw.TextField(default="")
    voc_limit_mg = pw.BigIntegerField(null=True, constraints=[pw.Check("voc_limit_mg > 0")])
    decimal_mark = pw.TextField(default="point", constraints=[one_of("decimal_mark", DECIMAL_MARKS)])
    date_order = pw.TextField(default="iso", constraints=[one_of("date_order", DATE_ORDERS)])
    paper = pw.TextField(default="", constraints=[one_of("paper", words.PAPERS)])
    made_at = InstantField()


class OwnSubstance(Table):
    """A substance with the studio's own figures from its sheet. An empty figure means "not known".

    Of statements and waste codes None means "not known", and an empty text that the sheet says there is none.
    """

    name = pw.TextField()
    name_key = pw.TextField(unique=True)
    cas = pw.TextField(default="")
    aliases = pw.TextField(default="")
    family = pw.TextField(default="")
    flash_point_mc = pw.IntegerField(null=True)
    no_flash_point = pw.BooleanField(default=False)
    boiling_point_mc = pw.IntegerField(null=True)
    density_ug_per_ml = pw.BigIntegerField(null=True, constraints=[pw.Check("density_ug_per_ml > 0")])
    molar_mg = pw.IntegerField(null=True, constraints=[pw.Check("molar_mg > 0")])
    lower_milli = pw.IntegerField(null=True, constraints=[pw.Check("lower_milli BETWEEN 1 AND 100000")])
    exposure_ppb = pw.BigIntegerField(null=True, constraints=[pw.Check("exposure_ppb > 0")])
    short_term_ppb = pw.BigIntegerField(null=True, constraints=[pw.Check("short_term_ppb > 0")])
    ceiling_ppb = pw.BigIntegerField(null=True, constraints=[pw.Check("ceiling_ppb > 0")])
    h_statements = pw.TextField(null=True)
    us_waste = pw.TextField(null=True)
    us_voc = pw.TextField(null=True, constraints=[one_of("us_voc", words.VOC_WORDS)])
    hap = pw.BooleanField(null=True)
    source = pw.TextField(default="")
    note = pw.TextField(default="")


class RuleChoice(Table):
    """A caution rule that this studio tightened or silenced, with its reason; the newest row counts."""

    code = pw.TextField(index=True)
    choice = pw.TextField(constraints=[one_of("choice", ("silence", "tighten", "default"))])
    figure = pw.TextField(default="")
    reason, at = pw.TextField(), InstantField()
