"""How long things keep, by the calendar."""

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stock.cautions.ageing import age, bottles_in_words
from stock.cautions.facts import RuleChange
from stock.spans import Duration
from tests.cautions.sample_facts import TODAY, bottle, codes, one, product, reducer, said, share


def test_a_healthy_bottle_is_left_alone():
    assert said(product(), bottle()) == []


def test_past_best_before_since_that_day():
    found = one(said(product(), bottle(best_before=date(2026, 2, 1))), "past-best-before")
    assert (found.severity, found.since, found.bottle) == ("warn", date(2026, 2, 1), 1)
    assert found.message.startswith("28 days past")


@pytest.mark.parametrize(
    ("best_before", "code"),
    [
        (date(2026, 2, 28), "past-best-before"),
        (date(2026, 3, 1), "near-best-before"),
        (date(2026, 3, 31), "near-best-before"),
        (date(2026, 4, 1), None),
    ],
)
def test_the_day_itself_is_still_good_and_thirty_days_before_it_are_near(best_before, code):
    assert codes(said(product(), bottle(best_before=best_before))) == ({code} if code else set())


def test_open_longer_than_its_opened_life():
    found = said(product(), bottle(state="open", opened_on=date(2025, 2, 27)))
    assert one(found, "open-too-long").since == date(2026, 2, 27)
    assert codes(said(product(), bottle(state="open", opened_on=date(2025, 3, 2)))) == {
        "open-nearly-too-long"
    }


def test_a_leap_day_and_a_month_end_clamp():
    """29 February and a year is 28 February; 31 January and a month is 29 February in a leap year."""
    opened = bottle(state="open", opened_on=date(2024, 2, 29), best_before=None, received_on=date(2024, 1, 1))
    assert age(opened, product()).open_until == date(2025, 2, 28)
    monthly = bottle(state="open", opened_on=date(2024, 1, 31))
    assert age(monthly, product(opened_life="1mo")).open_until == date(2024, 2, 29)


def test_without_a_label_the_sealed_life_counts_from_the_day_it_was_made():
    made = bottle(best_before=None, made_on=date(2023, 2, 1))
    assert age(made, product()).sealed_until == date(2026, 2, 1)
    assert "past-best-before" in codes(said(product(), made))


def test_without_a_day_of_making_it_counts_from_the_day_it_came_and_says_so():
    came = bottle(best_before=None, received_on=date(2023, 2, 1))
    assert "counted from the day it came" in one(said(product(), came), "past-best-before").message


def test_the_label_and_the_day_of_making_the_earlier_counts():
    both = bottle(best_before=date(2030, 1, 1), made_on=date(2023, 2, 1))
    assert age(both, product()).sealed_until == date(2026, 2, 1)


def test_an_unknown_day_is_unknown_and_never_good():
    assert "opened-day-unknown" in codes(said(product(), bottle(state="open", opened_on=None)))
    assert "age-unknown" in codes(said(product(sealed_life=None), bottle(best_before=None)))
    opened = bottle(state="open", opened_on=date(2026, 2, 1))
    assert "No opened life" in one(said(product(opened_life=None), opened), "age-unknown").message


def test_what_is_not_known_is_said_once_a_product():
    bottles = [bottle(number, best_before=None) for number in range(1, 8)]
    found = one(said(product(sealed_life=None), *bottles), "age-unknown")
    assert "bottles 1, 2, 3, 4 and 3 more" in found.message


def test_only_a_life_that_counts_from_the_day_it_came_is_told_as_a_guess():
    undated = {"best_before": None, "received_on": date(2026, 1, 1)}
    made = bottle(2, best_before=None, made_on=date(2025, 12, 1))
    found = one(said(product(), bottle(1, **undated), made, bottle(3), bottle(4, **undated)), "label-unknown")
    assert (found.severity, found.bottles) == ("warn", (1, 4))
    assert "No day of a label is noted for 2 bottles" in found.message
    assert "label-unknown" not in codes(said(product(), made, bottle(3)))


def test_frozen_once_is_to_be_tested():
    found = one(said(product(), bottle(frozen_on=date(2026, 1, 15))), "frozen-once")
    assert (found.severity, found.action, found.since) == ("warn", "find_out", date(2026, 1, 15))
    assert "frozen-once" not in codes(
        said(product(), bottle(frozen_on=date(2026, 1, 15)), as_of=date(2026, 1, 14))
    )


def test_a_bottle_that_froze_and_was_tested_since_is_good_until_its_day():
    frozen = bottle(frozen_on=date(2026, 1, 15), tested_until=date(2026, 3, 10))
    found = one(said(product(), frozen), "tested-good")
    assert (found.severity, found.since) == ("note", date(2026, 1, 15))
    assert "On 2026-01-15 it froze" in found.message
    assert "frozen-once" in codes(said(product(), frozen, as_of=date(2026, 3, 10))), "asked again"
    aged = one(said(product(), frozen._replace(best_before=date(2026, 2, 1))), "tested-good")
    assert "past its best-before day 2026-02-01" in aged.message
    assert "it froze" in aged.message


def leftover(kept_on, **known):
    return bottle(state="open", kept=True, opened_on=kept_on, received_on=kept_on, best_before=None, **known)


def test_a_leftover_has_a_short_life_of_its_own():
    jar = product(role="mixed", opened_life=None, sealed_life=None)
    assert codes(said(jar, leftover(date(2026, 2, 22)))) == {"leftover-kept"}
    assert codes(said(jar, leftover(date(2026, 2, 21)))) == {"leftover-too-old"}
    assert codes(said(jar, leftover(None))) == {"leftover-day-unknown"}


def test_a_leftover_of_which_nobody_knows_any_more_since_when_it_stands_is_not_good_by_its_label():
    jar = product(role="mixed", opened_life=None, sealed_life=None)
    unlabelled = {"state": "open", "kept": True, "opened_on": None, "received_on": date(2026, 2, 26)}
    assert codes(said(jar, bottle(best_before=date(2026, 3, 5), **unlabelled))) == {"leftover-day-unknown"}
    assert codes(said(jar, bottle(best_before=date(2026, 2, 28), **unlabelled))) == {"leftover-too-old"}


def test_a_leftover_s_own_label_rules():
    jar = product(role="mixed", opened_life=None, sealed_life=None)
    kept = bottle(state="open", kept=True, opened_on=date(2026, 1, 1), best_before=date(2026, 3, 5))
    assert codes(said(jar, kept)) == {"leftover-kept"}


HARD = {"role": "hardener", "water_milli": 0, "solvents": (share("n-butyl acetate", 60),)}


def test_an_opened_hardener_is_watched_and_more_gravely_after_a_month():
    hardener = product(**HARD)
    young = bottle(state="open", opened_on=date(2026, 2, 10))
    old = bottle(state="open", opened_on=date(2026, 1, 10))
    assert one(said(hardener, young), "hardener-open").severity == "note"
    assert one(said(hardener, old), "hardener-open").severity == "warn"
    assert one(said(hardener, bottle(state="open", opened_on=None)), "hardener-open").severity == "warn"
    assert "hardener-open" not in codes(said(hardener, bottle()))


def test_old_peroxide_formers_are_a_caution_of_their_own():
    old = bottle(2, 2, state="open", opened_on=date(2025, 2, 1))
    found = one(said(reducer(solvent="propan-2-ol"), old), "peroxides")
    assert "Propan-2-ol" in found.message
    assert found.since == date(2026, 2, 1)
    assert "peroxides" not in codes(said(reducer(solvent="ethanol"), old))
    assert "peroxides" not in codes(said(reducer(solvent="propan-2-ol"), bottle(2, 2)))


def test_an_unknown_composition_may_form_peroxides_too():
    old = bottle(2, 2, state="open", opened_on=date(2025, 2, 1))
    assert "perhaps-peroxides" in codes(said(reducer(solvents=None), old))
    half = reducer(solvents=(share("ethanol", 20),), water_milli=50_000)
    assert "30 % of it is named nowhere" in one(said(half, old), "perhaps-peroxides").message
    assert "perhaps-peroxides" not in codes(said(half._replace(solids_milli=30_000), old))
    assert "perhaps-peroxides" in codes(said(reducer(solvents=(share("a secret", 30),)), old))


def test_empty_and_discarded_bottles_say_nothing():
    for state, held in (("empty", 0), ("discarded", 30_000)):
        assert said(product(), bottle(state=state, on_hand_ul=held, best_before=date(2020, 1, 1))) == []


def test_a_caution_of_yesterday_is_asked_for_with_yesterday():
    old = bottle(best_before=date(2026, 2, 28))
    assert "past-best-before" in codes(said(product(), old, as_of=date(2026, 3, 1)))
    assert "past-best-before" not in codes(said(product(), old, as_of=date(2026, 2, 28)))


@given(st.dates(date(1990, 1, 1), date(2090, 1, 1)), st.integers(1, 60), st.integers(0, 30))
def test_a_life_never_ends_before_it_began_and_grows_by_the_day(begun, months, days):
    life = Duration(months, days)
    assert life.after(begun) > begun
    assert life.after(begun) <= Duration(months, days + 1).after(begun)


def test_bottles_in_words():
    assert bottles_in_words([7]) == "bottle 7"
    assert bottles_in_words([7, 9]) == "bottles 7, 9"


def test_today_is_not_yet_past():
    assert one(said(product(), bottle(best_before=TODAY)), "near-best-before").message.startswith(
        "0 days left"
    )


def test_a_bottle_keeps_until_the_earlier_of_label_and_opened_life():
    opened = bottle(state="open", opened_on=date(2026, 1, 1), best_before=date(2028, 1, 1))
    assert age(opened, product(opened_life="12mo")).until == date(2027, 1, 1)
    late = bottle(state="open", opened_on=date(2026, 1, 1), best_before=date(2026, 6, 1))
    assert age(late, product(opened_life="12mo")).until == date(2026, 6, 1)


def test_a_studio_s_own_days_for_leftovers_only_shorten_what_a_label_says():
    jar = product(role="mixed", opened_life=None, sealed_life=None)
    kept = bottle(state="open", kept=True, opened_on=date(2026, 2, 22), best_before=date(2026, 3, 20))
    tighter = (RuleChange("leftover-too-old", None, "ours skins over", (("life_days", 5),)),)
    assert codes(said(jar, kept)) == {"leftover-kept"}
    assert codes(said(jar, kept, changes=tighter)) == {"leftover-too-old"}
    short = bottle(state="open", kept=True, opened_on=date(2026, 2, 27), best_before=date(2026, 2, 28))
    assert codes(said(jar, short, changes=tighter)) == {"leftover-too-old"}


@pytest.mark.parametrize(
    ("solvent", "code", "source"),
    [
        ("propan-2-ol", "peroxides", "appendix J, table B"),
        ("2-methoxyethanol", "peroxides", "New Mexico State"),
        ("butanone", "peroxides", "Minnesota, peroxide-forming chemicals, class B"),
        ("styrene", "peroxides", "table C"),
        ("dimethoxymethane", "peroxides", "from memory"),
        ("dipropylene glycol methyl ether", "perhaps-peroxides", "common practice"),
        ("xylene", None, ""),
    ],
)
def test_what_is_said_under_a_list_stands_on_it(solvent, code, source):
    """Each is told with the lists that name it and no other; xylene is on none."""
    old = bottle(2, 2, state="open", opened_on=date(2025, 2, 1))
    found = [each for each in said(reducer(solvent=solvent), old) if "peroxides" in each.code]
    assert [each.code for each in found] == [code] * bool(code)
    assert all(source in each.source for each in found)
    assert all(solvent in each.message.casefold() for each in found)


def test_two_peroxide_formers_are_each_told_with_their_own_lists():
    old = bottle(2, 2, state="open", opened_on=date(2025, 2, 1))
    both = reducer(solvents=(share("butanone", 30), share("2-methoxyethanol", 30), share("xylene", 30)))
    source = one(said(both, old), "peroxides").source
    assert "butanone: University of Minnesota" in source
    assert "2-methoxyethanol: New Mexico State University" in source
    assert "xylene" not in source


def test_what_forms_peroxides_without_being_concentrated_is_watched_after_three_months():
    young = bottle(2, 2, state="open", opened_on=date(2025, 11, 1))
    assert one(said(reducer(solvent="diisopropyl ether"), young), "peroxides").since == date(2026, 2, 1)
    assert "peroxides" not in codes(said(reducer(solvent="diethyl ether"), young))


def test_moist_air_is_no_matter_of_a_peroxide_or_an_amine():
    """A role doesn't tell an isocyanate from other hardeners; what is in it does."""
    open_ = bottle(state="open", opened_on=date(2025, 10, 1))
    for name in ("mekp", "isophoronediamine"):
        other = product(**HARD | {"solvents": (share(name, 60),)})
        assert "hardener-open" not in codes(said(other, open_)), name
    assert "hardener-open" in codes(said(product(**HARD | {"solvents": None}), open_)), "it may be one"
