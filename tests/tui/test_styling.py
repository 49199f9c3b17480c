"""Styles are worked out once for each part of a screen that opens, and again where they can have changed."""

from collections import Counter
from typing import Any, ClassVar

import pytest
from textual.app import App, ComposeResult
from textual.content import Content
from textual.css import stylesheet
from textual.css.stylesheet import Stylesheet
from textual.screen import Screen
from textual.widgets import Static

from tests.tui.driving import opened, press, seen, settle
from tui.widgets import styling
from tui.widgets.books_screen import show_text
from tui.widgets.styling import StyledOnce


async def test_each_part_of_a_screen_gets_its_styles_once_when_it_opens(
    studio: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    times: Counter[int] = Counter()
    apply = Stylesheet.apply

    def counted(sheet: Stylesheet, node: Any, **more: Any) -> None:
        times[id(node)] += 1
        apply(sheet, node, **more)

    async with opened(studio) as pilot:
        await press(pilot, "2")
        monkeypatch.setattr(Stylesheet, "apply", counted)
        await press(pilot, "3")
        parts = [*pilot.app.screen.walk_children()]
        of_bench = sum(times[id(part)] for part in parts)
        await press(pilot, "f2")
        times.clear()
        await press(pilot, "f3")
        again = sum(times[id(part)] for part in parts)
    assert len(parts) > 30
    assert of_bench < 1.5 * len(parts)  # those that the hand came to are styled anew
    assert again < 0.5 * len(parts)


async def test_each_style_sheet_is_parsed_once_and_anew_in_other_colours(
    studio: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    times: Counter[Any] = Counter()

    def counted(scope: str, css: str, place: Any, **more: Any) -> Any:
        values = (
            (name, *(each.value for each in tokens)) for name, tokens in more["variable_tokens"].items()
        )
        times[place, more["tie_breaker"], *values] += 1
        return parse(scope, css, place, **more)

    parse = stylesheet.parse
    monkeypatch.setattr(stylesheet, "parse", counted)
    monkeypatch.setattr(styling, "_parsed", {})
    async with opened(studio) as pilot:
        await press(pilot, "2", "3")
        before = len(times)
        assert before > 10
        pilot.app.theme = "daylight"
        await settle(pilot)
    assert len(times) > before
    assert set(times.values()) == {1}


async def test_the_window_says_the_classes_before_there_are_parts_and_after(studio: str) -> None:
    async with opened(studio, (140, 45)) as pilot:
        await press(pilot, "2")
        assert pilot.app.screen.classes >= {"-broad", "-high"}
        await pilot.resize_terminal(80, 24)
        await settle(pilot)
        assert pilot.app.screen.classes >= {"-narrow", "-low"}
        assert not pilot.app.screen.classes & {"-broad", "-high"}


async def test_a_theme_chosen_elsewhere_is_on_every_screen_that_was_open(studio: str) -> None:
    async with opened(studio) as pilot:
        await press(pilot, "2", "1")
        pilot.app.theme = "daylight"
        await settle(pilot)
        await press(pilot, "2")
        followed = colours(pilot.app)
    async with opened(studio, theme="daylight") as pilot:
        await press(pilot, "2")
        assert "Harbour Blue" in seen(pilot.app)
        assert followed == colours(pilot.app)


def colours(app: Any) -> list[list[Any]]:
    """Every letter with its colours, line by line."""
    return [[*strip] for strip in app.screen._compositor.render_strips()]


@pytest.mark.parametrize(
    ("css", "anew"),
    [
        ("Bench Static { color: red; }", False),
        ("#else Static, .never { color: red; }", False),
        ("Plain > Static { color: red; }", True),
        ("#else Static, Static { color: red; }", True),
        ("Static:hover { color: red; }", True),
    ],
)
async def test_added_rules_style_an_open_screen_anew_only_if_they_can_mean_one_of_its_parts(
    css: str, anew: bool
) -> None:
    async with ThreeScreens().run_test() as pilot:
        screen = pilot.app.screen
        styling.follows(pilot.app.stylesheet, screen)
        assert not styling.follows(pilot.app.stylesheet, screen)
        pilot.app.stylesheet.add_source(css, read_from=("added", ""))
        assert styling.follows(pilot.app.stylesheet, screen) == anew
        assert not styling.follows(pilot.app.stylesheet, screen)


async def test_a_screen_that_opens_leaves_the_styles_of_the_one_it_covers(
    studio: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    times: Counter[int] = Counter()
    apply = Stylesheet.apply

    def counted(sheet: Stylesheet, node: Any, **more: Any) -> None:
        times[id(node)] += 1
        apply(sheet, node, **more)

    async with opened(studio) as pilot:
        covered = [*pilot.app.screen.walk_children()]
        monkeypatch.setattr(Stylesheet, "apply", counted)
        await press(pilot, "4")
        assert sum(times[id(part)] for part in covered) < 0.5 * len(covered)


class UpdatedLine(Static):
    """A line that notes of each update whether it lays the screen out anew."""

    def __init__(self, **more: Any) -> None:
        super().__init__(**more)
        self.layouts: list[bool] = []

    def update(self, content: Any = "", *, layout: bool = True) -> None:
        self.layouts.append(layout)
        super().update(content, layout=layout)


class Lines(App[None]):
    """A line as high as its text, and one of a fixed height."""

    CSS = "#fixed { height: 2; }"

    def compose(self) -> ComposeResult:
        """Both lines, without a word."""
        yield UpdatedLine(id="auto")
        yield UpdatedLine(id="fixed")


async def test_a_new_text_lays_out_anew_what_has_its_size_and_a_text_in_other_colours_is_new() -> None:
    async with Lines().run_test() as pilot:
        grows, fixed = (pilot.app.query_one(name, UpdatedLine) for name in ("#auto", "#fixed"))
        for line in (grows, fixed, grows, fixed):
            show_text(line, "one line\nand another")
        assert (grows.layouts, fixed.layouts) == ([True], [False])
        await settle(pilot)
        assert (grows.size.height, fixed.size.height) == (2, 2)
        assert "and another" in fixed.visual.plain  # type: ignore[attr-defined]
        show_text(fixed, Content.styled("one line\nand another", "bold"))
        assert [span.style for span in fixed.visual.spans] == ["bold"]  # type: ignore[attr-defined]
        assert fixed.layouts == [False, False]


class Plain(StyledOnce, Screen[None]):
    """A screen with one line."""

    def compose(self) -> ComposeResult:
        """The line."""
        yield Static("line")


class Bright(Screen[None]):
    """A screen whose style sheet says something about the lines of all screens."""

    CSS = "Static { color: red; }"
    SCOPED_CSS = False


class ThreeScreens(App[None]):
    """Screens without a style sheet, and one whose sheet comes later."""

    def __init__(self) -> None:
        super().__init__()
        self.stylesheet = styling.ParsedOnce(variables=self.get_css_variables())

    MODES: ClassVar = {"plain": Plain, "between": Plain, "bright": Bright}
    DEFAULT_MODE = "plain"


async def test_a_style_sheet_that_another_screen_brought_is_followed_on_the_way_back() -> None:
    async with ThreeScreens().run_test() as pilot:
        line = pilot.app.screen.query_one(Static)
        assert line.styles.color.css != "rgb(255,0,0)"
        for mode in ("between", "bright", "plain"):
            await pilot.app.switch_mode(mode)
            await settle(pilot)
        assert line.styles.color.css == "rgb(255,0,0)"
