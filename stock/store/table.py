"""The base of all tables: the opened database, and CHECKs of columns that hold one of several words."""

from typing import Any

from stock.store.orm import pw

database = pw.DatabaseProxy()


def one_of(column: str, values: tuple[str, ...]) -> "pw.SQL":
    """A CHECK that a text column holds one of `values`."""
    return pw.Check(f"{column} IN ({', '.join(repr(value) for value in values)})")


def refers_to(table: "type[Table] | str", **more: Any) -> "pw.ForeignKeyField":
    """A column that holds the number of a row of another table, or of the same one by the word `self`.

    A row that is referred to can't be deleted. Nothing leads back from it, so that a table can be defined without those
    that refer to it.
    """
    return pw.ForeignKeyField(table, backref="+", on_delete="RESTRICT", **more)


def listed(column: "pw.Field") -> "pw.Function":
    """The whole numbers of a column in a group of rows, as one text `12,7,-5`.

    Several such columns of one query have the same order of rows.
    """
    if isinstance(database.obj, pw.PostgresqlDatabase):
        return pw.fn.STRING_AGG(column.cast("TEXT"), ",").python_value(str)
    return pw.fn.GROUP_CONCAT(column).python_value(str)


class RowNumber(pw.AutoField):
    """The number of a row.

    Each table needs a copy of `Table`'s. Peewee copies a field with everything it refers to, which takes as long as
    making all other columns of a table, so this field makes a new one instead.
    """

    def __deepcopy__(self, memo: object) -> "RowNumber":
        new = RowNumber()
        new.name = self.name
        return new


class Table(pw.Model):
    """A table of the opened database."""

    id: Any = RowNumber()

    class Meta:
        database = database
        legacy_table_names = False
