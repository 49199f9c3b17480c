"""What a sheet's range says to read: its pressures."""

from stock.shelf.dosings import show_pressures


def test_a_pressure_is_shown_where_both_its_ends_are_noted():
    assert show_pressures(100_000, 200_000) == "at 1 bar to 2 bar"
    assert show_pressures(150_000, 150_000) == "at 1.5 bar"
    assert show_pressures(None, 200_000) == show_pressures(100_000, None) == ""
