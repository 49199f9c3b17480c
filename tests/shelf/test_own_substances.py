"""The studio's own substances: what is noted reads back, what can't be is refused, what is known twice counts at its
worse."""

import pytest

from stock.cautions import books
from stock.cautions.own_substances import filled, of_row, own_substances
from stock.cautions.substance_view import UNKNOWN, everything, figures, find, own_record_in_words
from stock.cautions.substances import substance
from stock.errors import BadInput, NotFound, UllageError
from stock.shelf import own_substances as own
from stock.shelf import products
from stock.store.models import OwnSubstance
from tests.cautions.sample_facts import TODAY

FULL = {
    "name": "Slow Ester X", "cas": "999-99-5", "aliases": "slow x; X 40", "family": "ester", "flash_point": "31C",
    "boiling_point": "151.5C", "density": "0.871", "molar_mass": "144.21", "lower_limit": "1.1%",
    "exposure_limit": "20 ppm", "short_term_limit": "40 ppm", "ceiling_limit": "0.005 ppm",
    "h_statements": "H226 H317 EUH066", "us_waste": "D001 U002", "us_voc": "voc", "hap": "no",
    "source": "its sheet of 2026-01-02", "note": "smells of pears",
}  # fmt: skip
NONE = {"flash_point": "none", "h_statements": "none", "us_waste": "none"}


def figures_of(name):
    return {each.key: each for each in figures(find(name))}


def test_what_is_noted_reads_back_and_an_empty_text_makes_it_unknown(books):
    row = own.add(FULL)
    assert own.as_texts(row) == FULL
    assert set(own.FIELDS) == set(own.FORGOTTEN) == set(FULL) - {"name"}
    assert {column.name for column in OwnSubstance._meta.sorted_fields} >= {
        name for key in own.FORGOTTEN for name in own.FORGOTTEN[key]
    }
    bare = own.change("slow ester", dict.fromkeys(own.FIELDS, ""))
    assert own.as_texts(bare) == {**dict.fromkeys(FULL, ""), "name": "Slow Ester X"}
    assert own.as_texts(own.change("Slow", NONE)) == {**own.as_texts(bare), **NONE}
    assert own.change("Slow Ester X", {"name": "Slow Ester Y"}).name == "Slow Ester Y"


@pytest.mark.parametrize(("boils", "voc"), [("250C", "voc"), ("250.001C", "no"), ("", "")])
def test_what_boils_at_250_degrees_or_below_is_a_voc_in_europe(books, boils, voc):
    """Directive 2004/42/EC, article 2; unknown stays unknown."""
    assert of_row(own.add({"name": "Slow X", "boiling_point": boils, "source": "its sheet"})).eu_voc == voc


def test_it_is_found_by_each_of_its_names_with_its_sheet_as_the_source(books):
    own.add(FULL)
    for name in ("slow ester x", "999-99-5", "X 40", " SLOW X "):
        assert find(name).name == "Slow Ester X"
    flash = figures_of("X 40")["flash_point_c"]
    assert (flash.value, flash.text, flash.source) == (31.0, "31 °C", "its sheet of 2026-01-02")
    assert len(everything()) == len({one.cas for one in everything()}) == 361


def test_what_is_not_noted_says_so_and_counts_as_the_worse_case(books):
    own.add({"name": "Mystery"})
    assert {each.text for each in figures(find("mystery"))} == {UNKNOWN}
    one = find("mystery")
    assert one.burns and one.group == "" and one.limit_ppm is None


@pytest.mark.parametrize(
    ("given", "why"),
    [
        ({"cas": "999-99-4"}, "last digit would be 5"),
        ({"cas": "999"}, "no CAS number"),
        ({"family": "solventy"}, "no family"),
        ({"flash_point": "31"}, "neither in C"),
        ({"exposure_limit": "5 mg/m3"}, "not in ppm"),
        ({"exposure_limit": "0"}, "out of reach"),
        ({"ceiling_limit": "1000001"}, "out of reach"),
        ({"molar_mass": "0.5"}, "is none"),
        ({"lower_limit": "0%"}, "is nothing"),
        ({"h_statements": "H999"}, "no hazard statement"),
        ({"us_waste": "X001"}, "no waste code"),
        ({"us_voc": "perhaps"}, "Write voc"),
        ({"hap": "maybe"}, "Write yes"),
        ({"flash_point": "none", "h_statements": "H226"}, "can't have both"),
        ({"flash_point": "100C", "h_statements": "H225"}, "no more than 23C"),
        ({"flash_point": "61C", "h_statements": "H226"}, "no more than 60C"),
        ({"name": "  "}, "name"),
    ],
)
def test_what_can_not_be_is_refused_and_nothing_kept(books, given, why):
    with pytest.raises(BadInput, match=why):
        own.add({"name": "It", **given})
    assert own.everything() == []


def test_a_name_that_means_another_substance_of_the_table_is_refused(books):
    """It would hide what the table knows of that one."""
    for given, why in (
        ({"name": "Half", "aliases": "slow; toluene"}, "toluene is toluene, 108-88-3"),
        ({"name": "xylene", "cas": "108-88-3"}, "xylene is xylene, 1330-20-7, and this is 108-88-3"),
        ({"name": "My toluene", "cas": "108-88-3", "aliases": "Xylol"}, "Xylol is xylene"),
    ):
        with pytest.raises(UllageError, match=why):
            own.add(given)
    assert own.everything() == []
    own.add({"name": "My toluene", "cas": "108-88-3", "aliases": "Toluol"})
    own.add({"name": "white spirit", "cas": "64742-88-7", "flash_point": "36C"})
    assert find("64742-88-7").flash_point_mc == 36_000
    with pytest.raises(UllageError, match="Xylol is xylene"):
        own.change("My toluene", {"aliases": "Xylol"})


def test_what_the_table_has_no_flash_point_of_takes_that_of_a_sheet(books):
    """A cut whose sheet has one is known; what is said not to burn burns where a sheet has one."""
    for name, cas in (("Cut", "64742-95-6"), ("Stripper", "75-09-2"), ("Powder", "13463-67-7")):
        own.add({"name": name, "cas": cas, "flash_point": "45C", "density": "0.9"})
        one = find(cas)
        assert (one.flash_point_mc, one.no_flash_point, one.no_density, one.can_flash) == (
            45_000,
            "",
            "",
            True,
        )
    own.add({"name": "Propellant", "cas": "74-98-6", "flash_point": "45C"})
    own.add({"name": "Paste hardener", "cas": "1338-23-4", "flash_point": "60C"})
    for name, word in (("propane", "gas"), ("MEKP", "decomposes")):
        assert (find(name).no_flash_point, find(name).can_flash) == (word, True)


def test_what_is_noted_milder_than_the_table_says_that_the_worse_counts(books):
    own.add({"name": "My toluene", "cas": "108-88-3", "flash_point": "30C", "exposure_limit": "0.5 ppm"})
    assert find("toluene").flash_point_mc == 4_000
    assert find("toluene").exposure_ppm == 0.5
    assert own_record_in_words(find("toluene")) == "noted as My toluene: flash point 30 °C; the worse counts"
    assert own_record_in_words(find("xylene")) == ""


def test_deleted_it_is_as_if_it_had_never_been_noted(books):
    before = find("naphtha, light aromatic")
    own.add({"name": "Cut", "cas": "64742-95-6", "flash_point": "45C"})
    with pytest.raises(BadInput, match="a part of Cut"):
        own.delete("cu")
    assert own.delete("cut").name == "Cut"
    assert find("naphtha, light aromatic") == before
    with pytest.raises(NotFound):
        own.delete("Cut")


def test_two_can_not_go_by_one_name(books):
    own.add(FULL)
    for given in (
        {"name": "SLOW ester x"},
        {"name": "It", "cas": "999-99-5"},
        {"name": "It", "aliases": "y; x 40"},
    ):
        with pytest.raises(UllageError, match="already"):
            own.add(given)
    own.add({"name": "It"})
    with pytest.raises(UllageError, match="already"):
        own.change("It", {"aliases": "X 40"})
    with pytest.raises(BadInput, match="can't have both"):
        own.change("Slow Ester X", {"flash_point": "none"})
    with pytest.raises(NotFound):
        own.change("Nobody", {"note": "x"})


def test_of_a_substance_that_the_table_has_it_fills_what_is_lacking_and_the_worse_counts(books):
    known = substance("PCBTF")
    assert known.lower_milli is None
    assert (known.flash_point_mc, known.boiling_point_mc) == (41_500, 138_500)
    own.add(
        {
            "name": "PCBTF",
            "flash_point": "38C",
            "lower_limit": "0.9%",
            "boiling_point": "200C",
            "us_voc": "voc",
            "h_statements": "H226 EUH019",
        }
    )
    for name in ("pcbtf", "98-56-6", "4-chlorobenzotrifluoride", "4-Chlorbenzotrifluorid"):
        now = own_substances()[name.casefold()]
        assert (now.flash_point_mc, now.boiling_point_mc, now.us_voc) == (38_000, 138_500, "voc")
        assert now.lower_milli == 900
    assert set(now.h_statements) == {*known.h_statements, "EUH019"}
    assert now.peroxide == "listed" and now.source_of("boils") == known.source_of("boils")
    own.change("PCBTF", {"boiling_point": "120C", "us_voc": "exempt", "h_statements": ""})
    assert own_substances()["pcbtf"].boiling_point_mc == 120_000
    assert own_substances()["pcbtf"].us_voc == "exempt"
    assert filled(known, of_row(OwnSubstance(id=1, name="PCBTF"))) is known


def test_a_product_s_solvent_is_what_the_studio_knows_of_it(books):
    products.add({"name": "Red", "role": "reducer", "solvent": ["slow ester x=60%", "pcbtf=40%"]})

    def shares():
        return list(books_read()[0].solvents)

    assert [substance(share) is None for share in shares()] == [True, False]
    own.add(FULL)
    own.add({"name": "PCBTF", "flash_point": "38C"})
    assert [substance(share).flash_point_mc for share in shares()] == [31_000, 38_000]
    assert substance("slow ester x") is None


def books_read():
    return list(books.read_products(TODAY).values())
