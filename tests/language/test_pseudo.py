"""In a language that nobody speaks: nothing is left out on the screens, and what programs read stays as it is."""

import csv
import json
import os
import re
import shutil
import sqlite3
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from stock.cautions.rules import STATUSES, shipped
from stock.language import LANGUAGES, SOURCE
from tests import sampling, templates
from tests.language.pseudo import ACCENTED, PLAIN
from tests.language.screens import SHEETS

pytestmark = pytest.mark.only("sqlite")
HOUSE = Path(__file__).parents[2]
WORD = re.compile(r"(?<![^\W\d_])[A-Za-z]{3,}(?![^\W\d_])")
MOST_SHEETS = 10
"""Sheets above the screens that an ordinary run looks at in each language."""
KEY = re.compile(r"(?<=  )\(?\S{1,6} [^\s(]")
ACCENT = re.compile(f"[{ACCENTED}]")
SENTENCES = frozenset((
    "about", "assumed", "bottle", "disagreements", "doubts", "flash_point_c", "h_statements", "level", "message",
    "missing", "name", "needle", "notes", "peroxide", "place", "product", "reason", "remedy", "rule",
    "rules", "source", "through",
    "title", "what", "why",
))  # fmt: skip
"""Keys of JSON whose values are for a person to read, or hold the name of a leftover, which is made of words."""
OFFERED = frozenset(
    ("too", "skinned", "curdled", "unknown", "pdf", "allergy", "stored", "apart", "warn", "stop")
)
"""Words that a form offers to be typed, and parts of rules' codes."""
TYPED = frozenset((
    "address", "all", "and", "ASTM", "backups", "before", "built", "CAS", "CFR", "classify", "clean",
    "collected", "config", "cSt", "daily", "dates", "day", "days", "drops", "dry", "EPA", "fan", "file",
    "Ford", "GHS", "hour", "ISO", "labour", "language", "leftover", "limit", "list", "mark", "measures",
    "min", "none", "noted", "once", "ope", "paper", "per", "percent", "perhaps", "peroxides", "restore",
    "risk", "room", "rule", "scale", "sets", "spill", "spray", "studio", "theme", "time", "tmp", "toml",
    "ullage", "WARN", "waste", "zone",
))  # fmt: skip
"""What stands in plain letters beside names: those of standards, words as they are typed, codes of rules cut short."""
AS_TYPED = re.compile(r"`[^`]*`|/\S+|[a-z]+(?:-[a-z]+)+|\[[^\]]*\]")
"""Commands, paths, codes of rules, and what stands under a source."""
MOMENTS = frozenset(("at", "file", "path"))
"""Keys whose values differ from one run to the next."""


def run(module: str, *words: str, folder: Path, language: str = SOURCE) -> Any:
    """What one of the modules beside this one prints."""
    env = {
        **os.environ, "PYTHONPATH": str(HOUSE), "ULLAGE_LANGUAGE": language, "XDG_CONFIG_HOME": str(folder / "config"),
        "ULLAGE_STUDIO": "studio.ullage", "COLUMNS": "200",
    }  # fmt: skip
    line = [sys.executable, "-m", f"tests.language.{module}", *words]
    done = subprocess.run(line, cwd=folder, env=env, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout)


def named(books: Path) -> set[str]:
    """Every word of the texts that books hold: names stay as they are."""
    with sqlite3.connect(books) as file:
        tables = [name for (name,) in file.execute("SELECT name FROM sqlite_schema WHERE type = 'table'")]
        values = (
            value for table in tables for row in file.execute(f'SELECT * FROM "{table}"') for value in row
        )
        return {
            word for value in values if isinstance(value, str) for word in re.findall("[A-Za-z]{2,}", value)
        }


def cited() -> str:
    """The sources that a screen may name: titles of documents stay as they are."""
    with (HOUSE / "stock/cautions/figures/group_matrix.csv").open(encoding="utf-8", newline="") as file:
        reactions = {row["source"] for row in csv.DictReader(file)}
    rules = (one.source for rule in shipped().values() for one in (rule, *rule.limits))
    return " ".join([*rules, *reactions, *STATUSES.values()])


@pytest.fixture
def sample_books(tmp_path_factory: pytest.TempPathFactory, tmp_path: Path) -> Path:
    return Path(shutil.copy(templates.sample_studio(tmp_path_factory), tmp_path / "sample.ullage"))


def some_sheets(config: pytest.Config) -> dict[str, str]:
    """The sheets above the screens that this run looks at: some each time, all with --deep."""
    every = [(screen, key) for screen, keys in SHEETS.items() for key in keys]
    chosen = sampling.some(config, every, MOST_SHEETS)
    return {name: "".join(key for screen, key in chosen if screen == name) for name in SHEETS}


@pytest.mark.deepens
def test_no_word_of_a_screen_is_left_out(
    sample_books: Path, tmp_path: Path, request: pytest.FixtureRequest
) -> None:
    sheets = some_sheets(request.config)
    screens = run("screens", "pseudo", str(sample_books), "100", "40", json.dumps(sheets), folder=tmp_path)
    assert len(screens) == len(SHEETS) + sum(map(len, sheets.values()))
    known = named(sample_books) | set(re.findall("[A-Za-z]+", cited()))
    left_out = {
        (name, word)
        for name, lines in screens.items()
        for line in lines
        for word in WORD.findall(line)
        if not any(word in one for one in known) and word not in OFFERED  # names are cut where room is short
    }
    assert left_out == set()
    assert all(ACCENT.search(" ".join(lines)) for lines in screens.values())


def plain(answer: Any) -> str:
    """An answer without accents and double vowels: lists are in the order of names, and a leftover's is a message."""
    text = json.dumps(answer, ensure_ascii=False).translate(str.maketrans(ACCENTED, PLAIN))
    return re.sub(r"([aeiou])\1+", r"\1", text)


@pytest.mark.deepens
@pytest.mark.parametrize("code", [code for code in LANGUAGES if code != SOURCE])
def test_each_screen_has_room_for_another_language(
    code: str, sample_books: Path, tmp_path: Path, request: pytest.FixtureRequest
) -> None:
    """At 80 columns: the tabs, the headings and the keys are whole, and the strip names as many keys as in English."""
    screens = {
        each: run(
            "screens", str(sample_books), "80", "24", json.dumps(sheets), folder=tmp_path, language=each
        )
        for each, sheets in ((SOURCE, {}), (code, some_sheets(request.config)))
    }
    for name, lines in screens[code].items():
        assert [len(line) for line in lines] == [80] * 24, name
    for name in SHEETS:
        lines = screens[code][name]
        cut = [
            line for line in (*lines[:2], *(each for each in lines if "▐" in each), lines[-1]) if "…" in line
        ]
        assert cut == [], name
        keys = {each: len(KEY.findall(screens[each][name][-1])) for each in screens}
        assert keys[code] >= keys[SOURCE] - 2, name


def differences(one: Any, other: Any, key: str = "") -> Iterator[str]:
    """The keys whose values differ between two answers."""
    if isinstance(one, dict) and isinstance(other, dict):
        assert one.keys() == other.keys()
        for each in one:
            yield from differences(one[each], other[each], each)
    elif isinstance(one, list) and isinstance(other, list):
        assert len(one) == len(other)
        for here, there in zip(sorted(one, key=plain), sorted(other, key=plain), strict=True):
            yield from differences(here, there, key)
    elif one != other:
        yield key


def test_what_programs_read_and_the_books_keep_is_the_same_in_every_language(tmp_path: Path) -> None:
    heard = {}
    for language in ("english", "pseudo"):
        folder = tmp_path / language
        (folder / "config").mkdir(parents=True)
        (folder / "stock.csv").write_text("Paint,Size,Left\nBlue,60 ml,41.5 ml\n", encoding="utf-8")
        heard[language] = run("commands", language, folder=folder)
    english, other = heard["english"], heard["pseudo"]
    assert english["failed"] == other["failed"] == []
    lines = " ".join(other["texts"])
    substances = (HOUSE / "stock" / "substances.csv").read_text(encoding="utf-8")
    names = (*english["written"], cited(), lines, substances)
    known = {word for text in names for word in re.findall("[A-Za-z]{2,}", text)}
    for line, answer in english["answers"].items():
        assert set(differences(answer, other["answers"][line])) <= SENTENCES | MOMENTS, line
    left_out = {
        (line.split()[0], word)
        for line, text in other["texts"].items()
        for word in WORD.findall(AS_TYPED.sub(" ", text))
        if word not in known and word not in TYPED
    }
    assert left_out == set()
    kept = [
        text for text in other["written"] if ACCENT.search(text) and "Blue" not in text and "blue" not in text
    ]
    assert kept == [], "only the name of a leftover, a product of this studio, is in its language"
