"""What can burn: each product once, the unknown as the worse case."""

import pytest

from stock.cautions.classification import classify
from stock.cautions.facts import RuleChange
from stock.cautions.flammable import (
    Burning,
    _boiling_words,
    accounted_for,
    boils_above,
    burning,
    kept_flammable,
    limit_category,
    stated,
)
from stock.cautions.rules import rule_book
from tests.cautions.sample_facts import TODAY, bottle, codes, one, place, product, reducer, said, share

ASTRAY = bottle(1, 2, place_id=None)
"""Of which nobody knows where it stands."""


def test_a_category_two_reducer_is_said_with_its_statement():
    found = one(said(reducer(), ASTRAY), "flammable")
    assert (found.severity, found.product, found.bottle) == ("warn", "Product 2", None)
    assert "Danger: Highly flammable liquid and vapour (H225, category 2, NFPA 30 class IB)" in found.message
    assert "1272/2008" in found.source


@pytest.mark.parametrize(
    ("flash_mc", "severity", "hazard"),
    [(22_900, "warn", "H225"), (23_000, "note", "H226"), (60_000, "note", "H226"), (61_000, "note", "H227")],
)
def test_the_graver_categories_warn_and_the_milder_are_noted(flash_mc, severity, hazard):
    found = one(said(reducer(flash_point_mc=flash_mc, solvents=()), ASTRAY), "flammable")
    assert (found.severity, hazard in found.message) == (severity, True)


@pytest.mark.parametrize(
    "flaw", [{"ignition": None}, {"ignition": True}, {"kind": "spray_area"}, {"kind": "rag_bin"}]
)
def test_it_warns_unless_it_is_known_to_stand_where_no_flame_is_near_and_nobody_sprays(flaw):
    def severity(stand):
        return one(said(reducer(), bottle(1, 2), stand), "flammable").severity

    assert severity(place(1, "Cabinet")) == "note"
    assert severity(place(1, "Cabinet", **flaw)) == "warn"
    both = said(reducer(), bottle(1, 2), bottle(2, 2, place_id=None))
    assert one(both, "flammable").severity == "warn", "one bottle of it is astray"


def test_what_stands_as_it_must_is_told_in_one_note_for_each_category():
    goods = [reducer(2), reducer(3, "propan-2-ol"), reducer(4, "2-butoxyethanol"), reducer(5, "acetone")]
    found = [
        each
        for each in said(*goods, *(bottle(number, number) for number in range(2, 6)))
        if each.code == "flammable"
    ]
    assert [(each.severity, each.product, each.others) for each in found] == [
        ("note", None, ("Product 5", "Product 3", "Product 2")), ("note", "Product 4", ()),
    ]  # fmt: skip
    assert (
        "Highly flammable: Product 5 (-15 °C), Product 3 (19 °C), Product 2 (20 °C). Danger: Highly"
        in found[0].message
    )
    silent = RuleChange("flammable", None, "known", (), 3, None, None, TODAY.replace(year=2027))
    quiet = one(
        [
            each
            for each in said(*goods[:2], bottle(2, 2), bottle(3, 3), changes=(silent,))
            if each.code == "flammable"
        ],
        "flammable",
    )
    assert quiet.product == "Product 2"


def test_above_ninety_three_it_is_not_said():
    assert said(reducer(flash_point_mc=94_000, solvents=()), bottle(1, 2)) == []


def test_a_product_is_said_once_however_many_bottles():
    found = said(reducer(), *(bottle(number, 2) for number in range(1, 9)))
    assert [each.code for each in found] == ["flammable"]


def test_a_product_that_is_used_up_is_not_said():
    assert said(reducer(), bottle(1, 2, state="empty", on_hand_ul=0)) == []


def test_no_flash_point_known_of_something_solvent_bearing():
    found = one(said(reducer(flash_point_mc=None), bottle(1, 2)), "flash-point-unknown")
    assert (found.severity, found.action) == ("warn", "find_out")
    assert "bears ethanol" in found.message
    assert "H225, category 2" in found.message


def test_no_flash_point_known_of_something_nobody_described():
    unknown = product(solvents=None, water_milli=None, no_flash_point=False)
    assert "nobody has noted what is in it" in one(said(unknown, bottle()), "flash-point-unknown").message


def test_only_its_sheet_can_say_that_it_has_no_flash_point():
    """Five per cent of acetone in water flashes at 25 °C: that much water proves nothing."""
    assert said(product(), bottle()) == []
    found = one(said(product(no_flash_point=False), bottle()), "flash-point-unknown")
    assert "that there is none isn't noted" in found.message
    assert "flash-point-unknown" in codes(said(product(no_flash_point=False, water_milli=98_000), bottle()))


def test_a_solvent_of_no_per_cent_or_one_that_cannot_burn_does_not_count():
    quiet = product(solvents=(share("ethanol", 0), share("ammonia", 2)), solids_milli=38_000)
    assert said(quiet, bottle()) == []


def test_an_unknown_solvent_is_taken_to_burn():
    assert "flash-point-unknown" in codes(
        said(product(solvents=(share("a secret", 1),), no_flash_point=False), bottle())
    )


def test_a_low_flash_point_without_a_boiling_point_counts_as_category_one():
    found = said(reducer(boiling_point_mc=None, water_milli=40_000, h_statements=("H224",)), bottle(1, 2))
    assert "category 1" in one(found, "flammable").message
    unknown = one(found, "not-noted")
    assert (unknown.action, unknown.message[:13]) == ("find_out", "Boiling point")


def test_what_is_in_it_can_show_that_it_boils_higher():
    """Half ethanol, half water, all of it named: it can't boil below 69 °C, azeotrope or not."""
    found = said(reducer(boiling_point_mc=None, h_statements=("EUH066",)), bottle(1, 2))
    assert "category 2" in one(found, "flammable").message
    assert "can't boil below 69 °C" in one(found, "boiling-point-unknown").message
    assert burning(reducer(boiling_point_mc=None)).categories() == (1, 2), "stores go by the record"


@pytest.mark.parametrize(
    "known",
    [
        {"water_milli": 48_000},
        {"water_milli": None},
        {"solvents": (share("ethanol", 50), share("a secret", 1)), "water_milli": 49_000},
        {"solvents": (share("ethanol", 50, "volume"),)},
        {
            "solvents": (share("acetone", 40), share("methyl acetate", 30), share("butanone", 30)),
            "water_milli": 0,
        },
        {"solvents": (share("ethanol", 50), share("butanone", 50, "volume")), "water_milli": 0},
    ],
)
def test_where_that_can_t_be_shown_it_stays_category_one(known):
    """Some of it isn't named or isn't known, or the shares are by volume, or the bound itself is too low."""
    assert burning(reducer(boiling_point_mc=None, **known)).classes.ghs == 1


def test_the_blend_may_only_make_it_worse():
    """Half acetone and half water flashes below 0 °C, whatever the label says."""
    calm = reducer(solvent="acetone", flash_point_mc=70_000)
    found = one(said(calm, bottle(1, 2)), "blend-burns-lower")
    assert "category 1" not in found.message
    assert burning(calm).classes.ghs == 2
    grave = reducer(solvent="2-butoxyethanol", percent=5, flash_point_mc=-10_000)
    assert burning(grave).classes.ghs == 2
    assert burning(grave).estimate_mc is None


def test_an_estimate_near_a_limit_takes_the_class_five_kelvin_lower():
    """20 % 2-propanol by weight in water flashes near 25 °C; 5 K lower it is category 2."""
    from stock.cautions.mixture import Blend, blend_flash

    weak = reducer(solvent="propan-2-ol", percent=20, flash_point_mc=30_000)
    estimate = blend_flash(Blend.of_product(weak))
    assert 23_000 < estimate < 28_000
    assert burning(weak).classes.ghs == 2


def test_a_flash_point_between_two_readings_is_taken_strictly_and_said():
    found = one(said(reducer(flash_point_mc=22_900), bottle(1, 2)), "between-codes")
    assert "the stricter, IB, is taken" in found.message


def test_for_litre_limits_the_wholly_unknown_counts_as_category_one():
    unknown = product(solvents=None, water_milli=None, no_flash_point=False, boiling_point_mc=None)
    assert limit_category(burning(unknown)) == 1
    boils = product(solvents=None, water_milli=None, no_flash_point=False, boiling_point_mc=90_000)
    assert limit_category(burning(boils)) == 2


def test_a_composition_nobody_noted_is_to_be_found_out():
    assert codes(said(product(solvents=None), bottle())) == {"composition-unknown"}
    assert "composition-unknown" not in codes(said(product(solvents=None, no_flash_point=False), bottle()))


def test_discontinued():
    found = one(said(product(discontinued=True), bottle()), "discontinued")
    assert (found.severity, found.action) == ("note", "use_first")


@pytest.mark.parametrize(
    ("says", "category", "nfpa"),
    [
        ({"h_statements": ("H224",)}, 1, "IA"), ({"h_statements": ("H225", "H319")}, 2, "IA"),
        ({"h_statements": ("H226",)}, 3, "IC"), ({"h_statements": ("H227",)}, 4, "II"),
        ({"h_statements": ("H226", "H228")}, 2, "IA"), ({"h_statements": ("H319",)}, None, None),
        ({"transport_class": "3", "packing_group": "I"}, 1, "IA"),
        ({"transport_class": "3", "packing_group": "II"}, 2, "IA"),
        ({"transport_class": "3 (8)", "packing_group": "III"}, 3, "IC"), ({"transport_class": "3"}, 3, "IC"),
        ({"transport_class": "3", "packing_group": "III", "h_statements": ("H225",)}, 2, "IA"),
        ({"transport_class": "8", "packing_group": "I"}, None, None),
    ],
)  # fmt: skip
def test_the_gravest_of_what_sections_2_and_14_say(says, category, nfpa):
    """CLP annex I 2.6: H224 is category 1, H225 2, H226 3; GHS H227 4. ADR 2.2.3.1.3: packing group I boils low."""
    found = stated(product(**{"h_statements": None, **says}))
    assert (found and (found.ghs, found.osha, found.nfpa)) == (category and (category, category, nfpa))


def test_without_a_flash_point_category_2_is_told_by_its_statement_and_3_only_by_all_of_section_2():
    def without(**known):
        return burning(product(no_flash_point=False, **{"h_statements": None, **known}))

    assert [without(h_statements=(code,)).known for code in ("H224", "H225", "H226")] == [True, True, False]
    section_2 = {"signal_word": "warning", "pictograms": ("GHS02",)}
    flammable = without(h_statements=("H226",), **section_2)
    assert (flammable.known, flammable.classes.ghs, flammable.classes.nfpa) == (True, 3, "IC")
    assert without(h_statements=("H226",), signal_word="warning", pictograms=()).known is False
    calm = without(h_statements=(), signal_word="", pictograms=())
    assert (calm.known, calm.classes.ghs, calm.classes.nfpa) == (True, 4, "II")


def test_what_is_not_known_counts_against_every_limit_that_it_may_be_under():
    """Where it boils is known, what flashes anywhere is category 2 at worst, and class IB."""

    def counts(**known):
        found = burning(product(no_flash_point=False, h_statements=None, **known))
        return found.categories(), found.nfpa_classes(), limit_category(found)

    assert counts() == ((1, 2, 3, 4), ("IA", "IB", "IC", "II", "IIIA"), 1)
    assert counts(boiling_point_mc=78_000) == ((2, 3, 4), ("IB", "IC", "II", "IIIA"), 2)
    assert counts(boiling_point_mc=37_000) == ((2, 3, 4), ("IA", "IB", "IC", "II", "IIIA"), 2)
    assert counts(boiling_point_mc=35_000) == ((1, 2, 3, 4), ("IA", "IB", "IC", "II", "IIIA"), 1)
    assert counts(flash_point_mc=20_000) == ((1, 2), ("IA", "IB"), 1)
    assert counts(flash_point_mc=20_000, boiling_point_mc=78_000) == ((2,), ("IB",), 2)
    assert counts(flash_point_mc=70_000) == ((4,), ("IIIA",), 4)
    assert counts(flash_point_mc=100_000) == ((), (), None)


def test_a_flash_point_stands_before_what_it_is_or_is_said_to_be_unknown():
    shown = one(said(reducer(), bottle(1, 2)), "flammable").message
    assert "20 °C is its flash point" in shown
    by_statement = reducer(flash_point_mc=None, h_statements=("H225",), solvents=None, water_milli=None)
    assert "Flash point not noted" in one(said(by_statement, bottle(1, 2)), "flammable").message


def test_h225_alone_tells_that_it_boils_above_35_degrees():
    """CLP annex I 2.6.2: category 1 boils at 35 °C or below and is H224."""
    assert burning(reducer(boiling_point_mc=None, water_milli=None, h_statements=("H225",))).sheet.ghs == 2
    assert (
        burning(reducer(boiling_point_mc=None, water_milli=None, h_statements=("H224", "H225"))).sheet.ghs
        == 1
    )
    assert burning(reducer(boiling_point_mc=None, water_milli=None, h_statements=None)).sheet.ghs == 1


def test_of_several_kept_as_they_must_be_the_one_that_flashes_lowest_is_first():
    warm, cold = (reducer(number, flash_point_mc=flash) for number, flash in ((2, 22_000), (3, 12_000)))
    [finding] = kept_flammable([(each, burning(each)) for each in (warm, cold)], rule_book())
    assert finding.message.index("Product 3 (12 °C)") < finding.message.index("Product 2 (22 °C)")
    assert (finding.message[:17], finding.severity) == ("Highly flammable:", "note")
    [alone] = kept_flammable([(warm, burning(warm))], rule_book())
    assert "22 °C is its flash point" in alone.message


def test_the_estimate_of_a_blend_is_told_as_gravely_as_what_it_makes_of_it():
    """Half acetone in water is category 2; 20 % propan-2-ol flashes near 25 °C; 5 % 2-butanol near 40 °C."""

    def severity_of(**known):
        found = said(reducer(no_flash_point=False, h_statements=(), **known), bottle(1, 2))
        return one(found, "blend-burns-lower").severity

    assert severity_of(solvent="acetone", flash_point_mc=70_000) == "warn"
    assert severity_of(solvent="ethanol", percent=10, flash_point_mc=95_000) == "note"
    burns = one(said(reducer(solvent="acetone", flash_point_mc=70_000), ASTRAY), "flammable").message
    assert "70 °C is its flash point, by what is in it lower" in burns
    assert ", by what is in it lower" not in one(said(reducer(), ASTRAY), "flammable").message


def test_what_boils_at_least_so_warm_is_said_in_whole_degrees_rounded_down():
    def words(ghs, above_mc):
        classes = classify(20_000, 78_000 if ghs == 2 else 30_000)
        return _boiling_words(Burning(classes, True, classes, None, above_mc))

    assert "can't boil below 69 °C, so it is taken as category 2" in words(2, 69_999)
    assert "can't boil below 70 °C" in words(2, 70_000)
    assert (
        words(2, None)
        == words(1, 69_999)
        == ("so its low flash point counts as category 1, extremely flammable")
    )


def test_a_bound_on_its_boiling_asks_for_99_per_cent_named_by_weight():
    def above(milli, **known):
        return boils_above(reducer(percent=50, **{"water_milli": milli - 50_000, **known}))

    assert above(99_000) is not None
    assert above(98_999) is None
    assert above(100_000, solvents=(share("ethanol", 50, "volume"),)) is None
    assert boils_above(reducer(solvents=(share("ethanol", 100),), water_milli=None)) == pytest.approx(
        78_300, abs=300
    )
    assert boils_above(product(solvents=None, water_milli=None)) is None
    assert boils_above(product(solvents=None, water_milli=100_000)) == pytest.approx(100_000, abs=300)


def test_the_first_three_solvents_of_what_has_no_flash_point_are_named():
    four = tuple(share(name, 10) for name in ("ethanol", "acetone", "xylene", "butanone"))
    found = one(said(reducer(flash_point_mc=None, solvents=four), ASTRAY), "flash-point-unknown")
    assert "bears ethanol, acetone, xylene" in found.message
    assert "butanone" not in found.message


def test_what_is_named_accounts_for_a_product_where_it_explains_what_the_sheet_says():
    """Half ethanol in water flashes at 24 °C by estimate, so 20 °C is explained and -20 °C is not."""

    def all_of_it(**known):
        return accounted_for(reducer(**{"h_statements": None, **known}))

    assert all_of_it() and all_of_it(flash_point_mc=24_000)
    assert all_of_it(flash_point_mc=None)
    assert all_of_it(flash_point_mc=None, h_statements=("H225",))
    assert not all_of_it(flash_point_mc=None, h_statements=("H224",))
    assert not all_of_it(percent=3, flash_point_mc=20_000)
    assert not all_of_it(percent=3, flash_point_mc=None, h_statements=("H225",))
    assert not all_of_it(solvents=None), "nobody has noted what is in it"
    assert not all_of_it(water_milli=40_000), "a tenth of it is named nowhere"
    assert not all_of_it(solvents=(share("ethanol", 49), share("a secret", 1))), "one can't be estimated"


def test_what_is_unknown_silenced_or_does_not_burn_is_in_no_note_of_what_is_kept_right():
    one_, other, calm = reducer(2), reducer(3), product(4)
    unknown = product(5, no_flash_point=False, solvents=None, h_statements=None)
    warm = reducer(6, flash_point_mc=40_000, h_statements=("H226",), solvents=(), water_milli=50_000)
    pairs = [(each, burning(each)) for each in (calm, unknown, one_, warm, other)]
    notes = list(kept_flammable(pairs, rule_book()))
    assert [(each.others, each.product) for each in notes] == [
        (("Product 2", "Product 3"), None),
        ((), "Product 6"),
    ]
    assert "NFPA 30 class IB" in notes[0].message
