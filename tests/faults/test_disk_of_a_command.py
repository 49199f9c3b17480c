"""The real command on a disk that fails at its n-th call: what it says is booked is booked, and nothing by half."""

import errno
import json
import os
import random
import shutil
import subprocess
import sys
from collections import Counter
from contextlib import closing
from pathlib import Path

import pytest

from stock.bench.mixing import MixRequest, book_mix
from stock.cli.main import main, unforeseen
from stock.store import files, snapshots
from stock.store.models import database

pytestmark = pytest.mark.only("sqlite")
KINDS = ("EIO", "ENOSPC", "EINTR", "SHORT")
LAST = ("EIO", "ENOSPC")
"""Those that can go on; a call that is interrupted, or comes short, is made again, and one that never ends is no
disk's fault."""
SAMPLE, MANY = 2, 25
"""At so many of its calls, for each kind of fault, the disk fails, and at so many with `--deep`; others each day."""
LINE = ("mix", "Harbour Blue=1ml", "--reduce", "20%", "--key", "once", "--json")
UNKNOWN = "whether it was booked"


@pytest.fixture(scope="module")
def shim(tmp_path_factory):
    """The library that fails in the place of the C library, compiled here."""
    compiler = shutil.which("gcc") or shutil.which("cc")
    if compiler is None or not sys.platform.startswith("linux"):
        pytest.skip("the disk's faults are made by a small C library; it needs gcc, and Linux")
    made = tmp_path_factory.mktemp("shim") / "disk_faults.so"
    source = Path(__file__).with_name("disk_faults.c")
    subprocess.run([compiler, "-Wall", "-Werror", "-shared", "-fPIC", "-o", made, source, "-ldl"], check=True)
    return made


@pytest.fixture(scope="module")
def calls():
    """How many calls the command makes of a disk that never fails, once that is known."""
    return {}


@pytest.fixture
def faulty(shim, stocked, address, tmp_path):
    """Runs the command on a copy of the stocked studio, on a disk that fails; the copy's path, and how it ended."""
    book_mix(MixRequest(parts=(("Harbour Blue", 1_000),)))
    database.close()
    count = tmp_path / "count"
    snapshots.daily(
        address
    )  # so that the calls are those of the booking; a backup's faults are in `test_disks`

    def run(at, kind, lasting, only=""):
        home = tmp_path / "disk"
        shutil.rmtree(home, ignore_errors=True)
        home.mkdir()
        books = home / "faulty.ullage"
        shutil.copy(address, books)
        shutil.copytree(snapshots.folder(address), snapshots.folder(str(books)))
        settings = {
            "LD_PRELOAD": str(shim), "FAULT_PATH": "/disk/faulty.ullage", "FAULT_AT": str(at), "FAULT_KIND": kind,
            "FAULT_LASTING": str(int(lasting)), "FAULT_COUNT": str(count),
            "FAULT_ONLY": only,
        }  # fmt: skip
        done = subprocess.run(
            [sys.executable, "-m", "tui", "--studio", str(books), *LINE],
            env=os.environ | settings, capture_output=True, text=True, timeout=600,
        )  # fmt: skip
        return books, done, int(count.read_text())

    return run


def times_booked(books):
    with closing(files.reader(books)) as file:
        return file.execute("SELECT count(*) FROM request WHERE key = 'once'").fetchone()[0]


@pytest.mark.deepens
@pytest.mark.parametrize(
    ("kind", "lasting"),
    [(kind, False) for kind in KINDS] + [(kind, True) for kind in LAST],
    ids=[f"{kind} once" for kind in KINDS] + [f"{kind} from then on" for kind in LAST],
)
def test_what_a_command_says_is_true_on_a_failing_disk(faulty, calls, kind, lasting, request, capsys):
    if not calls:
        _, done, calls["all"] = faulty(0, kind, lasting)
        assert (done.returncode, done.stderr) == (0, "")
    chance = random.Random(f"{request.config.option.sample_seed} {kind} {lasting}")
    every = range(1, calls["all"] + 1)
    points = sorted(chance.sample(every, MANY if request.config.getoption("deep") else SAMPLE))
    outcomes = through(faulty, points, kind, lasting, capsys)
    with capsys.disabled():
        print(
            f"\n  {kind} {'from then on' if lasting else 'once'}, "
            f"{len(points)} of {len(every)} calls: {dict(outcomes)}",
            end="",
        )


def through(faulty, points, kind, lasting, capsys, only=""):
    """Run the command at each point, hold what it says against the books, and repeat it; how often it said what."""
    outcomes = Counter()
    for at in points:
        books, done, _ = faulty(at, kind, lasting, only)
        where = (kind, at, done.returncode, done.stdout, done.stderr)
        assert "Traceback" not in done.stderr and "itself" not in done.stderr, where
        assert done.returncode in (0, 3), where
        booked = times_booked(books)
        if done.returncode == 0:
            outcomes["booked"] += 1
            assert json.loads(done.stdout)["booked"], where
            assert booked == 1, where
        elif UNKNOWN in done.stderr:
            outcomes["said not to be known"] += 1
        else:
            outcomes["refused"] += 1
            assert booked == 0, where
        for line in (LINE, LINE, ("check", "--json")):
            assert main(["--studio", str(books), *line]) == 0, where
        database.close()
        out = capsys.readouterr().out.splitlines()
        assert json.loads(out[-1])["problems"] == [], where
        assert (times_booked(books), json.loads(out[-1])["mixes"]) == (1, 2), where
    return outcomes


def test_a_disk_that_fails_in_the_moment_of_booking_leaves_nobody_with_a_wrong_word(faulty, capsys):
    """All of it may be in the log when its last sync fails: who opens the books next would find it booked."""
    _, _, syncs = faulty(0, "EIO", True, "sync")
    outcomes = through(faulty, range(1, syncs + 1), "EIO", True, capsys, "sync")
    assert outcomes["said not to be known"] >= 1
    with capsys.disabled():
        print(f"\n  each of {syncs} syncs fails: {dict(outcomes)}", end="")


def test_a_disk_that_fails_where_nobody_expects_it_is_no_fault_of_ours():
    said = unforeseen(OSError(errno.EIO, "Input/output error"), "nowhere")
    assert (said.code, said.exit_status) == ("disk-failed", 3)
    assert unforeseen(ValueError(), "nowhere").code == "unforeseen"
