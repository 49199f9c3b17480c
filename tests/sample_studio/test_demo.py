"""`ullage demo` as a process without a terminal; tests/installed holds what it says against the shelf."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from stock.cli.main import parser_for
from stock.errors import BadInput


def ullage(*words, folder):
    environment = {**os.environ, "XDG_DATA_HOME": str(folder), "TMPDIR": str(folder)}
    return subprocess.run(
        [sys.executable, "-m", "tui", *words], capture_output=True, text=True, env=environment, check=False,
        stdin=subprocess.DEVNULL, timeout=600,
    )  # fmt: skip


@pytest.mark.deep  # it tells the whole story once more
def test_without_keep_it_tells_a_person_and_leaves_nothing(tmp_path):
    run = ullage("demo", folder=tmp_path)
    assert run.returncode == 0, run.stderr
    assert "Harbour Blue: 8 ml deducted" in run.stdout
    assert "To reorder" in run.stdout
    assert "To watch" in run.stdout
    assert run.stderr == ""
    assert not list(tmp_path.iterdir())


def test_it_never_writes_over_what_is_there(tmp_path):
    kept = tmp_path / "kept.ullage"
    kept.write_text("mine")
    run = ullage("demo", "--keep", str(kept), folder=tmp_path)
    assert run.returncode == 2
    assert "exists" in run.stderr
    assert kept.read_text() == "mine"


@pytest.mark.parametrize(
    "words", [["here"], ["--keep"], ["--keep="], ["--keep", "a", "b"], ["--keep=a", "b"]]
)
def test_other_words_are_refused(words):
    with pytest.raises(BadInput):
        parser_for("demo").parse_args(["demo", *words])


def test_keep_names_the_place():
    assert parser_for("demo").parse_args(["demo"]).keep is None
    assert parser_for("demo").parse_args(["demo", "--keep", "a.ullage"]).keep == Path("a.ullage")
    assert parser_for("demo").parse_args(["demo", "--keep=b.ullage"]).keep == Path("b.ullage")
