"""What may not meet, against published lists of what doesn't: each pair with the list that names it.

EPA: *A Method for Determining the Compatibility of Hazardous Wastes*, EPA-600/2-80-076, as reprinted by a university;
its cell between two groups. ICSC: International Chemical Safety Cards. Appendix V: 40 CFR 264 appendix V, groups 1 and
2. What a list says is never weaker here: violent, explosive or deadly stops, heat warns at least.
"""

from itertools import product as pairs_of

import pytest

from stock.cautions.compatibility import stars, together
from stock.cautions.facts import SEVERITIES, ProductFacts, SolventShare
from stock.cautions.rules import rule_book

BOOK = rule_book()
WATER = 100_000


def of(name, percent, rest="water"):
    """A product of one substance, and the rest water, or nothing said of it."""
    milli = percent * 1_000
    left = (
        {"water_milli": WATER - milli}
        if rest == "water"
        else {"water_milli": 0, "solids_milli": WATER - milli}
    )
    return ProductFacts(
        abs(hash(name)) % 10_000 + 1, name, "additive", (SolventShare(name, milli, "weight"),), **left
    )


BLEACH, ACID, LYE = of("sodium hypochlorite", 5), of("hydrochloric acid", 25), of("sodium hydroxide", 30)
AMMONIA, MEKP, BPO = of("ammonia water", 25), of("mekp", 35, "solids"), of("benzoyl peroxide", 50, "solids")
H2O2, CHP, COTTON = (
    of("hydrogen peroxide", 30),
    of("cumene hydroperoxide", 80, "solids"),
    of("nitrocellulose", 30, "solids"),
)
HDI, FLAKE, AMINE = (
    of("hdi", 60, "solids"),
    of("aluminium powder", 60, "solids"),
    of("diethylenetriamine", 60, "solids"),
)

STOPS = [
    (BLEACH, AMMONIA, "chloramines", "Chlorine Institute, hypochlorite chart: ammonia and amines"),
    (BLEACH, ACID, "chlorine", "Chlorine Institute, hypochlorite chart: acids"),
    (BLEACH, of("acetic acid", 20), "chlorine", "Chlorine Institute, hypochlorite chart: acids"),
    (BLEACH, of("ethanol", 70), "chlorine", "Chlorine Institute, hypochlorite chart: methanol, ethylene glycol"),
    (BLEACH, of("acetone", 99, "solids"), "chlor", "Chlorine Institute, hypochlorite chart: solvents"),
    (H2O2, of("acetone", 99, "solids"), "shock-sensitive", "Oxley et al. 2012, J. Chem. Health Saf. 19(2):27"),
    (MEKP, ACID, "explode", "ICSC 1028: risk of fire and explosion on contact with acids, bases or reducing agents"),
    (MEKP, LYE, "explode", "ICSC 1028: acids, bases or reducing agents"),
    (MEKP, ProductFacts(9, "Sulfite", "additive", (), WATER, groups=("reducing_agent",)), "explode", "ICSC 1028"),
    (CHP, of("formic acid", 20), "explode", "University of Oklahoma, appendix C: cumene hydroperoxide, acids"),
    (MEKP, of("cobalt octoate", 10, "solids"), "explode", "Prudent Practices, tert-butyl hydroperoxide: cobalt salts"),
    (BPO, of("n,n-dimethylaniline", 10, "solids"), "explode", "ABC of Safety: benzoyl peroxide, dimethylaniline"),
    (MEKP, of("acetone", 99, "solids"), "shock-sensitive", "BG RCI GisChem, organic peroxides: acetone"),
    (FLAKE, LYE, "hydrogen", "40 CFR 264 appendix V, group 2-A aluminium x 1-A caustic"),
    (FLAKE, ACID, "hydrogen", "40 CFR 264 appendix V, group 2-A aluminium x 1-B acid"),
    (of("zinc powder", 80, "solids"), ACID, "hydrogen", "40 CFR 264 appendix V, group 2-A zinc powder"),
    (HDI, of("water", 100), "carbon dioxide", "NOAA/EPA reactive groups, isocyanates x water"),
    (HDI, of("ethanol", 95), "heat", "NOAA/EPA reactive groups, isocyanates x alcohols; NFPA 491M"),
    (HDI, AMINE, "heat", "chemical database entry of the HDI oligomer: amines"),
    (of("nitric acid", 50), of("ethanol", 70), "fire", "EPA 2 x 4: H F"),
    (COTTON, AMINE, "fire", "handling guide of a maker: never amines"),
    (COTTON, LYE, "fire", "ICSC 1560: reacts with oxidants, bases and acids"),
    (ACID, LYE, "heat violently", "40 CFR 264 appendix V, 1-A x 1-B: heat generation, violent reaction; EPA 1 x 10: H"),
    (of("nitric acid", 50), LYE, "heat violently", "40 CFR 264 appendix V, 1-A x 1-B; EPA 2 x 10: H"),
    (ACID, AMMONIA, "heat violently", "ICSC 0414: reacts violently with acid; Prudent Practices: strong acids"),
]  # fmt: skip
WARNS = [
    (of("acetic acid", 20), AMMONIA, "heat", "ICSC 0414: a strong base, reacts violently with acid; this one is weak"),
    (ACID, of("ethanol", 70), "heat", "EPA 1 x 4: H"),
    (ACID, AMINE, "heat", "EPA 1 x 7: H"),
    (of("acetic acid", 80), LYE, "heat", "EPA 3 x 10: H"),
    (of("nitric acid", 50), of("ethyl acetate", 99, "solids"), "fire", "EPA 2 x 13: H F"),
    (LYE, of("ethyl acetate", 99, "solids"), "heat", "EPA 10 x 13: H"),
    (of("epichlorohydrin", 5, "solids"), AMINE, "heat", "two makers on uncontrolled cure: 100 g reach 200 °C"),
]  # fmt: skip


@pytest.mark.parametrize(("one", "other", "effect", "source"), [*STOPS, *WARNS])
def test_a_published_pair(one, other, effect, source):
    """Told in a mix in either order, and apart in a waste can."""
    for pair in ((one, other), (other, one)):
        found = next(iter(together(pair, BOOK)))
        least = "stop" if (one, other, effect, source) in STOPS else "note"
        assert SEVERITIES.index(found.severity) >= SEVERITIES.index(least), source
        assert effect in found.message
        assert effect in next(iter(stars(pair))).effect


def test_what_deadly_gas_comes_of_is_told_before_all_else():
    """Bleach with ammonia or acid: 310 CMR and the chart put toxic gas before heat; here it has the highest danger."""
    found = list(stars([of("ethanol", 70), HDI, BLEACH, AMMONIA, ACID, MEKP], apart=True))
    deadly = [{star.product.name, *(each.name for each in star.others)} for star in found[:2]]
    assert sorted(map(sorted, deadly)) == [
        ["ammonia water", "sodium hypochlorite"], ["hydrochloric acid", "sodium hypochlorite"],
    ]  # fmt: skip


def test_what_the_lists_call_compatible_is_not_alarmed():
    """EPA's chart is empty between alcohols, esters, ethers and aromatics; water is no group of it for these."""
    calm = [
        of(name, 90) for name in ("ethanol", "ethyl acetate", "acetone", "xylene", "2-butoxyethanol", "water")
    ]
    assert [
        found.message for one, other in pairs_of(calm, calm) for found in together((one, other), BOOK)
    ] == []


@pytest.mark.parametrize("name", ["pma", "2-butoxyethyl acetate", "dipropylene glycol methyl ether acetate"])
def test_an_acetate_of_a_glycol_ether_is_an_ester_that_thins_isocyanates(name):
    """It has no free hydroxyl group, unlike the glycol ether itself; makers thin isocyanate hardeners with it."""
    assert list(together((of(name, 90, "solids"), HDI), BOOK)) == []
    assert list(together((of("2-butoxyethanol", 90, "solids"), HDI), BOOK)) != []
