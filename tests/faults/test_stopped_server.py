"""A server that stops answering (SIGSTOP): the wait is bounded, and the key tells what was booked."""

import os
import signal
import subprocess
import sys
import time
from contextlib import suppress
from pathlib import Path

import psutil
import pytest

from stock.bench.mixing import MixRequest, book_mix
from stock.exchange import copying
from stock.logbook.proof import prove
from stock.shelf import deliveries, products, studio
from stock.store import connection, server_connection
from stock.store.models import Mix, database
from stock.store.refusals import LineLost
from stock.store.server import Server

pytestmark = pytest.mark.only("postgresql")
MIX = MixRequest(parts=(("Harbour Blue", 700),), reduce=20)


@pytest.fixture
def bench(engine, own_server):
    """The address of a stocked studio on a server of this test's own, and a call that stops and resumes it."""
    url, folder = own_server
    address = f"{url}&schema=bench"
    studio.make(address, name="S", currency="EUR", time_zone="UTC", measures="metric")
    with connection.connection():
        products.add({"name": "Slow Thinner", "role": "reducer", "flash_point": "none"})
        products.add(
            {"name": "Harbour Blue", "role": "paint", "usual_reducer": "Slow Thinner", "flash_point": "none"}
        )
        deliveries.receive("Harbour Blue", 500_000)
        deliveries.receive("Slow Thinner", 500_000)

    def send(sign, *, only=None):
        main = psutil.Process(int((folder / "postmaster.pid").read_text().split()[0]))
        for process in [psutil.Process(only)] if only else [main, *main.children(recursive=True)]:
            with suppress(psutil.NoSuchProcess, ProcessLookupError):
                process.send_signal(sign)

    yield address, send
    send(signal.SIGCONT)


@pytest.mark.parametrize("whole", [True, False], ids=["the server", "its one process"])
def test_a_server_that_stops_in_a_booking(bench, whole, monkeypatch):
    """Before its first, a middle and its last statement; ten seconds in earnest, one here, by the same constant."""
    address, send = bench
    monkeypatch.setattr(server_connection, "QUIET_S", 1.0)
    execute, commit = Server.execute_sql, Server.commit
    countdown, slowest = [0], 0.0

    def stop():
        send(signal.SIGSTOP, only=None if whole else database.connection().info.backend_pid)

    def counted(self, sql, *args, **how):
        countdown[0] -= 1
        if countdown[0] == 0:
            stop()
        if sql.startswith('INSERT INTO "request"'):
            countdown[0] = 0
        return execute(self, sql, *args, **how)

    def last(self):
        if countdown[0] == 0:
            stop()
        commit(self)

    for number, (before, booked) in enumerate(((1, False), (9, False), (10_000, True))):
        connection.open_books(address)
        with connection.connection():
            with monkeypatch.context() as stopping:
                stopping.setattr(Server, "execute_sql", counted)
                stopping.setattr(Server, "commit", last)
                countdown[0], begun = before, time.monotonic()
                with pytest.raises(LineLost, match="not answered for 1 s") as refusal:
                    book_mix(MIX, key=f"key {number}")
                slowest = max(slowest, time.monotonic() - begun)
            assert ("whether it was booked" in str(refusal.value)) == booked
            assert ("nothing was booked" in str(refusal.value)) != booked
            send(signal.SIGCONT)
            answer = book_mix(
                MIX, key=f"key {number}"
            )  # by a new line; waits for what the old one still holds
            assert answer["mix"] == book_mix(MIX, key=f"key {number}")["mix"]
            assert Mix.select().count() == number + 1
    with connection.connection():
        assert prove().problems == []
    assert slowest < server_connection.QUIET_S + 60, (
        "it did not wait for a time limit of the server or of TCP"
    )


def test_the_command_at_a_stopped_server(bench):
    """The installed limit, by a process of its own: one line, exit status 3, and the same key books once."""
    address, send = bench
    words = [sys.executable, "-m", "tui", "--studio", address, "mix", "Harbour Blue=1ml", "--key", "k"]

    def run():
        return subprocess.run(
            words,
            capture_output=True,
            text=True,
            timeout=300,
            env={**os.environ, "PYTHONPATH": str(Path.cwd())},
        )

    send(signal.SIGSTOP)
    refused = run()
    assert (refused.returncode, refused.stdout, refused.stderr.count("\n")) == (3, "", 1)
    assert "does not answer" in refused.stderr
    send(signal.SIGCONT)
    first, again = run(), run()
    assert (first.returncode, first.stdout) == (0, again.stdout)
    connection.open_books(address)
    with connection.connection():
        assert Mix.select().count() == 1


def test_an_idle_line_to_a_stopped_server(bench, monkeypatch):
    """Reading, too; and a line of more than 1,024 files is looked at as any other."""
    address, send = bench
    monkeypatch.setattr(server_connection, "QUIET_S", 1.0)
    many = [os.open("/dev/null", os.O_RDONLY) for _ in range(1_100)]
    try:
        connection.open_books(address)
        with connection.connection():
            assert database.connection().fileno() > 1_024
            with connection.reading():
                assert Mix.select().count() == 0
            send(signal.SIGSTOP)
            with pytest.raises(LineLost, match="not answered"), connection.reading():
                Mix.select().count()
            send(signal.SIGCONT)
            with connection.reading():
                assert Mix.select().count() == 0
    finally:
        for handle in many:
            os.close(handle)


def test_work_that_may_take_long_waits_for_a_living_server_only(bench, monkeypatch, tmp_path):
    """A quiet statement of a copy goes on while the server answers elsewhere, and ends where it doesn't."""
    address, send = bench
    monkeypatch.setattr(server_connection, "QUIET_S", 0.5)
    database.close()
    with copying.opened(address) as old:
        assert old.execute_sql("SELECT 1 FROM pg_sleep(2)").fetchone() == (1,)
    counted = copying.count_rows

    def stop(old):
        send(signal.SIGSTOP)
        return counted(old)

    monkeypatch.setattr(copying, "count_rows", stop)
    target = tmp_path / "copy.ullage"
    with pytest.raises(LineLost, match="not answered"):
        copying.copy(address, str(target), on_progress=lambda *_: None)
    assert list(tmp_path.iterdir()) == []
