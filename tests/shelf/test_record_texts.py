"""Records as texts: what a form shows reads back to what the books hold, and correcting one thing leaves the rest."""

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stock.errors import BadInput, UllageError
from stock.shelf import (
    dosings,
    hazard_entry,
    jobs,
    places,
    products,
    record_texts,
    sheets,
    studio_words,
    suppliers,
)
from stock.shelf.dosings import DosingEntry
from stock.shelf.entry import joined, parted
from stock.shelf.product_view import as_json
from stock.shelf.studio import settings

FULL = {
    "name": "Kelp Green", "role": "paint", "line": "Quay", "code": "KG-14",
    "maker": "Mole & Daughters", "color": "#3a5a40",
    "supplier": "Chandlery, Ltd", "lead_time": "10d", "packs": ["30ml=4.20", "120ml"], "density": "1.083",
    "drops_per_ml": "22.5", "water": "61.25", "solids": "30", "flash_point": "23.4C", "boiling_point": "99C",
    "ph": "8.2-9.5",
    "opened_life": "12mo", "sealed_life": "3y", "pot_life": "4h; 1h30min from 30C", "store_at": "5C..35C",
    "usual_reducer": "Slow Thinner",
    "groups": "waterborne", "solvent": ["1,2-propanediol=4%", "ethanol=2.5% by volume"], "not_with": ["Wash Down"],
    "note": "settles, shake long", "signal_word": "danger", "h_statements": "H225 H301+H311 H360FD EUH066",
    "p_statements": "P210 P305+P351+P338", "pictograms": "GHS02 GHS06", "gloves": "nitrile, 0.4 mm",
    "eye_protection": "goggles", "breathing_protection": "A2-P3", "un_number": "1263", "transport_class": "3 (6.1)",
    "packing_group": "II", "incompatible": "strong acids; oxidisers", "voc_categories": "eu:topcoat us:topcoat",
}  # fmt: skip
LISTS = ("packs", "solvent", "not_with")


def as_typed(texts: dict[str, str]) -> dict[str, object]:
    """The fields of a form as they are handed to the books."""
    return {key: parted(text) if key in LISTS else text for key, text in texts.items()}


class TestProduct:
    def test_texts_read_back_to_the_same_product(self, stocked: str) -> None:
        before = as_json(products.add(FULL))
        texts = record_texts.product("Kelp Green")
        assert all(texts[key] for key in texts if key != "discontinued")
        assert as_json(products.change("Kelp Green", as_typed(texts))) == before

    def test_of_a_bare_product_everything_is_empty(self, stocked: str) -> None:
        products.add({"name": "Bare", "role": "additive"})
        texts = record_texts.product("Bare")
        assert {key for key, text in texts.items() if text} == {"name", "role"}
        before = as_json(products.find("Bare"))
        assert as_json(products.change("Bare", as_typed(texts))) == before

    @pytest.mark.parametrize(
        ("field", "column"),
        [
            ("density", "density_g_per_ml"), ("flash_point", "flash_point_c"), ("boiling_point", "boiling_point_c"),
            ("ph", "ph_low"), ("water", "water_percent"), ("solids", "solids_percent"), ("opened_life", "opened_life"),
            ("sealed_life", "sealed_life"), ("store_at", "store_low_c"), ("drops_per_ml", "drops_per_ml"),
            *((key, key) for key in hazard_entry.AS_PRINTED if key != "incompatible"),  # what warns is never forgotten
            ("p_statements", "p_statements"),
        ],
    )  # fmt: skip
    def test_emptied_figure_is_not_known_again(self, stocked: str, field: str, column: str) -> None:
        before = as_json(products.add(FULL))
        after = as_json(products.change("Kelp Green", {field: ""}))
        assert before[column] is not None
        assert after[column] is None
        changed = {key for key in before if before[key] != after[key]}
        assert changed <= {column, "store_high_c", "ph_high", "contradictions"}

    def test_no_flash_point_is_not_the_same_as_none_known(self, stocked: str) -> None:
        assert record_texts.product("Harbour Blue")["flash_point"] == "none"
        assert not as_json(products.change("Harbour Blue", {"flash_point": ""}))["no_flash_point"]

    def test_packs_take_the_place_of_those_that_stood_and_keep_what_was_measured(self, stocked: str) -> None:
        from stock.store.models import Pack

        products.change("Harbour Blue", {"size": ["30ml"]})
        Pack.update(tare_mg=21_000).where(Pack.size_ul == 60_000).execute()
        products.change("Harbour Blue", {"packs": ["60ml", "120 ml=14"]})
        packs = products.details(products.find("Harbour Blue"))["packs"]
        assert packs == [(60_000, None), (120_000, 1_400)]
        assert Pack.get(Pack.size_ul == 60_000).tare_mg == 21_000

    @pytest.mark.parametrize("text", ["60ml=7,90", "60", "=7.90", "60ml=free"])
    def test_pack_that_cannot_be_read_changes_nothing(self, stocked: str, text: str) -> None:
        with pytest.raises(BadInput):
            products.change("Harbour Blue", {"packs": [text], "density": "1.2"})
        assert record_texts.product("Harbour Blue")["density"] == "1.05"


@given(st.lists(st.text("abc,;1- ", min_size=1).map(str.strip).filter(lambda one: one and ";" not in one)))
def test_a_list_in_one_line_reads_back(parts: list[str]) -> None:
    parts = [part.strip(", ") for part in parts if part.strip(", ")]
    assert parted(joined(parts)) == parts


ranges = st.builds(
    DosingEntry,
    low_milli=st.integers(0, 100_000),
    high_milli=st.integers(100_000, 200_000),
    step_milli=st.none() | st.integers(1, 50_000),
    with_product=st.none() | st.just("Slow Thinner"),
    for_line=st.sampled_from(["", "Quay"]),
    needle_low_um=st.none() | st.integers(100, 400),
    needle_high_um=st.none() | st.integers(400, 2_000),
    humidity=st.sampled_from(["", "below 60 %"]),
    wording=st.sampled_from(["", "1 part to 5"]),
    pressure_low_pa=st.none(),
    pressure_high_pa=st.none(),
)


@given(ranges, st.none() | st.tuples(st.integers(1, 100_000), st.integers(100_000, 1_000_000)))
def test_range_reads_back_from_its_fields(entry: DosingEntry, pressures: tuple[int, int] | None) -> None:

    if pressures is not None:
        entry = entry._replace(pressure_low_pa=pressures[0], pressure_high_pa=pressures[1])
    assert dosings.of_fields(record_texts.dosing(entry)) == entry


class TestPlace:
    def test_texts_read_back(self, books: str) -> None:
        given = {
            "kind": "spray area", "premises": "spray_room", "building": "Shed", "flammable_limit": "20 l",
            "lowest": "-4C", "highest": "90F", "ignition": "no", "note": "by the door",
        }  # fmt: skip
        columns, forget = places.read(given)
        row = places.add("Booth", **columns)
        texts = record_texts.place(row)
        assert places.read({key: text for key, text in texts.items() if key != "name"}) == (columns, forget)
        assert forget == {"flammable_limit_mg"}  # a limit has one unit: the other's column is emptied

    def test_limit_by_mass_takes_the_place_of_one_by_volume(self, books: str) -> None:
        places.add("Loft", flammable_limit_ul=20_000_000)
        columns, forget = places.read({"flammable_limit": "20 kg"})
        row = places.change("Loft", forget=forget, **columns)
        assert (row.flammable_limit_ul, row.flammable_limit_mg) == (None, 20_000_000)
        assert record_texts.place(row)["flammable_limit"] == "20 kg"
        columns, forget = places.read({"flammable_limit": ""})
        row = places.change("Loft", forget=forget, **columns)
        assert (row.flammable_limit_ul, row.flammable_limit_mg) == (None, None)

    @pytest.mark.parametrize(
        ("text", "kept"),
        [
            ("40 lb", {"flammable_limit_mg": 18_143_695}),  # 453.59237 g each
            ("500 g", {"flammable_limit_mg": 500_000}),
            ("10 us gal", {"flammable_limit_ul": 37_854_118}),
        ],
    )
    def test_limit_in_other_units(self, books: str, text: str, kept: dict[str, int]) -> None:
        assert places.limit(text) == kept

    @pytest.mark.parametrize("text", ["20", "10 gal", "20 °C", "-5 kg", "2000 kg", "20 kg 5", "oz"])
    def test_limit_that_is_neither_is_refused_with_what_to_write(self, books: str, text: str) -> None:
        with pytest.raises(BadInput) as refused:
            places.limit(text)
        assert "kg" in refused.value.remedy or "us gal" in refused.value.remedy

    def test_gallons_are_the_studios_own(self, books: str) -> None:
        from stock.store.settings import change_settings

        change_settings(measures="imperial")
        assert places.limit("10 gal") == {"flammable_limit_ul": 45_460_900}

    def test_emptied_figure_is_not_known_again_and_a_new_name_is_taken(self, books: str) -> None:
        places.add("Loft", low_mc=-4_000, high_mc=32_000, ignition=True, note="cold")
        columns, forget = places.read({"lowest": "", "ignition": "", "note": ""})
        row = places.change("Loft", rename="Attic", forget=forget, **columns)
        assert (row.name, row.low_mc, row.high_mc, row.ignition, row.note) == (
            "Attic",
            None,
            32_000,
            None,
            "",
        )

    def test_range_upside_down_is_refused_against_what_stands(self, books: str) -> None:
        places.add("Loft", high_mc=10_000)
        with pytest.raises(BadInput, match="above its highest"):
            places.change("Loft", low_mc=20_000)

    def test_two_places_of_one_name_are_refused(self, books: str) -> None:
        places.add("Loft")
        places.add("Shed")
        with pytest.raises(UllageError, match="a place called Loft"):
            places.change("Shed", rename="loft")


class TestSupplier:
    def test_terms_read_back_and_a_new_name_is_taken(self, books: str) -> None:
        given = {"lead_time": "7d", "order_days": "thu, Mon", "shipping": "6.90", "free_shipping_from": "60"}
        suppliers.change("Mole", **suppliers.read(given, "EUR"))
        texts = record_texts.supplier(suppliers.find("Mole"), "EUR")
        assert texts == {
            "name": "Mole", "lead_time": "7d", "order_days": "mon thu", "shipping": "6.90",
            "free_shipping_from": "60.00",
        }  # fmt: skip
        suppliers.change("Mole", rename="Mole & Daughters", **suppliers.read({"shipping": ""}, "EUR"))
        assert [row.name for row in suppliers.everything()] == ["Mole & Daughters"]
        assert suppliers.find("Mole").shipping_minor is None

    def test_name_that_another_has_is_refused(self, books: str) -> None:
        suppliers.change("Mole")
        suppliers.change("Vole")
        with pytest.raises(UllageError, match="a supplier called Mole"):
            suppliers.change("Vole", rename="MOLE")


def test_job_gets_another_name_and_loses_its_due_day(books: str) -> None:
    jobs.add("Ferry", date(2026, 3, 1), due_on=date(2026, 4, 1))
    jobs.add("Tug", date(2026, 3, 1))
    row = jobs.change("Ferry", rename="Ferry model", no_due_day=True)
    assert (row.name, row.due_on) == ("Ferry model", None)
    with pytest.raises(UllageError, match="a job called Tug"):
        jobs.change("Ferry model", rename="tug")


def test_sheet_gets_its_right_title_and_day(stocked: str) -> None:
    entry = DosingEntry(10_000, 20_000)
    sheets.add("Harbour Blue", "Thinnig", date(2024, 1, 1), dosings=[entry])
    sheets.add("Harbour Blue", "Thinning", date(2022, 1, 1))
    sheets.correct(
        "Harbour Blue", "Thinnig", date(2024, 1, 1), new_title="Thinning", new_day=date(2024, 2, 1)
    )
    newest, older = sheets.listed("Harbour Blue")
    assert (newest.title, newest.revised_on, newest.dosings) == ("Thinning", date(2024, 2, 1), (entry,))
    assert older.replaced_by == date(2024, 2, 1)
    with pytest.raises(UllageError, match="is in the books"):
        sheets.correct("Harbour Blue", "Thinning", date(2024, 2, 1), new_day=date(2022, 1, 1))


class TestSettings:
    def test_each_setting_reads_back_from_its_text(self, books: str) -> None:
        typed = {
            "name": "Lantern Yard", "measures": "us", "drops_milli": "22.5", "dry_risk_milli": "2.5%",
            "fan_m3_per_h": "420 m3/h",
        }  # fmt: skip
        for setting, _ in studio_words.settings_in_words():
            if setting.column in typed:
                studio_words.put(setting, typed[setting.column])
        texts = {setting.column: text for setting, text in studio_words.settings_in_words()}
        assert {key: texts[key] for key in typed} == typed
        assert settings().drops_milli == 22_500

    def test_what_may_be_unset_can_be_and_what_the_books_were_made_with_stays(self, books: str) -> None:
        by_column = {setting.column: setting for setting, _ in studio_words.settings_in_words()}
        studio_words.put(by_column["fan_m3_per_h"], "400")
        assert studio_words.put(by_column["fan_m3_per_h"], "").fan_m3_per_h is None
        with pytest.raises(BadInput):
            studio_words.put(by_column["name"], " ")
        with pytest.raises(BadInput, match="stays as the books were made"):
            studio_words.put(by_column["currency"], "USD")

    def test_no_setting_is_left_out(self) -> None:
        assert studio_words.unlisted() == set()

    def test_chosen_rule_sets_count_at_once(self, books: str) -> None:
        from stock.cautions.choices import choose_sets

        assert settings().rule_sets == ()
        choose_sets(["uk"])
        assert settings().rule_sets == ("uk",)
