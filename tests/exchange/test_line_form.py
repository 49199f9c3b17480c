"""Many products of one line at once: a name a row, with what stands on the shelf of each."""

from datetime import date

import pytest

from stock.errors import BadInput, NotFound
from stock.exchange import line_form
from stock.exchange.badrows import BadRows
from stock.logbook.proof import prove
from stock.shelf import lines, products
from stock.shelf.bottles import on_shelf
from tests.content import content

ROWS = """
Name; Code; Colour; Size; How many; How full; Opened
Kelp Green; P-01; dark green; ; 2
Rust; P-02; #8b4513; 120ml; 1; half; 2026-01-05

Tern White; P-03; white; ; 1; 5ml
Ochre; P-04
Not here;;;;0
"""


@pytest.fixture
def pier(stocked):
    lines.add({"name": "Pier", "role": "paint", "maker": "Mole", "price": "60ml=7.90", "flash_point": "none"})
    return stocked


def fill(text, **more):
    return line_form.fill("pier", line_form.rows_of(text), **more)


def test_a_name_a_row_makes_products_and_opening_stock(pier):
    before = len(on_shelf())
    answer = fill(ROWS)
    assert answer | {"delivery": None} == {
        "line": "Pier", "products": ["Kelp Green", "Rust", "Tern White", "Ochre", "Not here"], "bottles": 5,
        "volume_ml": 245, "opened_unknown": 1, "delivery": None, "booked": True,
    }  # fmt: skip
    came = on_shelf()
    by_row = {
        (one.product, one.size_ul, one.on_hand_ul, one.state, one.opened_on)
        for one in came
        if one.line == "Pier"
    }
    assert by_row == {
        ("Kelp Green", 60_000, 60_000, "sealed", None), ("Rust", 120_000, 60_000, "open", date(2026, 1, 5)),
        ("Tern White", 60_000, 5_000, "open", None), ("Ochre", 60_000, 60_000, "sealed", None),
    }  # fmt: skip
    assert all(one.opening_stock for one in came if one.line == "Pier")
    rust = products.find("Rust")
    assert (rust.code, rust.color, rust.maker, rust.no_flash_point) == ("P-02", "#8b4513", "Mole", True)
    assert (len(on_shelf()), prove().problems) == (before + 5, [])


def test_more_bottles_of_products_that_are_known_come_by_the_same_form(pier):
    fill("Kelp Green\nRust")
    again = fill("kelp green;P-9;;;3\nRust;;;30ml;1;1/3;unknown", bought=True)
    assert (again["products"], again["bottles"], again["volume_ml"], again["opened_unknown"]) == (
        [],
        4,
        190,
        1,
    )
    assert products.find("Kelp").code == "P-9"
    assert {one.opening_stock for one in on_shelf() if one.line == "Pier"} == {True, False}


def test_every_bad_row_is_named_and_nothing_is_half_booked(pier):
    before = content(pier)
    text = "Good\nKelp; ;blau\n;P-1\nHarbour Blue\nA;;;60\nB;;;;many\nC;;;;1;90ml\nD;;;;1;;2199-01-01\nE;;;;1;half;no"
    with pytest.raises(BadRows) as refusal:
        fill(text)
    by_row = {row.line: row.reason for row in refusal.value.rows}
    assert sorted(by_row) == [2, 3, 4, 5, 6, 7, 8, 9]
    for number, words in (
        (2, "no colour"), (3, "name is empty"), (4, "in the books, of Quay"), (5, "no unit"), (6, "no count"),
        (7, "more than the bottle holds"), (8, "which is to come"), (9, "sealed and not full"),
    ):  # fmt: skip
        assert words in by_row[number]
    for bad in ("", "\n \n", "a;b;c;d;e;f;g;h"):
        with pytest.raises(BadInput):
            fill(bad)
    with pytest.raises(NotFound):
        fill("Good", place="Nowhere")
    with pytest.raises(NotFound):
        line_form.fill("Nowhere", line_form.rows_of("Good"))
    assert content(pier) == before


def test_a_size_is_asked_for_only_where_the_line_has_none_or_several(pier):
    lines.add({"name": "Two sizes", "role": "paint", "size": ["30ml", "60ml"]})
    with pytest.raises(BadRows, match="the line has 30 ml, 60 ml"):
        line_form.fill("Two sizes", line_form.rows_of("A;;;;1"))
    assert line_form.fill("Two sizes", line_form.rows_of("A\nB;;;30ml"))["bottles"] == 1


def test_looking_first_books_nothing_and_a_repeat_with_its_key_books_once(pier):
    before = content(pier)
    assert fill(ROWS, dry_run=True)["products"] == ["Kelp Green", "Rust", "Tern White", "Ochre", "Not here"]
    assert content(pier) == before
    first = fill(ROWS, key="once")
    booked = content(pier)
    assert fill(ROWS, key="once")["delivery"] == first["delivery"]
    assert content(pier) == booked
