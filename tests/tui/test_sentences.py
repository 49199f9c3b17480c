"""What to do, on a screen: a key in the place of each command that a text of ours names, a field in that of an option.

Every `Do` and `Option` of the code and of the rules is found by a walk over them, so that a new one is tried, too.
"""

import ast
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from stock.cautions.rules import shipped
from stock.errors import BadInput, BooksUnreachable
from stock.remedies import Do, Option, Remedy
from tests.faults.fuzzing import run
from tests.tui.test_actions import bound
from tui.actions import ACTIONS
from tui.drawing.sentences import action_for, by_keys, screen_for, sentence_for
from tui.remedy_fields import FIELDS
from tui.screens import SCREENS

HOUSE = Path(__file__).parents[2]
NO_KEY = {
    "--help": "the list of commands",
    "cautions --explain": "Enter on a finding shows its rule; an unknown code can only be typed as a command",
    "config set": "what holds on a machine for every studio is set on its command line",
    "config forget": "what holds on a machine for every studio is set on its command line",
    "scale --try": "what a scale sends is shown on the command line",
    "help": "`?` explains the screen in front",
    "job queue": "a job's mixes are queued on the command line; the Bench's x takes the next",
    "new": "no screen stands without books",
    "serve": "it shows the screens themselves",
}
NO_FIELD = {
    "json": "a screen shows its answer",
    "line": "on the Records several products are marked and corrected at once",
    "accept": "the Bench asks for the caution's name",
    "force": "a screen asks whether to replace a file",
    "inner-diameter": "noted with a count on the command line",
    "key": "a screen makes it",
    "like": "the Logbook's x takes a mix to the Bench",
    "map": "the sheet of columns has a field for each of ours",
    "recipe": "a recipe is named where a paint would be",
    "answer": "the sheet of a spreadsheet asks its questions itself",
    "product": "a sheet is read for the product in front",
    "other": "the Cautions offer two products that meet as one word",
    "revised": "the proposals have a row for it",
    "scale": "this bench's scale stands among the settings",
    "take": "the proposals are taken by key",
    "take-good": "good rows without the bad are taken on the command line",
    "studio": "it says which books the screens show",
}
TYPED = ("stock/cli/", "stock/remedies.py", "sample_studio/", "tui/__main__.py", "tui/serving/")
"""What only speaks on a command line."""


@cache
def parts_of_code() -> dict[str, list[ast.AST]]:
    """The calls, constants and statements of one expression in each module: a walk takes longer than all the rest."""
    paths = (
        path for room in ("stock", "tui", "sample_studio") for path in sorted((HOUSE / room).rglob("*.py"))
    )
    return {
        str(path.relative_to(HOUSE)): [
            node
            for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
            if isinstance(node, ast.Call | ast.Constant | ast.Expr)
        ]
        for path in paths
    }


def called(name: str) -> Iterator[list[str]]:
    """The arguments of each call of that name, with X for what isn't written out."""
    for nodes in parts_of_code().values():
        for node in nodes:
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == name:
                yield [written(each) for each in node.args]


def written(argument: ast.expr) -> str:
    """A text as it is written, also one that is looked up as a message; X for what is worked out."""
    if isinstance(argument, ast.Call) and getattr(argument.func, "id", "") == "_" and not argument.keywords:
        (argument,) = argument.args
    return str(argument.value) if isinstance(argument, ast.Constant) else "X"


def named(kind: type[Any]) -> list[Any]:
    """All commands, or all options, that a remedy names."""
    written = [kind(*words) for words in called(kind.__name__) if words and words[0] != "X"]
    return written + [
        part for rule in shipped().values() for part in rule.remedy.parts if isinstance(part, kind)
    ]


def test_every_command_that_a_remedy_names_exists_and_has_a_key_or_says_why_not() -> None:
    commands, keys, without = named(Do), bound(), set()
    assert len(commands) > 60
    for action in {do.action for do in commands} - {"--help", "serve"}:
        assert run([*action.split(), "--help"]).status == 0, action
    for do in commands:
        found, shown = action_for(do), screen_for(do)
        if found is None and shown is None:
            reasons = [each for each in NO_KEY if each == do.action or _is(do, each)]
            assert reasons, f"say in NO_KEY why no key does {do}"
            without.update(reasons)
            assert by_keys(Remedy(do)) == f"{do} on the command line"
            continue
        if found is not None:
            [(owner, _)] = set(keys[found.id])
            assert hasattr(owner, f"action_{found.call.partition('(')[0]}")
        text = by_keys(Remedy(do))
        assert "ullage" not in text
        assert any(f"the {screen.title}" in text for screen in SCREENS) or "on any screen" in text
    assert without == set(NO_KEY), "nothing names it any more"
    lent = {each for action in ACTIONS for each in action.commands}
    unused = {each for each in lent if not any(action_for(do) and _is(do, each) for do in commands)}
    assert unused == set(), "no remedy names it"


def _is(do: Do, command: str) -> bool:
    action, _, option = command.partition(" --")
    return do.action == action and (not option or f"--{option}" in do.arguments)


def test_every_option_that_a_remedy_names_exists_and_has_a_field_or_says_why_not() -> None:
    options = {option.name for option in named(Option)}
    assert options == set(FIELDS) | set(NO_FIELD)
    assert not set(FIELDS) & set(NO_FIELD)
    labels = {words[0] for name in ("Field", "NameField") for words in called(name) if words}
    assert set(FIELDS.values()) <= labels
    taken = {
        node.value
        for nodes in parts_of_code().values()
        for node in nodes
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and node.value.startswith("--")
    }
    assert {f"--{name}" for name in options} <= taken


def test_no_command_is_named_in_plain_words() -> None:
    """A screen could not tell a command in a plain text from any other words."""
    plain = [
        f"{where}:{node.lineno}: {node.value}"
        for where, nodes in parts_of_code().items()
        if not where.startswith(TYPED)
        for docstrings in [{id(each.value) for each in nodes if isinstance(each, ast.Expr)}]
        for node in nodes
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in docstrings
        if "`ullage " in node.value and "{" not in node.value
    ]
    assert plain == []


@pytest.mark.parametrize(
    ("parts", "screen", "text"),
    [
        (("Discard it: ", Do("bottle discard", 7)), "", "Discard it: d on the Shelf"),
        (("Discard it: ", Do("bottle discard", 7)), "cautions", "Discard it: d"),
        (("First: ", Do("undo", "plan_use", 3), "; so"), "", "First: u in the Logbook, on plan use 3; so"),
        ((Do("restore", "PATH"),), "", "y, then r, in the Logbook"),
        ((Do("viscosity", "din-4", "SECONDS", "--target-for", "X"),), "", "v on the Bench, on an open mix"),
        ((Do("logbook", "--kind", "mix"), " lists them"), "", "the Logbook lists them"),
        ((Do("studio change", "--waste-collected", "today"),), "", '"," on any screen'),
        (("Label it ", Do("bottle change", "a b", "--label", "O")), "", "Label it k on the Shelf"),
        (("Say it: ", Do("job queue", "a b", "--reduce", "O")), "",
         'Say it: `ullage job queue "a b" --reduce O` on the command line'),
        (("Name one ", Option("with"), ", or none"), "", 'Name one in the field "Reducer", or none'),
        (("Say how much ", Option("reduce", "20%")), "", 'Say how much in the field "Reduction", such as 20%'),
        (("Name another ", Option("studio")), "", "Name another with `--studio` on the command line"),
    ],
)  # fmt: skip
def test_a_remedy_names_the_key_or_the_field(parts: Any, screen: str, text: str) -> None:
    assert by_keys(Remedy(*parts), screen) == text


def test_an_error_names_keys_unless_no_screen_can_stand() -> None:
    remedy = Remedy("Look at ", Do("shelf"))
    assert sentence_for(BadInput("no such bottle", remedy=remedy)) == "No such bottle. Look at the Shelf."
    assert (
        sentence_for(BooksUnreachable("they are gone", remedy=remedy))
        == "They are gone. Look at `ullage shelf`."
    )
    assert str(BadInput("no such bottle", remedy=remedy)) == "no such bottle. Look at `ullage shelf`"
