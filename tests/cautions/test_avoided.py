"""What section 10 of a sheet says that a product must not meet warns where it meets it."""

import pytest

from stock.cautions.avoided import avoided
from stock.cautions.compatibility import stars, together
from stock.cautions.rules import rule_book
from tests.cautions.sample_facts import bottle, one, product, reducer, said


@pytest.mark.parametrize(
    ("printed", "some", "never"),
    [
        ("Strong oxidising agents, acids and alkalis", {"oxidiser", "acid", "base"}, {"water"}),
        ("Starke Säuren, Laugen, Oxidationsmittel", {"acid", "base", "oxidiser"}, {"amine"}),
        ("acides forts, amines, eau", {"acid", "amine", "water"}, {"base"}),
        ("Alcohols, amines, moisture", {"alcohol", "amine", "water", "waterborne"}, {"acid"}),
        ("aluminium, zinc", {"aluminium_powder", "zinc_powder"}, {"acid"}),
    ],
)
def test_families_are_found_in_the_sheet_s_own_words(printed, some, never):
    assert some <= avoided(printed)
    assert avoided(printed).isdisjoint(never)


@pytest.mark.parametrize("printed", ["", "none", "None.", "No data", "keine", "n/a", "-", "see the label"])
def test_what_names_no_family_says_nothing(printed):
    assert avoided(printed) == frozenset()


def test_it_warns_in_a_mix_in_either_order_on_a_shelf_and_in_a_waste_can():
    """Aluminium paste beside a ketone reacts with nothing in the matrix; its sheet says otherwise."""
    said_so, thinner = product(1, incompatible="alcohols"), reducer(2, "ethanol")
    assert not list(together([product(1), thinner], rule_book()))
    for pair in ([said_so, thinner], [thinner, said_so]):
        found = one(together(pair, rule_book()), "reacts")
        assert (found.severity, found.source) == (
            "warn",
            "the studio's record of the safety data sheet, section 10",
        )
        assert "warns of in section 10" in next(iter(stars(pair))).effect
    assert one(said(said_so, thinner, bottle(1, 1), bottle(2, 2)), "stored-apart").severity == "warn"


def test_what_the_matrix_says_of_two_is_not_made_milder_or_graver_by_a_sheet():
    bleach = product(1, groups=("bleach",), incompatible="ammonia")
    ammonia = product(2, groups=("ammonia",))
    assert "chloramines" in one(together([bleach, ammonia], rule_book()), "incompatible").message
    resin = product(
        3, role="clear", groups=("epoxy",), water_milli=0, solids_milli=100_000, incompatible="amines"
    )
    hardener = product(4, role="hardener", groups=("amine",), water_milli=0, solids_milli=100_000)
    assert {each.code for each in together([resin, hardener], rule_book())} == {"cures"}
