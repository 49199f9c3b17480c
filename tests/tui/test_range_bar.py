"""The bar of a range, as letters."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tui.bench.range_bar import RangeBar, drawn


def text(bar: RangeBar, width: int = 40) -> list[str]:
    return ["".join(run.text for run in line) for line in drawn(bar, width)]


def test_the_range_the_start_and_the_mix_by_signs():
    above, bar, below = text(RangeBar(low=10, high=20, start=10, now=25))
    assert above.strip() == "▼ start 10 %"
    assert bar.startswith("0 ·")
    assert bar.endswith("· 30 %")
    assert "━━━" in bar
    assert "▲" in below
    assert "this mix 25 %, beyond the range" in below


def test_where_it_sprayed_before_has_a_sign_of_its_own():
    (bar,) = text(RangeBar(low=10, high=30, learnt=(17, 22)))
    assert "━" in bar
    assert "▒" in bar
    assert bar.index("━") < bar.index("▒") < bar.rindex("━")


@pytest.mark.parametrize("now", [0.5, 12, 40, 199])
def test_the_marks_stand_over_their_figures(now: float):
    shown = RangeBar(low=5, high=25, now=now)
    bar, below = text(shown, 60)
    cells = len(bar) - 2 - len(f" {shown.top} %")
    assert below.index("▲") == 2 + min(cells - 1, round(now / shown.top * (cells - 1)))


@given(st.floats(0, 100), st.floats(0, 100), st.floats(0, 200), st.integers(24, 140))
def test_the_bar_fits(low: float, more: float, now: float, width: int):
    lines = text(RangeBar(low=low, high=low + more, start=low, now=now), width)
    assert len(lines[1]) <= width
    assert [lines[0].count("▼"), lines[2].count("▲")] == [1, 1]
