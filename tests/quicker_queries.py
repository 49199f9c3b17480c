"""What costs the most of a query in Peewee, a column's name in SQL, written at once where Peewee goes six calls deep.

An ordinary run takes it, so that what reads and writes books costs less of the processor; the SQL is the same. A run
with `--deep` leaves Peewee as it is.
"""

import peewee as pw


def _column(field: pw.Field, ctx: pw.Context) -> pw.Context:
    """The SQL of a field: its quoted name, after the alias of its table unless values are written."""
    table = field.model._meta.table
    state = ctx.state
    quotes = state.settings.get("quote") or '""'
    if type(table) is not pw.Table or table._alias or quotes[0] in field.column_name:
        return ctx.sql(field.column)
    before, after = quotes
    if state.scope == pw.SCOPE_VALUES:
        return ctx.literal(f"{before}{field.column_name}{after}")
    return ctx.literal(f"{before}{ctx.alias_manager[table]}{after}.{before}{field.column_name}{after}")


def take() -> None:
    """Write columns so from now on."""
    pw.Field.__sql__ = _column
