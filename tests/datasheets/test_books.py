"""What a person confirms of a sheet: booked once, with where each figure was read."""

import datetime as dt
from pathlib import Path

import pytest

from stock.cautions import books as caution_books
from stock.cautions.facts import Finding
from stock.cautions.read_from import in_words, read_from
from stock.datasheets import books as sheet_books
from stock.datasheets import files
from stock.datasheets.books import Confirmed, chosen, take, take_for_line
from stock.datasheets.proposals import propose
from stock.errors import BadInput, NotFound, UllageError
from stock.shelf import (
    dosings,
    figure_sources,
    lines,
    own_substances,
    products,
    record_texts,
    sheets,
    taking_back,
)
from stock.shelf.deliveries import receive
from stock.shelf.product_view import as_json, as_lines, line_as_json

SAFETY = """SECTION 1: Identification
Product name: Brume base
Manufacturer: Atelier Quillon
Revision date: 14.03.2024
SECTION 2: Hazards identification
Signal word: Danger
H225 H319
SECTION 3: Composition/information on ingredients
acetone  67-64-1  200-662-2  10 - 25 %
xylene  1330-20-7  215-535-7  2,5 - 10 %
SECTION 9: Physical and chemical properties
Flash point: -4 °C (closed cup)
Boiling point: < 60 °C
Density: 0.87 g/cm³
pH: not applicable
SECTION 14: Transport information
UN number: 1263
"""
TECHNICAL = """Technical data sheet
Issue date: 3 May 2024
0.2 mm needle  reduction
Reduction: 20 - 30 % with Slow reducer
Needle 0.2 mm  30 - 40 %
Needle 0.5 mm  10 - 15 %  2 bar
Pot life: 8 h
"""


def read(folder: Path, text: str, *words: str, name: str = "sheet.txt") -> Confirmed:
    path = folder / name
    path.write_text(text, encoding="utf-8")
    file = files.read(path)
    proposals = propose(file.readings)
    return Confirmed(file, proposals, chosen(proposals, words))


def test_what_is_sure_is_booked_with_its_source(books: str, tmp_path: Path) -> None:
    products.add(
        {"name": "Brume", "role": "reducer", "solvent": ["propanone=50%", "toluene=5%"], "density": "0.9"}
    )
    done = take(read(tmp_path, SAFETY, "all-sure"), "brume")
    texts = record_texts.product("Brume")
    assert (texts["flash_point"], texts["density"], texts["boiling_point"]) == ("-4C", "0.87", "")
    assert (texts["signal_word"], texts["h_statements"], texts["un_number"]) == (
        "danger",
        "H225 H319",
        "1263",
    )
    # Propanone is acetone: the sheet's range stands in its place, and what the sheet doesn't name stays.
    assert texts[
        "solvent"
    ] == "toluene=5% by weight, acetone=10-25% by weight, xylene=2.5-10% by weight" or set(
        texts["solvent"].split(", ")
    ) == {"toluene=5% by weight", "acetone=10-25% by weight", "xylene=2.5-10% by weight"}
    assert done.left == []
    assert done.kept == ["flash_point_method", "boiling_point_c"]
    [sheet] = sheets.listed("brume")
    assert (sheet.title, sheet.revised_on, sheet.source) == (
        sheet_books.SAFETY,
        dt.date(2024, 3, 14),
        "sheet.txt",
    )

    sources = {each.field: each for each in figure_sources.of_product(products.find("brume"))}
    flash = sources["flash_point"]
    assert (flash.value, flash.line, flash.section, flash.words) == (
        "-4C",
        12,
        9,
        "Flash point: -4 °C (closed cup)",
    )
    assert len(flash.sha256) == 64
    assert sources["solvent:67-64-1"].words == "acetone  67-64-1  200-662-2  10 - 25 %"
    shown = as_lines(as_json(products.find("brume")))
    assert any("line 12, section 9" in line and "-4 °C (closed cup)" in line for line in shown)

    take(read(tmp_path, SAFETY, "all-sure"), "brume")
    assert len(figure_sources.of_product(products.find("brume"))) == len(sources)
    assert len(sheets.listed("brume")) == 1

    products.change("brume", {"flash_point": "-2C"})  # by hand: it no longer comes from the sheet
    standing = as_json(products.find("brume"))["sources"]
    assert "flash_point" not in [each["field"] for each in standing]
    assert "density" in [each["field"] for each in standing]


@pytest.mark.only("sqlite")
@pytest.mark.parametrize(
    ("printed", "booked"),
    [
        ("12.5 - 13", "12.5-13"), ("> 12", "12-14"), ("13", "13"), ("about 8", "8"),
        ("11.9 (1 % solution)", ""), ("15", ""),
    ],
)  # fmt: skip
def test_a_ph_is_booked_with_its_source_but_not_a_dilutions(
    books: str, tmp_path: Path, printed: str, booked: str
) -> None:
    products.add({"name": "Brume", "role": "cleaner"})
    take(read(tmp_path, SAFETY.replace("pH: not applicable", f"pH: {printed}"), "ph"), "brume")
    assert record_texts.product("Brume")["ph"] == booked
    [place] = as_json(products.find("brume"))["sources"]
    assert (place["field"], place["words"]) == ("ph" if booked else "ph_printed", f"pH: {printed}")


def test_a_bound_is_kept_as_words_and_books_no_figure(books: str, tmp_path: Path) -> None:
    products.add({"name": "Brume", "role": "reducer", "boiling_point": "56C"})
    done = take(read(tmp_path, SAFETY, "boiling_point_c"), "brume")
    assert done.kept == ["boiling_point_c"]
    assert record_texts.product("Brume")["boiling_point"] == "56C"


def test_ranges_and_lives_of_a_technical_sheet(books: str, tmp_path: Path) -> None:
    products.add({"name": "Slow reducer", "role": "reducer"})
    products.add({"name": "Tern", "role": "paint"})
    take(read(tmp_path, TECHNICAL, "dosing", "pot_life"), "tern")
    [sheet] = sheets.listed("tern")
    assert sheet.title == sheet_books.TECHNICAL
    by_needle = {
        (each.needle_low_um, each.with_product): (each.low_milli, each.high_milli) for each in sheet.dosings
    }
    assert by_needle[200, None] == (30_000, 40_000)
    assert by_needle[None, "Slow reducer"] == (20_000, 30_000)
    assert record_texts.product("Tern")["pot_life"] == "8h"


def test_a_lines_sheet_is_the_lines(books: str, tmp_path: Path) -> None:
    lines.add({"name": "Quartz"})
    products.add({"name": "Quartz red", "role": "paint", "line": "Quartz"})
    products.add({"name": "Quartz blue", "role": "paint", "line": "Quartz", "density": "1.3"})
    take_for_line(read(tmp_path, SAFETY, "all-sure"), "quartz")
    assert record_texts.product("Quartz red")["density"] == "0.87"
    assert record_texts.product("Quartz blue")["density"] == "1.3"
    fields = {
        name: [each.field for each in figure_sources.of_product(products.find(name))]
        for name in ("Quartz red", "Quartz blue")
    }
    assert "density" in fields["Quartz red"]
    assert "density" not in fields["Quartz blue"]
    assert "flash_point" in fields["Quartz blue"]
    assert [len(sheets.listed(name)) for name in fields] == [1, 1]


def test_a_product_that_comes_into_a_line_has_its_sheets(books: str, tmp_path: Path) -> None:
    """With their ranges and the places of the figures that it takes over; one that leaves keeps them as its own."""
    products.add({"name": "Quartz red", "role": "paint", "line": "Quartz"})
    products.add({"name": "Quartz blue", "role": "paint", "line": "Quartz"})
    products.add({"name": "Slow reducer", "role": "reducer"})
    take_for_line(read(tmp_path, SAFETY, "all-sure"), "quartz")
    take_for_line(read(tmp_path, TECHNICAL, "all-sure", "dosing"), "quartz")
    products.add({"name": "Quartz green", "line": "Quartz", "density": "1.3"})
    red, green = sheets.listed("Quartz red"), sheets.listed("Quartz green")
    assert [(each.title, each.revised_on, each.dosings) for each in green] == [
        (each.title, each.revised_on, each.dosings) for each in red
    ]
    assert len(green) == 2
    assert green[0].dosings
    fields = {each.field for each in figure_sources.of_product(products.find("Quartz green"))}
    assert "flash_point" in fields
    assert "density" not in fields  # it says that itself
    answer = line_as_json(lines.find("quartz"))["sheets"]
    assert [one["revised"] for one in answer] == ["2024-05-03", "2024-03-14"]

    sheets.correct("Quartz red", sheet_books.SAFETY, dt.date(2024, 3, 14), withdrawn=True)
    assert [each.withdrawn for each in sheets.listed("Quartz green")] == [False, True]
    products.change("Quartz green", {"line": ""})
    sheets.correct("Quartz red", sheet_books.SAFETY, dt.date(2024, 3, 14), withdrawn=False)
    assert [each.withdrawn for each in sheets.listed("Quartz green")] == [False, True]
    assert line_as_json(lines.find("quartz"))["sheets"] == answer


def test_a_sheet_of_a_line_without_products_waits_for_the_first(books: str, tmp_path: Path) -> None:
    """What it says is the line's at once; the first product has the sheet, its ranges and the places of its figures."""
    products.add({"name": "Slow reducer", "role": "reducer"})
    products.add({"name": "Gone reducer", "role": "reducer"})
    lines.add({"name": "Quartz"})
    for text in (SAFETY, SAFETY, TECHNICAL, TECHNICAL.replace("3 May", "4 May").replace("Slow", "Gone")):
        words = ("all-sure",) if "SECTION" in text else ("all-sure", "dosing")
        done = take_for_line(read(tmp_path, text, *words), "quartz")
        assert done.products == []
    assert "density_g_per_ml" in take_for_line(read(tmp_path, SAFETY, "all-sure"), "quartz").booked
    assert record_texts.line("quartz")["density"] == "0.87"
    answer = line_as_json(lines.find("quartz"))["sheets"]
    assert [one["revised"] for one in answer] == ["2024-05-04", "2024-05-03", "2024-03-14"]

    with pytest.raises(UllageError, match="in use: data sheet Technical"):
        taking_back.delete_product("Gone reducer")
    products.add({"name": "Quartz red", "role": "paint", "line": "Quartz", "flash_point": "-3C"})
    assert line_as_json(lines.find("quartz"))["sheets"] == answer
    newest, technical, safety = sheets.listed("Quartz red")
    assert {entry.with_product for entry in technical.dosings} == {None, "Slow reducer"}
    assert {entry.with_product for entry in newest.dosings} == {None, "Gone reducer"}
    assert safety.source == "sheet.txt"
    sources = {each.field: each for each in figure_sources.of_product(products.find("Quartz red"))}
    assert sources["density"].words == "Density: 0.87 g/cm3"
    assert "flash_point" not in sources  # it says that itself
    products.add({"name": "Quartz blue", "line": "Quartz"})
    assert len(sheets.listed("Quartz blue")) == 3


def test_a_sheet_is_entered_for_a_whole_line(books: str) -> None:
    for name in ("Quartz red", "Quartz blue"):
        products.add({"name": name, "role": "paint", "line": "Quartz"})
    products.add({"name": "Lone", "role": "paint"})
    day = dt.date(2024, 3, 14)
    sheets.add("Quartz red", "Colours", day, dosings=[dosings.read("low=10 high=20")], whole_line=True)
    [blue] = sheets.listed("Quartz blue")
    assert [(entry.low_milli, entry.high_milli) for entry in blue.dosings] == [(10_000, 20_000)]
    with pytest.raises(BadInput, match="belongs to no line"):
        sheets.add("Lone", "Colours", day, whole_line=True)
    assert sheets.listed("Lone") == []


def test_a_limit_of_a_substance_that_the_table_lacks_makes_it_an_own_one(books: str, tmp_path: Path) -> None:
    text = SAFETY.replace(
        "SECTION 9",
        "SECTION 8: Exposure controls/personal protection\n"
        "tern oil  999999-99-4  TWA 20 ppm  95 mg/m³\nacetone  67-64-1  TWA 500 ppm\nSECTION 9",
    )
    products.add({"name": "Brume", "role": "reducer"})
    done = take(read(tmp_path, text, "exposure_limit"), "brume")
    assert done.booked == ["exposure_limit:999999-99-4 8 hours"]
    assert done.kept == ["exposure_limit:acetone 8 hours"]  # the table has its limits, each with a source
    [own] = own_substances.everything()
    shown = own_substances.as_texts(own)
    assert (shown["name"], shown["cas"], shown["exposure_limit"]) == ("tern oil", "999999-99-4", "20 ppm")
    assert shown["source"] == "Safety data sheet of 2024-03-14, sheet.txt"
    own_substances.change("tern oil", {"exposure_limit": "5 ppm"})
    assert take(read(tmp_path, text, "exposure_limit"), "brume").booked == []
    assert own_substances.as_texts(own_substances.find("tern oil"))["exposure_limit"] == "5 ppm"


def test_refusals_book_nothing(books: str, tmp_path: Path) -> None:
    products.add({"name": "Brume", "role": "reducer", "solids": "90%"})
    undated = SAFETY.replace("Revision date: 14.03.2024", "Revision date: 03/04/2024")
    with pytest.raises(BadInput, match="isn't sure"):
        take(read(tmp_path, undated, "flash_point_c"), "brume")
    with pytest.raises(BadInput, match="no 'colour'"):
        read(tmp_path, SAFETY, "colour")
    with pytest.raises(BadInput, match="together"):
        take(read(tmp_path, SAFETY, "all-sure"), "brume")  # 90 % solids, and at least 12.5 % solvents
    with pytest.raises(NotFound):
        take(read(tmp_path, SAFETY, "all-sure"), "nothing like it")
    assert sheets.listed("brume") == []
    assert record_texts.product("Brume")["flash_point"] == ""
    assert figure_sources.of_product(products.find("brume")) == []


def test_a_role_adds_the_product(books: str, tmp_path: Path) -> None:
    take(read(tmp_path, SAFETY, "all-sure"), "Brume base", role="reducer")
    assert products.find("brume base").role == "reducer"


def test_a_range_for_a_reducer_that_the_books_lack_is_kept_as_words(books: str, tmp_path: Path) -> None:
    """Booked without its reducer it would be a range for any."""
    products.add({"name": "Tern", "role": "paint"})
    done = take(read(tmp_path, TECHNICAL, "dosing"), "tern")
    [sheet] = sheets.listed("tern")
    assert [entry.with_product for entry in sheet.dosings] == [None, None]  # those that name none
    assert done.kept == ["dosing"]
    products.add({"name": "Slow reducer", "role": "reducer"})
    take(read(tmp_path, TECHNICAL, "dosing"), "tern")
    [sheet] = sheets.listed("tern")
    assert {entry.with_product for entry in sheet.dosings} == {None, "Slow reducer"}


def test_a_caution_says_where_its_figures_were_read(books: str, tmp_path: Path) -> None:
    products.add({"name": "Brume", "role": "reducer"})
    take(read(tmp_path, SAFETY, "all-sure"), "brume")
    found = [each for each in findings_of() if each.code == "flammable"]
    words = in_words(read_from(found)[found[0]])
    assert (
        'read in Safety data sheet of 2024-03-14, line 12, section 9: "Flash point: -4 °C (closed cup)"'
        in words
    )
    products.change("brume", {"flash_point": "-10C"})
    found = [each for each in findings_of() if each.code == "flammable"]
    assert not any("Flash point" in text for text in in_words(read_from(found)[found[0]]))  # typed since


def findings_of() -> list[Finding]:
    receive("Brume", 60_000)
    return list(caution_books.findings())
