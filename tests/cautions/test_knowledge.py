"""No false calm: knowing less never makes anything milder, and knowing more of one bottle never quiets another.

Knowledge is what a sheet says of a product, a label of a bottle and a look of a place. Which products may not
meet, whether one is discontinued and the studio's own limits are statements that have no "not known"; and that
something is a bleach, an acid, an isocyanate ... is knowledge that can be corrected but not removed
(tests/shelf/test_reactive.py). A day of making is only ever noted as a bottle comes, and beside a label's
best-before day it may be missing without a word. What keeps in a narrower range than paints usually do (5 to 30 °C, a
figure of the rule) isn't drawn: not to know that of something that heat is no danger to is a note.
"""

from datetime import timedelta

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from stock import clock
from stock.cautions.composition import SLACK_MILLI, all_named, unlisted_milli
from stock.cautions.facts import SEVERITIES, BottleFacts, PlaceFacts, SolventShare, StudioFacts
from stock.cautions.findings import findings
from stock.cautions.groups import RESINOUS, groups_of
from stock.cautions.substances import bears_solvent
from stock.cautions.waste import waste_of
from stock.shelf.reactive import kept_groups, said_to_hold_solvent
from stock.spans import Duration
from tests import templates
from tests.cautions.knowing import (
    OF_BOTTLES,
    OF_PLACES,
    STATEMENTS,
    STATEMENTS_OF_BOTTLES,
    STATEMENTS_OF_PLACES,
    UNKNOWN,
    about,
    gravity,
    less,
    of_a_mix,
    of_a_wash,
    without,
)
from tests.cautions.sample_facts import TODAY, bottle, part, place, product
from tests.sampling import drawn

WARN = SEVERITIES.index("warn")
SOLVENTS = (
    "ethanol", "acetone", "propan-2-ol", "butyl glycol", "dpm", "pg", "n-butyl acetate", "methyl acetate", "butanone",
    "a secret", "bleach", "hydrogen peroxide", "nitric acid", "phosphoric acid", "sodium hydroxide", "ammonia", "hdi",
    "potassium permanganate", "mekp", "cobalt octoate", "aluminium powder", "nitrocellulose", "badge", "xylene",
    "isophoronediamine", "titanium dioxide", "styrene",
)  # fmt: skip
GROUPS = (
    "waterborne", "solventborne", "alcohol", "ketone", "glycol_ether", "amine", "isocyanate", "waterborne_two_pack",
    "oxidiser", "bleach", "organic_acid", "organic_peroxide", "accelerator", "epoxy", "nitrocellulose",
    "aluminium_powder", "reducing_agent",
)  # fmt: skip
STATED = (
    "H222", "H224", "H225", "H226", "H228", "H229", "H242", "H261", "H290", "H301", "H314", "H317", "H334", "H351",
    "H360FD", "H411", "EUH031", "EUH066",
)  # fmt: skip
BOILS = st.none() | st.sampled_from((30_000, 35_000, 36_000, 38_000, 78_000, 190_000))
SETS = (("ghs", "strictest"), ("de",), ("uk",), ("us-osha",), ("nfpa", "ghs"), ("ca", "au"), ("ifc",))
PREMISES = st.sampled_from((None, "home", "garage", "workshop", "spray_room"))
FLASHES = st.sampled_from((-20_000, 12_000, 22_800, 22_900, 23_000, 37_900, 55_000, 60_000, 93_000, 94_000))


@st.composite
def products(draw, number):
    """A product as the books can hold it: a flash point or none, what is reactive among its groups, and no solvent
    only where no group says otherwise."""
    shares = draw(st.none() | st.dictionaries(st.sampled_from(SOLVENTS), st.integers(1, 50), max_size=3))
    named = tuple(SolventShare(name, percent * 1000, "weight") for name, percent in (shares or {}).items())
    words = draw(st.lists(st.sampled_from(GROUPS), max_size=2, unique=True))
    groups = tuple(kept_groups("It", "", " ".join(words), [share.name for share in named]).split())
    described = bool(shares) or (shares is not None and said_to_hold_solvent(groups) is None)
    ph = draw(
        st.sampled_from(((None, None), (7_000, 7_000), (1_000, 2_000), (2_001, 12_499), (11_000, 13_000)))
    )
    flash, none = draw(st.tuples(st.none() | FLASHES, st.just(False)) | st.just((None, True)))
    statements = draw(st.none() | st.lists(st.sampled_from(STATED), max_size=3, unique=True).map(tuple))
    section_2 = {
        "h_statements": statements,
        "signal_word": draw(st.sampled_from((None, "none", "warning", "danger"))),
        "pictograms": draw(st.sampled_from((None, (), ("GHS02",), ("GHS04",), ("GHS06", "GHS08")))),
        "un_number": draw(st.sampled_from((None, "", "1263", "1950"))),
        "transport_class": draw(st.sampled_from((None, "", "3", "2.1", "5.2", "8 (6.1)"))),
        "packing_group": draw(st.sampled_from((None, "", "II", "III"))),
        "protection": draw(st.sampled_from(("", "gloves: nitrile"))),
        "incompatible": draw(st.sampled_from(("", "none", "strong acids, amines"))),
    }
    lives = st.none() | st.builds(Duration, st.integers(1, 48), st.just(0))
    return product(
        number,
        role=draw(st.sampled_from(("paint", "clear", "reducer", "cleaner", "hardener", "additive", "mixed"))),
        solvents=named if described else None,
        groups=groups,
        water_milli=draw(st.none() | st.sampled_from((0, 10_000, 50_000, 55_000, 96_000, 100_000))),
        solids_milli=draw(st.none() | st.sampled_from((0, 4_000, 40_000, 45_000))),
        flash_point_mc=flash,
        no_flash_point=none,
        boiling_point_mc=draw(BOILS),
        ph_low_milli=ph[0],
        ph_high_milli=ph[1],
        density_ug_per_ml=draw(st.none() | st.integers(790_000, 1_390_000)),
        opened_life=draw(lives),
        sealed_life=draw(lives),
        store_low_mc=draw(st.none() | st.integers(-5_000, 5_000)),
        store_high_mc=draw(st.none() | st.integers(30_000, 40_000)),
        discontinued=draw(st.booleans()),
        **section_2,
    )  # fmt: skip


@st.composite
def bottles(draw, number, of):
    opened = draw(st.booleans())
    days = st.integers(0, 1500).map(lambda ago: TODAY - timedelta(ago))
    label = draw(st.none() | st.integers(-900, 900).map(lambda ahead: TODAY + timedelta(ahead)))
    size_ul = draw(st.sampled_from((60_000, 480_000, 1_000_000, 4_000_000, 30_000_000)))
    return bottle(
        number, of, state="open" if opened else "sealed", size_ul=size_ul, on_hand_ul=size_ul,
        opened_on=draw(st.none() | days) if opened else None, received_on=draw(st.none() | days),
        made_on=draw(st.none() | days) if label is None else None, best_before=label,
        place_id=draw(st.sampled_from((None, 1, 2, 3))), kept=opened and draw(st.booleans()),
        container=draw(st.sampled_from((None, "glass", "plastic", "metal", "safety_can", "aerosol_can", "drum"))),
        frozen_on=draw(st.none() | days),
    )  # fmt: skip


@st.composite
def places(draw, number, **known):
    return place(
        number, f"Place {number}",
        low_mc=draw(st.sampled_from((None, -3_000, 4_000, 12_000))),
        high_mc=draw(st.sampled_from((None, 24_000, 38_000))),
        ignition=draw(st.sampled_from((None, False, True))),
        building=draw(st.sampled_from(("", "Here", "There"))),
        limit_ul=draw(st.none() | st.integers(0, 5_000_000)),
        limit_mg=draw(st.none() | st.integers(0, 5_000_000)), **known,
    )  # fmt: skip


@st.composite
def studios(draw):
    goods = [draw(products(number)) for number in range(1, 4)]
    stock = [draw(bottles(number, draw(st.integers(1, 3)))) for number in range(1, 6)]
    stands = (
        draw(places(1, kind="cabinet", premises=draw(PREMISES))),
        draw(places(2, kind="spray_area", premises=draw(PREMISES))),
        draw(places(3, kind="shelf", premises=draw(PREMISES))),
    )  # fmt: skip
    sets = draw(
        st.sampled_from(
            (("ghs", "strictest"), ("de",), ("uk",), ("us-osha",), ("nfpa", "ghs"), ("ca", "au"), ("ifc",))
        )
    )
    return StudioFacts(
        products=tuple(goods), bottles=tuple(stock), places=stands, day_use_ul=1_000_000, rule_sets=sets
    )


def test_every_column_is_walked_or_is_a_statement():
    def blanked(fields):
        return {column for blank in fields.values() for column in blank}

    assert blanked(UNKNOWN) | STATEMENTS == set(type(product())._fields)
    assert blanked(OF_BOTTLES) | STATEMENTS_OF_BOTTLES == set(BottleFacts._fields)
    assert blanked(OF_PLACES) | STATEMENTS_OF_PLACES == set(PlaceFacts._fields)


def never_milder(facts, kind, number, field, fields):
    before = about(findings(facts, TODAY), facts, kind, number)
    after = about(findings(without(facts, kind, number, field, fields), TODAY), facts, kind, number)
    assert gravity(after) >= gravity(before)


@drawn(0.12)
@given(studios(), st.sampled_from(sorted(UNKNOWN)), st.integers(1, 3))
def test_removing_knowledge_of_a_product_never_makes_a_finding_milder(facts, field, number):
    never_milder(facts, "products", number, field, UNKNOWN)


@drawn(0.12)
@given(studios(), st.sampled_from(sorted(OF_BOTTLES)), st.integers(1, 5))
def test_removing_knowledge_of_a_bottle_never_makes_a_finding_milder(facts, field, number):
    never_milder(facts, "bottles", number, field, OF_BOTTLES)


@drawn(0.12)
@given(studios(), st.sampled_from(sorted(OF_PLACES)), st.integers(1, 3))
def test_removing_knowledge_of_a_place_never_makes_a_finding_milder(facts, field, number):
    never_milder(facts, "places", number, field, OF_PLACES)


@drawn(0.12)
@given(studios(), st.sampled_from(("flash_point", "boiling_point", "solvent")), st.integers(1, 3))
def test_knowing_more_of_one_never_quiets_another(facts, field, number):
    """What is said of the others, product by product and bottle by bottle, is the same either way."""

    def others(found):
        own = {each.id for each in facts.bottles if each.product_id == number}
        return {
            (each.code, name, each.bottle, each.severity)
            for each in found
            for name in ((each.product,) if each.product else each.others)
            if name != f"Product {number}" and each.bottle not in own and each.code not in SHARED
        }

    known = others(findings(facts, TODAY))
    unknown = others(findings(without(facts, "products", number, field, UNKNOWN), TODAY))
    assert known == unknown


SHARED = {"stored-apart", "waste-apart"}
"""Findings about two products at once: they need both."""


@st.composite
def mixes(draw):
    goods = [draw(products(number)) for number in range(1, draw(st.integers(2, 3)) + 1)]
    stock = [draw(st.none() | bottles(number, number)) for number in range(1, len(goods) + 1)]
    return [part(one, draw(st.integers(1, 20)), held) for one, held in zip(goods, stock, strict=True)]


@drawn(0.25)
@given(mixes(), st.sampled_from(sorted(UNKNOWN)))
def test_a_mix_of_which_less_is_known_is_never_milder(parts, field):
    blank = [parts[0]._replace(product=less(parts[0].product, field, UNKNOWN)), *parts[1:]]
    assert of_a_mix(blank) >= of_a_mix(parts)


@drawn(0.25)
@given(products(1), products(2), st.sampled_from(sorted(UNKNOWN)))
def test_a_wash_out_of_which_less_is_known_is_never_milder(cleaner, washed, field):
    assert of_a_wash(less(cleaner, field, UNKNOWN), washed) >= of_a_wash(cleaner, washed)
    assert of_a_wash(cleaner, less(washed, field, UNKNOWN)) >= of_a_wash(cleaner, washed)


@drawn(0.25)
@given(products(1), st.sampled_from(sorted(UNKNOWN)), st.booleans())
def test_waste_of_which_less_is_known_still_counts(one, field, spent):
    known, unknown = waste_of(one, spent=spent), waste_of(less(one, field, UNKNOWN), spent=spent)
    assert unknown.ignitable >= known.ignitable
    assert unknown.hazardous >= known.hazardous


@st.composite
def half_known(draw):
    """A product whose solvents are noted, but don't account for all of it."""
    one = draw(products(1).filter(lambda each: each.solvents))
    room = 80_000 // len(one.solvents)
    shares = tuple(share._replace(percent_milli=min(share.percent_milli, room)) for share in one.solvents)
    water = draw(st.none() | st.integers(0, 95_000 - sum(share.percent_milli for share in shares)))
    return one._replace(solvents=shares, water_milli=water, solids_milli=None)


@st.composite
def wholly_named(draw):
    """A product whose solvents, water and solids make up all of it."""
    one = draw(products(1).filter(lambda each: len(each.solvents or ()) > 1))
    room = 90_000 // len(one.solvents)
    shares = tuple(share._replace(percent_milli=min(share.percent_milli, room)) for share in one.solvents)
    rest = 100_000 - sum(share.percent_milli for share in shares)
    water = draw(st.integers(0, rest))
    return one._replace(solvents=shares, water_milli=water, solids_milli=rest - water)


SETS = {"isocyanate", "organic_peroxide"}
"""What a resin is made to set with."""


@drawn(0.06)
@given(studios(), half_known())
def test_solvents_noted_in_part_are_never_milder_than_none_noted(facts, half):
    """But for what is left of a paint, a clear or a hardener beside what sets it: that is as a rule the resin."""
    others = [each for each in facts.products if each.id != half.id]
    assume(half.role not in RESINOUS or all(SETS.isdisjoint(groups_of(each)) for each in others))

    def gravest(one):
        given_in_part = facts._replace(products=(one, *facts.products[1:]))
        return gravity(about(findings(given_in_part, TODAY), given_in_part, "products", 1))

    assert not all_named(half)
    assert gravest(half) >= gravest(half._replace(solvents=None))


@drawn(0.15)
@given(half_known(), products(2), st.booleans())
def test_at_the_bench_the_sink_and_the_waste_can_part_is_never_milder_than_nothing(half, other, spent):
    """Beside an isocyanate what is left of a paint, a clear or a hardener warns, where the wholly unknown stops."""
    unknown = half._replace(solvents=None)
    resin = half.role in ("paint", "clear", "hardener") and not SETS.isdisjoint(groups_of(other))
    for said in (
        lambda one: of_a_mix([part(one, 10), part(other, 5)]),
        lambda one: of_a_wash(one, other),
        lambda one: of_a_wash(other, one),
    ):
        assert said(half) >= (WARN if resin else said(unknown))
    known, blank = waste_of(half, spent=spent), waste_of(unknown, spent=spent)
    assert known.ignitable >= blank.ignitable
    assert known.hazardous >= (blank.hazardous and unlisted_milli(half) >= 8_000)


@drawn(0.15)
@given(wholly_named(), products(2))
def test_a_solvent_left_out_of_the_list_never_makes_anything_milder(one, other):
    """One of which there is more than the sheet's rounding leaves open."""
    dropped = max(one.solvents, key=lambda share: share.percent_milli)
    assume(dropped.percent_milli > 2 * SLACK_MILLI)
    fewer = one._replace(solvents=tuple(share for share in one.solvents if share != dropped))
    assert of_a_mix([part(fewer, 10), part(other, 5)]) >= of_a_mix([part(one, 10), part(other, 5)])
    assert of_a_wash(fewer, other) >= of_a_wash(one, other)
    assert waste_of(fewer, spent=True).hazardous >= waste_of(one, spent=True).hazardous


@drawn(0.15)
@given(wholly_named(), products(2), st.data())
def test_a_range_is_never_milder_than_its_high_end(one, other, data):
    shares = tuple(
        share._replace(low_milli=data.draw(st.integers(0, share.percent_milli))) for share in one.solvents
    )
    wide = one._replace(solvents=shares)
    assert of_a_mix([part(wide, 10), part(other, 5)]) >= of_a_mix([part(one, 10), part(other, 5)])
    assert of_a_wash(wide, other) >= of_a_wash(one, other)
    assert waste_of(wide, spent=True).hazardous >= waste_of(one, spent=True).hazardous


@drawn(0.3)
@given(products(1))
def test_what_nobody_described_is_never_called_free_of_solvent(one):
    assert bears_solvent(one._replace(solvents=None)) is None


def portion(request, things):
    """All of the things with `--deep`, else one in sixteen, chosen by the run's seed."""
    first = request.config.getoption("sample_seed") % 16
    return things if request.config.getoption("deep") else things[first::16]


class TestSampleStudio:
    """The walk through the sample studio: every product, bottle and place, each field blanked in turn."""

    @pytest.fixture(scope="class")
    def facts(self, tmp_path_factory):
        from stock.cautions import books
        from stock.store.connection import connection, open_books

        open_books(templates.sample_studio(tmp_path_factory))
        with connection():
            return books.facts()

    @pytest.mark.parametrize(
        ("kind", "fields"), [("products", UNKNOWN), ("bottles", OF_BOTTLES), ("places", OF_PLACES)]
    )
    def test_no_false_calm_where_things_stand(self, facts, kind, fields, request):
        as_of = clock.now().date() + timedelta(days=1)
        said = findings(facts, as_of)
        milder, walked = [], 0
        some = portion(request, getattr(facts, kind))
        for one in some:
            before = gravity(about(said, facts, kind, one.id))
            for field in fields:
                if less(one, field, fields) == one:
                    continue
                walked += 1
                after = findings(without(facts, kind, one.id, field, fields), as_of)
                if gravity(about(after, facts, kind, one.id)) < before:
                    milder.append((one.id, field))
        assert milder == []
        assert walked >= 3 * len(some)

    def test_no_false_calm_at_the_bench_the_sink_and_the_waste_can(self, facts, request):
        """Products in a mix and a wash-out with every other that isn't just one more paint, and thrown away.

        Products of which the same is known count once, whatever they are called.
        """
        milder = []
        different = list({one._replace(id=0, name="", not_with=()): one for one in facts.products}.values())
        assert len(different) > 25
        paints = {"paint", "clear", "mixed"}
        others = [each for each in different if each.role not in paints or "solventborne" in each.groups]
        others.append(next(each for each in different if each.role == "paint"))
        assert len(others) > 10
        for one in portion(request, different):
            blanked = {field: less(one, field, UNKNOWN) for field in UNKNOWN}
            for field, unknown in blanked.items():
                if unknown != one and waste_of(unknown).ignitable < waste_of(one).ignitable:
                    milder.append(("waste", one.name, field))
            for other in others:
                if other.id == one.id:
                    continue
                mixed = of_a_mix([part(one, 8), part(other, 2)], facts)
                washed = of_a_wash(one, other)
                for field, unknown in blanked.items():
                    if unknown == one:
                        continue
                    if of_a_mix([part(unknown, 8), part(other, 2)], facts) < mixed:
                        milder.append(("mix", one.name, other.name, field))
                    if of_a_wash(unknown, other) < washed:
                        milder.append(("wash-out", one.name, other.name, field))
        assert milder == []
