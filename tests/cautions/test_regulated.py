"""What rules of law ask of a product or a mix beside fire, air and waste."""

from datetime import date

import pytest

from stock.cautions.mix import mix_findings, wash_findings
from stock.cautions.regulated import diisocyanates_milli
from tests.cautions.sample_facts import TODAY, bottle, codes, one, part, product, reducer, said, share, studio


def hardener(percent=40, number=3, **known):
    rest = {"water_milli": 0, "solids_milli": round((100 - percent) * 1000), "no_flash_point": True, **known}
    return product(number, role="hardener", solvents=(share("hexamethylene diisocyanate", percent),), **rest)


@pytest.mark.parametrize(("percent", "asked"), [(0.09, False), (0.1, True), (40, True)])
def test_training_is_asked_for_from_a_tenth_of_a_per_cent(percent, asked):
    """Regulation (EU) 2020/1149: 0.1 % by weight, of all diisocyanates together."""
    found = said(hardener(percent), bottle(1, 3), rule_sets=("de",))
    assert ("diisocyanate-training" in codes(found)) == asked


def test_who_is_trained_is_named_and_who_was_is_told():
    def training_finding(*trained):
        sets = studio(rule_sets=("eu-general",), trained=trained)
        shelf = codes(said(hardener(), bottle(1, 3), rule_sets=("eu-general",), trained=trained))
        found = one(mix_findings([part(hardener(), 5)], TODAY, sets), "diisocyanate-training")
        assert ("diisocyanate-training" in shelf) == (found.severity == "warn"), (
            "on the shelf only what is missing"
        )
        return found

    assert (training_finding().severity, "nobody is noted" in training_finding().message) == ("warn", True)
    valid = training_finding(("Ana", TODAY))
    assert (valid.severity, "Ana until 2026-03-01" in valid.message) == ("note", True)
    ended = training_finding(("Ana", date(2026, 2, 28)))
    assert (ended.severity, "ended on 2026-02-28" in ended.message) == ("warn", True)
    both = training_finding(
        ("Ana", date(2026, 2, 27)), ("Ben", date(2026, 2, 28)), ("Cleo", date(2026, 1, 31))
    )
    assert "the last training noted, of Ben, ended on 2026-02-28" in both.message
    three = [(name, TODAY) for name in ("Ana", "Ben", "Cleo")]
    assert (
        "trained: Ana until 2026-03-01, Ben until 2026-03-01, Cleo until 2026-03-01;"
        in training_finding(*three).message
    )
    assert "Cleo until 2026-03-01 and 1 more;" in training_finding(*three, ("Dora", TODAY)).message
    before = said(hardener(), bottle(1, 3, received_on=None), as_of=date(2023, 8, 23))
    assert "diisocyanate-training" not in codes(before)


def test_what_may_be_a_diisocyanate_counts_as_one():
    unknown = product(3, role="hardener", solvents=None, water_milli=None, no_flash_point=False)
    assert "diisocyanate-training" in codes(said(unknown, bottle(1, 3), rule_sets=("fr",)))
    assert "diisocyanate-training" not in codes(said(unknown, bottle(1, 3), rule_sets=("us-epa",)))
    mixed = mix_findings([part(product(), 8), part(hardener(), 2)], TODAY)
    assert "diisocyanate-training" in codes(mixed)


def test_dichloromethane_is_told_of_on_the_shelf_and_at_the_sink():
    stripper = product(1, role="cleaner", solvents=(share("dichloromethane", 90),), water_milli=10_000)
    found = one(said(stripper, bottle(), rule_sets=("us-epa",)), "dichloromethane")
    assert (found.severity, "90 %" in found.message, "local authority" in found.remedy) == (
        "note",
        True,
        True,
    )
    assert "dichloromethane" not in codes(said(stripper, bottle(), rule_sets=("uk",)))
    assert "dichloromethane" in codes(wash_findings(part(stripper, 10), []))
    trace = stripper._replace(solvents=(share("dichloromethane", 0.09),))
    assert "dichloromethane" not in codes(said(trace, bottle(), rule_sets=("us-epa",)))


@pytest.mark.parametrize(
    ("name", "percent", "named_metal"),
    [
        ("lead chromate", 0.1, "chromium (0.1 %), lead (0.1 %)"),
        ("lead chromate", 0.09, None),
        ("manganese", 0.9, None),
        ("manganese", 1, "manganese (1 %)"),
        ("cadmium sulfide", 5, "cadmium (5 %)"),
        ("nickel", 0.2, "nickel (0.2 %)"),
        ("titanium dioxide", 20, None),
    ],
)
def test_metals_of_a_sprayed_coating_from_their_thresholds(name, percent, named_metal):
    """40 CFR 63.11180 as state agencies print it: 0.1 %, and 1.0 % of manganese, which is no carcinogen there."""
    paint = product(solvents=(share(name, percent),))
    found = [
        each.message for each in said(paint, bottle(), rule_sets=("us-epa",)) if each.code == "target-metals"
    ]
    assert (named_metal in found[0].casefold()) if named_metal else found == []
    assert "target-metals" not in codes(said(paint._replace(role="cleaner"), bottle(), rule_sets=("us-epa",)))


def clear(**known):
    return product(
        1, role="clear", solvents=(share("n-butyl acetate", 40),), water_milli=0, solids_milli=60_000,
        density_ug_per_ml=1_000_000, no_flash_point=False, flash_point_mc=25_000, boiling_point_mc=126_000, **known,
    )  # fmt: skip


def test_a_mix_is_held_to_the_limits_of_its_products():
    """400 g/L as bought; with a tenth of butyl acetate (882 g/L) 443.8 g/L: more than 420, less than 600."""
    held = clear(voc_categories=("eu:topcoat", "us:topcoat"))
    thin = reducer(2, "n-butyl acetate", 100, density_ug_per_ml=882_000)
    alone = mix_findings([part(held, 10)], TODAY)
    assert "voc-over-limit" not in codes(alone)
    found = one(mix_findings([part(held, 10), part(thin, 1)], TODAY), "voc-over-limit")
    assert "443.8 g/L of VOC without its water; as topcoat it may hold 420 g/L" in found.message
    assert "2004/42/EC" in found.source
    american = mix_findings([part(held, 10), part(thin, 1)], TODAY, studio(rule_sets=("us-epa",)))
    assert "voc-over-limit" not in codes(american)
    assert "voc-over-limit" not in codes(mix_findings([part(clear(), 10), part(thin, 5)], TODAY))
    bought = thin._replace(voc_categories=("eu:preparatory",), density_ug_per_ml=840_000)
    both = mix_findings([part(held, 10), part(bought, 0.2)], TODAY)
    assert "voc-over-limit" not in codes(both), "what the reducer may hold is no limit of the mix"


def test_a_cleaner_is_held_to_its_limit_as_it_was_bought():
    washes = reducer(1, "ethanol", 30, role="cleaner", voc_categories=("us:glass_cleaner", "eu:precleaner"))
    found = [each for each in said(washes, bottle()) if each.code == "voc-over-limit"]
    assert len(found) == 2
    assert any("30 % of VOC by weight; as glass cleaner it may hold 8 %" in each.message for each in found)
    assert any("from memory" in each.source for each in found)


def test_what_an_american_limit_leaves_out_is_named_and_a_european_one_leaves_out_nothing():
    """Acetone is exempt by 40 CFR 51.100(s); Directive 2004/42/EC counts it."""
    with_acetone = clear(voc_categories=("eu:topcoat", "us:topcoat"))._replace(
        solvents=(share("n-butyl acetate", 60), share("acetone", 20)), solids_milli=20_000
    )
    for sets, named in ((("us-epa",), True), (("eu-general",), False)):
        found = one(mix_findings([part(with_acetone, 10)], TODAY, studio(rule_sets=sets)), "voc-over-limit")
        assert ("acetone left out by 40 CFR 51.100(s)" in found.message) is named
    without = with_acetone._replace(solvents=(share("n-butyl acetate", 80),))
    american = mix_findings([part(without, 10)], TODAY, studio(rule_sets=("us-epa",)))
    assert "left out by" not in one(american, "voc-over-limit").message


def test_diisocyanates_are_what_is_named_and_of_a_hardener_what_may_be():
    """Of what is an isocyanate, or may be: what isn't named, and where none is named, its solids; a tenth at least."""
    hdi, ester = share("hexamethylene diisocyanate", 40), share("n-butyl acetate", 50)
    whole = {"number": 3, "role": "hardener", "water_milli": 0, "no_flash_point": True}

    def held(**known):
        return diisocyanates_milli(product(**{**whole, **known}))

    assert held(solvents=(hdi, ester), solids_milli=10_000) == 40_000
    assert held(solvents=(hdi, ester)) == 50_000
    assert held(solvents=(hdi, ester), solids_milli=9_000) == 40_000
    assert held(solvents=(hdi, ester), solids_milli=8_999) == 41_001
    assert held(solvents=(hdi, share("toluene diisocyanate", 5)), solids_milli=55_000) == 45_000
    assert held(solvents=(ester,), solids_milli=50_000) == 50_000
    assert held(solvents=(share("n-butyl acetate", 99.95),), solids_milli=0) == 100
    assert held(solvents=None) == 100_000
    assert held(solvents=(ester,), groups=("amine",), role="hardener") == 0
    assert diisocyanates_milli(product(solvents=(hdi,), groups=("waterborne",), water_milli=60_000)) >= 40_000
