"""What a studio decided for itself: its settings, its caution rules, how its own spreadsheets are read."""

from stock.store import words
from stock.store.fields import DayField, InstantField
from stock.store.orm import pw
from stock.store.table import Table, one_of


class Studio(Table):
    """The one row that says whose books these are, and the studio's settings."""

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
    room_l = pw.IntegerField(null=True, constraints=[pw.Check("room_l > 0")])
    made_at = InstantField()


class Training(Table):
    """Who of the studio was trained in what, on which day and until when it holds; one row a person and subject."""

    name = pw.TextField()
    name_key = pw.TextField()
    subject = pw.TextField(constraints=[one_of("subject", words.TRAININGS)])
    trained_on = DayField()
    until = DayField()

    class Meta:
        indexes = ((("name_key", "subject"), True),)


class RuleChoice(Table):
    """A caution rule that this studio tightened or silenced, with its reason; the newest row rules."""

    code = pw.TextField(index=True)
    choice = pw.TextField(constraints=[one_of("choice", ("silence", "tighten", "default"))])
    figure = pw.TextField(default="")
    reason, at = pw.TextField(), InstantField()


class SheetMap(Table):
    """Which column of a studio's own spreadsheet means what, by the kind of import and its heads."""

    heads = pw.TextField(unique=True)
    meant = pw.TextField()
