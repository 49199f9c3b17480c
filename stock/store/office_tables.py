"""What a studio keeps beside its stock: closed periods, trainings, how its own spreadsheets are read."""

from stock.store import words
from stock.store.fields import DayField, InstantField
from stock.store.orm import pw
from stock.store.table import Table, one_of


class PeriodChange(Table):
    """The books were closed until a day, or opened again (to `closed_until`, or wholly); append-only."""

    closed_until = DayField(null=True)
    reason = pw.TextField(default="")
    at = InstantField()


class Training(Table):
    """Who of the studio was trained in what, on which day and until when it holds; one row a person and subject."""

    name = pw.TextField()
    name_key = pw.TextField()
    subject = pw.TextField(constraints=[one_of("subject", words.TRAININGS)])
    trained_on = DayField()
    until = DayField()

    class Meta:
        indexes = ((("name_key", "subject"), True),)


class SheetMap(Table):
    """Which column of a studio's own spreadsheet means what, by the kind of import and its heads."""

    heads = pw.TextField(unique=True)
    meant = pw.TextField()
