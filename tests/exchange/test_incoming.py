"""A studio's own spreadsheet: columns shown and remembered, all or nothing, each bad row with its line."""

from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest

from stock import clock
from stock.errors import BadInput
from stock.exchange import incoming
from stock.exchange.badrows import BadRows
from stock.exchange.incoming import Wishes, book, plan
from stock.exchange.questions import Unanswered
from stock.logbook.proof import prove
from stock.logbook.undo import undo
from stock.shelf.bottles import on_shelf
from stock.store.models import Booking, Bottle, Close, Job, Mix, Movement, Product, SheetMap

MAKE = Wishes(make=True, role="paint", unit="ml")


def write(tmp_path: Path, text: str, *, encoding: str = "utf-8", name: str = "stock.csv") -> str:
    path = tmp_path / name
    path.write_bytes(text.encode(encoding))
    return str(path)


def rows_in_books() -> int:
    return int(Booking.select().count() + Movement.select().count() + Product.select().count())


def test_stock_comes_in_as_it_stands(stocked: str, tmp_path: Path) -> None:
    path = write(
        tmp_path,
        "Product,Size,Left,Count,Lot,Received,Opened,Best before,Place,Price,Label\n"
        "harbour BLUE,60 ml,41.5ml,,L7,2025-05-01,2025-06-01,2027-01-01,cabinet,7.90,H-1\n"
        "Gull White,2 fl oz,,3,,,,,,,\n",
    )
    answer = book(plan(path))
    assert (answer["bottles"], len(answer["deliveries"])) == (4, 2)
    views = {view.id: view for view in on_shelf()}
    blue = views[5]
    assert (blue.product, blue.on_hand_ul, blue.lot, blue.place, blue.price_minor, blue.label) == (
        "Harbour Blue", 41_500, "L7", "Cabinet", 790, "H-1",
    )  # fmt: skip
    assert (blue.state, str(blue.received_on), str(blue.opened_on)) == ("open", "2025-05-01", "2025-06-01")
    assert [views[number].on_hand_ul for number in (6, 7, 8)] == [59_147] * 3
    assert {view.id for view in on_shelf(clock.now().date().replace(year=2025, month=12))} == {5}
    assert prove().problems == []
    undo("delivery", answer["deliveries"][0])
    assert prove().problems == []


@pytest.mark.parametrize(
    ("encoding", "text"),
    [
        ("utf-8", "Farbe;Inhalt;Restmenge;Preis\r\nMöwe;60 ml;41,5 ml;7,90\r\n"),
        ("utf-8-sig", "Farbe;Inhalt;Restmenge;Preis\r\nMöwe;60 ml;41,5 ml;7,90\r\n"),
        ("cp1252", "Farbe;Inhalt;Restmenge;Preis\r\nMöwe;60 ml;41,5 ml;7,90 €\r\n"),
        ("utf-16", "Farbe\tInhalt\tRestmenge\tPreis\nMöwe\t60 ml\t41,5 ml\t7,90\n"),
        ("utf-8", '\n\n"Farbe"|"Inhalt (ml)"|"Restmenge (ml)"|"Preis"\n"Möwe"|60|41,5|"7,90"\n\n'),
    ],
)
def test_however_it_was_saved(encoding: str, text: str, books: str, tmp_path: Path) -> None:
    book(plan(write(tmp_path, text, encoding=encoding), Wishes(make=True, role="paint")))
    (view,) = on_shelf()
    assert (view.product, view.size_ul, view.on_hand_ul, view.price_minor) == ("Möwe", 60_000, 41_500, 790)


def test_the_columns_are_shown_said_and_remembered(stocked: str, tmp_path: Path) -> None:
    text = "Wat,Hoeveel,Zeug\nHarbour Blue,60 ml,x\n"
    path = write(tmp_path, text)
    with pytest.raises(
        BadInput, match="no column of this file of stock is known to hold the product"
    ) as refusal:
        plan(path, Wishes(kind="stock"))
    assert "it has Wat, Hoeveel, Zeug" in refusal.value.message
    said = Wishes(kind="stock", maps=("product=wat", "size=Hoeveel"))
    shown = plan(path, said).as_json()
    assert (shown["mapping"], shown["ignored"], shown["booked"]) == (
        {"product": "Wat", "size": "Hoeveel"}, ["Zeug"], False,
    )  # fmt: skip
    assert SheetMap.select().count() == 0
    book(plan(path, said))
    other = plan(write(tmp_path, text + "Gull White,30 ml,y\n", name="b.csv"), Wishes(kind="stock"))
    assert (other.as_json()["remembered"], other.rows, bool(other.bad)) == (True, 2, False)
    with pytest.raises(BadInput, match="no column of this file"):
        plan(path, Wishes(kind="stock", recall=False))
    with pytest.raises(BadInput, match="is no field of stock"):
        plan(path, Wishes(kind="stock", maps=("prodct=Wat",)))
    with pytest.raises(BadInput, match="no column is called"):
        plan(path, Wishes(kind="stock", maps=("product=What",)))


BAD = [
    ("Harbour Blue,sixty,", "sixty"),
    (",60 ml,", "the product is empty"),
    ("Harbour Blue,,", "the size is empty"),
    ("Harbour Blue,60 ml,99 ml", "more is left than"),
    ("Harbour Blue,-5 ml,", "-5 ml"),
    ("Tram Red,60 ml,", "no product is called Tram Red"),
    ("Harbour Blue,60 ml,1 ml,x,y,z", "more cells than heads"),
    ("a\x07b,60 ml,", "control"),
]


@pytest.mark.parametrize(("row", "reason"), BAD)
def test_each_bad_row_is_told_with_its_line_and_nothing_is_booked(
    row: str, reason: str, stocked: str, tmp_path: Path
) -> None:
    before = rows_in_books()
    path = write(tmp_path, f"Product,Size,Left\nHarbour Blue,60 ml,\n\n{row}\nHarbour Blue,30 ml,\n")
    made = plan(path)
    assert [(bad.line, reason in bad.reason) for bad in made.bad.rows] == [(4, True)], made.bad.rows
    with pytest.raises(BadRows, match=r"1 row can't be taken in: stock.csv line 4"):
        book(made)
    assert rows_in_books() == before


def test_all_bad_rows_are_told_and_a_long_list_is_counted(stocked: str, tmp_path: Path) -> None:
    path = write(tmp_path, "Product,Size\n" + "Harbour Blue,sixty\n" * 3_000)
    made = plan(path)
    assert (len(made.bad.rows), made.as_json()["bad_count"]) == (100, 3_000)
    with pytest.raises(BadRows, match="3,000 rows can't be taken in"):
        book(made)


def test_a_file_is_booked_once(stocked: str, tmp_path: Path) -> None:
    path = write(tmp_path, "Product,Size\nHarbour Blue,60 ml\n")
    first = book(plan(path))
    assert book(plan(path)) == {**first, "again": True}
    assert Bottle.select().count() == 5
    for encoding in ("utf-8", "utf-16"):
        saved_anew = write(
            tmp_path, "Product,Size\r\nHarbour Blue,60 ml\r\n\r\n", encoding=encoding, name="b.csv"
        )
        assert book(plan(saved_anew))["again"] is True
    assert Bottle.select().count() == 5
    book(plan(path, Wishes(again=True)))
    assert Bottle.select().count() == 6


def test_a_label_stands_on_one_bottle(stocked: str, tmp_path: Path) -> None:
    path = write(
        tmp_path, "Product,Size,Label\nHarbour Blue,60 ml,A1\nHarbour Blue,60 ml,A1\nHarbour Blue,60 ml,B7\n"
    )
    assert [(row.line, row.reason[:20]) for row in plan(path).bad.rows] == [
        (3, "the label A1 is on a"), (4, "the label 'B7' reads"),
    ]  # fmt: skip


@pytest.mark.only("sqlite")
@pytest.mark.parametrize(
    ("cell", "decimal", "expected"),
    [
        ("1,5 ml", None, 1_500), ("1.5 ml", None, 1_500), ("1.500,5 ml", None, 1_500_500), ("1,500 ml", "comma", 1_500),
        ("1,500 ml", "point", 1_500_000), ("1,500.5 ml", None, 1_500_500), ("1,500 ml", None, None),
        ("0,500 ml", None, 500), ("1.000 ml", None, None), ("1.000 ml", "comma", 1_000_000),
        ("1.000 ml", "point", 1_000), ("0.500 ml", None, 500),
    ],
)  # fmt: skip
def test_decimal_commas_are_read_and_what_can_be_read_in_two_ways_is_asked(
    cell: str, decimal: str | None, expected: int | None, stocked: str, tmp_path: Path
) -> None:
    path = write(tmp_path, f'Product,Size\nHarbour Blue,"{cell}"\n')
    made = plan(path, Wishes(decimal=decimal))
    if expected is None:
        (asked,) = made.as_json()["questions"]
        figure = cell.split(maxsplit=1)[0].replace(",", ".")
        assert asked["readings"] == [f"{figure.replace('.', '')} ml", f"{float(figure):g} ml"]
        assert (asked["id"], asked["rows"], cell in asked["about"]) == ("size-1", [2], True)
    else:
        book(made)
        assert Bottle.select(Bottle.size_ul).where(Bottle.id == 5).tuples().get()[0] == expected


@pytest.mark.only("sqlite")
@pytest.mark.parametrize(("others"), [("2,5 ml",), ("2.5 ml",), ("2.5 ml", "2,5 ml"), ()])
def test_a_thousandfold_difference_is_asked_whatever_the_other_cells_say(
    others: tuple[str, ...], stocked: str, tmp_path: Path
) -> None:
    """A litre is written 1.000 ml in one country, and one millilitre in another; both can stand in one file."""
    cells = ("1.000 ml", *others, "1.000 ml")
    path = write(tmp_path, "Product;Size\n" + "".join(f"Harbour Blue;{cell}\n" for cell in cells))
    (asked,) = plan(path).as_json()["questions"]
    assert asked["rows"] == [2, len(cells) + 1]
    before = rows_in_books()
    with pytest.raises(Unanswered, match=r"1000 ml or 1 ml") as refusal:
        book(plan(path))
    assert (rows_in_books(), refusal.value.data["questions"]) == (before, [asked])
    for wrong in (["size-1=3 ml"], ["size-7=1 ml"], ["size-1"], ["size-1="]):
        with pytest.raises(BadInput):
            plan(path, Wishes(answers=wrong))
    book(plan(path, Wishes(answers=["size-1=1000ml"])))
    assert Bottle.get_by_id(5).size_ul == 1_000_000


@pytest.mark.only("sqlite")
@pytest.mark.parametrize(
    ("days", "order", "expected"),
    [
        (["3.4.2025"], None, "2025-04-03"), (["3/4/2025"], None, None), (["3/4/2025"], "mdy", "2025-03-04"),
        (["3/4/2025", "25/12/2025"], None, "2025-04-03"), (["3/4/2025", "12/25/2025"], None, "2025-03-04"),
        (["2025-04-03"], None, "2025-04-03"), (["3/4/2025", "25/12/2024", "12/25/2024"], None, None),
        (["3/4/25"], "dmy", "2025-04-03"), (["3/4/25"], None, None), (["4.3.25"], None, "2025-03-04"),
        (["2025 March"], None, "2025-03-01"), (["März 2025"], None, "2025-03-01"), (["2017/11/-"], None, "2017-11-01"),
        (["11/2017"], None, "2017-11-01"), (["2017"], None, "2017-01-01"), (["45736"], None, "2025-03-20"),
        (["3. März 2025"], None, "2025-03-03"), (["March 3, 2025"], None, "2025-03-03"),
    ],
)  # fmt: skip
def test_days_as_people_write_them(
    days: list[str], order: str | None, expected: str | None, stocked: str, tmp_path: Path
) -> None:
    path = write(tmp_path, "Product;Size;Received\n" + "".join(f"Harbour Blue;60 ml;{day}\n" for day in days))
    made = plan(path, Wishes(days=order))
    if expected is None:
        (asked,) = made.as_json()["questions"]
        assert (asked["id"], asked["readings"]) == ("received-1", ["2025-04-03", "2025-03-04"])
    else:
        book(made)
        assert str(Bottle.get_by_id(5).received_on) == expected


MIXES = (
    "Date,Mix,Paint,Amount,Reducer,Reduction,Needle,Job,Result,Note\n"
    "2025-01-05 10:00,A,Harbour Blue,8 ml,Slow Thinner,20%,0.35,Door,good,fine\n"
    "2025-01-05 10:00,A,Gull White,2 ml,Slow Thinner,20%,,,,\n"
    "2025-01-06,,Gull White,5 ml,,,,Door,thin,\n"
    "2025-01-07,,Tram Red,5 ml,Fast Thinner,10,,,,\n"
)


def test_past_mixes_come_from_bottles_of_their_own(stocked: str, tmp_path: Path) -> None:
    before = {view.id: view.on_hand_ul for view in on_shelf()}
    answer = book(plan(write(tmp_path, MIXES), Wishes(make=True)))
    assert (answer["kind"], answer["mixes"], answer["bottles"]) == ("mixes", 3, 5)
    shelf = {view.id: view for view in on_shelf()}
    assert {number: shelf[number].on_hand_ul for number in before} == before
    assert {view.state for number, view in shelf.items() if number not in before} == {"empty"}
    assert Mix.select().count() == 3
    assert sorted(outcome for (outcome,) in Close.select(Close.outcome).tuples()) == ["good", "thin"]
    assert [str(row.opened_on) for row in Job.select()] == ["2025-01-05"]
    assert {row.name: row.role for row in Product.select()}["Fast Thinner"] == "reducer"
    assert prove().problems == []
    from stock.logbook.today import made_since

    first = made_since(clock.now().date() - timedelta(days=4_000), clock.now().date())[0]
    assert dict(first.parts) == {"Harbour Blue": 8_000, "Gull White": 2_000}
    assert dict(first.reducers) == {"Slow Thinner": 2_000}
    mix = (
        Booking.select(Booking.id)
        .where(Booking.kind == "mix")
        .order_by(Booking.id.desc())
        .tuples()
        .first()[0]
    )
    undo("mix", mix)
    assert prove().problems == []


def test_the_shelf_goes_on_after_an_import(stocked: str, tmp_path: Path) -> None:
    from stock.bench.mixing import MixRequest, book_mix

    book(plan(write(tmp_path, MIXES), Wishes(make=True)))
    book_mix(MixRequest(parts=(("Harbour Blue", 1_000),)))
    assert prove().problems == []


@pytest.mark.parametrize(
    ("row", "reason"),
    [
        ("2199-01-01,Harbour Blue,8 ml,,", "is to come"),
        ("2025-01-01,Harbour Blue,8 ml,,20%", "not which"),
        ("2025-01-01,Harbour Blue,8 ml,Gull White,20%", "is a paint, not a reducer"),
        ("yesteryear,Harbour Blue,8 ml,,", "yesteryear"),
        ("2025-01-01,Harbour Blue,8 ml,Slow Thinner,1:5", "1:5"),
        ("2025-02-30,Harbour Blue,8 ml,,", "2025-02-30"),
    ],
)
def test_a_past_mix_that_can_not_be_is_refused(row: str, reason: str, stocked: str, tmp_path: Path) -> None:
    made = plan(write(tmp_path, f"Date,Paint,Amount,Reducer,Reduction\n{row}\n"))
    assert reason in made.bad.rows[0].reason


@pytest.mark.parametrize(
    "content",
    [
        b"",
        b"\n\n",
        b"Product,Size\n",
        b"\x00\x01\x02",
        b'"Product',
        b"Product,product,Size\na,b,c\n",
        b"," * 2_000,
    ],
)
def test_what_is_no_table_is_said(content: bytes, stocked: str, tmp_path: Path) -> None:
    path = tmp_path / "x.csv"
    path.write_bytes(content)
    with pytest.raises(BadInput):
        plan(str(path), Wishes(kind="stock"))


def test_unknown_words_are_answered(stocked: str, tmp_path: Path) -> None:
    path = write(tmp_path, "Product,Size\nHarbour Blue,60 ml\n")
    wrong: list[dict[str, Any]] = [
        {"kind": "jobs"}, {"encoding": "klingon"}, {"delimiter": "xx"}, {"decimal": "dot"}, {"days": "ymd"},
        {"role": "king"},
    ]  # fmt: skip
    for wish in wrong:
        with pytest.raises(BadInput):
            plan(path, Wishes(**wish))
    with pytest.raises(BadInput, match="there is no file"):
        plan(str(tmp_path / "nowhere.csv"))
    with pytest.raises(BadInput, match="is not written in ascii"):
        plan(write(tmp_path, "Product,Size\nMöwe,60 ml\n"), Wishes(encoding="ascii"))


def test_guarded_cells_come_back(stocked: str, tmp_path: Path) -> None:
    book(plan(write(tmp_path, "Product,Size\n'=1+1,60 ml\n'tis Blue,60 ml\n"), MAKE))
    assert {"=1+1", "'tis Blue"} <= {row.name for row in Product.select()}


def test_a_file_that_fails_while_it_is_booked_leaves_nothing(
    stocked: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    made = plan(write(tmp_path, "Product,Size\n" + "New Blue,60 ml\n" * 50), MAKE)
    before = rows_in_books()

    def fail(*_: object) -> None:
        raise RuntimeError("torn away")

    monkeypatch.setattr(incoming.mapping, "remember", fail)
    with pytest.raises(RuntimeError):
        book(made)
    assert rows_in_books() == before
    assert prove().problems == []


def test_what_a_sheet_says_comes_in_with_new_products_and_a_wrong_statement_is_told_by_its_line(
    books: str, tmp_path: Path
) -> None:
    head = "Product,Size,Role,H-statements,Signal word,UN number,Handschuhe\n"
    wrong = write(tmp_path, head + 'Swift,60 ml,reducer,"H225, H399",danger,1263,butyl\n')
    with pytest.raises(BadRows) as refusal:
        book(plan(wrong, Wishes(make=True)))
    assert "there is no hazard statement 'H399'" in str(refusal.value)
    book(
        plan(
            write(tmp_path, head + 'Swift,60 ml,reducer,"H225, H319",danger,1263,butyl\n'), Wishes(make=True)
        )
    )
    swift = Product.get(Product.name == "Swift")
    assert (swift.h_statements, swift.signal_word, swift.un_number, swift.gloves) == (
        "H225 H319", "danger", "1263", "butyl",
    )  # fmt: skip
