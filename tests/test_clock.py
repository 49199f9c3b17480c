"""Days in the studio's own zone, through leap days and changes of summer time."""

import datetime as dt

import pytest
from freezegun import freeze_time
from hypothesis import given
from hypothesis import strategies as st

from stock import clock
from stock.errors import BadInput
from tests.clock import OF_THE_MACHINE


@pytest.fixture(autouse=True)
def _clock_of_the_machine(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(clock, "now", OF_THE_MACHINE)


@freeze_time("2026-03-01 23:30:00")
def test_today_is_the_studios_day_and_not_greenwichs():
    assert clock.now() == dt.datetime(2026, 3, 1, 23, 30, tzinfo=dt.UTC)
    assert clock.today("Europe/Lisbon") == dt.date(2026, 3, 1)
    assert clock.today("Asia/Tokyo") == dt.date(2026, 3, 2)
    assert clock.today("America/Chicago") == dt.date(2026, 3, 1)


@freeze_time("2028-02-29 12:00:00")
def test_a_leap_day_is_a_day():
    assert clock.today("UTC") == dt.date(2028, 2, 29)


def test_days_are_23_24_and_25_hours_long():
    zone = "Europe/Lisbon"

    def hours(day: dt.date) -> float:
        return (clock.start_of(day + dt.timedelta(1), zone) - clock.start_of(day, zone)) / dt.timedelta(
            hours=1
        )

    assert hours(dt.date(2026, 3, 28)) == 24
    assert hours(dt.date(2026, 3, 29)) == 23
    assert hours(dt.date(2026, 10, 25)) == 25


def test_where_midnight_is_skipped_the_day_starts_after_it():
    start = clock.start_of(dt.date(2018, 11, 4), "America/Sao_Paulo")
    assert start == dt.datetime(2018, 11, 4, 3, tzinfo=dt.UTC)
    assert clock.day_of(start, "America/Sao_Paulo") == dt.date(2018, 11, 4)
    assert clock.day_of(start - dt.timedelta(seconds=1), "America/Sao_Paulo") == dt.date(2018, 11, 3)


@given(
    st.dates(dt.date(1990, 1, 1), dt.date(2100, 1, 1)),
    st.sampled_from(["Europe/Lisbon", "Asia/Tokyo", "Pacific/Apia"]),
)
def test_a_day_starts_on_itself(day: dt.date, zone: str):
    if (zone, day) == ("Pacific/Apia", dt.date(2011, 12, 30)):
        return  # Samoa left this day out
    assert clock.day_of(clock.start_of(day, zone), zone) == day


@given(st.datetimes(dt.datetime(1970, 1, 1), dt.datetime(2199, 1, 1), timezones=st.just(dt.UTC)))
def test_stamps_are_read_back_the_same_and_have_one_length(instant: dt.datetime):
    stamp = clock.stamp(instant)
    assert len(stamp) == 27
    assert clock.read_stamp(stamp) == instant


@given(*[st.datetimes(dt.datetime(1970, 1, 1), dt.datetime(2199, 1, 1), timezones=st.just(dt.UTC))] * 2)
def test_stamps_sort_by_time(first: dt.datetime, second: dt.datetime):
    assert (clock.stamp(first) < clock.stamp(second)) == (first < second)


def test_an_instant_of_another_zone_is_stamped_in_utc():
    there = dt.datetime(2026, 3, 1, 1, 0, tzinfo=dt.timezone(dt.timedelta(hours=2)))
    assert clock.stamp(there) == "2026-02-28T23:00:00.000000Z"


@pytest.mark.parametrize(
    "name", ["", "Moon/Base", "../../etc/passwd", "/etc/passwd", "Europe", "x" * 300, "a\x00b"]
)
def test_no_such_zone(name: str):
    with pytest.raises(BadInput, match="no time zone named"):
        clock.zone(name)


@pytest.mark.parametrize("text", ["", "2026-03-01", "2026-03-01T10:00:00Z", "yesterday"])
def test_no_such_stamp(text: str):
    with pytest.raises(BadInput, match="not an instant of the books"):
        clock.read_stamp(text)


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("lisbon", "Europe/Lisbon"),
        ("Europe/lisbon", "Europe/Lisbon"),
        (" new york ", "America/New_York"),
        ("UTC", "UTC"),
        ("Buenos Aires", "America/Argentina/Buenos_Aires"),
    ],
)
def test_a_zone_is_found_by_its_city(text: str, name: str):
    assert clock.zone_named(text) == name


@pytest.mark.parametrize("text", ["", "Nowhere", "../etc/passwd", "Lisb"])
def test_a_city_without_a_zone_is_refused(text: str):
    with pytest.raises(BadInput, match="there is no time zone named"):
        clock.zone_named(text)
