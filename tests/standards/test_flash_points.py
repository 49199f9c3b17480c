"""Flash points of blends: estimated against published ones, and against an independent calculation.

Published: ethanol and water, a table quoted on a chemical safety list (2015-01-28); 2-propanol 70 %, a safety data
sheet. Calculated: modified UNIFAC (Dortmund) with `thermo` 0.6.1 and Liaw's equation, pure flash points as stated;
not verified against measurements. The method's stated error is 3 K.
"""

import pytest

from stock.cautions.activity import coefficients, parameters
from stock.cautions.facts import MixPart, ProductFacts, SolventShare
from stock.cautions.mixture import Blend, blend_flash, burns_at, vapour_pressure_ratio
from stock.cautions.substances import substance

TOLERANCE_K = 3
WATER = substance("water")


def aqueous(name, vol_percent, pure_c=None):
    """A solvent in water, by volume before mixing."""
    solvent = substance(name)
    if pure_c is not None:
        solvent = solvent._replace(flash_point_mc=round(pure_c * 1000))
    moles = [
        (part, share * part.density_ug_per_ml / part.molar_mg)
        for part, share in ((solvent, vol_percent), (WATER, 100 - vol_percent))
        if share
    ]
    return Blend(tuple(moles))


def test_a_trace_of_a_solvent_in_water_has_no_flash_point():
    """At 130 °C its vapour is still below a thousandth of what burns; water alone has nothing that does."""
    trace = aqueous("ethanol", 0.000_1)
    assert 0 < burns_at(trace, 130) < 0.001
    assert blend_flash(trace) is blend_flash(Blend(((WATER, 1.0),))) is None


@pytest.mark.parametrize(
    ("vol_percent", "published_c"),
    [(10, 49), (20, 36), (30, 29), (40, 26), (50, 24), (60, 22), (70, 21), (80, 20), (90, 17), (96, 17)],
)
def test_published_ethanol_and_water(vol_percent, published_c):
    assert blend_flash(aqueous("ethanol", vol_percent, 13.0)) / 1000 == pytest.approx(
        published_c, abs=TOLERANCE_K
    )


def test_published_two_propanol_seventy_per_cent():
    assert blend_flash(aqueous("2-propanol", 70)) / 1000 == pytest.approx(18, abs=TOLERANCE_K)


@pytest.mark.parametrize(
    ("name", "pure_c", "vol_percent", "calculated_c"),
    [
        ("ethanol", 13, 10, 47.7), ("ethanol", 13, 20, 36.7), ("ethanol", 13, 50, 25.6), ("ethanol", 13, 90, 17.1),
        ("2-propanol", 12, 5, 45.1), ("2-propanol", 12, 10, 34.6), ("2-propanol", 12, 20, 26.2),
        ("2-propanol", 12, 30, 22.7), ("2-propanol", 12, 50, 20.1), ("2-propanol", 12, 90, 16.4),
        ("acetone", -20, 2, 45.9), ("acetone", -20, 5, 25.1), ("acetone", -20, 10, 11.9), ("acetone", -20, 20, 0.7),
        ("acetone", -20, 50, -11.1), ("acetone", -20, 75, -15.2), ("acetone", -20, 100, -20),
        ("ethanol", 13, 5.13, 60), ("ethanol", 13, 22.64, 35), ("ethanol", 13, 63.74, 23),
        ("2-propanol", 12, 9.68, 35), ("2-propanol", 12, 28.71, 23), ("acetone", -20, 1.18, 60),
        ("acetone", -20, 3.16, 35), ("acetone", -20, 5.55, 23), ("1-propanol", 22, 3.35, 60),
        ("1-propanol", 22, 18.76, 35),
    ],
)  # fmt: skip
def test_an_independent_calculation(name, pure_c, vol_percent, calculated_c):
    """Within 1 K of the same method by another program, whose vapour pressures differ a little from ours."""
    assert blend_flash(aqueous(name, vol_percent, pure_c)) / 1000 == pytest.approx(calculated_c, abs=1)


def test_a_pure_solvent_flashes_at_its_own_flash_point():
    for name in ("ethanol", "acetone", "2-butoxyethanol", "DPM", "PnP", "n-butyl acetate"):
        pure = substance(name)
        assert blend_flash(Blend(((pure, 1.0),))) == pytest.approx(pure.flash_point_mc, abs=20)


def test_never_raoult():
    """10 vol % ethanol: Raoult's law says 82 °C, the published flash point is 49 °C."""
    blend = aqueous("ethanol", 10, 13.0)
    by_raoult = blend.fractions()[0] * vapour_pressure_ratio(blend.parts[0][0], 81.6 + 273.15)
    assert by_raoult == pytest.approx(1, abs=0.05)
    assert burns_at(blend, 60) > 1


@pytest.mark.parametrize(
    ("solvent", "percent_of_volatiles", "about_c"),
    [("acetone", 12.5, 8), ("2-propanol", 12.5, 32), ("ethanol", 12.5, 44), ("acetone", 7.1, 18),
     ("2-propanol", 7.1, 39), ("ethanol", 7.1, 54)],
)  # fmt: skip
def test_how_little_makes_a_mix_flammable(solvent, percent_of_volatiles, about_c):
    """By the independent program, ethanol's own flash point at 13 °C there and the lowest published 12 °C here."""
    assert blend_flash(aqueous(solvent, percent_of_volatiles)) / 1000 == pytest.approx(about_c, abs=2)


def test_ten_millilitres_of_waterborne_paint_and_two_of_half_acetone():
    """60 % of the paint is water by volume; the reducer is half acetone, half water, by volume."""
    paint = ProductFacts(1, "Paint", solvents=(), water_milli=60_000, density_ug_per_ml=998_200)
    reducer = ProductFacts(
        2, "Reducer", "reducer", solvents=(SolventShare("acetone", 50_000, "volume"),),
        water_milli=55_800, density_ug_per_ml=894_000,
    )  # fmt: skip
    flash_mc = blend_flash(Blend.of_parts([MixPart(paint, 10_000), MixPart(reducer, 2_000)]))
    assert flash_mc / 1000 == pytest.approx(8, abs=1.5)


def test_activity_coefficients_of_an_independent_program():
    """`thermo` 0.6.1, UNIFAC.from_subgroups(T=293.15, version=1)."""
    ethanol, water, acetone = substance("ethanol").unifac, WATER.unifac, substance("acetone").unifac
    assert coefficients([ethanol, water], [0.5, 0.5], 293.15) == pytest.approx([1.2514, 1.4326], abs=5e-5)
    assert coefficients([acetone, water], [0.05, 0.95], 298.15) == pytest.approx(
        RECORDED["acetone"], rel=1e-6
    )
    butyl = substance("2-butoxyethanol").unifac
    assert coefficients([butyl, ethanol, water], [0.1, 0.2, 0.7], 310) == pytest.approx(
        RECORDED["butyl"], rel=1e-6
    )


RECORDED = {"acetone": [5.94471784, 1.0075839], "butyl": [3.37267699, 1.37005486, 1.3322024]}


def test_in_pure_liquid_the_coefficient_is_one():
    for name in ("ethanol", "acetone", "PM", "DPM", "PnP", "butyl acetate"):
        assert coefficients([substance(name).unifac], [1.0], 300) == pytest.approx([1.0], abs=1e-12)


def test_every_group_that_a_substance_needs_is_there_with_its_interactions():
    from stock.cautions.substances import substances_by_name

    groups = {group for each in substances_by_name().values() for group, _ in each.unifac}
    mains = {parameters().subgroups[group][0] for group in groups}
    pairs = {(one, other) for one in mains for other in mains if one != other}
    assert pairs <= set(parameters().interactions)
    assert all(len(abc) == 3 for abc in parameters().interactions.values())


def test_a_dissolved_solid_hides_no_flash_point_and_an_unknown_liquid_does():
    """A biocide that is a solid gives off nothing; a peroxide, a gas and a liquid without figures may burn anyhow."""
    known = (SolventShare("ethanol", 30_000),)
    bare = Blend.of_product(ProductFacts(1, "Paint", solvents=known, water_milli=60_000))
    for name, lacks in (("BIT", False), ("titanium dioxide", False), ("MEKP", True), ("propane", True),
                        ("naphtha, light aromatic", True), ("isophoronediamine", True)):  # fmt: skip
        more = (*known, SolventShare(name, 1_000))
        blend = Blend.of_product(ProductFacts(1, "Paint", solvents=more, water_milli=60_000))
        assert blend.lacks is lacks, name
        assert blend_flash(blend) == blend_flash(bare), name


def test_nothing_that_burns_has_no_flash_point():
    assert blend_flash(Blend(((WATER, 1.0),))) is None
    assert Blend.of_product(ProductFacts(1, "Unknown")).lacks


def mixed(one, other, fraction):
    """The estimated flash point of two liquids by the mole fraction of the first, degrees C."""
    return blend_flash(Blend(((substance(one), fraction), (substance(other), 1 - fraction)))) / 1000


@pytest.mark.parametrize(
    ("names", "fractions", "kelvin", "expected"),
    [
        (("toluene", "butanone"), (0.4, 0.6), 298.15, (1.145953, 1.055906)),
        (("xylene", "n-butyl acetate", "propan-2-ol"), (0.3, 0.4, 0.3), 300, (1.363157, 1.028241, 1.668132)),
        (("n-octane", "ethanol"), (0.5, 0.5), 285, (1.91115, 1.801827)),
        (("n-octane", "butan-1-ol"), (0.5, 0.5), 295, (1.793215, 1.49906)),
        (("p-xylene", "ethanol"), (0.5, 0.5), 290, (1.714091, 1.522142)),
        (("cyclohexanone", "methylcyclohexane"), (0.3, 0.7), 298.15, (1.66361, 1.13906)),
        (("1-methoxypropan-2-yl acetate", "ethylbenzene", "water"), (0.3, 0.6, 0.1), 300,
         (0.790971, 1.230419, 19.483504)),
    ],
)  # fmt: skip
def test_activity_coefficients_of_organic_liquids_by_an_independent_program(
    names, fractions, kelvin, expected
):
    """`thermo` 0.6.1, UNIFAC.from_subgroups(version=1, interaction_data=DOUFIP2006): the published parameters.

    The groups are those that the Dortmund Data Bank assigns. Newer parameters make up to 5 % of difference.
    """
    groups = [substance(name).unifac for name in names]
    assert coefficients(groups, fractions, kelvin) == pytest.approx(expected, abs=2e-6)


@pytest.mark.parametrize("alcohol", ["ethanol", "butan-1-ol"])
def test_octane_and_an_alcohol_flash_below_either(alcohol):
    """Liaw et al., J. Loss Prev. Process Ind. 15 (2002) 429, and Vidal et al., Process Saf. Environ. Prot. 84 (2006) 1,
    measured both: each has a lowest flash point between the two. Their abstracts were seen, not their tables."""
    alone = min(substance(name).flash_point_mc / 1000 for name in ("n-octane", alcohol))
    lowest = min(mixed("n-octane", alcohol, share / 20) for share in range(1, 20))
    assert lowest < alone - 1.5


def test_butanone_and_toluene_flash_as_by_raoult_s_law():
    """Measured so: "Flash points of a flammable liquid mixture of binary system" (M.E.K. and toluene), its abstract."""
    for share in (0.1, 0.3, 0.5, 0.7, 0.9):
        kelvin = mixed("butanone", "toluene", share) + 273.15
        by_raoult = share * vapour_pressure_ratio(substance("butanone"), kelvin) + (
            1 - share
        ) * vapour_pressure_ratio(substance("toluene"), kelvin)
        assert by_raoult == pytest.approx(1, abs=0.1)


@pytest.mark.parametrize("alcohol", ["methanol", "ethanol", "propan-1-ol"])
def test_an_alcohol_and_p_xylene_have_their_lowest_flash_point_between_them_or_at_the_alcohol(alcohol):
    """Han and In, Open J. Saf. Sci. Technol. 7 (2017) 1, measured these three; only their introduction was seen."""
    shares = [mixed(alcohol, "p-xylene", share / 10) for share in range(1, 10)]
    assert min(shares) < substance(alcohol).flash_point_mc / 1000 + 0.5
    assert all(each < substance("p-xylene").flash_point_mc / 1000 for each in shares)
