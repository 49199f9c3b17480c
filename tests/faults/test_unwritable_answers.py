"""An answer that can't be written: what was booked is said to be booked, and no command ends in a traceback.

Each command runs in a process of its own, forked from this one; a few run as whole new processes as well.
"""

import json
import os
import shlex
import sqlite3
import subprocess
import sys
from pathlib import Path

import pytest

import stock.exchange.backup
import stock.exchange.folder
import stock.exchange.incoming
import stock.exchange.labels
import stock.forecast.books
import stock.logbook.emissions
import stock.logbook.tables
import stock.logbook.today  # noqa: F401 - loaded once, for all the processes that are forked
from stock.cli import main as command_line
from stock.store import snapshots
from stock.store.models import database
from tests.cli.parsers import commands
from tests.faults.every_command import DOES, READS
from tests.faults.fuzzing import run
from tui.__main__ import main as ullage

pytestmark = pytest.mark.only("sqlite")
RUN = command_line.run
"""Runs a command without a look at its answer's shape, of which nothing would come back from a process of its own."""
OUTPUTS = ("full", "closed", "left", "mute")
NOT_TRIED = {("serve",), ("demo",), ("caution-rule", "tighten"), ("scale",)}
"""Serves until it is ended; tells the sample studio's long story, tried once; booked as `silence` is."""


def ended(line: str, out: str) -> tuple[int, str, str]:
    """The exit status of a command in a process of its own, and what it wrote on both outputs.

    Args:
        out: what its outputs are: `full`, `closed`, `left` (a pipe that nobody reads), or `mute` (stderr closed).
    """
    err = Path("err").absolute()
    err.unlink(missing_ok=True)
    child = os.fork()
    if child:
        status = os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
        return status, Path("answer").read_text(), err.read_text() if err.exists() else ""
    try:
        status = 120
        command_line.run = RUN
        _redirect(out, err)
        try:
            status = ullage(shlex.split(line))
        except SystemExit as end:
            status = int(end.code or 0)
        for stream in (sys.stdout, sys.stderr):  # as the interpreter does in the end
            stream.flush()
    except BaseException:
        status = 121
        raise
    finally:
        os._exit(status)


def _redirect(out: str, err: Path) -> None:
    read, write = os.pipe()
    os.close(read)
    answer = os.open("answer", os.O_WRONLY | os.O_CREAT | os.O_TRUNC)
    to = {"full": os.open("/dev/full", os.O_WRONLY), "left": write, "mute": answer, "closed": answer}[out]
    os.dup2(to, 1)
    os.dup2(os.open(err, os.O_WRONLY | os.O_CREAT), 2)
    sys.stdout, sys.stderr = os.fdopen(1, "w", closefd=False), os.fdopen(2, "w", closefd=False)
    if out == "closed":
        os.close(1)
        sys.stdout = None
    if out == "mute":
        os.close(2)
        sys.stderr = None


@pytest.fixture
def place(tmp_path, monkeypatch, engine):
    """A folder to work in, and its studio."""
    if database.obj is not None and not database.is_closed():
        database.close()
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("ULLAGE_STUDIO", str(tmp_path / "studio.ullage"))
    monkeypatch.delenv("ULLAGE_DEBUG", raising=False)
    (tmp_path / "stock.csv").write_text("Paint,Size,Left\nBlue,60 ml,41.5 ml\n")
    return tmp_path


def held():
    """What is in the books, as `check` counts it."""
    ran = run(["check", "--json"])
    assert ran.status == 0, ran
    return json.loads(ran.out)


def test_each_command_is_tried():
    named = {tuple(line.split()[: len(words)]) for words, _ in commands() for line in [*DOES, *READS]}
    assert {words for words, _ in commands()} - named == NOT_TRIED


@pytest.mark.sampled(1)
@pytest.mark.parametrize("out", OUTPUTS)
def test_what_is_booked_is_said_to_be_booked(place, out):
    for line in DOES:
        assert run(shlex.split(line)).status == 0, line
    as_usual = held()
    (home := place / out).mkdir()
    (home / "stock.csv").write_bytes((place / "stock.csv").read_bytes())
    os.chdir(home)
    os.environ["ULLAGE_STUDIO"] = str(home / "studio.ullage")
    for line in DOES:
        status, answer, err = ended(line, out)
        assert status == 0, (out, line, err)
        assert "Traceback" not in err
        if out == "mute":
            assert (bool(answer), err) == (True, ""), line
            continue
        said = err.splitlines()[0]
        assert ("it is booked, but" in said) != ("it is done, but" in said), (line, err)
        assert answer == ""
    for line in READS:
        status, answer, err = ended(line, out)
        assert "Traceback" not in err
        if out in ("full", "closed"):
            assert (status, err.count("\n")) == (2, 1), (line, err)
            assert "the answer can't be written (" in err
        else:
            assert status == 0, (line, err)
            assert [one for one in err.splitlines() if "answer" in one] == []
    assert held() == as_usual


@pytest.mark.deep  # it tells the sample studio's whole story
def test_the_sample_studio_is_kept_all_the_same(place):
    status, _, err = ended("demo --keep demo.ullage", "full")
    assert (status, (place / "demo.ullage").exists()) == (0, True)
    assert "it is done, but" in err


def test_refusals_with_nowhere_to_go_keep_their_status(place):
    for out in OUTPUTS:
        status, answer, err = ended("shelf", out)
        assert (status, answer) == (3, ""), err
        assert ended("nonsense", out)[0] == 2
        for line in ("--help", "shelf --help", "product add --help"):
            status, answer, err = ended(line, out)
            assert "Traceback" not in err
            assert status == (2 if out in ("full", "closed") else 0)


@pytest.mark.parametrize(
    ("redirected", "status"),
    [(">/dev/full", 0), (">&-", 0), (">&- 2>&-", 0), (">&4", 0), ("<&- >&- 2>&-", 0)],
)
def test_the_same_by_the_shell(place, redirected, status):
    assert run(["new", "--name", "Shell"]).status == 0
    line = f"{shlex.quote(sys.executable)} -m tui product add Blue --role paint --json {redirected}"
    # the fourth is a pipe whose reader has left for sure
    script = f"exec 3>status 4> >(true); wait $!; {line}; echo $? ${{PIPESTATUS[0]}} >&3"
    done = subprocess.run(["bash", "-c", script], capture_output=True, text=True, env={**os.environ})
    assert (place / "status").read_text().split()[-1] == str(status)
    if "2>" not in redirected:
        error = json.loads(done.stderr)["error"]
        assert error["code"] == "answer-lost"
        assert error["message"].startswith("it is booked, but the answer can't be written (")
    assert held()["ok"]


def test_a_days_backup_without_room_does_not_deny_the_booking(place, monkeypatch, capsys):
    def full(*_):
        raise sqlite3.OperationalError("database or disk is full")

    assert ullage(["new"]) == 0
    assert ullage(["product", "add", "Blue", "--role", "paint"]) == 0
    for kept in Path("studio.ullage.backups").iterdir():
        kept.unlink()
    capsys.readouterr()
    monkeypatch.setattr(snapshots, "take", full)
    assert ullage(["receive", "Blue", "60ml"]) == 0
    out, err = capsys.readouterr()
    assert "1 bottle of 60 ml" in out
    assert "What was asked is booked: Blue: 1 bottle of 60 ml" in err
    assert "the disk is full" in err
    assert "nothing was booked" not in err
    assert "again" not in err.replace("tries again", "")


def test_what_fails_behind_a_booking_does_not_deny_it(place, monkeypatch, capsys):
    from stock.cli import shelf

    assert ullage(["new"]) == 0
    assert ullage(["product", "add", "Blue", "--role", "paint"]) == 0
    fails_with = (
        (ValueError("of ours"), "itself"),
        (OSError(5, "Input/output error"), "the disk failed"),
        (KeyboardInterrupt(), "stopped"),
    )
    for error, word in fails_with:

        def fails(*_, error=error):
            raise error

        monkeypatch.setattr(shelf, "Result", fails)
        capsys.readouterr()
        assert ullage(["receive", "Blue", "60ml"]) in (1, 130)
        err = capsys.readouterr().err
        assert word in err
        assert "something was booked before that" in err
        assert "nothing was booked" not in err
