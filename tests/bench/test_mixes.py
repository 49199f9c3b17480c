"""What the books say of mixes that were made."""

from datetime import date
from fractions import Fraction
from types import SimpleNamespace

from stock.bench import mixes, step_requests, steps
from stock.bench.mixes import mixed_often
from stock.bench.mixing import MixRequest, book_mix, plan
from stock.logbook.proof import prove
from stock.logbook.undo import undo
from stock.shelf import deliveries, products
from stock.store.models import Product
from tests.clock import clock_at


def test_what_was_mixed_lately_is_counted_by_mix_not_by_pour(mixed):
    numbers = {row.name: row.id for row in Product.select()}
    assert mixed_often(date(2000, 1, 1)) == {numbers["Harbour Blue"]: 1, numbers["Slow Thinner"]: 1}
    assert mixed_often(date(9000, 1, 1)) == {}


def test_a_mix_that_is_tinted_after_spraying_counts_once_and_what_is_undone_never(mixed):
    products.add({"name": "Tint Red", "role": "paint"})
    deliveries.receive("Tint Red", 30_000)
    numbers = {row.name: row.id for row in Product.select()}
    for left in (6_000, 3_000):
        asked = step_requests.read(mixed, None, parts=["Tint Red=0.1ml"], left=f"{left / 1000}ml")
        step = steps.book_step(mixed, asked)["step"]
    counted = {numbers["Harbour Blue"]: 1, numbers["Slow Thinner"]: 1, numbers["Tint Red"]: 1}
    assert mixed_often(date(2000, 1, 1)) == counted
    undo("step", step)
    assert mixed_often(date(2000, 1, 1)) == counted
    undo("mix", mixed)
    assert mixed_often(date(2000, 1, 1)) == {}


def test_only_mixes_of_the_days_asked_for_are_counted(mixed):
    numbers = {row.name: row.id for row in Product.select()}
    with clock_at("2099-03-02 12:00:00"):
        book_mix(MixRequest(parts=(("Harbour Blue", 8_000),), reduce=Fraction(0)), judge=False)
    assert mixed_often(date(2000, 1, 1)) == {numbers["Harbour Blue"]: 2, numbers["Slow Thinner"]: 1}
    assert mixed_often(date(2099, 3, 2)) == {numbers["Harbour Blue"]: 1}
    assert mixed_often(date(2099, 3, 3)) == {}


def test_the_same_paint_named_twice_is_poured_on_where_the_first_part_left_off(stocked):
    """
    bottles 1 and 2 of blue hold 60 ml each
    50 ml and then 20 ml of blue: 50 of bottle 1, then its last 10 and 10 of bottle 2
    """
    answer = book_mix(MixRequest(parts=(("Harbour Blue", 50_000), ("Harbour Blue", 20_000))))
    poured = [(pour["bottle"], pour["volume_ml"], pour["on_hand_ml"]) for pour in answer["pours"]]
    assert poured == [(1, 50, 10), (1, 10, 0), (2, 10, 50)]
    assert prove().problems == []


def test_two_paints_are_cut_with_the_usual_reducer_of_the_larger_part(stocked):
    products.add({"name": "Fast Thinner", "role": "reducer", "flash_point": "40C"})
    products.add({"name": "Buoy Red", "role": "paint", "usual_reducer": "Fast Thinner"})
    deliveries.receive("Buoy Red", 60_000)
    deliveries.receive("Fast Thinner", 60_000)

    def cut_with(blue_ul, red_ul):
        parts = (("Harbour Blue", blue_ul), ("Buoy Red", red_ul))
        planned = plan(MixRequest(parts=parts, reduce=Fraction(20)))
        return [pour.product for pour in planned.pours if pour.part == "reducer"]

    assert cut_with(8_000, 2_000) == ["Slow Thinner"]
    assert cut_with(2_000, 8_000) == ["Fast Thinner"]


def test_a_mix_has_the_colour_of_its_largest_pour_of_paint(monkeypatch):
    """Whatever was poured after it; a reducer's colour is none, and so is a paint's that has none noted."""
    pours = [
        ("paint", -2_000, "#111111"), ("paint", -5_000, "#222222"), ("paint", -1_000, "#333333"),
        ("reducer", -9_000, "#444444"), ("paint", -8_000, None),
    ]  # fmt: skip
    rows = [(7, 7, 1, 1, "name", part, "", part, change_ul, color) for part, change_ul, color in pours]
    monkeypatch.setattr(mixes, "POURS_NOW", SimpleNamespace(rows=lambda _: rows))
    poured, colors = mixes._pours([7], None)
    assert colors == {7: "#222222"}
    assert [pour.volume_ul for pour in poured[7]] == [2_000, 5_000, 1_000, 9_000, 8_000]
