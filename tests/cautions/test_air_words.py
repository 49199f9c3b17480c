"""The air that a mix needs, as a person reads it: figures never rounded to the milder side."""

import pytest

from stock.cautions import ventilation
from stock.cautions.mix import mix_findings
from stock.cautions.room_air import Room
from stock.cautions.rules import rule_book
from stock.cautions.vapours import SPRAYING
from stock.cautions.ventilation import (
    Air,
    Thickness,
    _cubic_metres,
    _fan_words,
    _rate_words,
    _room,
    _room_words,
    _share,
    _thick_words,
    shift_average,
    sprayable_ul_per_h,
)
from tests.cautions.sample_facts import TODAY, one, part, product, reducer, share, studio


@pytest.mark.parametrize(
    ("litres", "said"),
    [
        (0, "0 m³/h"), (1, "0.1 m³/h"), (100, "0.1 m³/h"), (101, "0.2 m³/h"), (99_900, "99.9 m³/h"),
        (99_901, "100 m³/h"), (100_000, "100 m³/h"), (100_001, "101 m³/h"), (1_234_000, "1,234 m³/h"),
    ],
)  # fmt: skip
def test_air_is_rounded_up(litres, said):
    assert _cubic_metres(litres) == said


@pytest.mark.parametrize(
    ("value", "said"),
    [
        (0.111, "0.12"),
        (0.1, "0.1"),
        (0.991, "1"),
        (1.01, "1.1"),
        (9.9, "9.9"),
        (9.91, "10"),
        (10.1, "11"),
        (37, "37"),
    ],
)
def test_a_share_of_a_limit_is_rounded_up(value, said):
    assert _share(value) == said


def test_the_share_that_is_used_most_is_that_of_a_quarter_of_the_lower_limit_or_of_any_other():
    assert Thickness(0.2, 0.7, 0.1, 0).most == 0.8
    for place in (1, 2, 3):
        assert Thickness(*(0.9 if at == place else 0.2 for at in range(4))).most == 0.9
    words = "20 % of the lower explosive limit (25 % is the most), 0.7 times the 15-minute limit"
    assert _thick_words(Thickness(0.2, 0.7, 0.1, 0)) == f"{words}, 0.1 times the 8-hour limit"
    assert _thick_words(Thickness(0, 0.7, 0.1, 2)).endswith("0.1 times the 8-hour limit, 2 times the ceiling")
    assert _thick_words(Thickness(0, 0.7, 0.1, 2)).startswith("0.7 times the 15-minute limit")


def test_how_much_a_fan_lets_be_sprayed_is_rounded_down():
    """10 ml need 2 m³: at 1 m³ an hour 5 ml, at 0.5999 m³ 2.9 ml, of which whole millilitres are said."""
    air = Air(1, 500, 2_000)
    assert sprayable_ul_per_h(air, 10_000, 1_000) == 5_000
    assert sprayable_ul_per_h(Air(0, 0, 0), 10_000, 1_000) == 0
    assert _fan_words(air, 10_000, None) == "your fan's figure isn't noted"
    assert _fan_words(air, 10_000, 1_000) == "your fan moves 1 m³/h, enough for 5 ml of this mix an hour"
    assert _fan_words(air, 10_000, 1_199).endswith("1 m³/h, enough for 5 ml of this mix an hour")


def test_a_room_whose_size_and_fan_are_not_noted_is_small_and_still():
    book = rule_book()
    small, still = (book.figure(SPRAYING, key) for key in ("small_room_m3", "still_room_m3_per_h"))
    unknown = _room(studio(), 3_000, book)
    assert unknown == (small, pytest.approx(still / 3 / 60))
    noted = _room(studio(room_l=40_500, fan_l_per_h=180_000), 3_000, book)
    assert noted == (40.5, pytest.approx(1))
    assert _room(studio(fan_l_per_h=0), 3_000, book).air_m3_per_min == 0
    assert _room_words(Room(40.46, 1), noted=True) == "40.5 m³ (your room)"
    assert _room_words(Room(10, 1), noted=False) == "10 m³ (a small room, for yours isn't noted)"


def test_a_spray_rate_says_whose_it_is():
    assert _rate_words(1_000, measured=True) == "1 ml of it is sprayed a minute, your own rate"
    assert _rate_words(2_000, measured=False).startswith("2 ml of it are sprayed a minute, the fast end")


def acetone_in_a_room(ml: float, **settings):
    """The finding about air of so much of a reducer of half acetone, sprayed at 1 ml a minute."""
    facts = studio(room_l=20_000, fan_l_per_h=100_000, spray_ul_per_min=1_000, **settings)
    found = mix_findings([part(reducer(solvent="acetone", percent=50), ml)], TODAY, facts)
    return [each for each in found if each.code == SPRAYING]


def test_minutes_of_spraying_are_rounded_up_to_a_tenth():
    [found] = acetone_in_a_room(60.05)
    assert "After 60.1 minutes of spraying" in found.message
    [found] = acetone_in_a_room(60)
    assert "After 60 minutes of spraying" in found.message
    assert (
        "Without a pause it needs 5.5 m³/h of fresh air against fire and 137 m³/h for health" in found.message
    )


def test_what_stays_below_a_tenth_of_every_limit_is_not_told_and_what_passes_one_is_a_warning():
    amounts = {ml: acetone_in_a_room(ml) for ml in (0.1, 60)}
    assert amounts[0.1] == []
    assert [each.severity for each in amounts[60]] == ["note"]
    small = studio(spray_ul_per_min=1_000)
    found = one(mix_findings([part(reducer(solvent="acetone", percent=100), 60)], TODAY, small), SPRAYING)
    assert found.severity == "warn"
    unknown = product(3, role="reducer", solvents=None, water_milli=None)
    finding = one(mix_findings([part(unknown, 0.1)], TODAY, small), "air-unknown")
    assert (finding.product_id, finding.severity) == (3, "warn")


def test_an_average_of_a_shift_is_over_eight_hours():
    assert shift_average([(4, 100)]) == 50
    assert shift_average([(4, 100)], hours=4) == 100


def test_only_solvents_that_are_rich_in_the_reducer_are_told_of():
    """Of a ketone 30 % and more, alone in the mix; of alcohols into a waterborne paint."""

    def codes_of(*poured):
        return {each.code for each in mix_findings([part(each, 5) for each in poured], TODAY)}

    paint = product(1, groups=("waterborne",))
    strong, weak = (reducer(2, "acetone", percent) for percent in (30, 29.9))
    assert "acetone-uncut" in codes_of(paint, strong)
    assert "acetone-uncut" not in codes_of(paint, weak)
    assert "acetone-uncut" not in codes_of(paint, strong, reducer(3, "ethanol", 10))
    assert "acetone-uncut" not in codes_of(paint)
    rich, poor = (reducer(2, "ethanol", percent) for percent in (30, 29.9))
    assert "pour-slowly" in codes_of(paint, rich)
    assert "pour-slowly" not in codes_of(paint, poor)
    two = reducer(2, solvents=(share("ethanol", 15), share("propan-2-ol", 15)), water_milli=70_000)
    assert "pour-slowly" in codes_of(paint, two)


def test_the_vapour_is_given_off_over_all_the_minutes_of_spraying(monkeypatch):
    """15 ml at half a millilitre a minute: half an hour, in the studio's room."""
    asked = []

    def heard(vapours, minutes, room):
        asked.append((minutes, room.volume_m3))
        return Thickness(0.1, 0.1, 0.1, 0)

    monkeypatch.setattr(ventilation, "thickness", heard)
    mix_findings([part(reducer(solvent="acetone"), 15)], TODAY, studio(room_l=20_000, spray_ul_per_min=500))
    assert asked == [(pytest.approx(30), 20)]
