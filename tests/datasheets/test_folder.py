"""A folder of sheets: what is sure is booked in one step, all else is told with its reason, and no file by half."""

from pathlib import Path

import pytest

from stock.datasheets import folder
from stock.datasheets.folder import FolderSheet
from stock.errors import BadInput
from stock.shelf import figure_sources, lines, products, record_texts, sheets

SHEET = """SECTION 1: Identification
Product name: {name}
Manufacturer: Mole & Daughters
Revision date: {day}
SECTION 2: Hazards identification
Signal word: Danger
H225 H319
SECTION 3: Composition/information on ingredients
acetone  67-64-1  200-662-2  10 - 25 %
SECTION 9: Physical and chemical properties
Flash point: {flash} °C (closed cup)
Density: 0.87 g/cm³
SECTION 14: Transport information
UN number: 1263
"""


@pytest.fixture
def shelf(books: str, tmp_path: Path) -> Path:
    """A folder of sheets beside books of what they are for."""
    place = tmp_path / "sheets"
    (place / "more").mkdir(parents=True)
    products.add({"name": "Quay Blue", "role": "paint", "flash_point": "-5C"})
    products.add({"name": "Quay Sand", "role": "paint", "solids": "95%"})
    products.add({"name": "Tern", "role": "paint"})
    lines.add({"name": "Pier"})
    write(place, "blue", "Quay Blue", "14.03.2024")
    write(place, "blue-2019", "Quay Blue", "14.03.2019")
    write(place / "more", "sand", "Quay Sand", "14.03.2024")
    write(place, "pier", "Pier", "14.03.2024")
    write(place, "tern", "Tern grey", "14.03.2024")
    write(place, "undated", "Tern", "")
    (place / "copy.txt").write_bytes((place / "blue.txt").read_bytes())
    (place / "scan.pdf").write_bytes(b"%PDF-1.4 torn")
    (place / "empty.docx").write_bytes(b"")
    (place / "notes.xyz").write_text("no sheet", encoding="utf-8")
    (place / ".hidden.txt").write_text("no sheet", encoding="utf-8")
    return place


def write(place: Path, stem: str, name: str, day: str, flash: str = "-4") -> None:
    (place / f"{stem}.txt").write_text(SHEET.format(name=name, day=day, flash=flash), encoding="utf-8")


def looked(place: Path, **more: str) -> dict[str, FolderSheet]:
    return {one.name: one for one in folder.look(folder.gathered([place]), **more)}  # type: ignore[arg-type]


@pytest.mark.only("sqlite")
def test_a_folder_is_looked_at_then_booked_and_read_once(shelf: Path) -> None:
    found = looked(shelf)
    assert {name: one.state for name, one in found.items()} == {
        "blue.txt": "ready", "blue-2019.txt": "unsure", "sand.txt": "ready", "pier.txt": "ready",
        "tern.txt": "unsure", "undated.txt": "unsure", "copy.txt": "known", "scan.pdf": "unreadable",
        "empty.docx": "unreadable",
    } | {"blue.txt": "ready" if found["blue.txt"].state == "ready" else "known",
         "copy.txt": "known" if found["blue.txt"].state == "ready" else "ready"}  # fmt: skip
    blue = next(one for one in found.values() if one.match.name == "Quay Blue" and one.ready)
    assert blue.differs == {"flash_point_c": "-5C"}  # the record has it otherwise: it is asked
    assert "newer" in found["blue-2019.txt"].why
    assert "much like" in found["tern.txt"].why
    assert "day" in found["undated.txt"].why
    assert "damaged" in found["scan.pdf"].why
    assert all(sheets.listed(name) == [] for name in ("Quay Blue", "Quay Sand", "Tern"))

    done = {one.name: one for one in folder.book(list(found.values()))}
    assert done["sand.txt"].state == "unsure"  # 95 % solids and 10 % acetone can't be: whole or not at all
    assert "together" in done["sand.txt"].why
    assert sheets.listed("Quay Sand") == figure_sources.of_product(products.find("Quay Sand")) == []
    assert (record_texts.product("Quay Blue")["flash_point"], record_texts.product("Quay Blue")["density"]) == (
        "-5C", "0.87",
    )  # fmt: skip
    assert record_texts.line("Pier")["flash_point"] == "-4C"
    assert "density" in {each.field for each in figure_sources.of_product(products.find("Quay Blue"))}

    again = looked(shelf)
    assert {name for name, one in again.items() if "read before for" in one.why} == {
        "blue.txt", "copy.txt", "pier.txt"
    }  # fmt: skip
    assert "the line Pier" in again["pier.txt"].why
    assert "which is newer" in again["blue-2019.txt"].why
    assert not any(one.ready for one in again.values() if one.name != "sand.txt")


@pytest.mark.only("sqlite")
def test_what_an_earlier_sheet_of_the_errand_booked_is_not_written_over(books: str, tmp_path: Path) -> None:
    products.add({"name": "Tern", "role": "paint"})
    write(tmp_path, "safety", "Tern", "14.03.2024")
    (tmp_path / "technical.txt").write_text(
        "Technical data sheet\nProduct name: Tern\nIssue date: 3 May 2024\nDensity: 0.91 g/ml\nPot life: 8 h\n",
        encoding="utf-8",
    )
    done = {one.name: one for one in folder.book(list(looked(tmp_path).values()))}
    assert [one.state for one in done.values()] == ["taken", "taken"]
    assert done["technical.txt"].differs == {"density_g_per_ml": "0.87"}
    assert (record_texts.product("Tern")["density"], record_texts.product("Tern")["pot_life"]) == (
        "0.87",
        "8h",
    )


@pytest.mark.only("sqlite")
def test_a_role_makes_products_of_what_fits_none(books: str, tmp_path: Path) -> None:
    write(tmp_path, "a", "Wholly New", "14.03.2024")
    assert looked(tmp_path)["a.txt"].state == "unsure"
    folder.book(folder.look(folder.gathered([tmp_path]), role="reducer"), role="reducer")
    assert products.find("Wholly New").role == "reducer"
    assert record_texts.product("Wholly New")["flash_point"] == "-4C"


def test_a_folder_without_sheets_and_one_too_large_are_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "notes.xyz").write_text("x", encoding="utf-8")
    with pytest.raises(BadInput, match="no data sheet"):
        folder.gathered([tmp_path])
    monkeypatch.setattr(folder, "MOST_FILES", 1)
    for name in "ab":
        (tmp_path / f"{name}.txt").write_text("x", encoding="utf-8")
    with pytest.raises(BadInput, match="more than the 1"):
        folder.gathered([tmp_path])


def test_a_path_longer_than_a_disk_can_hold_is_one_file_that_the_reader_refuses() -> None:
    too_long = Path("x" * 5_000)
    assert folder.one_file([too_long])
    assert folder.gathered([too_long]) == [too_long]
