"""What a sheet's range says to read."""

from stock.shelf.dosings import read, show_pressures, words


def test_a_pressure_is_shown_where_both_its_ends_are_noted():
    assert show_pressures(100_000, 200_000) == "at 1 bar to 2 bar"
    assert show_pressures(150_000, 150_000) == "at 1.5 bar"
    assert show_pressures(None, 200_000) == show_pressures(100_000, None) == ""


def test_a_dosing_in_one_line_says_its_pressure_where_one_is_noted():
    plain = read("low=20 high=30")
    assert words(plain) == "20 to 30 % with any reducer, any needle"
    pressed = read("with=Slow Thinner low=20 high=30 step=5 pressure=1..2 bar")
    assert words(pressed) == ("20 to 30 % with Slow Thinner, any needle, at 1 bar to 2 bar, steps of 5 %")
