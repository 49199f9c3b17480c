"""A line says its facts once: its products have them, but for what they say themselves."""

from contextlib import suppress

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from stock.errors import BadInput, UllageError
from stock.shelf import inheritance, line_drift, lines, products, record_texts, sheets
from stock.shelf.product_view import as_json, line_as_json
from stock.store.connection import connection, writing
from stock.store.line_fields import COLUMNS, FIELDS
from stock.store.models import Line, Product, database

QUAY = {
    "name": "Anchor", "role": "paint", "maker": "Mole & Daughters", "supplier": "Chandlery", "lead_time": "10d",
    "packs": ["30ml=4.20", "60ml=7.90"], "density": "1.083", "drops_per_ml": "22.5", "water": "61.25", "solids": "30",
    "flash_point": "23.4C", "boiling_point": "99C", "ph": "8-9", "opened_life": "12mo", "sealed_life": "3y",
    "store_at": "5C..35C",
    "groups": "waterborne", "solvent": ["1,2-propanediol=4%", "ethanol=2.5%"],
}  # fmt: skip
NEVER_A_LINES = {"id", "name", "name_key", "line", "code", "color", "discontinued_on", "note", "taken_back"}
"""Columns of a product that are its own always."""


def test_every_column_of_a_product_is_a_lines_or_its_own():
    """Whoever adds a column to products says which: what a sheet says belongs to `FIELDS` and to `Line`."""
    columns = Product._meta.fields
    assert set(COLUMNS) | NEVER_A_LINES == set(columns)
    for name in COLUMNS:
        ours, theirs = columns[name], Line._meta.fields[name]
        assert (type(ours), ours.default) == (type(theirs), theirs.default)


def test_a_product_has_what_its_line_says_and_shows_which(stocked):
    lines.add(QUAY | {"usual_reducer": "Slow Thinner", "not_with": ["Wash Down"]})
    bare = products.add({"name": "Kelp Green", "line": "anchor", "flash_point": "none"})
    answer, line = as_json(bare), line_as_json(lines.find("Anchor"))
    assert answer["line"] == "Anchor"
    assert (answer["no_flash_point"], answer["flash_point_c"]) == (True, None)
    assert set(answer["inherited"]) == {
        "role", "maker", "supplier", "lead_time", "packs", "density_g_per_ml", "drops_per_ml", "water_percent",
        "solids_percent", "boiling_point_c", "ph_low", "ph_high", "opened_life", "sealed_life",
        "store_low_c", "store_high_c",
        "usual_reducer", "groups", "solvents", "no_solvent", "not_with",
    }  # fmt: skip
    assert {key: answer[key] for key in answer["inherited"]} == {
        key: line[key] for key in answer["inherited"]
    }
    assert line["products"] == [{"name": "Kelp Green", "own": ["flash_point_c", "no_flash_point"]}]


def test_products_follow_their_line_except_where_one_says_otherwise(stocked):
    lines.add(QUAY)
    products.add({"name": "Kelp Green", "line": "Anchor"})
    products.add(
        {"name": "Rust", "line": "Anchor", "opened_life": "6mo", "price": "120ml=12", "solids": "unknown"}
    )
    lines.change(
        "Anchor", {"opened_life": "9mo", "packs": ["30ml=5", "60ml=8"], "solids": "25", "name": "Pier"}
    )
    green, rust = as_json(products.find("Kelp")), as_json(products.find("Rust"))
    assert (green["opened_life"], green["solids_percent"], green["line"]) == ("9mo", 25, "Pier")
    assert (rust["opened_life"], rust["solids_percent"], rust["line"]) == ("6mo", None, "Pier")
    assert [(pack["size_ml"], pack["price"]) for pack in rust["packs"]] == [(30, 5), (60, 8), (120, 12)]
    assert as_json(products.change("Rust", {"opened_life": ""}))["opened_life"] == "9mo"


def test_a_product_that_comes_to_a_line_keeps_what_is_known_of_it_and_one_that_leaves_keeps_everything(
    stocked,
):
    lines.add(QUAY)
    products.add({"name": "Own", "role": "clear", "flash_point": "50C"})
    came = as_json(products.change("Own", {"line": "Anchor"}))
    assert (came["role"], came["flash_point_c"], came["opened_life"]) == ("clear", 50, "12mo")
    left = as_json(products.change("Own", {"line": ""}))
    assert left == came | {"line": "", "inherited": []}
    lines.change("Anchor", {"opened_life": "1mo"})
    assert as_json(products.find("Own")) == left


def test_a_line_never_says_what_one_of_its_products_cant_be(stocked):
    lines.add({"name": "Anchor", "role": "paint"})
    products.add({"name": "Watery", "line": "Anchor", "water": "80"})
    products.add({"name": "Alcoholic", "line": "Anchor", "groups": "alcohol"})
    before = [as_json(row) for row in products.everything()]
    for change, said in (
        ({"solvent": ["ethanol=30%"]}, "Watery of the line Anchor: .* make 110 %"),
        ({"solvent": ["none"]}, "Alcoholic is noted as alcohol and as holding no solvent"),
        ({"role": ""}, "can't become unknown"),
        ({"color": "#000000"}, "no color of its own"),
        ({"role": "mixed"}, "belongs to no line"),
    ):
        with pytest.raises(BadInput, match=said):
            lines.change("Anchor", change)
    with pytest.raises(BadInput, match="name and a role"):
        products.add({"name": "Roleless", "line": "New line"})
    assert [as_json(row) for row in products.everything()] == before
    assert [row.name for row in lines.everything()] == ["Anchor", "Quay"]


def test_what_makes_a_line_reactive_cant_be_forgotten_by_one_of_its_products(stocked):
    lines.add({"name": "Two", "role": "hardener", "groups": "isocyanate"})
    products.add({"name": "Part B", "line": "Two"})
    assert products.change("Part B", {"groups": ""}).groups == "isocyanate"
    with pytest.raises(BadInput, match="can't become unknown"):
        lines.change("Two", {"groups": ""})
    products.change("Part B", {"groups": "isocyanate amine"})
    lines.add({"name": "Other", "role": "hardener"})
    assert products.change("Part B", {"line": "Other"}).groups == "isocyanate amine"


def test_of_a_line_that_says_no_role_a_new_product_has_that_of_all_the_others(stocked):
    assert products.add({"name": "Kelp Green", "line": "Quay"}).role == "paint"  # as Harbour Blue
    products.add({"name": "Gloss", "line": "Quay", "role": "clear"})
    with pytest.raises(BadInput, match="name and a role"):
        products.add({"name": "Either", "line": "Quay"})


def test_a_field_is_changed_for_all_products_of_a_line_or_for_none(stocked):
    lines.add(QUAY)
    for name in ("Kelp Green", "Rust"):
        products.add({"name": name, "line": "Anchor"})
    members = inheritance.members(lines.find("Anchor").id)
    assert [row.opened_life for row in products.change_all(members, {"opened_life": "2mo"})] == ["2mo", "2mo"]
    products.change("Rust", {"water": "90", "solids": "5", "solvent": ["ethanol=5%"]})
    with pytest.raises(BadInput, match="Rust"):
        products.change_all(members, {"solids": "20"})
    assert as_json(products.find("Kelp"))["solids_percent"] == 30


def test_like_another_one_but_for_name_and_colour(stocked):
    lines.add(QUAY)
    products.add(
        {"name": "Rust", "line": "Anchor", "color": "sienna", "opened_life": "6mo", "note": "shake long"}
    )
    copy = as_json(products.add_like("Rust", {"name": "Ochre", "sealed_life": "2y"}))
    first = as_json(products.find("Rust"))
    assert copy == first | {
        "name": "Ochre", "color": None, "sealed_life": "2y",
        "inherited": [key for key in first["inherited"] if key != "sealed_life"],
    }  # fmt: skip
    lines.change("Anchor", {"maker": "Rat"})
    assert as_json(products.find("Ochre"))["maker"] == "Rat"


def test_a_line_renamed_keeps_the_ranges_that_are_for_it(stocked):
    from datetime import date

    from stock.shelf import dosings

    lines.add(QUAY)
    sheets.add(
        "Slow Thinner", "Guide", date(2026, 1, 1), dosings=[dosings.read("line=anchor low=10 high=20")]
    )
    lines.change("Anchor", {"name": "Pier"})
    assert sheets.listed("Slow Thinner")[0].dosings[0].for_line == "Pier"
    with pytest.raises(UllageError, match="already"):
        lines.add({"name": "pier"})


NEVER_INHERITED = {"name", "line", "code", "color", "discontinued", "note"}
TEXTS = {
    "maker": ("Mole", "Rat"), "supplier": ("Chandlery", "Quayside"), "lead_time": ("3d", "7d"), "density": ("1", "1.1"),
    "drops_per_ml": ("20", "25"), "water": ("0", "40"), "solids": ("5", "20"), "flash_point": ("0C", "23C", "none"),
    "boiling_point": ("78C", "100C"), "ph": ("7", "8-9"), "opened_life": ("6mo", "1y"), "sealed_life": ("2y", "3y"),
    "store_at": ("5C..30C", "10C..25C"), "groups": ("waterborne", "solventborne"), "role": ("paint", "clear"),
    "h_statements": ("H226", "none"), "un_number": ("1263", "none"), "gloves": ("nitrile", "butyl"),
    "solvent": (("butyl glycol=4%",), ("ethanol=2%", "acetone=1%")), "packs": (("30ml=4",), ("30ml=5", "60ml")),
}  # fmt: skip
SAID = st.fixed_dictionaries({}, optional={key: st.sampled_from(texts) for key, texts in TEXTS.items()})


def sizes(texts):
    """The sizes and prices among a record's texts."""
    return {
        size: price for size, _, price in (one.partition("=") for one in texts["packs"].split(", ") if one)
    }


@given(st.lists(SAID, min_size=1, max_size=3), SAID, SAID)
@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_changing_a_line_changes_exactly_the_fields_that_its_products_dont_say(
    books, of_products, first, then
):
    class Undo(Exception):
        """Each example leaves the books as they were."""

    with connection(), suppress(Undo), writing():
        lines.add({"name": "Any", "role": "paint"} | first)
        for number, said in enumerate(of_products):
            products.add({"name": f"Product {number}", "line": "Any"} | said)
        names = [f"Product {number}" for number in range(len(of_products))]
        before = [record_texts.product(name) for name in names]
        line_before = sizes(record_texts.line("Any"))
        lines.change("Any", then)
        line, now = record_texts.line("Any"), [record_texts.product(name) for name in names]
        for said, was, found in zip(of_products, before, now, strict=True):
            for key in (FIELDS.keys() & line.keys()) - {"packs"}:
                if key in said:
                    assert found[key] == was[key], key
                else:
                    assert found[key] == line[key], key
            assert {key for key in found if key not in FIELDS} == NEVER_INHERITED
            assert found["name"] == was["name"]
            was_sold, of_line = sizes(was), sizes(line)
            own = {size: price for size, price in was_sold.items() if line_before.get(size, "-") != price}
            whole = not line_before.keys() <= was_sold.keys()  # it isn't sold in one of the line's sizes
            assert sizes(found) == (was_sold if whole else of_line | own)
        assert line_drift.drift() == []
        raise Undo
    assert not database.in_transaction()


def test_a_row_that_doesnt_agree_with_its_line_is_told(stocked):
    lines.add(QUAY)
    products.add({"name": "Kelp Green", "line": "Anchor"})
    with connection(), writing():
        Product.update(flash_point_mc=60_000).where(Product.name == "Kelp Green").execute()
    assert line_drift.drift() == ["Kelp Green: its flash point isn't that of its line Anchor"]


def test_a_product_that_says_another_line_than_it_belongs_to_is_astray(books):
    lines.add(QUAY)
    for number, line in (("Kelp Green", "Anchor"), ("Tern Grey", "")):
        products.add({"name": number, "role": "paint", **({"line": line} if line else {})})
    with connection(), writing():
        assert line_drift.drift() == []
        Product.update(line="Other").execute()
        assert [said.split(":")[0] for said in line_drift.drift()] == ["Kelp Green", "Tern Grey"]
        assert all("says another line" in said for said in line_drift.drift())
