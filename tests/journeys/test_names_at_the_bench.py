"""A paint is picked by a few letters: the marked name is the one that every key takes, shows and books."""

from textual.pilot import Pilot

from stock.shelf.bottles import on_shelf
from stock.store.connection import connection
from tests.tui.driving import listening, opened, press, seen, settle, until, write
from tui.bench.form import MixForm
from tui.widgets.name_field import NameField, NameList


def held() -> dict[str, int]:
    """Microlitres on the shelf by product."""
    total: dict[str, int] = {}
    with connection():
        for view in on_shelf():
            total[view.product] = total.get(view.product, 0) + view.on_hand_ul
    return total


def paint(pilot: Pilot[None], number: int = 0) -> NameField:
    return pilot.app.screen.query_one(f"#paint-{number}", NameField)


async def test_what_is_marked_is_what_every_way_on_takes_shows_and_books(studio: str) -> None:
    async with opened(studio) as pilot:
        said = listening(pilot.app)
        await press(pilot, "3")
        for letters, way in (
            ("bl", "enter"), ("bl", "tab"), ("l y", "shift+tab"), ("ll", "click"), ("la", "down"),
        ):  # fmt: skip
            before, heard = held(), len(said)
            if not paint(pilot).input.has_focus:
                await press(pilot, "i")
            await write(pilot, letters)
            if way == "down":
                await press(pilot, "down")
            marked = paint(pilot).names.marked
            assert marked is not None
            assert "› " in seen(pilot.app)
            if way == "click":
                await pilot.click(pilot.app.screen.query_one("#amount-0 Input"))
            else:
                await press(pilot, "enter" if way == "down" else way)
            assert paint(pilot).text == marked
            pilot.app.screen.query_one("#amount-0 Input").focus()
            await write(pilot, "1 ml")
            await until(lambda: pilot.app.screen._plan is not None)
            assert [pour.product for pour in pilot.app.screen._plan.pours] == [marked]
            await press(pilot, "f8")
            await until(lambda heard=heard: len(said) > heard)
            after = held()
            assert {name: before[name] - after[name] for name in after if after[name] != before[name]} == {
                marked: 1_000
            }
            assert marked in said[-1]


async def test_a_fast_hand_types_into_the_field_that_its_key_made(studio: str) -> None:
    async with opened(studio) as pilot:
        await press(pilot, "3")
        await write(pilot, "harb")
        await pilot.press("enter", *"2ml", "f7", *"gull", "enter", *"3ml")  # nobody waits for a screen
        await settle(pilot)
        typed_mix = pilot.app.screen.query_one(MixForm).typed_mix
        assert typed_mix.parts == (("Harbour Blue", "2ml"), ("Gull White", "3ml"))


async def test_names_that_fit_stand_beneath_with_what_tells_them_apart(studio: str) -> None:
    async with opened(studio) as pilot:
        await press(pilot, "3")
        names = paint(pilot).names
        assert names.size.height >= 5  # the latest ones, before anything is typed
        assert names.marked is None
        await write(pilot, "a")
        lines = [names.render_line(y).text for y in range(names.size.height)]
        assert len(lines) >= 5
        assert len({line.rsplit("  ", 1)[0] for line in lines}) == len(lines)
        assert lines[0].startswith("› ")
        await pilot.click(NameList, offset=(4, 1))
        assert paint(pilot).text == names._fitting[0] != ""
        await write(pilot, "zzz")  # in the place of the name
        assert "No name fits" in seen(pilot.app)
        assert paint(pilot).meant == "zzz"
