"""Until when a two-part mix can be used."""

from datetime import UTC, datetime, timedelta

import pytest

from stock import clock
from stock.bench.closing import Ending, close
from stock.bench.mixes import mix, open_mixes
from stock.bench.mixing import MixRequest, book_mix
from stock.bench.pot_life import NOT_NOTED, NotedLife, PotLife, pot_life
from stock.bench.step_requests import StepRequest
from stock.bench.steps import book_step, plan_step
from stock.errors import BadInput
from stock.logbook.today import today
from stock.shelf import deliveries, products
from stock.shelf.pot_life import in_words, minutes_of, read
from tests.clock import clock_at

NOON = datetime(2026, 3, 2, 12, 0, tzinfo=UTC)
CLEAR, KIT = NotedLife("Clear", False), NotedLife("Kit", True, 240)


def after(minutes):
    return NOON + timedelta(minutes=minutes)


@pytest.mark.parametrize(
    ("text", "minutes"),
    [("4h", 240), ("45min", 45), ("1h30min", 90), ("1 h 30 min", 90), ("8 h", 480), ("0.5h", 30), ("1,5 hours", 90),
     ("2d", 2_880), ("90 minutes", 90)],
)  # fmt: skip
def test_a_pot_life_is_read_as_sheets_print_it(text, minutes):
    assert minutes_of(text) == minutes
    assert minutes_of(in_words(minutes)) == minutes


@pytest.mark.parametrize(
    "text", ["4", "h", "0min", "-4h", "31d", "4 apples", "4h later", "1e3h", "", "4h; 4h from 30C", "4h; 5h from 30C",
             "4h; 2h from hot", "4h; from 30C"],
)  # fmt: skip
def test_what_is_none_is_refused(text):
    with pytest.raises(BadInput):
        read(text)


def test_without_a_hardener_there_is_none_and_with_one_the_shortest_counts():
    assert pot_life([CLEAR, CLEAR._replace(minutes=60)], NOON, "UTC") is None
    both = pot_life([CLEAR._replace(minutes=60), KIT], NOON, "UTC")
    assert (both.minutes, both.by, both.until) == (60, "Clear", after(60))
    assert pot_life([CLEAR, KIT], NOON, "UTC").by == "Kit"


def test_one_that_nobody_noted_is_said_and_never_called_over():
    unknown = pot_life([CLEAR, KIT._replace(minutes=None)], NOON, "UTC")
    assert unknown == PotLife(NOON, zone="UTC")
    assert unknown.words(after(9_999)) == NOT_NOTED == "pot life not noted: see the sheet"
    assert (unknown.gone(after(9_999)), unknown.left_minutes(NOON), unknown.short(NOON)) == (False, None, "?")


def test_it_counts_down_and_is_over_at_its_minute():
    life = pot_life([CLEAR, KIT], NOON, "Europe/Lisbon")
    assert [life.short(after(minutes)) for minutes in (0, 61, 140, 141, 239, 240, 300)] == [
        "4 h", "2 h", "1 h", "99 min", "1 min", "over", "over",
    ]  # fmt: skip
    assert life.words(after(100)) == "2 h 20 min left, usable until 16:00 (4 h by Kit)"
    assert life.words(after(240)).startswith("pot life over since 16:00: don't spray it")
    assert [life.brief(after(minutes)) for minutes in (0, 240)] == [
        "usable until 16:00", "over since 16:00: don't spray it",
    ]  # fmt: skip
    assert not life.gone(after(240) - timedelta(seconds=1))
    late = pot_life([KIT], after(600), "Europe/Lisbon")
    assert "usable until 2026-03-03 02:00" in late.words(after(600))


def test_heat_shortens_it_only_where_a_sheet_says_so():
    assert "from" not in pot_life([KIT], NOON, "UTC").words(NOON)
    warm = pot_life([KIT._replace(hot_minutes=120, hot_mc=30_000)], NOON, "UTC")
    assert warm.words(NOON).endswith("usable until 16:00 (4 h by Kit); from 30 °C on until 14:00")
    assert "from 30 °C on it is over since 14:00" in warm.words(after(130))
    assert not warm.gone(after(130)), "nobody noted how warm it is"
    longer = pot_life([KIT._replace(hot_minutes=120, hot_mc=30_000), CLEAR._replace(minutes=60)], NOON, "UTC")
    assert longer.hot_until is None, "what is longer than the shortest shortens nothing"


@pytest.fixture
def kit(books):
    """A clear and its hardener, both received."""
    products.add(
        {"name": "Boat Clear", "role": "clear", "solvent": ["xylene=30%"], "water": "0", "solids": "70%"}
    )
    products.add(
        {"name": "Boat Hardener", "role": "hardener", "solvent": ["hdi=60%"], "water": "0", "solids": "40%"}
    )
    products.add({"name": "Boat Thinner", "role": "reducer", "solvent": ["xylene=100%"], "water": "0"})
    with clock_at(NOON - timedelta(days=2)):
        for name in ("Boat Clear", "Boat Hardener", "Boat Thinner"):
            deliveries.receive(name, 500_000)
    return books


TWO_PARTS = (("Boat Clear", 20_000), ("Boat Hardener", 5_000))


def mixed(parts=TWO_PARTS, **more):
    return book_mix(
        MixRequest(parts=parts, **more), accept=["incompatible", "unknown-with-reactive", "air-unknown"]
    )


def test_a_mix_tells_it_when_it_is_made_while_it_is_open_and_on_today(kit):
    with clock_at(NOON):
        products.change("Boat Hardener", {"pot_life": "3h; 90min from 28C"})
        answer = mixed()
        assert answer["pot_life"]["until"] == clock.stamp(after(180))
        assert answer["pot_life"]["words"].startswith("usable until ")
        assert answer["pot_life"]["by"] == "Boat Hardener"
        assert "pot_life" not in mixed((("Boat Clear", 5_000),))
        number = answer["mix"]
    with clock_at(after(60)):
        [result] = today().as_json()["two_part"]
        assert (result["mix"], result["left_minutes"], result["over"]) == (number, 120, False)
        assert any("2 h left" in line for line in today().lines())
    with clock_at(after(181)):
        assert mix(number).pot_life.gone(clock.now())
        assert today().as_json()["two_part"][0]["over"]
        assert any("pot life over since" in line for line in today().lines())
        close(number, Ending("good"))
        assert today().two_part == ()
        assert "Mixed with hardener" not in today().lines()


def test_a_mix_of_which_nobody_noted_it_says_so(kit):
    answer = mixed()
    assert answer["pot_life"]["words"] == NOT_NOTED
    assert answer["pot_life"]["until"] is None
    [view] = open_mixes()
    assert view.pot_life.words(clock.now()) == NOT_NOTED
    assert today().as_json()["two_part"][0]["left_minutes"] is None


def test_a_step_does_not_begin_it_anew(kit):
    with clock_at(NOON):
        products.change("Boat Hardener", {"pot_life": "3h"})
        number = mixed(reducers=(("Boat Thinner", 1),), reduce=10)["mix"]
    with clock_at(after(60)):
        book_step(number, StepRequest(5), accept=["air-unknown", "reacts", "unknown-with-reactive"])
        assert mix(number).pot_life.until == after(180)
    with clock_at(after(200)):
        answer = plan_step(number, StepRequest(5)).as_json()["pot_life"]
        assert answer["over"]
        assert "over since" in answer["words"], "a step doesn't bring it back, and says so"


def test_in_its_last_minute_none_is_left():
    last = PotLife(NOON, 240).words(NOON + timedelta(minutes=239, seconds=30))
    assert last.startswith(f"{in_words(0)} left")
