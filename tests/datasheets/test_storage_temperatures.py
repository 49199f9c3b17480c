"""Between which temperatures a sheet says to keep a product, in the words of four languages."""

from pathlib import Path

import pytest

from stock.datasheets import files
from stock.datasheets.books import Confirmed, chosen, take
from stock.datasheets.page_lines import of_text
from stock.datasheets.proposals import propose
from stock.datasheets.storage_temperatures import storage_temperatures
from stock.shelf import figure_sources, products, record_texts
from stock.shelf.product_view import as_json, as_lines

SURE = {
    (5, 30): (
        "Store between 5 and 30 °C.", "Storage temperature: 41 - 86 °F (5 - 30 °C)",
        "Store between 5 °C (41 °F) and 30 °C (86 °F). Do not freeze.", "Lagertemperatur: +5 bis +30 °C",
        "Store at 5 °C to 30 °C (41 °F to 86 °F)", "Bei 5 - 30 °C lagern. Vor Frost schützen.",
        "Nicht unter 5 °C und nicht über 30 °C lagern.", "Conserver entre 5 et 30 °C dans un endroit sec.",
        "Température de stockage : 5 à 30 °C", "Almacenar entre 5 y 30 °C.", "Store at + 5 °C to + 30 °C.",
        "Do not store below 5 °C or above 30 °C.", "Store below 30 °C. Keep above 5 °C.",
    ),
    (-5, 30): ("Store between -5 and 30 °C",),
    (10, 30): ("Store between 50 °F and 86 °F.", "Storage temperature (°C): 10 - 30"),
    (None, 30): (
        "Do not store above 30 °C.", "Nicht bei Temperaturen über 30 °C lagern.", "Lagertemperatur maximal 30 °C",
        "Ne pas stocker au-dessus de 30 °C.", "Conservar a una temperatura inferior a 30 °C",
        "Store at temperatures not exceeding 30 °C/86 °F.",
    ),
    (5, None): ("Do not store at temperatures below 5 °C.", "Lagerung: mindestens 5 °C"),
}  # fmt: skip
NOT_SURE = (
    "Storage life: 12 months at 5 - 25 °C", "Ideal storage: 15 - 20 °C", "Store between 5 °C (68 °F) and 30 °C (86 °F)",
    "Protect from heat, store between 5 and 30 °C", "Store between 5 and 300 °C", "Store above 5 °C and",
    "Stored at more than 30 °C the product thickens.", "Storage above 40 °C is warm storage.", "Keep tools below 30 °C",
)  # fmt: skip
NOTHING = (
    "Keep from freezing. Store in a cool place.", "Store at 20 °C.", "Keep away from heat sources above 50 °C.",
    "Flash point 61 °C is the limit of the store's own rule.", "Store between 5 and 30", "Apply between 15 and 25 °C",
    "Flammpunkt 61 °C ist die Grenze der Lagerregel.", "Store at 5-30 °C and apply at 15-25 °C",
    "Temperatures above 50 °C during storage must be avoided.", "Vor Frost schützen.",
    "Stored product: flash point < 23 °C",
    "If stored below 5 °C the product thickens.", "Storage above 40 °C leads to pressure build-up.",
    "Lagerung über 30 °C verkürzt die Haltbarkeit.", "Un stockage au-dessus de 35 °C peut altérer le produit",
    "Die Erwärmung auf über 50 °C bei Lagerung führt zu Druckanstieg",
    "The storage room must be heated if temperature falls below 5 °C",
)  # fmt: skip
SHEET = """Technical data sheet
Issue date: 3 May 2024
Product name: Tern
Store in closed containers between
5 and 30 °C. Do not freeze.
Shelf life: 24 months unopened
After opening: 6 months
"""


def ends(text: str) -> dict[str, tuple[object, bool]]:
    lines = [of_text(0, 1, text)]
    return {
        one.key: (one.figures["low"], not one.doubts)
        for one in storage_temperatures(lines, 7, comma_decimal=None)
    }


@pytest.mark.parametrize("low_high", SURE)
def test_what_is_plainly_said_is_sure(low_high: tuple[float | None, float | None]) -> None:
    wanted = {key: (end, True) for key, end in zip(("low", "high"), low_high, strict=True) if end is not None}
    assert {text: ends(text) for text in SURE[low_high]} == dict.fromkeys(SURE[low_high], wanted)


def test_what_may_mean_something_else_is_not_sure() -> None:
    for text in NOT_SURE:
        assert ends(text), text
        assert not all(sure for _, sure in ends(text).values()), text
    assert {text: ends(text) for text in NOTHING if ends(text)} == {}


def test_a_lower_and_an_upper_bound_are_one_range() -> None:
    assert ends("Store above 5 °C and below 30 °C.") == {"low": (5.0, True), "high": (30.0, True)}
    assert not all(sure for _, sure in ends("Store above 30 °C and below 5 °C.").values())


@pytest.mark.parametrize(
    ("texts", "high"),
    [
        (("Store below", "30 °C and dry"), 30.0),
        (("Store below", "Flash point: 61 °C", "40 °C"), None),
        (("Store below", "30 °C. Dry with air", "and 60 °C at the most"), 30.0),
    ],
)
def test_a_sentence_goes_on_until_another_begins(texts: tuple[str, ...], high: float | None) -> None:
    lines = [of_text(0, number, text) for number, text in enumerate(texts, 1)]
    found = [one.figures["high"] for one in storage_temperatures(lines, 7, comma_decimal=None)]
    assert found == ([high] if high is not None else [])


def read(folder: Path, text: str, *words: str) -> Confirmed:
    path = folder / "sheet.txt"
    path.write_text(text, encoding="utf-8")
    file = files.read(path)
    proposals = propose(file.readings)
    return Confirmed(file, proposals, chosen(proposals, words))


def test_both_ends_are_booked_and_one_alone_is_kept_as_words(books: str, tmp_path: Path) -> None:
    products.add({"name": "Tern", "role": "paint"})
    one_end = SHEET.replace("between\n5 and 30 °C.", "below 25 °C.")
    done = take(read(tmp_path, one_end, "store_high_c"), "tern")
    assert (done.booked, done.kept) == ([], ["store_high_c"])
    assert record_texts.product("Tern")["store_at"] == ""
    assert any("below 25 °C" in line for line in as_lines(as_json(products.find("tern"))))

    done = take(read(tmp_path, SHEET, "all-sure"), "tern")
    assert {"store_low_c", "store_high_c", "sealed_life", "opened_life"} <= set(done.booked)
    assert record_texts.product("Tern")["store_at"] == "5C..30C"
    sources = {each.field: each for each in figure_sources.of_product(products.find("tern"))}
    assert sources["store_at:low"].value == sources["store_at:high"].value == "5C..30C"
    assert "store_high_c" not in sources  # what was kept before gave way

    take(read(tmp_path, one_end, "store_high_c"), "tern")  # the other end is in the record
    assert record_texts.product("Tern")["store_at"] == "5C..25C"


def test_a_sentence_about_storing_goes_on_for_two_lines_at_most():
    for between, found in ((["in a tin"], ["low", "high"]), (["in a tin", "well closed"], [])):
        texts = ["Store the product", *between, "between 5 and 30 °C"]
        lines = [of_text(1, at, text) for at, text in enumerate(texts, 1)]
        assert [one.key for one in storage_temperatures(lines, 7, comma_decimal=None)] == found
