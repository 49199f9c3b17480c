"""The values of a table's row by the names of its columns."""

from typing import Any

from stock.store.orm import pw


def value_of(row: Any, name: str) -> Any:
    """One column's value; a reference gives its number without reading the other row."""
    field = row._meta.fields[name]
    return getattr(row, field.object_id_name if isinstance(field, pw.ForeignKeyField) else name)


def values_of(row: Any) -> dict[str, Any]:
    """The values of all columns, references as numbers."""
    return {name: value_of(row, name) for name in row._meta.fields}
