"""Books that can only be read, or once could only be read: they are read as they stand, and that is said."""

import contextlib
import io
import json
import os
import shutil
import sqlite3
import subprocess
import sys
import tempfile
from contextlib import closing
from pathlib import Path

import pytest

from stock.bench.mixing import MixRequest, book_mix
from stock.cli.main import main
from stock.shelf import products, studio
from stock.store import connection
from stock.store.models import database
from tests.faults.test_disks import NOBODY, child

pytestmark = pytest.mark.only("sqlite")
SAID = "can't be written here: it is read as it stands, and nothing can be booked in it"
ROOT = os.getuid() == 0
READS = ("shelf", "today", "logbook", "forecast", "cautions", "check")
BOOKS = ("receive", "Harbour Blue", "60ml")


@pytest.fixture
def home(stocked, address):
    """A person's own folder with a studio in it, which others may enter, as they may not enter pytest's folders."""
    database.close()
    with tempfile.TemporaryDirectory() as made:
        folder = Path(made)
        shutil.copy(address, folder / "s.ullage")
        hand_over(folder)
        yield folder
        folder.chmod(0o755)


def hand_over(folder):
    folder.chmod(0o755)
    for path in (folder, *folder.iterdir()):
        if ROOT:
            os.chown(path, NOBODY, NOBODY)
        path.chmod(0o755 if path.is_dir() else 0o600)


def as_person(work, *args):
    """Without root's rights, which no permission binds; what is loaded late is loaded before they go."""
    folder = Path(args[0])
    before = {path.name: path.stat().st_mode for path in folder.iterdir()}
    with contextlib.redirect_stdout(io.StringIO()):
        aside = folder / "aside.ullage"
        studio.make(str(aside), name="S", currency="EUR", time_zone="UTC", measures="metric")
        with connection.connection():
            products.add({"name": "Harbour Blue", "role": "paint"})
        for line in (BOOKS, *([one] for one in READS), ("restore",), ("backup",)):
            main(["--studio", str(aside), *line, "--json"])
        database.close()
        for path in folder.glob("aside*"):
            shutil.rmtree(path) if path.is_dir() else path.unlink()
    assert {path.name: path.stat().st_mode for path in folder.iterdir()} == before
    if ROOT:
        os.setgid(NOBODY)
        os.setuid(NOBODY)
    return work(*args)


def said_by(address, *line):
    """A command's exit status, its answer or refusal, and what else it said."""
    out, err = io.StringIO(), io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        status = main(["--studio", str(address), *line, "--json"])
    database.close()
    assert "Traceback" not in err.getvalue()
    answer = json.loads(out.getvalue()) if out.getvalue() else json.loads(err.getvalue())
    return status, answer, err.getvalue()


def read_everything(folder):
    address = Path(folder) / "s.ullage"
    return [said_by(address, line) for line in READS] + [said_by(address, *BOOKS)]


def require_read(answers, bookings):
    *read, (status, refusal, _) = answers
    assert [status for status, _, _ in read] == [0] * len(READS), answers
    assert all(SAID in err for _, _, err in read), answers
    assert len(read[2][1]["entries"]) == bookings
    assert (status, refusal["error"]["message"]) == (3, "the books can't be written here")


def test_books_in_a_folder_that_may_not_be_written(home):
    (home / "s.ullage").chmod(0o400)
    home.chmod(0o555)
    kind, answers = child(as_person_in_read_only, read_everything, str(home))
    assert kind == "fine", answers
    require_read(answers, 3)
    assert [path.name for path in home.iterdir()] == ["s.ullage"]


def as_person_in_read_only(work, folder):
    """The folder is closed when all is loaded."""
    mode = Path(folder).stat().st_mode
    Path(folder).chmod(0o755)

    def closed(folder):
        return work(folder)

    def close_and(folder):
        Path(folder).chmod(mode)
        return closed(folder)

    return as_person(close_and, folder)


def test_a_log_that_is_left_is_read_too(home, address):
    """A machine died and its disk is looked at where it can't be written: what stands in the log alone is shown."""
    connection.open_books(address)
    with connection.connection():
        book_mix(MixRequest(parts=(("Harbour Blue", 1_000),)))
        for ending in ("", "-wal"):
            shutil.copy(address + ending, home / f"s.ullage{ending}")
    assert (home / "s.ullage-wal").stat().st_size
    hand_over(home)
    for path in home.iterdir():
        path.chmod(0o400)
    home.chmod(0o555)
    before = {path.name: path.read_bytes() for path in home.iterdir()}
    kind, answers = child(as_person_in_read_only, read_everything, str(home))
    assert kind == "fine", answers
    require_read(answers, 4)
    assert {path.name: path.read_bytes() for path in home.iterdir()} == before


def test_a_disk_that_is_mounted_to_be_read_alone(home):
    """A real mount, and the command as a process."""
    line = [sys.executable, "-m", "tui", "--studio", str(home / "s.ullage"), "logbook", "--json"]
    mounted = f"mount --bind {home} {home} && mount -o remount,ro,bind {home} && exec "
    tried = subprocess.run(["unshare", "-m", "sh", "-c", mounted + "true"], capture_output=True, text=True)
    if tried.returncode:
        pytest.skip(f"nothing may be mounted here: {tried.stderr.strip()}")
    done = subprocess.run(
        ["unshare", "-m", "sh", "-c", mounted + '"$@"', "sh", *line], capture_output=True, text=True
    )
    assert (done.returncode, len(json.loads(done.stdout)["entries"])) == (0, 3), done.stderr
    assert SAID in done.stderr
    assert done.stderr.count("\n") == 1


def closed_and_opened(folder):
    """`chmod 400`, read, `chmod 600`, book; then the same with what another program leaves."""
    path = Path(folder) / "s.ullage"
    answers = []
    path.chmod(0o400)
    answers.append(said_by(path, "shelf"))
    path.chmod(0o600)
    answers.append(said_by(path, *BOOKS))
    path.chmod(0o400)
    with closing(sqlite3.connect(path)) as other:  # leaves its log's files with the mode of the moment
        other.execute("SELECT count(*) FROM booking").fetchone()
    left = sorted(one.name for one in Path(folder).iterdir())
    path.chmod(0o600)
    answers.append(said_by(path, *BOOKS))
    return answers, left


def test_what_is_left_from_when_books_could_only_be_read_hinders_nothing(home):
    kind, detail = child(as_person, closed_and_opened, str(home))
    assert kind == "fine", detail
    (read, booked, again), left = detail
    assert (read[0], booked[0], again[0]) == (0, 0, 0), detail
    assert SAID in read[2]
    assert left == ["s.ullage", "s.ullage-shm", "s.ullage-wal", "s.ullage.backups"]
    assert "s.ullage-wal could only be read, as the books once could; it can be written again" in again[2]


@pytest.mark.skipif(not ROOT, reason="only root can make a file that belongs to somebody else")
def test_what_somebody_else_left_is_named_with_the_command_that_helps(home):
    for ending in ("-wal", "-shm"):
        (home / f"s.ullage{ending}").touch(0o400)
    kind, (status, refusal, _) = child(as_person, book_one, str(home))
    assert (kind, status) == ("fine", 3)
    assert f"{home / 's.ullage-wal'} may not be written" in refusal["error"]["message"]
    assert f"chmod u+w {home / 's.ullage-wal'}" in refusal["error"]["remedy"]


def book_one(folder):
    return said_by(Path(folder) / "s.ullage", *BOOKS)
