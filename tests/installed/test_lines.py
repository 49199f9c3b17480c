"""The README's examples, and every line that a text tells a person to type, run as they stand."""

import json
import re
import shlex
import shutil
import subprocess
from collections.abc import Callable, Sequence
from pathlib import Path

import pytest

from tests.installed.command import PATIENCE_S, Ullage
from tests.installed.environments import TOP
from tests.installed.lines import Help, Line, collected, filled, in_text, texts, untold
from tests.sampling import some

CONSOLE = re.compile(r"^```console\n(.*?)^```$", re.MULTILINE | re.DOTALL)
SHEET = re.compile(r"^```csv\n(.*?)^```$", re.MULTILINE | re.DOTALL)
USAGE = re.compile(r"See `ullage[^`]*--help`|in Ullage itself")
pytestmark = pytest.mark.only("sqlite")
README = (TOP / "README.md").read_text(encoding="utf-8")
Person = Callable[..., Ullage]


def examples() -> list[tuple[str, str]]:
    """Each command of the README's examples, with what it is said to print."""
    found = []
    for block in CONSOLE.findall(README):
        for part in block.split("$ ")[1:]:
            command, _, printed = part.partition("\n")
            found.append((command, printed))
    return found


def test_examples_of_the_readme_print_what_they_say(person: Person, engine: str) -> None:
    one = person("nothing")
    (one.folder / "shelf.csv").write_text(SHEET.findall(README)[0], encoding="utf-8")
    assert len(examples()) > 5
    for at, (command, printed) in enumerate(examples()):
        name, *words = shlex.split(command)
        assert name == "ullage", command
        if words[0] == "new":  # each section begins with books of its own
            one = one.at(str(one.folder / f"studio-{at}.ullage"))
        said = one.says(*words)
        assert said.startswith(printed), command  # an example shows how the answer begins


TYPED, AS_PROCESSES = 50, 4
"""So many lines are typed in an ordinary run, and of these as whole processes; the others after another in one."""
IN_ONE_PROCESS = """
import contextlib, io, json, os, shutil, sys
from tui.__main__ import main
answers = []
for words in json.load(sys.stdin):
    shutil.copy(os.environ["TOLD"], os.environ["ULLAGE_STUDIO"])
    out, err = io.StringIO(), io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        try:
            status = main(words)
        except SystemExit as end:
            status = end.code or 0
    answers.append((status, out.getvalue(), err.getvalue()))
json.dump(answers, sys.stdout)
"""


def in_one_process(one: Ullage, books: Path, lines: Sequence[Sequence[str]]) -> list[tuple[int, str, str]]:
    """Status, output and error of each line, typed at the installed command's own function on a copy of the books."""
    done = subprocess.run(
        [one.command.with_name("python"), "-I", "-c", IN_ONE_PROCESS], cwd=one.folder, input=json.dumps(lines),
        env=one.environment | {"TOLD": str(books)}, capture_output=True, encoding="utf-8", timeout=PATIENCE_S,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    return [tuple(each) for each in json.loads(done.stdout)]


def helps(one: Ullage, books: Path) -> dict[tuple[str, ...], Help]:
    """The help of the command, of each of its commands and of each of their verbs, by their words."""
    read: dict[tuple[str, ...], Help] = {(): Help.read(one.says("--help"))}
    waiting = [(name,) for name in read[()].verbs]
    while waiting:
        outputs = in_one_process(one, books, [[*words, "--help"] for words in waiting])
        read |= {words: Help.read(out) for words, (_, out, _) in zip(waiting, outputs, strict=True)}
        waiting = [(*words, verb) for words in waiting for verb in read[words].verbs]
    return read


def test_what_the_demo_says_it_deducted_is_what_the_shelf_says(
    person: Person, demo_books: tuple[Path, str], engine: str
) -> None:
    books, answer = demo_books
    one, said = person("everything").at(str(books)), json.loads(answer)
    after, before = one.tells("shelf"), one.tells("shelf", "--as-of", "yesterday")
    assert after["as_of"] == one.tells("today")["as_of"]
    held, holds = (
        {bottle["id"]: bottle["on_hand_ml"] for row in shelf["products"] for bottle in row["bottles"]}
        for shelf in (before, after)
    )
    changed = {bottle: held[bottle] - holds[bottle] for bottle in holds if holds[bottle] != held[bottle]}
    assert changed == pytest.approx({pour["bottle"]: pour["volume_ml"] for pour in said["deducted"]})
    for pour in said["deducted"]:
        assert held[pour["bottle"]] == pour["before_ml"]
        assert holds[pour["bottle"]] == pour["on_hand_ml"]
    assert said["reorder"]
    assert said["watch"]


@pytest.mark.deepens
def test_every_line_that_is_told_can_be_typed(
    person: Person, demo_books: tuple[Path, str], tmp_path: Path, request: pytest.FixtureRequest, engine: str
) -> None:
    """On copies of the sample studio, with everything installed: it is understood, and does or refuses what it says.

    An ordinary run reads every line, and types some of them.
    """
    one = person("everything")
    books, _ = demo_books
    said = "".join(one.at(str(books)).says(words) for words in ("cautions", "today", "forecast"))
    shown = helps(one, books)
    lines = [*collected(), *(Line(words, "what is shown") for words in in_text(said))]
    assert len(lines) > 50
    wrong, ready = [], dict[tuple[str, ...], Line]()
    for line in lines:
        try:
            words = tuple(filled(line, lambda *names: shown[names]))
        except AssertionError as error:
            wrong.append(str(error))
            continue
        if words and words[0] not in ("serve", "demo"):
            ready.setdefault(
                words, line
            )  # a served studio stays until it is ended, and test_extras.py tries it
    tried = some(request.config, ready, TYPED)
    alone = some(request.config, tried, AS_PROCESSES)
    together = [words for words in tried if words not in alone]
    copy = one.at(str(tmp_path / "copy.ullage"))
    typed = dict(zip(together, in_one_process(copy, books, together), strict=True))
    for words in alone:
        shutil.copy(books, copy.studio)
        done = copy.run(*words)
        typed[words] = done.returncode, done.stdout, done.stderr
    for words, (status, _, err) in typed.items():
        if status not in (0, 1, 2) or USAGE.search(err) or "Traceback" in err:
            wrong.append(f"{ready[words]}: {shlex.join(words)}: {err}")
    bare = [
        (where, found)
        for text, where in texts()
        for found in untold(text, shown[()].verbs)
        if where != "README.md"
    ]
    assert not bare, "a line stands in backticks"
    assert not wrong, "\n".join(wrong)
    assert len(typed) > 30
