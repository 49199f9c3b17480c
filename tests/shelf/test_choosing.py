"""Why a pour comes from this bottle and no other."""

from datetime import date, timedelta

import pytest

from stock.shelf.choosing import Candidate, choose
from stock.units import Microlitres

TODAY = date(2026, 3, 2)
SOON, LATER, PAST = (TODAY + timedelta(days=days) for days in (10, 90, -1))


def bottle(number: int, *, opened: bool = False, good_until: date | None = LATER) -> Candidate:
    return Candidate(number, Microlitres(10_000), opened, good_until)


@pytest.mark.parametrize(
    ("bottles", "picked", "why"),
    [
        ([bottle(1)], (), "the only one"),
        ([bottle(1, good_until=PAST)], (), "the only one"),
        ([bottle(1)], (1,), "picked"),
        ([bottle(1), bottle(2, good_until=SOON)], (), "sealed, goes bad first"),
        ([bottle(1), bottle(2, opened=True)], (), "open already"),
        ([bottle(1, opened=True), bottle(2, opened=True, good_until=SOON)], (), "open, goes bad first"),
        (
            [bottle(1, good_until=PAST), bottle(2, good_until=PAST)],
            (),
            "past its day, and nothing fresher is left",
        ),
    ],
)
def test_the_reason_for_a_bottle_is_said(bottles, picked, why):
    (take,) = choose(bottles, 1_000, product="Harbour Blue", today=TODAY, picked=picked)
    assert take.why == why
