"""On a server a mix is planned without a lock; what others book in between is seen before anything is written."""

from datetime import timedelta

import psycopg
import pytest
from peewee import fn

from stock import clock
from stock.bench import mixing, relock
from stock.bench.mixing import MixRequest, book_mix
from stock.errors import BooksUnreachable, NotEnough, Stopped
from stock.logbook.proof import prove
from stock.shelf import deliveries, products
from stock.shelf.bottles_to_pour import chosen
from stock.shelf.handling import discard, open_bottle
from stock.store.models import Booking, Bottle, Mix, database
from tests.clock import clock_at

BLUE = "Harbour Blue"
ON_A_SERVER = pytest.mark.only("postgresql")
"""A file has one lock for all, and the plan is made under it."""


@pytest.fixture
def meanwhile(monkeypatch):
    """Do something after each free plan and before its bottles are held; how many plans were made."""
    plans = []

    def between(*errands):
        todo, planned = list(errands), mixing._free

        def free(request, *, judge):
            found = planned(request, judge=judge)
            plans.append(found)
            if todo and len(plans) <= len(errands):
                todo.pop(0)()
            return found

        monkeypatch.setattr(mixing, "_free", free)
        return plans

    return between


def _pour(volume_ul, **more):
    return book_mix(MixRequest(parts=((BLUE, volume_ul),), **more))


def _elsewhere(volume_ul):
    """A mix that was planned and booked while another one's plan was waiting."""

    def book():
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(mixing, "_free", lambda request, *, judge: None)
            _pour(volume_ul)

    return book


@ON_A_SERVER
def test_a_bottle_that_others_took_from_will_do_while_it_holds_enough(stocked, meanwhile):
    _pour(1_000)
    plans = meanwhile(_elsewhere(10_000))
    answer = _pour(5_000)
    assert len(plans) == 1
    assert answer["pours"] == [{"bottle": 1, "product": BLUE, "volume_ml": 5, "on_hand_ml": 44}]
    assert prove().problems == []


@ON_A_SERVER
def test_a_bottle_that_was_opened_meanwhile_is_planned_anew(stocked, meanwhile):
    plans = meanwhile(lambda: open_bottle("1"))
    answer = _pour(5_000)
    assert len(plans) == 2
    assert answer["pours"][0]["on_hand_ml"] == 55
    assert Mix.select().count() == 1


@ON_A_SERVER
def test_what_is_short_by_then_comes_from_the_next_bottle(stocked, meanwhile):
    _pour(1_000)
    plans = meanwhile(_elsewhere(56_000))
    answer = _pour(5_000)
    assert len(plans) == 2
    assert [(pour["bottle"], pour["volume_ml"], pour["on_hand_ml"]) for pour in answer["pours"]] == [
        (1, 3, 0),
        (2, 2, 58),
    ]
    assert prove().problems == []


@ON_A_SERVER
def test_a_bottle_that_was_to_be_emptied_must_hold_what_it_held(stocked, meanwhile):
    _pour(50_000)
    plans = meanwhile(_elsewhere(4_000))
    answer = _pour(15_000)
    assert len(plans) == 2
    assert [(pour["bottle"], pour["volume_ml"]) for pour in answer["pours"]] == [(1, 6), (2, 9)]


@ON_A_SERVER
def test_a_bottle_that_was_thrown_away_meanwhile_is_not_poured_from(stocked, meanwhile):
    meanwhile(lambda: discard("1"))
    assert _pour(5_000)["pours"][0]["bottle"] == 2


@ON_A_SERVER
def test_who_is_overtaken_again_and_again_holds_all_bottles_first(stocked, meanwhile):
    deliveries.receive(BLUE, 60_000, count=3)
    plans = meanwhile(*(lambda number=number: discard(str(number)) for number in (1, 2, 5)))
    assert _pour(5_000)["pours"][0]["bottle"] == 6
    assert len(plans) == mixing.TRIES
    assert Mix.select().count() == 1
    assert Booking.select().where(Booking.kind == "mix").count() == 1


@ON_A_SERVER
def test_a_refusal_is_made_under_the_lock(stocked, meanwhile):
    """What a free plan lacks may have come by the time the bottles are held."""
    plans = meanwhile(lambda: deliveries.receive(BLUE, 60_000))
    assert sum(pour["volume_ml"] for pour in _pour(150_000)["pours"]) == 150
    assert plans == [None]
    with pytest.raises(NotEnough, match="nothing was booked"):
        _pour(150_000)


def test_a_repeat_with_a_key_gets_the_first_answer_though_nothing_is_left(stocked):
    request = MixRequest(parts=((BLUE, 120_000),))
    first = book_mix(request, key="all")
    assert book_mix(request, key="all") == first
    assert {held for (held,) in Bottle.select(Bottle.on_hand_ul).where(Bottle.product == 2).tuples()} == {0}


def test_a_stop_holds_for_a_free_plan_too(stocked):
    products.change(BLUE, {"not_with": ["Gull White"]})
    deliveries.receive("Gull White", 60_000)
    with pytest.raises(Stopped):
        book_mix(MixRequest(parts=((BLUE, 1_000), ("Gull White", 1_000))))
    assert Mix.select().count() == 0


def test_each_draw_of_a_bottle_is_told_what_it_finds(stocked):
    relied = relock.states_of(chosen([1]).values())
    drawn = [relock.Draw(1, 10_000), relock.Draw(1, 5_000)]
    assert relock.hold(drawn, relied) == [60_000, 50_000]
    with pytest.raises(relock.PlanOutdated):
        relock.hold([relock.Draw(1, 60_001)], relied)
    # Others took 10 ml since: what is left may be poured to the last, but not by a plan that was to empty the bottle.
    fuller = {1: (70_000, *relied[1][1:])}
    assert relock.hold([relock.Draw(1, 60_000)], fuller) == [60_000]
    with pytest.raises(relock.PlanOutdated):
        relock.hold([relock.Draw(1, 50_000)], {1: (50_000, *relied[1][1:])})
    assert relock.hold([relock.Draw(1, 60_000)], relied) == [60_000]


@ON_A_SERVER
def test_benches_at_different_bottles_do_not_wait_for_each_other(stocked, server):
    """Another bottle of the same paint is held the whole time; a mix that had to wait for it would be refused."""
    open_bottle("2")
    schema = stocked.rpartition("schema=")[2]
    with psycopg.connect(server) as other:
        other.execute(f"SELECT 1 FROM {schema}.bottle WHERE id = 1 FOR UPDATE")
        database.execute_sql("SET lock_timeout = '50ms'")
        assert _pour(5_000)["pours"][0]["bottle"] == 2
        with pytest.raises(BooksUnreachable):
            _pour(5_000, bottles=("1",))


def test_a_late_mix_takes_only_what_its_bottles_could_give_from_its_moment_on(stocked):
    """What a dry run shows is what the booking does: a bottle that came later, or was empty since, gives nothing."""
    # In the morning, so that the hours below are of one day: what came on a later day is no candidate at all.
    first = clock.now().replace(hour=9) + timedelta(days=1)
    with clock_at(first + timedelta(days=1)):
        deliveries.receive(BLUE, 60_000, on=first + timedelta(hours=2))
        newer = Bottle.select(fn.MAX(Bottle.id)).scalar()
        for bottle, volume_ul in (("1", 55_000), ("2", 60_000)):
            at = first + timedelta(hours=3)
            book_mix(MixRequest(parts=((BLUE, volume_ul),), at=at, bottles=(bottle,)))
        early = MixRequest(parts=((BLUE, 5_000),), at=first)
        planned = mixing.plan(early)
        assert [(pour.bottle, pour.volume_ul, pour.after_ul) for pour in planned.pours] == [(1, 5_000, 0)]
        answer = book_mix(early)
        assert answer["pours"] == [{"bottle": 1, "product": BLUE, "volume_ml": 5, "on_hand_ml": 0}]
        for plan in (mixing.plan, book_mix):
            with pytest.raises(
                NotEnough, match=r"1 ml wanted and 0 ml usable on the shelf, from .* until now"
            ):
                plan(early._replace(parts=((BLUE, 1_000),)))
            with pytest.raises(NotEnough, match="in the bottles picked"):
                plan(early._replace(bottles=(str(newer),)))
    assert prove().problems == []
