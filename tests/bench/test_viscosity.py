"""Cups: what they say, and when not to believe it."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stock.bench import viscosity
from stock.errors import BadInput

every_cup = st.sampled_from(sorted(viscosity.cups()))


@given(every_cup, st.floats(0.01, 0.99))
def test_seconds_turned_into_viscosity_and_back_are_the_same(key: str, share: float):
    cup = viscosity.cup(key)
    shortest, longest = cup.time_s
    seconds = shortest + share * (longest - shortest)
    assert cup.seconds(cup.mm2_per_s(seconds)) == pytest.approx(seconds)


@given(every_cup, st.floats(0.0, 0.99), st.floats(0.001, 0.01))
def test_a_longer_time_is_a_higher_viscosity(key: str, share: float, more: float):
    cup = viscosity.cup(key)
    shortest, longest = cup.time_s
    seconds = shortest + share * (longest - shortest)
    assert cup.mm2_per_s(seconds + more) > cup.mm2_per_s(seconds)


def test_a_reading_as_scripts_see_it():
    reading = viscosity.read(viscosity.cup("iso2431-4"), 40.0, density_ug_per_ml=1_050_000).as_json()
    assert reading["mm2_per_s"] == 49.8
    assert reading["mpa_s"] == 52.29
    assert reading["in_range"] is True
    assert reading["range_s"] == [30, 100]
    assert reading["temperature_c"] == 23
    assert "ISO 2431" in str(reading["standard"])
    longer = viscosity.read(viscosity.cup("iso2431-4"), 41.0, density_ug_per_ml=1_050_000)
    assert (longer.mm2_per_s, longer.mpa_s) == (pytest.approx(51.29195), pytest.approx(53.85655))
    assert (longer.as_json()["mm2_per_s"], longer.as_json()["mpa_s"]) == (51.29, 53.86)


def test_without_a_density_there_is_no_dynamic_viscosity():
    assert viscosity.read(viscosity.cup("zahn-2"), 40.0).mpa_s is None


def test_out_of_range_is_said_with_the_cup_to_take():
    short = viscosity.read(viscosity.cup("iso2431-4"), 20.0)
    assert not short.in_range
    assert "smaller hole" in short.notes[0]
    long = viscosity.read(viscosity.cup("iso2431-4"), 120.0)
    assert not long.in_range
    assert "larger hole" in long.notes[0]


def test_below_what_the_cup_can_tell_there_is_no_figure():
    reading = viscosity.read(viscosity.cup("zahn-2"), 10.0)
    assert reading.mm2_per_s is None
    assert "below what the cup can measure" in viscosity.show(reading)


def test_the_tables_figures_are_read_as_they_are_printed():
    read = viscosity.cups.__wrapped__()  # those that every test shares were read before the first of them
    assert read == viscosity.cups()
    ford, iso = read["ford-4"], read["iso2431-4"]
    assert (ford.temperature_mc, iso.temperature_mc) == (25_000, 23_000)
    assert iso.time_s == (30, 100)
    assert (ford.verified, iso.verified) == (False, True)


def test_another_temperature_is_said():
    cup = viscosity.cup("ford-4")
    assert any("no general correction" in note for note in viscosity.read(cup, 40.0, at_mc=20_000).notes)
    assert not any("temperature" in note for note in viscosity.read(cup, 40.0, at_mc=25_300).notes)


def test_an_equation_from_memory_is_shown_in_whole_figures():
    ford, iso = (
        viscosity.read(viscosity.cup(key), 40.0, density_ug_per_ml=10**6) for key in ("ford-4", "iso2431-4")
    )
    assert viscosity.show(ford) == "Ford 4, 40 s: 137 mm²/s = 137 mPa·s"
    assert viscosity.show(iso) == "ISO 4 mm, 40 s: 49.8 mm²/s = 49.8 mPa·s"
    assert [any("from memory" in note for note in each.notes) for each in (ford, iso)] == [True, False]


@pytest.mark.parametrize("key", ["ford-9", "", "iso", "Ford\x1b4"])
def test_no_such_cup_lists_them(key: str):
    with pytest.raises(BadInput, match="zahn-1") as refusal:
        viscosity.cup(key)
    assert "\x1b" not in str(refusal.value)


def test_a_cup_is_found_as_people_write_it():
    assert viscosity.cup("Ford 4").key == "ford-4"
    assert viscosity.cup(" ZAHN-2 ").key == "zahn-2"


@pytest.mark.parametrize(("text", "seconds"), [("42", 42.0), ("42.5 s", 42.5), ("1", 1.0)])
def test_times(text: str, seconds: float):
    assert viscosity.seconds(text) == seconds


@pytest.mark.parametrize("text", ["", "-5", "0", "1001", "42 ml", "1e2", "42,5", "nan"])
def test_times_refused(text: str):
    with pytest.raises(BadInput):
        viscosity.seconds(text)


def test_like_milk_is_a_figure_and_no_seconds():
    said = " ".join(viscosity.like_milk())
    assert "2 mm²/s" in said
    assert "Shell 1" in said
    assert "stopwatch" in said


class TestTheNextStep:
    def test_a_straight_line_in_the_logarithm(self):
        """80 mm2/s at 10 %, 40 at 15 %: five points halve it, so 20 is reached at 20 %."""
        assert viscosity.next_reduction((10, 80), (15, 40), 20) == pytest.approx(20)

    def test_it_promises_nothing_far_away(self):
        assert viscosity.next_reduction((10, 80), (15, 40), 0.1) == 25

    def test_thin_enough_needs_no_more(self):
        assert viscosity.next_reduction((10, 80), (15, 40), 60) == 15

    @pytest.mark.parametrize(
        ("first", "second", "target"),
        [
            ((10, 80), (10, 40), 20),
            ((10, 40), (15, 80), 20),
            ((10, 80), (15, 0), 20),
            ((10, 80), (15, 40), 0),
        ],
    )
    def test_readings_that_make_no_sense(self, first, second, target):
        with pytest.raises(BadInput):
            viscosity.next_reduction(first, second, target)


def test_a_row_of_the_table_of_cups_as_it_is_read():
    """Temperatures in thousandths of a degree; a constant that isn't given is none."""
    row = {"key": "a", "cup": "A 4", "standard": "S", "temperature_c": "23", "k": "1.5", "c_s": "", "b": "",
           "time_min_s": "30", "time_max_s": "100", "visc_min_mm2_s": "10", "visc_max_mm2_s": "90",
           "status": "verified", "source": "a table"}  # fmt: skip
    found = viscosity._cup(row)
    assert (found.temperature_mc, found.a, found.c_s, found.b, found.verified) == (23_000, 1.5, 0, 0, True)
    assert (found.time_s, found.table_mm2_s) == ((30, 100), (10, 90))
    full = viscosity._cup(row | {"c_s": "2.5", "b": "7", "status": "recalled"})
    assert (full.c_s, full.b, full.verified) == (2.5, 7, False)


@pytest.mark.parametrize(
    ("mm2_per_s", "said"), [(99.94, "99.9 mm²/s"), (100, "100 mm²/s"), (9.96, "10.0 mm²/s")]
)
def test_a_viscosity_is_shown_to_a_tenth_below_a_hundred(mm2_per_s, said):
    cup = viscosity.cup("iso2431-4")
    read = viscosity.read(cup, cup.seconds(50.0), at_mc=23_000)
    verified = read._replace(mm2_per_s=mm2_per_s, cup=cup._replace(verified=True))
    assert said in viscosity.show(verified)
    recalled = verified._replace(cup=cup._replace(verified=False), mm2_per_s=50.0)
    assert "50 mm²/s" in viscosity.show(recalled)


def test_what_flows_faster_than_water_is_a_reading_as_long_as_it_is_more_than_none():
    """A cup whose equation is mm²/s = t - 10: half a mm²/s at 10.5 s, none at 10 s."""
    plain = viscosity.cup("iso2431-4")._replace(a=1.0, b=0.0, c_s=10.0)
    assert viscosity.read(plain, 10.5).mm2_per_s == 0.5
    assert viscosity.read(plain, 10.0).mm2_per_s is None
    assert viscosity.read(plain, 10.5, density_ug_per_ml=1_200_000).mpa_s == 0.6
