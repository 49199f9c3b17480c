"""Ages by the studio's own calendar: leap days, time zones on both sides of the date line, changes of the clock."""

from datetime import date

import pytest

from stock import clock
from stock.cautions import books as read
from stock.shelf import deliveries, products, studio
from stock.shelf.studio import settings
from stock.store.connection import connection
from stock.store.models import database
from tests.cautions.sample_facts import codes, one
from tests.clock import clock_at

ZONES = ("America/Los_Angeles", "Pacific/Auckland", "Pacific/Kiritimati")


@pytest.fixture(params=ZONES)
def zone(request, address):
    """An empty studio in each zone, made long before anything came."""
    with clock_at("2020-01-01 00:00:00"):
        studio.make(address, name="Far away", currency="USD", time_zone=request.param, measures="metric")
        with connection():
            products.add(
                {"name": "Blue", "role": "paint", "water": "60", "solvent": "none", "flash_point": "none",
                 "opened_life": "12mo", "sealed_life": "2y", "store_at": "5C..35C"}
            )  # fmt: skip
            yield request.param
    if not database.is_closed():
        database.close()


def came(**known):
    """A bottle that came on New Year's Day of 2023."""
    with clock_at("2023-01-01 12:00:00"):
        return deliveries.receive("Blue", 60_000, **known)["bottles"][0]["id"]


def said_at(instant):
    with clock_at(instant):
        return read.findings()


def local_day(instant, zone):
    with clock_at(instant):
        return clock.today(zone)


ONE_INSTANT = "2026-03-01 11:30:00"
"""Already 2 March in Auckland (00:30) and on Kiritimati (01:30), still 1 March in Los Angeles (03:30)."""


def test_a_label_s_day_ends_with_the_studio_s_day(zone):
    came(best_before=date(2026, 3, 1))
    behind = zone == "America/Los_Angeles"
    assert local_day(ONE_INSTANT, zone) == date(2026, 3, 1 if behind else 2)
    found = codes(said_at(ONE_INSTANT))
    assert ("near-best-before" in found) == behind
    assert ("past-best-before" in found) == (not behind)


def test_opened_on_a_leap_day_it_keeps_a_year_until_the_last_of_february(zone):
    with clock_at("2024-03-01 21:00:00"):
        deliveries.receive("Blue", 60_000, opened_on=date(2024, 2, 29), best_before=date(2030, 1, 1))
    for instant in (
        "2025-02-28 09:30:00",
        "2025-02-28 10:30:00",
        "2025-03-01 07:30:00",
        "2025-03-01 08:30:00",
    ):
        day = local_day(instant, zone)
        late = [each for each in said_at(instant) if each.code == "open-too-long"]
        assert bool(late) == (day > date(2025, 2, 28)), (zone, instant, day)
        assert all(each.since == date(2025, 2, 28) for each in late)


def test_a_change_of_the_clock_takes_or_gives_no_day(zone):
    """Days counted over the nights in which clocks change: 8 March and 1 November 2026, 5 April and 27 September."""
    came(best_before=date(2026, 3, 1))
    for on in (date(2026, 3, 9), date(2026, 4, 6), date(2026, 9, 28), date(2026, 11, 2)):
        noon = clock.start_of(on, zone).replace(tzinfo=None)
        with clock_at(noon):
            assert settings().today() == on
            found = one(read.findings(), "past-best-before")
        assert f"{(on - date(2026, 3, 1)).days} days past its" in found.message


def test_a_sealed_life_begun_on_a_leap_day_ends_on_the_last_of_february(zone):
    came(made_on=date(2020, 2, 29))
    for instant in ("2022-02-28 12:00:00", "2022-03-02 12:00:00"):
        day = local_day(instant, zone)
        found = codes(read.findings(day)) if day < date(2023, 1, 1) else set()
        assert found == set(), "the bottle hadn't come yet"
    late = [each for each in said_at("2023-01-02 00:30:00") if each.code == "past-best-before"]
    assert [each.since for each in late] == [date(2022, 2, 28)]


def test_a_day_asked_about_is_the_studio_s_whole_day(zone):
    """`--as-of` of the label's own day is still good, of the day after no more, wherever it is asked from."""
    came(best_before=date(2026, 3, 1))
    with clock_at("2026-06-01 12:00:00"):
        assert "past-best-before" not in codes(read.findings(date(2026, 3, 1)))
        assert "past-best-before" in codes(read.findings(date(2026, 3, 2)))
