"""The registries of screens and of actions: each entry does something, and what is bound is entered."""

import pkgutil
from importlib import import_module
from pathlib import Path
from typing import Any

import pytest
from textual.binding import Binding
from textual.dom import DOMNode

import tui
from tui.action import Action
from tui.actions import ACTIONS, SHEETS, of
from tui.app import Ullage
from tui.screens import SCREENS

README = Path(__file__).parents[2] / "README.md"
KEYS = {
    "slash": "/", "comma": ",", "plus": "+", "minus": "-", "question_mark": "?", "enter": "Enter", "escape": "Esc",
}  # fmt: skip
HEADS = {"app": "anywhere", "open_mix": "3 Bench, an open mix", "books": "6 Logbook, the books"}


def bound() -> dict[str, list[tuple[type[Any], Binding]]]:
    """Every binding with an id in the dashboard, and the classes that have it for their own."""
    for module in pkgutil.walk_packages(tui.__path__, "tui."):
        if not module.name.startswith(("tui.serving", "tui.__main__")):
            import_module(module.name)
    found: dict[str, list[tuple[type[Any], Binding]]] = {}
    classes: list[type[Any]] = [DOMNode]
    while classes:
        one = classes.pop()
        classes += one.__subclasses__()
        if one.__module__.startswith("tui."):
            for binding in vars(one).get("BINDINGS", ()):
                if isinstance(binding, Binding) and binding.id:
                    found.setdefault(binding.id, []).append((one, binding))
    return found


def test_every_action_is_bound_once_and_does_something() -> None:
    there = bound()
    assert {action.id for action in ACTIONS} == set(there)
    for action in ACTIONS:
        [(owner, binding)] = {(one, binding) for one, binding in there[action.id]}
        assert hasattr(owner, f"action_{action.call.partition('(')[0]}"), action.id
        assert binding.description == action.title
        assert action.title
        assert action.help or action.id == "any.step_back"


def test_nothing_with_help_is_bound_beside_the_registry() -> None:
    loose = [
        (one.__name__, binding.action)
        for one in {owner for owners in bound().values() for owner, _ in owners}
        for binding in vars(one)["BINDINGS"]
        if isinstance(binding, Binding) and binding.tooltip and not binding.id
    ]
    assert loose == []


def test_each_screen_is_entered_with_its_own_keys_and_can_do_something() -> None:
    keys = [key for screen in SCREENS for key in (screen.key, screen.function_key)]
    assert len(keys) == len(set(keys))
    assert {screen.id for screen in SCREENS} < set(Ullage.MODES)
    assert all(list(of(screen.id)) for screen in SCREENS)
    folders = {one.name for one in Path(tui.__path__[0]).iterdir() if (one / "screen.py").exists()}
    assert {screen.id for screen in SCREENS} == folders


@pytest.mark.parametrize(("sheet", "opener"), SHEETS.items())
def test_a_sheet_is_opened_by_the_action_of_its_name(sheet: str, opener: str) -> None:
    assert f"{opener}.{sheet}" in {action.id for action in ACTIONS}
    assert any(action.anywhere for action in of(sheet))


def letters(action: Action) -> str:
    """The key as it is written."""
    first = action.key.partition(",")[0]
    return action.display or KEYS.get(first, first)


def table() -> str:
    """The README's table of keys."""
    heads = {**{screen.id: f"{screen.key} {screen.title}" for screen in SCREENS}, **HEADS}
    lines = ["| on | keys |", "|---|---|"]
    for holder in dict.fromkeys(action.holder for action in ACTIONS):
        if holder in heads:
            keys = ", ".join(f"`{letters(action)}` {action.title}" for action in of(holder))
            lines.append(f"| {heads[holder]} | {keys} |")
    return "\n".join(lines)


def test_the_readme_has_the_keys_of_every_screen() -> None:
    assert table() in README.read_text(encoding="utf-8"), f"put this into README.md, under Keys:\n{table()}"
