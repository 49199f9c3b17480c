"""What a sheet's range says to read."""

from stock.shelf.dosings import read, show_needles, show_pressures, words


def test_a_pressure_is_shown_where_both_its_ends_are_noted():
    assert show_pressures(100_000, 200_000) == "at 1 bar to 2 bar"
    assert show_pressures(150_000, 150_000) == "at 1.5 bar"
    assert show_pressures(None, 200_000) == show_pressures(100_000, None) == ""


def test_a_dosing_in_one_line_says_its_pressure_where_one_is_noted():
    plain = read("low=20 high=30")
    assert words(plain) == "20 to 30 % with any reducer, any needle"
    pressed = read("with=Slow Thinner low=20 high=30 step=5 pressure=1..2 bar")
    assert words(pressed) == ("20 to 30 % with Slow Thinner, any needle, at 1 bar to 2 bar, steps of 5 %")


def test_the_needles_of_a_range_are_shown_in_millimetres():
    for low_um, high_um, shown in (
        (None, None, "any needle"), (350, 350, "needle 0.35 mm"), (None, 350, "needle up to 0.35 mm"),
        (200, None, "needle from 0.2 mm"), (200, 350, "needle 0.2 to 0.35 mm"),
    ):  # fmt: skip
        assert show_needles(low_um, high_um) == shown
