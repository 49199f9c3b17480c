"""No false calm: knowing less never makes anything milder, and knowing more of one bottle never quiets another.

Knowledge is what a sheet says of a product: flash point, boiling point, composition, water, density, lives,
storage temperatures; and of a bottle, the days it was made, came and was opened. Which products may not meet
and whether one is discontinued are statements that have no "not known"; a label's best-before day has the
product's sealed life, counted from the day it came, to stand in for it.
"""

from dataclasses import replace
from datetime import date, timedelta

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from stock.cautions.facts import SEVERITIES, SolventShare, StudioFacts
from stock.cautions.findings import findings
from stock.cautions.mix import mix_findings
from stock.cautions.substances import bears_solvent
from stock.spans import Duration
from tests.cautions.told import TODAY, bottle, part, place, product

UNKNOWN = {
    "flash_point_mc": None, "boiling_point_mc": None, "solvents": None, "water_milli": None, "density_ug_per_ml": None,
    "opened_life": None, "sealed_life": None, "store_low_mc": None, "store_high_mc": None, "no_flash_point": False,
    "solids_milli": None,
}  # fmt: skip
"""Every field of a product that can be not known, and how that is told."""

STATEMENTS = {"id", "name", "role", "groups", "not_with", "discontinued"}
UNKNOWN_DAYS = ("opened_on", "received_on", "made_on", "container")

SOLVENTS = (
    "ethanol",
    "acetone",
    "propan-2-ol",
    "butyl glycol",
    "dpm",
    "pg",
    "n-butyl acetate",
    "a secret",
    "bleach",
)


@st.composite
def products(draw, number):
    one = draw(any_product(number))
    assume(consistent(one))
    return one


@st.composite
def any_product(draw, number):
    shares = draw(st.dictionaries(st.sampled_from(SOLVENTS), st.integers(0, 45), max_size=2))
    lives = st.none() | st.builds(Duration, st.integers(1, 48), st.just(0))
    return product(
        number,
        role=draw(st.sampled_from(("paint", "clear", "reducer", "cleaner", "hardener", "additive"))),
        solvents=draw(st.none() | st.just(tuple(SolventShare(n, p * 1000, "weight") for n, p in shares.items()))),
        water_milli=draw(st.none() | st.sampled_from((0, 10_000, 55_000))),
        flash_point_mc=draw(st.none() | st.integers(-20_000, 110_000)),
        boiling_point_mc=draw(st.none() | st.integers(30_000, 200_000)),
        no_flash_point=draw(st.booleans()),
        density_ug_per_ml=draw(st.none() | st.integers(790_000, 1_390_000)),
        opened_life=draw(lives),
        sealed_life=draw(lives),
        store_low_mc=draw(st.none() | st.integers(-5_000, 15_000)),
        store_high_mc=draw(st.none() | st.integers(20_000, 40_000)),
        discontinued=draw(st.booleans()),
    )  # fmt: skip


def consistent(one):
    """Whether a sheet agrees with itself: something that flashes names a solvent, or doesn't say what is in it."""
    flashes = one.flash_point_mc is not None and one.flash_point_mc <= 93_334
    return not (flashes and bears_solvent(one) is False)


@st.composite
def bottles(draw, number, of):
    opened = draw(st.booleans())
    days = st.integers(0, 1500).map(lambda ago: TODAY - timedelta(ago))
    size_ul = draw(st.sampled_from((60_000, 480_000, 1_000_000, 4_000_000)))
    return bottle(
        number, of, state="open" if opened else "sealed", size_ul=size_ul, on_hand_ul=size_ul // 2,
        opened_on=draw(st.none() | days) if opened else None, received_on=draw(st.none() | days),
        made_on=draw(st.none() | days), best_before=None, place_id=draw(st.sampled_from((None, 1, 2))),
        container=draw(st.sampled_from((None, "glass", "plastic", "metal"))),
        frozen_on=draw(st.none() | days),
    )  # fmt: skip


@st.composite
def studios(draw):
    goods = [draw(products(number)) for number in range(1, 4)]
    stock = [draw(bottles(number, draw(st.integers(1, 3)))) for number in range(1, 6)]
    places = (
        place(1, low_mc=draw(st.sampled_from((-3_000, 4_000, 12_000))), high_mc=draw(st.sampled_from((24_000, 38_000))),
              limit_ul=draw(st.none() | st.integers(0, 5_000_000))),
        place(2, "Booth", kind="spray_area", premises=draw(st.sampled_from(("home", "workshop", "spray_room")))),
    )  # fmt: skip
    return StudioFacts(products=tuple(goods), bottles=tuple(stock), places=places, day_use_ul=1_000_000)


def gravity(found):
    return max((SEVERITIES.index(each.severity) for each in found), default=-1)


def touching(found, facts, number):
    """The findings that speak of a product: its own, its bottles', and those of the places where they stand."""
    bottles = {each.id for each in facts.bottles if each.product_id == number}
    places = {each.place_id for each in facts.bottles if each.product_id == number}
    return [
        each
        for each in found
        if each.product_id == number
        or each.bottle in bottles
        or (each.product_id is None and each.place_id in places)
    ]


def without(facts, number, field):
    """The same studio, one field of one product not known."""
    blank = {field: UNKNOWN[field]}
    goods = tuple(replace(each, **blank) if each.id == number else each for each in facts.products)
    return replace(facts, products=goods)


def test_every_field_of_a_product_is_walked_or_is_a_statement():
    assert {*UNKNOWN, *STATEMENTS} == set(type(product()).__dataclass_fields__)


@settings(max_examples=150, deadline=None)
@given(studios(), st.sampled_from(sorted(UNKNOWN)), st.integers(1, 3))
def test_removing_knowledge_never_makes_a_finding_milder(facts, field, number):
    """But for the one case that the mixes below except too: bleach, unknown, beside what is unknown itself."""
    assume(not any("bleach" in {share.name for share in each.solvents or ()} for each in facts.products))
    before = touching(findings(facts, TODAY), facts, number)
    after = touching(findings(without(facts, number, field), TODAY), facts, number)
    assert gravity(after) >= gravity(before)


@settings(max_examples=100, deadline=None)
@given(studios(), st.sampled_from(UNKNOWN_DAYS), st.integers(0, 4))
def test_not_knowing_a_bottle_s_days_never_makes_a_finding_milder(facts, field, at):
    chosen = facts.bottles[at]
    blank = tuple(replace(each, **{field: None}) if each is chosen else each for each in facts.bottles)
    before = touching(findings(facts, TODAY), facts, chosen.product_id)
    after = touching(findings(replace(facts, bottles=blank), TODAY), facts, chosen.product_id)
    assert gravity(after) >= gravity(before)


@settings(max_examples=150, deadline=None)
@given(studios(), st.sampled_from(("flash_point_mc", "boiling_point_mc", "solvents")), st.integers(1, 3))
def test_knowing_more_of_one_never_quiets_another(facts, field, number):
    """What is said of the others, product by product and bottle by bottle, is the same either way."""

    def others(found):
        own = {each.id for each in facts.bottles if each.product_id == number}
        return {
            (each.code, each.product_id, each.bottle, each.severity)
            for each in found
            if each.product_id not in (None, number) and each.bottle not in own and each.code not in SHARED
        }

    known = others(findings(facts, TODAY))
    unknown = others(findings(without(facts, number, field), TODAY))
    assert known == unknown


SHARED = {"stored-apart", "waste-apart"}
"""Findings about two products at once: they need both."""


@st.composite
def mixes(draw):
    goods = [draw(products(number)) for number in range(1, draw(st.integers(2, 3)) + 1)]
    return [part(each, draw(st.integers(1, 20))) for each in goods]


@settings(max_examples=200, deadline=None)
@given(
    mixes(),
    st.sampled_from(("solvents", "flash_point_mc", "boiling_point_mc", "water_milli", "no_flash_point")),
)
def test_a_mix_of_which_less_is_known_is_never_milder(parts, field):
    """But for one case: what turns out to be bleach or an oxidiser stops a mix only once it is known.

    If the unknown stopped every mix with the unknown, nothing undescribed could be mixed at all; it warns.
    """
    assume(not any("bleach" in {share.name for share in each.product.solvents or ()} for each in parts))
    blank = [replace(parts[0], product=replace(parts[0].product, **{field: UNKNOWN[field]})), *parts[1:]]
    assert gravity(mix_findings(blank, TODAY)) >= gravity(mix_findings(parts, TODAY))


@settings(max_examples=100, deadline=None)
@given(products(1))
def test_what_nobody_described_is_never_called_free_of_solvent(one):
    assert bears_solvent(replace(one, solvents=None)) is None


class TestSampleStudio:
    """The walk through the sample studio: every product, each field blanked in turn."""

    @pytest.fixture(scope="class")
    def facts(self, tmp_path_factory):
        from sample_studio.loader import load
        from stock.cautions import books

        load(str(tmp_path_factory.mktemp("walk") / "studio.ullage"))
        return books.facts()

    def test_no_false_calm(self, facts):
        as_of = date.today() + timedelta(days=1)
        said = findings(facts, as_of)
        milder = []
        for one in facts.products:
            before = gravity(touching(said, facts, one.id))
            for field, blank in UNKNOWN.items():
                if getattr(one, field) == blank:
                    continue
                less = without(facts, one.id, field)
                after = gravity(touching(findings(less, as_of), facts, one.id))
                if after < before:
                    milder.append((one.name, field))
        assert milder == []

    def test_the_walk_has_something_to_blank(self, facts):
        known = sum(
            getattr(one, field) != blank for one in facts.products for field, blank in UNKNOWN.items()
        )
        assert known > 200
