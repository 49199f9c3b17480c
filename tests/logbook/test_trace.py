"""A bad lot is followed into bottles, mixes, jars, further mixes and jobs."""

from datetime import date

import pytest

from stock.bench import closing, washing
from stock.bench.mixing import MixRequest, book_mix
from stock.errors import BadInput, NotFound
from stock.logbook.tables import trace_report
from stock.logbook.trace import trace
from stock.logbook.undo import undo
from stock.shelf import deliveries, handling
from stock.store.models import Bottle
from tests.clock import clock_at


def pour(product: str, bottle: int, ml: int, job: str | None = None) -> int:
    parts = ((product, ml * 1_000),)
    return int(book_mix(MixRequest(parts=parts, bottles=(str(bottle),), job=job), judge=False)["mix"])


@pytest.fixture
def lot(stocked: str) -> int:
    """A bottle of lot L7, number 5."""
    return int(deliveries.receive("Harbour Blue", 60_000, lot="L7")["bottles"][0]["id"])


def test_a_lot_is_followed_through_a_decant_a_jar_and_what_was_made_of_them(lot: int) -> None:
    small = handling.decant(str(lot), 20_000)["into"]
    first = pour("Harbour Blue", lot, 10, "Ferry hull")
    second = pour("Harbour Blue", small, 5, "Door")
    closing.close(first, closing.Ending(outcome="good", left_ul=4_000, keep=True))
    jar = Bottle.select().where(Bottle.left_of == first).get()
    third = pour(jar.product.name, jar.id, 2, "Sign")
    clean = pour("Harbour Blue", 1, 5, "Clean job")
    traced = trace(lot="l7")  # what is decanted keeps its lot
    assert [(one.id, one.through) for one in trace(bottle=str(lot)).bottles][1] == (
        small,
        f"bottle B{lot:04d}",
    )
    assert [(one.id, one.through) for one in traced.bottles] == [
        (lot, None), (small, None), (jar.id, f"mix {first}"),
    ]  # fmt: skip
    assert [(one.id, one.volume_ul, one.bottles, one.outcome) for one in traced.mixes] == [
        (first, 10_000, (lot,), "good"), (second, 5_000, (small,), None), (third, 2_000, (jar.id,), None),
    ]  # fmt: skip
    assert traced.jobs == {"Door": [second], "Ferry hull": [first], "Sign": [third]}
    assert clean not in [one.id for one in traced.mixes]
    assert traced.as_json()["jobs"][0] == {"job": "Door", "mixes": [second]}
    report = trace_report(traced)
    assert all(len(row) == len(table.heads) for table in report.tables for row in table.rows)


def test_one_bottle_by_its_number_or_label(lot: int) -> None:
    mix = pour("Harbour Blue", lot, 10)
    assert trace(bottle=str(lot)) == trace(bottle=f"B{lot:04d}")
    assert [one.id for one in trace(bottle=str(lot)).mixes] == [mix]
    assert trace(bottle="1").mixes == ()


def test_a_trace_says_what_was_followed(lot: int) -> None:
    assert trace(lot=" L7 ").about == "lot L7"
    assert trace(bottle=str(lot)).about == f"bottle B{lot:04d}"


def test_what_was_undone_is_not_in_it(lot: int) -> None:
    mix = pour("Harbour Blue", lot, 10, "Ferry hull")
    small = handling.decant(str(lot), 20_000)["into"]
    undo("mix", mix)
    undo("decant", Bottle.get_by_id(small).delivery_id)
    traced = trace(lot="L7")
    assert traced.mixes == ()
    assert [one.id for one in traced.bottles] == [lot]


def test_bottles_decanted_in_a_ring_end(lot: int) -> None:
    other = handling.decant(str(lot), 20_000)["into"]
    handling.decant(str(other), 5_000, into=str(lot))
    assert [one.id for one in trace(bottle=str(other)).bottles] == [other, lot]


def test_washing_with_it_is_said(stocked: str) -> None:
    washing.wash("Wash Down", 15_000)
    assert trace(bottle="4").washed_ul == 15_000


def test_what_is_not_there_is_said(lot: int) -> None:
    for missing in ("L8", "", "%"):
        with pytest.raises(NotFound, match="no bottle has the lot"):
            trace(lot=missing)
    with pytest.raises(NotFound, match="there is no bottle 99"):
        trace(bottle="99")
    with pytest.raises(BadInput, match="a lot or a bottle"):
        trace()


def test_a_past_day_follows_no_decant_and_no_jar_of_the_next(lot: int) -> None:
    with clock_at("2030-01-09 09:00"):
        first = pour("Harbour Blue", lot, 10, "Ferry hull")
    with clock_at("2030-01-10 09:00"):
        small = handling.decant(str(lot), 20_000)["into"]
        closing.close(first, closing.Ending(outcome="good", left_ul=4_000, keep=True))
        jar = Bottle.select().where(Bottle.left_of == first).get()

        def bottles(day: int) -> list[int]:
            return [one.id for one in trace(bottle=str(lot), as_of=date(2030, 1, day)).bottles]

        assert (bottles(9), bottles(10)) == ([lot], [lot, small, jar.id])
        outcomes = [trace(bottle=str(lot), as_of=date(2030, 1, day)).mixes[0].outcome for day in (9, 10)]
        assert outcomes == [None, "good"]
