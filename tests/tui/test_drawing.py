"""The drawn bottle: level, state and glass, with no colour needed to read it."""

from datetime import date
from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stock.bench.mixing import MixPlan, MixRequest, PlannedPour
from tui.bench.form import _to_measure
from tui.drawing.bottle import (  # fmt: skip
    LEAST_SEEN,
    DrawnBottle,
    Inks,
    body_rows,
    cap_sign,
    eighths,
    glass_for,
    large,
    medium,
    previewed,
    small,
)
from tui.drawing.colour import channels, contrast, luminance
from tui.drawing.figures import ml_change, spelt
from tui.drawing.mix import head
from tui.drawing.strips import width_of
from tui.themes import DAYLIGHT, LAMP, TERMINAL


def inks(colours: dict[str, str]) -> Inks:
    return Inks(
        "outline", colours["glass"], colours["pale-glass"], colours["dark-glass"], "stop", colours["liquid"]
    )


LAMPLIT = inks(LAMP)


def letters(line: tuple) -> str:
    return "".join(run.text for run in line)


@pytest.mark.parametrize(
    ("held", "size", "cells", "seen"),
    [(0, 60_000, 4, 0), (60_000, 60_000, 4, 32), (30_000, 60_000, 4, 16), (1, 60_000, 4, 1), (59_999, 60_000, 4, 32),
     (66_000, 60_000, 4, 32), (7_500, 60_000, 1, 1), (22_500, 60_000, 1, 3), (-5, 60_000, 4, 0), (5, 0, 4, 0)],
)  # fmt: skip
def test_level_is_read_to_an_eighth_of_a_cell(held: int, size: int, cells: int, seen: int) -> None:
    assert eighths(held, size, cells) == seen


@given(st.integers(1, 10**7), st.integers(1, 10**6), st.integers(1, 20))
def test_more_paint_never_looks_like_less(size: int, held: int, cells: int) -> None:
    assert eighths(held, size, cells) <= eighths(held + size // 7, size, cells) <= cells * 8


@given(st.integers(0, 500_000), st.sampled_from([30_000, 60_000, 120_000, 480_000]), st.integers(0, 500_000))
def test_every_form_keeps_its_size(held: int, size: int, after: int) -> None:
    for state, severity in product(("sealed", "open", "empty", "discarded"), ("", "note", "warn", "stop")):
        bottle = previewed(DrawnBottle(held, size, "#2a6f97", state, severity), after)
        assert width_of(small(bottle, LAMPLIT)) == 9
        lines = medium(bottle, LAMPLIT)
        assert len(lines) == body_rows(size, 4) + 2
        assert {width_of(line) for line in lines} == {7}
        assert {width_of(line) for line in large(bottle, LAMPLIT)} <= {13, 19}


def test_half_full_bottle_is_half_full() -> None:
    lines = medium(DrawnBottle(30_000, 60_000, "#c1121f"), LAMPLIT)
    assert [letters(line)[1:6] for line in lines[-3:]] == ["     ", "▄▄▄▄▄", "█████"]


def test_lying_bottle_shows_eighths_sideways() -> None:
    assert letters(small(DrawnBottle(25_000, 60_000, "#c1121f"), LAMPLIT)) == "▐██▌   ▌□"


def test_state_is_read_from_the_cap_alone() -> None:
    signs = [cap_sign(DrawnBottle(9, 10, None, state)) for state in ("sealed", "open", "empty", "discarded")]
    assert len(set(signs)) == 4
    caps = {
        letters(medium(DrawnBottle(9, 10, None, state), LAMPLIT)[0]) for state in ("sealed", "open", "empty")
    }
    assert len(caps) == 3


@pytest.mark.parametrize(("severity", "sign"), [("stop", "✕"), ("warn", "!"), ("note", "·")])
def test_caution_is_a_sign_on_the_bottle(severity: str, sign: str) -> None:
    bottle = DrawnBottle(9_000, 30_000, "#c1121f", "open", severity)
    assert sign in letters(small(bottle, LAMPLIT))
    assert sign in letters(medium(bottle, LAMPLIT)[1])


def test_preview_hatches_what_goes_and_keeps_what_stays() -> None:
    bottle = DrawnBottle(60_000, 60_000, "#c1121f", after_ul=20_000)
    assert letters(small(bottle, LAMPLIT)) == "▐██░░░░▌□"
    body = [letters(line)[1:6] for line in medium(bottle, LAMPLIT)[-3:]]
    assert body == ["░░░░░", "░░░░░", "█████"]


@given(
    st.tuples(st.integers(0, 255), st.integers(0, 255), st.integers(0, 255)),
    st.sampled_from([LAMP, DAYLIGHT, TERMINAL]),
)
def test_any_paint_can_be_told_from_its_glass(rgb: tuple[int, int, int], colours: dict[str, str]) -> None:
    paint = "#{:02x}{:02x}{:02x}".format(*rgb)
    assert contrast(paint, glass_for(paint, inks(colours))) >= LEAST_SEEN


@pytest.mark.parametrize("colours", [LAMP, DAYLIGHT], ids=["lamp", "daylight"])
def test_glass_stands_out_from_what_is_behind_it(colours: dict[str, str]) -> None:
    assert contrast(colours["outline"], colours["ground"]) >= 3  # WCAG 2.2, 1.4.11 "non-text contrast"


@pytest.mark.parametrize(
    ("one", "other", "ratio"),
    [("#000000", "#ffffff", 21.0), ("#777777", "#ffffff", 4.48), ("#fff", "#ffffff", 1.0)],
)
def test_contrast_as_the_standard_has_it(one: str, other: str, ratio: float) -> None:
    # #777 on white is 4.48:1 in W3C's own "Understanding SC 1.4.3".
    assert contrast(one, other) == pytest.approx(ratio, abs=0.005)


def test_colour_that_cannot_be_read_is_grey() -> None:
    assert channels("puce") == (128, 128, 128)
    assert 0 < luminance("puce") < 1


def test_without_colours_every_level_stands_out_the_same() -> None:
    plain = Inks(
        "outline", LAMP["glass"], LAMP["pale-glass"], LAMP["dark-glass"], "stop", "", LAMP["outline"]
    )
    fills = {
        small(DrawnBottle(9_000, 30_000, paint), plain)[1].ink for paint in ("#000000", "#ffffff", "#c1121f")
    }
    assert fills == {LAMP["outline"]}
    assert contrast(LAMP["outline"], LAMP["glass"]) >= 3
    assert contrast(DAYLIGHT["outline"], DAYLIGHT["glass"]) >= 3


@pytest.mark.parametrize(
    ("parts", "line"),
    [
        ({"paint": 20_000, "hardener": 10_000}, "30 ml = 20 paint + 10 hardener"),
        ({"paint": 8_000, "additive": 400, "reducer": 1_600}, "10 ml = 8 paint + 0.4 additive + 1.6 reducer"),
        ({"paint": 8_000}, "8 ml = 8 paint"),
    ],
)
def test_total_names_every_part_of_it(parts: dict[str, int], line: str) -> None:
    pours = tuple(PlannedPour(1, "", 1, part, volume, 60_000, "") for part, volume in parts.items())
    first = head(MixPlan(MixRequest(()), date(2026, 3, 4), pours), 60)[0]
    assert "".join(run.text for run in first) == line


@pytest.mark.parametrize(
    ("need", "measured"),
    [(3_497, 3_500), (3_500, 3_500), (3_501, 3_600), (999, 1_000), (991, 1_000), (5, 10)],
)
def test_need_of_an_area_is_rounded_up_to_what_can_be_measured(need: int, measured: int) -> None:
    assert _to_measure(need) == measured


def test_a_change_too_small_for_the_rounding_is_seen() -> None:
    assert ml_change(221_000, 213_000) == ("221", "213")
    assert ml_change(221_300, 221_100) == ("221.3", "221.1")
    assert ml_change(1_221_004, 1_221_001) == ("1,221.004", "1,221.001")
    assert ml_change(41_500, 41_500) == ("41.5", "41.5")


def test_typed_measures_are_spelt_out_on_a_page() -> None:
    assert (
        spelt("4y unopened, 1mo opened, at -5C to 30.5C")
        == "4 years unopened, 1 month opened, at -5 °C to 30.5 °C"
    )
    assert spelt("56% water, 4h; 1h30min from 30C") == "56 % water, 4 hours; 1h30min from 30 °C"
    assert spelt("Tern 5Coats, 2wk") == "Tern 5Coats, 2 weeks"
