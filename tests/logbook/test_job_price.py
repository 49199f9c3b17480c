"""A job's price: material and work with a mark-up, what is missing in it, and the sheet for its customer."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stock.bench.mixing import MixRequest, book_mix
from stock.errors import BadInput
from stock.exchange.report_files import as_page
from stock.logbook import job_price
from stock.logbook.job_price import price
from stock.shelf import jobs, studio
from tests.clock import clock_at


def test_material_work_and_mark_up_by_hand():
    """10.00 of material, 3 h 30 at 45.00 is 157.50, and 20 % of 167.50 is 33.50: 201.00."""
    assert price(1_000, 210, 4_500, 20_000) == (1_000, 15_750, 3_350)
    assert price(1_000, 210, 4_500, 20_000).price == 20_100


@given(st.integers(0, 10**7), st.integers(0, 10**5), st.integers(0, 10**5), st.integers(0, 10**6))
def test_more_of_anything_never_costs_less(material, minutes, rate, markup):
    here = price(material, minutes, rate, markup).price
    assert here >= material
    for more in ((1, 0, 0, 0), (0, 1, 0, 0), (0, 0, 1, 0), (0, 0, 0, 1)):
        bigger = price(material + more[0], minutes + more[1], rate + more[2], markup + more[3])
        assert bigger.price >= here


@pytest.mark.parametrize(
    ("text", "found"),
    [("3.5", 210), ("3.5 h", 210), ("3:30", 210), ("210 min", 210), ("0", 0), ("10000", 600_000)],
)
def test_hours(text, found):
    assert jobs.minutes(text) == found


@pytest.mark.parametrize("text", ["3:75", "-1", "three", "3.5 days", "10001", ":30", "1e9"])
def test_hours_that_are_none(text):
    with pytest.raises(BadInput, match=r"hours, as 3\.5"):
        jobs.minutes(text)


def test_what_is_not_known_is_named_and_the_customer_sees_no_cost(stocked):
    with clock_at("2030-01-10 09:00"):
        book_mix(MixRequest(parts=(("Harbour Blue", 60_000), ("Slow Thinner", 10_000)), job="Ferry"))
        found = job_price.read("Ferry")
        assert (found.price.price, found.price.material) == (790, 790)
        assert found.missing == [
            "the price of Slow Thinner B0003", "the hours worked on it", "what an hour of work costs",
        ]  # fmt: skip
        studio.change(labour_minor_per_h=6_000, markup_milli=10_000)
        jobs.change("Ferry", worked_min=90, customer="Ada & Sons")
        found = job_price.read("Ferry")
        assert found.price == (790, 9_000, 979)
        assert found.missing == ["the price of Slow Thinner B0003"]
        page = as_page(job_price.customer_sheet(found))
    for words in ("Ada &amp; Sons", "Harbour Blue", ">60</td>", "107.69", "1 h 30 min", "Slow Thinner B0003"):
        assert words in page
    assert "7.90" not in page


def test_a_job_s_note_is_on_the_customer_s_sheet_and_none_is_no_note(stocked):
    with clock_at("2030-01-10 09:00"):
        book_mix(MixRequest(parts=(("Harbour Blue", 60_000),), job="Ferry"))
        studio.change(labour_minor_per_h=6_000, markup_milli=10_000)
        jobs.change("Ferry", worked_min=90)
        assert job_price.customer_sheet(job_price.read("Ferry")).notes == []
        jobs.change("Ferry", note="two coats")
        assert job_price.customer_sheet(job_price.read("Ferry")).notes == ["two coats"]
