"""Stock valuation: the textbook example of both formulas, and that each line adds up for any movements."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stock.logbook import money_proof, valuation
from stock.logbook.valuation import METHODS, StockMove, ValuedVolume, period, split
from stock.store.connection import connection, reading


def flows(moves, method):
    return valuation.flows(moves, method).products


def came(volume, value, product=1, owner=""):
    return StockMove(product, "received", volume, None if value is None else Fraction(value), owner=owner)


def went(volume, kind="poured", mix=None, product=1, owner=""):
    return StockMove(product, kind, -volume, mix=mix, owner=owner)


def test_oldest_first_and_average_by_hand():
    """100 at 1.00, 100 at 2.00, then 150 out: first in, first out leaves 50 at 2; the average of 1.50 leaves 75."""
    moves = [came(100, 10_000), came(100, 20_000), went(150)]
    assert flows(moves, "fifo")[1].used == ValuedVolume(150, Fraction(20_000))
    assert flows(moves, "fifo")[1].closing == ValuedVolume(50, Fraction(10_000))
    assert flows(moves, "average")[1].used == ValuedVolume(150, Fraction(22_500))
    assert flows(moves, "average")[1].closing == ValuedVolume(50, Fraction(7_500))


def test_each_receipt_makes_a_new_average():
    moves = [came(100, 1_000), went(50), came(50, 2_000), went(50)]
    assert flows(moves, "average")[1].used.value == 500 + 1_250
    assert flows(moves, "fifo")[1].used.value == 500 + 500


@pytest.mark.parametrize("method", METHODS)
def test_what_has_no_price_is_named_and_counts_as_nothing(method):
    found = flows([came(100, None), came(100, 1_000), went(50)], method)[1]
    assert found.closing.volume_ul == 150
    assert found.closing.unpriced_ul == {"fifo": 50, "average": 75}[method]
    assert found.closing.value == {"fifo": 1_000, "average": 750}[method]


@pytest.mark.parametrize("method", METHODS)
def test_a_jar_holds_what_went_into_its_mix(method):
    moves = [
        came(100, 1_000), came(100, 200, product=2), went(60, mix=7), went(20, mix=7, product=2),
        StockMove(3, "kept", 40, mix=7), went(10, product=3),
    ]  # fmt: skip
    found = flows(moves, method)
    assert found[3].used.value == Fraction(-640, 2) + Fraction(640, 8)
    assert found[3].closing == ValuedVolume(30, Fraction(240))
    assert sum(each.used.value for each in found.values()) == 640 - 320 + 80


@pytest.mark.parametrize("method", METHODS)
def test_what_a_customer_s_bottle_gives_to_a_mix_makes_no_jar_of_the_studio_dearer(method):
    moves = [
        came(100, 1_000), came(100, 5_000, owner="Ada"), went(10, mix=7), went(30, mix=7, owner="Ada"),
        StockMove(3, "kept", 20, mix=7),
    ]  # fmt: skip
    found = valuation.flows(moves, method)
    assert found.products[3].closing == ValuedVolume(20, Fraction(50))
    assert found.products[1].closing.value == 900
    assert found.owners["Ada"][1].closing == ValuedVolume(70, Fraction(3_500))


@pytest.mark.parametrize("method", METHODS)
def test_counts_and_what_is_thrown_away_are_written_off(method):
    moves = [
        came(100, 1_000), went(10, "counted"), StockMove(1, "counted", 5), went(20, "discarded"), went(5, "washed"),
    ]  # fmt: skip
    found = flows(moves, method)[1]
    assert (found.written_off.volume_ul, found.written_off.value) == (25, 250)
    assert found.used.value == 50
    assert found.closing == ValuedVolume(70, Fraction(700))


@pytest.mark.parametrize("method", METHODS)
def test_more_than_is_there_has_no_price(method):
    found = flows([came(10, 100), went(15)], method)[1]
    assert found.used == ValuedVolume(15, Fraction(100), Fraction(5))


def test_a_correction_lands_in_the_period_in_which_it_is_booked():
    """20 used in the first month were undone in the second, so its use is less than nothing."""
    first, second = [came(100, 1_000), went(20)], [came(100, 1_000)]
    (line,) = period(flows(first, "fifo"), flows(second, "fifo"))
    assert (line.opening, line.used, line.closing) == (800, -200, 1_000)
    assert (line.opening_ul, line.used_ul, line.closing_ul) == (80, -20, 100)


@st.composite
def lives(draw):
    """Movements in which nothing ever gives more than it holds, two owners, and a place to cut them in two."""
    held, mixed, moves = {(owner, product): 0 for owner in ("", "Ada") for product in (1, 2)}, {}, []
    for _ in range(draw(st.integers(0, 25))):
        whose = owner, product = draw(st.sampled_from(sorted(held)))
        kind = draw(st.sampled_from(["received", "poured", "washed", "discarded", "counted", "more", "kept"]))
        amount = draw(st.integers(1, 1_000))
        if kind == "received":
            moves.append(came(amount, draw(st.none() | st.integers(0, 10_000)), product, owner))
            held[whose] += amount
        elif kind == "more":
            moves.append(StockMove(product, "counted", amount, owner=owner))
            held[whose] += amount
        elif kind == "kept":
            left = [number for number, volume in mixed.items() if volume]
            if left:
                number = left[-1]
                moves.append(StockMove(product, "kept", mixed[number], mix=number, owner=owner))
                held[whose] += mixed.pop(number)
        elif held[whose]:
            amount = min(amount, held[whose])
            mix = draw(st.integers(1, 4)) if kind == "poured" else None
            moves.append(went(amount, kind, mix, product, owner)._replace(movement=len(moves) + 1))
            held[whose] -= amount
            if mix is not None:
                mixed[mix] = mixed.get(mix, 0) + amount
    return moves, draw(st.integers(0, len(moves)))


@pytest.mark.parametrize("method", METHODS)
@given(life=lives())
def test_every_line_adds_up_in_volume_and_in_money(method, life):
    """Each flow is summed by itself, and so is what is left: that they agree is no matter of taking the rest."""
    moves, cut = life
    before, after = valuation.flows(moves[:cut], method), valuation.flows(moves, method)
    for owner, products in after.owners.items():
        for found in products.values():
            assert found.purchased - found.used - found.written_off == found.closing
            assert 0 <= found.closing.unpriced_ul <= found.closing.volume_ul
            assert found.closing.value >= 0
        of = [move for move in moves if move.owner == owner]
        paid = sum(move.value or 0 for move in of if move.kind == "received")
        assert sum(each.purchased.value for each in products.values()) == paid
        assert sum(each.closing.volume_ul for each in products.values()) == sum(move.volume_ul for move in of)
    for line in period(before.products, after.products):
        assert line.opening_ul + line.purchased_ul - line.used_ul - line.written_off_ul == line.closing_ul
        assert line.opening + line.purchased - line.used - line.written_off == line.closing
        old = before.products.get(line.product)
        exact = after.products[line.product].used.value - (old.used.value if old else 0)
        assert abs(line.used - exact) <= 2
    lost = [move.volume_ul for move in moves if move.flow == "written_off" and not move.owner]
    assert sum(each.written_off.volume_ul for each in after.products.values()) == -sum(lost)


@given(st.lists(st.fractions(0, 1_000, max_denominator=60), min_size=1, max_size=8))
def test_parts_add_up_and_are_near(shares):
    total = round(sum(shares))
    parts = split(total, shares)
    assert sum(parts) == total
    assert all(abs(part - share) <= 1 for part, share in zip(parts, shares, strict=True))


def test_nothing_makes_no_layer():
    pool = valuation.FifoPool()
    pool.put(ValuedVolume())
    assert not pool.layers


@pytest.mark.parametrize("method", METHODS)
def test_opening_stock_that_is_noted_late_counts_with_the_opening_of_the_period(method):
    """
    before   100 at 1.00 were there when the books began, and 50 were bought at 2.00
    period   20 more turn out to have been there, at 1.00; 10 at 3.00 are bought
    """
    brought = [StockMove(1, "brought", 100, Fraction(10_000)), came(50, 10_000)]
    later = [StockMove(1, "brought", 20, Fraction(2_000)), came(10, 3_000)]
    [same] = period(flows(brought, method), flows(brought, method))
    assert (same.opening_ul, same.opening, same.purchased, same.used, same.closing) == (
        150,
        20_000,
        0,
        0,
        20_000,
    )
    [found] = period(flows(brought, method), flows([*brought, *later], method))
    assert (found.opening_ul, found.opening) == (170, 22_000)
    assert (found.purchased_ul, found.purchased, found.closing_ul, found.closing) == (10, 3_000, 180, 25_000)
    assert (found.used_ul, found.used, found.written_off) == (0, 0, 0)


def test_the_money_is_added_up_by_each_method(stocked, monkeypatch) -> None:
    added = []
    real = money_proof.flows
    monkeypatch.setattr(
        money_proof, "flows", lambda moves, method: added.append(method) or real(moves, method)
    )
    with connection(), reading():
        proof, problems = money_proof.prove()
    assert (sorted(added), problems) == (sorted(METHODS), [])
    assert proof == money_proof.MoneyProof(0, 2_530, 0, 0, 2_530)


@pytest.mark.parametrize("method", METHODS)
def test_the_least_that_comes_or_goes_is_counted(method) -> None:
    found = flows([came(2, 10), went(1)], method)[1]
    assert (found.purchased, found.used, found.closing) == (
        ValuedVolume(2, Fraction(10)),
        ValuedVolume(1, Fraction(5)),
        ValuedVolume(1, Fraction(5)),
    )
    assert flows([came(1, 10)], method)[1].closing == ValuedVolume(1, Fraction(10))
