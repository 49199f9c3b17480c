"""What is said about a mix before it is booked."""

from datetime import date

import pytest

from stock.cautions.facts import SEVERITIES, StudioFacts
from stock.cautions.mix import mix_findings
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


def test_both_airs_are_shown_and_the_fan_held_against_the_larger():
    parts = (part(product(), 10), part(reducer(solvent="acetone"), 2))
    found = one(mixed(*parts), "air-while-spraying")
    assert "against fire" in found.message
    assert "for health" in found.message
    assert (found.severity, "isn't noted" in found.message) == ("warn", True)
    weak = one(mixed(*parts, fan_l_per_h=20_000), "air-while-spraying")
    assert weak.severity == "warn"
    strong = one(mixed(*parts, fan_l_per_h=5_000_000), "air-while-spraying")
    assert strong.severity == "note"
    assert "enough for" in strong.message


def test_the_time_it_is_sprayed_in_goes_by_the_studio_s_own_rate_or_says_what_is_assumed():
    """Half the rate needs half the air; what may be sprayed an hour at a fan doesn't depend on it."""
    parts = (part(product(), 10), part(reducer(solvent="acetone"), 2))

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

    parts = (part(product(), 10), part(reducer(solvent="acetone"), 2))
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
