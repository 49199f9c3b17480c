"""Files that are damaged, cut short, of a later version, or no books at all: said plainly, never guessed at."""

import json
import os
import random
import sqlite3
from collections import Counter
from datetime import date
from pathlib import Path

import pytest

from stock.cli.main import main
from stock.exchange import copying
from stock.shelf import deliveries, sheets, suppliers
from stock.store import connection, file_checks, files, migrations, models, seal, snapshots
from stock.store.models import database
from tests.clock import clock_at
from tests.conftest import make_stocked
from tests.exchange.busy import be_busy

pytestmark = pytest.mark.only("sqlite")
CUTS = 120
FLIPS = int(os.environ.get("ULLAGE_FLIPS") or 60)
PARTS = [pytest.param(part, FLIPS, id=str(part)) for part in (0,)] + [
    pytest.param(part, 5 * FLIPS, id=str(part), marks=pytest.mark.deep) for part in range(1, 5)
]
"""How many bits are flipped in each part of all that can be; the bits of a part are always the same."""
READ_EACH = 2
"""All that reads is tried at so many unseen changes of each column."""


@pytest.fixture
def at_rest(mixed, address):
    """The bytes of a studio's file with a mix in it, and what its bottles hold."""
    for lot in range(12):
        deliveries.receive("Gull White", 30_000, lot=f"L{lot}", place="Cabinet")
    database.close()
    return Path(address).read_bytes(), held(address)


def held(address):
    with sqlite3.connect(address) as file:
        rows = file.execute("SELECT id, on_hand_ul FROM bottle ORDER BY id").fetchall()
    file.close()
    return rows


@pytest.fixture
def furnished(engine, address):
    """The bytes of a studio in which some of everything was done, and its rows; the same bytes on every day."""
    with clock_at("2026-02-27 09:00:00"):
        make_stocked(address)
        with connection.connection():
            be_busy()
            suppliers.add("Quayside", lead_time="7d", order_days="mon thu")
            sheets.add("Harbour Blue", title="Sheet 1", revised_on=date(2026, 1, 1), dosings=[])
    database.close()
    return Path(address).read_bytes(), rows_of(address)


@pytest.fixture
def run(capsys):
    def command(address, *line):
        status = main(["--studio", address, *line, "--json"])
        out, err = capsys.readouterr()
        answer = json.loads(out) if out else json.loads(err)["error"]
        assert "Traceback" not in err
        assert answer.get("code") != "unforeseen", (line, answer, err)
        return status, answer

    return command


@pytest.fixture
def print_count(capsys):
    def tell(what):
        with capsys.disabled():
            print(f"\n  {what}", end="")

    return tell


def try_it(path, content, run):
    """Look, prove and mix on a damaged file; the outcome of the proof."""
    for ending in ("-wal", "-shm"):
        Path(f"{path}{ending}").unlink(missing_ok=True)
    path.write_bytes(content)
    status, proof = run(str(path), "check")
    assert status in (0, 1, 3), proof
    shelf, said = run(str(path), "shelf")
    assert shelf in (0, 3), said
    return status


READING = (
    "today", "shelf", "logbook", "forecast", "cautions", "product list", "product show Gull", "place list",
    "job list", "recipe list", "order list", "cost", "emissions", "sheet list Harbour", "trace --lot =1+1",
    "advise Harbour", "caution-rule list",
)  # fmt: skip


def rows_of(address):
    """Every row of every table, by the tables' names."""
    with copying.opened(address) as books:
        return {table._meta.table_name: list(copying.read(books, table)) for table in models.TABLES}


@pytest.mark.parametrize(("part", "flips"), PARTS)
def test_each_flipped_bit_is_noticed_or_changes_nothing_or_is_counted(
    furnished, address, tmp_path, run, print_count, part, flips
):
    """Whatever `check` lets pass can be read by every command; what it lets pass and is another value is counted.

    Books hold no sums over what a person wrote (a note, a size, a price): a letter or figure that became another
    one is found only where it is held against something else.
    """
    content, before = furnished
    chance = random.Random(20260301 + part)
    path, outcomes = tmp_path / "flipped.ullage", {0: 0, 1: 0, 3: 0}
    used = [at for at, byte in enumerate(content) if byte]
    changed, stumbled = Counter(), []
    path.write_bytes(content)
    assert {line: run(str(path), *line.split())[0] for line in READING} == dict.fromkeys(READING, 0)
    for _ in range(flips):
        flipped = bytearray(content)
        at = chance.choice(used)
        flipped[at] ^= 1 << chance.randrange(8)
        path.write_bytes(flipped)
        status, _ = run(str(path), "check")
        outcomes[status] += 1
        if status == 0 and (after := rows_of(str(path))) != before:
            column = where(before, after)
            changed[column] += 1
            if changed[column] <= READ_EACH:
                stumbled += [
                    (line, said, column)
                    for line in READING
                    if (said := could_not_say(run, path, line)) is not None
                ]
            assert {bottle[0]: bottle[5] for bottle in after["bottle"]}.items() == {
                bottle[0]: bottle[5] for bottle in before["bottle"]
            }.items(), f"byte {at}: what a bottle holds"
    assert stumbled == []
    assert all(outcomes.values())
    unseen = sum(changed.values())
    print_count(
        f"{flips} flipped bits: {outcomes[3]} not opened, {outcomes[1]} found by the check, "
        f"{outcomes[0] - unseen} change nothing, {unseen} change a value that nothing can be held against: "
        + ", ".join(f"{name} {count}" for name, count in changed.most_common())
    )


def could_not_say(run, path, line):
    """The refusal of a command that reads, unless it is that a name is another one now."""
    status, said = run(str(path), *line.split())
    return said if status == 3 or (status == 2 and said["code"] not in ("not-found", "ambiguous")) else None


def where(before, after):
    """The first column that differs, as `table.column`."""
    for table in models.TABLES:
        name = table._meta.table_name
        for old, new in zip(before[name], after[name], strict=False):
            for field, had, has in zip(table._meta.sorted_fields, old, new, strict=True):
                if had != has:
                    return f"{name}.{field.column_name}"
        if len(before[name]) != len(after[name]):
            return f"rows of {name}"
    return ""


@pytest.mark.parametrize(("part", "flips"), PARTS)
def test_each_flipped_bit_of_a_backup_is_noticed(furnished, address, print_count, part, flips):
    """A backup is sealed when it is made, so no change of it goes unseen, and an older good one is offered."""
    with clock_at("2026-03-01 08:00:00"):
        older = snapshots.take(address, "daily")
    with clock_at("2026-03-02 08:00:00"):
        newer = snapshots.take(address, "daily")
    content, chance = newer.read_bytes(), random.Random(7 + part)
    for _ in range(flips):
        flipped = bytearray(content)
        flipped[chance.randrange(len(content))] ^= 1 << chance.randrange(8)
        newer.write_bytes(flipped)
        assert not files.has_our_header(newer) or seal.is_broken(newer)
    assert file_checks.problems(newer)
    assert snapshots.newest_good(address).path == older
    newer.write_bytes(content)
    assert snapshots.newest_good(address).path == newer
    print_count(f"{flips} flipped bits of a backup: all noticed")


def test_a_backup_that_is_booked_in_is_no_damaged_one(furnished, address, run):
    made = snapshots.take(address, "asked")
    for line in (["receive", "Harbour Blue", "60ml"], ["check"]):
        status, answer = run(str(made), *line)
        assert status == 0, answer
    assert file_checks.problems(made) == []


def test_no_length_at_which_a_file_was_cut_is_met_by_a_traceback(at_rest, tmp_path, run, print_count):
    content, bottles = at_rest
    chance = random.Random(20260301)
    path, noticed = tmp_path / "cut.ullage", 0
    lengths = [0, 1, 15, 16, 99, 100, 512, 4_095, *(chance.randrange(len(content)) for _ in range(CUTS))]
    for length in lengths:
        if try_it(path, content[:length], run) == 0:
            assert held(str(path)) == bottles
        else:
            noticed += 1
    assert noticed > CUTS / 2
    print_count(
        f"{len(lengths)} files cut short: {noticed} noticed, {len(lengths) - noticed} cut in unused pages"
    )


def test_damaged_books_say_which_backup_is_good_and_its_command_puts_it_back(at_rest, address, run):
    content, _ = at_rest
    with clock_at("2026-03-01 08:00:00"):
        good = snapshots.take(address, "daily")
    with clock_at("2026-03-02 08:00:00"):
        worse = snapshots.take(address, "daily")
    worse.write_bytes(worse.read_bytes()[:20_000])
    Path(address).write_bytes(content[:50] + b"\xff" * 50 + content[100:])
    status, refusal = run(address, "shelf")
    assert (status, refusal["code"]) == (3, "damaged")
    assert f"ullage restore {good}" in refusal["remedy"]
    assert "2026-03-01 08:00 UTC" in refusal["remedy"]
    status, restored = run(address, "restore", str(good))
    assert (status, restored["ok"], restored["lost"]["readable"]) == (0, True, False)
    assert run(address, "check")[0] == 0


def test_a_proof_that_fails_names_the_good_backup_too(at_rest, address, run, capsys):
    good = snapshots.take(address, "daily")
    with sqlite3.connect(address) as file:
        file.execute("UPDATE bottle SET on_hand_ul = on_hand_ul + 1 WHERE id = 1")
    file.close()
    status, proof = run(address, "check")
    assert (status, proof["ok"]) == (1, False)
    main(["--studio", address, "check"])
    assert f"ullage restore {good}" in capsys.readouterr().out


@pytest.mark.parametrize("schema", [migrations.NEWEST + 1, 99, 10**9])
def test_books_of_a_later_schema_are_left_alone(at_rest, address, run, schema):
    with sqlite3.connect(address) as file:
        file.execute("UPDATE studio SET schema_version = ?", (schema,))
    file.close()
    before = Path(address).read_bytes()
    for line in (["shelf"], ["mix", "Harbour Blue=1ml"], ["check"]):
        status, refusal = run(address, *line)
        assert (status, refusal["code"]) == (3, "future-schema")
        assert "Update Ullage" in refusal["remedy"]
    assert Path(address).read_bytes() == before


@pytest.mark.parametrize(
    "content",
    [b"", b"\0" * 5_000, b"name,volume\nHarbour Blue,60\n", b"PK\x03\x04" + b"\0" * 600, "folder"],
    ids=["empty", "zeros", "csv", "zip", "folder"],
)
def test_what_is_no_database_is_left_alone(tmp_path, run, content):
    path = tmp_path / "strange"
    path.mkdir() if content == "folder" else path.write_bytes(content)
    for line in (["shelf"], ["mix", "Harbour Blue=1ml"], ["check"], ["backup"]):
        status, refusal = run(str(path), *line)
        assert status == 3, refusal
    assert content == "folder" or path.read_bytes() == content
    assert [one.name for one in tmp_path.iterdir()] == ["strange"]


def test_a_file_that_turns_bad_while_it_is_open_is_said(at_rest, address):
    """The dashboard holds a connection for long; the sentence is the same."""
    from stock.errors import BooksUnreachable

    connection.open_books(address)
    content, _ = at_rest
    with pytest.raises(BooksUnreachable, match="damaged"), connection.connection():
        Path(address).write_bytes(content[:4_096] + b"\xff" * (len(content) - 4_096))
        database.execute_sql("PRAGMA cache_size = 0")
        deliveries.receive("Harbour Blue", 60_000)
