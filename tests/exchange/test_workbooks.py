"""Workbooks: their numbers, days and shares are what the program kept; which sheet is meant is asked."""

import builtins
import datetime as dt
from pathlib import Path
from typing import Any

import pytest

from stock.errors import BadInput
from stock.exchange.badrows import BadRows
from stock.exchange.incoming import Wishes, book, plan
from stock.store.models import Bottle
from tests.exchange.workbook_files import ods, xlsx

pytestmark = pytest.mark.only("sqlite")  # how a cell is read doesn't hang on the engine

HEADS = ["Paint", "Size ml", "Left", "Opened", "Price"]


def test_a_workbook_comes_in(stocked: str, tmp_path: Path) -> None:
    rows: list[list[Any]] = [
        ["My paints"],
        [],
        HEADS,
        ["Harbour Blue", 60, 0.4, dt.date(2025, 3, 20), 7.9],
        ["Gull White", 29.125, "half", 45736, None],
        [None, 30, None, None, None],
        ["Total", 119.125, None, None, 7.9],
    ]
    path = xlsx(tmp_path / "a.xlsx", {"Paints": rows, "Empty": []}, merged=["A5:A6", "A1:E1"])
    made = plan(path)
    facts = made.as_json()
    assert (facts["bad_rows"], facts["questions"], facts["sheet"]) == ([], [], "Paints")
    assert [row["row"] for row in facts["not_taken"]] == [1, 7]
    book(made)
    found = [
        (row.product.name, row.size_ul, row.on_hand_ul, str(row.opened_on), row.price_minor)
        for row in Bottle.select().where(Bottle.id > 4).order_by(Bottle.id)
    ]
    assert found == [
        ("Harbour Blue", 60_000, 24_000, "2025-03-20", 790),
        ("Gull White", 29_125, 14_562, "2025-03-20", None),
        ("Gull White", 30_000, 30_000, "None", None),
    ]
    assert book(plan(path))["again"] is True


def test_a_text_merged_over_columns_stands_in_each(stocked: str, tmp_path: Path) -> None:
    """But for a title, a group's name and heads, beside which nothing stands, and for a number."""
    rows: list[list[Any]] = [
        ["Shelf", None, None, None, None],
        ["Paint", "Size", "Lot", "Place", "Note"],
        ["Blues", None, None, None, None],
        ["Harbour Blue", "60 ml", "Cabinet", None, None],
        ["Gull White", "30 ml", "L1", 7, None],
        ["Gull White", "60 ml", "Cabinet", None, None],
        [None, "30 ml", None, None, None],
    ]
    merged = ["A1:E1", "A3:E3", "C4:D4", "D5:E5", "C6:D7", "A6:A7"]
    made = plan(xlsx(tmp_path / "a.xlsx", {"A": rows}, merged=merged), Wishes(make=True))
    assert [row["row"] for row in made.as_json()["not_taken"]] == [1, 3]
    assert made.as_json()["bad_rows"] == []
    book(made)
    found = [
        (row.product.name, row.lot, row.place.name if row.place else None)
        for row in Bottle.select().where(Bottle.id > 4).order_by(Bottle.id)
    ]
    assert found == [
        ("Harbour Blue", "Cabinet", "Cabinet"), ("Gull White", "L1", "7"), ("Gull White", "Cabinet", "Cabinet"),
        ("Gull White", "Cabinet", "Cabinet"),
    ]  # fmt: skip


def test_an_ods_comes_in(stocked: str, tmp_path: Path) -> None:
    path = ods(
        tmp_path / "a.ods", [["Paint", "Size (ml)", "Received"], ["Harbour Blue", 60, dt.date(2025, 3, 20)]]
    )
    book(plan(path))
    assert (Bottle.get_by_id(5).size_ul, str(Bottle.get_by_id(5).received_on)) == (60_000, "2025-03-20")


def test_tabs_part_the_cells_of_a_tsv(stocked: str, tmp_path: Path) -> None:
    path = tmp_path / "a.tsv"
    path.write_text("Paint\tSize\nHarbour Blue\t7,5 ml\n", encoding="utf-8")
    book(plan(str(path)))
    assert Bottle.get_by_id(5).size_ul == 7_500


def test_which_of_several_sheets_is_asked(stocked: str, tmp_path: Path) -> None:
    rows = [["Paint", "Size"], ["Harbour Blue", "60 ml"]]
    path = xlsx(tmp_path / "a.xlsx", {"Shelf": rows, "Attic": [*rows, ["Gull White", "30 ml"]]})
    with pytest.raises(BadInput, match="has 2 sheets: Shelf, Attic") as refusal:
        plan(path)
    assert "--sheet Shelf" in str(refusal.value)
    with pytest.raises(BadInput, match=r"no sheet of a\.xlsx is called 'Cellar'"):
        plan(path, Wishes(sheet="Cellar"))
    assert book(plan(path, Wishes(sheet="attic")))["bottles"] == 2
    assert book(plan(path, Wishes(sheet="Shelf")))["bottles"] == 1


def test_a_bad_cell_is_told_with_file_sheet_row_and_column(stocked: str, tmp_path: Path) -> None:
    path = xlsx(tmp_path / "a.xlsx", {"Shelf": [["Paint", "Size"], ["Harbour Blue", "sixty"]]})
    with pytest.raises(
        BadRows, match=r"a\.xlsx, sheet Shelf line 2, column Size: .*'sixty'.*Write an amount"
    ):
        book(plan(path))


def test_a_share_that_a_program_kept_is_asked_under_a_head_in_per_cent(stocked: str, tmp_path: Path) -> None:
    path = xlsx(tmp_path / "a.xlsx", {"S": [["Paint", "Size ml", "Left %"], ["Harbour Blue", 60, 0.4]]})
    (asked,) = plan(path).as_json()["questions"]
    assert (asked["readings"], asked["rows"]) == (["40 %", "0.4 %"], [2])
    book(plan(path, Wishes(answers=["left-1=40%"])))
    assert Bottle.get_by_id(5).on_hand_ul == 24_000


def test_what_is_no_workbook_or_cannot_be_read_is_said(
    stocked: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    for name, content in (("a.xlsx", b"PK\x03\x04broken"), ("b.xlsx", b""), ("c.csv", b"PK\x03\x04\x00" * 9)):
        (tmp_path / name).write_bytes(content)
        with pytest.raises(BadInput, match="can't be read as a workbook"):
            plan(str(tmp_path / name))
    path = xlsx(tmp_path / "d.xlsx", {"S": [["Paint", "Size"], ["Harbour Blue", "60 ml"]]})
    real = builtins.__import__

    def without(name: str, *rest: Any) -> Any:
        if name == "python_calamine":
            raise ImportError(name)
        return real(name, *rest)

    monkeypatch.setattr(builtins, "__import__", without)
    with pytest.raises(
        BadInput, match=r"Save it as CSV, or install it: pip install 'ullage\[spreadsheets\]'"
    ):
        plan(path)
