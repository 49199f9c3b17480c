"""A studio's own word on a rule: silenced, taken more gravely, its figures tighter, and never looser."""

import pytest

from stock.cautions import books as read
from stock.cautions.choices import choose, choose_sets, chosen, in_force
from stock.cautions.facts import RuleChange
from stock.cautions.rules import DEFAULT_SETS
from stock.errors import BadInput, NotFound


def test_a_figure_is_tightened_with_its_reason(books):
    made = choose("near-best-before", "tighten", reason="a slow season", figures={"near_days": 60})
    assert made.to == "told ahead: 60 days"
    assert chosen()[0] == made
    [change] = read.facts().changes
    assert change == RuleChange("near-best-before", None, "a slow season", (("near_days", 60),))
    assert not change.silences


def test_severity_and_figures_in_one(books):
    choose("too-much-waste", "tighten", reason="the town says so", severity="stop", figures={"month_kg": 50})
    [change] = read.facts().changes
    assert (change.severity, dict(change.figures)) == ("stop", {"month_kg": 50})


@pytest.mark.parametrize(
    ("code", "figures", "more_or_less"),
    [
        ("near-best-before", {"near_days": 30}, "more than 30"),
        ("near-best-before", {"near_days": 7}, "more than 30"),
        ("too-much-waste", {"month_kg": 100}, "less than 100"),
        ("too-much-waste", {"month_kg": 1_000}, "less than 100"),
        ("over-building-limit", {"litres_milli": 1_249_100}, "less than 1249.1 L"),
        ("peroxides", {"opened_months": 6, "sealed_months": 24}, "less than 18"),
        ("peroxides", {"opened_months": 0}, "less than 12"),
    ],
)
def test_no_figure_is_loosened_and_the_reason_is_said(books, code, figures, more_or_less):
    with pytest.raises(BadInput, match="not tighter than the rule's own") as refused:
        choose(code, "tighten", reason="easier", figures=figures)
    assert more_or_less in refused.value.remedy
    assert chosen() == []


def test_a_figure_that_is_none_is_refused_with_those_there_are(books):
    with pytest.raises(BadInput, match="has no figure `nearly`") as refused:
        choose("near-best-before", "tighten", reason="x", figures={"nearly": 3})
    assert refused.value.remedy == "It has near_days (told ahead)"
    with pytest.raises(BadInput, match="has no figure"):
        choose("flammable", "tighten", reason="x", figures={"near_days": 60})


def test_without_a_reason_or_a_rule_nothing_is_logged(books):
    with pytest.raises(BadInput, match="no reason"):
        choose("near-best-before", "tighten", reason=" ", figures={"near_days": 60})
    with pytest.raises(NotFound):
        choose("mars", "tighten", reason="x", figures={"near_days": 60})
    with pytest.raises(BadInput, match="of severity note"):
        choose("near-best-before", "tighten", reason="x")
    assert chosen() == []


def test_tightenings_add_up_until_they_are_taken_back():
    rows = [
        ("peroxides", "tighten", "opened_months=6", "one"),
        ("peroxides", "tighten", "stop", "two"),
        ("peroxides", "tighten", "opened_months=3 sealed_months=12", "three"),
        ("flammable", "silence", "", "indoors"),
    ]
    peroxides, flammable = in_force(rows)
    assert peroxides.severity == "stop"
    assert dict(peroxides.figures) == {"opened_months": 3, "sealed_months": 12}
    assert peroxides.reason == "one; two; three"
    assert flammable.silences
    assert in_force([*rows, ("peroxides", "default", "", "four")]) == [flammable]
    ended = in_force([*rows, ("flammable", "tighten", "stop", "five")])
    assert RuleChange("flammable", "stop", "five") in ended


@pytest.mark.parametrize(
    ("code", "severity", "accepted"),
    [
        ("near-best-before", "note", "warn or stop"),
        ("flammable", "warn", "stop"),
        ("flammable", "mild", "stop"),
    ],
)
def test_a_severity_is_tightened_to_any_graver_one(books, code, severity, accepted):
    """What is refused says which ones are graver than the rule's own."""
    with pytest.raises(BadInput, match="is of severity") as refused:
        choose(code, "tighten", reason="x", severity=severity)
    assert refused.value.remedy == f"Tighten it to {accepted}"


def test_what_stops_already_is_not_tightened(books):
    with pytest.raises(BadInput, match="`incompatible` stops already"):
        choose("incompatible", "tighten", reason="x", severity="stop")


def test_one_is_the_tightest_figure_and_no_set_is_the_default(books):
    assert choose("peroxides", "tighten", reason="slow", figures={"opened_months": 1}).figures == {
        "opened_months": 1
    }
    assert choose_sets(["eu-general"]) == ("eu-general",)
    assert read.facts().rule_sets == ("eu-general",)
    assert choose_sets([]) == tuple(DEFAULT_SETS)
    assert read.facts().rule_sets == tuple(DEFAULT_SETS)
    with pytest.raises(BadInput):
        choose_sets(["mars"])
