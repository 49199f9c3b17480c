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
from stock.store import snapshots
from stock.store.models import database
from tests.cli.parsers import commands
from tui.__main__ import main as ullage

pytestmark = pytest.mark.only("sqlite")
DOES = """
new --name Forked
product add Thinner --role reducer --size 120ml --flash-point none
product add Blue --role paint --price 60ml=7.90 --flash-point none --usual-reducer Thinner
product add Cleaner --role cleaner --flash-point none
product change Blue --note deep
studio change --name Renamed
place add Cabinet
place change Cabinet --premises workshop
supplier change Harbour --lead-time 7d
receive Blue 60ml --count 6 --lot L1
receive Thinner 120ml
receive Cleaner 250ml
mix Blue=8ml --reduce 20%
step 4 5%
close 4 --outcome good --left 1ml --keep
wash Cleaner=2ml
bottle open 2
bottle move 3 Cabinet
bottle count 2 41ml
bottle discard 3
bottle decant 1 5ml
bottle freeze 5
sheet add Blue --title TDS --revised 2026-01-02 --dosing 'with=Thinner low=10 high=20 step=5'
sheet correct Blue --title TDS --revised 2026-01-02 --dosing 'with=Thinner low=10 high=25 step=5'
sheet add Blue --title TDS --revised 2026-02-02 --dosing 'with=Thinner low=10 high=30 step=5'
recipe add Sea Blue=1 Thinner=1
order make 'Blue=2x60ml' --supplier Harbour
order receive 14
order make 'Blue=1x60ml' --supplier Harbour
order cancel 16
plan-use Blue 5ml --on 2027-01-02
caution-rule silence age-unknown --reason known
caution-rule restore age-unknown --reason back
caution-rule sets ghs
job add Hull
job change Hull --note red
job close Hull
import stock.csv
undo wash 7
copy copy.ullage
backup kept.ullage
restore kept.ullage --yes
export out
labels labels.svg
""".strip().splitlines()
READS = """
studio show
product list
product show Blue
place list
shelf
reduce 30ml 20%
viscosity ford-4 30
advise Blue
sheet list Blue
sheet compare Blue
recipe list
recipe show Sea
coverage 1m2 --film 50um --solids 40%
forecast
order list
cautions
classify --flash-point 18C
caution-rule list
today
logbook
check
job show Hull
job list
cost
emissions
trace --lot L1
restore
labels -
""".strip().splitlines()
NOT_TRIED = {("serve",), ("demo",), ("caution-rule", "tighten")}
"""Serves until it is ended; tells the sample studio's long story, tried once; booked as `silence` is."""


def ended(line: str, out: str) -> tuple[int, str, str]:
    """The exit status of a command in a process of its own, and what it wrote on both outputs.

    Args:
        out: what its outputs are: `full`, `closed`, `left` (a pipe that nobody reads), or `mute` (stderr closed).
    """
    told = Path("told").absolute()
    told.unlink(missing_ok=True)
    child = os.fork()
    if child:
        status = os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
        return status, Path("answer").read_text(), told.read_text() if told.exists() else ""
    try:
        status = 120
        _redirect(out, told)
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


def _redirect(out: str, told: Path) -> None:
    read, write = os.pipe()
    os.close(read)
    answer = os.open("answer", os.O_WRONLY | os.O_CREAT | os.O_TRUNC)
    to = {"full": os.open("/dev/full", os.O_WRONLY), "left": write, "mute": answer, "closed": answer}[out]
    os.dup2(to, 1)
    os.dup2(os.open(told, os.O_WRONLY | os.O_CREAT), 2)
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
    run = subprocess.run([sys.executable, "-m", "tui", "check", "--json"], capture_output=True, text=True)
    assert run.returncode == 0, run.stderr
    return json.loads(run.stdout)


def test_each_command_is_tried():
    named = {tuple(line.split()[: len(words)]) for words, _ in commands() for line in [*DOES, *READS]}
    assert {words for words, _ in commands()} - named == NOT_TRIED


def test_what_is_booked_is_said_to_be_booked(place):
    found = {}
    for out in ("full", "closed", "left", "mute"):
        home = place / out
        home.mkdir()
        os.chdir(home)
        (home / "stock.csv").write_bytes((place / "stock.csv").read_bytes())
        os.environ["ULLAGE_STUDIO"] = str(home / "studio.ullage")
        for line in DOES:
            status, answer, told = ended(line, out)
            assert status == 0, (out, line, told)
            assert "Traceback" not in told
            if out == "mute":
                assert (bool(answer), told) == (True, ""), line
                continue
            said = told.splitlines()[0]
            assert ("it is booked, but" in said) != ("it is done, but" in said), (line, told)
            assert answer == ""
        for line in READS:
            status, answer, told = ended(line, out)
            assert "Traceback" not in told
            if out in ("full", "closed"):
                assert (status, told.count("\n")) == (2, 1), (line, told)
                assert "the answer can't be written (" in told
            else:
                assert status == 0, (line, told)
                assert [one for one in told.splitlines() if "answer" in one] == []
        found[out] = held()
    assert found["full"] == found["closed"] == found["left"] == found["mute"]


def test_the_sample_studio_is_kept_all_the_same(place):
    status, _, told = ended("demo --keep demo.ullage", "full")
    assert (status, (place / "demo.ullage").exists()) == (0, True)
    assert "it is done, but" in told


def test_refusals_with_nowhere_to_go_keep_their_status(place):
    for out in ("full", "closed", "left", "mute"):
        status, answer, told = ended("shelf", out)
        assert (status, answer) == (3, ""), told
        assert ended("nonsense", out)[0] == 2
        for line in ("--help", "shelf --help", "product add --help"):
            status, answer, told = ended(line, out)
            assert "Traceback" not in told
            assert status == (2 if out in ("full", "closed") else 0)


@pytest.mark.parametrize(
    ("redirected", "status"),
    [(">/dev/full", 0), (">&-", 0), (">&- 2>&-", 0), ("| true", 0), ("<&- >&- 2>&-", 0)],
)
def test_the_same_by_the_shell(place, redirected, status):
    command = f"{shlex.quote(sys.executable)} -m tui"
    first = f"{command} new --name Shell >/dev/null"
    script = f"{first}; {command} product add Blue --role paint --json {redirected}; echo $? ${{PIPESTATUS[0]}} >&3"
    run = subprocess.run(
        ["bash", "-c", f"exec 3>status; {script}"], capture_output=True, text=True, env={**os.environ}
    )
    assert (place / "status").read_text().split()[-1] == str(status)
    if "2>" not in redirected:
        error = json.loads(run.stderr)["error"]
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
    for error, word in ((OSError(5, "Input/output error"), "itself"), (KeyboardInterrupt(), "stopped")):

        def fails(*_, error=error):
            raise error

        monkeypatch.setattr(shelf, "Result", fails)
        capsys.readouterr()
        assert ullage(["receive", "Blue", "60ml"]) in (1, 130)
        err = capsys.readouterr().err
        assert word in err
        assert "something was booked before that" in err
        assert "nothing was booked" not in err
