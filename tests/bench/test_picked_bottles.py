"""Bottles that a person picked for a mix or a wash: why one can't be poured from is said as it is."""

from datetime import UTC, datetime
from fractions import Fraction

import pytest

from stock.bench.mixing import MixRequest, book_mix
from stock.bench.washing import wash
from stock.errors import BadInput
from stock.shelf import counts, deliveries, handling
from tests.clock import clock_at


def _late(bottle: int | str, on: datetime | None = None) -> None:
    book_mix(
        MixRequest(parts=(("Harbour Blue", 8_000),), reduce=Fraction(0), bottles=(str(bottle),), at=on),
        judge=False,
    )


def test_a_bottle_that_came_after_a_mix_that_is_written_down_late(stocked: str) -> None:
    with clock_at("2099-03-20 12:00:00"):
        later = deliveries.receive("Harbour Blue", 60_000)["bottles"][0]["id"]
        with pytest.raises(
            BadInput, match=f"bottle {later} came on 2099-03-20, after this, which is dated 2099-03-02"
        ):
            _late(later, datetime(2099, 3, 2, 12, tzinfo=UTC))
        cleaner = deliveries.receive("Wash Down", 60_000)["bottles"][0]["id"]
        with pytest.raises(BadInput, match=f"bottle {cleaner} came on 2099-03-20"):
            wash("Wash Down", 1_000, bottles=(str(cleaner),), on=datetime(2099, 3, 2, 12, tzinfo=UTC))
        _late(later)


def test_bottles_that_are_empty_discarded_or_of_another_product(stocked: str) -> None:
    counts.count("1", 0)
    with pytest.raises(BadInput, match="bottle 1 is empty by the books"):
        _late(1)
    handling.discard("2")
    with pytest.raises(BadInput, match="bottle 2 was discarded"):
        _late(2)
    with pytest.raises(BadInput, match="bottle 3 holds Slow Thinner, which is not in this mix"):
        _late(3)
