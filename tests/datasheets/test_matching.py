"""Whose a sheet is: sure only where nothing speaks against it."""

import pytest

from stock.datasheets.matching import KnownName, SheetName, contradicts, match

BOOKS = (
    KnownName("Quay Blue", "QB-70", "Mole & Daughters"), KnownName("Quay Blue Deep", "QB-71"), KnownName("Tern"),
    KnownName("Fennel Thinner", "", "Fennel"), KnownName("Pier", is_line=True), KnownName("Pond Green", "12"),
)  # fmt: skip


def found(name="", maker="", stem="sheet", *, sure=True):
    return match(SheetName(name, sure, maker, stem), BOOKS)


@pytest.mark.parametrize(
    ("said", "name", "sure"),
    [
        ({"name": "QUAY  blue"}, "Quay Blue", True),
        ({"name": "Quay-Blue®"}, "Quay Blue", True),
        ({"name": "Mole Quay Blue", "maker": "Mole & Daughters Ltd"}, "Quay Blue", True),
        ({"name": "Quay Blue", "maker": "Rat & Sons Ltd"}, "Quay Blue", False),
        ({"name": "Quay Blue", "sure": False}, "Quay Blue", False),
        ({"name": "Quay Blue acrylic 60 ml"}, "Quay Blue", False),
        ({"name": "Acrylic Quay QB-71"}, "Quay Blue Deep", True),
        ({"name": "Acrylic QB 71"}, "Quay Blue Deep", False),
        ({"name": "", "stem": "SDS_QB-70_en"}, "Quay Blue", False),
        ({"name": "", "stem": "sds-tern-en"}, "Tern", False),
        ({"name": "Turn grey"}, "", False),
        ({"name": "Fennel Thiner"}, "Fennel Thinner", False),
        ({"name": "Pier"}, "Pier", True),
        ({"name": "Thinner", "maker": "Fennel GmbH"}, "Fennel Thinner", True),
        ({"name": "Pond Green 12"}, "Pond Green", False),
        ({"name": "12"}, "", False),
        ({"name": "Fennel", "maker": "Fennel"}, "Fennel Thinner", False),
        ({}, "", False),
    ],
)  # fmt: skip
def test_whose_it_is(said, name, sure):
    matched = found(**said)
    assert (matched.name, matched.sure) == (name, sure), matched
    assert matched.why


def test_several_that_fit_equally_are_named_and_none_is_taken():
    twice = (KnownName("Blue"), KnownName("blue!"))
    matched = match(SheetName("Blue", True, "", "x"), twice)
    assert (matched.name, matched.sure, matched.candidates) == ("", False, ("Blue", "blue!"))
    assert not match(
        SheetName("Old QB-70 Quay", True, "", "x"), (*BOOKS, KnownName("Quay Two", "QB 70"))
    ).sure


def test_makers_are_others_only_where_both_are_known_and_share_no_telling_word():
    assert contradicts("Rat Co", "Mole Co")
    assert not contradicts("Rat & Sons GmbH", "Rat Ltd")
    assert not contradicts("", "Mole")
