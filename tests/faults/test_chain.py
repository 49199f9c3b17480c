"""A chain of studios, each a schema of one server: opened, booked, forecast in turn; directly and behind a pooler."""

import gc
import json
import os
import shutil
import signal
import subprocess
import tempfile
import time
import uuid
from pathlib import Path

import psutil
import psycopg
import pytest

from stock.bench.mixing import MixRequest, book_mix
from stock.cli.main import main
from stock.forecast.books import read
from stock.logbook.proof import prove
from stock.shelf import deliveries, products, studio, suppliers
from stock.store import addresses, connection, migrations
from stock.store.models import Mix, Request, Studio, database
from tests.faults import benches

pytestmark = [pytest.mark.only("postgresql"), pytest.mark.deepens]
POOL, ROUNDS, BENCHES = 4, 3, 3
GROWTH_MB = 10
"""So much may a process grow over the second and third round through a chain: 80 kB a studio, where it has sixty."""
POOLER = shutil.which("pgbouncer", path=f"{os.environ.get('PATH', '')}:/usr/sbin:/sbin")
MIX = MixRequest(parts=(("Harbour Blue", 700),), reduce=20)


@pytest.fixture(scope="module")
def count(request):
    """How many studios the chain has."""
    return 60 if request.config.getoption("deep") else 5


@pytest.fixture(scope="module")
def chain(engine, server, count):
    """The URL of a database with a chain in it, the server's folder, and the schemas, all copied from one."""
    name = f"chain_{uuid.uuid4().hex[:8]}"
    with psycopg.connect(server, autocommit=True) as line:
        line.execute(f"CREATE DATABASE {name}")
    url = server.replace(f"/{addresses.parsed(server).database}?", f"/{name}?")
    folder = Path(addresses.parsed(server).parameters["host"])
    make_chain(url, folder, schemas := [f"studio_{number:03d}" for number in range(count)])
    yield url, folder, schemas
    database.close()
    with psycopg.connect(server, autocommit=True) as line:
        line.execute(f"DROP DATABASE {name} WITH (FORCE)")


def make_chain(url, folder, schemas):
    address = f"{url}&schema=template_studio"
    studio.make(address, name="Template", currency="EUR", time_zone="UTC", measures="metric")
    with connection.connection():
        suppliers.add("Quayside", lead_time="5d")
        products.add({"name": "Slow Thinner", "role": "reducer", "flash_point": "none"})
        products.add(
            {
                "name": "Harbour Blue", "role": "paint", "usual_reducer": "Slow Thinner", "flash_point": "none",
                "supplier": "Quayside", "price": ["60ml=7.90"],
            }
        )  # fmt: skip
        deliveries.receive("Harbour Blue", 60_000)
        deliveries.receive("Slow Thinner", 120_000)
        for _ in range(6):
            book_mix(MixRequest(parts=(("Harbour Blue", 8_000),), reduce=20))
    database.close()
    program = Path((folder / "postmaster.opts").read_text().split()[0]).with_name("pg_dump")
    words = [program, "--inserts", "--schema=template_studio", url]
    ran = subprocess.run(words, capture_output=True, text=True, check=True).stdout
    ran = "".join(f"{line}\n" for line in ran.splitlines() if not line.startswith("\\"))
    with psycopg.connect(url, autocommit=True) as line:
        for schema in schemas:
            line.execute(ran.replace("template_studio", schema).encode())
            line.execute(f"UPDATE {schema}.studio SET name = '{schema}'")
        line.execute("DROP SCHEMA template_studio CASCADE")


@pytest.fixture
def pooled(chain):
    """The address of the same server behind PgBouncer in transaction mode, with few connections of its own."""
    if POOLER is None:
        pytest.skip("PgBouncer is not installed; `.ci/system-packages` does it")
    url, folder, _ = chain
    name = addresses.parsed(url).database
    with tempfile.TemporaryDirectory(prefix="pool_", dir="/tmp") as place:
        owner = folder.stat()
        os.chown(place, owner.st_uid, owner.st_gid)
        settings = Path(place) / "pooler.ini"
        settings.write_text(
            f"[databases]\n{name} = host={folder} user=postgres\n[pgbouncer]\nunix_socket_dir = {place}\n"
            f"listen_port = 6543\nlogfile = {place}/log\npidfile = {place}/pid\nauth_type = any\n"
            f"pool_mode = transaction\ndefault_pool_size = {POOL}\nmax_client_conn = 500\n"
        )
        settings.chmod(0o644)
        process = subprocess.Popen([POOLER, "-q", str(settings)], user=owner.st_uid or None, cwd="/tmp")
        until = time.monotonic() + 180
        while not (Path(place) / ".s.PGSQL.6543").exists():
            assert time.monotonic() < until
            assert process.poll() is None, (Path(place) / "log").read_text()
            time.sleep(0.02)
        yield f"postgresql://postgres@/{name}?host={place}&port=6543"
        process.send_signal(signal.SIGTERM)
        process.wait(180)


def sessions(url):
    with psycopg.connect(url, autocommit=True) as line:
        query = "SELECT count(*) FROM pg_stat_activity WHERE datname = current_database() AND pid <> pg_backend_pid()"
        return line.execute(query).fetchone()[0]


def in_turn(url, address, schemas, print_count, how):
    """Each studio opened, booked and forecast, round by round, by this one process."""
    process, memory, most, begun = psutil.Process(), [], 0, time.monotonic()
    for round_ in range(ROUNDS):
        for schema in schemas:
            connection.open_books(addresses.with_schema(address, schema))
            with connection.connection():
                assert Studio.get_by_id(1).name == schema
                assert book_mix(MIX, key=f"{how} {round_}")["booked"]
                assert len(read().forecasts()) == 2
        most = max(most, sessions(url))
        gc.collect()
        memory.append(process.memory_info().rss / 1e6)
    took = (time.monotonic() - begun) / ROUNDS / len(schemas) * 1000
    print_count(
        f"{len(schemas)} studios in turn {how}: {took:.0f} ms each, memory after each round "
        f"{', '.join(f'{each:.0f}' for each in memory)} MB, at most {most} sessions of the server's"
    )
    return memory, most


def test_a_chain_in_turn_by_one_process(chain, print_count):
    url, _, schemas = chain
    memory, most = in_turn(url, url, schemas, print_count, "directly")
    assert most <= 1
    assert memory[-1] - memory[0] < GROWTH_MB, "what a studio leaves in memory would add up"


def test_a_chain_behind_a_pooler(chain, pooled, print_count):
    """More benches than the pooler has sessions, in one studio after the other: none sees or books into another's."""
    url, _, schemas = chain
    memory, most = in_turn(url, pooled, schemas, print_count, "behind a pooler")
    assert most <= POOL
    assert memory[-1] - memory[0] < GROWTH_MB, "what a studio leaves in memory would add up"
    each = [addresses.with_schema(pooled, schema) for schema in schemas[: 3 * BENCHES]]
    running = [
        benches.start(benches.book_in_each, each[at:] + each[:at], f"b{at}") for at in range(2 * BENCHES)
    ]
    said = [benches.heard(line) for _, line in running]
    for process, _ in running:
        process.join()
        assert process.exitcode == 0
    assert [len(one) for one in said] == [len(each)] * len(running)
    assert sessions(url) <= POOL
    for schema in schemas[: 3 * BENCHES]:
        connection.open_books(addresses.with_schema(url, schema))
        with connection.connection():
            keys = {key for (key,) in Request.select(Request.key).tuples()}
            assert keys >= {f"behind a pooler {n}" for n in range(ROUNDS)} | {
                f"b{n}" for n in range(2 * BENCHES)
            }
            assert (prove().problems, Mix.select().count()) == ([], 6 + len(keys))


def test_the_same_key_at_once_behind_a_pooler_is_booked_once(chain, pooled):
    _, _, schemas = chain
    address = addresses.with_schema(pooled, schemas[0])
    connection.open_books(address)
    with connection.connection():
        before = Mix.select().count()
    gate = benches.CONTEXT.Barrier(3)
    running = [benches.start(benches.mix_once, address, "once", gate) for _ in range(3)]
    answers = [benches.heard(line) for _, line in running]
    for process, _ in running:
        process.join()
    assert len(answers[0]) == 1
    assert answers.count(answers[0]) == 3
    connection.open_books(address)
    with connection.connection():
        assert Mix.select().count() == before + 1


def test_what_every_studio_has_to_order(chain, count, capsys):
    """One table over all; a studio that can't be read is named, stops none of the others, and ends with 1."""
    url, _, schemas = chain
    words = ["--studio", url, "order", "list", "--every-studio"]
    assert main([*words, "--json"]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert [each["schema"] for each in answer["studios"]] == schemas
    assert answer["not_read"] == []
    for each in answer["studios"]:
        (basket,) = [one for one in each["to_order"] if one["supplier"] == "Quayside"]
        assert [line["product"] for line in basket["lines"]] == ["Harbour Blue"]
    with psycopg.connect(url, autocommit=True) as line:
        line.execute("ALTER SCHEMA studio_001 RENAME TO studio_000_before_restore_20260301_120000")
        line.execute("UPDATE studio_002.studio SET schema_version = 99")
        line.execute("CREATE SCHEMA other; CREATE TABLE other.studio (id integer)")
    assert main(words) == 1
    said = capsys.readouterr().out.splitlines()
    assert said[0].split() == ["order", "by", "studio", "schema", "supplier", "product", "packs", "cost"]
    assert sum("Quayside" in line and "x 60 ml" in line for line in said) == count - 2
    assert f"{count - 2} studios read; 0 of them have nothing to order." in said
    assert said[-1].startswith("Not read: studio_002: these books were written by a later Ullage")
    with psycopg.connect(url, autocommit=True) as line:
        line.execute("ALTER SCHEMA studio_000_before_restore_20260301_120000 RENAME TO studio_001")
        line.execute(f"UPDATE studio_002.studio SET schema_version = {migrations.NEWEST}")


def test_a_file_is_no_chain(tmp_path, capsys):
    assert main(["--studio", str(tmp_path / "a.ullage"), "order", "list", "--every-studio"]) == 2
    assert "a file holds one studio" in capsys.readouterr().err
