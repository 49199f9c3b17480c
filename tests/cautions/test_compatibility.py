"""What may not meet."""

from itertools import product as pairs_of

import pytest

from stock.cautions.compatibility import (
    _FEW,
    Star,
    _open_in_words,
    matrix,
    meeting,
    stars,
    together,
    unknown_meeting,
    unknowns,
)
from stock.cautions.facts import DEADLY, SolventShare
from stock.cautions.groups import (
    ACCELERATED,
    ASSUMED,
    GROUPS_UNKNOWN,
    PARTLY_UNKNOWN,
    PERHAPS_WATER,
    TWO_PACK,
    WORDS,
    groups_of,
)
from stock.cautions.paint_and_reducer import bench_rules
from stock.cautions.rules import rule_book
from tests.cautions.sample_facts import codes, one, part, product, reducer, share

BOOK = rule_book()


def met(*products):
    return list(together(products, BOOK))


def hardener(number=9, **known):
    given = {
        "role": "hardener",
        "water_milli": 0,
        "solvents": (share("n-butyl acetate", 40), share("hdi", 60)),
    }
    return product(number, **{**given, **known})


def test_groups_come_from_what_is_in_it():
    assert groups_of(product()) == {"water", "waterborne"}
    assert {"alcohol", "water"} <= groups_of(reducer())
    assert "waterborne" not in groups_of(reducer())
    assert {"ester", "isocyanate"} <= groups_of(hardener())
    assert groups_of(product(solvents=None, water_milli=None)) == {GROUPS_UNKNOWN, PERHAPS_WATER}
    assert groups_of(product(role="hardener", solvents=None, water_milli=0)) == {
        "isocyanate", "organic_peroxide", ASSUMED, GROUPS_UNKNOWN,
    }  # fmt: skip
    assert "isocyanate" in groups_of(hardener(solvents=(share("n-butyl acetate", 40),)))
    assert "isocyanate" not in groups_of(hardener(solvents=(share("pm", 40),), groups=("amine",)))
    assert GROUPS_UNKNOWN in groups_of(reducer(solvents=(share("a secret", 5),)))
    assert PARTLY_UNKNOWN in groups_of(product(solvents=(share("a secret", 5),)))
    assert "solventborne" in groups_of(product(solvents=(share("ethyl acetate", 50),), water_milli=0))


def test_ordinary_paint_and_reducers_may_meet():
    assert met(product(1), reducer(2), reducer(3, "acetone"), reducer(4, "2-butoxyethanol")) == []


def test_a_hardener_and_water_stop():
    found = one(met(product(), hardener()), "incompatible")
    assert found.severity == "stop"
    assert "carbon dioxide" in found.message
    assert "RG18" in found.source


def test_a_two_pack_made_for_water_is_the_exception():
    assert met(product(), hardener(groups=(TWO_PACK, "isocyanate"))) == []


def test_a_hardener_nobody_described_counts_as_isocyanate():
    assert "incompatible" in codes(met(product(), hardener(solvents=None)))


def test_a_hardener_and_its_solventborne_clear_may_meet():
    clear = product(
        1, role="clear", solvents=(share("n-butyl acetate", 45),), water_milli=0, solids_milli=55_000
    )
    assert met(clear, hardener()) == []


def test_what_is_left_unnamed_of_a_clear_warns_beside_its_hardener_and_of_anything_else_stops():
    """As a rule it is the resin, which is made for the hardener; of a reducer it may be an alcohol."""
    known = {"solvents": (share("n-butyl acetate", 45),), "water_milli": 0}
    found = one(met(product(1, role="clear", **known), hardener()), "unknown-with-reactive")
    assert (found.severity, "55 % of Product 1 is named nowhere" in found.message) == ("warn", True)
    assert (
        one(met(product(1, role="reducer", **known), hardener()), "unknown-with-reactive").severity == "stop"
    )
    bleach = product(3, role="cleaner", solvents=(share("bleach", 4),), water_milli=96_000)
    assert one(met(product(1, role="clear", **known), bleach), "incompatible").severity == "stop"
    watery = product(1, solvents=(share("ammonia", 1),), water_milli=60_000)
    oxidiser = product(3, solvents=(share("potassium permanganate", 4),), water_milli=96_000)
    assert "unknown-with-reactive" in codes(met(watery, oxidiser))


@pytest.mark.parametrize("solvent", ["ethanol", "propan-2-ol", "acetone", "2-butoxyethanol", "ethyl acetate"])
def test_bleach_and_solvents_stop(solvent):
    bleach = product(1, role="cleaner", solvents=(share("sodium hypochlorite", 4),))
    assert one(met(bleach, reducer(2, solvent)), "incompatible").severity == "stop"


def test_bleach_and_ammonia_stop():
    bleach = product(1, role="cleaner", solvents=(share("bleach", 4),))
    ammonia = product(2, role="cleaner", solvents=(share("ammonia", 3),))
    assert "chloramines" in one(met(bleach, ammonia), "incompatible").message


def test_what_rests_on_memory_warns_and_says_so():
    oxidising = product(1, role="cleaner", groups=("oxidiser",))
    found = one(met(oxidising, reducer(2, "acetone")), "reacts")
    assert found.severity == "warn"
    assert "from memory" in found.source


def test_what_nobody_described_may_not_meet_something_reactive():
    unknown = product(1, solvents=None, water_milli=None)
    bleach = product(2, role="cleaner", solvents=(share("bleach", 4),))
    assert one(met(unknown, bleach), "unknown-with-reactive").severity == "stop"
    assert met(unknown, reducer(3)) == []
    acid = product(4, role="cleaner", solvents=(share("phosphoric acid", 4),))
    assert one(met(unknown, acid), "unknown-with-reactive").severity == "warn"
    ammonia = product(5, role="cleaner", solvents=(share("ammonia", 4),))
    assert met(unknown, ammonia) == [], "what ammonia reacts with can't be what isn't known"


def test_groups_without_a_composition_don_t_tell_all_that_is_in_it():
    noted = product(1, solvents=None, groups=("waterborne",))
    bleach = product(2, role="cleaner", solvents=(share("bleach", 4),))
    assert one(met(noted, bleach), "unknown-with-reactive").severity == "stop"


def test_what_only_harms_when_kept_is_not_said_of_a_wash_out():
    alcohol, ketone = reducer(1, "propan-2-ol"), reducer(2, "butanone")
    assert codes(met(alcohol, ketone)) == {"reacts"}
    assert list(together([alcohol, ketone], BOOK, where="the wash-out", kept=False)) == []


def test_a_hardener_is_told_by_what_is_in_it_and_not_by_its_role():
    """A peroxide and an amine are hardeners, too, and no isocyanates; a role alone tells neither."""
    for known, groups in (
        ({"solvents": (share("mekp", 35),)}, {"organic_peroxide"}),
        ({"solvents": (share("bpo", 50),)}, {"organic_peroxide"}),
        ({"groups": ("peroxide",), "solvents": None}, {"organic_peroxide"}),
        ({"groups": ("organic_peroxide",), "solvents": None}, {"organic_peroxide"}),
        ({"solvents": (share("isophoronediamine", 60),)}, {"amine"}),
        ({"solvents": (share("ipdi", 1), share("xylene", 20))}, {"isocyanate"}),
        (
            {"solvents": (share("xylene", 30), share("phosphoric acid", 0.1))},
            {"isocyanate", "organic_peroxide"},
        ),
        (
            {"solvents": (share("xylene", 30),), "groups": ("solventborne",)},
            {"isocyanate", "organic_peroxide"},
        ),
    ):
        kinds = groups_of(hardener(**known)) & {"isocyanate", "organic_peroxide", "amine"}
        assert kinds == groups, known
    found = one(met(hardener(solvents=None), reducer(2, "ethanol")), "incompatible")
    assert "perhaps isocyanate or organic peroxide: nobody has noted which hardener it is" in found.message


def test_a_two_pack_clear_with_its_solvents_noted_is_not_stopped_as_not_noted():
    """Neither where its water isn't noted: a paint made with xylene is as a rule made without."""
    clear = product(1, role="clear", solvents=(share("xylene", 30),), water_milli=None, no_flash_point=False)
    kit = hardener(solvents=(share("xylene", 30), share("hdi", 40)), water_milli=None)
    found = met(clear, kit)
    assert {each.severity for each in found} == {"warn"}
    assert all("nobody has noted what is in" not in each.message.lower() for each in found)
    pigmented = clear._replace(solvents=(share("xylene", 30), share("titanium dioxide", 20)))
    assert PARTLY_UNKNOWN in groups_of(pigmented)
    named = clear._replace(solvents=(share("xylene", 30), share("titanium dioxide", 20)), solids_milli=50_000)
    assert met(named, kit) == [], "a pigment that reacts with nothing leaves nothing open"
    strange = met(clear._replace(solvents=(share("xylene", 30), share("a secret", 5))), kit)
    assert one(strange, "unknown-with-reactive").message.startswith(
        "What a secret in Product 1 reacts with isn't"
    )
    assert one(met(clear._replace(solvents=None), kit), "unknown-with-reactive").severity == "stop"


def test_a_resin_and_the_peroxide_that_sets_it_may_meet_and_an_accelerator_and_it_may_not():
    mekp = hardener(solvents=(share("mekp", 35), share("dibutyl phthalate", 65)))
    resin = product(
        1, role="clear", solvents=(share("styrene", 38), share("cobalt octoate", 0.2)), water_milli=0
    )
    assert codes(met(resin._replace(solids_milli=61_800), mekp)) == {"cures"}
    assert one(met(resin, mekp), "unknown-with-reactive").severity == "warn"
    accelerator = product(3, role="additive", solvents=(share("cobalt octoate", 10), share("xylene", 90)))
    found = one(met(accelerator, mekp), "incompatible")
    assert (found.severity, found.danger) == ("stop", 3)
    assert "manganese, iron and cobalt" in found.source
    much = resin._replace(solvents=(share("styrene", 38), share("cobalt octoate", 2)), solids_milli=60_000)
    assert "incompatible" in codes(met(much, mekp))
    putty = resin._replace(
        solvents=(share("styrene", 38), share("n,n-dimethylaniline", 0.2)), solids_milli=61_800
    )
    assert codes(met(putty, mekp)) == {"cures"}


def test_the_gravest_is_told_by_itself_and_first():
    """A bleach among twenty solvents, and one ammonia: their pair isn't one of many."""
    bleach = product(1, role="cleaner", solvents=(share("bleach", 4),), water_milli=96_000)
    others = [reducer(number, "ethanol") for number in range(2, 22)]
    ammonia = product(40, "Window Drops", role="cleaner", solvents=(share("ammonia", 5),), water_milli=95_000)
    for found in (
        list(stars([*others, bleach, ammonia], apart=True)),
        list(stars([*others, ammonia, bleach])),
    ):
        assert {found[0].product.id, *(each.id for each in found[0].others)} == {1, 40}
        assert "chloramines" in found[0].effect
        assert "and 17 more" in found[1].names
    drops = [ammonia._replace(id=number, name=f"Drops {number}") for number in range(40, 46)]
    assert all(each.name in next(stars([bleach, *drops])).names for each in drops)


def test_what_may_have_water_in_it_may_not_meet_a_hardener():
    clear = product(1, role="clear", solvents=(share("n-butyl acetate", 45),), water_milli=None)
    found = one(met(clear, hardener()), "unknown-with-reactive")
    assert "Nobody has noted whether there is water in Product 1" in found.message
    assert found.severity == "stop"
    noted = product(
        1, role="clear", solvents=(share("n-butyl acetate", 45),), water_milli=None, solids_milli=55_000,
        groups=("solventborne",),
    )  # fmt: skip
    assert met(noted, hardener()) == []


def test_not_with_is_kept_both_ways():
    assert one(met(product(1, not_with=(2,)), reducer(2)), "not-with").severity == "stop"
    assert one(met(reducer(2), product(1, not_with=(2,))), "not-with").severity == "stop"


def test_a_pair_is_said_once_by_its_gravest_reaction():
    bleach = product(1, role="cleaner", solvents=(share("bleach", 4),))
    blend = reducer(2, solvents=(share("ethanol", 20), share("acetone", 20)))
    assert len(met(bleach, blend)) == 1


def test_the_matrix_is_whole():
    named = {
        *WORDS, "propan-2-ol", "butanone", "styrene", "hydrocarbon", "aromatic", "chlorinated", "ether", "acrylate",
        ACCELERATED,
    }  # fmt: skip
    seen = set()
    for pair in matrix():
        assert {pair.one, pair.other} <= named, pair
        assert pair.gravity in ("never", "warn", "kept", "cures")
        assert 1 <= pair.danger <= DEADLY
        assert pair.effect
        assert pair.source
        assert frozenset((pair.one, pair.other)) not in seen
        seen.add(frozenset((pair.one, pair.other)))


def test_the_shelf_takes_the_words_of_the_matrix():
    from stock.hazard_statements import HAZARD_GROUPS
    from stock.shelf.entry import GROUPS

    assert {*GROUPS, "water"} - set(HAZARD_GROUPS) == set(WORDS) - {"water_reactive", "acid_reactive"}


def test_order_does_not_matter():
    for one_group, other in pairs_of(WORDS, WORDS):
        assert meeting([one_group], [other]) == meeting([other], [one_group])


def test_only_what_was_seen_stops():
    assert all(pair.status == "verified" for pair in matrix() if pair.may_stop)


def bench(*parts):
    return list(bench_rules([part.product for part in parts], BOOK))


def test_bench_rules_are_practice_and_never_stop():
    solventborne = product(5, solvents=(share("ethyl acetate", 50),), water_milli=0)
    found = bench(part(product(), 8), part(solventborne, 2))
    assert one(found, "curdles").severity == "warn"
    found = bench(part(product(), 8), part(reducer(), 2))
    assert one(found, "pour-slowly").source == "common practice, no source"


def test_acetone_goes_in_cut():
    assert "acetone-uncut" in codes(bench(part(product(), 8), part(reducer(2, "acetone"), 2)))
    cut = bench(part(product(), 8), part(reducer(2, "acetone"), 1), part(reducer(3, "2-butoxyethanol", 5), 1))
    assert "acetone-uncut" not in codes(cut)


def test_what_is_not_known_of_a_product_is_said_as_a_share_that_is_not_made_smaller():
    """
    named   25 to 50 % beside 50 % water: nothing is left at most, 25 % at least
    named   25 % beside 50 % water: 25 % are named nowhere, and less than a per cent is said as one
    """
    ranged = product(
        1, "Tern", solvents=(SolventShare("ethanol", 50_000, "weight", 25_000),), water_milli=50_000
    )
    assert _open_in_words("", ranged) == "25 % of Tern is named nowhere on its record"
    exact = product(1, "Tern", solvents=(share("ethanol", 25),), water_milli=50_000)
    assert _open_in_words("", exact) == "25 % of Tern is named nowhere on its record"
    little = product(1, "Tern", solvents=(share("ethanol", 49.5),), water_milli=50_000)
    assert _open_in_words("", little) == "1 % of Tern is named nowhere on its record"
    assert _open_in_words("", product(1, "Tern", solvents=None)) == "Nobody has noted what is in Tern"
    strange = product(1, "Tern", solvents=(share("a secret", 25),))
    assert _open_in_words("", strange) == "What a secret in Tern reacts with isn't known here"


def test_of_many_that_a_product_may_not_meet_the_first_few_are_named_unless_a_gas_could_kill():
    others = tuple(product(number, f"P{number}") for number in range(_FEW + 1))
    few = ", ".join(f"P{number}" for number in range(_FEW))
    star = Star(product(), others, "", "", DEADLY - 1)
    assert star.names == f"{few} and 1 more"
    assert star._replace(others=others[:-1]).names == few
    assert star._replace(danger=DEADLY).names == f"{few}, P{_FEW}"


def test_what_is_partly_unknown_beside_a_hardener_warns_and_may_stand_there_and_beside_others_may_not():
    """As a rule what is left of a resin is made for its hardener; what nobody described at all is not."""

    def gravity(unknown, reactive):
        found = unknown_meeting((unknown,), (reactive,))
        return found and (found.gravity, found.keep_apart)

    for hardener_of in ("isocyanate", "organic_peroxide"):
        assert gravity(PARTLY_UNKNOWN, hardener_of) == ("warn", False)
    assert gravity(GROUPS_UNKNOWN, "isocyanate")[0] == "never"
    assert gravity(PARTLY_UNKNOWN, "bleach")[0] == "never"
    assert gravity(PARTLY_UNKNOWN, "ketone") is None
    meets = {(each.one, each.other): each for each in unknowns()}
    assert all(each.danger == 1 and each.effect.startswith("could give") for each in meets.values())
    assert {each.effect.rpartition("nobody has noted ")[2] for each in meets.values()} == {
        "what is in it", "all that is in it", "whether there is water in it",
    }  # fmt: skip


def test_water_that_is_not_known_is_no_danger_beside_a_two_pack_or_in_a_hardener_that_is_noted():
    """Where nothing at all is known of it the danger stays."""
    assert unknown_meeting((PERHAPS_WATER,), ("isocyanate",)) is not None
    assert unknown_meeting((PERHAPS_WATER,), ("isocyanate", TWO_PACK)) is None
    assert unknown_meeting((PERHAPS_WATER, TWO_PACK), ("isocyanate",)) is None
    assert unknown_meeting((PERHAPS_WATER, "isocyanate"), ("isocyanate",)) is None
    assert unknown_meeting((PERHAPS_WATER, "isocyanate", ASSUMED), ("isocyanate",)) is not None
    assert unknown_meeting((GROUPS_UNKNOWN, TWO_PACK), ("isocyanate",)) is not None
    assert unknown_meeting(("water",), ("isocyanate",)) is None
