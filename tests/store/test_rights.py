"""A role without rights is told which one is missing, by each command, and the statement that is told gives it."""

import re
import uuid

import psycopg
import pytest

from stock.cli.main import main
from stock.store import addresses
from stock.store.models import database

pytestmark = pytest.mark.only("postgresql")
READING = (
    "shelf", "today", "forecast", "cautions", "logbook", "check", "order list", "product list", "product show Harbour",
    "sheet list Harbour", "place list", "advise Harbour", "cost --month 2026-03", "trace --bottle 1",
    "emissions --month 2026-03", "recipe list", "job list", "studio show",
    "mix Harbour=1ml --dry-run", "caution-rule list",
)  # fmt: skip
BOOKING = (
    "receive Harbour 60ml", "mix Harbour=1ml", 'wash "Wash Down=5ml"', "bottle open 2", "bottle count 1 41ml",
    "bottle discard 2", "bottle move 4 Cabinet", "product add New --role paint --size 30ml",
    "place add Yard --kind shelf",
    "supplier change Quayside --lead-time 3d", "plan-use Harbour 20ml --on 2099-01-01", "order make Harbour=1x60ml",
    "undo delivery 2",
    "job add Tank", "studio change --name Other",
)  # fmt: skip


@pytest.fixture
def role(stocked, address, server):
    """A role that may do nothing: its address of the books, a call that runs SQL as the owner, its name."""
    database.close()
    name = f"anna_{uuid.uuid4().hex[:8]}"
    with psycopg.connect(server, autocommit=True) as owner:
        owner.execute(f"CREATE ROLE {name} LOGIN")
        owner.execute("REVOKE CREATE ON SCHEMA public FROM PUBLIC")
        yield address.replace("//postgres:@", f"//{name}@"), owner.execute, name
        owner.execute(f"DROP OWNED BY {name}")
        owner.execute(f"DROP ROLE {name}")


def ran(address, words, capsys):
    import shlex

    status = main(["--studio", address, *shlex.split(words)])
    said = capsys.readouterr()
    assert "itself" not in said.err, words
    return status, said


def test_each_command_says_which_right_is_missing_and_how_it_is_given(role, capsys):
    """None but the schema's name: USAGE is told. Then SELECT, read by read. Then what bookings need."""
    address, execute, name = role
    schema = addresses.schema_of(address)
    for words in (*READING, *BOOKING):
        status, said = ran(address, words, capsys)
        assert (status, said.out) == (3, ""), words
        assert f"role {name} lacks USAGE on the schema {schema}" in said.err, words
    granted = []

    def until_it_runs(words, rights):
        """Follow the remedy until the command runs; each time it is another right of those that it may need."""
        for _ in range(40):
            status, said = ran(address, words, capsys)
            if status != 3:
                return status, said
            refusal = re.search(
                rf"role {name} lacks (.+) on the (\w+) (\S+); nothing was booked. .*: (GRANT .*)", said.err
            )
            assert refusal, (words, said.err)
            assert set(refusal[1].split(", ")) <= rights, (words, said.err)
            assert refusal[4] not in granted, (words, said.err)
            granted.append(refusal[4])
            execute(refusal[4])
        raise AssertionError(words)

    for words in READING:
        status, said = until_it_runs(words, {"USAGE", "SELECT"})
        assert status in (0, 1), (words, said)
    assert len(granted) == 2
    for words in BOOKING:
        status, said = until_it_runs(words, {"USAGE", "INSERT", "UPDATE", "DELETE"})
        assert status == 0, (words, said)
    assert any("SEQUENCES" in one for one in granted)


def test_making_books_without_the_right_to(role, server, capsys):
    address, execute, name = role
    words = "new --name S --currency EUR --time-zone UTC"
    elsewhere = addresses.with_schema(address, f"{name}_new")
    status, said = ran(elsewhere, words, capsys)
    assert status == 3
    assert f"role {name} lacks CREATE on the database {addresses.parsed(server).database}" in said.err
    execute(re.search(r"GRANT .*", said.err)[0])
    assert ran(elsewhere, words, capsys)[0] == 0
    execute(f"CREATE SCHEMA {name}_other")
    status, said = ran(addresses.with_schema(address, f"{name}_other"), words, capsys)
    assert (status, f"lacks USAGE on the schema {name}_other" in said.err) == (3, True)
    execute(f"GRANT USAGE ON SCHEMA {name}_other TO {name}")
    status, said = ran(addresses.with_schema(address, f"{name}_other"), words, capsys)
    assert (status, f"lacks CREATE on the schema {name}_other" in said.err) == (3, True)
    execute(f"DROP SCHEMA {name}_other")
