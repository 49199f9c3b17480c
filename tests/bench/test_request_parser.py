"""What a person asks for: amounts in many ways, recipes, totals, an earlier mix again."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stock.bench import amounts, mixes, recipes, request_parser, steps
from stock.bench.closing import Ending, close
from stock.bench.mixing import MixRequest, book_mix, plan
from stock.bench.scaling import to_total
from stock.bench.step_requests import StepRequest
from stock.errors import Ambiguous, BadInput, NotEnough, NotFound, UllageError
from stock.shelf import deliveries, products


class TestAmounts:
    def test_by_the_scale(self, stocked: str):
        """8 ml at 1.05 g/ml weigh 8.4 g."""
        assert amounts.read_part("Harbour Blue=8.4 g") == ("Harbour Blue", 8_000)
        assert amounts.read_part("Harbour Blue=10.0..18.4g") == ("Harbour Blue", 8_000)
        assert amounts.read_part("Harbour Blue=10.0g..18.4g") == ("Harbour Blue", 8_000)
        assert amounts.read_part("Harbour Blue=0..8.4g") == ("Harbour Blue", 8_000)

    def test_what_has_no_density_can_not_be_weighed(self, stocked: str):
        with pytest.raises(NotFound, match="no density of Gull White is known"):
            amounts.read_part("Gull White=8.4 g")

    @pytest.mark.parametrize(
        "text", ["18.4..10 g", "8.4..8.4 g", "-1..2 g", "1..2..3 g", "x..2 g", "2 oz av..1 g"]
    )
    def test_a_scale_that_makes_no_sense(self, stocked: str, text: str):
        with pytest.raises(BadInput):
            amounts.read_part(f"Harbour Blue={text}")

    def test_drops_are_the_products(self, stocked: str):
        products.change("Slow Thinner", {"drops_per_ml": "50"})
        assert amounts.read_volume("50 drops", product="Slow Thinner") == 1_000
        assert amounts.read_volume("20 drops", product="Gull White") == 1_000

    @pytest.mark.parametrize(
        ("text", "percent"),
        [("20%", 20), ("5:1", 20), ("1.6 ml", 20), ("32 drops", 20), ("20 percent", 20), ("16 ml", 200)],
    )
    def test_reducer_as_a_share_or_an_amount(self, stocked: str, text: str, percent: int):
        assert amounts.read_reduction(text, 8_000) == percent

    @pytest.mark.parametrize(
        ("text", "paint_ul"), [("20", 8_000), ("16.1 ml", 8_000), ("2 ml", 0), ("", 8_000), ("0 ml", 8_000)]
    )
    def test_reducer_refused(self, stocked: str, text: str, paint_ul: int):
        with pytest.raises(BadInput):
            amounts.read_reduction(text, paint_ul)


@given(
    st.lists(st.integers(1, 10**6), min_size=1, max_size=5),
    st.integers(10_000, 10**7),
    st.one_of(st.none(), st.fractions(1, 200, max_denominator=50)),
)
def test_a_mix_to_a_total_adds_up_to_it(amounts_ul: list[int], total_ul: int, reduce: Fraction | None):
    request = MixRequest(tuple((f"paint {at}", volume) for at, volume in enumerate(amounts_ul)), reduce)
    try:
        sized = to_total(request, total_ul, paint=[True] * len(amounts_ul))
    except BadInput as refusal:
        assert "less than a microlitre" in refusal.message
        return
    paint_ul = sum(volume for _, volume in sized.parts)
    assert paint_ul + round(paint_ul * (sized.reduce or 0) / 100) == total_ul


class TestWishes:
    def test_to_a_total_the_amounts_are_a_ratio(self, stocked: str):
        wish = request_parser.request(["Harbour Blue=3ml"], reduce="20%", total="12 ml")
        assert plan(wish).as_json()["paint_ml"] == 10
        assert plan(wish).as_json()["total_ml"] == 12

    def test_like_an_earlier_mix_as_it_ended(self, mixed: int):
        steps.book_step(mixed, StepRequest(Fraction(5)))
        close(mixed, Ending("good", needle_um=350))
        wish = request_parser.request(like=mixed)
        assert wish.parts == (("Harbour Blue", 8_000),)
        assert (wish.reduce, wish.needle_um) == (25, 350)
        half = plan(request_parser.request(like=mixed, total="5 ml")).as_json()
        assert (half["paint_ml"], half["reducer_ml"]) == (4, 1)

    @pytest.mark.parametrize(
        "asked",
        [
            {},
            {"parts": ["Harbour Blue=8ml"], "like": 1},
            {"recipe": "Sea"},
            {"parts": ["Harbour Blue"]},
            {"parts": ["=8ml"]},
            {"parts": ["Harbour Blue=8ml"], "reduce": "0%"},
            {"parts": ["Harbour Blue=8ml"], "reduce": "1000%"},
            {"parts": ["Harbour Blue=8ml"], "reduce": "20%", "reducer": "A:B=1"},
            {"parts": ["Harbour Blue=8ml"], "total": "0 ml"},
            {"parts": ["Harbour Blue=8ml", "Gull White=1ul"], "total": "1 ul"},
        ],
    )
    def test_refused(self, stocked: str, asked: dict):
        with pytest.raises(BadInput):
            request_parser.request(**asked)

    @pytest.mark.parametrize(
        "asked",
        [{"like": 99}, {"recipe": "Sea", "total": "30ml"}, {"parts": ["Nothing=8ml"], "total": "9ml"}],
    )
    def test_not_found(self, stocked: str, asked: dict):
        with pytest.raises(NotFound):
            request_parser.request(**asked)

    def test_a_reducer_cut_with_itself(self, stocked: str):
        wish = request_parser.request(
            ["Harbour Blue=8ml"], reduce="20%", reducer="Slow Thinner:Slow Thinner=1:1"
        )
        with pytest.raises(BadInput, match="can't be blended with itself"):
            plan(wish)

    def test_more_than_the_shelf_holds(self, stocked: str):
        with pytest.raises(NotEnough, match="120 ml usable"):
            plan(request_parser.request(["Harbour Blue=800ml"]))

    def test_a_hundred_per_cent_is_one_to_one(self, stocked: str):
        assert plan(request_parser.request(["Harbour Blue=8ml"], reduce="100%")).as_json()["reducer_ml"] == 8


def test_drops_of_a_reduction_are_those_of_the_reducer_that_is_named(stocked: str):
    """40 drops of 50 a millilitre are 0.8 ml, of 20 a millilitre 2 ml; a blend's drops are nobody's, so 20."""
    products.add({"name": "Fast Thinner", "role": "reducer", "drops_per_ml": "50"})

    def percent(reducer: str | None):
        return request_parser.request(["Harbour Blue=8ml"], reduce="40 drops", reducer=reducer).reduce

    assert (percent(None), percent("Fast Thinner")) == (25, 10)
    assert percent("Fast Thinner:Slow Thinner=1:1") == 25


class TestRecipes:
    @pytest.fixture
    def sea(self, stocked: str) -> recipes.RecipeView:
        return recipes.add("Sea", [("Harbour", 3_000), ("Gull White", 500), ("Slow", 700)], note="soft")

    def test_read_back(self, sea: recipes.RecipeView):
        assert recipes.find("sea") == sea == recipes.everything()[0]
        assert sea.words == "3 Harbour Blue, 0.5 Gull White, 0.7 Slow Thinner"
        assert [part["part"] for part in sea.as_json()["parts"]] == ["paint", "paint", "reducer"]

    def test_at_any_size(self, sea: recipes.RecipeView):
        wish = recipes.request(sea, 42_000)
        assert wish.parts == (("Harbour Blue", 30_000), ("Gull White", 5_000))
        assert wish.reduce == 20
        assert wish.reducers == (("Slow Thinner", 700),)

    def test_from_an_earlier_mix_with_its_steps(self, mixed: int):
        steps.book_step(mixed, StepRequest(Fraction(5)))
        kept = recipes.of_mix("Blue 25", mixes.mix(mixed))
        assert kept.parts == (("Harbour Blue", "paint", 4_000), ("Slow Thinner", "reducer", 1_000))
        assert recipes.request(kept, 10_000).reduce == 25

    @pytest.mark.parametrize(
        "text",
        [
            "Harbour Blue",
            "=3",
            "Harbour Blue=0",
            "Harbour Blue=-1",
            "Harbour Blue=3 ml",
            "Harbour Blue=1e3",
            "Harbour Blue=1001",
        ],
    )
    def test_parts_refused(self, text: str):
        with pytest.raises(BadInput):
            recipes.read_part(text)

    def test_parts_read(self):
        assert recipes.read_part("Harbour Blue=1/2") == ("Harbour Blue", 500)
        assert recipes.read_part("Harbour Blue=3 parts") == ("Harbour Blue", 3_000)

    def test_refused(self, sea: recipes.RecipeView):
        with pytest.raises(UllageError, match="called Sea already"):
            recipes.add("SEA", [("Harbour", 1_000)])
        with pytest.raises(BadInput, match="in the recipe twice"):
            recipes.add("Two", [("Harbour", 1_000), ("Harbour Blue", 1_000)])
        with pytest.raises(BadInput, match="needs its parts"):
            recipes.add("None", [])
        with pytest.raises(NotFound):
            recipes.find("Land")
        recipes.add("Sea deep", [("Harbour", 1_000)])
        with pytest.raises(Ambiguous):
            recipes.find("se")
        assert len(recipes.everything()) == 2

    def test_one_that_thins_no_paint(self, stocked: str):
        with pytest.raises(BadInput, match="has a reducer but no paint"):
            recipes.request(recipes.add("Thin", [("Slow", 1_000)]), 1_000)

    def test_a_reducer_for_a_recipe_without_one_needs_its_amount(self, stocked: str):
        recipes.add("Neat", [("Harbour", 1_000)])
        with pytest.raises(BadInput, match="a reducer is named without an amount"):
            request_parser.request(recipe="Neat", total="8 ml", reducer="Slow Thinner")
        asked = request_parser.request(recipe="Neat", total="9.6 ml", reducer="Slow Thinner", reduce="20%")
        assert (asked.reducers, asked.reduce) == ((("Slow Thinner", 1),), 20)
        neat = request_parser.request(["Harbour Blue=8ml"], reducer="Slow Thinner")
        assert (neat.reducers, neat.reduce) == ((("Slow Thinner", 1),), None)

    def test_booked(self, sea: recipes.RecipeView):
        deliveries.receive("Gull White", 60_000)
        answer = book_mix(request_parser.request(recipe="Sea", total="4.2 ml"))
        assert (answer["paint_ml"], answer["reducer_ml"], answer["booked"]) == (3.5, 0.7, True)
