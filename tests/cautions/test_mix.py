"""What is said about a mix before it is booked."""

import math
import re
from datetime import date, timedelta

import pytest

from stock.cautions import mix as remembering
from stock.cautions.facts import SEVERITIES, MixPart, SolventShare, StudioFacts
from stock.cautions.mix import mix_findings, wash_findings
from stock.cautions.mixture import lowest_flash, solvent_mg, vapour_pressure_pa
from stock.cautions.substances import HEAVIEST_UG_PER_ML, substance
from tests.cautions.sample_facts import TODAY, bottle, codes, one, part, product, reducer, share


def mixed(*parts, **studio):
    return mix_findings(parts, TODAY, StudioFacts(**studio))


def test_a_calm_mix_says_nothing():
    assert mixed(part(product(1), 8), part(product(2), 2)) == []


def test_a_waterborne_mix_with_half_acetone_flashes_near_eight_degrees():
    found = one(mixed(part(product(), 10), part(reducer(solvent="acetone"), 2)), "mix-burns")
    assert found.severity == "warn"
    assert "highly flammable" in found.message
    assert "H225" in found.message


def test_a_little_alcohol_makes_it_flammable_only():
    found = one(mixed(part(product(), 10), part(reducer(percent=40), 2)), "mix-burns")
    assert (found.severity, "H226" in found.message) == ("note", True)


def test_a_label_worse_than_the_estimate_stands():
    fierce = product(1, flash_point_mc=-10_000, boiling_point_mc=60_000, no_flash_point=False)
    found = mixed(part(fierce, 10), part(reducer(percent=5), 1))
    assert one(found, "mix-burns-by-label").product == "Product 1"
    assert "mix-burns" not in codes(found)


def test_what_cannot_be_estimated_counts_as_highly_flammable():
    secret = reducer(solvents=None)
    found = one(mixed(part(product(), 10), part(secret, 2)), "mix-flash-unknown")
    assert (found.severity, found.product) == ("warn", "Product 2")
    assert "category 2" in found.message


def half_named(**known):
    """A reducer whose sheet names 3 % glycol and 10 % water and leaves the rest open; it flashes at 12 °C."""
    shares = (share("propylene glycol", 3),)
    return reducer(solvents=shares, water_milli=10_000, flash_point_mc=12_000, **known)


def test_what_is_not_named_counts_with_the_flash_point_of_its_sheet_however_little_is_named():
    found = mixed(part(product(), 5), part(half_named(), 10))
    burns = one(found, "mix-flash-unknown")
    assert (burns.severity, "H225" in burns.message, burns.product) == ("warn", True, "Product 2")
    assert "87 % of it is named nowhere" in one(found, "air-unknown").message
    grave = one(mixed(part(product(), 5), part(half_named(boiling_point_mc=30_000), 10)), "mix-flash-unknown")
    assert "H224" in grave.message


@pytest.mark.parametrize(
    ("flash_mc", "water_milli", "hazard"),
    [(26_000, 10_000, "H226"), (40_000, 10_000, "H226"), (94_000, 10_000, None), (12_000, 97_000, None)],
)
def test_the_sheet_s_own_flash_point_bounds_what_is_not_named(flash_mc, water_milli, hazard):
    """Where nothing is left open, or the sheet says that it doesn't burn, nothing is feared of the rest."""
    thinned = half_named()._replace(flash_point_mc=flash_mc, water_milli=water_milli, h_statements=None)
    if water_milli == 97_000:
        thinned = thinned._replace(solvents=(share("ethanol", 3),), flash_point_mc=70_000)
    found = [
        each for each in mixed(part(product(), 10), part(thinned, 1)) if each.code == "mix-flash-unknown"
    ]
    assert [hazard in each.message for each in found] == [True] * bool(hazard)


def test_two_that_are_not_wholly_named_are_taken_five_kelvin_lower():
    glycol = (share("propylene glycol", 3),)
    paint = product(1, solvents=glycol, water_milli=0, flash_point_mc=26_000, no_flash_point=False)
    other = half_named()._replace(flash_point_mc=26_000, h_statements=("H226",))
    assert "H225" in one(mixed(part(paint, 10), part(other, 5)), "mix-flash-unknown").message
    calm = one(mixed(part(product(), 10), part(other, 5)), "mix-flash-unknown").message
    assert ("H226" in calm, "H225" in calm) == (True, False)
    warmer = [each._replace(flash_point_mc=28_000) for each in (paint, other)]
    assert not [each for each in mixed(part(warmer[0], 10), part(warmer[1], 5)) if "H225" in each.message]


def test_a_flash_point_that_the_named_parts_do_not_explain_says_that_there_is_more_in_it():
    odd = reducer(solvents=(share("propylene glycol", 50),), water_milli=50_000, flash_point_mc=12_000)
    assert "H225" in one(mixed(part(product(), 10), part(odd, 2)), "mix-flash-unknown").message


def test_a_range_is_estimated_at_its_worst_end():
    """Acetone 1-20 % in water: at 20 % it flashes near -1 °C, at 1 % above 60 °C."""
    wide = reducer(
        solvents=(SolventShare("acetone", 20_000, "weight", 1_000),), water_milli=80_000, flash_point_mc=None,
        no_flash_point=True,
    )  # fmt: skip
    assert "H225" in one(mixed(part(wide, 10)), "mix-burns").message


def test_a_solvent_that_thins_the_vapour_of_another_counts_at_its_low_end():
    """50 % glycol in it hides 3 % of acetone from the estimate; the sheet says that there may be none."""
    thick = (
        SolventShare("acetone", 3_000, "weight", 0),
        SolventShare("propylene glycol", 90_000, "weight", 0),
    )
    blend = [part(reducer(solvents=thick, water_milli=7_000), 10)]
    alone = [part(reducer(solvents=thick[:1], water_milli=7_000), 10)]
    high = [
        part(reducer(solvents=tuple(each._replace(low_milli=None) for each in thick), water_milli=7_000), 10)
    ]
    assert lowest_flash(blend) == lowest_flash(alone) < lowest_flash(high)


def test_an_unknown_solvent_cannot_be_estimated_either():
    assert "mix-flash-unknown" in codes(
        mixed(part(product(), 10), part(reducer(solvents=(share("a secret", 40),)), 2))
    )


def test_old_bottles_are_said_once_each():
    old = bottle(7, best_before=date(2026, 1, 1))
    found = mixed(part(product(), 4, old), part(product(), 4, old))
    assert [each.bottle for each in found if each.code == "past-best-before"] == [7]


def test_not_with_and_discontinued():
    found = mixed(part(product(1, not_with=(2,), discontinued=True), 8), part(product(2), 2))
    assert {"not-with", "discontinued"} <= codes(found)
    assert found[0].code == "not-with"


def test_a_hardener_s_mist():
    clear = product(1, role="clear", solvents=(share("n-butyl acetate", 45),), water_milli=0,
                    no_flash_point=False, flash_point_mc=25_000)  # fmt: skip
    hardener = product(
        2, role="hardener", solvents=(share("hdi", 60), share("n-butyl acetate", 40)), water_milli=0
    )
    found = one(mixed(part(clear, 10), part(hardener, 5)), "isocyanate-mist")
    assert "supplied air" in found.remedy
    assert "EPA 744-F-00-006" in found.source


def test_the_air_of_the_room_is_held_against_each_limit_and_both_airs_are_shown():
    """100 ml of half acetone in 37 minutes, in a small room that is still, then with a fan, then in a larger one."""
    parts = (part(product(), 10), part(reducer(solvent="acetone"), 100))
    found = one(mixed(*parts), "air-while-spraying")
    assert "against fire" in found.message
    assert "for health" in found.message
    assert "36.7 min" in found.message
    assert (found.severity, "isn't noted" in found.message) == ("warn", True)
    weak = one(mixed(*parts, fan_l_per_h=20_000), "air-while-spraying")
    assert weak.severity == "warn"
    strong = one(mixed(*parts, fan_l_per_h=400_000, room_l=30_000), "air-while-spraying")
    assert strong.severity == "note"
    assert "enough for" in strong.message
    assert "30 m³ (your room)" in strong.message
    assert "6.3 % of the lower explosive limit (25 % is the most)" in weak.message
    assert "2 times the 15-minute limit, 1.5 times the 8-hour limit" in weak.message
    assert "air-while-spraying" not in codes(mixed(*parts, fan_l_per_h=5_000_000))


def test_a_drop_of_acetone_alarms_nobody():
    """2 ml of half acetone: 719 m³/h was asked for 20 ml of it sprayed without a pause."""
    parts = (part(product(), 10), part(reducer(solvent="acetone"), 2))
    assert "air-while-spraying" not in codes(mixed(*parts))


def test_the_time_it_is_sprayed_in_goes_by_the_studio_s_own_rate_or_says_what_is_assumed():
    """Half the rate needs half the air; what may be sprayed an hour at a fan doesn't depend on it."""
    parts = (part(product(), 100), part(reducer(solvent="acetone"), 100))

    def air(**studio):
        return one(mixed(*parts, fan_l_per_h=20_000, **studio), "air-while-spraying").message

    assumed, fast, slow = air(), air(spray_ul_per_min=3_000), air(spray_ul_per_min=1_500)
    assert (
        "if 3 ml of it are sprayed a minute, the fast end of an airbrush; your own rate isn't noted"
        in assumed
    )
    assert "if 1.5 ml of it are sprayed a minute, your own rate" in slow
    health = [float(text.split(" against fire and ")[1].split(" m³/h")[0]) for text in (assumed, fast, slow)]
    assert health[0] == health[1] == pytest.approx(2 * health[2], rel=0.01)
    assert len({text.split("enough for ")[1] for text in (assumed, fast, slow)}) == 1
    assert "1 ml of it is sprayed a minute" in air(spray_ul_per_min=1_000)


def test_a_tightened_rate_is_the_one_that_is_assumed():
    from stock.cautions.facts import RuleChange

    parts = (part(product(), 10), part(reducer(solvent="acetone"), 100))
    tight = RuleChange("air-while-spraying", None, "a gun", (("rate_ul_per_min", 10_000),))
    assert "if 10 ml of it are sprayed" in one(mixed(*parts, changes=(tight,)), "air-while-spraying").message


def test_the_mist_of_anything_that_bears_isocyanate():
    clear = product(
        1, role="clear", solvents=(share("n-butyl acetate", 45),), water_milli=0, groups=("isocyanate",)
    )
    assert "isocyanate-mist" in codes(mixed(part(clear, 10)))


def test_the_air_of_an_unknown_part():
    assert "air-unknown" in codes(mixed(part(product(), 10), part(reducer(solvents=None), 2)))


def test_a_silenced_rule_is_silent_here_too():
    from stock.cautions.facts import RuleChange

    parts = (part(product(), 10), part(reducer(solvent="acetone"), 2))
    quiet = mixed(*parts, changes=(RuleChange("mix-burns", None, "outdoors"),))
    assert "mix-burns" not in codes(quiet)


def test_gravest_first():
    bleach = product(3, role="cleaner", solvents=(share("bleach", 4),))
    found = mixed(part(product(), 10), part(reducer(solvent="acetone"), 2), part(bleach, 1))
    grades = [SEVERITIES.index(each.severity) for each in found]
    assert grades == sorted(grades, reverse=True)
    assert found[0].severity == "stop"


def test_a_part_of_nothing_is_no_trouble():
    assert "mix-burns" not in codes(mixed(part(product(), 10), part(reducer(), 0)))


def test_a_wash_out_of_acetone_is_told_of_fire_and_air():
    found = wash_findings(MixPart(reducer(solvent="acetone"), 15_000), [])
    assert "H225" in one(found, "wash-burns").message
    assert "acetone" in one(found, "air-while-spraying").message
    watery = product(3, role="cleaner", solvents=(), water_milli=98_000)
    assert wash_findings(MixPart(watery, 15_000), [product()]) == []


def test_a_wash_out_of_what_nobody_described_counts_as_highly_flammable():
    unknown = reducer(solvents=None, flash_point_mc=None)
    found = wash_findings(MixPart(unknown, 15_000), [])
    assert codes(found) == {"wash-flash-unknown", "air-unknown"}
    assert all(each.severity == "warn" for each in found)


def test_what_does_not_burn_but_harms_is_told_of_when_it_is_sprayed():
    """5 % ammonia water in 20 ml."""
    found = mixed(part(product(solvents=(share("ammonia", 5),), solids_milli=35_000), 20))
    assert codes(found) == {"air-while-spraying"}
    assert "0 m³/h of fresh air against fire" in found[0].message


def test_what_is_remembered_of_a_mix_is_what_is_found_anew():
    """Other amounts, other rests in the bottles and another day are judged as if nothing had been judged before."""

    def forgotten() -> None:
        for each in (
            remembering._judged,
            remembering._whatever_amounts,
            remembering._of_bottles,
            remembering._blind,
        ):
            each.cache_clear()

    mixes = [
        [
            MixPart(product(), ul, bottle(on_hand_ul=rest)),
            MixPart(thinner, ul // 4, bottle(2, 2, on_hand_ul=rest)),
        ]
        for thinner in (
            reducer(solvent="acetone"),
            reducer(percent=40),
            product(2, role="reducer", solvents=None),
        )
        for ul in (1_000, 80_000)
        for rest in (1, 60_000)
    ]
    asked = [(parts, day) for day in (TODAY, TODAY + timedelta(days=4_000)) for parts in mixes]
    anew = []
    for parts, day in asked:
        forgotten()
        anew.append(mix_findings(parts, day))
    forgotten()
    for _ in range(2):
        assert [mix_findings(parts, day) for parts, day in asked] == anew
    assert len({tuple(found) for found in anew}) > 2


def test_the_mass_of_a_solvent_by_its_basis():
    """40 % of 2 ml at 1.05 g/ml are 840 mg; 40 % by volume are 0.8 ml of ethanol itself, or of the heaviest."""
    paint = product(density_ug_per_ml=1_050_000)
    own_ug_per_ml = substance(share("ethanol", 40)).density_ug_per_ml
    assert solvent_mg(paint, share("ethanol", 40), 2_000) == pytest.approx(840, rel=1e-9)
    assert solvent_mg(paint, share("ethanol", 40, "volume"), 2_000) == pytest.approx(own_ug_per_ml * 0.0008)
    unknown = solvent_mg(paint, share("not in the table", 40, "volume"), 2_000)
    assert unknown == pytest.approx(HEAVIEST_UG_PER_ML * 0.0008)


def test_by_its_boiling_point_alone_a_solvent_has_the_pressure_of_the_air_there():
    for name in ("ethanol", "acetone", "xylene"):
        known = substance(share(name, 100))._replace(antoine=None)
        boils_k = known.boiling_point_mc / 1_000 + 273.15
        assert vapour_pressure_pa(known, boils_k) == pytest.approx(101_325, rel=1e-9)
        assert vapour_pressure_pa(known, boils_k - 20) < 101_325 < vapour_pressure_pa(known, boils_k + 20)


def test_a_reducer_of_which_all_is_named_and_nothing_can_be_estimated_counts_by_its_own_class():
    """Naming more of it is not asked for: how its solvent mixes with others isn't known to any table here."""
    whole = {"water_milli": 0, "solids_milli": 0, "role": "reducer"}
    named = product(
        2, solvents=(share("pcbtf", 100),), flash_point_mc=43_000, boiling_point_mc=139_000, **whole
    )
    found = mixed(part(product(), 10), part(named, 2))
    assert "H226" in one(found, "mix-burns-by-label").message
    assert "mix-flash-unknown" not in codes(found)
    half = named._replace(solvents=(share("pcbtf", 60),))
    assert "H226" in one(mixed(part(product(), 10), part(half, 2)), "mix-flash-unknown").message


def test_a_watery_part_of_unknown_density_may_be_light_and_thin_the_others_less():
    """Eight of a watery leftover and two of propan-2-ol flash lower where the leftover is light, higher where heavy."""
    jar = product(
        role="mixed", water_milli=58_000, solids_milli=34_000, solvents=(share("propylene glycol", 8),),
        density_ug_per_ml=1_111_000, no_flash_point=True, flash_point_mc=None,
    )  # fmt: skip
    spirit = reducer(2, solvent="propan-2-ol", percent=99, water_milli=0)

    def flash(part_of):
        return lowest_flash([part(part_of, 8), part(spirit, 2)])

    unweighed = jar._replace(density_ug_per_ml=None)
    assert flash(unweighed) < flash(jar) < flash(jar._replace(density_ug_per_ml=1_400_000))
    assert lowest_flash([part(unweighed, 8)]) == lowest_flash([part(jar, 8)])


def test_a_vapour_pressure_that_nobody_measured_is_by_trouton_from_the_boiling_point():
    """One atmosphere where it boils; 50 K below it exp(-88 / 8.314 x 50 / 323.15) of one, taken too high."""
    odd = substance("acetone")._replace(antoine=None, boiling_point_mc=100_000)
    assert vapour_pressure_pa(odd, 373.15) == pytest.approx(101_325)
    share_of_one = vapour_pressure_pa(odd, 323.15) / 101_325
    assert math.log(share_of_one) == pytest.approx(-88 / 8.314462618 * 50 / 323.15)


def test_a_density_that_is_not_noted_is_that_of_its_solvents_where_they_are_all_of_it_by_weight():
    """Half ethanol (0.789 g/ml), half water (0.998): 0.881, and higher for how they shrink; else as heavy as paint."""
    half = reducer(density_ug_per_ml=None)
    own = solvent_mg(half, half.solvents[0], 2_000)
    assert 0.881 < own / 1_000 < 0.96
    heaviest = HEAVIEST_UG_PER_ML / 1_000_000
    partly = reducer(density_ug_per_ml=None, water_milli=30_000)
    assert solvent_mg(partly, partly.solvents[0], 2_000) == pytest.approx(1_000 * heaviest)
    mixed_bases = reducer(
        density_ug_per_ml=None,
        solvents=(share("ethanol", 25), share("acetone", 25, "volume")),
        water_milli=50_000,
    )
    assert solvent_mg(mixed_bases, mixed_bases.solvents[0], 4_000) == pytest.approx(1_000 * heaviest)
    by_volume = reducer(solvents=(share("acetone", 50, "volume"),))
    acetone = substance("acetone").density_ug_per_ml / 1_000_000
    assert solvent_mg(by_volume, by_volume.solvents[0], 2_000) == pytest.approx(1_000 * acetone)
    strange = reducer(solvents=(share("a secret", 50, "volume"),))
    assert solvent_mg(strange, strange.solvents[0], 2_000) == pytest.approx(1_000 * heaviest)
    assert solvent_mg(reducer(), reducer().solvents[0], 2_000) == pytest.approx(900)


def test_what_boils_nobody_knows_where_is_taken_to_boil_at_freezing():
    """The thicker its vapour is taken, the worse the estimate."""
    unknown = substance("acetone")._replace(antoine=None, boiling_point_mc=None)
    assert vapour_pressure_pa(unknown, 273.15) == pytest.approx(101_325)


def test_an_estimated_flash_point_is_told_in_whole_degrees():
    for ml in (1, 2, 3, 5, 8):
        message = one(mixed(part(product(), 10), part(reducer(solvent="acetone"), ml)), "mix-burns").message
        assert re.search(r"(?<![\d.])-?\d+ °C", message) and not re.search(r"\d\.\d+ °C", message), message
