"""The server's driver: found at need, whichever module of the process was imported first."""

import subprocess
import sys
import textwrap

import pytest

ORDERS = {
    "ours first": "import stock.cli.main, stock.store.connection",
    "driver first": "import psycopg",
    "peewee first, by somebody else": "import peewee",
    "peewee first, and no driver was there": """
        import sys
        sys.modules["psycopg"] = None
        import peewee
        del sys.modules["psycopg"]
    """,
    "an older driver that Peewee prefers": """
        import sys, types
        old = types.ModuleType("psycopg2")
        old.extensions = old.extras = types.ModuleType("psycopg2.parts")
        for name in ("TRANSACTION_STATUS_IDLE", "TRANSACTION_STATUS_INERROR", "TRANSACTION_STATUS_UNKNOWN"):
            setattr(old.extensions, name, 9)
        old.extras.Json, old.extras.register_uuid = dict, lambda: None
        sys.modules |= {"psycopg2": old, "psycopg2.extensions": old.extensions, "psycopg2.extras": old.extras}
        import peewee
        assert peewee.psycopg2 is old
    """,
}
OPENED = """
    from stock.cli.main import main
    sys.exit(main(["shelf", "--json", "--studio", sys.argv[1]]))
"""


def python(code: str, *argv: str) -> subprocess.CompletedProcess[str]:
    """Run this code in a fresh process."""
    return subprocess.run(
        [sys.executable, "-c", textwrap.dedent(code), *argv], capture_output=True, text=True, timeout=600
    )


@pytest.mark.only("postgresql")
def test_server_opens_in_every_order_of_imports(stocked: str) -> None:
    for name, first in ORDERS.items():
        done = python(f"{textwrap.dedent(first)}\nimport sys\n{textwrap.dedent(OPENED)}", stocked)
        assert done.returncode == 0, (name, done.stderr)
        assert "Harbour Blue" in done.stdout, name


@pytest.mark.only("sqlite")
def test_file_imports_no_driver_and_leaves_no_trace(stocked: str) -> None:
    done = python(
        """
        import sys
        finders = list(sys.meta_path)
        from stock.cli.main import main
        assert main(["shelf", "--studio", sys.argv[1]]) == 0
        assert "peewee" in sys.modules and "psycopg" not in sys.modules
        assert sys.meta_path == finders
        import psycopg
        """,
        stocked,
    )
    assert done.returncode == 0, done.stderr


@pytest.mark.only("sqlite")
def test_what_peewee_hardly_uses_is_imported_when_it_is_used(stocked: str) -> None:
    done = python(
        """
        import sys
        from stock.cli.main import main
        assert main(["shelf", "--json", "--studio", sys.argv[1]]) == 0
        loaded = sys.modules.keys() & {"hashlib", "inspect", "logging", "socket", "uuid"}
        assert not loaded, loaded

        import io, logging
        from stock.store.orm import pw
        log = io.StringIO()
        logging.getLogger("peewee").addHandler(logging.StreamHandler(log))
        logging.getLogger("peewee").setLevel(logging.DEBUG)
        assert main(["shelf", "--json", "--studio", sys.argv[1]]) == 0
        assert "SELECT" in log.getvalue(), "Peewee tells its statements to whoever listens"
        assert len(pw.UUIDField().db_value("12345678123456781234567812345678")) == 32
        assert pw.IPField().db_value("127.0.0.1") == 2130706433
        """,
        stocked,
    )
    assert done.returncode == 0, done.stderr


@pytest.mark.only("postgresql")
def test_missing_driver_is_refused_by_name(engine: str) -> None:
    for absent, said in (
        ('sys.modules["psycopg"] = None', "is not installed"),
        ('sys.modules["psycopg.pq"] = None', "can't be loaded"),
    ):
        code = f"import sys\n{absent}\n" + textwrap.dedent(OPENED)
        done = python(code, "postgresql://127.0.0.1:1/studios")
        assert done.returncode == 3, done.stderr
        assert said in done.stderr
        assert "pip install 'ullage[postgresql]'" in done.stderr
        assert done.stderr.count("\n") == 1
