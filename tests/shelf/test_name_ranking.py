"""One order for the names that fit typed letters: the same for every field, list and key."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stock.shelf.name_ranking import INSIDE, START, WHOLE, WORDS, WORDS_IN_ORDER, fit, ranked

NAMES = ("Sillet Blue Hour", "Sillet Amber Lamp", "Sillet Rose Lamp", "Rose Sillet", "Sillet")
WORD = st.text("abcrs", min_size=1, max_size=4)
NAME = st.lists(WORD, min_size=1, max_size=3).map(" ".join)


@pytest.mark.parametrize(
    ("typed", "how"),
    [
        ("sillet rose lamp", WHOLE), ("  SILLET   rose lamp ", WHOLE), ("sillet r", START), ("s r", WORDS_IN_ORDER),
        ("sil lam", WORDS_IN_ORDER), ("lamp sil", WORDS), ("illet", INSIDE), ("sillet x", None),
        ("", None), (" ", None),
    ],
)  # fmt: skip
def test_how_well_a_name_fits(typed, how):
    assert fit("Sillet Rose Lamp", typed) == how


def test_the_name_whose_word_starts_with_the_letters_comes_before_one_that_holds_them_inside():
    assert ranked(NAMES, "sillet r")[:2] == ["Sillet Rose Lamp", "Rose Sillet"]
    assert ranked(NAMES, "sillet r")[2:] == ["Sillet Blue Hour", "Sillet Amber Lamp"]
    assert ranked(NAMES, "sillet")[0] == "Sillet"
    assert ranked(NAMES, "lamp") == ["Sillet Amber Lamp", "Sillet Rose Lamp"]  # as given: by recent use
    assert ranked(reversed(NAMES), "lamp") == ["Sillet Rose Lamp", "Sillet Amber Lamp"]
    assert ranked(NAMES, "") == []


@given(st.lists(NAME, unique=True, max_size=12), st.lists(WORD, min_size=1, max_size=3).map(" ".join))
def test_whatever_holds_all_letters_is_offered_and_better_fits_stand_first(names, typed):
    found = ranked(names, typed)
    assert set(found) == {name for name in names if all(part in name for part in typed.split())}
    levels = [fit(name, typed) for name in found]
    assert levels == sorted(levels)


@given(st.lists(NAME, unique=True, min_size=1, max_size=12), st.data())
def test_a_whole_name_always_means_itself(names, data):
    name = data.draw(st.sampled_from(names))
    assert ranked(names, name)[0] == name
