"""What stands in for a figure that nobody has noted is said, and is what the cautions go by."""

from stock.cautions.facts import PlaceFacts, ProductFacts, SolventShare
from stock.cautions.flammable import burning
from stock.cautions.worse_case import of_place, of_product

NOTHING_KNOWN = ProductFacts(id=1, name="Bare", role="paint")
ETHANOL = (SolventShare("ethanol", 30_000, "weight"),)


def test_nothing_known_is_treated_as_highly_flammable_by_the_cautions_themselves() -> None:
    found = of_product(NOTHING_KNOWN)
    classes = burning(NOTHING_KNOWN).classes
    assert classes.hazard == "H225"
    assert found["flash_point"] == "highly flammable liquid and vapour (H225)"
    assert "category 1" in found["boiling_point"]
    assert set(found) == {
        "flash_point", "boiling_point", "solvent", "water", "opened_life", "sealed_life", "store_at", "h_statements",
    }  # fmt: skip


def test_what_is_known_needs_no_stand_in() -> None:
    known = NOTHING_KNOWN._replace(solvents=(), water_milli=60_000, flash_point_mc=70_000)
    found = of_product(known)
    assert not {"flash_point", "boiling_point", "solvent", "water"} & set(found)


def test_product_without_solvent_counts_as_flammable_until_its_sheet_says_that_it_has_no_flash_point() -> (
    None
):
    dry = NOTHING_KNOWN._replace(solvents=(), water_milli=60_000)
    assert "H225" in of_product(dry)["flash_point"]
    assert "flash_point" not in of_product(dry._replace(no_flash_point=True))


def test_low_flash_point_without_a_boiling_point_counts_as_the_graver() -> None:
    product = NOTHING_KNOWN._replace(solvents=ETHANOL, flash_point_mc=16_000)
    assert "category 1" in of_product(product)["boiling_point"]
    assert "boiling_point" not in of_product(product._replace(boiling_point_mc=78_000))


def test_hardener_of_unknown_composition_counts_as_an_isocyanate() -> None:
    assert "isocyanate" in of_product(NOTHING_KNOWN._replace(role="hardener"))["solvent"]


def test_of_a_place_a_home_is_feared_everywhere_and_its_spraying_only_where_paint_is_sprayed() -> None:
    found = of_place(PlaceFacts(1, "Shelf"))
    assert set(found) == {"premises", "ignition", "lowest", "highest"}
    assert "touch-up" not in found["premises"]
    assert (
        "touch-up"
        in of_place(PlaceFacts(1, "Booth", kind="spray_area", ignition=False, low_mc=5_000))["premises"]
    )
