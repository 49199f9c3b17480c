"""The README's examples, and every line that a text tells a person to type, run as they stand."""

import re
import shlex
import shutil
from collections.abc import Callable
from functools import cache
from pathlib import Path

import pytest

from tests.installed.command import Ullage
from tests.installed.environments import TOP
from tests.installed.lines import Help, Line, collected, filled, in_text, texts, untold

CONSOLE = re.compile(r"^```console\n(.*?)^```$", re.MULTILINE | re.DOTALL)
USAGE = re.compile(r"See `ullage[^`]*--help`|in Ullage itself")
pytestmark = pytest.mark.only("sqlite")
Person = Callable[..., Ullage]


def examples() -> list[tuple[str, str]]:
    """Each command of the README's examples, with what it is said to print."""
    found = []
    for block in CONSOLE.findall((TOP / "README.md").read_text(encoding="utf-8")):
        for part in block.split("$ ")[1:]:
            command, _, printed = part.partition("\n")
            found.append((command, printed))
    return found


def test_examples_of_the_readme_print_what_they_say(person: Person, engine: str) -> None:
    one = person("nothing")
    one = one.at(str(one.folder / "studio.ullage"))
    assert len(examples()) > 5
    for command, printed in examples():
        name, *words = shlex.split(command)
        assert name == "ullage", command
        said = one.says(*words)
        assert said.startswith(printed), command  # an example shows how the answer begins


def test_every_line_that_is_told_can_be_typed(person: Person, engine: str, tmp_path: Path) -> None:
    """On copies of the sample studio, with everything installed: it is understood, and does or refuses what it says."""
    one = person("everything")
    told = one.folder / "told.ullage"
    said = one.says("demo", "--keep", str(told))
    for words in ("cautions", "today", "forecast"):
        said += one.at(str(told)).says(words)

    @cache
    def help_of(*words: str) -> Help:
        return Help.read(one.says(*words, "--help"))

    lines = [*collected(), *(Line(words, "what is shown") for words in in_text(said))]
    assert len(lines) > 50
    tried: dict[tuple[str, ...], str] = {}
    wrong = []
    for line in lines:
        try:
            words = tuple(filled(line, help_of))
        except AssertionError as error:
            wrong.append(str(error))
            continue
        if words in tried or not words or words[0] == "serve":
            continue  # both of these stay until they are ended; test_extras.py and the journeys try them
        copy = tmp_path / "copy.ullage"
        shutil.copy(told, copy)
        done = one.at(str(copy)).run(*words)
        tried[words] = done.stderr
        if done.returncode not in (0, 1, 2) or USAGE.search(done.stderr):
            wrong.append(f"{line}: {shlex.join(words)}: {done.stderr}")
    names = Help.read(one.says("--help")).verbs
    bare = [
        (where, found) for text, where in texts() for found in untold(text, names) if where != "README.md"
    ]
    assert not bare, "a line stands in backticks"
    assert not wrong, "\n".join(wrong)
    assert len(tried) > 30
