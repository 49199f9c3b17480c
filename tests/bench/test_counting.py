"""Counts with how sure they are, on the books of both engines."""

import math
from fractions import Fraction

import pytest

from stock.bench import counting
from stock.bench.bottle_level import BottleLevel, read_level
from stock.bench.counting import by_level, count, measured, usual_loss
from stock.bench.mixing import MixRequest, book_mix
from stock.bench.weighing import by_volume
from stock.errors import BadInput, NotFound
from stock.logbook.proof import prove
from stock.logbook.undo import undo
from stock.shelf import deliveries, products
from stock.shelf.bottles import numbered


@pytest.mark.parametrize(
    ("text", "level"),
    [
        ("3/4", BottleLevel(Fraction(3, 4))),
        ("0.75", BottleLevel(Fraction(3, 4))),
        ("75%", BottleLevel(Fraction(3, 4))),
        ("0", BottleLevel(Fraction(0))),
        ("32 mm", BottleLevel(height_um=32_000)),
    ],
)
def test_levels(text: str, level: BottleLevel):
    assert read_level(text) == level


@pytest.mark.parametrize("text", ["", "half", "5/4", "110%", "-1/4", "32 cm", "600 mm", "1e1 mm", "1,5 mm"])
def test_levels_refused(text: str):
    with pytest.raises(BadInput):
        read_level(text)


def test_by_eye(stocked: str):
    found = measured("1", level="1/2")
    assert (found.volume_ul, found.method) == (30_000, "level")


def test_a_height_needs_the_width_once(stocked: str):
    with pytest.raises(NotFound, match="the inner diameter of bottle 1 is unknown"):
        by_level("1", BottleLevel(height_um=40_000))
    first = measured("1", level="40mm", inner_diameter="34mm")
    assert first.volume_ul == 36_317
    with pytest.raises(NotFound):  # only a count that is booked keeps the width
        by_level("1", BottleLevel(height_um=40_000))
    with pytest.raises(BadInput):
        count("1", first._replace(volume_ul=200_000))
    with pytest.raises(NotFound):
        by_level("1", BottleLevel(height_um=40_000))
    count("1", first)
    assert by_level("2", BottleLevel(height_um=40_000)).volume_ul == 36_317


def test_by_weight(stocked: str):
    found = measured("1", weight="63.2g", tare="20.15g")
    assert (found.volume_ul, found.method) == (41_000, "weight")
    assert 0 < found.uncertainty_ul < 1_000


def test_ones_own_uncertainty_counts(stocked: str):
    assert measured("1", volume="41ml", uncertainty="0.2ml").uncertainty_ul == 200


@pytest.mark.parametrize(
    "given",
    [
        {},
        {"volume": "41ml", "weight": "63g"},
        {"volume": "x"},
        {"level": "2"},
        {"level": "10mm", "inner_diameter": "1m"},
    ],
)
def test_refused(stocked: str, given: dict):
    with pytest.raises(BadInput):
        measured("1", **given)


def test_a_difference_within_what_measuring_explains(stocked: str):
    answer = count("1", measured("1", volume="59ml"))
    assert (answer["difference_ml"], answer["beyond"]) == (-1, False)
    assert "within what measuring explains" in answer["words"]
    assert answer["uncertainty_ml"] > 0


def test_a_difference_beyond_it_is_said(stocked: str):
    answer = count("1", measured("1", volume="50ml"))
    assert answer["beyond"] is True
    assert "a pour was not logged" in answer["words"]
    assert numbered("1").on_hand_ul == 50_000
    assert not prove().problems


def test_a_reason_that_was_given_is_not_guessed_at(stocked: str):
    words = count("1", measured("1", volume="50ml"), reason="dried out")["words"]
    assert words.endswith("that measuring explains: dried out")


def test_many_pours_since_the_last_count_explain_more(stocked: str):
    for _ in range(6):
        book_mix(MixRequest((("Harbour Blue", 8_000),), bottles=("1",)), judge=False)
    sure = count("1", measured("1", volume="10.6ml", uncertainty="0.1ml"))
    assert sure["difference_ml"] == -1.4
    assert sure["explained_ml"] > 1
    again = count("1", measured("1", volume="10.6ml", uncertainty="0.1ml"))
    assert again["explained_ml"] < sure["explained_ml"]


def test_the_usual_loss_is_learnt_and_offered(stocked: str):
    for left in ("55.8ml", "51.6ml", "47.4ml", "43.2ml"):  # 4 ml logged and 0.2 ml lost each time
        book_mix(MixRequest((("Harbour Blue", 4_000),), bottles=("1",)), judge=False)
        answer = count("1", measured("1", volume=left))
    assert answer["usual_loss"] == {"a_mix_ml": 0.2, "error_ml": 0, "mixes": 4, "counts": 4, "sure": True}
    (said,) = counting.loss_notes(["Harbour Blue", "Gull White"])
    assert said.startswith("After a mix of Harbour Blue, usually 0.2 ml more is gone")


def test_undone_counts_teach_nothing(stocked: str):
    book_mix(MixRequest((("Harbour Blue", 4_000),), bottles=("1",)), judge=False)
    answer = count("1", measured("1", volume="50ml"))
    blue = products.find("Harbour Blue").id
    assert usual_loss(blue).counts == 1
    undo("count", answer["count"])
    assert usual_loss(blue) is None


def test_the_same_key_counts_once(stocked: str):
    first = count("1", measured("1", volume="50ml"), key="k")
    assert count("1", measured("1", volume="50ml"), key="k") == first


def test_the_first_count_of_a_bottle_that_came_part_used_tells_of_no_pour(stocked: str):
    [bottle] = deliveries.receive("Gull White", 60_000, left_ul=30_000)["bottles"]
    first = count(str(bottle["id"]), by_volume(20_000))
    assert (first["difference_ml"], first["beyond"]) == (-10, False)
    assert "came part-used" in first["words"]
    assert count(str(bottle["id"]), by_volume(10_000))["beyond"] is True
    assert count("1", by_volume(50_000))["beyond"] is True  # a whole one, at its first count


def test_a_bottle_to_weigh_is_as_sure_as_its_last_count_and_the_pours_since(stocked: str):
    """3 ml poured by syringe: 5 %/√3 = 0.087 ml, beside the 0.2 ml of the count before."""
    assert counting.weighable("1").books_error_ul == 0
    count("1", measured("1", volume="59ml", uncertainty="0.2ml"))
    assert counting.weighable("1").books_error_ul == 200
    book_mix(MixRequest((("Harbour Blue", 3_000),), bottles=("1",)), judge=False)
    assert counting.weighable("1").books_error_ul == pytest.approx(math.hypot(200, 150 / math.sqrt(3)), abs=1)


@pytest.mark.parametrize(
    ("text", "um"),
    [("34 mm", 34_000), ("34", 34_000), ("5 mm", 5_000), ("300mm", 300_000), ("12.5 mm", 12_500)],
)
def test_diameters(text: str, um: int):
    assert counting.read_diameter(text) == um


@pytest.mark.parametrize("text", ["4.9 mm", "300.5 mm", "34 cm", "wide", ""])
def test_diameters_refused(text: str):
    with pytest.raises(BadInput):
        counting.read_diameter(text)


def test_a_level_of_nothing_and_of_half_a_metre_can_be_read():
    assert read_level("0 mm") == BottleLevel(height_um=0)
    assert read_level("0.5 mm") == BottleLevel(height_um=500)
    assert read_level("500 mm") == BottleLevel(height_um=500_000)
    assert read_level("100%") == read_level("1") == BottleLevel(Fraction(1))
