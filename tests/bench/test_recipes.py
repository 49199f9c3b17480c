"""Recipes: named parts that are mixed at any size, and kept in the books."""

import pytest

from stock.bench import mixes, recipes
from stock.bench.mixing import MixRequest
from stock.errors import BadInput, NotFound, UllageError

HARBOUR = (("Harbour Blue", "paint", 3_000), ("Slow Thinner", "reducer", 1_000))


def test_a_recipe_is_entered_shown_and_corrected(stocked: str):
    made = recipes.add("Harbour", [("Harbour", 3_000), ("Slow", 1_000)], note="for hulls")
    assert made == recipes.RecipeView("Harbour", "for hulls", HARBOUR)
    assert made.words == "3 Harbour Blue, 1 Slow Thinner"
    assert made.as_json() == {
        "name": "Harbour", "note": "for hulls", "parts": [
            {"product": "Harbour Blue", "part": "paint", "parts": 3},
            {"product": "Slow Thinner", "part": "reducer", "parts": 1},
        ],
    }  # fmt: skip
    assert recipes.change("Harbour") == made
    assert recipes.change("Harbour", note="for keels") == made._replace(note="for keels")
    renamed = recipes.change("Harbour", rename="Quay", note="")
    assert renamed == made._replace(name="Quay", note="")
    other = recipes.change("quay", parts=[("Gull White", 500)])
    assert other == renamed._replace(parts=(("Gull White", "paint", 500),))
    assert recipes.everything() == [other]
    assert recipes.find("Quay") == other


@pytest.mark.parametrize(
    ("parts", "why"),
    [([], "needs its parts"), ([("Harbour", 1_000), ("Blue", 2_000)], "in the recipe twice")],
)
def test_a_recipe_that_can_not_be_written_changes_nothing(stocked: str, parts, why):
    with pytest.raises(BadInput, match=why):
        recipes.add("Other", parts)
    assert recipes.everything() == []
    made = recipes.add("Harbour", [("Harbour Blue", 3_000)])
    with pytest.raises(BadInput, match=why):
        recipes.change("Harbour", parts=parts)
    with pytest.raises(UllageError):
        recipes.add("harbour", [("Gull White", 1_000)])
    with pytest.raises(NotFound):
        recipes.change("Quay", note="none")
    assert recipes.everything() == [made]


@pytest.mark.parametrize(
    ("text", "read"),
    [
        ("Harbour Blue=3", ("Harbour Blue", 3_000)),
        (" A=B = 0.001 parts", ("A=B", 1)),
        ("Blue=1000", ("Blue", 1_000_000)),
        ("Blue=1 part", ("Blue", 1_000)),
    ],
)
def test_parts_that_are_read(text: str, read: tuple[str, int]):
    assert recipes.read_part(text) == read


@pytest.mark.parametrize(
    "text", ["Blue", "=3", " =3", "Blue=", "Blue=0", "Blue=-1", "Blue=1000.001", "Blue=3 ml"]
)
def test_parts_that_are_refused(text: str):
    with pytest.raises(BadInput):
        recipes.read_part(text)


def test_an_earlier_mix_becomes_a_recipe_with_its_smallest_part_as_one(mixed: int):
    """8 ml of blue and 1.6 ml of thinner are five parts to one."""
    made = recipes.of_mix("As mixed", mixes.mix(mixed), note="it went well")
    assert made.parts == (("Harbour Blue", "paint", 5_000), ("Slow Thinner", "reducer", 1_000))
    assert made.note == "it went well"


def test_a_recipe_at_a_size():
    """12 ml of 3 to 1 are 9 ml of paint and a third of it as reducer; without a reducer all is paint."""
    asked = recipes.request(recipes.RecipeView("Harbour", "", HARBOUR), 12_000)
    assert (asked.parts, asked.recipe) == ((("Harbour Blue", 9_000),), "Harbour")
    assert asked.reduce is not None
    assert round(asked.reduce * 9_000 / 100) == 3_000
    assert asked.reducers == (("Slow Thinner", 1_000),)
    neat = recipes.request(recipes.RecipeView("Neat", "", HARBOUR[:1]), 12_000)
    assert neat == MixRequest(parts=(("Harbour Blue", 12_000),), recipe="Neat")
    with pytest.raises(BadInput, match="a reducer but no paint"):
        recipes.request(recipes.RecipeView("Thin", "", HARBOUR[1:]), 12_000)
