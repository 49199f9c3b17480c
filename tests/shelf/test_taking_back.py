"""A product that was entered by mistake goes with all that is known of it; one that something uses stays."""

import pytest

from stock.bench import recipes
from stock.errors import UllageError
from stock.forecast import orders
from stock.logbook.proof import prove
from stock.logbook.undo import undo
from stock.shelf import deliveries, lines, places, products, sheets, suppliers, taking_back
from stock.shelf.studio import settings
from stock.store import models
from stock.store.connection import connection
from stock.store.models import Product
from stock.store.orm import pw
from tests.faults.fuzzing import run

HANDLED = {
    ("bottle", "product"), ("order_line", "product"), ("planned_use", "product"), ("recipe_part", "product"),
    ("product", "usual_reducer"), ("line", "usual_reducer"), ("not_with", "product"), ("not_with", "other"),
    ("line_not_with", "other"), ("dosing", "with_product"), ("data_sheet", "product"), ("figure_source", "product"),
    ("pack", "product"), ("solvent", "product"), ("line_product", "product"), ("silence", "product"),
    ("silence", "other"), ("past_facts", "product"), ("cup_time", "product"), ("weighing", "product"),
}  # fmt: skip
"""What refers to products, each looked at by `taking_back`: what uses one, and what goes with it."""


def test_whatever_refers_to_a_product_is_looked_at() -> None:
    """Whoever lets another table refer to products says here that deleting one looks at it."""
    refers = {
        (table._meta.table_name, field.name)
        for table in models.TABLES
        for field in table._meta.sorted_fields
        if isinstance(field, pw.ForeignKeyField) and field.rel_model is Product
    }
    assert refers == HANDLED


def entered() -> str:
    """A product with a row in every table that goes with it."""
    products.add(
        {
            "name": "Dusk Red", "role": "paint", "line": "Dusk", "price": ["60ml=7.90"], "solvent": ["ethanol=10%"],
            "not_with": ["Gull White"], "supplier": "New Shop",
        }
    )  # fmt: skip
    return "Dusk Red"


def test_it_goes_with_all_that_is_noted_of_it(stocked: str) -> None:
    tables = [table for table in models.TABLES if table._meta.table_name not in ("supplier", "line")]
    before = {table: table.select().count() for table in tables}
    entered()
    number = products.find("Dusk Red").id
    sheet = models.DataSheet.create(product=number, title="TDS", revised_on="2026-01-02")
    models.Dosing.create(sheet=sheet, low_milli=1, high_milli=2)
    models.FigureSource.create(
        product=number, sheet=sheet, field="water", file="a", sha256="b", page=1, line=1, words="c"
    )
    models.CupTime.create(
        product=number, cup="ford-4", milliseconds=9, target=True, noted_at="2026-01-02T00:00:00Z"
    )
    assert taking_back.delete_product("dusk red") == {"product": "Dusk Red", "deleted": True}
    assert {table: table.select().count() for table in tables} == before
    assert products.add({"name": "Dusk Red", "role": "clear"}).role == "clear"


USES = {
    "bottle": lambda name: deliveries.receive(name, 60_000),
    "order": lambda name: orders.make([orders.NewOrderLine(name, 60_000, 1)], supplier="New Shop"),
    "planned use": lambda name: orders.plan_use(name, 5_000, settings().today()),
    "product": lambda name: products.change("Harbour Blue", {"not_with": [name]}),
    "recipe": lambda name: recipes.add("Storm", [("Harbour Blue", 1_000), (name, 1_000)]),
}


@pytest.mark.parametrize("use", USES)
def test_one_that_something_uses_stays_and_what_uses_it_is_told(use: str, stocked: str) -> None:
    name = entered()
    assert taking_back.user_of("product", products.find(name).id) is None
    USES[use](name)
    with pytest.raises(UllageError, match=f"Dusk Red is in use: {use} ") as refused:
        taking_back.delete_product(name)
    assert "--discontinued" in str(refused.value.remedy)
    assert products.find(name).taken_back is False


@pytest.mark.only("sqlite")
def test_one_whose_only_delivery_is_undone_is_on_no_list_and_its_name_is_free(stocked: str) -> None:
    name = entered()
    came = deliveries.receive(name, 60_000)["delivery"]
    undo("delivery", came)
    taking_back.delete_product(name)
    assert name not in [row.name for row in products.everything()]
    assert lines.sizes().get(lines.find("Dusk").id, 0) == 0
    for command in (
        "product list",
        "shelf",
        "forecast",
        "cautions",
        "line list",
        "product show Dusk",
    ):
        ran = run([*command.split(), "--json", "--studio", stocked])
        assert (ran.status, "Dusk Red" in ran.out) == (2 if "show" in command else 0, False), command
    assert "Dusk Red (taken back" in run(["logbook", "--json", "--studio", stocked]).out
    with connection():
        again = products.add({"name": name, "role": "paint"})
        assert (again.id, prove().problems) == (products.find(name).id, [])
        assert places.everything() == [row for row in places.everything() if not row.taken_back]
        assert [row.name for row in suppliers.everything() if row.taken_back] == []
        assert sheets.views([again.id]) == []
