"""Volatile organic compounds against the regulations' own formulas and a published worked example.

Formulas: 40 CFR 59.104(a)(1), (Wv - Ww - Wec) / (V - Vw - Vec); 40 CFR 51.100(s) for what is exempt; Directive
2004/42/EC article 2 (VOC: organic, boiling at 250 C or below; content in g/L ready to use), whose words UK SI
2005/2773 regulation 2 repeats. Worked example in pounds and gallons: on the page of a coatings maker (33.20 lb
of solvent and 62.4 gallons of water in 100 gallons: 0.332 and 0.883 lb/gal). 1 lb/gal = 119.83 g/L.
"""

import pytest

from stock.cautions.facts import ProductFacts, SolventShare
from stock.cautions.regulated import compare
from stock.cautions.voc import Content, content, together
from stock.voc_categories import categories

LB_PER_GAL = 119.826427
"""453.59237 g / 3.785411784 L."""


def litre(
    volatiles_g: float, water_g: float, exempt_g: float = 0.0, exempt_density: float = 0.7903
) -> Content:
    us = volatiles_g - water_g - exempt_g
    return Content(1_000, us, us + exempt_g, water_g / 0.9982, exempt_g / exempt_density)


@pytest.mark.parametrize(
    ("case", "actual", "less_water"),
    [
        (litre(605, 500), 105.0, 210.38),
        (litre(700, 400, 150), 150.0, 366.32),
        (Content(100, 33.20, 33.20, 62.4, 0), 332.0, 882.98),
    ],
)
def test_the_content_is_counted_with_and_without_water(
    case: Content, actual: float, less_water: float
) -> None:
    assert case.actual == pytest.approx(actual, abs=0.01)
    assert case.less_water == pytest.approx(less_water, abs=0.01)


def test_the_published_example_in_pounds_and_gallons() -> None:
    solvent_g, litres = 33.20 * 453.59237, 100 * 3.785411784
    mixed = Content(litres * 1_000, solvent_g, solvent_g, 62.4 * 3785.411784, 0)
    assert (mixed.actual or 0) / LB_PER_GAL == pytest.approx(0.332, abs=0.0005)
    assert (mixed.less_water or 0) / LB_PER_GAL == pytest.approx(0.883, abs=0.0005)


def test_contents_of_two_are_not_averaged() -> None:
    """10 ml at 105 g/L (210.38 less water) and 2 ml at 80 g/L (800 less water): 233.10, not 308.65."""
    first = litre(605, 500).times(0.01)
    reducer = Content(2, 0.16, 0.16, 1.8, 0)
    mixed = together([first, reducer])
    assert mixed.actual == pytest.approx(100.83, abs=0.01)
    assert mixed.less_water == pytest.approx(233.10, abs=0.01)
    averaged = (10 * (first.less_water or 0) + 2 * (reducer.less_water or 0)) / 12
    assert averaged == pytest.approx(308.65, abs=0.01)


EXAMPLES = [
    # litres of a coating: volatiles g, water g, exempt g (density), then US g/L as applied and less water and exempt
    # compounds (40 CFR 59.104(a)(1)), EU g/L ready to use and without its water (2004/42/EC annex II B)
    ("solventborne clear", (560, 0, 0, 1), 560.0, 560.0, 560.0, 560.0),
    ("the regulation's own terms", (605, 500, 0, 1), 105.0, 210.38, 105.0, 210.38),
    ("acetone in it", (700, 400, 150, 0.7903), 150.0, 366.32, 300.0, 500.60),
    ("waterborne basecoat", (720, 640, 0, 1), 80.0, 222.94, 80.0, 222.94),
    ("PCBTF instead of xylene", (600, 0, 400, 1.34), 200.0, 285.11, 600.0, 600.0),
    ("tert-butyl acetate in a primer", (520, 0, 260, 0.8665), 260.0, 371.46, 520.0, 520.0),
    ("dimethyl carbonate in a reducer", (880, 0, 440, 1.07), 440.0, 747.30, 880.0, 880.0),
    # the published example: 0.332 lb/gal and 62.4 % water by volume are 39.78 g/L and, less water, 0.883 lb/gal
    ("a coatings maker's example", (662.66, 622.88, 0, 1), 39.78, 105.80, 39.78, 105.80),
    ("a reducer, half acetone and half xylene", (829, 0, 395, 0.7903), 434.0, 867.67, 829.0, 829.0),
    ("a tenth propan-2-ol in water, by volume", (976.88, 898.38, 0, 1), 78.5, 785.0, 78.5, 785.0),
    ("water and nothing else", (998.2, 998.2, 0, 1), 0.0, 0.0, 0.0, 0.0),
]


@pytest.mark.parametrize(("case", "made_of", "actual", "less_water", "eu", "eu_less"), EXAMPLES)
def test_worked_examples_in_both_regimes(case, made_of, actual, less_water, eu, eu_less) -> None:
    """Computed by hand from the formulas: Wv - Ww - Wec over V, V - Vw - Vec and V - Vw."""
    held = litre(*made_of)
    assert held.actual == pytest.approx(actual, abs=0.01)
    assert held.less_water == pytest.approx(less_water, abs=0.01)
    assert held.ready_to_use == pytest.approx(eu, abs=0.01)
    assert held.ready_to_use_less_water == pytest.approx(eu_less, abs=0.01)


CATEGORIES = {
    "eu:preparatory": 850, "eu:precleaner": 200, "eu:bodyfiller": 250, "eu:primer": 540, "eu:wash_primer": 780,
    "eu:topcoat": 420, "eu:special_finish": 840, "us:wash_primer": 780, "us:primer": 580, "us:primer_sealer": 550,
    "us:topcoat": 600, "us:multi_stage_topcoat": 630, "us:multi_colored_topcoat": 680, "us:specialty": 840,
    "us:general_purpose_cleaner": 10, "us:glass_cleaner": 8, "us:glass_cleaner_aerosol": 12,
    "us:engine_degreaser": 75, "us:carburetor_cleaner": 75,
}  # fmt: skip
"""2004/42/EC annex II B as the Northern Ireland business service prints it; 40 CFR 59 subpart B table 1 in a copy, but
for specialty coatings; subpart C from memory, per cent by weight."""


def test_the_limits_are_those_of_their_sources() -> None:
    assert {word: each.limit for word, each in categories().items()} == CATEGORIES
    counted = {word for word, each in categories().items() if each.regime == "eu" and each.water_counts}
    assert counted == {"eu:preparatory", "eu:precleaner"}, (
        "annex II B: but for preparatory and cleaning products"
    )
    memory = {word for word, each in categories().items() if each.status == "memory"}
    assert memory == {"us:specialty", *(word for word, each in categories().items() if each.by_weight)}


def test_a_content_is_compared_in_the_unit_of_its_limit() -> None:
    wet = Content(1_000, 80, 80, 640, 0, (), 1_050)
    assert compare(wet, categories()["eu:topcoat"]).figure == pytest.approx(222.2, abs=0.1)
    assert compare(wet, categories()["eu:precleaner"]).figure == pytest.approx(80)
    assert compare(wet, categories()["us:glass_cleaner"]).figure == pytest.approx(7.62, abs=0.01)
    over = Content(1_000, 421, 421, 0, 0, (), 1_000)
    assert compare(over, categories()["eu:topcoat"]).over
    assert not compare(over, categories()["us:topcoat"]).over
    assert compare(Content(1_000, 5, 5, 1_000, 0), categories()["us:topcoat"]).over, (
        "nothing but water is left"
    )


def test_exempt_ones_are_named_and_what_the_table_does_not_know_counts() -> None:
    parts = shares("volume", PCBTF=40, tert_butyl_acetate=20, unheard_of=40)
    held = content(product(solvents=(parts[0], SolventShare("540-88-5", 20_000, "volume"), parts[2])))
    assert held.exempt == ("4-chlorobenzotrifluoride", "tert-butyl acetate")
    assert held.us_g == pytest.approx(0.4 * 1.623)


def test_a_pigment_is_no_solvent() -> None:
    paint = product(
        solvents=shares(xylene=40, titanium_dioxide=30), water_milli=0, solids_milli=60_000,
        density_ug_per_ml=1_300_000,
    )  # fmt: skip
    assert content(paint).actual == pytest.approx(520)


def product(**more: object) -> ProductFacts:
    return ProductFacts(id=1, name="x", **more)  # type: ignore[arg-type]


def shares(basis: str = "weight", **percent: float) -> tuple[SolventShare, ...]:
    return tuple(
        SolventShare(name.replace("_", " "), round(value * 1_000), basis) for name, value in percent.items()
    )


def test_acetone_is_exempt_in_the_united_states_and_counts_in_the_union() -> None:
    """Half acetone, half ethanol by weight, 0.79 g/ml: 395 g/L of ethanol; half the volume is exempt."""
    half = content(product(solvents=shares(acetone=50, ethanol=50), density_ug_per_ml=790_000))
    assert half.times(1_000).us_g == pytest.approx(395)
    assert half.ready_to_use == pytest.approx(790)
    assert half.exempt_ml == pytest.approx(0.5, rel=0.001)
    assert half.less_water == pytest.approx(790, rel=0.001)
    assert half.assumed == ()


def test_methyl_acetate_is_exempt_and_methyl_ethyl_ketone_is_not() -> None:
    exempt = content(product(solvents=shares("volume", methyl_acetate=100)))
    counts = content(product(solvents=shares("volume", MEK=100)))
    assert (exempt.us_g, counts.us_g) == (pytest.approx(0), pytest.approx(0.805, abs=0.002))
    assert exempt.eu_g == pytest.approx(0.934, abs=0.002)


def test_a_waterborne_paint_by_its_sheet() -> None:
    """3 % glycol, 56 % water, 41 % solids by weight at 1.12 g/ml: 33.6 g/L, 62.8 ml/100 ml water."""
    facts = {"solvents": shares(propylene_glycol=3), "water_milli": 56_000, "density_ug_per_ml": 1_120_000}
    paint = content(product(**facts, solids_milli=41_000))
    assert paint.actual == pytest.approx(33.6)
    assert paint.water_ml == pytest.approx(0.6272 / 0.9982)
    assert paint.less_water == pytest.approx(33.6 / (1 - 0.6272 / 0.9982))
    assert paint.assumed == ()
    unnamed = content(product(**facts))
    assert unnamed.actual == pytest.approx(0.44 * 1_120), "44 % of it may be solvent"
    assert unnamed.assumed == ("solids not noted: all the rest counts as solvent",)


def test_water_and_solids_noted_leave_solvent_whatever_the_list_says() -> None:
    paint = content(
        product(
            solvents=shares(ethanol=5), water_milli=50_000, solids_milli=30_000, density_ug_per_ml=1_000_000
        )
    )
    assert paint.actual == pytest.approx(200)
    unlisted = content(product(water_milli=50_000, solids_milli=30_000, density_ug_per_ml=1_000_000))
    assert unlisted.actual == pytest.approx(200)
    assert unlisted.assumed == ()


def test_what_solvents_and_solids_leave_counts_as_solvent_until_the_water_is_noted() -> None:
    facts = {"solvents": shares(ethanol=10), "solids_milli": 30_000, "density_ug_per_ml": 1_000_000}
    assert content(product(**facts)).actual == pytest.approx(700)
    paint = content(product(**facts, water_milli=60_000))
    assert paint.actual == pytest.approx(100)
    assert paint.water_ml == pytest.approx(0.6 / 0.9982)


def test_what_is_not_noted_counts_as_solvent_and_is_said() -> None:
    nothing = content(product(density_ug_per_ml=1_050_000))
    assert nothing.actual == pytest.approx(1050)
    assert nothing.assumed == ("solvents and water and solids not noted: all the rest counts as solvent",)
    no_density = content(product())
    assert no_density.actual == pytest.approx(1623)
    assert "density not noted" in no_density.assumed[0]
    by_volume = content(product(solvents=shares("volume", ethanol=10), water_milli=50_000))
    assert by_volume.actual == pytest.approx(78.94 + 900 * 1.623)


def test_no_solvent_noted_is_no_solvent_unless_its_flash_point_says_otherwise() -> None:
    free = product(solvents=(), water_milli=60_000, density_ug_per_ml=1_100_000)
    assert content(free) == Content(1.0, 0.0, 0.0, pytest.approx(0.66 / 0.9982), 0.0, (), 1.1)
    assert content(product(solvents=())) == Content(1.0, 0.0, 0.0, 0.0, 0.0)
    burns = content(free._replace(flash_point_mc=30_000))
    assert burns.actual == pytest.approx(440)
    assert "solvents and solids not noted" in burns.assumed[0]


def test_water_without_solvent_weighs_what_the_density_says_and_without_one_is_left_in_the_litre() -> None:
    """Water that is left out of the litre makes its content look graver, so unknown water is none."""
    known = content(
        product(solvents=(), no_flash_point=True, water_milli=60_000, density_ug_per_ml=1_100_000)
    )
    assert (known.us_g, known.eu_g, known.mass_g) == (0, 0, 1.1)
    assert known.water_ml == pytest.approx(0.6 * 1.1 / 0.9982)
    unknown = content(product(solvents=(), no_flash_point=True, water_milli=60_000))
    assert (unknown.us_g, unknown.eu_g, unknown.mass_g, unknown.water_ml) == (0, 0, 0, 0)
    assert (unknown.volume_ml, unknown.exempt_ml, unknown.actual, unknown.us_percent) == (1, 0, 0, 0)


def test_a_range_counts_high_for_what_counts_and_low_for_what_is_left_out() -> None:
    """Ethanol 10-25 %, acetone 5-15 %, water 50 %, solids 20 %: at most 30 % is volatile, at least 5 % exempt."""
    facts = {"water_milli": 50_000, "solids_milli": 20_000, "density_ug_per_ml": 1_000_000}
    wide = (
        SolventShare("ethanol", 25_000, "weight", 10_000),
        SolventShare("acetone", 15_000, "weight", 5_000),
    )
    paint = content(product(solvents=wide, **facts))
    assert paint.actual == pytest.approx(300 - 50)
    assert paint.ready_to_use == pytest.approx(300)
    assert paint.exempt_ml == pytest.approx(0.05 / 0.7903)
    narrow = content(product(solvents=wide[:1], **facts))
    assert narrow.actual == pytest.approx(300), "water and solids leave 30 %"


def test_a_solvent_nobody_knows_is_not_exempt_and_as_dense_as_any() -> None:
    strange = content(product(solvents=shares("volume", unheard_of=100)))
    assert strange.us_g == pytest.approx(1.623)


def test_pure_solvents_and_water_need_no_density() -> None:
    assert content(product(water_milli=100_000)).actual == pytest.approx(0)
    blend = content(product(solvents=shares(ethanol=40), water_milli=60_000))
    assert blend.assumed == ()
    # Ideal volumes: 1 / (0.4/0.789 + 0.6/0.998) = 0.902 g/ml (measured 0.935: they shrink), so 361 g/L.
    assert blend.actual == pytest.approx(361, abs=1.5)


def test_what_boils_above_250_degrees_is_no_compound_of_the_union(monkeypatch: pytest.MonkeyPatch) -> None:

    from stock.cautions import voc
    from stock.cautions.substances import substance

    ethanol = substance("ethanol")
    assert ethanol is not None
    for boils, counted in ((250_000, 0.789), (250_001, 0.0)):
        monkeypatch.setattr(voc, "substance", lambda name, at=boils: ethanol._replace(boiling_point_mc=at))
        held = voc.content(product(solvents=shares("volume", slow=100)))
        assert held.eu_g == pytest.approx(counted, abs=0.002)
        assert held.us_g == pytest.approx(0.789, abs=0.002)


def test_a_density_that_is_not_noted_is_that_of_an_ideal_mixture_where_all_is_named():
    """Half water (0.998 g/ml) and half ethanol (0.789 g/ml) by weight: 1/(0.5/0.998 + 0.5/0.789) = 0.8813 g/ml."""
    half = ProductFacts(
        id=1,
        name="Half",
        role="reducer",
        water_milli=50_000,
        solids_milli=0,
        solvents=(SolventShare("ethanol", 50_000, "weight"),),
    )
    found = content(half)
    assert found.mass_g / found.volume_ml == pytest.approx(0.8813, abs=0.001)
    assert found.eu_g / found.volume_ml == pytest.approx(0.4407, abs=0.001)
    whole = content(half._replace(water_milli=0, solvents=(SolventShare("ethanol", 100_000, "volume"),)))
    assert whole.mass_g / whole.volume_ml == pytest.approx(0.789, abs=0.002)


def test_so_many_millilitres_of_a_product_hold_each_figure_so_many_times() -> None:
    one = Content(1.0, 0.3, 0.4, 0.2, 0.1, ("solids not noted",), 0.9, ("acetone",))
    four = one.times(4)
    assert four == Content(4.0, 1.2, 1.6, 0.8, 0.4, ("solids not noted",), 3.6, ("acetone",))
    assert four.us_percent == pytest.approx(100 * 0.3 / 0.9)
    assert together([one, one, one, one]) == pytest.approx(four)


def test_no_product_is_more_than_wholly_solvent_by_weight() -> None:
    """Where no density is known the solvent may come out heavier than the whole; 100 % is the most that can be."""
    assert Content(1.0, 2.0, 2.0, 0.0, 0.0, (), 1.0).us_percent == 100
    assert Content(1.0, 0.5, 0.5, 0.0, 0.0, (), 0.0).us_percent == 100
    assert Content(1.0, 0.25, 0.5, 0.0, 0.0, (), 1.0).us_percent == 25


def test_water_fills_no_more_than_the_litre() -> None:
    """Water weighs 998.2 g/L at 20 °C: a record that has more of it, by a density that is off, is all water."""
    heavy = {"water_milli": 100_000, "density_ug_per_ml": 1_200_000}
    assert content(product(solvents=(), **heavy)).water_ml == 1
    assert content(product(**heavy)).water_ml == 1
    assert content(product(solvents=(), density_ug_per_ml=1_200_000)).water_ml == 0


def test_of_a_pigment_and_of_what_boils_too_high_the_least_is_left_out() -> None:
    """Titanium dioxide 10-30 % is 10 % of solids at least; dibutyl phthalate (338 °C) 5-20 % is 5 % at least."""
    facts = {"water_milli": 40_000, "density_ug_per_ml": 1_000_000}
    pigment = SolventShare("titanium dioxide", 30_000, "weight", 10_000)
    assert content(product(solvents=(pigment,), **facts)).actual == pytest.approx(500)
    slow = SolventShare("dibutyl phthalate", 20_000, "weight", 5_000)
    plastic = content(product(solvents=(slow,), solids_milli=30_000, **facts))
    assert plastic.actual == pytest.approx(300)
    assert plastic.ready_to_use == pytest.approx(250)


def test_what_is_taken_for_solvent_is_named_fact_by_fact() -> None:
    facts = {"solvents": shares(ethanol=10), "density_ug_per_ml": 1_000_000}
    dry = content(product(solids_milli=30_000, **facts))
    assert dry.assumed == ("water not noted: all the rest counts as solvent",)
    wet = content(product(water_milli=30_000, **facts))
    assert wet.assumed == ("solids not noted: all the rest counts as solvent",)


@pytest.mark.parametrize(("water_milli", "rest"), [(49_910, 0), (49_880, 0.0012)])
def test_a_thousandth_may_stay_open_by_weight_and_more_counts_as_solvent(
    water_milli: int, rest: float
) -> None:
    held = content(product(solvents=shares(ethanol=50), water_milli=water_milli, density_ug_per_ml=900_000))
    assert held.us_g == pytest.approx(0.9 * (0.5 + rest), rel=1e-7)
    assert bool(held.assumed) == bool(rest)


def test_a_density_is_worked_out_only_where_known_solvents_of_one_basis_are_all_of_it() -> None:
    """Ideal volumes by hand; 99.9 % is all of it. Where a name or a basis is in the way all counts as dense solvent."""
    almost = content(product(solvents=shares("volume", ethanol=99.9)))
    assert (almost.mass_g, almost.assumed) == (pytest.approx(0.999 * 0.7894, rel=1e-7), ())
    wet = content(product(water_milli=99_900))
    assert wet.mass_g == pytest.approx(0.9982 / 0.999, rel=1e-7)
    ethanol_and_water = content(product(solvents=shares(ethanol=40), water_milli=60_000))
    assert ethanol_and_water.mass_g == pytest.approx(1 / (0.4 / 0.7894 + 0.6 / 0.9982), rel=1e-7)
    for solvents in (
        shares(ethanol=50, unheard_of=50),
        (*shares(ethanol=50), *shares("volume", acetone=50)),
        shares("volume", ethanol=99.8),
    ):
        unknown = content(product(solvents=solvents))
        assert unknown.mass_g == pytest.approx(1.623)
        assert "density" in unknown.assumed[0]


def test_without_a_density_solvents_by_volume_count_each_by_its_own_and_the_rest_as_the_densest() -> None:
    """A thousandth may stay open; of the water in it nothing is left out of the litre."""
    facts = {"water_milli": 50_000}
    half = content(product(solvents=shares("volume", ethanol=10), **facts))
    assert (half.us_g, half.water_ml) == (pytest.approx(0.1 * 0.7894 + 0.9 * 1.623, rel=1e-7), 0)
    assert half.assumed == ("density and the rest not noted: the rest counts as solvent",)
    whole = content(product(solvents=shares("volume", ethanol=49.9, unheard_of=50)))
    assert whole.us_g == pytest.approx(0.499 * 0.7894 + 0.501 * 1.623, rel=1e-7)
    assert whole.assumed == ()


def test_without_a_density_the_litre_counts_as_its_densest_solvent_and_no_water_is_left_out() -> None:
    """Where all of it is listed nothing denser than its densest can be in it: propylene glycol weighs 1036 g/L."""
    both = (*shares(ethanol=60), *shares("volume", propylene_glycol=10))
    listed = content(product(solvents=both, water_milli=38_000))
    assert (listed.us_g, listed.eu_g, listed.mass_g) == (pytest.approx(1.036),) * 3
    assert (listed.water_ml, listed.exempt_ml) == (0, 0)
    assert listed.assumed == ("density not noted: it counts as solvent throughout",)
    assert content(product(solvents=both, water_milli=20_000)).us_g == pytest.approx(1.623)


def test_water_with_a_trace_of_what_nobody_knows_is_water() -> None:
    """A thousandth of an unheard-of name is within the rounding of a sheet; more of it counts at its worst."""
    trace = product(solvents=shares(unheard_of=0.1), water_milli=99_900)
    assert content(trace) == Content(1.0, 0.0, 0.0, 1.0, 0.0, (), 0.9982)
    more = content(trace._replace(water_milli=99_899))
    assert more.us_g == pytest.approx(1.623)
