"""What goes where when it is thrown away."""

from datetime import date

import pytest

from stock.cautions.eu_waste_codes import (
    SLACK_MILLI,
    STATED_FROM_MILLI,
    WATER_FROM_MILLI,
    _bears,
    _bears_harm,
    eu_code,
)
from stock.cautions.facts import SolventShare, WasteMade
from stock.cautions.findings import findings, stored_bottles
from stock.cautions.rules import rule_book
from stock.cautions.waste import (
    codes_in_words,
    codes_of_made,
    destinations,
    is_hazardous,
    waste_of,
    words_of_made,
)
from stock.cautions.waste_codes import (
    group_of,
    levels,
    spent_codes,
    us_codes,
    weak_alcohol,
    why_not_ignitable,
)
from stock.grammar import in_full
from tests.cautions.sample_facts import TODAY, bottle, codes, one, product, reducer, said, share, studio

OLD = date(2026, 1, 1)


def test_what_flashes_below_sixty_is_ignitable():
    assert waste_of(reducer(solvent="acetone")).codes == ("D001",)
    assert waste_of(reducer(flash_point_mc=60_000)).ignitable is False


def test_only_what_was_used_as_a_solvent_is_a_spent_solvent():
    """EPA, RO 14109: a product thrown away unused carries no F code."""
    assert waste_of(reducer(solvent="acetone"), spent=True).codes == ("D001", "F003")


def test_codes_are_those_of_the_lists_that_count_here():
    """Both where no list was chosen: what is not known to apply may apply."""
    thrown = stored_bottles(studio(reducer(solvent="acetone"), bottle(1, 2)))[0]
    us, eu = "us-epa", "eu-general"
    for sets, lists in (((), "UE"), ((us,), "U"), ((eu,), "E"), ((us, eu), "UE")):
        words = codes_in_words(thrown, rule_book(sets))
        assert "".join("E" if each.startswith("EU ") else "U" for each in words) == lists, sets


def test_why_something_is_not_ignitable_says_which_of_the_two_reasons_it_is():
    assert why_not_ignitable(reducer(flash_point_mc=60_000)) == "it doesn't flash below 60 °C"
    assert why_not_ignitable(reducer(flash_point_mc=59_999)).startswith("weak alcohol in water")


@pytest.mark.parametrize(("name", "code"), [("dichloromethane", "08 01 11*"), ("glycerol", "08 01 12")])
def test_a_chlorinated_solvent_makes_paint_hazardous_though_it_does_not_burn(name, code):
    """European list of waste 08 01 11*: paint with organic solvents or other hazardous substances."""
    paint = product(
        solvents=(share(name, 10),), water_milli=90_000, solids_milli=0, no_flash_point=True, h_statements=()
    )
    assert eu_code(paint, None).code == code


def test_a_metal_s_code_is_assumed_and_a_solvent_s_follows_from_its_share():
    """Only a leaching test settles a metal's code."""
    found = {each.code: each.assumed for each in us_codes(product(solvents=(share("lead chromate", 10),)))}
    assert (found["D007"], found["D008"]) == (True, True)


def spent(one):
    return tuple(sorted(each.code for each in spent_codes(one)))


@pytest.mark.parametrize(
    ("solvents", "codes"),
    [
        ((share("acetone", 50),), ("F003",)),
        ((share("methanol", 5), share("ethyl acetate", 5)), ("F003",)),
        ((share("acetone", 30), share("ethanol", 20)), ()),
        ((share("butanone", 10, "volume"),), ("F005",)),
        ((share("butanone", 9.9, "volume"),), ()),
        ((share("butanone", 8.1),), ("F005",)),
        ((share("butanone", 8),), ()),
        ((share("toluene", 5, "volume"), share("butanone", 5, "volume")), ("F005",)),
        ((share("dichloromethane", 6, "volume"), share("toluene", 4, "volume")), ("F002", "F005")),
        ((share("xylene", 20), share("toluene", 10)), ("F003", "F005")),
        ((share("butanone", 20), share("acetone", 5)), ("F003", "F005")),
        ((share("butanone", 5), share("acetone", 50)), ()),
    ],
)  # fmt: skip
def test_spent_solvents_by_what_was_in_them_before_use(solvents, codes):
    """F005 from 10 % by volume of its list; F003 alone, or with 10 % of F005 (50 FR 53315)."""
    named = sum(
        each.percent_milli * 8 // 10 if each.basis == "volume" else each.percent_milli for each in solvents
    )
    rest = {"water_milli": 0, "solids_milli": 100_000 - named, "density_ug_per_ml": 1_000_000}
    assert spent(reducer(solvents=solvents, **rest)) == codes
    unnamed = reducer(solvents=solvents, water_milli=None)
    assert set(spent(unnamed)) >= {*codes, "F005"}, "what isn't named may be of the list"
    assert "F005" in codes or waste_of(unnamed, spent=True).assumed
    assert waste_of(reducer(solvents=None), spent=True).codes == ("D001", "F005")


def test_an_unknown_flash_point_counts_as_ignitable_and_says_so():
    found = waste_of(reducer(flash_point_mc=None))
    assert (found.ignitable, found.assumed) == (True, True)


def test_weak_alcohol_in_much_water_is_excluded_and_acetone_is_not():
    """Less than 24 % by volume of all alcohols together, and at least half water by weight."""
    weak = {"percent": 15, "flash_point_mc": 40_000}
    assert weak_alcohol(reducer(**weak))
    assert not weak_alcohol(reducer(percent=15)), "15 % of ethanol does not explain that it flashes at 20 °C"
    assert not weak_alcohol(reducer(percent=22))
    assert not weak_alcohol(reducer(solvent="acetone", percent=15))
    both = reducer(solvents=(share("ethanol", 11), share("propan-2-ol", 11)), water_milli=78_000)
    assert not weak_alcohol(both)
    assert not weak_alcohol(reducer(**weak, water_milli=49_000, solids_milli=36_000))
    assert not weak_alcohol(reducer(**weak, water_milli=83_000)), "2 % of it isn't named"
    assert weak_alcohol(reducer(**weak, water_milli=65_000, solids_milli=20_000))


def test_bottles_to_throw_away_that_are_ignitable_are_named():
    found = one(said(reducer(solvent="acetone"), bottle(4, 2, best_before=OLD)), "hazardous-waste")
    assert "bottle 4" in found.message
    assert "hazardous-waste" not in codes(said(product(), bottle(4, best_before=OLD)))
    assert "hazardous-waste" not in codes(said(reducer(solvent="acetone"), bottle(4, 2)))


def test_what_reacts_may_not_go_into_one_can():
    bleach = product(1, role="cleaner", solvents=(share("bleach", 4),))
    found = said(
        bleach, reducer(solvent="acetone"), bottle(1, 1, best_before=OLD), bottle(2, 2, best_before=OLD)
    )
    assert "one waste can" in one(found, "waste-apart").message


def test_a_month_s_waste_against_the_small_generator_s_limit():
    kilogram = 1_000_000
    sets = ("us-epa",)
    assert "too-much-waste" not in codes(said(rule_sets=sets, waste_mg=100 * kilogram))
    assert (
        "100.1 kg" in one(said(rule_sets=sets, waste_mg=100 * kilogram + 100_000), "too-much-waste").message
    )


def test_waste_on_hand_counts_what_was_thrown_away_and_what_waits():
    """From 1000 kg on, and not only above it, the exemption ends: 40 CFR 262.14(a)(4)."""
    tonne, sets = 1_000_000_000, ("us-epa",)
    assert "waste-on-hand" not in codes(said(rule_sets=sets, waste_on_hand_mg=tonne - 1))
    found = one(said(rule_sets=sets, waste_on_hand_mg=tonne), "waste-on-hand")
    assert "1000.0 kg" in found.message
    assert "no collection is noted" in found.message
    waiting = reducer(solvent="acetone", density_ug_per_ml=1_000_000), bottle(1, 2, best_before=OLD)
    short = tonne - 60_000
    assert "waste-on-hand" in codes(said(*waiting, rule_sets=sets, waste_on_hand_mg=short, waste_since=OLD))
    assert "waste-on-hand" not in codes(said(*waiting, rule_sets=sets, waste_on_hand_mg=short - 1))


def test_what_goes_where():
    goods = product(1), reducer(2, "acetone"), product(3, role="cleaner", groups=("bleach",))
    facts = studio(*goods, *(bottle(number, number, best_before=OLD) for number in (1, 2, 3)))
    paint, solvent, bleach = destinations(stored_bottles(facts), findings(facts, TODAY))
    assert paint.to == "the paint collection; never the drain"
    cleaner = product(1, role="cleaner")
    [other] = destinations(
        stored_bottles(studio(cleaner, bottle(best_before=OLD))), said(cleaner, bottle(best_before=OLD))
    )
    assert other.to == "the hazardous waste collection; never the drain"
    assert (solvent.codes, "closed metal can" in solvent.to) == (("D001",), True)
    assert "a can of its own" in bleach.to


def corrosive(**known):
    """The codes that speak of what corrodes: (whether it is assumed, why) of D002, else None; and the European code."""
    calm = {"solvents": (), "water_milli": 90_000, "solids_milli": 10_000, "no_flash_point": True,
            "flash_point_mc": None, "h_statements": (), "role": "cleaner"}  # fmt: skip
    given = product(**{**calm, **known})
    found = next((each for each in us_codes(given) if each.code == "D002"), None)
    return (None if found is None else (found.assumed, found.why)), eu_code(given).code


@pytest.mark.parametrize(
    ("low", "high", "why", "eu"),
    [
        (2_000, 2_000, "2 or below", "06 01 06*"), (2_001, 2_001, None, "16 10 02"),
        (0, 7_000, "2 or below", "06 01 06*"),
        (12_500, 12_500, "12.5 or above", "06 02 05*"), (12_499, 12_499, None, "16 10 02"),
        (11_000, 13_000, "12.5 or above", "06 02 05*"), (None, None, None, "16 10 02"),
    ],
)  # fmt: skip
def test_a_ph_makes_waste_corrosive_by_the_worse_end_of_its_range(low, high, why, eu):
    """40 CFR 261.22(a)(1): aqueous, pH 2 or below, 12.5 or above."""
    found, code = corrosive(ph_low_milli=low, ph_high_milli=high)
    assert found == (None if why is None else (False, f"its pH is {why}"))
    assert code == eu


def test_a_known_ph_answers_for_a_burn_of_the_skin_but_not_for_metal_and_not_for_a_strong_lye_within():
    seven = {"ph_low_milli": 7_000, "ph_high_milli": 8_000}
    assert "pH isn't known" in corrosive(h_statements=("H314",))[0][1]
    assert corrosive(h_statements=("H314",), **seven)[0] is None
    assert "eats steel" in corrosive(h_statements=("H290",), **seven)[0][1]
    assert "pH isn't known" in corrosive(groups=("acid",))[0][1]
    assert corrosive(groups=("acid",), **seven)[0] is None
    lye = {"solvents": (share("sodium hydroxide", 1),), "water_milli": 99_000, "solids_milli": 0}
    assert corrosive(**lye)[0][0] is False
    assert corrosive(**lye, **seven)[0] == (
        True, "sodium hydroxide from 0.13 % gives a pH of 12.5 or above, unlike the pH that is noted"
    )  # fmt: skip
    extreme = {"ph_low_milli": 13_000, "ph_high_milli": 13_000, "water_milli": 0, "solids_milli": 100_000}
    assert corrosive(**extreme)[0] == (True, "its pH is 12.5 or above, though no water is noted in it")


def test_whose_list_makes_a_bottle_hazardous_waste():
    """
    acetone                    by both lists
    paint of dichloromethane   by the European list alone; glycerol by none
    a product that only flashes between 55 and 60 °C: see what counts where, and both where no list was chosen
    """
    us, eu = "us-epa", "eu-general"
    burns = reducer(solvent="acetone")
    chlorinated = product(
        solvents=(share("dichloromethane", 10),),
        water_milli=90_000,
        solids_milli=0,
        no_flash_point=True,
        h_statements=(),
    )
    assert not waste_of(chlorinated).hazardous
    for of, sets, counts in (
        (burns, (), True), (burns, (us,), True), (burns, (eu,), True),
        (chlorinated, (), True), (chlorinated, (us,), False), (chlorinated, (eu,), True), (chlorinated, (us, eu), True),
    ):  # fmt: skip
        thrown = stored_bottles(studio(of, bottle(1, of.id)))[0]
        assert is_hazardous(thrown, rule_book(sets)) is counts, (of.name, sets)


def test_the_first_two_products_to_throw_away_are_told_and_the_others_counted():
    def waste_message(count: int) -> str:
        goods = [reducer(number, "acetone") for number in range(1, count + 1)]
        bottles = [bottle(number, number, best_before=OLD) for number in range(1, count + 1)]
        return one(said(*goods, *bottles, bottle(9, 1, best_before=OLD)), "hazardous-waste").message

    assert "more products" not in waste_message(2)
    assert "And 1 more products" in waste_message(3)
    assert "And 2 more products" in waste_message(4)
    assert "Product 1 (bottles 1, 9): D001" in waste_message(2)


def test_waste_that_was_made_has_the_codes_of_the_lists_that_count():
    """Each code once, in the order of the products; European ones begin with EU."""
    made = WasteMade((reducer(1, "acetone"), reducer(2, "acetone"), reducer(3, "ethanol")), True, 1_000)
    assert codes_of_made(made) == ("D001", "F003")
    us, eu = "us-epa", "eu-general"
    for sets, american, european in (((), 2, 1), ((us,), 2, 0), ((eu,), 0, 1), ((us, eu), 2, 1)):
        words = words_of_made(made, rule_book(sets))
        assert len([each for each in words if not each.startswith("EU ")]) == american, sets
        assert len([each for each in words if each.startswith("EU ")]) == european, sets


def test_too_much_waste_names_its_codes_or_says_that_they_are_not_known():
    sets = {"rule_sets": ("us-epa",), "waste_mg": 101_000_000}
    assert "of codes not known" in one(said(**sets), "too-much-waste").message
    made = (
        WasteMade((reducer(solvent="acetone"),), True, 1_000),
        WasteMade((reducer(solvent="acetone"),), False, 1),
    )
    message = one(said(**sets, waste_made=made), "too-much-waste").message
    assert "D001, F003" in message
    assert message.count("D001") == 1
    known = one(said(rule_sets=("us-epa",), waste_on_hand_mg=10**9, waste_since=OLD), "waste-on-hand")
    assert "since 1 January 2026" in known.message or "since 2026-01-01" in known.message


@pytest.mark.parametrize(("percent", "codes_"), [(80, True), (79.9, False)])
def test_a_product_that_is_one_listed_chemical_is_thrown_away_unused_under_its_own_code(percent, codes_):
    """From 80 % on it counts as the chemical itself; paint never does: 40 CFR 261.33."""
    pure = reducer(solvent="acetone", percent=percent)
    assert ("U002" in {each.code for each in us_codes(pure)}) is codes_
    assert "U002" not in {each.code for each in us_codes(pure._replace(role="paint"))}


def test_what_a_little_of_a_product_that_is_named_nowhere_may_be():
    """
    a part in a hundred   rounding, and no solvent; a little more may be one: SLACK_MILLI
    harm from             one per cent of a solvent with a hazard statement, where half of it is water
    """

    def bears(unnamed: int) -> tuple[bool, bool]:
        pigment = (share("titanium dioxide", 1),)
        paint = product(
            solvents=pigment, water_milli=60_000, solids_milli=39_000 - unnamed, no_flash_point=False
        )
        return _bears(paint), _bears_harm(paint)

    assert bears(SLACK_MILLI) == (False, False)
    assert bears(SLACK_MILLI + 1) == (True, True)
    assert _bears(product(solvents=None))

    def harms(percent: float, water: int = 60_000) -> bool:
        shares = (share("acetone", percent),)
        return _bears_harm(
            product(solvents=shares, water_milli=water, solids_milli=100_000 - water - int(percent * 1_000))
        )

    stated = STATED_FROM_MILLI / 1_000
    assert [harms(stated), harms(stated - 0.01)] == [True, False]
    half = WATER_FROM_MILLI // 2
    assert [harms(stated - 0.01, half), harms(stated - 0.01, half - 1)] == [False, True]


def test_what_isn_t_known_of_a_product_says_whether_nobody_noted_it_or_part_is_named_nowhere():
    def why(of):
        [found] = [each for each in us_codes(of) if each.code == "D004-D043"]
        assert found.assumed
        return found.why

    assert why(product(solvents=None)).startswith("nobody has noted what is in it, so")
    partly = product(solvents=(share("propylene glycol", 5),), water_milli=60_000)
    assert why(partly).startswith("part of it is named nowhere, so")


def test_from_the_level_of_an_acid_or_a_lye_on_its_ph_is_taken_to_be_corrosive():
    """40 CFR 261.22(a)(1); exactly at the level it counts. Beside a pH that is known the code is assumed."""
    for row in (row for row in levels() if row.code == "D002"):
        milli = int(row.level * 1_000)
        at, below = (
            product(solvents=(share(row.name, part / 1_000),), water_milli=100_000 - part, role="cleaner")
            for part in (milli, milli - 1)
        )
        end = "12.5 or above" if group_of(at.solvents[0]) == "base" else "2 or below"
        words = f"{row.name} from {in_full(row.level)} % gives a pH of {end}"
        assert [(each.why, each.assumed) for each in us_codes(at) if "gives a pH" in each.why] == [
            (words, False)
        ]
        assert not [each for each in us_codes(below) if "gives a pH" in each.why]
        known = at._replace(ph_low_milli=7_000, ph_high_milli=7_000)
        [found] = [each for each in us_codes(known) if "gives a pH" in each.why]
        assert (found.why, found.assumed) == (f"{words}, unlike the pH that is noted", True)


@pytest.mark.parametrize(
    ("low", "high", "water", "codes"),
    [
        (2_000, 2_000, 90_000, [("its pH is 2 or below", False)]), (2_001, 12_499, 90_000, []),
        (12_500, 12_500, 90_000, [("its pH is 12.5 or above", False)]),
        (1_000, 1_000, 0, [("its pH is 2 or below, though no water is noted in it", True)]),
        (None, 13_000, 90_000, [("its pH is 12.5 or above", False)]),
        (1_000, None, 90_000, [("its pH is 2 or below", False)]),
    ],
)  # fmt: skip
def test_a_ph_is_corrosive_at_two_and_at_twelve_and_a_half(low, high, water, codes):
    """40 CFR 261.22(a)(1): aqueous, pH of 2 or less, or of 12.5 or more."""
    of = product(ph_low_milli=low, ph_high_milli=high, water_milli=water, role="cleaner")
    assert [(each.why, each.assumed) for each in us_codes(of) if each.code == "D002"] == codes


def test_a_tenth_by_volume_of_listed_solvents_makes_a_spent_mixture_listed():
    """40 CFR 261.31, F001-F005: ten per cent or more, by volume, before use."""

    def thinner(percent, unnamed=0.0, **more):
        rest = share("propylene glycol", 100 - percent - unnamed, "volume")
        return reducer(solvents=(share("toluene", percent, "volume"), rest), water_milli=0, **more)

    assert spent(thinner(10)) == ("F005",)
    assert spent(thinner(9.999)) == ()
    [listed] = spent_codes(thinner(10))
    assert (listed.why, listed.assumed) == ("toluene: ten per cent or more was listed before use", False)


def test_eight_per_cent_that_nobody_named_may_be_a_tenth_of_a_listed_solvent():
    """By weight; the lightest listed solvents weigh 0.6 g/ml in a product of 0.75 and more."""

    def cleaner(unnamed, *named):
        shares = (*named, share("propylene glycol", 50 - sum(each.percent_milli for each in named) / 1_000))
        return reducer(solvents=shares, water_milli=50_000 - unnamed)

    def codes_of(of):
        return [(each.code, each.assumed) for each in spent_codes(of)]

    assert codes_of(cleaner(8_000)) == [("F005", True)]
    assert codes_of(cleaner(7_999)) == []
    # with a tenth of toluene noted F005 is sure, and what isn't named may be another of it
    assert codes_of(cleaner(8_000, share("toluene", 20))) == [("F005", False), ("F005", True)]
    assert codes_of(cleaner(7_999, share("toluene", 20))) == [("F005", False)]
    # a little toluene and what isn't named make up the tenth together
    assert codes_of(cleaner(4_000, share("toluene", 6))) == [("F005", True), ("F005", True)]


def test_f003_is_of_its_own_solvents_alone_or_beside_a_tenth_of_the_others():
    """Sure where only its list burns or the tenth is sure; assumed where what isn't named makes up the tenth."""

    def mixed(*shares, unnamed=0):
        named = sum(each.percent_milli for each in shares)
        found = spent_codes(reducer(solvents=shares, water_milli=100_000 - named - unnamed))
        return {each.code: each.assumed for each in found}

    assert mixed(share("acetone", 50)) == {"F003": False}
    assert mixed(share("acetone", 50), share("toluene", 20)) == {"F003": False, "F005": False}
    assert mixed(share("acetone", 50), share("ethanol", 20)) == {}
    assert mixed(share("acetone", 50), share("ethanol", 20), unnamed=9_000) == {"F003": True, "F005": True}
    assert mixed(share("acetone", 50), unnamed=9_000) == {"F003": False, "F005": True}


def test_a_metal_or_a_listed_solvent_counts_from_the_level_of_a_leaching_test_on():
    """40 CFR 261.24, table 1: benzene 0.5 mg/L, chromium 5, lead 5, barium 100; of a liquid all of it may leach."""

    def toxic(*shares, density=1_000_000, **more):
        of = product(solvents=shares, density_ug_per_ml=density, **more)
        return {
            each.code: each.assumed
            for each in us_codes(of)
            if "D004" <= each.code <= "D043" and len(each.code) == 4
        }

    # a thousandth of a per cent is 10 mg/L at 1 g/ml, 0.5 mg/L at 0.05
    assert toxic(SolventShare("benzene", 1, "weight")) == {"D018": False}
    assert toxic(SolventShare("benzene", 1, "weight"), density=50_000) == {"D018": False}
    assert toxic(SolventShare("benzene", 1, "weight"), density=49_999) == {}
    assert toxic(SolventShare("lead chromate", 1, "weight")) == {"D007": True, "D008": True}
    assert toxic(SolventShare("lead chromate", 1, "weight"), density=499_999) == {}
    assert toxic(SolventShare("barium sulfate", 20_000, "weight"), SolventShare("lead chromate", 1, "weight")) == {
        "D007": True, "D008": True,
    }  # fmt: skip
    assert toxic(SolventShare("barium carbonate", 20_000, "weight")).get("D005") is True


def test_what_a_sheet_says_of_fire_and_of_reactions_is_sure_and_what_is_named_in_it_only_suggests_it():
    def of(code, **known):
        return [(each.why, each.assumed) for each in us_codes(product(**known)) if each.code == code]

    assert of("D001", h_statements=("H251",), role="cleaner") == [("its sheet says H251", False)]
    assert of("D003", h_statements=("EUH031",)) == [("its sheet says EUH031", False)]
    bleach = {
        "solvents": (share("bleach", 4),),
        "water_milli": 96_000,
        "h_statements": None,
        "role": "cleaner",
    }
    assert of("D003", **bleach) == [("its sheet says EUH031", True)]
    traces = {**bleach, "solvents": (SolventShare("bleach", 999, "weight"),)}
    assert of("D003", **traces) == []
    assert of("D003", **{**bleach, "solvents": (SolventShare("bleach", 1_000, "weight"),)}) != []


def test_an_oxidiser_says_which_and_whether_that_is_noted():
    why = [(each.why, each.assumed) for each in us_codes(product(groups=("oxidiser",), role="cleaner"))]
    assert ("it is an oxidiser, which oxidises", False) in why
    why = [(each.why, each.assumed) for each in us_codes(product(groups=("peroxide",), role="cleaner"))]
    assert ("it is a peroxide, which oxidises", False) in why
    unknown = product(role="hardener", solvents=None, water_milli=0)
    why = [(each.why, each.assumed) for each in us_codes(unknown) if "oxidises" in each.why]
    assert why == [("it is an organic peroxide, which oxidises", True)]


def test_of_one_code_for_two_reasons_the_sure_one_is_told():
    both = product(h_statements=("H225",), flash_point_mc=20_000, no_flash_point=False, groups=("peroxide",))
    [ignitable] = [each for each in us_codes(both) if each.code == "D001"]
    assert not ignitable.assumed
    guessed = product(role="hardener", solvents=(share("xylene", 50),), water_milli=0, no_flash_point=False,
                      flash_point_mc=25_000, h_statements=("H226",))  # fmt: skip
    [ignitable] = [each for each in us_codes(guessed) if each.code == "D001"]
    assert (ignitable.why, ignitable.assumed) == ("it flashes below 60 °C", False)


def test_how_far_an_acid_is_known():
    """By its pH it is sure; by what it is, or by half a pH, it is assumed; a pH that is known answers H314."""

    def acid(**known):
        of = product(groups=("acid",), role="cleaner", **known)
        return [(each.why, each.assumed) for each in us_codes(of) if each.code == "D002"]

    assert acid() == [("it is an acid, and its pH isn't known", True)]
    assert acid(ph_low_milli=5_000) == [("it is an acid, and its pH isn't known", True)]
    assert acid(ph_low_milli=5_000, ph_high_milli=6_000) == []
    assert acid(ph_low_milli=5_000, ph_high_milli=6_000, h_statements=("H290",)) == [
        ("its sheet says H290, and how fast it eats steel isn't known", True)
    ]
    assert ("its sheet says H314, and its pH isn't known", True) in acid(h_statements=("H314",))
    assert acid(water_milli=0) == []
