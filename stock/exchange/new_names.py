"""Suppliers and lines that are made together with the products that name them."""

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from stock.named_tuples import NamedTuple
from stock.store.models import Line, Supplier
from stock.text import folded


class NewNames(NamedTuple):
    """Folded names of suppliers and lines that new products name and that the books don't have yet."""

    suppliers: frozenset[str]
    lines: frozenset[str]

    @classmethod
    def of(cls, given: Iterable[Mapping[str, Any]]) -> "NewNames":
        """The new names in the fields of new products (as `entry.read` takes them); call it before they are made."""
        fields = [(each.get("supplier"), each.get("line")) for each in given]
        return cls(
            _unknown(Supplier, (supplier for supplier, _ in fields if supplier)),
            _unknown(Line, (line for _, line in fields if line)),
        )

    def made(self, **others: Sequence[int]) -> dict[str, list[int]]:
        """The numbers of the records that were made, by kind, with those of `others`; call it once they are made."""
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
