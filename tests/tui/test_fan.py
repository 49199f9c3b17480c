"""The run-out fan, as lines that can be read without any colour."""

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rich.cells import cell_len

from stock.forecast.facts import FanDay
from tui.forecast.picture import Fan, Mark, drawn
from tui.forecast.what_if import Assumptions

TODAY = date(2026, 3, 4)


def falling(days: int = 84, start_ul: float = 60_000) -> list[FanDay]:
    """Falls to nothing by half time at worst, at the end in the middle, to half at best."""
    return [
        FanDay(
            day,
            max(start_ul * (1 - 2 * day / days), 0.0),
            start_ul * (1 - day / days),
            start_ul * (1 - day / days / 2),
        )
        for day in range(0, days + 1, 7)
    ]


def texts(fan: Fan, width: int, height: int) -> list[str]:
    return ["".join(run.text for run in line) for line in drawn(fan, width, height)]


@pytest.mark.parametrize(("width", "height"), [(30, 7), (80, 11), (140, 19)])
def test_it_fills_its_room_and_no_more(width, height):
    lines = texts(Fan(falling(), 84, TODAY, [Mark(20, "O", "order 24 Mar")]), width, height)
    assert len(lines) == height
    assert all(cell_len(line) <= width for line in lines)


def test_the_line_falls_from_full_to_nothing():
    lines = texts(Fan(falling(), 84, TODAY), 80, 11)
    rows = lines[1:-3]
    assert rows[0].startswith("   60 ml┤")
    assert rows[3].startswith("      30┤")
    assert rows[-1].startswith("       0┤")
    middle = []
    for line in drawn(Fan(falling(), 84, TODAY), 80, 11)[1:-3]:
        at, lit = 0, []
        for run in line:
            lit += [at + place for place, cell in enumerate(run.text) if run.ink == "ink" and cell in "▀▄█"]
            at += len(run.text)
        middle.append(lit)
    assert all(middle)
    assert [min(cells) for cells in middle] == sorted(min(cells) for cells in middle)
    assert [max(cells) for cells in middle] == sorted(max(cells) for cells in middle)
    assert max(middle[-1]) == 78


def test_marks_have_letters_a_line_and_words():
    marks = [Mark(20, "O", "order 24 Mar"), Mark(27, "D", "comes 31 Mar"), Mark(500, "B", "far away")]
    lines = texts(Fan(falling(), 84, TODAY, marks), 100, 12)
    assert lines[0].split() == ["O", "D"]
    assert "order 24 Mar" in lines[-1]
    column = lines[0].index("D")
    assert any(line[column] == "┊" for line in lines[1:-3])


def test_two_marks_on_one_day_are_both_seen():
    lines = texts(
        Fan(falling(), 84, TODAY, [Mark(0, "O", "a"), Mark(0, "D", "b"), Mark(0, "B", "c")]), 80, 11
    )
    assert lines[0].strip() == "ODB"


def test_days_stand_under_the_axis():
    lines = texts(Fan(falling(), 84, TODAY), 80, 11)
    assert lines[-2].split()[0] == "today"
    assert "1 Apr" in lines[-2]
    assert lines[-3].count("┬") >= 4


@given(
    st.lists(st.tuples(st.floats(0, 1e7), st.floats(0, 1e7), st.floats(0, 1e7)), min_size=1, max_size=20),
    st.integers(30, 160),
    st.integers(7, 40),
    st.lists(st.integers(0, 800), max_size=4),
)
def test_whatever_is_forecast_can_be_drawn(rows, width, height, marks):
    days = [FanDay(7 * place, *sorted(row)) for place, row in enumerate(rows)]
    fan = Fan(days, 7 * len(rows), TODAY, [Mark(day, "ODBP"[place], "x") for place, day in enumerate(marks)])
    lines = texts(fan, width, height)
    assert len(lines) == height
    assert all(cell_len(line) <= width for line in lines)


def test_questions_go_round_and_come_back():
    asked = Assumptions()
    assert asked.plain
    for _ in range(5):
        asked = asked.delayed()
    assert asked.plain
    for _ in range(3):
        asked = asked.served(0.05)
    assert asked.plain
    for _ in range(6):
        asked = asked.stocked()
    assert asked.plain
    assert asked.used(1).used(-1).plain
    far = Assumptions()
    for _ in range(100):
        far = far.used(-1)
    assert far.asked(0.05).more_use > 0


def test_a_question_is_said_in_words():
    asked = Assumptions().used(1).delayed().stocked().served(0.05)
    assert (
        asked.words(0.05)
        == "What if: use +10 %, deliveries 3 days later, 1 bottle more of each, 99% sure.  0 as it is"
    )
    assert asked.asked(0.05).risk == 0.01
    assert Assumptions().words(0.05).startswith("What if?")


def test_a_studios_own_target_that_is_none_of_the_three():
    """A studio that accepts 3 %: the key still goes round."""
    asked = Assumptions().served(0.03)
    assert asked.asked(0.03).risk in (0.10, 0.05, 0.01)
