"""Spreadsheets as people keep them: titles, groups, totals, amounts in words, two readings, rows to mend."""

import csv
from datetime import date
from pathlib import Path

import pytest

from stock.errors import BadInput
from stock.exchange import bad_file, written_days
from stock.exchange.badrows import BadRows
from stock.exchange.incoming import ImportPlan, Wishes, book, plan
from stock.exchange.questions import Unanswered
from stock.logbook.proof import prove
from stock.store import outputs
from stock.store.models import Booking, Bottle, Product

pytestmark = pytest.mark.only("sqlite")  # how a cell is read doesn't hang on the engine

KEPT = (
    "My paints, spring;;;\n"
    "\n"
    "Paint;Size ml;Left;Price €\n"
    "Blues;;;\n"
    "Harbour Blue;60;half;7,90\n"
    "Pond Blue;2 x 60;~30ml;1 018,00 €\n"
    "Paint;Size ml;Left;Price €\n"
    ";;;\n"
    "Greens;;;\n"
    "Moss Green;60;40 %;\n"
    "Total Eclipse;30;nearly empty;2\n"
    "Fern Green;30;¾;\n"
    "Total;270;;2.045,80 €\n"
    ";;;3.000,00\n"
    "\n\n"
)


def write(tmp_path: Path, text: str, name: str = "kept.csv") -> str:
    path = tmp_path / name
    path.write_text(text, encoding="utf-8")
    return str(path)


def reasons(made: ImportPlan) -> dict[int, str]:
    return {row["row"]: row["reason"] for row in made.as_json()["not_taken"]}


def test_what_is_no_bottle_is_told_and_not_taken(stocked: str, tmp_path: Path) -> None:
    made = plan(write(tmp_path, KEPT), Wishes(make=True, role="paint"))
    assert made.bad.rows == []
    assert {row: why.split(":")[0] for row, why in reasons(made).items()} == {
        1: "it stands above the heads", 4: "only one of its cells is filled", 7: "it repeats the heads",
        8: "it is blank", 9: "only one of its cells is filled", 13: "taken for a total", 14: "taken for a total",
    }  # fmt: skip
    facts = made.as_json()
    assert (facts["rows"], facts["bottles"], facts["volume_ml"]) == (5, 6, 30 + 60 + 24 + 1.5 + 22.5)
    assert (facts["value"], facts["without_price"]) == (7.9 + 2 * 1018 + 2, 2)
    answer = book(made)
    assert (answer["bottles"], Bottle.select().count()) == (6, 4 + 6)
    assert Product.select().where(Product.name << ["Total", "Blues", "Greens", "Paint"]).count() == 0
    assert prove().problems == []


def test_a_row_that_looks_like_a_title_can_be_taken(stocked: str, tmp_path: Path) -> None:
    path = write(tmp_path, KEPT)
    made = plan(path, Wishes(make=True, role="paint", take=(4, 13)))
    assert [(row.line, row.column) for row in made.bad.rows] == [(4, "Size ml")]
    assert "the size is empty" in made.bad.rows[0].reason
    assert 13 not in reasons(made)


def test_a_known_product_is_never_a_title(stocked: str, tmp_path: Path) -> None:
    made = plan(write(tmp_path, "Product,Size\nHarbour Blue,\nTotal,60 ml\nGull White,60 ml\n"))
    assert [row.line for row in made.bad.rows] == [2]
    assert reasons(made) == {3: "taken for a total"}


def test_the_row_of_the_heads_is_found_or_said(stocked: str, tmp_path: Path) -> None:
    text = "Stock, as of spring, all of it\nsee; below\nName;Inhalt\nHarbour Blue;60 ml\nGull White;30 ml\n"
    found = plan(write(tmp_path, text))
    assert (found.sheet.head_line, found.sheet.delimiter, found.rows) == (3, ";", 2)
    odd = write(tmp_path, "a note\nWat;Hoeveel\nHarbour Blue;60 ml\n", "odd.csv")
    said = Wishes(head=2, kind="stock", maps=("product=Wat", "size=Hoeveel"))
    assert plan(odd, said).as_json()["not_taken"] == [{"row": 1, "reason": "it stands above the heads"}]
    with pytest.raises(BadInput, match="no row stands on line 9"):
        plan(odd, Wishes(head=9))


def test_good_rows_are_taken_without_the_bad_which_are_written_to_mend(stocked: str, tmp_path: Path) -> None:
    text = "Product,Size,Place\nHarbour Blue,60 ml,\nGull White,sixty,\n=Tram Red,30 ml,Attic\nGull White,30 ml,\n"
    path = write(tmp_path, text)
    before = Booking.select().count()
    with pytest.raises(BadRows, match="line 3, column Size"):
        book(plan(path))
    assert Booking.select().count() == before
    made = plan(path, Wishes(take_good=True))
    mend = tmp_path / "mend.csv"
    outputs.write([bad_file.output(made, mend)], stocked)
    assert book(made)["bottles"] == 2
    rows = list(csv.reader(mend.open(encoding="utf-8", newline="")))
    assert rows[0] == ["Product", "Size", "Place", "not taken because"]
    assert [row[:2] for row in rows[1:3]] == [["Gull White", "sixty"], ["'=Tram Red", "30 ml"]]
    assert "line 3: the size 'sixty'" in rows[1][3]
    mend.write_text(mend.read_text(encoding="utf-8").replace("sixty", "60 ml"), encoding="utf-8")
    assert book(plan(str(mend), Wishes(make=True, role="paint")))["bottles"] == 2
    assert prove().problems == []


def test_a_bad_row_makes_nothing(stocked: str, tmp_path: Path) -> None:
    text = "Date,Paint,Amount,Reducer,Reduction\n2025-01-01,New Blue,8 ml,Gull White,20%\n2025-01-02,New Red,8 ml,,\n"
    made = plan(write(tmp_path, text), Wishes(make=True, take_good=True))
    assert (list(made.new_products), len(made.bad.rows)) == (["New Red"], 1)
    book(made)
    assert Product.select().where(Product.name == "New Blue").count() == 0


@pytest.mark.parametrize("color", ["a shade of dusk", "#12"])
def test_what_the_booking_would_refuse_the_preview_refuses(color: str, stocked: str, tmp_path: Path) -> None:
    path = write(tmp_path, f"Product,Size,Colour\nNew Blue,60 ml,white\nNew Red,60 ml,{color}\n")
    made = plan(path, Wishes(make=True, role="paint"))
    assert [(row.line, "is no colour" in row.reason) for row in made.bad.rows] == [(3, True)]
    assert book(plan(path, Wishes(make=True, role="paint", take_good=True)))["bottles"] == 1
    assert Product.get(Product.name == "New Blue").color == "#ffffff"


@pytest.mark.parametrize("kind", ["stock", "products"])
def test_each_text_of_a_new_product_is_checked_in_the_preview(
    kind: str, stocked: str, tmp_path: Path
) -> None:
    columns = ("Supplier", "Line", "Maker", "Signal word", "UN number")
    turned = "a\u202eb"
    rows = (f"New {at},60 ml,{','.join(turned * (one == at) for one in range(5))}" for at in range(5))
    path = write(tmp_path, "\n".join((f"Product,Size,{','.join(columns)}", *rows, "")))
    made = plan(path, Wishes(kind=kind, make=True, role="paint"))
    assert [row.line for row in made.bad.rows] == [2, 3, 4, 5, 6]


@pytest.mark.parametrize("kind", ["stock", "products"])
def test_a_column_can_hold_the_category_of_a_voc_limit(kind: str, stocked: str, tmp_path: Path) -> None:
    text = 'Product,Size,VOC category\nNew Blue,60 ml,"us:topcoat, eu:topcoat"\nNew Red,60 ml,eu:glitter\n'
    made = plan(write(tmp_path, text), Wishes(kind=kind, make=True, role="paint", take_good=True))
    assert [(row.line, "no category" in row.reason) for row in made.bad.rows] == [(3, True)]
    book(made)
    assert Product.get(Product.name == "New Blue").voc_categories == "eu:topcoat us:topcoat"


def test_an_ounce_in_a_metric_studio_is_asked_once(stocked: str, tmp_path: Path) -> None:
    path = write(tmp_path, "Product,Size oz,Left\nHarbour Blue,4,\nGull White,2,1 oz\n")
    made = plan(path)
    (asked,) = made.as_json()["questions"]
    assert (asked["id"], asked["rows"], len(asked["readings"])) == ("ounce-1", [2, 3], 2)
    with pytest.raises(Unanswered):
        book(made)
    answer = f"ounce-1={asked['readings'][1]}"
    book(plan(path, Wishes(answers=(answer,))))
    sizes = Bottle.select(Bottle.size_ul, Bottle.on_hand_ul).where(Bottle.id > 4).order_by(Bottle.id).tuples()
    assert list(sizes) == [(113_652, 113_652), (56_826, 28_413)]


def test_bare_figures_of_what_is_left_are_asked_once(stocked: str, tmp_path: Path) -> None:
    text = "Product,Size,Left\nHarbour Blue,60 ml,30\nGull White,30 ml,0.5\nGull White,30 ml,half\n"
    path = write(tmp_path, text)
    (asked,) = plan(path).as_json()["questions"]
    assert (asked["id"], asked["readings"], asked["rows"]) == ("left-1", ["ml", "%"], [2, 3])
    for answer, left_ul in (("ml", [30_000, 500, 15_000]), ("%", [18_000, 150, 15_000])):
        made = plan(path, Wishes(answers=(f"left-1={answer}",), again=True))
        book(made)
        rows = Bottle.select(Bottle.on_hand_ul).order_by(Bottle.id.desc()).limit(3).tuples()
        assert [left for (left,) in rows][::-1] == left_ul
    shares = plan(write(tmp_path, "Product,Size,Left\nHarbour Blue,60 ml,0.5\n"), Wishes(again=True))
    assert shares.as_json()["volume_ml"] == 30


def test_how_full_a_bottle_is_in_words(stocked: str, tmp_path: Path) -> None:
    words = {
        "full": 60, "sealed": 60, "halb": 30, "Half full": 30, "½": 30, "1/2": 30, "3/4": 45, "ca. 20 ml": 20,
        "nearly empty": 3, "fast leer": 3, "empty": 0, "0": 0, "40 %": 24, "41,5ml": 41.5, "0.5": 30,
    }  # fmt: skip
    made = plan(
        write(tmp_path, "Product;Size;Left\n" + "".join(f"Harbour Blue;60 ml;{word}\n" for word in words))
    )
    assert made.bad.rows == []
    book(made)
    left = Bottle.select(Bottle.on_hand_ul).where(Bottle.id > 4).order_by(Bottle.id).tuples()
    assert [volume / 1_000 for (volume,) in left] == list(words.values())


@pytest.mark.parametrize(
    ("row", "reason"),
    [
        ("Harbour Blue,2 x 60 ml,3,,", "names 2 bottles and the count 3"),
        ("Harbour Blue,60 ml,,$7.90,", "is not in EUR"),
        ("Harbour Blue,60 ml,,x,", "price"),
        ("Harbour Blue,60 ml,,,-3 %", "-3 %"),
    ],
)
def test_what_can_not_be_is_refused_with_its_column(
    row: str, reason: str, stocked: str, tmp_path: Path
) -> None:
    made = plan(write(tmp_path, f"Product,Size,Count,Price,Left\n{row}\n"))
    assert reason in made.bad.rows[0].reason


def test_a_figure_without_a_unit_is_asked_once_for_the_file(stocked: str, tmp_path: Path) -> None:
    path = write(tmp_path, "Product,Size\nHarbour Blue,60\nGull White,2 x 30\nGull White,1.250\n")
    made = plan(path)
    asked = {one["id"]: (one["readings"], one["rows"]) for one in made.as_json()["questions"]}
    assert asked["unit-1"] == (["ml", "us fl oz", "imp fl oz", "cl", "l"], [2, 3, 4])
    assert asked["amount-1"] == (["1250 ml", "1.250 ml"], [4])
    made = plan(path, Wishes(answers=("unit-1=ml", "amount-1=1250 ml")))
    assert (made.as_json()["questions"], made.as_json()["volume_ml"]) == ([], 60 + 60 + 1250)


def test_every_bad_cell_of_a_row_is_told_with_its_column(stocked: str, tmp_path: Path) -> None:
    rows = "Harbour Blue,60 ml,lots,never,x,dusk of sorts\n,sixty,,2025-01-01,,\n"
    path = write(tmp_path, f"Product,Size,Left,Opened,Price,Colour\n{rows}")
    made = plan(path)
    assert [(row.line, row.column) for row in made.bad.rows] == [
        (2, "Left"), (2, "Opened"), (2, "Price"), (2, "Colour"), (3, "Product"), (3, "Size"),
    ]  # fmt: skip
    assert (made.as_json()["bad_count"], made.bad.reasons[2].count("; ") >= 3) == (2, True)
    with pytest.raises(BadRows, match="2 rows can't be taken in"):
        book(made)


@pytest.mark.parametrize(
    ("written", "readings"),
    [
        ("4-Mar-25", ["2025-03-04"]), ("4 März 24", ["2024-03-04"]), ("2025 March", ["2025-03-01"]),
        ("12/2024", ["2024-12-01"]), ("2017/11/-", ["2017-11-01"]), ("45736", ["2025-03-20"]),
        ("4.3.2025", ["2025-03-04"]), ("3/4/25", ["2025-04-03", "2025-03-04"]),
        ("Mar-25", ["2025-03-01", "2026-03-25"]), ("Mar 32", ["2032-03-01"]), ("summer 2024", ["summer 2024"]),
    ],
)  # fmt: skip
def test_days_as_people_write_them(written: str, readings: list[str]) -> None:
    assert written_days.readings(written, None, date(2026, 6, 1)) == readings


def test_a_dash_says_nothing_but_of_what_is_left(stocked: str, tmp_path: Path) -> None:
    path = write(
        tmp_path, "Product,Size,Left,Price,Lot,Opened\nHarbour Blue,60 ml,,-,n/a,-\nGull White,60 ml,-,,,\n"
    )
    made = plan(path)
    assert [(row.line, row.column) for row in made.bad.rows] == [(3, "Left")]


def test_a_bad_row_can_be_mended_where_it_is_shown(stocked: str, tmp_path: Path) -> None:
    path = write(tmp_path, "Product,Size,Price\nHarbour Blue,sixty,7.90\nGull White,30 ml,\n")
    made = plan(path, Wishes(kind="stock", mended=((2, 1, "60 ml"), (2, 2, "8"))))
    assert made.bad.rows == []
    assert (book(made)["bottles"], Bottle.get_by_id(5).size_ul, Bottle.get_by_id(5).price_minor) == (
        2,
        60_000,
        800,
    )
    assert plan(path, Wishes(kind="stock", mended=((2, 1, "60 ml"), (2, 2, "8")))).booked_before is True
