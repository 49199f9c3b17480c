"""Sixteen files as people keep them, in every format and manner that they come in.

Each is taken in as it stands, with no word about its kind, columns, encoding, delimiter, heads or manner of writing.
Only what can mean two things is asked, and each question is answered once for the whole file.
"""

import datetime as dt
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any, NamedTuple

import pytest

from stock.errors import BadInput
from stock.exchange.incoming import Wishes, book, plan
from stock.logbook.proof import prove
from stock.store.models import Bottle
from tests.exchange.workbook_files import ods, xlsx

pytestmark = pytest.mark.only("sqlite")  # how a cell is read doesn't hang on the engine


class Messy(NamedTuple):
    """A file, what stands in it and what of it can mean two things, with the answers; volumes in millilitres."""

    name: str
    make: Callable[[Path], Any]
    bottles: int
    volume_ml: float
    answers: Sequence[str] = ()


def text(said: str, encoding: str = "utf-8") -> Callable[[Path], Any]:
    return lambda path: path.write_bytes(said.encode(encoding))


GERMAN = (
    "Unser Farbenbestand;;;;\r\n;;;;\r\nFarbe;Inhalt;Restmenge;Preis;Haltbar bis\r\n"
    "Blautöne;;;;\r\nHafenblau;60 ml;41,5 ml;7,90 €;12/2027\r\nNachtblau;0,12 l;halb;11,50 €;\r\n"
    "Weißtöne;;;;\r\nMöwe;60 ml;fast leer;7,90 €;4.3.2028\r\nSumme;;;27,30 €;\r\n"
)
ENGLISH = (
    "Paint,Size,Left,Opened,Price\n\"Dusk, deep\",60 ml,half,2025 March,€7.90\nDawn,2 x 30ml,,,4.50\n"
    "Paint,Size,Left,Opened,Price\nFog,60 ml,¾,2017/11/-,\n,,,,\nTotal,,,,12.40\n"
)  # fmt: skip
FRENCH = (
    "Peinture\tTaille\tReste\tPrix\tLieu\nBrume\t60 ml\t40 %\t1 018,00 €\tArmoire\n"
    "Écume\t30 ml\tà moitié\t3,50 €\tArmoire\n"
)
PORTUGUESE = "Tinta;Volume (ml);Resta;Local\nMaré;60;~30ml;Estante\nNévoa;120;vazio;Estante\n"
MARCH = dt.date(2025, 3, 20)
FILES = (
    Messy("german-cp1252.csv", text(GERMAN, "cp1252"), 3, 41.5 + 60 + 3),
    Messy("english.csv", text(ENGLISH), 4, 30 + 60 + 45),
    Messy("cr-only.csv", text(ENGLISH.replace("\n", "\r")), 4, 135),
    Messy("utf-16.csv", text(ENGLISH, "utf-16"), 4, 135),
    Messy("bom.csv", text("\ufeff" + GERMAN), 3, 104.5),
    Messy("french.tsv", text(FRENCH), 2, 24 + 15),
    Messy("portuguese.csv", text(PORTUGUESE), 2, 30),
    Messy("tabs-in-a-csv.csv", text(FRENCH, "cp1252"), 2, 39),
    Messy(
        "titles.xlsx",
        lambda path: xlsx(path, {"Shelf": [
            ["Paint shelf"], [], ["Paint", "Size ml", "Left", "Opened", "Price"], ["Blues"],
            ["Harbour", 60, 0.4, MARCH, 7.9], ["Night", 120, "half", 45736, None], [None, 30, None, None, None],
            ["Total", 210, None, None, 7.9],
        ]}, merged=["A6:A7", "A1:E1"]),
        3, 24 + 60 + 30,
    ),
    Messy("repeated.ods", lambda path: ods(path, [
        ["Product", "Size", "Bought"], ["Fog", "60 ml", MARCH], ["Product", "Size", "Bought"], [None],
        ["Mist", "2 x 30 ml", dt.date(2024, 12, 1)],
    ]), 3, 120),
    Messy("plain.ods", lambda path: ods(path, [["Paint", "Size (ml)", "Count"], ["Fog", 60, 3]]), 3, 180),
    Messy("shares.xlsx", lambda path: xlsx(path, {"A": [
        ["Name", "Pack size (ml)", "Left %"], ["Fog", 60, 40], ["Mist", 30, 75],
    ]}), 2, 24 + 22.5),
    Messy("ounces.csv", text("Paint,Size oz,Left\nFog,4,half\nMist,2,\n"), 2, 59.147 + 59.147,
          ("ounce-1=US fluid ounces of 29.574 ml",)),
    Messy("thousands.csv", text("Farbe;Inhalt;Rest\nNebel;1.000 ml;0,5 l\nDunst;60 ml;\n"), 2, 560,
          ("size-1=1000 ml",)),
    Messy("bare.csv", text("Paint,Size,Left\nFog,60,30\nMist,30,\n"), 2, 60, ("left-1=ml", "unit-1=ml")),
    Messy("days.csv", text("Paint,Size,Opened\nFog,60 ml,3/4/25\nMist,60 ml,Mar-25\n"), 2, 120,
          ("opened-1=2025-04-03", "opened-2=2025-03-01")),
)  # fmt: skip
AS_IT_STANDS = 12
"""Of these files so many come in without a question."""


@pytest.mark.parametrize("messy", FILES, ids=lambda one: one.name)
def test_a_messy_file_comes_in(messy: Messy, stocked: str, tmp_path: Path) -> None:
    path = tmp_path / messy.name
    messy.make(path)
    first = plan(str(path), Wishes(make=True, role="paint"))
    facts = first.as_json()
    assert facts["bad_rows"] == []
    assert [one["id"] for one in facts["questions"]] == [one.partition("=")[0] for one in messy.answers]
    made = plan(str(path), Wishes(make=True, role="paint", answers=messy.answers))
    facts = made.as_json()
    assert (facts["questions"], facts["bottles"], facts["volume_ml"]) == ([], messy.bottles, messy.volume_ml)
    assert book(made)["bottles"] == messy.bottles
    assert sum(row.on_hand_ul for row in Bottle.select().where(Bottle.id > 4)) == messy.volume_ml * 1_000
    assert prove().problems == []


def test_twelve_of_sixteen_come_in_as_they_stand() -> None:
    assert (len(FILES), sum(not messy.answers for messy in FILES)) == (16, AS_IT_STANDS)


def test_an_answer_that_is_none_of_its_readings_is_told_with_them(stocked: str, tmp_path: Path) -> None:
    """It is no fault of the row that raises the question, and the question is not called strange."""
    path = tmp_path / "shelf.csv"
    path.write_text("Product;Size\nHarbour Blue;4oz\n", encoding="utf-8")
    with pytest.raises(BadInput, match="the answer to ounce-1 is none of its readings") as refusal:
        plan(str(path), Wishes(answers=("ounce-1=fl oz",)))
    assert "US fluid ounces of 29.574 ml | imperial" in str(refusal.value.remedy)


def test_an_answer_is_known_by_its_first_letters_and_never_by_its_first_figures(
    stocked: str, tmp_path: Path
) -> None:
    path = tmp_path / "shelf.csv"
    path.write_text("Product;Size;Price\nHarbour Blue;60 ml;7,90\n", encoding="utf-8")
    assert plan(str(path), Wishes(answers=("kind-1=prod",))).as_json()["kind"] == "products"
    path.write_text("Product;Size;Left\nHarbour Blue;1.000 ml;1,5 ml\n", encoding="utf-8")
    for said in ("size-1=100", "size-1=10"):
        with pytest.raises(BadInput, match="none of its readings"):
            plan(str(path), Wishes(answers=(said,)))


@pytest.mark.parametrize("head", ["How full", "Fill level", "Füllstand"])
def test_how_full_a_bottle_is_is_never_left_out(head: str, stocked: str, tmp_path: Path) -> None:
    """Left out, it would make every half bottle a full one."""
    path = tmp_path / "shelf.csv"
    path.write_text(f"Name;Size;{head}\nHarbour Blue;60 ml;half\n", encoding="utf-8")
    made = plan(str(path)).as_json()
    assert (made["ignored"], made["volume_ml"]) == ([], 30)
