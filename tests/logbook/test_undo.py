"""Undo of everything that is booked, refusals with their reason, redo, and what the logbook tells."""

from datetime import date, timedelta
from fractions import Fraction
from typing import Any

import pytest

from stock import clock
from stock.bench import closing, steps, washing
from stock.bench.mixes import mix as mix_view
from stock.bench.mixing import MixRequest, book_mix
from stock.bench.step_requests import StepRequest
from stock.errors import BadInput, NotFound
from stock.forecast import orders
from stock.forecast.orderbook import order_lines
from stock.ledger import book
from stock.logbook import history
from stock.logbook.proof import prove
from stock.logbook.undo import undo
from stock.logbook.undo_guards import DependsOnIt
from stock.shelf import counts, deliveries, handling, places
from stock.shelf.bottles import numbered, on_shelf
from stock.store.models import Booking, Bottle, Movement, Undone
from tests.clock import clock_at

BLUE = MixRequest(parts=(("Harbour Blue", 8_000),), reduce=Fraction(20))


def everything() -> dict[int, tuple[Any, ...]]:
    """Every bottle on the shelf as it is."""
    return {
        view.id: (view.on_hand_ul, view.state, view.opened_on, view.frozen_on, view.place, view.label)
        for view in on_shelf()
    }


def undone() -> set[int]:
    return {number for (number,) in Undone.select(Undone.booking).tuples()}


def last(kind: str) -> int:
    number: int = (
        Booking.select(Booking.id).where(Booking.kind == kind).order_by(Booking.id.desc()).tuples().first()[0]
    )
    return number


def sound() -> None:
    assert prove().problems == []


ERRANDS = {
    "mix": lambda: book_mix(BLUE),
    "delivery": lambda: deliveries.receive("Gull White", 30_000, count=3, place="Cabinet", lot="L7"),
    "count": lambda: counts.count("1", 41_000),
    "wash": lambda: washing.wash("Wash Down", 15_000),
    "discard": lambda: handling.discard("2", reason="skinned over"),
    "open": lambda: handling.open_bottle("1"),
    "move": lambda: handling.move_bottle("4", "Cabinet"),
    "frozen": lambda: handling.freeze("1"),
    "decant": lambda: handling.decant("1", 20_000, size_ul=30_000, label="small blue"),
    "order": lambda: orders.make([orders.NewOrderLine("Harbour Blue", 60_000, 2)]),
    "planned_use": lambda: orders.plan_use(
        "Harbour Blue", 50_000, needed_on=clock.now().date() + timedelta(days=9)
    ),
}


@pytest.mark.parametrize("kind", ERRANDS)
def test_an_errand_is_taken_back_done_again_and_taken_back_as_often_as_one_likes(
    kind: str, stocked: str
) -> None:
    before = everything()
    ERRANDS[kind]()
    number, after = last(kind), everything()
    for _ in range(3):
        answer = undo(kind, number)
        assert everything() == before
        assert number in undone()
        assert answer["again"] is False
        assert answer["undid"] == [{"kind": kind, "id": number}]
        sound()
        answer = undo("undo", answer["undo"])
        assert everything() == after
        assert number not in undone()
        assert answer["again"] is True
        assert answer["undid"] == [{"kind": kind, "id": number}]
        sound()


def test_a_redo_is_taken_back_by_its_own_name_too(stocked: str, mixed: int) -> None:
    before = everything()
    first = undo("mix", mixed)
    again = undo("undo", first["undo"])
    assert everything() == before
    undo("undo", again["undo"])
    assert mixed in undone()
    assert mix_numbers() == []
    sound()


def mix_numbers() -> list[int]:
    from stock.bench.mixes import open_mixes

    return [one.id for one in open_mixes()]


@pytest.fixture
def sprayed(stocked: str) -> int:
    """A mix with two steps, closed with 3 ml kept in a jar."""
    number = int(book_mix(BLUE)["mix"])
    steps.book_step(number, StepRequest(Fraction(5)))
    steps.book_step(number, StepRequest(Fraction(5)))
    closing.close(number, closing.Ending(outcome="good", left_ul=3_000, keep=True))
    return number


def test_a_mix_goes_whole_with_its_steps_and_its_leftover_and_comes_whole(stocked: str) -> None:
    before = everything()
    number = int(book_mix(BLUE)["mix"])
    steps.book_step(number, StepRequest(Fraction(5)))
    steps.book_step(number, StepRequest(Fraction(5)))
    closing.close(number, closing.Ending(outcome="good", left_ul=3_000, keep=True))
    after = everything()
    assert len(after) == len(before) + 1
    for _ in range(3):
        answer = undo("mix", number)
        assert [one["kind"] for one in answer["undid"]] == ["mix", "step", "step", "close"]
        assert everything() == before
        sound()
        answer = undo("undo", answer["undo"])
        assert [one["kind"] for one in answer["undid"]] == ["mix", "step", "step", "close"]
        assert everything() == after
        assert mix_view(number).closed is not None
        assert len(mix_view(number).stages) == 3
        sound()


def test_a_step_taken_back_by_itself_stays_gone_when_its_mix_comes_again(stocked: str, mixed: int) -> None:
    first = steps.book_step(mixed, StepRequest(Fraction(5)))["step"]
    second = steps.book_step(mixed, StepRequest(Fraction(5)))["step"]
    undo("step", first)
    answer = undo("undo", undo("mix", mixed)["undo"])
    assert [one["id"] for one in answer["undid"]] == [mixed, second]
    assert [pour.booking for pour in mix_view(mixed).pours] == [mixed, mixed, second]
    sound()


def test_a_step_can_not_go_from_under_its_close(sprayed: int) -> None:
    with pytest.raises(DependsOnIt, match=f"mix {sprayed} was closed since") as refusal:
        undo("step", last("step"))
    assert f"ullage undo close {last('close')}" in refusal.value.remedy
    undo("close", last("close"))
    undo("step", last("step"))
    assert len(mix_view(sprayed).stages) == 2
    sound()


def test_a_step_can_not_come_again_without_its_mix_or_under_a_close(stocked: str, mixed: int) -> None:
    step = steps.book_step(mixed, StepRequest(Fraction(5)))["step"]
    gone = undo("step", step)["undo"]
    closing.close(mixed, closing.Ending(outcome="good"))
    with pytest.raises(DependsOnIt, match="was closed since"):
        undo("undo", gone)
    undo("mix", mixed)
    with pytest.raises(DependsOnIt, match=f"mix {mixed} itself is undone"):
        undo("undo", gone)
    sound()


def test_a_mix_has_one_close_whatever_is_undone_and_done_again(stocked: str, mixed: int) -> None:
    closing.close(mixed, closing.Ending(outcome="thick"))
    gone = undo("close", last("close"))["undo"]
    closing.close(mixed, closing.Ending(outcome="good"))
    with pytest.raises(DependsOnIt, match="was closed since"):
        undo("undo", gone)
    sound()


def test_a_leftover_that_was_used_holds_its_mix(sprayed: int) -> None:
    jar = next(view for view in on_shelf() if view.left_of == sprayed)
    used = int(book_mix(MixRequest(parts=((jar.product, 1_000),), bottles=(str(jar.id),)))["mix"])
    for kind, number in (("mix", sprayed), ("close", last("close"))):
        with pytest.raises(DependsOnIt, match=f"mix {used} depends on close") as refusal:
            undo(kind, number)
        assert f"ullage undo mix {used}" in refusal.value.remedy
    undo("mix", used)
    undo("mix", sprayed)
    sound()


@pytest.mark.parametrize(
    ("later", "kind"),
    [
        (lambda: book_mix(MixRequest(parts=(("Harbour Blue", 1_000),), bottles=("1",))), "mix"),
        (lambda: handling.open_bottle("1"), "open"),
        (lambda: handling.freeze("2"), "frozen"),
        (lambda: counts.count("2", 60_000), "count"),
        (lambda: handling.discard("1"), "discard"),
        (lambda: handling.decant("1", 5_000), "decant"),
    ],
)
def test_a_delivery_stays_while_anything_was_done_with_its_bottles(
    later: Any, kind: str, stocked: str
) -> None:
    delivery = Bottle.get_by_id(1).delivery_id
    later()
    before = everything()
    with pytest.raises(DependsOnIt, match=f"{kind} {last(kind)} depends on delivery {delivery}") as refusal:
        undo("delivery", delivery)
    assert f"ullage undo {kind} {last(kind)}" in refusal.value.remedy
    assert everything() == before
    undo(kind, last(kind))
    undo("delivery", delivery)
    assert not {1, 2} & set(everything())
    with pytest.raises(NotFound):
        numbered("1")
    sound()


def test_what_was_done_again_counts_as_done(stocked: str) -> None:
    number = int(book_mix(BLUE)["mix"])
    undo("undo", undo("mix", number)["undo"])
    with pytest.raises(DependsOnIt, match=f"mix {number} depends on"):
        undo("delivery", Bottle.get_by_id(1).delivery_id)
    sound()


@pytest.mark.parametrize(
    ("look", "kind"),
    [(lambda: counts.count("1", 50_000), "count"), (lambda: handling.discard("1"), "discard")],
)
def test_a_count_or_a_discard_rests_on_what_came_before_it(look: Any, kind: str, stocked: str) -> None:
    number = int(book_mix(BLUE)["mix"])
    look()
    with pytest.raises(DependsOnIt, match=f"{kind} {last(kind)} of bottle B0001 was booked since"):
        undo("mix", number)
    undo(kind, last(kind))
    undo("mix", number)
    assert Bottle.get_by_id(1).on_hand_ul == 60_000
    sound()


def test_a_count_of_an_earlier_moment_does_not_rest_on_a_later_mix(stocked: str) -> None:
    deliveries.receive("Gull White", 30_000, on=clock.now() - timedelta(days=9))
    white = MixRequest(parts=(("Gull White", 4_000),))
    number = int(book_mix(white)["mix"])
    counts.count("5", 28_000, on=clock.now() - timedelta(days=2))
    assert Bottle.get_by_id(5).on_hand_ul == 24_000
    undo("mix", number)
    assert Bottle.get_by_id(5).on_hand_ul == 28_000
    sound()


def test_a_mix_undone_before_a_count_is_not_poured_again_after_it(stocked: str) -> None:
    number = int(book_mix(BLUE)["mix"])
    gone = undo("mix", number)["undo"]
    counts.count("1", 50_000)
    with pytest.raises(DependsOnIt, match="count"):
        undo("undo", gone)
    sound()


def test_a_decant_into_another_bottle_goes_while_enough_is_left_in_it(stocked: str) -> None:
    book_mix(MixRequest(parts=(("Harbour Blue", 30_000),), bottles=("1",)))
    handling.decant("2", 20_000, into="1")
    book_mix(MixRequest(parts=(("Harbour Blue", 25_000),), bottles=("1",)))
    undo("decant", last("decant"))
    assert Bottle.get_by_id(1).on_hand_ul == 5_000
    assert Bottle.get_by_id(2).on_hand_ul == 60_000
    sound()


def test_a_decant_that_was_poured_on_is_refused_with_the_amounts(stocked: str) -> None:
    book_mix(MixRequest(parts=(("Harbour Blue", 40_000),), bottles=("1",)))
    handling.decant("2", 20_000, into="1")
    book_mix(MixRequest(parts=(("Harbour Blue", 35_000),), bottles=("1",)))
    with pytest.raises(DependsOnIt, match="holds 5 ml, and the undo takes out 20 ml; mix"):
        undo("decant", last("decant"))
    sound()


def test_a_mix_is_not_done_again_from_bottles_that_are_empty_by_now(stocked: str) -> None:
    gone = undo("mix", int(book_mix(MixRequest(parts=(("Harbour Blue", 50_000),), bottles=("1",)))["mix"]))
    book_mix(MixRequest(parts=(("Harbour Blue", 50_000),), bottles=("1",)))
    with pytest.raises(DependsOnIt, match="holds 10 ml, and the undo takes out 50 ml"):
        undo("undo", gone["undo"])
    sound()


def test_a_bottle_counts_as_open_since_the_first_thing_still_taken_from_it(stocked: str) -> None:
    now = clock.now()
    deliveries.receive("Gull White", 30_000, on=now - timedelta(days=30))
    white = MixRequest(parts=(("Gull White", 1_000),))

    def pour(ago: int) -> int:
        at = now - timedelta(days=ago)
        return int(book_mix(white._replace(at=at), judge=False)["mix"])

    def opened_ago() -> int | None:
        opened = Bottle.get_by_id(5).opened_on
        return None if opened is None else (now.date() - opened).days

    first, second, early = pour(10), pour(5), pour(20)
    assert opened_ago() == 20
    undo("mix", first)
    assert opened_ago() == 20
    gone = undo("mix", early)
    assert opened_ago() == 5
    undo("undo", gone["undo"])
    assert opened_ago() == 20
    undo("mix", early)
    undo("mix", second)
    assert opened_ago() is None
    sound()


def test_an_opening_noted_by_mistake_gives_way_to_the_first_pour(stocked: str) -> None:
    deliveries.receive("Gull White", 30_000, on=clock.now() - timedelta(days=30))
    handling.open_bottle("5", on=clock.now() - timedelta(days=20))
    book_mix(MixRequest(parts=(("Gull White", 1_000),)))
    undo("open", last("open"))
    assert Bottle.get_by_id(5).opened_on == Booking.get_by_id(last("mix")).day
    sound()


def test_a_move_stays_under_a_later_move(stocked: str) -> None:
    places.add("Bench")
    handling.move_bottle("1", "Bench")
    first = last("move")
    handling.move_bottle("1", "Cabinet")
    with pytest.raises(DependsOnIt, match=f"move {last('move')} depends on move {first}"):
        undo("move", first)
    undo("move", last("move"))
    undo("move", first)
    assert everything()[1][4] == "Cabinet"


def test_of_two_frosts_on_one_day_the_later_holds_the_earlier(stocked: str) -> None:
    handling.freeze("1")
    first = last("frozen")
    handling.freeze("1")
    with pytest.raises(DependsOnIt, match="frozen"):
        undo("frozen", first)
    undo("frozen", last("frozen"))
    assert everything()[1][3] is not None
    undo("frozen", first)
    assert everything()[1][3] is None


def test_a_label_is_free_again_once_its_bottle_is_undone(stocked: str) -> None:
    deliveries.receive("Gull White", 30_000, label="white one")
    gone = undo("delivery", last("delivery"))["undo"]
    deliveries.receive("Gull White", 30_000, label="white one")
    with pytest.raises(DependsOnIt, match="the label white one is on another bottle"):
        undo("undo", gone)
    undo("delivery", last("delivery"))
    undo("undo", gone)
    assert numbered("white one").id == 5
    sound()


def test_an_order_stays_while_something_of_it_came(stocked: str) -> None:
    order = orders.make([orders.NewOrderLine("Harbour Blue", 60_000, 2)])["order"]
    orders.receive(order, {"Harbour Blue": 1})
    orders.cancel(order)
    with pytest.raises(DependsOnIt, match=f"part of order {order} was received or cancelled"):
        undo("order", order)
    undo("cancel", last("cancel"))
    assert open_packs(order) == 1
    came = undo("delivery", last("delivery"))["undo"]
    assert open_packs(order) == 2
    gone = undo("order", order)["undo"]
    with pytest.raises(DependsOnIt, match=f"order {order} itself is undone"):
        undo("undo", came)
    undo("undo", gone)
    undo("undo", came)
    assert open_packs(order) == 1
    sound()


def open_packs(order: int) -> int:
    return sum(line.open for line in order_lines(clock.now().date(), order=order))


def test_what_came_of_an_order_does_not_come_twice(stocked: str) -> None:
    order = orders.make([orders.NewOrderLine("Harbour Blue", 60_000, 2)])["order"]
    orders.receive(order)
    gone = undo("delivery", last("delivery"))["undo"]
    orders.receive(order)
    with pytest.raises(DependsOnIt, match="has 0 packs of that line still to come"):
        undo("undo", gone)
    sound()


def test_undone_already_says_by_what_and_how_to_do_it_again(stocked: str, mixed: int) -> None:
    by = undo("mix", mixed)["undo"]
    with pytest.raises(BadInput, match=f"mix {mixed} is undone already, by undo {by}") as refusal:
        undo("mix", mixed)
    assert refusal.value.remedy == f"To do it again: `ullage undo undo {by}`"
    again = undo("undo", by)["undo"]
    with pytest.raises(BadInput, match=f"undo {by} is undone already, by undo {again}"):
        undo("undo", by)


@pytest.mark.parametrize("number", [0, -1, 999, 2**63, 10**30])
def test_what_is_not_there_can_not_be_undone(number: int, stocked: str) -> None:
    with pytest.raises(NotFound, match="there is no mix"):
        undo("mix", number)
    with pytest.raises(NotFound, match="there is no movement"):
        undo("movement", number)


def test_a_word_that_is_nothing_booked_is_answered_with_those_that_are(stocked: str) -> None:
    with pytest.raises(BadInput, match="is not a kind of booking") as refusal:
        undo("pour", 1)
    assert "delivery" in refusal.value.remedy


def test_a_movement_alone_in_its_booking_stands_for_it(stocked: str) -> None:
    washing.wash("Wash Down", 15_000)
    movement = Movement.select(Movement.id).where(Movement.kind == "washed").tuples().get()[0]
    assert undo("movement", movement)["undid"] == [{"kind": "wash", "id": last("wash")}]
    assert Bottle.get_by_id(4).on_hand_ul == 250_000


def test_a_movement_among_others_is_refused_with_its_booking(stocked: str, mixed: int) -> None:
    movement = Movement.select(Movement.id).where(Movement.kind == "poured").tuples().first()[0]
    with pytest.raises(BadInput, match=f"is part of mix {mixed}"):
        undo("movement", movement)


def test_an_undo_can_not_lie_before_what_it_undoes(stocked: str, mixed: int) -> None:
    with pytest.raises(BadInput, match="happened on"):
        undo("mix", mixed, on=clock.now() - timedelta(days=3))
    assert mixed not in undone()
    undo("mix", mixed, on=Booking.get_by_id(mixed).at)
    assert mixed in undone()


def test_the_same_request_undoes_once(stocked: str, mixed: int) -> None:
    first = undo("mix", mixed, key="k1")
    assert undo("mix", mixed, key="k1") == first
    undo("undo", first["undo"], key="k2")
    assert undo("mix", mixed, key="k1") == first
    assert mixed not in undone()
    with pytest.raises(NotFound):
        undo("mix", 999, key="k3")
    with pytest.raises(BadInput, match="was used for"):
        book("mix", lambda errand: {}, key="k1")
    sound()


def test_the_logbook_tells_the_errand_its_undo_and_its_redo(stocked: str, mixed: int) -> None:
    first = undo("mix", mixed)["undo"]
    again = undo("undo", first)["undo"]
    entries = {entry.id: entry for entry in history.entries()}
    assert (entries[mixed].undone_by, entries[first].undoes, entries[first].undone_by) == (None, mixed, again)
    assert entries[again].undoes == first
    undo("mix", mixed)
    entries = {entry.id: entry for entry in history.entries()}
    assert entries[mixed].undone_by == first
    assert entries[first].undone_by is None


def test_marks_that_do_not_follow_from_the_undos_are_found(stocked: str, mixed: int) -> None:
    first = undo("mix", mixed)["undo"]
    Undone.delete().where(Undone.booking == mixed).execute()
    assert any(f"booking {mixed}" in problem for problem in prove().problems)
    Undone.insert(booking=mixed, by=first).execute()
    sound()
    Undone.insert(booking=first, by=mixed).execute()
    assert any(f"booking {first}" in problem for problem in prove().problems)


def test_a_thousand_bottles_go_in_a_few_queries_more_than_their_movements(stocked: str) -> None:
    from tests.queries import counted

    deliveries.receive("Gull White", 30_000, count=50)
    with counted() as few:
        undo("delivery", last("delivery"))
    deliveries.receive("Gull White", 30_000, count=150)
    with counted() as more:
        undo("delivery", last("delivery"))
    assert (len(more) - len(few)) / 100 <= 5


def test_days_are_told_in_the_studios_own_calendar(stocked: str, mixed: int) -> None:
    assert Booking.get_by_id(undo("mix", mixed)["undo"]).day == clock.today("Europe/Lisbon")
    assert isinstance(Booking.get_by_id(mixed).day, date)


def test_a_step_and_its_mix_undone_in_one_instant_by_two_undos_come_again_apart(stocked: str) -> None:
    """Both undos carry the same time; only what went with the mix's own undo comes again with it."""
    with clock_at(clock.now()):
        number = int(book_mix(BLUE)["mix"])
        alone = steps.book_step(number, StepRequest(Fraction(5)))["step"]
        went_along = steps.book_step(number, StepRequest(Fraction(5)))["step"]
        undo("step", alone)
        gone = undo("mix", number)
        again = undo("undo", gone["undo"])
    assert [one["id"] for one in again["undid"]] == [number, went_along]
    assert alone in undone()
    sound()
