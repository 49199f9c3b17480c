"""Times of flow noted at the bench, and what two readings say about the next step."""

import functools
from fractions import Fraction

import pytest

from stock.bench import cup_times, steps, viscosity
from stock.bench.step_requests import StepRequest
from stock.errors import BadInput, NotFound
from stock.shelf import products

CUP = viscosity.cup("iso2431-4")


def reading(seconds: float, at_mc: int | None = 23_000):
    return viscosity.read(CUP, seconds, at_mc=at_mc)


def test_the_newest_target_counts(stocked: str):
    assert cup_times.note_target("Harbour", reading(40)) == "Harbour Blue"
    cup_times.note_target("Harbour", reading(45))
    blue = products.find("Harbour Blue").id
    assert cup_times.target(blue, CUP.key) == 45
    assert cup_times.target(blue, "ford-4") is None
    assert cup_times.targets(blue) == [(CUP.key, 45)]


def test_a_target_that_the_cup_can_not_tell(stocked: str):
    with pytest.raises(BadInput, match="gives no result at 20 s"):
        cup_times.note_target("Harbour", reading(20))


def test_only_paint_has_a_target(stocked: str):
    with pytest.raises(NotFound):
        cup_times.note_target("Slow Thinner", reading(40))


def test_two_readings_point_to_the_next_step(mixed: int):
    cup_times.note_target("Harbour Blue", reading(40))
    first = cup_times.note_reading(mixed, reading(60), liquid_mc=23_000)
    assert first.step_percent is None
    assert any("20.0 s above its target" in said for said in first.words)
    steps.book_step(mixed, StepRequest(Fraction(5)))
    second = cup_times.note_reading(mixed, reading(50), liquid_mc=23_000)
    assert second.step_percent is not None
    aim = viscosity.next_reduction((20, CUP.mm2_per_s(60)), (25, CUP.mm2_per_s(50)), CUP.mm2_per_s(40))
    assert second.step_percent == pytest.approx(aim - 25)
    assert second == cup_times.estimate(mixed, CUP.key)


def test_readings_at_two_temperatures_are_said_not_to_compare(mixed: int):
    cup_times.note_target("Harbour Blue", reading(40))
    cup_times.note_reading(mixed, reading(60), liquid_mc=23_000)
    steps.book_step(mixed, StepRequest(Fraction(5)))
    noted = cup_times.note_reading(mixed, reading(50), liquid_mc=18_000)
    assert any("18 °C and 23 °C" in said for said in noted.words)


def test_readings_too_close_point_nowhere(mixed: int):
    cup_times.note_target("Harbour Blue", reading(40))
    cup_times.note_reading(mixed, reading(50))
    steps.book_step(mixed, StepRequest(Fraction(5)))
    noted = cup_times.note_reading(mixed, reading(49.9))
    assert noted.step_percent is None
    assert any("too close" in said for said in noted.words)


def test_no_such_mix(stocked: str):
    with pytest.raises(NotFound):
        cup_times.note_reading(99, reading(50))


def test_an_estimate_as_scripts_read_it():
    answer = cup_times.CupTimeEstimate(40.0, 4.26, ("said",)).as_json()
    assert answer == {"target_s": 40.0, "step_percent": 4.3, "notes": ["said"]}
    assert cup_times.CupTimeEstimate(None, None, ()).as_json()["step_percent"] is None


def test_what_the_readings_say_in_words():
    """By the last two: at the target to half a second, temperatures that differ or are missing."""
    said = functools.partial(cup_times._words, target_s=40.0, product=0, cup=CUP)
    assert said([]) == []
    assert said([(40_499, 20_000, 23_000)]) == ["at its target"]
    assert said([(40_500, 20_000, 23_000)]) == ["0.5 s above its target of 40 s"]
    assert said([(39_000, 20_000, None)]) == ["1.0 s below its target of 40 s"]
    cold, warm, warmer, none = ((40_000, 20_000, liquid) for liquid in (18_000, 23_000, 24_000, None))
    assert said([cold, warm, warm]) == said([none, warm, warm]) == ["at its target"]
    assert said([none, warm])[1:] == said([warm, none])[1:]
    assert "no temperature" in said([warm, none])[1]
    assert "taken at 23 °C and 24 °C" in said([cold, warmer, warm])[1]


def test_an_estimate_is_made_of_the_newest_reading_at_each_of_the_last_two_reductions(mixed: int):
    """The first reading at 20 % was a mistake: the second one counts; a step of 0.5 points is said as it is."""
    cup_times.note_target("Harbour Blue", reading(40))
    for seconds in (99, 60):
        cup_times.note_reading(mixed, reading(seconds), liquid_mc=23_000)
    steps.book_step(mixed, StepRequest(Fraction(5)))
    noted = cup_times.note_reading(mixed, reading(50), liquid_mc=23_000)
    aim = viscosity.next_reduction((20, CUP.mm2_per_s(60)), (25, CUP.mm2_per_s(50)), CUP.mm2_per_s(40))
    assert noted.step_percent == pytest.approx(aim - 25)
    assert noted.words == (
        "10.0 s above its target of 40 s",
        f"by two readings, {aim - 25:.1f} more points lead to 40 s: an estimate, so add them in steps",
    )
    assert cup_times.words_of(mixed) == (f"{CUP.name}: {'; '.join(noted.words)}",)


def test_a_mix_whose_cup_holds_no_paint_any_more_has_no_reading(mixed: int, monkeypatch: pytest.MonkeyPatch):
    emptied = cup_times.mix_view(mixed)._replace(stages=())
    assert emptied.main_paint is not None
    monkeypatch.setattr(cup_times, "mix_view", lambda _: emptied)
    with pytest.raises(BadInput, match="holds no paint"):
        cup_times.note_reading(mixed, reading(50))
