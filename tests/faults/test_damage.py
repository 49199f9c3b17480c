"""Files that are damaged, cut short, of a later version, or no books at all: said plainly, never guessed at."""

import json
import os
import random
import sqlite3
from pathlib import Path

import pytest

from stock.cli.main import main
from stock.shelf import deliveries
from stock.store import connection, migrations, snapshots
from stock.store.models import database
from tests.clock import clock_at

pytestmark = pytest.mark.only("sqlite")
FLIPS, CUTS = int(os.environ.get("ULLAGE_FLIPS", "250")), 120


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
def told(capsys):
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


def test_no_flipped_bit_is_met_by_a_traceback_or_changes_a_volume_unseen(at_rest, tmp_path, run, told):
    """What a bottle holds is proven by its movements, so one changed bit of either is found by `ullage check`.

    A bit in a text or in a bottle's size has nothing to be proven against and is not found: books hold no checksums.
    """
    content, bottles = at_rest
    chance = random.Random(20260301)
    path, outcomes = tmp_path / "flipped.ullage", {0: 0, 1: 0, 3: 0}
    used = [at for at, byte in enumerate(content) if byte]
    for _ in range(FLIPS):
        flipped = bytearray(content)
        at = chance.choice(used)
        flipped[at] ^= 1 << chance.randrange(8)
        status = try_it(path, flipped, run)
        outcomes[status] += 1
        if status == 0:
            assert held(str(path)) == bottles, f"byte {at}"
    assert all(outcomes.values())
    told(
        f"{FLIPS} flipped bits: {outcomes[3]} not opened, {outcomes[1]} found by the proof, {outcomes[0]} harmless"
    )


def test_no_length_at_which_a_file_was_cut_is_met_by_a_traceback(at_rest, tmp_path, run, told):
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
    told(f"{len(lengths)} files cut short: {noticed} noticed, {len(lengths) - noticed} cut in unused pages")


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
    "content", [b"", b"\0" * 5_000, b"name,volume\nHarbour Blue,60\n", b"PK\x03\x04" + b"\0" * 600, "folder"]
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
