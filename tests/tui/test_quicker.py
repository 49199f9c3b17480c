"""What an ordinary run does in place of Textual answers as Textual does."""

from textual.css import match
from textual.widget import Widget

from tests.tui import quicker
from tests.tui.driving import opened, press


async def test_selectors_mean_the_same_widgets_and_callables_have_as_many_parameters(studio: str) -> None:
    async with opened(studio, (80, 40)) as pilot:
        await press(pilot, "7", "n", "tab", "tab", "tab", "enter")
        app = pilot.app
        rules = [one for one in app.stylesheet.rules if one.selector_set]
        meant = 0
        for node in app.screen.walk_children(with_self=True):
            assert isinstance(node, Widget)
            for rule in rules:
                for one in rule.selector_set:
                    fits = match._check_selectors(one.selectors, node.css_path_nodes)
                    assert quicker._fits(one, node) is fits, (rule.selectors, node)
                    meant += fits
        assert meant > 150
        for call in (app.announce, lambda a, *b, c=1, **d: None, print, press, studio.join, app.on_event):
            expected = quicker._textuals_count(call)
            assert quicker._count_parameters(call) == expected, call
