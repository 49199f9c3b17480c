"""The calendar file, read back by a library that knows RFC 5545."""

from datetime import UTC, date, datetime

import icalendar
from hypothesis import given
from hypothesis import strategies as st

from stock.exchange.calendar import Event, best_before_days, calendar, order_by_days
from stock.forecast.facts import WhatIf
from stock.forecast.forecasting import forecasts
from tests.clock import clock_at
from tests.forecast.given import every, facts, studio

NOON = datetime(2026, 3, 2, 12, tzinfo=UTC)


def read_back(text: str) -> list[icalendar.Event]:
    return list(icalendar.Calendar.from_ical(text).walk("VEVENT"))


@given(
    st.lists(
        st.tuples(
            st.text(st.characters(exclude_categories=("Cs", "Cc")), max_size=300),
            st.text(st.characters(exclude_categories=("Cs", "Cc")), max_size=300),
            st.dates(date(1970, 1, 1), date(2199, 12, 31)),
        ),
        max_size=5,
    )
)
def test_what_is_written_is_read_back(rows):
    events = [Event(f"e{number}", day, summary, note) for number, (summary, note, day) in enumerate(rows)]
    text = calendar(events, NOON)
    assert text.endswith("END:VCALENDAR\r\n")
    for line in text.split("\r\n"):
        assert len(line.encode()) <= 75
        assert "\n" not in line
    found = {str(each["UID"]): each for each in read_back(text)}
    assert len(found) == len(events)
    for event in events:
        component = found[f"{event.uid}@ullage"]
        assert str(component["SUMMARY"]) == event.summary
        assert str(component.get("DESCRIPTION", "")) == event.note
        assert component["DTSTART"].dt == event.day
        assert (component["DTEND"].dt - event.day).days == 1
        assert component["DTSTAMP"].dt == NOON


def test_a_line_break_in_a_note_stays_one():
    (found,) = read_back(calendar([Event("a", date(2026, 3, 2), "x", "one\ntwo; three, four\\")], NOON))
    assert str(found["DESCRIPTION"]) == "one\ntwo; three, four\\"


def test_the_calendar_itself_is_whole():
    found = icalendar.Calendar.from_ical(calendar([], NOON))
    assert found["VERSION"] == "2.0"
    assert found["PRODID"]


def test_order_by_days_are_those_of_the_forecast():
    paints = [facts(every(10, 40)), facts(every(7, 30, last=150), number=2)]
    said = forecasts(studio(*(each.history for each in paints)), paints, WhatIf())
    (event,) = order_by_days(said)
    assert event.day == said[0].order_by_day
    assert event.uid == "order-by-1"
    assert "Paint Barn" in event.summary


def test_bottles_that_go_bad_are_in_it(stocked):
    from stock.shelf import deliveries, handling

    with clock_at("2026-03-02 12:00:00"):
        deliveries.receive("Gull White", 60_000, best_before=date(2026, 9, 1))
        deliveries.receive("Gull White", 60_000, best_before=date(2026, 2, 1))
        empty = deliveries.receive("Gull White", 60_000, best_before=date(2026, 9, 1))["bottles"][0]["id"]
        handling.discard(str(empty))
        days = [event.day for event in best_before_days(date(2026, 3, 2))]
    assert days.count(date(2026, 9, 1)) == 1
    assert date(2026, 2, 1) not in days
