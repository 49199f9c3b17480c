"""The quicker way to write a column says what Peewee says, in every kind of query that the program makes."""

import peewee as pw
import pytest

from stock.store.models import Booking, Bottle, Movement, Product
from tests import quicker_queries

OTHER = Bottle.alias("other")
QUERIES = {
    "join": Movement.select(Movement.change_ul, Bottle.id, Product).join(Bottle).join(Product).where(
        (Product.name == "Blue") | Bottle.on_hand_ul.in_([1, 2])
    ).order_by(Bottle.id.desc()),
    "alias": Bottle.select(Bottle.id, OTHER.id).join(OTHER, on=(OTHER.product == Bottle.product)),
    "subquery": Bottle.select().where(
        Bottle.id.in_(Movement.select(Movement.bottle).where(Movement.booking.not_in(Booking.select(Booking.id))))
    ),
    "group": Movement.select(Movement.bottle, pw.fn.SUM(Movement.change_ul).alias("sum")).group_by(
        Movement.bottle
    ).having(pw.fn.COUNT(Movement.id) > 1),
    "insert": Bottle.insert(on_hand_ul=1).returning(Bottle.id),
    "upsert": Product.insert(name="Blue").on_conflict(
        conflict_target=[Product.name], update={Product.name: pw.EXCLUDED.name}
    ),
    "update": Bottle.update({Bottle.on_hand_ul: Bottle.on_hand_ul - 1}).where(Bottle.id == 1),
    "delete": Movement.delete().where(Movement.bottle == 1),
}  # fmt: skip
ENGINES = {"sqlite": pw.SqliteDatabase(None), "postgresql": pw.PostgresqlDatabase(None)}


def peewees(field, ctx):
    """A column as Peewee writes it."""
    return ctx.sql(field.column)


@pytest.mark.parametrize("kind", QUERIES)
def test_the_same_is_written_on_either_engine(kind, monkeypatch):
    for engine in ENGINES.values():
        written = []
        for way in (peewees, quicker_queries._column):
            monkeypatch.setattr(pw.Field, "__sql__", way)
            written.append(engine.get_sql_context().sql(QUERIES[kind]).query())
        assert written[0] == written[1]
        assert engine.quote[0] in written[0][0]
