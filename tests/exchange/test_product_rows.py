"""Colour charts and price lists: products come of them, and never a bottle."""

from pathlib import Path

import pytest

from stock.exchange.badrows import BadRows
from stock.exchange.incoming import Wishes, book, plan
from stock.exchange.questions import Unanswered
from stock.logbook.undo import undo
from stock.shelf import products
from stock.shelf.products import packs_of
from stock.store.models import Booking, Bottle, Product


def write(tmp_path: Path, text: str) -> str:
    path = tmp_path / "list.csv"
    path.write_text(text, encoding="utf-8")
    return str(path)


def test_a_price_list_makes_products_with_their_sizes_and_no_bottle(stocked: str, tmp_path: Path) -> None:
    path = write(
        tmp_path,
        "Name;Code;Size;Price;Colour;Density;Flash point (°C)\n"
        "Dusk Red;70-1;30 ml;4,50;maroon;1,05;23\n"
        "Dusk Red;70-1;60 ml;7,90;;;\n"
        "Reds;;;;;;\n"
        "Harbour Blue;70-2;120 ml;12;navy;;\n",
    )
    bottles, bookings = Bottle.select().count(), Booking.select().count()
    with pytest.raises(Unanswered, match="stock or products"):
        book(plan(path, Wishes(role="paint")))
    keep = "facts-1=keep the books"
    for wishes in (
        Wishes(role="paint", answers=("kind-1=products", keep)),
        Wishes(role="paint", kind="products", answers=(keep,)),
    ):
        made = plan(path, wishes)
        facts = made.as_json()
        assert (facts["kind"], facts["bottles"], facts["bad_rows"]) == ("products", 0, [])
    assert [row["row"] for row in facts["not_taken"]] == [4]
    answer = book(made)
    assert (answer["products"], answer["changed"], answer["booked"]) == (1, 1, True)
    red, blue = products.find("Dusk Red"), products.find("Harbour Blue")
    assert (red.code, red.color, red.density_ug_per_ml, red.flash_point_mc) == (
        "70-1", "#800000", 1_050_000, 23_000,
    )  # fmt: skip
    assert packs_of([red.id])[red.id] == [(30_000, 450), (60_000, 790)]
    assert (120_000, 1200) in packs_of([blue.id])[blue.id]
    assert (Bottle.select().count(), Booking.select().count()) == (bottles, bookings + 1)
    again = book(plan(path, wishes))
    assert (again["products"], again["changed"], again["import"]) == (0, 0, None)


def test_a_colour_chart_is_known_by_its_heads(stocked: str, tmp_path: Path) -> None:
    path = write(tmp_path, "Colour name,Code,Hex\nDusk Red,7,#800000\nDawn,8,#ffeedd\n")
    answer = book(plan(path, Wishes(role="paint")))
    assert (answer["kind"], answer["products"]) == ("products", 2)


def test_what_the_books_say_otherwise_is_asked(stocked: str, tmp_path: Path) -> None:
    products.change("Harbour Blue", {"flash_point": "18C", "code": ""})
    path = write(
        tmp_path, "Product,Code,Flash point,Water\nHarbour Blue,70-2,60 C,\nHarbour Blue,70-2,60 C,\n"
    )
    with pytest.raises(Unanswered, match="whose word counts"):
        book(plan(path))
    for answer, flash_mc in (("keep the books", 18_000), ("take the file", 60_000)):
        made = plan(path, Wishes(answers=(f"facts-1={answer}",)))
        result = {"product": "Harbour Blue", "field": "flash_point", "books": "18C", "file": "60 C"}
        assert made.as_json()["kept"] == ([result] if flash_mc == 18_000 else [])
        number = book(made)["import"]
        blue = products.find("Harbour Blue")
        assert (blue.flash_point_mc, blue.code) == (flash_mc, "70-2")
    undo("import", number)
    blue = products.find("Harbour Blue")
    assert (blue.flash_point_mc, blue.code) == (18_000, "70-2")
    assert plan(write(tmp_path, "Product,Flash point\nHarbour Blue,64.4 F\n")).as_json()["questions"] == []


@pytest.mark.only("sqlite")
@pytest.mark.parametrize(
    ("row", "reason"),
    [
        ("Dusk Red,9,,,paint,", "the code of Dusk Red is 7 in a row above"),
        ("Dawn,9,,4.50,paint,", "it has a price and no size"),
        ("Dawn,9,,,,", "the role of Dawn isn't known"),
        ("Dawn,9,,,king,", "is no role"),
        ("Dawn,9,,,paint,hot", "hot"),
        (",9,30 ml,,paint,", "the product is empty"),
    ],
)
def test_a_bad_row_is_told_and_nothing_is_made(row: str, reason: str, stocked: str, tmp_path: Path) -> None:
    text = f"Product,Code,Size,Price,Role,Flash point\nDusk Red,7,30 ml,4.50,paint,18 C\n{row}\n"
    before = Product.select().count()
    made = plan(write(tmp_path, text), Wishes(kind="products"))
    assert [(bad.line, reason in bad.reason) for bad in made.bad.rows] == [(3, True)], made.bad.rows
    with pytest.raises(BadRows):
        book(made)
    assert Product.select().count() == before


@pytest.mark.only("sqlite")
@pytest.mark.parametrize(
    ("codes", "label", "code"),
    [(("H-1", "H-1"), None, "H-1"), (("H-1", "H-2"), "H-1", ""), (("7", "8"), None, "7")],
)
def test_a_code_that_repeats_is_the_products(
    codes: tuple[str, str], label: str | None, code: str, stocked: str, tmp_path: Path
) -> None:
    path = write(tmp_path, "Product,Size,Code\n" + "".join(f"New {one},60 ml,{one}\n" for one in ("A", "B")))
    text = (
        Path(path)
        .read_text(encoding="utf-8")
        .replace(",A\n", f",{codes[0]}\n")
        .replace(",B\n", f",{codes[1]}\n")
    )
    book(plan(write(tmp_path, text), Wishes(make=True, role="paint")))
    assert (Bottle.get_by_id(5).label, products.find("New A").code) == (label, code)
