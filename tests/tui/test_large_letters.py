"""Letters of blocks."""

from tui.drawing.large_letters import BLANK, GLYPHS, large, small


def test_every_glyph_is_another_one_of_five_rows_of_three_points():
    assert len(set(GLYPHS.values())) == len(GLYPHS)
    assert all(len(rows) == 5 and set(rows) <= set("01234567") for rows in GLYPHS.values())


def test_a_figure_large_and_small():
    assert [row.replace(BLANK, " ") for row in large("1", 80)] == ["  ██", "████", "  ██", "  ██", "██████"]
    assert [row.replace(BLANK, " ") for row in small("1", 80)] == ["▄█", " █", "▀▀▀"]


def test_what_does_not_fit_is_left_out_and_strange_letters_are_said():
    assert large("88", 8) == large("8", 8)
    assert small("AB", 4) == small("A", 4)
    assert small("é", 80) == small("E", 80)
    assert small("☃", 80) == small("?", 80)
    assert small("", 80) == ["", "", ""]
