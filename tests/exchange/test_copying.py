"""A studio moves between a file and a server and back, whole, and goes on working there."""

import itertools
import os
import stat
from contextlib import closing
from fractions import Fraction

import psycopg
import pytest

from stock.bench.mixing import MixRequest, book_mix
from stock.errors import BooksUnreachable, UllageError
from stock.exchange import copying
from stock.logbook.proof import prove
from stock.logbook.undo import undo
from stock.shelf import deliveries, products
from stock.store import connection
from stock.store.models import TABLES, Bottle, Movement, Product

NUMBERS = itertools.count()


@pytest.fixture
def elsewhere(server, tmp_path):
    """Addresses at which nothing stands: a file and a schema, by the engine's name."""
    schema = f"copy_{next(NUMBERS)}"
    yield {
        "sqlite": str(tmp_path / "deep" / "copy.ullage"),
        "postgresql": f"{server}{'&' if '?' in server else '?'}schema={schema}",
    }
    with psycopg.connect(server, autocommit=True) as engine:
        engine.execute(f"DROP SCHEMA IF EXISTS {schema} CASCADE")


@pytest.fixture
def lively(stocked, mixed):
    """Books in which something of most kinds happened, a row that refers to a later one, and odd texts."""
    products.add(
        {"name": "Ünïcode 'quoted' \\ tab|pipe {9}", "role": "paint", "note": 'a "b", ;c=1 \\N \\. 漢字 🎨'}
    )
    first, last = Product.get_by_id(1), Product.select().order_by(Product.id.desc()).get()
    Product.update(usual_reducer=last.id).where(Product.id == first.id).execute()
    undo("mix", mixed)
    book_mix(MixRequest(parts=(("Harbour Blue", 61_000),), reduce=Fraction(100, 7), job="Tank"), key="a key")
    return stocked


@pytest.mark.parametrize("to", ["sqlite", "postgresql"])
def test_a_copy_is_equal_row_by_row_and_goes_on(lively, address, elsewhere, to):
    target = elsewhere[to]
    proven = prove().as_json()
    copied = copying.copy(address, target)
    assert copied.rows["movement"] == Movement.select().count()
    with copying.opened(address) as old, copying.opened(target) as new:
        for table in TABLES:
            assert list(copying.read(old, table)) == list(copying.read(new, table)), table
    highest = Bottle.select().order_by(Bottle.id.desc()).get().id
    connection.open_books(target)
    with connection.connection():
        assert prove().as_json() == proven
        assert deliveries.receive("Harbour Blue", 60_000)["bottles"][0]["id"] == highest + 1
        answer = book_mix(MixRequest(parts=(("Harbour Blue", 1_000),)), key="a key")
        assert answer["paint_ml"] == 61
        assert prove().problems == []
    if to == "sqlite":
        assert stat.S_IMODE(os.stat(target).st_mode) == 0o600


def test_there_and_back_again_is_the_same_file_of_rows(lively, address, elsewhere, tmp_path):
    there = copying.copy(address, elsewhere["postgresql"])
    back = copying.copy(elsewhere["postgresql"], elsewhere["sqlite"])
    assert there == back


@pytest.mark.parametrize("to", ["sqlite", "postgresql"])
def test_books_are_never_copied_over_others(lively, address, elsewhere, to):
    copying.copy(address, elsewhere[to])
    with pytest.raises(UllageError) as refusal:
        copying.copy(address, elsewhere[to])
    assert refusal.value.code == ("would-overwrite" if to == "sqlite" else "exists")
    with pytest.raises(UllageError, match=r"there already|belongs to the studio's"):
        copying.copy(address, address)


@pytest.mark.parametrize("to", ["sqlite", "postgresql"])
def test_a_copy_that_fails_leaves_nothing(lively, address, elsewhere, to, monkeypatch):
    def differs(database, table):
        return next(NUMBERS), "x"

    monkeypatch.setattr(copying, "digest_of", differs)
    with pytest.raises(copying.NotEqual):
        copying.copy(address, elsewhere[to])
    monkeypatch.undo()
    with pytest.raises(BooksUnreachable):
        connection.open_books(elsewhere[to])
    assert copying.copy(address, elsewhere[to]).total() > 0


def test_a_changed_figure_is_noticed(lively, address, elsewhere):
    copying.copy(address, elsewhere["sqlite"])
    with closing(connection.engine(elsewhere["sqlite"])) as engine:
        engine.connect()
        engine.execute_sql("UPDATE bottle SET lot = 'x' WHERE id = 1")
    with copying.opened(address) as old, copying.opened(elsewhere["sqlite"]) as new:
        assert copying.digest_of(old, Bottle) != copying.digest_of(new, Bottle)
        assert copying.digest_of(old, Movement) == copying.digest_of(new, Movement)
