"""What all tables share: the database that was opened, and how a column is held to its words."""

from stock.store.orm import pw

database = pw.DatabaseProxy()


def one_of(column: str, values: tuple[str, ...]) -> "pw.SQL":
    """A CHECK that a text column holds one of `values`."""
    return pw.Check(f"{column} IN ({', '.join(repr(value) for value in values)})")


def listed(column: "pw.Field") -> "pw.Function":
    """The whole numbers that a column holds in a group of rows, as one text `12,7,-5`.

    Several such columns of one query list their rows in the same order.
    """
    if isinstance(database.obj, pw.PostgresqlDatabase):
        return pw.fn.STRING_AGG(column.cast("TEXT"), ",").python_value(str)
    return pw.fn.GROUP_CONCAT(column).python_value(str)


class Table(pw.Model):
    """A table of the opened database."""

    class Meta:
        database = database
        legacy_table_names = False
