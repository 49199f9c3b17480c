"""A server that dies for good: what was answered is on the standby, and a repeat with the key is booked once."""

import os
import shutil
import signal
import subprocess
import time
from collections import Counter
from contextlib import suppress
from pathlib import Path
from urllib.parse import quote

import psutil
import psycopg
import pytest

from stock.logbook.proof import prove
from stock.shelf import deliveries, products, studio
from stock.store import connection
from stock.store.models import Request
from tests.faults import benches

CLIENTS = 8
pytestmark = pytest.mark.only("postgresql")


def run(words, folder):
    """A program of PostgreSQL's, as the user that the servers run as."""
    program = Path((folder / "postmaster.opts").read_text().split()[0]).with_name(words[0])
    owner = folder.stat().st_uid or None
    subprocess.run(
        [program, *words[1:]], check=True, capture_output=True, user=owner, timeout=300, cwd="/tmp"
    )


def processes(folder):
    main = psutil.Process(int((folder / "postmaster.pid").read_text().split()[0]))
    return [main, *main.children(recursive=True)]


def until(true, seconds=300):
    """Wait for a state, for so long at most."""
    end = time.monotonic() + seconds
    while not true():
        assert time.monotonic() < end
        time.sleep(0.02)


@pytest.fixture
def pair(engine, own_server, tmp_path_factory):
    """A primary and its synchronous standby: the folders of both, and the primary's URL."""
    url, primary = own_server
    folder = primary.with_name(f"{primary.name}_s")
    folder.mkdir(mode=0o700)
    owner = primary.stat()
    os.chown(folder, owner.st_uid, owner.st_gid)
    try:
        run(
            ["pg_basebackup", "-h", str(primary), "-U", "postgres", "-D", str(folder), "-R", "-c", "fast"],
            primary,
        )
        options = f"-h '' -k {folder}"
        for leftover in folder.glob(".s.PGSQL.*"):  # of the primary, whose socket stands among its data
            leftover.unlink()
        run(["pg_ctl", "-D", str(folder), "-w", "-l", str(folder / "log"), "-o", options, "start"], primary)
        with psycopg.connect(url, autocommit=True) as line:
            line.execute("ALTER SYSTEM SET synchronous_standby_names = '*'")
            line.execute("SELECT pg_reload_conf()")
            state = "SELECT sync_state FROM pg_stat_replication"
            until(lambda: line.execute(state).fetchone() == ("sync",))
        yield url, primary, folder
    finally:
        run(["pg_ctl", "-D", str(folder), "-m", "immediate", "-w", "stop"], primary)
        shutil.rmtree(folder, ignore_errors=True)


def name_of(key):
    """The client whose key it is."""
    return key.rpartition("-")[0]


def go_silent_and_die(url, primary, listen, said):
    """Send nothing more to the standby, let every client wait for it in vain, and die; the keys answered till then.

    Were it not synchronous, the clients would go on being answered, and those answers would be lost.
    """
    with psycopg.connect(url, autocommit=True) as line:
        (sender,) = line.execute("SELECT pid FROM pg_stat_replication").fetchone()
        psutil.Process(sender).send_signal(signal.SIGSTOP)
        before = listen()["booked"]
        waiting = "SELECT count(*) FROM pg_stat_activity WHERE wait_event = 'SyncRep'"

        def in_vain():
            return line.execute(waiting).fetchone()[0] >= 1 or listen()["booked"] > before + 3 * CLIENTS

        until(in_vain)
        listen()
    for process in processes(primary):
        with suppress(psutil.NoSuchProcess):
            process.kill()
    listen()
    return [key for kind, key in said if kind == "booked"]


def test_the_primary_dies_for_good_and_the_standby_takes_over(pair, print_count):
    """Eight clients, one address with both hosts; while nothing reaches the standby nothing is answered."""
    url, primary, standby = pair
    studio.make(f"{url}&schema=bench", name="S", currency="EUR", time_zone="UTC", measures="metric")
    with connection.connection():
        products.add({"name": "Slow Thinner", "role": "reducer", "flash_point": "none"})
        products.add(
            {"name": "Harbour Blue", "role": "paint", "usual_reducer": "Slow Thinner", "flash_point": "none"}
        )
        deliveries.receive("Harbour Blue", 500_000, count=10)
        deliveries.receive("Slow Thinner", 500_000, count=10)
    hosts = ",".join(quote(str(each), safe="") for each in (primary, standby))
    address = f"postgresql://postgres@{hosts}/postgres?schema=bench"
    names = [f"client {number}" for number in range(CLIENTS)]
    enough = benches.CONTEXT.Event()
    running = [benches.start(benches.book_until, address, name, enough) for name in names]
    said = []

    def listen():
        for _, line in running:
            with suppress(EOFError):
                while line.poll():
                    said.append(line.recv())
        return Counter(kind for kind, _ in said)

    try:
        until(lambda: listen()["booked"] >= 3 * CLIENTS)
        answered = go_silent_and_die(url, primary, listen, said)
        until(lambda: listen()["away"] >= CLIENTS)
        run(["pg_ctl", "-D", str(standby), "-w", "promote"], primary)
        before = len(said)

        def all_book_again():
            listen()
            return {name_of(key) for kind, key in said[before:] if kind == "booked"} == set(names)

        until(all_book_again, 120)
        enough.set()
        for process, line in running:
            said.extend(benches.heard(line))
            process.join()
            assert process.exitcode == 0
    finally:
        for process, _ in running:
            process.kill()
    booked = [key for kind, key in said if kind == "booked"]
    counts = Counter(map(name_of, booked))
    assert sorted(booked) == sorted(f"{name}-{number}" for name in names for number in range(counts[name]))
    assert 0 < len(answered) < len(booked)
    connection.open_books(address)
    with connection.connection():
        present = [key for (key,) in Request.select(Request.key).tuples()]
        lost = set(answered) - set(present)
        assert lost == set()
        assert sorted(present) == sorted(booked)
        assert (prove().mixes, prove().problems) == (len(booked), [])
    kinds = Counter(kind for kind, _ in said)
    print_count(
        f"the primary died after {len(answered)} answers: 0 lost, {len(booked)} keys booked once each, "
        f"{kinds['lost']} lines lost in an errand, {kinds['away']} tries while no server took bookings"
    )
