"""What a rule's figures are called, their units, and how a person writes them."""

import pytest

from stock.cautions import rule_figures
from stock.cautions.rules import shipped
from stock.errors import BadInput


@pytest.mark.parametrize(
    ("name", "text", "measures", "kept"),
    [
        ("litres_milli", "50 L", "metric", 50_000),
        ("litres_milli", "500 ml", "metric", 500),
        ("litres_milli", "10 gal", "us", 37_854),  # 231 cubic inches each
        ("litres_milli", "10 gal", "imperial", 45_461),  # 4.54609 L each
        ("litres_milli", "10 us gal", "metric", 37_854),
        ("kilograms_milli", "20 kg", "metric", 20_000),
        ("kilograms_milli", "44 lb", "metric", 19_958),  # 453.59237 g each
        ("kilograms_milli", "20000 kg", "metric", 20_000_000),
        ("most_mg", "10 kg", "metric", 10_000_000),
        ("most_mc", "40 °C", "metric", 40_000),
        ("most_mc", "104F", "metric", 40_000),
        ("most_mc", "-5 °C", "metric", -5_000),
        ("least_milli", "10%", "metric", 10_000),
        ("near_days", "60", "metric", 60),
        ("near_days", "1 day", "metric", 1),
        ("opened_months", "6 months", "metric", 6),
        ("mixing_milli", "5 times", "metric", 5_000),
        ("rate_ul_per_min", "4 ml/min", "metric", 4_000),
        ("still_room_m3_per_h", "5 m3/h", "metric", 5),
        ("large_ul", "1/2 l", "metric", 500_000),
    ],
)
def test_a_figure_is_read_in_a_unit_of_its_kind(name, text, measures, kept):
    assert rule_figures.read_figure(name, text, measures) == kept


@pytest.mark.parametrize(
    ("name", "text", "why", "remedy"),
    [
        ("litres_milli", "20 kg", "is not in L", "50 L or 10 us gal"),
        ("litres_milli", "10 gal", "could be two measures", "10 us gal"),
        ("litres_milli", "50000", "has no unit", "50 L"),
        ("kilograms_milli", "20 L", "is not in kg", "20 kg or 40 lb"),
        ("most_mc", "40", "has no unit", "40 °C"),
        ("most_mc", "40 %", "is not in °C", "40 °C"),
        ("near_days", "2 months", "is not in days", "20 days"),
        ("mixing_milli", "5", "has no unit", "5 times"),
        ("least_milli", "120%", "is more than 100 %", "10%"),
        ("litres_milli", "-5 L", "is negative", "50 L"),
        ("litres_milli", "1e5 L", "exponent", "50 L"),
        ("litres_milli", "1" + "0" * 20 + " L", "is too large", "50 L"),
    ],
)
def test_another_unit_or_none_is_refused_with_what_to_write(name, text, why, remedy):
    with pytest.raises(BadInput, match=why) as refused:
        rule_figures.read_figure(name, text)
    assert remedy in refused.value.remedy


def test_beside_its_unit_a_bare_figure_has_that_unit():
    assert rule_figures.reader("litres_milli", bare=True)("50") == 50_000
    assert rule_figures.reader("mixing_milli", bare=True)("5") == 5_000


def test_every_figure_of_every_rule_is_shown_in_a_unit_and_read_again_as_shown():
    figures = [
        (name, value)
        for rule in shipped().values()
        for source in (rule.figures, *(limit.figures for limit in rule.limits))
        for name, value in source.items()
        if type(value) is int
    ]
    assert len(figures) > 80
    for name, value in figures:
        text = rule_figures.shown(name, value)
        assert "_" not in rule_figures.in_words(name, value)
        assert rule_figures.read_figure(name, text) == value, (name, text)


def test_gallons_stand_beside_litres_where_the_studio_measures_in_them():
    assert rule_figures.shown("litres_milli", 94_600, "us") == "94.6 L (24.99 gal)"
    assert rule_figures.shown("litres_milli", 45_461, "imperial") == "45.461 L (10 gal)"
    assert rule_figures.shown("kilograms_milli", 20_000, "us") == "20 kg"


def test_a_limit_is_told_with_what_it_counts():
    limits = [limit for rule in shipped().values() for limit in rule.limits]
    words = [rule_figures.limit_in_words(limit.figures) for limit in limits]
    assert any(text.endswith("in the building; categories 2, 3") for text in words)
    assert all("_milli" not in text and "[" not in text for text in words)
    assert any("volume, at most: 50 L" in text and "highest temperature" in text for text in words)


def test_no_other_name_is_a_figure():
    with pytest.raises(BadInput, match="no rule has a figure 'nothing'"):
        rule_figures.read_figure("nothing", "5")


def test_the_largest_figure_that_is_read_is_a_thousand_million_million_of_the_rule_s_own():
    """A fan of 1,000 million million litres an hour is no fan: what is larger is a slip of the hand."""
    most = 10**15
    assert rule_figures.read_figure("near_days", f"{most} days") == most
    assert rule_figures.read_figure("mixing_milli", f"{most // 1_000} times") == most
    for name, text in (("near_days", f"{most + 1} days"), ("mixing_milli", f"{most // 1_000 + 1} times")):
        with pytest.raises(BadInput, match="is too large"):
            rule_figures.read_figure(name, text)


def test_one_of_a_unit_is_said_in_the_singular_but_for_times():
    assert rule_figures.shown("near_days", 1) == "1 day"
    assert rule_figures.shown("near_days", 2) == "2 days"
    assert rule_figures.shown("mixing_milli", 1_000) == "1 times"
