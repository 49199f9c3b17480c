"""The mouse alone: clicking what can be read on the screen, a key's words, a word that a field offers."""

from typing import Any

from rich.cells import cell_len
from textual.events import MouseScrollDown, MouseScrollUp
from textual.pilot import Pilot

from tests.tui.driving import seen, settle
from tui.widgets.fields import Field
from tui.widgets.frame import KeyStrip
from tui.widgets.help import Help
from tui.widgets.name_field import NameList


def place_of(pilot: Pilot[None], text: str, *, last: bool = False) -> tuple[int, int]:
    """Column and row of the first (or last) place where a text stands on the screen."""
    places = [
        (cell_len(line[: line.index(text)]), row)
        for row, line in enumerate(seen(pilot.app).split("\n"))
        if text in line
    ]
    assert places, f"{text!r} is not to be seen:\n{seen(pilot.app)}"
    return places[-1 if last else 0]


async def click_on(pilot: Pilot[None], text: str, *, times: int = 1, last: bool = False) -> None:
    """Click in the middle of a text that stands on the screen."""
    column, row = place_of(pilot, text, last=last)
    await pilot.click(offset=(column + cell_len(text) // 2, row), times=times)
    await settle(pilot)


async def click_key(pilot: Pilot[None], words: str) -> None:
    """Click a key of the strip by its words; one that has no room there stands in the help."""
    await settle(pilot)
    strip = pilot.app.screen.query_one(KeyStrip)
    line = "".join(segment.text for segment in strip.render_line(0))
    bindings = [active.binding for active in pilot.app.screen.active_bindings.values()]
    hint = next(one.tooltip or one.description for one in bindings if one.description == words)
    if f" {words} " not in f"{line} ":
        await click_on(pilot, "? ", last=True)
        assert isinstance(pilot.app.screen, Help), line
        meaning = next(line for line in pilot.app.screen.query(".key") if hint in str(line.render()))
        meaning.scroll_visible(animate=False)
        await settle(pilot)
        await pilot.click(meaning, offset=(12, 0))
    else:
        at = line.index(f" {words} ") if f" {words} " in line else line.index(f" {words}")
        await pilot.click(strip, offset=(cell_len(line[:at]) + 1, 0))
    await settle(pilot)


async def take(pilot: Pilot[None], field: str, word: str) -> None:
    """Click into a field, and on a word that it offers, looking further along until it is seen."""
    one = pilot.app.screen.query_one(f"#{field}", Field)
    one.scroll_visible(animate=False)
    await settle(pilot)
    await pilot.click(one.input)
    await settle(pilot)
    offers = one._offers
    assert word in offers.words, (word, offers.words)
    if isinstance(offers, NameList):
        await _take_name(pilot, one, offers, word)
        return
    number = list(offers.words).index(word)
    offers.scroll_visible(animate=False)
    await settle(pilot)
    for _ in range(80):
        placed = {at: first for at, first, _ in offers._placed()}
        if number in placed:
            await pilot.click(offers, offset=(placed[number], 0))
            await settle(pilot)
            assert one.text == word
            return
        await pilot.click(offers, offset=(placed[-2] if number > max(placed) else placed[-1], 0))
        await settle(pilot)
    raise AssertionError(f"{word} is offered, but not to be reached")


async def _take_name(pilot: Pilot[None], field: Field, names: NameList, word: str) -> None:
    """The wheel brings a name into sight, and a click takes it."""
    while names.marked != word:
        before = names.marked
        await wheel(pilot, field.input, 1)
        assert names.marked != before, f"{word} is offered, but not to be reached"
    row = names._fitting.index(word) - names._first
    names.scroll_visible(animate=False)
    await settle(pilot)
    await pilot.click(names, offset=(4, row))
    await settle(pilot)
    assert field.text == word


async def wheel(pilot: Pilot[None], widget: Any, turns: int) -> None:
    """The wheel over a widget: down for above zero, up for below."""
    kind = MouseScrollDown if turns > 0 else MouseScrollUp
    for _ in range(abs(turns)):
        await pilot._post_mouse_events([kind], widget, offset=(1, 0), button=0)
    await settle(pilot)
