"""Whatever a record holds can be a column: of products, in files of stock too, and of suppliers' terms."""

from pathlib import Path

import pytest

from stock.exchange import mapping
from stock.exchange.incoming import Wishes, book, plan
from stock.forecast import books as forecast
from stock.logbook.undo import undo
from stock.shelf import deliveries, products, record_texts, suppliers
from stock.shelf.studio import settings
from stock.store.models import Booking, Supplier

SAYS = {
    "role": "paint", "line": "Quay", "code": "70-2", "maker": "Quayside", "color": "navy", "supplier": "New Shop",
    "lead_time": "7d", "density": "1.05", "drops_per_ml": "20", "water": "55", "solids": "12",
    "flash_point": "23 C", "boiling_point": "78C", "ph": "8.5", "opened_life": "12mo", "sealed_life": "3y",
    "pot_life": "4h", "store_at": "5C..35C", "usual_reducer": "Slow Thinner", "not_with": "Gull White; Harbour Blue",
    "groups": "waterborne", "voc_categories": "eu:topcoat us:topcoat", "discontinued": "2026-01-02",
    "solvent": "ethanol=10-25%; acetone=5%", "note": "deep", "signal_word": "danger", "h_statements": "H225 H319",
    "p_statements": "P210", "pictograms": "GHS02", "gloves": "nitrile", "eye_protection": "goggles",
    "breathing_protection": "A2 filter", "incompatible": "acids", "un_number": "1263", "transport_class": "3",
    "packing_group": "II",
}  # fmt: skip
"""What a cell of each column can say."""


def write(tmp_path: Path, text: str, name: str = "list.csv") -> str:
    path = tmp_path / name
    path.write_text(text, encoding="utf-8")
    return str(path)


@pytest.mark.only("sqlite")
@pytest.mark.parametrize("kind", ["products", "stock"])
def test_every_field_of_a_product_comes_in_by_its_column(kind: str, stocked: str, tmp_path: Path) -> None:
    fields = {*record_texts.product("Harbour Blue")} - {"name", "packs"}
    assert fields == SAYS.keys()
    columns = mapping.FIELDS[kind]
    assert fields - columns.keys() == ({"note"} if kind == "stock" else set())  # there a note is the bottle's
    said = {
        field: text for field, text in SAYS.items() if field in columns and (field, kind) != ("code", "stock")
    }
    heads = ";".join(columns[field].partition(",")[0] for field in said)
    cells = ";".join(f'"{text}"' for text in said.values())
    path = write(tmp_path, f"product;size;{heads}\nDusk Red;60 ml;{cells}\n")
    made = plan(path, Wishes(kind=kind, make=True, decimal="point"))
    assert made.bad.rows == []
    book(made)
    texts = record_texts.product("Dusk Red")
    assert [field for field in said if not texts[field]] == []
    again = plan(path, Wishes(kind=kind, make=True, decimal="point", again=True))
    assert again.as_json()["questions"] == []


def test_suppliers_terms_come_in_and_are_taken_back(stocked: str, tmp_path: Path) -> None:
    suppliers.add("Paint Depot", lead_time="9d", shipping_minor=500)
    text = (
        "Our shops;;;;\nShop;Lead time;Order days;Shipping €;Free shipping from\n"
        "Paint Depot;7d;Mo, Do;5,00;\nNew Shop;2w;;1.018,00;60,00 €\n"
    )
    path = write(tmp_path, text)
    made = plan(path)
    assert (made.meaning.kind, made.bad.rows) == ("terms", [])
    assert [one["id"] for one in made.as_json()["questions"]] == ["facts-1"]
    before = Booking.select().count()
    answer = book(plan(path, Wishes(answers=("facts-1=take the file",))))
    assert (answer["suppliers"], answer["changed"], Booking.select().count()) == (1, 1, before + 1)
    depot, shop = (Supplier.get(Supplier.name == name) for name in ("Paint Depot", "New Shop"))
    assert (str(depot.lead_time), depot.order_days, depot.shipping_minor) == ("7d", "mon thu", 500)
    assert (shop.shipping_minor, shop.free_shipping_from_minor) == (101_800, 6_000)
    assert book(plan(path))["import"] is None
    result = undo("import", answer["import"])
    depot = Supplier.get(Supplier.name == "Paint Depot")
    assert (str(depot.lead_time), depot.order_days, result["taken_back"]) == ("9d", "", ["New Shop"])
    assert "New Shop" not in [row.name for row in suppliers.everything()]
    undo("undo", result["undo"])
    assert str(suppliers.find("New Shop").lead_time) == "14d"


@pytest.mark.only("sqlite")
@pytest.mark.parametrize(
    ("row", "reason"),
    [
        ("Depot;soon;;;", "soon"),
        ("Depot;7d;someday;;", "is no weekday"),
        ("Depot;7d;;x;", "x"),
        (";7d;mon;;", "is empty"),
    ],
)
def test_a_bad_row_of_terms_is_told(row: str, reason: str, stocked: str, tmp_path: Path) -> None:
    made = plan(write(tmp_path, f"Shop;Lead time;Order days;Shipping;Free shipping from\n{row}\n"))
    assert [(bad.line, reason in bad.reason) for bad in made.bad.rows] == [(2, True)]


@pytest.mark.only("sqlite")
def test_the_size_that_came_in_is_the_size_that_is_ordered(stocked: str, tmp_path: Path) -> None:
    book(
        plan(
            write(tmp_path, "Product,Size,Price\nDusk Red,100 ml,12.00\n"),
            Wishes(make=True, kind="stock", role="paint"),
        )
    )
    number = products.find("Dusk Red").id
    packs = forecast.read().facts[number].packs
    assert [(one.size_ul, one.price_minor) for one in packs] == [(100_000, 1_200)]
    deliveries.receive("Dusk Red", 30_000)
    assert [one.size_ul for one in forecast.read().facts[number].packs] == [30_000, 100_000]
    products.change("Dusk Red", {"packs": ["60ml=7.90"]})
    assert [one.size_ul for one in forecast.read().facts[number].packs] == [60_000]
    assert settings().currency == "EUR"
