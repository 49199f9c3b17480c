"""Each name is given once, and a part of one is enough to find its row: the same for all five kinds of record."""

from datetime import date
from typing import Any

import pytest

from stock.bench import recipes
from stock.errors import Ambiguous, BadInput, NotFound, UllageError
from stock.shelf import jobs, names, places, products, suppliers
from stock.store.connection import connection, writing
from stock.store.models import Job, Place, Product, Recipe, Supplier

DAY = date(2026, 3, 1)
PART = [("Harbour Blue", 1_000)]
KINDS: dict[Any, tuple[Any, Any, Any]] = {
    # how one is added, renamed and found
    Product: (
        lambda name: products.add({"name": name, "role": "paint"}),
        lambda old, new: products.change(old, {"name": new}),
        products.find,
    ),
    Supplier: (suppliers.add, lambda old, new: suppliers.change(old, rename=new), suppliers.find),
    Place: (places.add, lambda old, new: places.change(old, rename=new), places.find),
    Job: (
        lambda name: jobs.add(name, DAY),
        lambda old, new: jobs.change(old, rename=new),
        jobs.find,
    ),
    Recipe: (
        lambda name: recipes.add(name, PART),
        lambda old, new: recipes.change(old, rename=new),
        recipes.find,
    ),
}  # fmt: skip


def every(table: Any) -> list[str]:
    return [name for (name,) in table.select(table.name).order_by(table.id).tuples()]


def blind_at_first(table: Any) -> Any:
    """A look for a row that finds nothing every other time: another bench's row is not there yet."""
    looked, looks = table.get_or_none.__func__, iter(range(1_000))
    return lambda cls, *query: looked(cls, *query) if next(looks) % 2 else None


def test_a_name_is_given_once_by_adding_and_by_renaming_though_another_bench_is_faster(
    stocked: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    for table, (add, rename, _) in KINDS.items():
        add("Quay Wall"), add("Slip")
        before = every(table)

        def refused(table: Any, add: Any, rename: Any, before: list[str]) -> None:
            for errand in (lambda: add("quay  WALL"), lambda: rename("Slip", "QUAY wall")):
                with pytest.raises(UllageError, match=r"called .* already"):
                    errand()
                assert every(table) == before, table

        refused(table, add, rename, before)
        rename("Slip", "SLIP")  # its own name in other letters
        before = every(table)
        with monkeypatch.context() as patch:
            patch.setattr(table, "get_or_none", classmethod(blind_at_first(table)))
            refused(table, add, rename, before)
        with connection(), writing():
            pass  # the line to a server still stands


def test_a_row_that_two_benches_make_at_once_is_made_once(
    stocked: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    other = suppliers.named("Depot")
    monkeypatch.setattr(Supplier, "get_or_none", classmethod(lambda *_: None))
    assert suppliers.named("DEPOT").id == other.id
    assert every(Supplier) == ["Depot"]


@pytest.mark.only("sqlite")
def test_a_part_of_a_name_finds_it_and_what_fits_badly_is_said(stocked: str) -> None:
    for table, (add, _, find) in KINDS.items():
        for name in ("Long Pier", "Pier", "Breakwater"):
            add(name)
        assert find("break").name == "Breakwater"
        assert find(" PIER ").name == "Pier", "a whole name goes before a part of another"
        with pytest.raises(Ambiguous, match=r"2 \w+ fit 'pie': (Long Pier, Pier|Pier, Long Pier)\."):
            find("pie")
        with pytest.raises(
            NotFound, match=r"no \w+ is called 'lock pier'\. The nearest in the books: Long Pier, Pier"
        ):
            find("lock pier")
        with pytest.raises(BadInput, match="name is empty"):
            find("  ")
        assert len(every(table)) >= 3


def test_a_long_list_is_cut() -> None:
    class Row:
        def __init__(self, name: str) -> None:
            self.name = name

    assert names.listed([Row(str(number)) for number in range(10)]) == "0, 1, 2, 3, 4, 5, 6, 7 and 2 more"
