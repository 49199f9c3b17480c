"""What isn't named of a product counts in the air as the worst solvent that its sheet doesn't rule out."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stock.cautions.facts import RuleChange, SolventShare, StudioFacts
from stock.cautions.mix import mix_findings, wash_findings
from stock.cautions.rules import rule_book
from stock.cautions.unnamed_vapour import worst_of_share, worst_vapour
from stock.cautions.vapours import vapours_of
from stock.cautions.ventilation import air_for
from tests.cautions.knowing import UNKNOWN, less
from tests.cautions.sample_facts import TODAY, codes, one, part, product, reducer
from tests.cautions.test_knowledge import products
from tests.sampling import drawn

OPEN = {"flash_point_mc": None, "boiling_point_mc": None, "h_statements": None, "water_milli": None}


def worst(**known):
    return worst_vapour(reducer(**{"solvents": None, **OPEN, **known}), 3)


def test_where_the_sheet_says_nothing_no_solvent_is_ruled_out():
    found = worst()
    assert (found.to_breathe, found.to_burn, found.ruled_out_by) == ("2-methoxyethanol", "naphthalene", ())
    assert found.health == pytest.approx(1 / 76_094 / 0.1)  # 76.094 g/mol at 0.1 ppm
    assert found.fire == pytest.approx(1 / 128_171 / 600)  # 128.171 g/mol, 0.6 % of the air


def test_what_would_carry_a_statement_that_the_sheet_lacks_is_only_a_trace():
    """2-Methoxyethanol may harm the unborn (H360FD): from 0.3 % on a mixture says so."""
    found = worst(h_statements=("H225", "H319", "H336"))
    assert found.to_breathe != "2-methoxyethanol"
    assert "hazard statements" in found.ruled_out_by
    at_a_trace = 0.003 / 76_094 / 0.1
    assert at_a_trace <= found.health < worst().health / 100
    assert worst(h_statements=("H225", "H360D", "H312", "H302", "H332")).to_breathe == "2-methoxyethanol"


def test_statements_that_contradict_the_record_rule_nothing_out():
    assert worst(h_statements=("H226",), flash_point_mc=-20_000).health == worst().health


def test_what_flashes_far_lower_than_the_sheet_says_is_thinned_by_water_at_most():
    assert worst(flash_point_mc=-20_000).to_breathe == "2-methoxyethanol"
    high = worst(flash_point_mc=95_000)
    assert "flash point" in high.ruled_out_by
    assert high.fire < worst().fire
    assert worst(no_flash_point=True).fire < worst().fire


def test_what_boils_far_lower_than_the_sheet_says_is_thinned_by_water_at_most():
    """Benzene boils at 80 °C: of a product that boils at 160 °C it can be no large part."""
    lacks = {"h_statements": ("H225", "H350", "H340", "H372", "H373", "H304", "H315", "H319")}
    low, high = worst(boiling_point_mc=80_000, **lacks), worst(boiling_point_mc=240_000, **lacks)
    assert low.to_breathe == high.to_breathe == "benzene"
    assert high.health < low.health / 2
    assert "boiling point" in high.ruled_out_by


def test_all_named_leaves_nothing():
    whole = reducer(solvents=(SolventShare("ethanol", 30_000, "weight"),), water_milli=70_000)
    assert worst_vapour(whole, 3) is None
    assert worst_vapour(whole._replace(water_milli=69_000), 3) is None
    assert worst_vapour(whole._replace(water_milli=68_000), 3) is not None


def test_a_name_that_is_not_known_here_is_no_milder_than_no_name():
    secret = SolventShare("a secret", 60_000, "weight")
    named = reducer(solvents=(secret,), **OPEN)
    bare = reducer(solvents=(), groups=("alcohol",), **OPEN)

    def health_l(of):
        return air_for(vapours_of([part(of, 10)], rule_book())).health_l

    assert worst_of_share(named, 60_000, 3).health == worst().health
    assert health_l(named) >= health_l(named._replace(solvents=None)) * (1 - 1e-9)
    assert health_l(bare._replace(solvents=None)) >= health_l(named) * (1 - 1e-9)


def test_the_figure_and_why_are_told_for_a_mix_and_for_a_wash():
    eddy = reducer(
        name="Eddy", solvents=(SolventShare("propylene glycol", 3_000, "weight"),), water_milli=10_000,
        flash_point_mc=12_000, boiling_point_mc=78_000, h_statements=("H225", "H319"),
    )  # fmt: skip
    mixed = mix_findings([part(product(), 10), part(eddy, 20)], TODAY)
    said = one(mixed, "air-unknown")
    assert said.message.startswith("Eddy: 87 % of it is named nowhere on its record. At worst this needs ")
    assert "by its flash point and its boiling point and its hazard statements" in said.message
    assert "m³/h of fresh air for health and" in said.message
    assert "for what isn't named harms like" in said.message
    assert "air-while-spraying" not in codes(mixed)
    assert "At worst this needs" in one(wash_findings(part(eddy, 10), []), "air-unknown").message


def test_a_fan_and_a_room_count_at_worst_too():
    parts = [part(reducer(solvents=None, **OPEN), 10)]
    still = one(mix_findings(parts, TODAY), "air-unknown").message
    aired = one(
        mix_findings(parts, TODAY, StudioFacts(fan_l_per_h=500_000, room_l=60_000)), "air-unknown"
    ).message
    assert "in 10 m³ (a small room, for yours isn't noted)" in still
    assert "in 60 m³ (your room)" in aired and "your fan moves 500 m³/h" in aired


def test_silenced_for_one_product_it_still_counts_in_the_figure():
    silence = RuleChange("air-unknown", None, "asked the maker", (), product_id=2)
    parts = [part(reducer(solvents=None, **OPEN), 10)]
    said = one(mix_findings(parts, TODAY, StudioFacts(changes=(silence,))), "air-while-spraying")
    assert "what isn't named of" in said.message


FACTS = ("flash_point", "boiling_point", "h_statements", "water", "solids")


@drawn(0.3)
@given(products(1), st.sampled_from(FACTS))
def test_a_fact_that_is_not_known_never_makes_the_air_better(one, field):
    """Its density is noted: that of what is nearly all solvent is else worked out from what is in it."""

    def air(of):
        return air_for(vapours_of([part(of, 10)], rule_book()))

    weighed = one._replace(density_ug_per_ml=1_000_000)
    known, unknown = air(weighed), air(less(weighed, field, UNKNOWN))
    assert unknown.health_l >= known.health_l * (1 - 1e-9)
    assert unknown.fire_l >= known.fire_l * (1 - 1e-9)
