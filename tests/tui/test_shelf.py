"""The Shelf: every errand by keys, the same by mouse, and what is drawn."""

from datetime import date
from typing import Any

import pytest

from stock.shelf.bottles import BottleView
from tests.tui.driving import holds, listening, opened, press, seen, settle, until, write
from tui.drawing.boards import CARD, Board, BoardHead, MarkedBottle, boards, captions, found
from tui.shelf.boards import Boards


def standing(number: int, product: str = "Harbour Blue", role: str = "paint", **more: Any) -> MarkedBottle:
    severity = more.pop("severity", "")
    facts: dict[str, Any] = {
        "label": f"B{number:04d}", "product_id": hash(product), "line": "Quay", "color": "#2a6f97",
        "size_ul": 60_000, "on_hand_ul": 30_000, "state": "open", "received_on": date(2025, 1, 1),
        "opened_on": date(2025, 6, 1), "best_before": None, "good_until": None, "frozen_on": None, "place_id": 1,
        "place": "Long shelf", "lot": "", "price_minor": None, "left_of": None,
    }  # fmt: skip
    return MarkedBottle(BottleView(id=number, product=product, role=role, **(facts | more)), severity)


def test_boards_hold_as_many_as_fit_and_small_parts_share_one() -> None:
    many = [standing(n) for n in range(9)] + [
        standing(20, "Clear Coat", "clear"),
        standing(21, "Thin", "reducer"),
    ]
    furniture = boards(many, 7 * CARD + 2, "role")
    kinds = [type(piece) for piece in furniture]
    assert kinds == [BoardHead, Board, BoardHead, Board]
    assert [len(piece.without_gaps) for piece in furniture if isinstance(piece, Board)] == [7, 4]
    heads = furniture[2]
    assert isinstance(heads, BoardHead)
    assert [(place, name) for place, name, _ in heads.parts] == [(3, "Clear"), (5, "Reducer")]


@pytest.mark.parametrize(("width", "boards_seen"), [(80, 18), (140, 10), (12, 120)])
def test_every_one_of_120_bottles_stands_somewhere(width: int, boards_seen: int) -> None:
    placed = [
        piece
        for piece in boards([standing(n) for n in range(120)], width, "role")
        if isinstance(piece, Board)
    ]
    assert len(placed) == boards_seen
    assert sorted(one.view.id for piece in placed for one in piece.without_gaps) == list(range(120))


@pytest.mark.parametrize(
    ("bottle", "below"),
    [(standing(1), "open 9 mo"), (standing(1, state="sealed", opened_on=None), "sealed"),
     (standing(1, severity="stop"), "✕ 9 mo"), (standing(1, opened_on=date(2024, 10, 1)), "open 17mo")],
)  # fmt: skip
def test_age_and_caution_are_written_beneath(bottle: MarkedBottle, below: str) -> None:
    assert captions(bottle, date(2026, 3, 4)) == ("30 ml", below)
    assert len(below) < CARD


def test_found_by_letters_of_paint_place_or_label() -> None:
    shelf = [standing(1), standing(2, "Gull White"), standing(3, "Gull Grey", place="Steel cabinet")]
    assert [one.view.id for one in found(shelf, "gul")] == [2, 3]
    assert [one.view.id for one in found(shelf, "steel gull")] == [3]
    assert [one.view.id for one in found(shelf, "b0001")] == [1]
    assert found(shelf, "[") == []


async def find(pilot: Any, letters: str) -> None:
    await press(pilot, "2", "slash")
    await write(pilot, letters)
    await press(pilot, "enter")


async def test_receive_several_sizes_one_after_the_other(studio: str) -> None:
    async with opened(studio) as pilot:
        said = listening(pilot.app)
        await press(pilot, "2")
        for size, many in (("60 ml", "2"), ("120 ml", "1")):
            await press(pilot, "r")
            dialog = pilot.app.screen
            for field, text in (("product", "Slate Grey"), ("size", size), ("many", many), ("lot", "K-7")):
                dialog.query_one(f"#{field}").text = text
            await press(pilot, "enter")
            await until(lambda many=many: any(f"On the shelf: {many} ×" in one for one in said))
        await find(pilot, "slate")
        assert "4 bottles of 25" in seen(pilot.app)


async def test_count_open_move_decant_discard_by_keys(studio: str) -> None:
    async with opened(studio) as pilot:
        await find(pilot, "sand")
        said = listening(pilot.app)
        await press(pilot, "o", "enter")
        assert pilot.app.screen.in_hand.view.state == "open"
        assert pilot.app.screen.check_action("open", ()) is None
        await press(pilot, "c")
        await write(pilot, "29 ml")
        await press(pilot, "enter")
        assert holds(11) == 29_000
        await press(pilot, "m")
        await write(pilot, "Drying rack")
        await press(pilot, "enter")
        await until(lambda: any("stands in Drying rack" in one for one in said))
        await press(pilot, "t")
        await write(pilot, "9 ml")
        await press(pilot, "enter")
        assert holds(11) == 20_000
        assert holds(23) == 9_000
        pilot.app.screen.take(11)
        await settle(pilot)
        await press(pilot, "d")
        await write(pilot, "skinned over")
        await press(pilot, "enter")
        assert holds(11) == 0
        await press(pilot, "escape", "e")
        pilot.app.screen.take(11)
        await settle(pilot)
        assert pilot.app.screen.in_hand.view.state == "discarded"


async def test_hand_by_click_and_by_keys_and_the_ways_to_stand(studio: str) -> None:
    async with opened(studio, (140, 45)) as pilot:
        await press(pilot, "2")
        for part in ("Cleaner", "Fleet", "Steel cabinet"):
            way = {"Cleaner": "role", "Fleet": "line", "Steel cabinet": "place"}[part]
            for _ in range(3):
                if f"by {way}" not in seen(pilot.app):
                    await press(pilot, "g")
            assert part in seen(pilot.app), way
        while "by role" not in seen(pilot.app):
            await press(pilot, "g")
        await press(pilot, "right", "right", "down")
        held = pilot.app.screen.in_hand
        await press(pilot, "v")
        assert pilot.app.screen.in_hand.view.id == held.view.id
        assert "B0" in seen(pilot.app)
        await press(pilot, "v")
        assert pilot.app.screen.in_hand.view.id == held.view.id
        await pilot.resize_terminal(80, 24)
        await press(pilot, "home")
        shelf = pilot.app.screen.query_one(Boards)
        first = shelf.hand
        await pilot.click("#boards", offset=(CARD + 4, 5))
        await settle(pilot)
        assert shelf.hand != first
        await pilot.click("#boards", offset=(CARD + 4, 5))
        await settle(pilot)
        assert "good until" in seen(pilot.app)
        assert "Esc  close" in seen(pilot.app)


async def test_refused_count_stays_in_its_dialog_with_what_was_typed(studio: str) -> None:
    async with opened(studio) as pilot:
        await find(pilot, "sand")
        await press(pilot, "c")
        await write(pilot, "300 ml")
        await press(pilot, "enter")
        text = seen(pilot.app)
        assert "is a 30 ml bottle and 300 ml were counted" in text
        assert "300 ml" in text
        await press(pilot, "escape")
    assert holds(11) == 30_000


async def test_another_benchs_booking_is_seen_without_a_key(studio: str) -> None:
    from stock.shelf.counts import count

    async with opened(studio) as pilot:
        await find(pilot, "sand")
        pilot.app.look()
        await settle(pilot)
        count("11", 12_500)
        pilot.app.look()
        await settle(pilot)
        assert "12.5 of 30 ml" in seen(pilot.app)
