"""A corrected sheet that comes again: its differences are booked, and the stock never twice without a question."""

from datetime import date
from pathlib import Path

import pytest

from stock.bench.mixing import MixRequest, book_mix
from stock.errors import BadInput, UllageError
from stock.exchange.badrows import BadRows
from stock.exchange.incoming import Wishes, book, plan
from stock.exchange.questions import Unanswered
from stock.forecast.uses import uses
from stock.logbook import purchases
from stock.logbook.proof import prove
from stock.logbook.undo import undo
from stock.logbook.undo_guards import DependsOnIt
from stock.shelf import handling, periods, places, products
from stock.shelf.bottles import on_shelf as standing
from stock.shelf.studio import settings
from stock.store.models import Booking, Bottle, Count, Place, Product, Supplier

FIRST = (
    "Product,Size,Left,Lot,Label\nHarbour Blue,60 ml,30 ml,L1,\nGull White,30 ml,,,H-1\nGull White,60 ml,,,\n"
)
SAID = ("again-1=book the differences",)
FACTS = (*SAID, "facts-1=take the file")


def write(tmp_path: Path, text: str, name: str = "shelf.csv") -> str:
    path = tmp_path / name
    path.write_text(text, encoding="utf-8")
    return str(path)


def held(bottle: int) -> int:
    return int(Bottle.get_by_id(bottle).on_hand_ul)


def shelf() -> list[tuple[object, ...]]:
    """What the books hold of every bottle."""
    columns = (
        Bottle.id,
        Bottle.on_hand_ul,
        Bottle.place,
        Bottle.price_minor,
        Bottle.best_before,
        Bottle.owner,
    )
    return list(Bottle.select(*columns).order_by(Bottle.id).tuples())


def test_a_corrected_sheet_is_asked_and_its_other_rows_are_booked(stocked: str, tmp_path: Path) -> None:
    number = book(plan(write(tmp_path, FIRST)))["import"]
    path = write(tmp_path, FIRST + "Harbour Blue,30 ml,,,\n")
    (asked,) = plan(path).as_json()["questions"]
    assert (asked["id"], asked["rows"]) == ("again-1", [2, 3, 4])
    with pytest.raises(Unanswered):
        book(plan(path))
    made = plan(path, Wishes(answers=SAID))
    assert [row["row"] for row in made.as_json()["not_taken"]] == [2, 3, 4]
    assert (made.as_json()["bottles"], book(made)["bottles"], Bottle.select().count()) == (1, 1, 8)
    undo("import", number)
    assert plan(write(tmp_path, FIRST + "Gull White,30 ml,,,\n", "c.csv")).as_json()["questions"] == []


def test_a_part_of_a_sheet_that_came_before_adds_nothing(stocked: str, tmp_path: Path) -> None:
    book(plan(write(tmp_path, FIRST)))
    part = "".join(FIRST.splitlines(keepends=True)[:3])
    made = plan(write(tmp_path, part), Wishes(answers=SAID))
    assert [(one.bottle, one.on_hand_ul) for one in made.gone] == [(7, 60_000)]
    with pytest.raises(BadInput, match=r"every row of shelf\.csv came with an earlier import"):
        book(made)
    assert book(plan(write(tmp_path, FIRST)))["again"] is True
    assert Bottle.select().count() == 4 + 3


@pytest.mark.only("sqlite")
@pytest.mark.parametrize(
    "saved",
    [
        FIRST.replace("\n", "\r").encode(),
        FIRST.replace("\n", "\r\n").encode("utf-16"),
        FIRST.replace(",", ";").encode("utf-8-sig"),
        FIRST.replace("\n", "\n\n").encode("cp1252"),
    ],
    ids=["cr", "utf-16", "semicolons", "blank-rows"],
)
def test_a_file_that_was_only_saved_otherwise_is_the_same(saved: bytes, stocked: str, tmp_path: Path) -> None:
    first = book(plan(write(tmp_path, FIRST)))
    other = tmp_path / "saved otherwise.csv"
    other.write_bytes(saved)
    answer = book(plan(str(other)))
    assert (answer["again"], answer["import"], Bottle.select().count()) == (True, first["import"], 7)


def test_every_difference_is_shown_then_booked_and_taken_back_whole(stocked: str, tmp_path: Path) -> None:
    first = (
        "Product,Size,Left,Lot,Label,Place,Price,Best before,Owner,Maker\n"
        "Harbour Blue,60 ml,30 ml,L1,,Cabinet,,,,\nGull White,30 ml,,,H-1,Cabinet,,,,\nGull White,60 ml,,,,,7.90,,,\n"
    )
    book(plan(write(tmp_path, first), Wishes(make=True)))
    before, bookings = shelf(), Booking.select().count()
    mended = (
        "Product,Size,Left,Lot,Label,Place,Price,Best before,Owner,Maker\n"
        "Harbour Blue,60 ml,20 ml,L1,,Cabinet,,,,Quayside\n"
        "Gull White,30 ml,25 ml,,H-1,Attic,,2027-03-01,Rui,\n"
        "Dusk Red,30 ml,,,,Attic,3.50,,,\n"
    )
    path = write(tmp_path, mended)
    wishes = Wishes(make=True, role="paint", answers=FACTS)
    made = plan(path, wishes)
    facts = made.as_json()
    assert [(one["bottle"], one["changes"]) for one in facts["corrections"]] == [
        (5, ["30 ml were left, now 20 ml are"]),
        (6, [
            "30 ml were left, now 25 ml are", "it stands in Attic, no longer in Cabinet",
            "the day it is best before: nothing → 2027-03-01", "the owner: nothing → Rui",
        ]),
    ]  # fmt: skip
    assert (facts["bottles"], facts["changed_products"]) == (1, ["Harbour Blue"])
    assert [(one["bottle"], one["on_hand_ml"]) for one in facts["gone"]] == [(7, 60)]
    number = book(made)["import"]
    assert (held(5), held(6), held(7), held(8)) == (20_000, 25_000, 60_000, 30_000)
    six = Bottle.get_by_id(6)
    assert (Place.get_by_id(six.place_id).name, six.owner, str(six.best_before)) == (
        "Attic",
        "Rui",
        "2027-03-01",
    )
    assert products.find("Harbour Blue").maker == "Quayside"
    assert {row.reason for row in Count.select()} == {"corrected"}
    assert book(plan(path, wishes))["again"] is True
    assert not len(uses(settings().today()).day)
    after = shelf()
    answer = undo("import", number)
    assert (sorted(answer["taken_back"]), shelf()[:7]) == (["Attic", "Dusk Red"], before)
    assert [row.name for row in places.everything() if row.name == "Attic"] == []
    assert (products.find("Harbour Blue").maker, held(8)) == ("", 0)
    again = undo("undo", answer["undo"])
    assert (sorted(again["brought_back"]), shelf()) == (["Attic", "Dusk Red"], after)
    assert products.find("Harbour Blue").maker == "Quayside"
    undo("undo", again["undo"])
    assert (shelf()[:7], prove().problems) == (before, [])
    assert Booking.select().count() > bookings


def test_what_the_sheet_says_is_compared_with_what_it_said_last(stocked: str, tmp_path: Path) -> None:
    book(plan(write(tmp_path, FIRST)))
    second = FIRST.replace("30 ml,L1", "20 ml,L1")
    book(plan(write(tmp_path, second), Wishes(answers=SAID)))
    book_mix(MixRequest(parts=(("Harbour Blue", 5_000),), bottles=("5",)))
    third = plan(write(tmp_path, second + "Harbour Blue,30 ml,,,\n"), Wishes(answers=SAID))
    assert (third.corrections, third.rows) == ([], 1)
    book(third)
    assert held(5) == 15_000


@pytest.mark.parametrize(
    ("answer", "left_ul"), [("what is in them now", 20_000), ("what was in them when they came", 15_000)]
)
def test_an_amount_of_a_bottle_that_was_used_since_is_asked(
    answer: str, left_ul: int, stocked: str, tmp_path: Path
) -> None:
    book(plan(write(tmp_path, FIRST)))
    book_mix(MixRequest(parts=(("Harbour Blue", 5_000),), bottles=("5",)))
    path = write(tmp_path, FIRST.replace("30 ml,L1", "20 ml,L1"))
    assert [one["id"] for one in plan(path, Wishes(answers=SAID)).as_json()["questions"]] == ["amounts-1"]
    book(plan(path, Wishes(answers=(*SAID, f"amounts-1={answer}"))))
    assert held(5) == left_ul


def test_less_than_was_taken_since_can_not_have_been_in_a_bottle(stocked: str, tmp_path: Path) -> None:
    book(plan(write(tmp_path, FIRST)))
    book_mix(MixRequest(parts=(("Harbour Blue", 5_000),), bottles=("5",)))
    then = (*SAID, "amounts-1=what was in them when they came")
    made = plan(write(tmp_path, FIRST.replace("30 ml,L1", "2 ml,L1")), Wishes(answers=then))
    assert [row.line for row in made.bad.rows if "more was taken from bottle 5" in row.reason] == [2]


def test_the_first_of_several_like_rows_can_go(stocked: str, tmp_path: Path) -> None:
    rows = [f"Harbour Blue,60 ml,{left} ml\n" for left in (10, 20, 30)]
    book(plan(write(tmp_path, "Product,Size,Left\n" + "".join(rows))))
    made = plan(write(tmp_path, "Product,Size,Left\n" + "".join(rows[1:])), Wishes(answers=SAID))
    assert (made.corrections, [one.on_hand_ul for one in made.gone]) == ([], [10_000])
    counted = write(tmp_path, "Product,Size,Count\nGull White,60 ml,3\n", "counted.csv")
    book(plan(counted))
    more = plan(
        write(tmp_path, "Product,Size,Count\nGull White,60 ml,4\n", "counted.csv"), Wishes(answers=SAID)
    )
    assert (more.as_json()["bottles"], book(more)["bottles"]) == (1, 1)


def test_what_can_be_no_correction_is_refused_with_its_bottle(stocked: str, tmp_path: Path) -> None:
    book(plan(write(tmp_path, FIRST)))
    handling.discard("5")
    text = FIRST.replace("30 ml,L1", "20 ml,L1").replace("Gull White,30 ml,,,H-1", "Harbour Blue,30 ml,,,H-1")
    made = plan(write(tmp_path, text + "Harbour Blue,30 ml,,,\n"), Wishes(answers=SAID))
    assert [(row.line, why in row.reason) for row, why in zip(
        made.bad.rows, ("bottle 5 was thrown away", "which is another product or size"), strict=True
    )] == [(2, True), (3, True)]  # fmt: skip
    with pytest.raises(BadRows):
        book(made)
    assert (
        book(plan(write(tmp_path, text + "Harbour Blue,30 ml,,,\n"), Wishes(answers=SAID, take_good=True)))[
            "bottles"
        ]
        == 1
    )


def test_bottles_that_are_new_indeed_are_booked(stocked: str, tmp_path: Path) -> None:
    book(plan(write(tmp_path, FIRST)))
    other = write(tmp_path, "Product,Size\nHarbour Blue,30 ml\nGull White,60 ml\n", "delivery.csv")
    assert book(plan(other))["bottles"] == 2
    again = write(tmp_path, FIRST.replace("H-1", "") + "Harbour Blue,30 ml,,,\n")
    wishes = Wishes(answers=("again-1=book every row as new bottles",))
    assert book(plan(again, wishes))["bottles"] == 4
    labelled = plan(write(tmp_path, FIRST + "Harbour Blue,120 ml,,,\n"), wishes)
    assert ["H-1" in row.reason for row in labelled.bad.rows] == [True]


def test_an_import_that_a_later_one_corrected_stays_until_that_is_taken_back(
    stocked: str, tmp_path: Path
) -> None:
    first = book(plan(write(tmp_path, FIRST)))["import"]
    second = book(plan(write(tmp_path, FIRST.replace("30 ml,L1", "20 ml,L1")), Wishes(answers=SAID)))[
        "import"
    ]
    with pytest.raises(DependsOnIt, match=f"import {second} depends on import {first}"):
        undo("import", first)
    undo("import", second)
    undo("import", first)
    assert prove().problems == []


def test_what_an_import_made_goes_with_it_unless_something_else_uses_it(stocked: str, tmp_path: Path) -> None:
    text = "Product,Size,Place,Supplier,Line\nDusk Red,60 ml,Attic,New Shop,Dusk\nDawn,60 ml,Loft,Other Shop,Dusk\n"
    path = write(tmp_path, text)
    number = book(plan(path, Wishes(make=True, role="paint")))["import"]
    from stock.shelf import deliveries, lines, suppliers

    deliveries.receive("Dawn", 30_000)
    answer = undo("import", number)
    assert sorted(answer["taken_back"]) == ["Attic", "Dusk Red", "Loft", "New Shop"]
    assert sorted(answer["kept"]) == ["Dawn", "Dusk", "Other Shop"]
    assert {row.name for row in products.everything()}.isdisjoint({"Dusk Red"})
    assert [row.name for row in suppliers.everything()].count("New Shop") == 0
    assert [(row.name, lines.sizes()[row.id]) for row in lines.everything() if row.name == "Dusk"] == [
        ("Dusk", 1)
    ]
    assert Product.select().where(Product.taken_back).count() == 1
    again = book(plan(path, Wishes(make=True, role="paint")))
    assert again["import"] != number
    assert products.find("Dusk Red").supplier_id == Supplier.get(Supplier.name == "New Shop").id
    with pytest.raises(Exception, match="another place called Attic by now"):
        undo("undo", answer["undo"])
    undo("import", again["import"])
    undo("undo", answer["undo"])
    assert products.find("Dusk Red").taken_back is False
    assert prove().problems == []


def test_a_cell_that_was_emptied_is_asked_with_what_it_was(stocked: str, tmp_path: Path) -> None:
    """Kept or emptied, and taken back with its file; what was booked on a bottle since was never the file's word."""
    heads = "Product,Size,Left,Label,Price,Best before,Opened,Place\n"
    first = heads + (
        "Harbour Blue,60 ml,30 ml,H-1,12.50,2027-01-02,2025-01-02,Cabinet\nGull White,30 ml,30 ml,G-1,,,,\n"
    )
    number = book(plan(write(tmp_path, first)))["import"]
    bottle = Bottle.get(Bottle.label == "H-1").id
    handling.open_bottle("G-1")
    emptied = heads + "Harbour Blue,60 ml,,H-1,,2027-01-02,2025-01-02,\nGull White,30 ml,30 ml,G-1,,,,\n"
    path = write(tmp_path, emptied)
    with pytest.raises(Unanswered) as asked:
        book(plan(path, Wishes(answers=SAID)))
    assert "the price was 12.50 EUR, now its cell is empty" in asked.value.message
    (question,) = plan(path, Wishes(answers=SAID)).as_json()["questions"]
    assert (question["id"], question["rows"]) == ("emptied-1", [2])

    assert "the place was Cabinet, now its cell is empty" in asked.value.message
    kept = plan(path, Wishes(answers=(*SAID, "emptied-1=keep what the books have")))
    assert kept.as_json()["corrections"] == []
    answer = "; ".join(row["reason"] for row in kept.as_json()["not_taken"])
    assert "30 ml were left, now that cell is empty, which is no amount: the books keep theirs" in answer

    made = plan(path, Wishes(answers=(*SAID, "emptied-1=empty it in the books, too")))
    (said,) = made.as_json()["corrections"]
    assert said["changes"][:2] == [
        "it stands in no place, no longer in Cabinet",
        "the price was 12.50 EUR, now its cell is empty",
    ]
    assert "write 0 where the bottle is empty" in said["changes"][2]
    again = book(made)["import"]
    row = Bottle.get_by_id(bottle)
    assert (row.price_minor, row.place, held(bottle)) == (None, None, 30_000)
    assert plan(path, Wishes(answers=SAID)).as_json()["questions"] == []
    undo("import", again)
    row = Bottle.get_by_id(bottle)
    assert (row.price_minor, row.place.name) == (1_250, "Cabinet")
    places.add("Attic")
    handling.move_bottle("H-1", "Attic")
    moved = plan(path, Wishes(answers=(*SAID, "emptied-1=empty it in the books, too")))
    assert "it was moved since: it stays where it is" in moved.as_json()["corrections"][0]["changes"][-1]
    assert number != again


LABELLED = ("H-1", "G-1")
DATED = "Product,Size,Left,Label,Received,Place\n"
ANEW = (*SAID, "arrived-1=take the earlier import back and book the file anew")


def _arrivals() -> dict[str, tuple[str, int]]:
    """The day of arrival and the microlitres of the file's bottles that stand, by their labels."""
    return {
        view.label: (view.received_on.isoformat(), view.on_hand_ul)
        for view in standing()
        if view.label in LABELLED
    }


def test_another_day_of_arrival_is_asked_shown_and_booked_in_one_step(stocked: str, tmp_path: Path) -> None:
    """The earlier import is taken back and the file booked anew; products that it made stay as they are by now."""
    first = DATED + "Dusk Red,60 ml,30 ml,H-1,2025-04-03,Attic\nGull White,30 ml,,G-1,2025-04-03,\n"
    wishes = {"make": True, "role": "paint"}
    old = book(plan(write(tmp_path, first), Wishes(**wishes)))["import"]
    products.change("Dusk Red", {"maker": "Quayside"})
    path = write(tmp_path, first.replace("H-1,2025-04-03", "H-1,2025-04-30"))
    (asked,) = plan(path, Wishes(answers=SAID)).as_json()["questions"]
    assert (asked["id"], asked["rows"]) == ("arrived-1", [2])
    assert "bottle 5 came on 2025-04-03, now the file says 2025-04-30" in asked["about"]

    kept = plan(path, Wishes(answers=(*SAID, "arrived-1=keep what the books have"))).as_json()
    assert (
        "the file says that it came on 2025-04-30: the books keep 2025-04-03"
        in kept["not_taken"][0]["reason"]
    )

    made = plan(path, Wishes(answers=ANEW))
    facts = made.as_json()
    assert (facts["takes_back"], facts["takes_back_bottles"], facts["bottles"]) == ([old], 2, 2)
    assert (facts["corrections"], facts["new_products"], facts["new_places"]) == (
        [
            {
                "row": 2,
                "bottle": 5,
                "product": "Dusk Red",
                "changes": ["the day of arrival: 2025-04-03 → 2025-04-30"],
            }
        ],
        [],
        [],
    )
    assert _arrivals() == {"H-1": ("2025-04-03", 30_000), "G-1": ("2025-04-03", 30_000)}
    new = book(made)["import"]
    assert _arrivals() == {"H-1": ("2025-04-30", 30_000), "G-1": ("2025-04-03", 30_000)}
    assert [view.label for view in standing(date(2025, 4, 10))] == ["G-1"]
    assert products.find("Dusk Red").maker == "Quayside"
    assert [one.delivery for one in purchases.read().deliveries if one.delivery < new] == [
        one.delivery for one in purchases.read().deliveries if one.delivery < old
    ]
    assert prove().problems == []
    back = next(row.id for row in Booking.select().where(Booking.kind == "undo").order_by(Booking.id))
    taken = undo("import", new)
    assert sorted(taken["taken_back"]) == ["Attic", "Dusk Red"]
    undo("undo", back)
    assert _arrivals() == {"H-1": ("2025-04-03", 30_000), "G-1": ("2025-04-03", 30_000)}
    assert products.find("Dusk Red").maker == "Quayside"
    assert prove().problems == []


def test_what_was_used_since_keeps_its_day_of_arrival_and_is_named(stocked: str, tmp_path: Path) -> None:
    """Corrections of the sheet go with it; a pour does not, and nothing is half taken back."""
    first = DATED + "Harbour Blue,60 ml,30 ml,H-1,2025-04-03,\nGull White,30 ml,,G-1,2025-04-03,\n"
    old = book(plan(write(tmp_path, first)))["import"]
    path = write(tmp_path, first.replace("60 ml,30 ml", "60 ml,20 ml"))
    counted = book(plan(path, Wishes(answers=SAID)))["import"]
    later = write(tmp_path, first.replace("2025-04-03", "2025-03-03"))
    made = plan(later, Wishes(answers=ANEW))
    assert made.as_json()["takes_back"] == [counted, old]
    handling.freeze("H-1")
    handling.open_bottle("G-1")
    with pytest.raises(DependsOnIt, match=r"2 bottles were used since \(B0005, B0006\)"):
        plan(later, Wishes(answers=ANEW))
    before, bookings = shelf(), Booking.select().count()
    with pytest.raises(DependsOnIt):
        book(made)
    assert (shelf(), Booking.select().count(), prove().problems) == (before, bookings, [])


def test_rows_of_a_closed_month_are_refused_in_the_preview_unless_they_came_before(
    stocked: str, tmp_path: Path
) -> None:
    """The preview is the truth; a sheet whose rows are booked already can come again after its month was closed."""
    first = DATED + "Harbour Blue,60 ml,30 ml,H-1,2025-04-03,\nGull White,30 ml,,G-1,2025-04-03,\n"
    book(plan(write(tmp_path, first)))
    periods.close(date(2025, 4, 30))
    more = plan(write(tmp_path, first + "Gull White,30 ml,,G-2,2025-05-03,\n"), Wishes(answers=SAID))
    assert (more.bad.rows, book(more)["bottles"]) == ([], 1)
    refused = plan(write(tmp_path, DATED + "Gull White,60 ml,,G-3,2025-04-05,\n", "other.csv"))
    assert [
        (row.line, row.column, "the books are closed until 2025-04-30" in row.reason)
        for row in refused.bad.rows
    ] == [(2, "Received", True)]
    assert refused.as_json()["bottles"] == 0
    anew = first.replace("H-1,2025-04-03", "H-1,2025-05-03")
    with pytest.raises(UllageError, match="the books are closed until 2025-04-30"):
        plan(write(tmp_path, anew), Wishes(answers=ANEW))
    mixes = write(tmp_path, "Date,Paint,Amount\n2025-04-01,Harbour Blue,8 ml\n", "mixes.csv")
    assert "the books are closed" in plan(mixes).bad.rows[0].reason
