"""A rule silenced for one product, bottle or place until a day, and a bottle found good on a card."""

from datetime import date, timedelta

import pytest

from stock import clock
from stock.cautions import books as read
from stock.cautions.compatibility import together
from stock.cautions.facts import RuleChange
from stock.cautions.rules import rule_book
from stock.cautions.silences import (
    Silenced,
    _named,
    asked_again,
    changes_of,
    note_card_test,
    silence,
    silenced,
)
from stock.errors import BadInput, NotFound
from stock.forecast.books import read as forecast
from stock.shelf import deliveries, handling, places, products
from stock.shelf.bottles import on_shelf
from stock.shelf.bottles_to_pour import chosen
from stock.store.connection import connection
from tests.cautions.sample_facts import TODAY, bottle, codes, one, place, product, reducer, said

OLD = bottle(1, best_before=date(2025, 12, 1))


def only(**scope):
    return RuleChange("past-best-before", None, "why", (), **scope)


@pytest.mark.parametrize(
    ("scope", "heard"),
    [
        ({"bottle": 1}, {2}), ({"bottle": 2}, {1}), ({"bottle": 9}, {1, 2}),
        ({"product_id": 1}, set()), ({"product_id": 2}, {1, 2}), ({"place_id": 1}, {1, 2}),
    ],
)  # fmt: skip
def test_a_silence_is_for_that_one_alone(scope, heard):
    """A finding on a bottle names no place, so that a silence for the place leaves it."""
    found = said(product(), OLD, OLD._replace(id=2), changes=(only(**scope),))
    assert {each.bottle for each in found if each.code == "past-best-before"} == heard


def test_a_place_is_silenced_by_itself():
    change = RuleChange("place-not-described", None, "rented", (), place_id=1)
    blank = {"low_mc": None, "high_mc": None}
    here = (
        place(1, "Loft", **blank),
        place(2, "Shed", **blank),
        bottle(1, place_id=1),
        bottle(2, place_id=2),
    )
    found = said(product(), *here, changes=(change,))
    assert [each.place for each in found if each.code == "place-not-described"] == ["Shed"]


def test_what_gives_off_a_deadly_gas_is_heard_whatever_is_silenced():
    bleach = product(1, role="cleaner", groups=("bleach",))
    ammonia = product(2, role="cleaner", groups=("ammonia",))
    thinner = reducer(3, "acetone")
    here = (bleach, ammonia, thinner, *(bottle(number, number) for number in (1, 2, 3)))
    for change in (
        RuleChange("stored-apart", None, "no room"),
        *(
            RuleChange("stored-apart", None, "no room", (), **scope)
            for scope in ({"product_id": 1, "other_id": 2}, {"product_id": 1, "other_id": 3})
        ),
    ):
        found = [each for each in said(*here, changes=(change,)) if each.code == "stored-apart"]
        assert "chloramines" in found[0].message
    assert len([each for each in said(*here) if each.code == "stored-apart"]) == 2


def test_a_finding_about_several_bottles_is_told_without_the_silenced_one():
    cold = place(2, "Loft", low_mc=-3_000)
    stock = (bottle(1, place_id=2), bottle(2, place_id=2), bottle(3, 2, place_id=2))
    for scope, left in (({"bottle": 1}, (2, 3)), ({"product_id": 1}, (3,)), ({"place_id": 2}, None)):
        change = RuleChange("frost", None, "drained", (), **scope)
        found = said(product(1), product(2), cold, *stock, changes=(change,))
        assert [each.bottles for each in found if each.code == "frost"] == ([left] if left else [])


def test_a_sum_counts_every_bottle_whatever_is_silenced():
    full = place(2, "Loft", limit_ul=1_000)
    change = RuleChange("place-over-limit", None, "for a day", (), bottle=1)
    found = said(reducer(), full, bottle(1, 2, place_id=2), bottle(2, 2, place_id=2), changes=(change,))
    assert "0.12 L" in one(found, "place-over-limit").message


def beside(**scope):
    return RuleChange("stored-apart", None, "the shelf is steel", (), **scope)


@pytest.mark.parametrize(
    ("scope", "others"),
    [
        ({"product_id": 2, "other_id": 3}, "Product 4"), ({"product_id": 3, "other_id": 2}, "Product 4"),
        ({"product_id": 2, "other_id": 4}, "Product 3"), ({"product_id": 2}, "Product 3, Product 4"),
        ({"product_id": 3}, "Product 3, Product 4"), ({"place_id": 1}, "Product 3, Product 4"),
        ({"bottle": 2}, "Product 3, Product 4"),
    ],
)  # fmt: skip
def test_two_that_meet_are_silenced_by_naming_both_and_the_third_is_told(scope, others):
    here = (reducer(2, "acetone"), product(3, groups=("peroxide",)), product(4, groups=("peroxide",)))
    found = said(*here, *(bottle(number, number) for number in (2, 3, 4)), changes=(beside(**scope),))
    assert one(found, "stored-apart").others == tuple(others.split(", "))


def test_two_that_meet_at_the_bench_are_silenced_by_naming_both():
    wet, oil = product(1, water_milli=60_000), product(2, role="hardener", groups=("isocyanate",))
    for scope, heard_here in (({"product_id": 1, "other_id": 2}, False), ({"product_id": 1}, True)):
        book = rule_book(changes=(RuleChange("incompatible", None, "made for it", (), **scope),))
        codes_here = {each.code for each in together([wet, oil], book)}
        assert ("incompatible" in codes_here) is heard_here
    grave = [product(1, groups=("bleach",)), product(2, groups=("ammonia",))]
    book = rule_book(changes=(RuleChange("incompatible", None, "x", (), product_id=1, other_id=2),))
    assert codes(together(grave, book)) == {"incompatible"}, "a gas that kills is told whatever is silenced"


def test_each_thing_that_a_finding_is_about_can_be_silenced_on_the_screen():
    from tui.cautions.remedies import scopes_of

    stock = (reducer(2, "acetone"), product(3, groups=("peroxide",)), bottle(2, 2), bottle(3, 3))
    assert scopes_of(one(said(*stock), "stored-apart")) == {
        "Product 2 and Product 3": {"product": "Product 2", "other": "Product 3"}
    }
    cold = place(2, "Loft", low_mc=-3_000)
    frost = one(said(product(), cold, bottle(1, place_id=2), bottle(2, place_id=2)), "frost")
    assert list(scopes_of(frost)) == ["place Loft", "bottle 1", "bottle 2"]


def test_the_newest_word_rules_and_its_day_ends_it():
    day = date(2026, 3, 1)
    rows = [
        ("flammable", 1, None, None, "one", day + timedelta(9), None),
        ("flammable", 1, None, None, "two", day + timedelta(1), None),
        ("flammable", None, 7, None, "bottle", day, None),
        ("frost", None, None, 2, "place", day + timedelta(1), None),
    ]
    assert [each.reason for each in changes_of(rows, day)] == ["two", "place"]
    assert changes_of(rows, day + timedelta(1)) == []
    assert changes_of([*rows, ("frost", None, None, 2, "warm now", day, None)], day)[-1].reason == "two"
    book = rule_book(changes=changes_of(rows, day))
    assert list(book.find("frost", place=(2, "Loft"), low="0", which="1")) == []
    assert list(book.find("frost", place=(3, "Shed"), low="0", which="1"))


@pytest.fixture
def shelf(books):
    """A paint with a bottle past its day and a good one, in a cabinet."""
    places.add("Loft")
    products.add({"name": "Harbour Blue", "role": "paint", "sealed_life": "3y", "opened_life": "12mo"})
    deliveries.receive("Harbour Blue", 60_000, best_before=date(2020, 1, 1), place="Loft")
    deliveries.receive("Harbour Blue", 30_000, best_before=date(2099, 1, 1), place="Loft")
    return books


def heard(code="past-best-before", as_of=None):
    with connection():
        return [each.bottle for each in read.findings(as_of) if each.code == code]


def test_it_is_logged_in_the_books_with_its_day(shelf):
    made = silence("past-best-before", reason="for testing brushes", bottle="1", until="2w")
    today = clock.today("UTC")
    assert made.until - today in (timedelta(13), timedelta(14), timedelta(15))
    assert heard() == []
    facts = read.facts()
    assert [(each.about, each.reason) for each in silenced(facts.changes)] == [
        ("bottle 1", "for testing brushes")
    ]
    assert heard(as_of=made.until) == [1], "asked again on its day"
    silence("past-best-before", reason="enough", bottle="1", until="today")
    assert heard() == [1]
    silence("age-unknown", reason="x", product="Harbour", until="1y")
    assert silenced(read.facts().changes)[0].about == "Harbour Blue"


@pytest.mark.parametrize(
    ("given", "wrong"),
    [
        ({}, "one product, one bottle or one place"),
        ({"bottle": "1", "place": "Loft"}, "one product, one bottle or one place"),
        ({"bottle": "1", "until": "yesterday"}, "is past"),
        ({"bottle": "1", "until": "2y"}, "over a year ahead"),
        ({"bottle": "1", "until": "soon"}, "soon"),
        ({"bottle": "1", "reason": " "}, "no reason"),
    ],
)
def test_half_a_word_is_refused_and_nothing_is_logged(shelf, given, wrong):
    with pytest.raises(BadInput, match=wrong):
        silence("past-best-before", **{"reason": "why", **given})
    for scope in ({"bottle": "9"}, {"product": "Mars"}, {"place": "Mars"}):
        with pytest.raises(NotFound):
            silence("past-best-before", reason="why", **scope)
    with pytest.raises(NotFound):
        silence("mars", reason="why", bottle="1")
    for scope in ({"product": "Harbour"}, {"product": "Harbour", "other": "Harbour"}, {"place": "Loft"}):
        with pytest.raises(BadInput, match=r"two products|meet itself"):
            silence("stored-apart", reason="why", **scope)
    with pytest.raises(BadInput, match="about two products"):
        silence("frost", reason="why", product="Harbour", other="Harbour")
    assert read.silences_in_force(None) == []


def test_a_bottle_found_good_on_a_card_counts_again_until_its_day(shelf):
    def usable():
        [paint] = forecast().forecasts()
        return sum(each.on_hand_ul for each in paint.facts.bottles)

    assert usable() == 30_000
    answer = note_card_test("1", until="3w", remark="covers well")
    assert usable() == 90_000
    assert heard() == []
    assert heard("tested-good") == [1]
    day = date.fromisoformat(answer["asked_again_on"])
    assert next(view.good_until for view in on_shelf() if view.id == 1) == day - timedelta(1)
    assert heard(as_of=day) == [1]
    past = on_shelf(clock.today("UTC") - timedelta(3))
    assert all(view.tested_until is None for view in past), "nobody had tested it then"
    note_card_test("1", until="today")
    assert usable() == 30_000
    assert heard() == [1]


def test_a_test_on_a_card_says_nothing_of_peroxides_or_of_moist_hardener():
    tested = {"tested_until": TODAY + timedelta(20)}
    thinner = reducer(1, "propan-2-ol", opened_life="12mo")
    old = bottle(1, 1, state="open", opened_on=date(2024, 1, 1), **tested)
    assert {"peroxides", "tested-good"} <= codes(said(thinner, old))
    assert "open-too-long" not in codes(said(thinner, old))
    kept = OLD._replace(kept=True, state="open", best_before=None, received_on=date(2025, 1, 1), **tested)
    assert "leftover-too-old" not in codes(said(product(), kept))
    assert "tested-good" in codes(said(product(), kept))
    fresh = bottle(1, **tested)
    assert "tested-good" not in codes(said(product(), fresh)), "nothing is to be answered"


def test_a_test_from_before_a_bottle_froze_or_of_that_day_is_none(shelf):
    """Which came first on one day isn't known, and what froze is thawed slowly."""

    def ago(days):
        return clock.start_of(clock.today("UTC") - timedelta(days), "UTC")

    old = {"best_before": date(2020, 1, 1), "place": "Loft", "on": ago(5)}
    number = str(deliveries.receive("Harbour Blue", 60_000, **old)["bottles"][0]["id"])
    note_card_test(number, until="3w", on=ago(3))
    assert heard("tested-good") == [int(number)]
    handling.freeze(number, on=ago(1))
    assert int(number) in heard()
    assert heard("frozen-once") == [int(number)]
    with pytest.raises(BadInput, match="froze on"):
        note_card_test(number, on=ago(1))
    note_card_test(number, until="3w")
    assert (heard("frozen-once"), heard("tested-good")) == ([], [int(number)])
    assert chosen([int(number)])[int(number)].tested_until is not None
    handling.freeze(number)
    assert heard("frozen-once") == [int(number)], "again, and tested before"
    assert chosen([int(number)])[int(number)].tested_until is None


def test_an_empty_or_discarded_bottle_is_not_tested(shelf):
    from stock.shelf.handling import discard

    discard("1", reason="old")
    with pytest.raises(BadInput, match="discarded"):
        note_card_test("1")


def test_how_long_is_read_as_a_day_or_as_a_time(books):
    with connection():
        today = asked_again("today", "3mo")
        assert asked_again(None, "2w") == today + timedelta(14)
        assert asked_again((today + timedelta(5)).isoformat(), "2w") == today + timedelta(5)


def test_a_silence_for_two_that_meet_covers_neither_alone():
    pair = only(product_id=1, other_id=2)
    assert pair.covers_pair(1, 2) and pair.covers_pair(2, 1)
    assert not pair.covers_pair(1, 3)
    assert not pair.covers(1, (1,), None)
    assert not pair.covers(2, (), None)
    assert only(product_id=1).covers(1, (), None)
    assert not only(product_id=1).covers_pair(1, 2)


def test_a_silence_is_given_back_as_it_was_asked_for():
    """A bottle, two products, one product or a place: what `silence` took."""
    silence = Silenced("flammable", "Blue", "outdoors", date(2026, 9, 1), product_id=1)
    assert silence.scope == {"product": "Blue"}
    assert silence._replace(product_id=None, place_id=3, about="Wall").scope == {"place": "Wall"}
    assert silence._replace(bottle=7).scope == {"bottle": "7"}
    assert silence._replace(pair=("Blue", "Red"), other_id=2).scope == {"product": "Blue", "other": "Red"}


def test_a_silence_is_named_by_its_subject_and_the_day_on_which_it_is_asked_again():
    def named(**scope):
        silence = _named(
            RuleChange("flammable", None, "outdoors", (), **scope), {1: "Blue", 2: "Red"}, {3: "Wall"}
        )
        return silence.about, silence.until

    until = date(2026, 9, 1)
    assert named(product_id=1, until=until) == ("Blue", until)
    assert named(product_id=1, other_id=2, until=until) == ("Blue and Red", until)
    assert named(place_id=3, until=until) == ("Wall", until)
    assert named(bottle=7) == ("bottle 7", date.max)
