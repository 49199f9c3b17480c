"""What all tables share: the database that was opened, and how a column is held to its words."""

from stock.store.orm import pw

database = pw.DatabaseProxy()


def one_of(column: str, values: tuple[str, ...]) -> "pw.SQL":
    """A CHECK that a text column holds one of `values`."""
    return pw.Check(f"{column} IN ({', '.join(repr(value) for value in values)})")


class Table(pw.Model):
    """A table of the opened database."""

    class Meta:
        database = database
        legacy_table_names = False
