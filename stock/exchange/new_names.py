"""Suppliers and lines that come into being with the products that name them."""

from collections.abc import Iterable, Mapping, Sequence
from typing import Any, NamedTuple

from stock.store.models import Line, Supplier
from stock.text import folded


class NewNames(NamedTuple):
    """Folded names of suppliers and lines that products will be made with and that the books don't have yet."""

    suppliers: frozenset[str]
    lines: frozenset[str]

    @classmethod
    def of(cls, given: Iterable[Mapping[str, Any]]) -> "NewNames":
        """Those of new products, by the fields of `entry.read`; ask before they are made."""
        fields = [(each.get("supplier"), each.get("line")) for each in given]
        return cls(
            _unknown(Supplier, (supplier for supplier, _ in fields if supplier)),
            _unknown(Line, (line for _, line in fields if line)),
        )

    def made(self, **others: Sequence[int]) -> dict[str, list[int]]:
        """The numbers of what was made by its kind, with those of `others`; ask once they are made."""
        found = {kind: list(numbers) for kind, numbers in others.items()}
        found["supplier"] = _numbers(Supplier, self.suppliers)
        found["line"] = _numbers(Line, self.lines)
        return {kind: numbers for kind, numbers in found.items() if numbers}


def _unknown(table: Any, names: Iterable[str]) -> frozenset[str]:
    keys = {folded(name) for name in names}
    if not keys:
        return frozenset()
    known = {key for (key,) in table.select(table.name_key).tuples()}
    return frozenset(keys - known)


def _numbers(table: Any, keys: Iterable[str]) -> list[int]:
    if not keys:
        return []
    rows = table.select(table.name_key, table.id).tuples()
    return sorted(number for key, number in rows if key in keys)
