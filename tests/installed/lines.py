"""Every `ullage …` line that a person is told to type, collected from the sources, and filled in so that it can be run.

A line is what stands in backticks. What a person must put in themselves is written in capitals (`ullage restore
PATH`), what the program puts in stands in braces in the source; both are filled by the argument that they stand
for, as the command's own help names it.
"""

import ast
import re
import shlex
import tomllib
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from typing import Any

from tests.installed.environments import SOURCES, TOP

IN_BACKTICKS = re.compile(r"`ullage(?: ([\w-][^`]*))?`")
FILLED_IN = "\N{WHITE SQUARE}"
TO_FILL = re.compile(rf"{FILLED_IN}|\b[A-Z]{{2,}}\b")
SAMPLES = {
    "product": "Harbour Blue", "bottle": "1", "place": "Cabinet", "mix": "1", "order": "1", "kind": "mix", "id": "1",
    "path": "nowhere.ullage", "folder": "out", "url": "copy.ullage", "file": "out.svg", "title": "Harbour sheet",
    "cup": "iso2431-4", "seconds": "42", "percent": "5%", "volume": "10ml", "code": "age-unknown", "size": "60ml",
    "product change name": "Harbour Blue", "product show name": "Harbour Blue", "place change name": "Cabinet",
    "job change name": "Gate", "name": "Fen Green", "--usual-reducer": "Eddy Reducer",
    "--solvent": "propan-2-ol=20%", "--water": "55", "--role": "paint", "--keep": "kept.ullage",
    "--density": "1.05", "--solids": "30", "--best-before": "2030-01-01", "--revised": "2026-01-10", "--title": "Sheet",
    "--on": "2026-01-10", "--dates": "iso", "--decimal-mark": "point", "--paper": "a4",
    "product weigh name": "Harbour Blue", "--target-for": "Harbour Blue", "--weight": "10g",
    "setting": "theme", "value": "daylight", "command": "mix", "--opened": "2026-01-05", "--reason": "late",
    "--line": "Quay",
    "file|folder": "out", "--product": "Harbour Blue", "--take": "density",
    "--page": "page.html", "--csv": "page.csv", "--label": "blue-7",
}  # fmt: skip
"""What an argument can be, by its name in the help, or by the command and that name where it differs."""


@dataclass(frozen=True, order=True)
class Line:
    """A line as it stands in a text, and where."""

    words: str
    where: str


def texts() -> Iterator[tuple[str, str]]:
    """Every text for a person, and the file that it stands in; a docstring is for whoever reads the code."""
    yield (TOP / "README.md").read_text(encoding="utf-8"), "README.md"
    for path in (path for name in SOURCES for path in sorted((TOP / name).rglob("*"))):
        reader = READERS.get(path.suffix)
        if reader is not None:
            for text in reader(path.read_text(encoding="utf-8")):
                yield text, str(path.relative_to(TOP))


def collected() -> list[Line]:
    """Every line of the texts."""
    return sorted({Line(words, where) for text, where in texts() for words in in_text(text)})


def in_text(text: str) -> list[str]:
    """The lines in backticks, without the `ullage` in front."""
    return [found[1] or "" for found in IN_BACKTICKS.finditer(text)]


def untold(text: str, commands: Iterable[str]) -> list[str]:
    """Lines that stand in a text without backticks, and so would not be tried; a usage is no line."""
    rest = re.sub(r"`[^`]*`|usage: .*", "", text)
    return re.findall(rf"\bullage (?:{'|'.join(commands)})\b.*", rest)


def of_python(source: str) -> Iterator[str]:
    """The texts of a module, less its docstrings; what is filled in is marked. A command as data is a line, too."""
    tree = ast.parse(source)
    passed: set[ast.AST] = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "Do":
            words = [each.value if isinstance(each, ast.Constant) else FILLED_IN for each in node.args]
            yield as_line(words[0], words[1:])
        elif isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant):
            passed.add(node.value)  # a docstring
        elif (
            isinstance(node, ast.Call)
            and isinstance(node.func, ast.Name)
            and node.func.id == "_"
            and node.keywords
        ):
            passed.update(node.args)
            yield re.sub(r"\{[^{}]*\}", FILLED_IN, str(ast.literal_eval(node.args[0])))
        elif isinstance(node, ast.JoinedStr):
            passed.update(node.values)
            yield "".join(part.value if isinstance(part, ast.Constant) else FILLED_IN for part in node.values)
        elif isinstance(node, ast.Constant) and isinstance(node.value, str) and node not in passed:
            yield node.value


def of_toml(source: str) -> Iterator[str]:
    """The texts of a file of rules; what is filled in is marked."""
    waiting: list[Any] = [tomllib.loads(source)]
    while waiting:
        here = waiting.pop()
        if isinstance(here, str):
            yield re.sub(r"\{\w+\}", FILLED_IN, here)
        elif isinstance(here, dict) and "do" in here:
            yield as_line(here["do"], [re.sub(r"\{\w+\}", FILLED_IN, word) for word in here.get("with", [])])
        elif isinstance(here, (dict, list)):
            waiting += here.values() if isinstance(here, dict) else here


def as_line(action: str, words: Iterable[str]) -> str:
    """A command and its words as a text for a person has them."""
    return f"`ullage {' '.join((action, *map(shlex.quote, words)))}`"


READERS: dict[str, Callable[[str], Iterator[str]]] = {
    ".py": of_python,
    ".toml": of_toml,
    ".js": lambda source: iter([source]),
    ".html": lambda source: iter([source]),
}


@dataclass(frozen=True)
class Help:
    """What a command's help says that it takes: its words in order, and its options with whether each has a value."""

    words: tuple[str, ...]
    options: dict[str, bool]
    verbs: tuple[str, ...]

    @classmethod
    def read(cls, text: str) -> "Help":
        """Taken apart by how argparse sets it out."""
        parts = re.split(r"^([a-z ]+):$", text, flags=re.MULTILINE)
        sections = dict(zip(parts[1::2], parts[2::2], strict=True))
        usage = " ".join(parts[0].split())
        repeated = {*re.findall(r"\[(\S+) \.\.\.\]", usage), *re.findall(r"(\S+) \[\S+ \.\.\.\]", usage)}
        words, verbs = [], []
        for line in sections.pop("positional arguments", "").splitlines():
            if found := re.match(r"  (\S+)", line):
                words += [found[1].partition("=")[0]] * (9 if found[1] in repeated else 1)
            elif found := re.match(r"    (\w[\w-]*)", line):
                verbs.append(found[1])
        options = {
            name: bool(value)
            for line in "\n".join(sections.values()).splitlines()
            for name, value in re.findall(r"(?<![\w-])(--[a-z][a-z-]*)(?: ([A-Z{]\S*|\d\S*))?", line[:40])
            if line.startswith("  -")
        }
        return cls(tuple(words), options, tuple(verbs))


def filled(line: Line, help_of: Callable[..., Help]) -> list[str]:
    """The line's words with something that it can be in every place that is to be filled.

    Args:
        line: as it stands in a text.
        help_of: the help of a command, and of one of its verbs.
    """
    words = shlex.split(line.words)
    if not words or words[0].startswith("-") or words[0] in ("serve", "demo"):
        return words
    name = words[:1]
    command_help = help_of(*name)
    if command_help.verbs:
        name = words[:2]
        assert name[1:] and name[1] in command_help.verbs, f"{line}: {name[0]} has no such verb"
        command_help = help_of(*name)
    command, rest, ready = " ".join(name), words[len(name) :], list(name)
    places = iter(command_help.words)
    while rest:
        word = rest.pop(0)
        option, sign, value = word.partition("=")
        if option.startswith("--"):
            assert option in command_help.options or option in ("--json", "--as-of", "--studio"), (
                f"{line}: {option}"
            )
            if not sign and command_help.options.get(option):
                assert rest, f"{line}: {option} has no value"
                value = rest.pop(0)
            ready += [option, sample(value, command, option, line)] if value else [option]
            continue
        place = next(places, None)
        if place is None and word == FILLED_IN:
            continue  # options that the program puts in; they are seen where the line is shown
        assert place is not None, f"{line}: {word} is one word too many"
        ready.append(sample(word, command, place.lower(), line))
    return ready


def sample(word: str, command: str, place: str, line: Line) -> str:
    """The word itself where it is whole; else something that can stand there."""
    if not TO_FILL.search(word):
        return word
    found = SAMPLES.get(f"{command} {place}", SAMPLES.get(place))
    assert found is not None, f"{line}: say in SAMPLES what `{place}` of `{command}` can be"
    return found
