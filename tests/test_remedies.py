"""A remedy as data: its text is what is typed, and filling in or joining keeps its parts."""

import copy
import json
import shlex

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stock.remedies import Do, Option, Remedy, quoted, written

DISCARD = Remedy("Discard it: ", Do("bottle discard", "{bottle}"), "; {why}")


def test_a_remedy_reads_as_text_and_keeps_its_parts() -> None:
    filled = DISCARD.filled({"bottle": 7, "why": "{bottle}"})
    assert filled == "Discard it: `ullage bottle discard 7`; {bottle}"
    assert json.dumps(filled) == json.dumps(str(filled))
    assert [type(part) for part in filled.parts] == [str, Do, str]
    longer = Remedy("It went bad. ", filled, ".")
    assert longer.parts[2].arguments == ("7",)
    assert copy.deepcopy(longer).parts[1] == "Discard it: "
    assert Remedy("Look").filled({}) == "Look"


def test_several_words_take_the_place_of_one_name() -> None:
    place = Remedy(Do("place change", "{place}", "{options}"))
    filled = place.filled({"place": "Cold room", "options": ("--lowest", "5C")})
    assert filled == '`ullage place change "Cold room" --lowest 5C`'
    assert place.filled({"place": "Shed", "options": ()}) == "`ullage place change Shed`"


def test_an_argument_is_replaced_only_as_a_whole() -> None:
    noted = Remedy("Note 1: ", Do("product change", "1", "--opened-life", "12mo"))
    assert noted.with_arguments({"1": "NAME"}) == "Note 1: `ullage product change NAME --opened-life 12mo`"


@given(st.text(st.characters(exclude_categories=["Cs", "Cc"]), max_size=12))
def test_a_word_is_read_back_by_a_shell_as_it_was(word: str) -> None:
    assert shlex.split(quoted(word)) == [word]
    assert shlex.split(Do("bottle change", word, "--label", word).line)[2:] == [word, "--label", word]


def test_an_option_is_written_with_its_example() -> None:
    assert str(Option("reduce", "20%")) == "with `--reduce 20%`"
    assert str(Option("with", "{product}:OTHER=1:1").filled({"product": "Slow Thinner"})) == (
        'with `--with "Slow Thinner:OTHER=1:1"`'
    )
    assert str(Option("make")) == "with `--make`"


@pytest.mark.parametrize(
    ("remedy", "text"),
    [
        ("Look", "Look"),
        (["Look: ", {"do": "shelf"}], "Look: `ullage shelf`"),
        ([{"do": "bottle open", "with": ["7"]}], "`ullage bottle open 7`"),
        ([{"option": "make"}], "with `--make`"),
        ([{"option": "role", "value": "paint"}], "with `--role paint`"),
        ([7], None),
        ([{"do": 7}], None),
        ([{"do": "shelf", "with": "7"}], None),
        ([{"do": "shelf", "with": [7]}], None),
        ([{"do": "shelf", "value": "7"}], None),
        ([{"option": "make", "with": ["7"]}], None),
        ([{}], None),
    ],
)
def test_a_rule_writes_a_remedy_as_parts_or_not_at_all(remedy: object, text: str | None) -> None:
    assert written(remedy) == text  # type: ignore[arg-type]
