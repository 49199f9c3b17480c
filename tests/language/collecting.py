"""The messages of the program, collected from its code, its rules and its tables, as a catalogue of Babel."""

import ast
import csv
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from babel.messages.catalog import Catalog

from stock.store import words

HOUSE = Path(__file__).parents[2]
ROOMS = ("stock", "tui", "sample_studio")
TABLES = {
    "hazard_statements.csv": ("text",),
    "precautionary_statements.csv": ("text",),
    "voc_categories.csv": ("name",),
    "cautions/figures/group_matrix.csv": ("effect",),
    "cautions/figures/rule_figures.csv": ("words",),
}
"""The columns of each table of `stock` that a person reads."""


def catalogue() -> Catalog:
    """Every message with the places that it stands at."""
    made = Catalog(project="Ullage", charset="utf-8", fuzzy=False)
    for message, place in (*_of_code(), *_of_counts(), *_of_rules(), *_of_tables(), *_of_words()):
        made.add(message, locations=[place])
    return made


def _of_code() -> Iterator[tuple[Any, tuple[str, int]]]:
    """The constants that `_`, `N_` and `ngettext` are given, also inside f-strings, where Babel itself sees none."""
    for room in ROOMS:
        for path in sorted((HOUSE / room).rglob("*.py")):
            place = str(path.relative_to(HOUSE))
            for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
                match node:
                    case ast.Call(ast.Name("_" | "N_"), [ast.Constant(str(message))]):
                        yield message, (place, node.lineno)
                    case ast.Call(
                        ast.Name("ngettext"), [ast.Constant(str(one)), ast.Constant(str(many)), *_]
                    ):
                        yield (one, many), (place, node.lineno)


def _of_counts() -> Iterator[tuple[tuple[str, str], tuple[str, int]]]:
    """What `tui.drawing.figures.count` counts."""
    for path in sorted((HOUSE / "tui").rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            match node:
                case ast.Call(ast.Name("count"), [_, ast.Constant(str(one))]):
                    forms = f"{{number:,}} {one}", f"{{number:,}} {one}s"
                case ast.Call(ast.Name("count"), [_, ast.Constant(str(one)), ast.Constant(str(many))]):
                    forms = f"{{number:,}} {one}", f"{{number:,}} {many}"
                case _:
                    continue
            yield forms, (str(path.relative_to(HOUSE)), node.lineno)


def _of_rules() -> Iterator[tuple[str, tuple[str, int]]]:
    for path in sorted((HOUSE / "stock/cautions/rules").glob("*.toml")):
        for rule in tomllib.loads(path.read_text(encoding="utf-8"))["rule"]:
            remedy = rule["remedy"]
            parts = (
                [remedy] if isinstance(remedy, str) else [part for part in remedy if isinstance(part, str)]
            )
            for text in (rule["message"], *parts, *(limit["what"] for limit in rule.get("limits", ()))):
                yield text, (str(path.relative_to(HOUSE)), 1)


def _of_tables() -> Iterator[tuple[str, tuple[str, int]]]:
    for name, columns in TABLES.items():
        with (HOUSE / "stock" / name).open(encoding="utf-8", newline="") as file:
            for row in csv.DictReader(file):
                for column in columns:
                    yield row[column], (f"stock/{name}", 1)


def _of_words() -> Iterator[tuple[str, tuple[str, int]]]:
    """The words that the books hold and a screen shows."""
    for name, value in vars(words).items():
        if name.isupper() and isinstance(value, tuple):
            for word in value:
                yield word, ("stock/store/words.py", 1)
