"""That something is reactive can be corrected, but not become unknown."""

import pytest

from stock.cautions.groups import WORDS, groups_of
from stock.cautions.substances import SOLVENT_GROUPS, substance, substances_by_name
from stock.errors import BadInput
from stock.shelf import products
from stock.shelf.reactive import REACTIVE, SOLVENT_WORDS, kept_groups, reactive_names


def groups(name):
    return products.find(name).groups.split()


def test_the_names_are_those_of_the_cautions_own_table():
    theirs = {name: one.group for name, one in substances_by_name().items() if one.group in REACTIVE}
    assert reactive_names() == theirs
    assert set(REACTIVE) <= set(WORDS)
    assert set(SOLVENT_WORDS) == {*SOLVENT_GROUPS, "solventborne"}


def test_a_reactive_solvent_puts_its_group_among_the_words(books):
    products.add({"name": "Bench Bleach", "role": "cleaner", "solvent": ["Sodium Hypochlorite=4"]})
    assert groups("Bench Bleach") == ["bleach"]
    products.add({"name": "Thinner", "role": "reducer", "solvent": ["ethanol=40"], "groups": "alcohol"})
    assert groups("Thinner") == ["alcohol"]


def test_forgetting_the_composition_does_not_forget_that(books):
    products.add({"name": "Bench Bleach", "role": "cleaner", "solvent": ["7681-52-9=4"]})
    products.change("Bench Bleach", {"solvent": []})
    assert groups("Bench Bleach") == ["bleach"]


def test_it_can_t_be_blanked_but_can_be_corrected(books):
    products.add({"name": "Bottle Two", "role": "cleaner", "groups": "waterborne bleach"})
    with pytest.raises(BadInput, match="noted as bleach, and that can't become unknown") as refused:
        products.change("Bottle Two", {"groups": ""})
    assert "Write what it is instead" in refused.value.remedy
    assert groups("Bottle Two") == ["waterborne", "bleach"]
    products.change("Bottle Two", {"groups": "waterborne"})
    assert groups("Bottle Two") == ["waterborne"]
    products.change("Bottle Two", {"groups": ""})
    assert groups("Bottle Two") == []


def test_a_correction_can_t_contradict_what_is_in_it(books):
    products.add({"name": "Bottle Two", "role": "cleaner", "solvent": ["nitric acid=5"]})
    products.change("Bottle Two", {"groups": "waterborne"})
    assert groups("Bottle Two") == ["waterborne", "oxidising_acid"]


def test_a_sheet_that_names_no_solvent_says_so(books):
    products.add({"name": "Wet Paint", "role": "paint", "solvent": ["None"]})
    assert products.find("Wet Paint").no_solvent
    products.change("Wet Paint", {"solvent": ["ethanol=5"]})
    assert not products.find("Wet Paint").no_solvent
    products.change("Wet Paint", {"solvent": ["none"]})
    products.change("Wet Paint", {"solvent": ""})
    assert not products.find("Wet Paint").no_solvent


def test_no_solvent_and_a_group_of_solvents_can_t_both_be_noted(books):
    products.add({"name": "Wet Paint", "role": "paint", "solvent": ["none"]})
    with pytest.raises(BadInput, match="as alcohol and as holding no solvent"):
        products.change("Wet Paint", {"groups": "waterborne alcohol"})
    assert groups("Wet Paint") == []
    products.add({"name": "Thinner", "role": "reducer", "groups": "glycol_ether"})
    with pytest.raises(BadInput, match="as glycol ether and as holding no solvent"):
        products.change("Thinner", {"solvent": ["none"]})
    assert not products.find("Thinner").no_solvent
    with pytest.raises(BadInput, match="can't be both"):
        products.add({"name": "Torn", "role": "paint", "solvent": ["none"], "groups": "ketone"})
    with pytest.raises(BadInput, match="noted as glycol ether, and that can't become unknown"):
        products.change("Thinner", {"solvent": ["none"], "groups": ""})
    products.change("Thinner", {"solvent": ["none"], "groups": "waterborne"})
    assert products.find("Thinner").no_solvent


def test_books_that_hold_both_count_as_not_described(books):
    """An older Ullage took both in; the worse of them counts."""
    from stock.cautions import books as caution_books
    from stock.store.models import Product

    products.add({"name": "Thinner", "role": "reducer", "solvent": ["none"]})
    Product.update(groups="alcohol").where(Product.name == "Thinner").execute()
    [one] = caution_books.facts().products
    assert one.solvents is None


def test_a_solvent_of_which_there_is_nothing_is_no_solvent(books):
    with pytest.raises(BadInput, match="says that there is none of it"):
        products.add({"name": "Thinner", "role": "reducer", "solvent": ["ethanol=0%"]})


def test_kept_groups_keep_their_order_and_stand_once():
    assert kept_groups("It", "bleach waterborne", None, ["bleach", "ethanol"]) == "bleach waterborne"


def test_what_is_kept_is_what_the_cautions_go_by(books):
    from stock.cautions import books as caution_books

    products.add({"name": "Pool Water", "role": "cleaner", "solvent": ["hypochlorite=4"]})
    products.change("Pool Water", {"solvent": [], "water": ""})
    [one] = [each for each in caution_books.facts().products if each.name == "Pool Water"]
    assert one.solvents is None
    assert "bleach" in groups_of(one)
    assert substance("hypochlorite").group == "bleach"
