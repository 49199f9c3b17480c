"""Quotes, line breaks and odd bytes in a CSV: nothing is swallowed in silence, and the line told is the right one."""

import io
import traceback
from pathlib import Path

import pytest

from stock.errors import BadInput
from stock.exchange import badrows, csv_rows, import_checks
from stock.exchange.badrows import BadRows
from stock.exchange.incoming import Wishes, book, plan
from stock.store.models import Booking, Mix, Product

HEADS = "Date,Paint,Amount,Note\n"


def mixes(*notes_or_rows: str) -> str:
    return HEADS + "\n".join(notes_or_rows) + "\n"


def good(day: int) -> str:
    return f"2025-01-{day:02},Harbour Blue,8 ml,"


@pytest.mark.parametrize(
    ("text", "said"),
    [
        # never closed, to the end of the file
        (mixes(good(1), '2025-01-02,"Harbour Blue,8 ml,', good(3), good(4)), "opens on line 3 "),
        # closed by the quote of a later row
        (mixes(good(1), '2025-01-02,"Harbour Blue,8 ml,', good(3), '2025-01-04,"Harbour Blue",8 ml,'), "line 3 "),
        # opens on the second line of a row that begins with a cell of two lines
        (mixes('2025-01-01,Harbour Blue,8 ml,"two\nlines"', '"2025-01-02', good(3)), "opens on line 4 "),
        ('Date,Paint,"Amount,Note\n' + good(1) + "\n", "opens on line 1 "),
        (mixes(good(1), '2025-01-02,"Harbour" Blue,8 ml,'), "on line 3 of x.csv text stands behind a closing quote"),
        (mixes(good(1), good(2) + "x" * 10_001), "a cell on line 3 of x.csv is longer than 10,000 letters"),
        (mixes(good(1), good(2) + "\0"), "line 3 of x.csv holds a NUL byte"),
        (HEADS.replace("\n", "\r") + good(1) + '\r2025-01-02,"Harbour Blue\r' + good(3) + "\r", "opens on line 3 "),
    ],
)  # fmt: skip
def test_a_file_that_would_swallow_rows_is_refused_with_the_line(
    text: str, said: str, stocked: str, tmp_path: Path
) -> None:
    path = tmp_path / "x.csv"
    path.write_text(text, newline="")
    before = Booking.select().count()
    with pytest.raises(BadInput) as refusal:
        book(plan(str(path)))
    assert said in refusal.value.message
    assert Booking.select().count() == before


@pytest.mark.parametrize(
    ("row", "line", "reason"),
    [
        # closed at the end of a later row's last cell: sound CSV, and still a row swallowed
        ('2025-01-02,Harbour Blue,8 ml,"note\n2025-01-03,Harbour Blue,8 ml,x"', 3, "further rows"),
        ('2025-01-02,"Harbour\nBlue",8 ml,', 3, "the product runs over several lines"),
        ('2025-01-02, "Harbour Blue",8 ml,', 3, "a blank stands before a quote"),
        ("2025-01-02,Harbour Blue,8 ml,a,b", 3, "more cells than heads"),
        ('2025-01-02,Harbour Blue,8 ml,"two\nlines"\n2025-02-30,Harbour Blue,8 ml,', 5, "2025-02-30"),
    ],
)
def test_a_row_that_reads_as_csv_and_is_none_is_told_by_its_first_line(
    row: str, line: int, reason: str, stocked: str, tmp_path: Path
) -> None:
    path = tmp_path / "x.csv"
    path.write_text(mixes(good(1), row, good(9)))
    made = plan(str(path))
    assert [(bad.line, reason in bad.reason) for bad in made.bad.rows] == [(line, True)]
    with pytest.raises(BadRows):
        book(made)


def test_quotes_that_are_meant_are_taken_as_they_are(stocked: str, tmp_path: Path) -> None:
    path = tmp_path / "x.csv"
    note = '"said ""thin it"",\nthen sprayed"'
    path.write_text(mixes(f"2025-01-01,Harbour Blue,8 ml,{note}", '2025-01-02,Harbour Blue,8 ml,5" cup'))
    assert book(plan(str(path)))["mixes"] == 2
    notes = [row.note for row in Booking.select().where(Booking.id.in_(Mix.select(Mix.id)))]
    assert ['said "thin it"' in notes[0], notes[1]] == [True, '5" cup']


def test_a_file_that_changes_while_it_is_looked_at_books_nothing(stocked: str, tmp_path: Path) -> None:
    path = tmp_path / "x.csv"
    path.write_text(mixes(good(1), good(2)))
    made = plan(str(path))
    path.write_text(mixes(good(1), good(3)))
    before = Booking.select().count()
    with pytest.raises(BadInput, match="was changed while it was looked at"):
        book(made)
    assert Booking.select().count() == before


def test_of_many_bad_rows_a_hundred_are_kept_and_the_rest_counted(
    stocked: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "x.csv"
    path.write_text(HEADS + "yesteryear,Harbour Blue,8 ml,\n" * 3_000)
    made = plan(str(path), Wishes(make=True))
    assert (len(made.bad.rows), made.bad.more) == (100, 2_900)
    (refusal,) = [each for each in made.figures.known.values() if isinstance(each, BadInput)]
    assert len(traceback.extract_tb(refusal.__traceback__)) < 20, "it keeps the frames of each row"
    shown = made.as_json()
    assert (len(shown["bad_rows"]), shown["bad_count"], shown["rows"]) == (100, 3_000, 3_000)
    with pytest.raises(BadRows, match=r"3,000 rows can.t be taken in, the first: x\.csv line 2") as raised:
        book(made)
    assert (len(raised.value.lines), raised.value.lines[-1]) == (101, "and 2,900 more")
    monkeypatch.setattr(import_checks, "MOST_MADE", 5)
    path.write_text("Product,Size\n" + "".join(f"Blue {number},60 ml\n" for number in range(9)))
    made = plan(str(path), Wishes(make=True, role="paint"))
    assert (len(made.new_products), len(made.bad.rows)) == (5, 4)
    assert Product.select().where(Product.name.startswith("Blue")).count() == 0


def test_a_line_without_end_is_refused_before_it_is_read_whole(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(csv_rows, "LONGEST_LINE", 100)
    file = io.StringIO("a,b\n" + "x" * 10_000)
    with pytest.raises(BadInput, match="line 2 of big is longer than 100 letters"):
        list(csv_rows.read(file, name="big"))
    assert file.tell() < 1_000
    assert badrows.MOST_LISTED == 100
