"""Jobs: opened by name or by the first mix, closed, and then closed to what is later."""

from datetime import date, timedelta
from fractions import Fraction

import pytest

from stock import clock
from stock.bench.mixing import MixRequest, book_mix
from stock.errors import Ambiguous, BadInput, NotFound, UllageError
from stock.shelf import deliveries, jobs
from stock.store.models import Job, Mix
from tests.clock import DAY_OF_THE_TESTS

TODAY = date.fromisoformat(DAY_OF_THE_TESTS[:10])


def test_a_job_is_found_by_part_of_its_name(books: str) -> None:
    jobs.add("Ferry hull", TODAY, customer="Quay Ltd", due_on=TODAY + timedelta(9))
    jobs.add("Ferry door", TODAY)
    assert jobs.find("HULL").customer == "Quay Ltd"
    with pytest.raises(Ambiguous, match="2 jobs fit 'ferry'"):
        jobs.find("ferry")
    with pytest.raises(NotFound, match="no job is called 'tram'"):
        jobs.find("tram")
    with pytest.raises(UllageError, match="already"):
        jobs.add("ferry  HULL", TODAY)
    with pytest.raises(BadInput, match="can't be due"):
        jobs.add("Late", TODAY, due_on=TODAY - timedelta(1))


def test_a_mix_opens_its_job_and_finds_it_again(stocked: str) -> None:
    for name in ("Ferry hull", "ferry HULL"):
        book_mix(MixRequest(parts=(("Harbour Blue", 1_000),), job=name))
    assert [row.name for row in Job.select()] == ["Ferry hull"]
    assert Mix.select().where(Mix.job.is_null(False)).count() == 2


def test_nothing_later_is_booked_to_a_closed_job(stocked: str) -> None:
    jobs.add("Ferry hull", TODAY - timedelta(9))
    jobs.close("ferry", TODAY - timedelta(3))
    request = MixRequest(parts=(("Harbour Blue", 1_000),), reduce=Fraction(20), job="Ferry hull")
    with pytest.raises(BadInput, match="was closed on") as refusal:
        book_mix(request)
    assert "ullage job change" in refusal.value.remedy
    assert Mix.select().count() == 0
    jobs.change("ferry", reopen=True)
    book_mix(request)
    with pytest.raises(BadInput, match="was opened on"):
        jobs.close("ferry", TODAY - timedelta(20))


def test_what_is_written_down_late_opens_a_job_earlier(stocked: str) -> None:
    then = clock.now() - timedelta(days=20)
    deliveries.receive("Gull White", 30_000, on=then)
    jobs.add("Ferry hull", TODAY)
    book_mix(MixRequest(parts=(("Gull White", 1_000),), job="Ferry hull", at=then), judge=False)
    assert jobs.find("ferry").opened_on == clock.day_of(then, "Europe/Lisbon")


def test_a_past_day_sees_a_job_as_it_was(books: str) -> None:
    jobs.add("Old", TODAY - timedelta(30))
    jobs.close("Old", TODAY - timedelta(10))
    jobs.add("New", TODAY)
    assert [(one.name, one.closed_on) for one in jobs.everything(TODAY - timedelta(20))] == [("Old", None)]
    assert [one.name for one in jobs.everything()] == ["New", "Old"]
