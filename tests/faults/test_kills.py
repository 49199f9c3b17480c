"""`kill -9` of benches and of the server at random instants: what was answered stands, the rest is whole or not."""

import os
import random
import signal
import subprocess
import time
from pathlib import Path

import psycopg
import pytest

from stock.logbook.proof import prove
from stock.shelf import deliveries
from stock.store import connection
from stock.store.models import Request, database
from tests.faults import benches

KILLS = int(os.environ.get("ULLAGE_KILLS") or 25)
"""So many benches are killed over each studio: what one costs grows with the studio's history."""
STUDIOS = [0, *(pytest.param(number, marks=pytest.mark.deep) for number in range(1, 8))]
PATIENCE_S = 300
"""A bench that says nothing for so long is stuck, however busy the machine is."""
PROVED_EVERY = 6
"""The proof reads the whole history, so it is held after so many kills, and after the last."""


@pytest.fixture
def chance(request):
    """Another choice of instants each day, and for each studio."""
    studio = getattr(request.node, "callspec", None)
    return random.Random(f"{request.config.option.sample_seed} {studio and studio.params.get('number')}")


def listen(line, seconds):
    """What a bench says within a time, or until it ends."""
    said, until = [], time.monotonic() + seconds
    while (left := until - time.monotonic()) > 0 and line.poll(left):
        try:
            said.append(line.recv())
        except EOFError:
            break
    return said


def keys(which):
    return {key for (key,) in Request.select(Request.key).where(which).tuples()}


def first_errand(address):
    """Seconds that a bench takes from opening the books to its first answer on this machine at this hour."""
    process, line = benches.start(benches.book_forever, address, "pace")
    assert line.poll(PATIENCE_S), "the bench never opened the books"
    line.recv()
    began = time.monotonic()
    while line.recv()[0] != "booked":
        pass
    benches.kill(process)
    return time.monotonic() - began


@pytest.mark.parametrize("number", STUDIOS)
def test_a_bench_is_killed_again_and_again(stocked, address, engine, print_count, number, chance):
    """Wherever it was: after each, everything it had answered is booked once and the books add up."""
    deliveries.receive("Harbour Blue", 500_000, count=10)
    deliveries.receive("Slow Thinner", 500_000, count=10)
    database.close()
    answered, inside, pace = set(), 0, first_errand(address)
    for life in range(KILLS):
        process, line = benches.start(benches.book_forever, address, f"life {life}")
        assert line.poll(PATIENCE_S), "the bench never opened the books"
        said = [line.recv()]
        said += listen(line, chance.expovariate(1 / pace))
        assert process.is_alive(), benches.heard(line)
        benches.kill(process)
        said += benches.heard(line)
        booked = {what[1] for what in said if what[0] == "booked"}
        inside += said[-1][0] == "asked"
        answered |= booked
        connection.open_books(address)
        with connection.connection():
            present = {
                key
                for (key,) in Request.select(Request.key)
                .where(Request.key.startswith(f"life {life}-"))
                .tuples()
            }
            assert booked <= present
            assert len(present - booked) <= 1, "only what was under way may be there unanswered"
            if life % PROVED_EVERY == PROVED_EVERY - 1:
                assert prove().problems == []
    with connection.connection():
        assert answered <= keys(Request.key != "")
        assert prove().problems == []
    assert inside
    assert answered
    print_count(
        f"{engine}: {KILLS} kills, {inside} of them inside an errand, {len(answered)} answers all kept"
    )


def restart(folder):
    """Stop the server without a word and start it again, by its own control program and as its own user."""
    program, options = (folder / "postmaster.opts").read_text().strip().split(maxsplit=1)
    control = [str(Path(program).parent / "pg_ctl"), "-D", str(folder)]
    owner = folder.stat().st_uid or None
    for words in (
        ["stop", "-m", "immediate"],
        ["start", "-w", "-l", str(folder / "again.log"), "-o", options],
    ):
        subprocess.run([*control, *words], check=True, capture_output=True, user=owner, timeout=300)


@pytest.mark.only("postgresql")
@pytest.mark.deepens
def test_the_server_dies_under_three_benches(own_server, print_count, chance, request):
    """Benches go on with the keys they had until they get an answer; each key is booked once."""
    from stock.shelf import products, studio

    url, folder = own_server
    address = f"{url}{'&' if '?' in url else '?'}schema=bench"
    studio.make(address, name="S", currency="EUR", time_zone="UTC", measures="metric")
    with connection.connection():
        products.add({"name": "Slow Thinner", "role": "reducer", "flash_point": "none"})
        products.add(
            {"name": "Harbour Blue", "role": "paint", "usual_reducer": "Slow Thinner", "flash_point": "none"}
        )
        deliveries.receive("Harbour Blue", 500_000, count=10)
        deliveries.receive("Slow Thinner", 500_000, count=10)
    enough, deaths, most = benches.CONTEXT.Event(), 0, 8 if request.config.getoption("deep") else 3
    running = [benches.start(benches.book_until, address, f"bench {name}", enough) for name in range(3)]
    said = [[], [], []]
    while deaths < most:
        for at, (_, line) in enumerate(running):
            said[at] += listen(line, chance.uniform(0.05, 0.15))
            while not said[at] or said[at][-1][0] != "booked":  # each death meets benches at work
                assert line.poll(PATIENCE_S), "the bench never booked again"
                said[at].append(line.recv())
        deaths += strike(url, folder, crash=deaths % 3 == 2)
    enough.set()
    for at, (process, line) in enumerate(running):
        said[at] += benches.heard(line)
        process.join()
        assert process.exitcode == 0
    booked = [key for one in said for kind, key in one if kind == "booked"]
    assert sorted(booked) == sorted(
        f"bench {name}-{number}"
        for name, one in enumerate(said)
        for number in range(sum(kind == "booked" for kind, _ in one))
    )
    connection.open_books(address)
    with connection.connection():
        assert Request.select().count() == len(booked)
        assert prove().problems == []
        assert prove().mixes == len(booked)
    lost = sum(kind != "booked" for one in said for kind, _ in one)
    assert lost > 0
    print_count(f"the server died {deaths} times: {lost} refusals, {len(booked)} requests booked once each")


def strike(url, folder, *, crash):
    """Kill the server: by its control program without a word, or one of its processes by `kill -9`."""
    if crash:
        restart(folder)
        return 1
    try:
        with psycopg.connect(url, autocommit=True, connect_timeout=5) as line:
            rows = line.execute(
                "SELECT pid FROM pg_stat_activity WHERE pid <> pg_backend_pid() "
                "AND backend_type = 'client backend'"
            )
            for (pid,) in rows.fetchall()[:1]:
                os.kill(pid, signal.SIGKILL)
                return 1
    except (psycopg.Error, ProcessLookupError):
        pass
    return 0
