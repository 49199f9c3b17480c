"""A mix logged on the Bench; both bottles fall on the Shelf."""

import pytest
from textual.events import Key
from textual.widgets import Input

from stock.errors import BooksUnreachable
from tests.tui.driving import holds, listening, opened, press, seen, settle, until, write

BLUE, REDUCER = 1, 17
FIRST = ("paint-0", "amount-0", "needle")
"""The fields that the hand comes to first."""
BAD = (("1,5 ml", "comma"), ("-5 ml", "-5"), ("5 apples", "apples"), ("5 6", "5"), ("900 ml", "wanted"))
"""Amounts that can't be booked, and a word of the reason."""


async def test_mix_by_keys_and_both_bottles_fall_on_the_shelf(studio: str) -> None:
    before = holds(BLUE), holds(REDUCER)
    async with opened(studio) as pilot:
        await press(pilot, "3")
        for key in [*"har", "tab", *"8ml", "tab", "0"]:  # right behind a Tab is the next field's
            pilot.app.post_message(Key(key, key if len(key) == 1 else None))
        await settle(pilot)
        fields = [pilot.app.screen.query_one(f"#{name} Input", Input) for name in FIRST]
        assert [field.value for field in fields] == ["Harbour Blue", "8ml", "0"]
        for field in fields:
            field.value = ""
        await press(pilot, "shift+tab", "shift+tab")
        await write(pilot, "harb")
        await press(pilot, "enter")  # the first that fits: Harbour Blue
        await write(pilot, "8 ml")
        await press(pilot, "enter", "enter")  # past the needle
        await write(pilot, "20%")
        text = seen(pilot.app)
        assert "9.6 ml = 8 paint + 1.6 reducer" in text
        assert "20 % of the paint = 5:1" in text
        assert "160 drops" in text
        assert "8.64 g" in text  # 8 ml at 1.08 g/ml
        assert "bottle 1: 14 → 6 ml" in text
        assert "bottle 17: 423 → 422 ml" in text
        assert (holds(BLUE), holds(REDUCER)) == before  # shown is not booked

        await press(pilot, "f8")
        assert (holds(BLUE), holds(REDUCER)) == (before[0] - 8_000, before[1] - 1_600)
        await press(pilot, "2", "slash")
        await write(pilot, "harbour")
        await press(pilot, "enter")
        assert "6 ml" in seen(pilot.app)
        await press(pilot, "escape", "slash")
        await write(pilot, "eddy")
        assert "421.7 of 480 ml" in seen(pilot.app) or "422 of 480 ml" in seen(pilot.app)


async def test_bad_amounts_and_a_refused_booking_keep_what_was_typed_and_presses_and_retries_book_once(
    studio: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = holds(BLUE)

    def gone(*_: object, **__: object) -> None:
        raise BooksUnreachable(
            "the disk is full; nothing was booked", remedy="Free some room and do it again"
        )

    async with opened(studio) as pilot:
        await press(pilot, "3")
        await write(pilot, "Harbour Blue")
        await press(pilot, "enter")
        amount = pilot.app.screen.query_one("#amount-0 Input", Input)
        for text, said in BAD:
            amount.value = text
            await settle(pilot)
            shown = seen(pilot.app)
            assert "Nothing can be booked yet" in shown
            assert said in shown
            await press(pilot, "f8")
            assert amount.value == text  # nothing typed is lost
        assert holds(BLUE) == before

        amount.value = "2 ml"
        await settle(pilot)
        with monkeypatch.context() as broken:
            broken.setattr("stock.bench.mixing.book_mix", gone)
            await press(pilot, "f8")
        shown = seen(pilot.app)
        assert "The disk is full" in shown
        assert "2 ml" in shown
        assert holds(BLUE) == before
        await pilot.press("f8", "f8", "f8")
        await settle(pilot)
    assert holds(BLUE) == before - 2_000


async def test_usual_mix_again_in_two_keys_from_today_or_changed_at_the_bench_first(studio: str) -> None:
    before = holds(BLUE)
    async with opened(studio) as pilot:
        said = listening(pilot.app)
        await press(pilot, "m")
        assert "Mix it again" in seen(pilot.app)
        assert holds(BLUE) == before
        await press(pilot, "enter")
        await until(lambda: any("is booked" in each for each in said))
        assert holds(BLUE) == before - 3_500
        await press(pilot, "m", "b")
        await settle(pilot)
        assert pilot.app.current_mode == "bench"
        text = seen(pilot.app)
        assert "Harbour Blue" in text
        assert "3.5 ml" in text
    assert holds(BLUE) == before - 3_500


async def test_stop_is_accepted_only_by_its_name(studio: str) -> None:
    from stock.shelf import products
    from stock.store.connection import connection

    with connection():
        products.change("Swift Reducer", {"not_with": ["Harbour Blue"]})
    before = holds(BLUE)
    async with opened(studio) as pilot:
        await press(pilot, "3")
        form = pilot.app.screen.query_one("#form")
        for field, text in (
            ("paint-0", "Harbour Blue"),
            ("amount-0", "2 ml"),
            ("reduce", "10%"),
            ("reducer", "Swift"),
        ):
            form.field(field).text = text
        await settle(pilot)
        stops = pilot.app.screen._plan.stops()
        assert stops, "the seed's reducer is kept from this paint"
        await press(pilot, "f8")
        assert "This mix is stopped" in seen(pilot.app)
        await press(pilot, "enter")
        assert holds(BLUE) == before
        for number, code in enumerate(dict.fromkeys(stop.code for stop in stops)):
            pilot.app.screen.query_one(f"#code-{number} Input").value = code
        await press(pilot, "enter")
        await settle(pilot)
    assert holds(BLUE) == before - 2_000


async def test_step_close_and_wash_after_the_mix(studio: str) -> None:
    before = holds(REDUCER)
    async with opened(studio) as pilot:
        said = listening(pilot.app)
        await press(pilot, "3", "escape", "s")
        assert "A step for mix" in seen(pilot.app)
        await press(pilot, "enter")
        stepped = holds(REDUCER)
        assert stepped < before
        await press(pilot, "c")
        assert "spray?" in seen(pilot.app)
        await press(pilot, "enter")
        await until(lambda: any("is closed: good" in each for each in said))
        await press(pilot, "w")
        await write(pilot, "15 ml")
        await press(pilot, "enter")
        await until(lambda: any("Washed with 15 ml" in each for each in said))
    assert holds(20) == 135_000
