"""Figures and days as a studio writes them: what is shown reads back, and what could mean two things is refused."""

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, date, datetime, timedelta
from fractions import Fraction
from pathlib import Path
from threading import Thread

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stock import notation, units
from stock.errors import BadInput
from stock.grammar import exact, figure_and_unit, in_figures, in_full, in_short, plain_figure, pointed
from stock.notation import DATE_ORDERS, EXACT, Notation, exactly, show_day
from stock.shelf import studio
from stock.store.connection import open_books

ALL = [Notation(comma, order) for comma in (False, True) for order in DATE_ORDERS]
DAYS = st.dates(date(1970, 1, 1), date(2199, 12, 31))


@contextmanager
def writing_as(how: Notation) -> Iterator[None]:
    """A studio that writes so, in the place of books; hypothesis takes no fixture of a test's own."""
    before = notation._asks[:]
    notation.follow(lambda: how)
    try:
        yield
    finally:
        notation._asks[:] = before


@pytest.fixture
def writes(monkeypatch: pytest.MonkeyPatch):
    """Set how the studio writes, in the place of books."""
    now = [EXACT]
    monkeypatch.setattr(notation, "_asks", [lambda: now[0]])

    def say(how: Notation) -> None:
        now[0] = how

    return say


@pytest.fixture(params=ALL, ids=lambda how: f"{'comma' if how.comma else 'point'}-{how.dates}")
def how(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> Notation:
    """Each way to write figures and days."""
    monkeypatch.setattr(notation, "_asks", [lambda: request.param])
    return request.param


@given(st.integers(0, 10**9), st.integers(0, 6))
def test_a_figure_that_is_shown_reads_back(kept: int, digits: int) -> None:
    figure = Fraction(kept, 10**digits)
    for each in ALL:
        with writing_as(each):
            shown = plain_figure(figure, digits)
            assert figure_and_unit(f"{shown} ml", "amount", "") == (figure, "ml"), shown
            assert ("," in shown) == (each.comma and figure.denominator != 1)


@given(st.integers(1, units.MOST_UL), st.integers(-100_000, 500_000), st.integers(0, 999_999_999_999))
def test_amounts_temperatures_and_prices_that_are_shown_read_back(ul: int, mc: int, minor: int) -> None:
    for each in ALL:
        with writing_as(each):
            assert units.volume(units.show_volume(units.Microlitres(ul))) == ul
            rounded = units.temperature(units.show_temperature(units.MilliCelsius(mc)))
            assert abs(rounded - mc) <= 50
            for currency in ("EUR", "JPY", "KWD"):
                most = minor % (10**9 * 10 ** units.minor_digits(currency))
                assert units.money(units.show_money(most, currency), currency) == most


@given(DAYS)
def test_a_day_that_is_shown_reads_back(day: date) -> None:
    for each in ALL:
        with writing_as(each):
            assert units.day(show_day(day), date(2026, 11, 27)) == day
            assert units.day(day.isoformat(), date(2026, 11, 27)) == day


@pytest.mark.parametrize("typed", ["1.500 ml", "1,500 ml", "12.125 ml", "999,990 ml"])
def test_three_digits_behind_a_mark_are_asked_with_both_readings(writes, typed: str) -> None:
    writes(Notation(comma=True))
    with pytest.raises(BadInput, match="could be two figures") as refused:
        units.volume(typed)
    whole, _, decimals = typed.removesuffix(" ml").replace(".", ",").partition(",")
    assert f"{whole},{decimals.rstrip('0')}" in str(refused.value.remedy)
    assert f"{whole}{decimals}" in str(refused.value.remedy)


@pytest.mark.parametrize(
    ("typed", "ul"),
    [("1,5 ml", 1_500), ("1.5 ml", 1_500), ("0.500 ml", 500), ("0,125 ml", 125), (",5 ml", 500),
     ("1,25 ml", 1_250), ("1,125 ml", 1_125), ("1000,5 ml", 1_000_500), ("1 1/2 ml", 1_500)],
)  # fmt: skip
def test_both_marks_are_read_where_the_studio_writes_a_comma(writes, typed: str, ul: int) -> None:
    writes(Notation(comma=True))
    assert units.volume(typed) == ul


@pytest.mark.parametrize(
    "typed", ["1.000,5 ml", "1,000.5 ml", "1,000,000 ml", "1,5,5 ml", "1..5 ml", "1, ml", ",ml"]
)
def test_other_marks_are_refused(writes, typed: str) -> None:
    writes(Notation(comma=True))
    with pytest.raises(BadInput):
        units.volume(typed)


def test_a_comma_is_refused_where_the_studio_writes_a_point_and_the_setting_is_named(writes) -> None:
    with pytest.raises(BadInput, match="has a comma") as refused:
        units.volume("1,5 ml")
    assert "1.5 ml" in str(refused.value.remedy)
    assert "`ullage studio change --decimal-mark comma`" in str(refused.value.remedy)
    writes(Notation(comma=True))
    assert units.volume("1,5 ml") == 1_500


@pytest.mark.parametrize(
    ("order", "typed", "read"),
    [
        ("day-first", "27.11.2026", date(2026, 11, 27)), ("day-first", "27/11/2026", date(2026, 11, 27)),
        ("day-first", "3.4.2026", date(2026, 4, 3)), ("day-first", "03/04/2026", date(2026, 4, 3)),
        ("month-first", "11/27/2026", date(2026, 11, 27)), ("month-first", "3/4/2026", date(2026, 3, 4)),
    ],
)  # fmt: skip
def test_days_are_read_in_the_studios_order(writes, order: str, typed: str, read: date) -> None:
    writes(Notation(dates=order))
    assert units.day(typed, date(2026, 11, 27)) == read
    assert units.instant(f"{typed} 14:30", "UTC", datetime(2026, 11, 28, tzinfo=UTC)).date() == read


@pytest.mark.parametrize(
    ("order", "typed", "why", "remedy"),
    [
        ("day-first", "11/27/2026", "has month 27, read with the day first", "27.11.2026"),
        ("month-first", "27/11/2026", "has month 27, read with the month first", "11/27/2026"),
        ("day-first", "31.02.2026", "not in the calendar, read with the day first", "01.03.2026"),
        ("month-first", "03.04.2026", "could be two days", "2026-04-03 or 2026-03-04"),
        ("iso", "03/04/2026", "could be two days", "2026-04-03 or 2026-03-04"),
        ("iso", "27.11.2026", "is not written as the studio writes days", "`ullage studio change --dates day-first`"),
        ("iso", "11/27/2026", "is not written as the studio writes days", "`ullage studio change --dates month-first`"),
        ("iso", "32.13.2026", "not in the calendar", "2026-03-01"),
        ("day-first", "27.11.26", "year of two digits", "the year in full"),
        ("month-first", "11/27/26", "year of two digits", "the year in full"),
        ("day-first", "27.11/2026", "is not a day", "01.03.2026"),
        ("day-first", "27.11.1926", "lies outside", "01.03.2026"),
    ],
)  # fmt: skip
def test_a_day_of_another_order_is_refused_with_how_it_was_read(
    writes, order: str, typed: str, why: str, remedy: str
) -> None:
    writes(Notation(dates=order))
    with pytest.raises(BadInput, match=why) as refused:
        units.day(typed, date(2026, 11, 27))
    assert remedy in str(refused.value.remedy)


def test_examples_of_a_refusal_are_written_as_the_studio_writes(writes) -> None:
    writes(Notation(comma=True, dates="day-first"))
    with pytest.raises(BadInput) as refused:
        units.needle("3 mm")
    assert "0,35" in str(refused.value.remedy) and "0.35" not in str(refused.value.remedy)
    with pytest.raises(BadInput) as refused:
        units.day("soon", date(2026, 11, 27))
    assert "01.03.2026" in str(refused.value.remedy)


def test_machines_get_points_and_years_first_and_another_thread_does_not(writes) -> None:
    writes(Notation(comma=True, dates="day-first"))
    seen: list[str] = []

    def look() -> None:
        seen.extend((in_full(1.5), show_day(date(2026, 11, 27))))

    with exactly():
        assert (in_full(1.5), in_short(1.5), show_day(date(2026, 11, 27))) == ("1.5", "1.5", "2026-11-27")
        assert units.volume("1.125 ml") == 1_125
        other = Thread(target=look)
        other.start()
        other.join()
    assert seen == ["1,5", "27.11.2026"]
    assert in_full(1.5) == "1,5"


def test_answers_in_json_read_the_studios_commas_and_take_a_point_for_decimals(writes) -> None:
    writes(Notation(comma=True))
    with exactly(read=False):
        assert (units.volume("1,5 ml"), units.volume("1.125 ml")) == (1_500, 1_125)
        assert in_full(1.5) == "1.5"


def test_the_setting_lives_with_the_books_that_are_open(books: str, tmp_path: Path) -> None:
    studio.change(decimal_mark="comma", date_order="month-first")
    assert (in_full(1.5), show_day(date(2026, 11, 27))) == ("1,5", "11/27/2026")
    studio.make(
        str(tmp_path / "other.ullage"), name="Other", currency="EUR", time_zone="UTC", measures="metric"
    )
    assert (in_full(1.5), show_day(date(2026, 11, 27))) == ("1.5", "2026-11-27")
    open_books(books)
    assert (in_full(1.5), show_day(date(2026, 11, 27))) == ("1,5", "11/27/2026")
    studio.change(decimal_mark="point", date_order="iso")  # later tests open no books of their own


def test_what_is_remembered_is_remembered_for_each_way_to_write(writes) -> None:
    @notation.remembered(8)
    def in_grams(milli: int) -> str:
        return f"{in_full(milli / 1_000)} g"

    shown = []
    for comma in (False, True, False):
        writes(Notation(comma=comma))
        shown.append(in_grams(1_500))
    assert shown == ["1.5 g", "1,5 g", "1.5 g"]


def test_a_relative_day_is_read_in_every_order(how: Notation) -> None:
    today = date(2026, 11, 27)
    assert [units.day(word, today) for word in ("today", "-3d", "+2w")] == [
        today, today - timedelta(3), today + timedelta(14),
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("order", "text", "why"),
    [
        ("day-first", "05/00/2026", "has month 0"), ("day-first", "05/13/2026", "has month 13"),
        ("day-first", "30/02/2026", "is not in the calendar"), ("day-first", "31/11/2026", "is not in the calendar"),
        ("day-first", "32/01/2026", "is not in the calendar"), ("day-first", "32/12/2026", "is not in the calendar"),
        ("month-first", "00/05/2026", "has month 0"), ("month-first", "13/05/2026", "has month 13"),
        ("month-first", "12/32/2026", "is not in the calendar"),
        ("month-first", "01/32/2026", "is not in the calendar"),
    ],
)  # fmt: skip
def test_what_is_no_day_in_the_studio_s_order_says_why(order, text, why):
    with writing_as(Notation(dates=order)), pytest.raises(BadInput, match=why):
        units.day(text, date(2026, 3, 1))


def test_three_digits_behind_a_mark_may_be_thousands_only_behind_one_to_three_others() -> None:
    """In a studio that writes commas: 12,500 could be two figures; 1234,500, 0,500 and 1,2500 are decimals."""
    with writing_as(Notation(comma=True)):
        for text, figure in (
            ("1234,500 ml", "1234.5"),
            ("0,500 ml", "0.5"),
            ("1,2500 ml", "1.25"),
            ("1,25 ml", "1.25"),
        ):
            assert figure_and_unit(text, "amount", "an amount")[0] == Fraction(figure)
        for text in ("1,500 ml", "12,500 ml", "123,500 ml", "1.234 ml", "123.456 ml"):
            with pytest.raises(BadInput, match="could be two figures"):
                figure_and_unit(text, "amount", "an amount")
        assert in_figures(Fraction(1_191_785, 1_000)).split() == ["1", "191,785"], "a space between thousands"
    with writing_as(Notation()):
        assert (in_figures(Fraction(1_191_785, 1_000)), in_figures(-1_234)) == ("1,191.785", "-1,234")


@pytest.mark.parametrize(
    ("figure", "digits", "shown"),
    [
        (Fraction(1, 2), 0, "0"), (Fraction(3, 2), 0, "2"), (Fraction(5, 2), 0, "2"), (Fraction(2, 5), 0, "0"),
        (Fraction(3, 5), 0, "1"), (Fraction(-5, 2), 0, "-2"), (Fraction(-2, 5), 0, "0"), (Fraction(1, 3), 3, "0.333"),
        (Fraction(2, 3), 3, "0.667"), (Fraction(-16_667, 1_000), 1, "-16.7"), (Fraction(999_999, 1_000), 2, "1000"),
    ],
)  # fmt: skip
def test_a_half_is_rounded_to_the_even_figure_and_no_zeros_trail(figure, digits, shown) -> None:
    assert pointed(figure, digits) == shown


def test_a_float_is_the_decimal_that_is_printed_for_it() -> None:
    assert (exact(0.1), exact(7.9), exact(Fraction(1, 3)), exact(2)) == (
        Fraction(1, 10),
        Fraction(79, 10),
        Fraction(1, 3),
        2,
    )
