"""Tables of a studio's office: closed periods, trainings, and the columns of its spreadsheets."""

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
    """A training of a person in a subject: its day, and the last day on which it holds; one row for each such pair."""

    name = pw.TextField()
    name_key = pw.TextField()
    subject = pw.TextField(constraints=[one_of("subject", words.TRAININGS)])
    trained_on = DayField()
    until = DayField()

    class Meta:
        indexes = ((("name_key", "subject"), True),)


class SheetMap(Table):
    """The meaning of the columns of a studio's own spreadsheet, by the kind of import and the columns' headings."""

    heads = pw.TextField(unique=True)
    meant = pw.TextField()
