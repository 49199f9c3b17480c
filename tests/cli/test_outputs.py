"""Every option that names what is written, found from the parsers, tried on everything that may not be overwritten."""

import json
import os
import re
import shutil
import socket
import sqlite3
import stat
from contextlib import closing
from datetime import date
from pathlib import Path

import pytest

from stock.cli import files
from stock.cli.main import main
from stock.shelf import jobs
from tests.cli.parsers import options
from tests.sampling import some
from tui.__main__ import main as ullage

pytestmark = pytest.mark.only("sqlite")
SPEAKS_OF_FILES = re.compile(r"\b(file|folder|path|page)s?\b", re.IGNORECASE)
NOT_A_PATH = {
    ("labels", "--page"),
    ("import", "--role"),
    ("serve", "--password-file"),
    ("read", "files"),
    ("fill", "file"),
    ("change", "--decimal-mark"),
}
"""The size of a sheet of paper; what the products of a file are; the mark that files keep whatever is chosen; files
that are only read, each by its command."""
NEEDS = {("trace",): ("--bottle", "B0001"), ("job", "sheet"): ("Gate",)}
SELDOM = {(("import",), "--bad-to")}
"""What is written only where rows are bad; told in tests/exchange."""
ANY = {("copy", "url"), ("demo", "--keep"), ("backup", "path"), ("export", "folder")}
"""What makes books or a folder: nothing is ever replaced, so there is no --force."""


def name_of(action):
    return action.option_strings[0] if action.option_strings else action.dest


def outputs():
    """The words of a command, and the option or argument behind which an output's path stands."""
    return [
        (words, name_of(action))
        for words, _, action in options()
        if action.type in (files.target, files.address) and (words, name_of(action)) not in SELDOM
    ]


def line(words, option, path, force=()):
    more = (*force, *NEEDS.get(words, ()))
    return [*words, *more, *([f"{option}={path}"] if option.startswith("-") else ["--", str(path)])]


@pytest.fixture(autouse=True)
def gate(request):
    """A job whose sheet can be written."""
    if "stocked" in request.fixturenames:
        request.getfixturevalue("stocked")
        jobs.add("Gate", date(2026, 1, 5))


@pytest.fixture
def captured(capfdbinary):
    """What was written since the last look, in bytes."""
    return capfdbinary


@pytest.fixture
def refused(stocked, captured):
    def go(words):
        status = ullage(["--studio", stocked, "--json", *words])
        out, err = captured.readouterr()
        assert not out
        assert status == 2, (words, err)
        return json.loads(err)["error"]

    return go


@pytest.fixture
def forbidden(stocked, tmp_path, captured):
    """What no output may touch, even with --force: path by path."""
    home = tmp_path / "around"
    home.mkdir()
    assert main(["backup", "--studio", stocked]) == 0
    captured.readouterr()
    kept = next(Path(f"{stocked}.backups").iterdir())
    (home / "link").symlink_to(stocked)
    (home / "device").symlink_to("/dev/null")
    os.link(stocked, home / "hard")
    shutil.copy(kept, home / "moved")
    os.mkfifo(home / "pipe")
    with socket.socket(socket.AF_UNIX) as listening:
        here = os.getcwd()
        os.chdir(home)
        listening.bind("socket")
        os.chdir(here)
        yield [
            stocked, f"{stocked}-wal", f"{stocked}-shm", f"{stocked}-journal", kept, home / "link", home / "device",
            home / "hard", home / "moved", home / "pipe", home / "socket", "/dev/null", "/dev/stdout",
            os.path.relpath(stocked),
        ]  # fmt: skip


def contents(folder):
    """What stands in a folder: of the books what is in them, for their log is now and then moved into their file."""
    found = {}
    for path in folder.rglob("*"):
        state = path.lstat()
        if not path.name.endswith(("-shm", "-wal")):
            plain = stat.S_ISREG(state.st_mode) and state.st_nlink == 1 and path.name != "studio.ullage"
            found[path] = (state.st_mode, state.st_ino, path.read_bytes() if plain else b"")
    with closing(sqlite3.connect(folder / "studio.ullage")) as books:
        return found | {"books": list(books.iterdump())}


def test_the_walk_finds_each_option_that_speaks_of_a_file():
    typed = (files.source, files.target, files.address)
    spoken = {
        (words, name_of(action))
        for words, _, action in options()
        if action.type not in typed
        and action.dest != "paper"
        and SPEAKS_OF_FILES.search(f"{action.dest} {action.metavar or ''} {action.help or ''}")
    }
    assert {(words[-1], name) for words, name in spoken} - NOT_A_PATH == set()
    assert len(outputs()) >= 11


@pytest.mark.deepens
def test_no_output_touches_books_backups_or_devices(refused, forbidden, tmp_path, request):
    before = contents(tmp_path)
    cases = [
        (words, option, path, more)
        for words, option in outputs()
        for path in forbidden
        for more in ([()] if (words[-1], option) in ANY else [(), ("--force",)])
    ]
    assert len(cases) > 200
    for words, option, path, more in some(request.config, cases, 100):
        error = refused(line(words, option, path, more))
        assert error["code"] == "would-overwrite", (words, option, path, error)
    assert contents(tmp_path) == before


def test_new_books_are_made_over_nothing(forbidden, captured, tmp_path):
    before = contents(tmp_path)
    for path in forbidden:
        if not str(path).endswith(("-shm", "-journal")):  # these belong to the studio that is being made
            assert ullage(["new", "--studio", str(path), "--json"]) == 2
            assert json.loads(captured.readouterr().err)["error"]["code"] == "would-overwrite", path
    assert contents(tmp_path) == before


def test_a_file_of_somebody_elses_goes_only_by_force(refused, stocked, tmp_path, captured):
    for at, (words, option) in enumerate(outputs()):
        mine = tmp_path / f"{at}.txt"
        mine.write_text("mine")
        error = refused(line(words, option, mine))
        assert error["code"] == "would-overwrite", (words, option, error)
        assert mine.read_text() == "mine"
        if (words[-1], option) in ANY:
            assert "--force" not in error["remedy"]
            continue
        assert "--force" in error["remedy"]
        assert main(["--studio", stocked, *line(words, option, mine, ["--force"])]) == 0
        assert f"Written to {mine}".encode() in captured.readouterr().out
        assert mine.read_text() != "mine"
        assert main(["--studio", stocked, *line(words, option, mine)]) == 0, "made by the same errand"
        captured.readouterr()
    assert not list(tmp_path.rglob("*.new"))


def test_an_output_on_standard_output_is_all_that_stands_there(refused, stocked, tmp_path, captured):
    for words, option in outputs():
        error = refused(line(words, option, "-")) if (words[-1], option) != ("backup", "path") else None
        if (words[-1], option) in ANY - {("backup", "path")}:
            assert error["code"] == "bad-input"
            continue
        assert main(["--studio", stocked, *line(words, option, "-")]) == 0
        shown = captured.readouterr().out
        if words == ("backup",):
            assert shown.startswith(b"SQLite format 3\0")
            continue
        assert main(["--studio", stocked, *line(words, option, tmp_path / "there")]) == 0
        written = (tmp_path / "there").read_bytes()
        (tmp_path / "there").unlink()
        captured.readouterr()
        assert shown.splitlines()[0] == written.splitlines()[0]
        assert shown.count(b"\n") == written.count(b"\n")
    assert main(["--studio", stocked, "cost", "--csv", "-", "--page", "-"]) == 2
    assert b"standard output" in captured.readouterr().err


def test_home_is_meant_where_the_shell_does_not_say_so(stocked, tmp_path, monkeypatch):
    monkeypatch.setenv("HOME", str(tmp_path))
    assert main(["--studio", stocked, "cost", "--csv=~/costs.csv"]) == 0
    assert (tmp_path / "costs.csv").exists()
