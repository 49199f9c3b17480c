"""A corrected sheet that comes again: the stock is never booked twice without a question."""

from pathlib import Path

import pytest

from stock.errors import BadInput
from stock.exchange.badrows import BadRows
from stock.exchange.incoming import Wishes, book, plan
from stock.exchange.questions import Unanswered
from stock.logbook.undo import undo
from stock.store.models import Bottle

FIRST = (
    "Product,Size,Left,Lot,Label\nHarbour Blue,60 ml,30 ml,L1,\nGull White,30 ml,,,H-1\nGull White,60 ml,,,\n"
)
OTHER = ("again-1=book the other rows",)


def write(tmp_path: Path, text: str, name: str = "shelf.csv") -> str:
    path = tmp_path / name
    path.write_text(text, encoding="utf-8")
    return str(path)


def test_a_corrected_sheet_is_asked_and_its_other_rows_are_booked(stocked: str, tmp_path: Path) -> None:
    number = book(plan(write(tmp_path, FIRST)))["import"]
    path = write(tmp_path, FIRST + "Harbour Blue,30 ml,,,\n")
    (asked,) = plan(path).as_json()["questions"]
    assert (asked["id"], asked["rows"]) == ("again-1", [2, 3, 4])
    with pytest.raises(Unanswered):
        book(plan(path))
    made = plan(path, Wishes(answers=OTHER))
    assert [row["row"] for row in made.as_json()["not_taken"]] == [2, 3, 4]
    assert (made.as_json()["bottles"], book(made)["bottles"], Bottle.select().count()) == (1, 1, 8)
    undo("import", number)
    assert plan(write(tmp_path, FIRST + "Gull White,30 ml,,,\n", "c.csv")).as_json()["questions"] == []


def test_a_part_of_a_sheet_that_came_before_adds_nothing(stocked: str, tmp_path: Path) -> None:
    book(plan(write(tmp_path, FIRST)))
    part = "".join(FIRST.splitlines(keepends=True)[:3])
    with pytest.raises(BadInput, match=r"every row of shelf\.csv came with an earlier import"):
        book(plan(write(tmp_path, part), Wishes(answers=OTHER)))
    assert book(plan(write(tmp_path, FIRST)))["again"] is True
    assert Bottle.select().count() == 4 + 3


def test_what_differs_is_told_with_its_bottle(stocked: str, tmp_path: Path) -> None:
    book(plan(write(tmp_path, FIRST)))
    path = write(tmp_path, FIRST.replace("30 ml,L1", "20 ml,L1") + "Harbour Blue,30 ml,,,\n", "mended.csv")
    made = plan(path, Wishes(answers=OTHER))
    (bad,) = made.bad.rows
    assert (bad.line, "30 ml were left, now 20 ml are" in bad.reason) == (2, True)
    assert "`ullage bottle count 5 20ml`" in bad.reason
    with pytest.raises(BadRows):
        book(made)
    assert book(plan(path, Wishes(answers=OTHER, take_good=True)))["bottles"] == 1


def test_bottles_that_are_new_indeed_are_booked(stocked: str, tmp_path: Path) -> None:
    book(plan(write(tmp_path, FIRST)))
    other = write(tmp_path, "Product,Size\nHarbour Blue,30 ml\nGull White,60 ml\n", "delivery.csv")
    assert book(plan(other))["bottles"] == 2
    again = write(tmp_path, FIRST.replace("H-1", "") + "Harbour Blue,30 ml,,,\n")
    wishes = Wishes(answers=("again-1=book every row as new bottles",))
    assert book(plan(again, wishes))["bottles"] == 4
    labelled = plan(write(tmp_path, FIRST + "Harbour Blue,120 ml,,,\n"), wishes)
    assert ["H-1" in row.reason for row in labelled.bad.rows] == [True]
