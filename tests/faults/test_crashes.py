"""Crash at any point: whatever is written and synced is cut short anywhere, and the books still add up.

Each errand runs through the real code over a disk that remembers. Its recording is then played again up to
every single op, three ways: the program dies, the power goes (nothing unsynced is there), and the power goes
while writing (some of it is there, one write in part). Each result is opened as any studio is: the books add
up, an errand is there whole or not at all, and what had been answered before is never lost. An ordinary run
takes a sample of the ops.
"""

import sqlite3
import tempfile
from contextlib import contextmanager
from fractions import Fraction
from pathlib import Path

import pytest

from stock.bench.mixing import MixRequest, book_mix
from stock.exchange import copying
from stock.logbook.proof import prove
from stock.logbook.undo import undo
from stock.shelf import counts, deliveries, handling
from stock.store import connection, file_checks, files, migrations, models, snapshots, triggers
from stock.store.models import database
from tests.faults.recorder import Disk, Op, crashes, files_in

pytestmark = [pytest.mark.only("sqlite"), pytest.mark.deepens]
POINTS = 6
"""After so many ops of a recording a crash is tried; with --deep after each."""
MEMORY = "/dev/shm" if Path("/dev/shm").is_dir() else None


@pytest.fixture
def print_count(capsys):
    """Print how many cases were tried, past pytest's capture."""

    def tell(what: str, points: int, opened: int) -> None:
        with capsys.disabled():
            print(f"\n  {what}: {points} crash points, {opened} different files opened", end="")

    return tell


@pytest.fixture
def sampled(request):
    """How much of a recording is tried, as `crashes` gets it; which part of it moves with the day."""
    deep = request.config.getoption("deep")
    return {"seed": request.config.option.sample_seed, "most": None if deep else POINTS}


def digest(skip=()) -> str:
    """All rows of all tables, in one word."""
    engine = database.obj
    return " ".join(copying.digest_of(engine, table)[1] for table in models.TABLES if table not in skip)


@contextmanager
def room(image, home):
    """The files of a crash, in a folder of their own; gives the path of the books in it."""
    with tempfile.TemporaryDirectory(dir=MEMORY) as folder:
        for path, content in image.items():
            target = Path(folder) / Path(path).relative_to(home)
            target.parent.mkdir(exist_ok=True)
            target.write_bytes(content)
        yield Path(folder)


def record(monkeypatch, address, errands, *, checkpoint=1_000):
    """Run errands over a remembering disk; their ops, and the books' digest before and after each."""
    database.close()
    home = Path(address).parent
    start = files_in(home)
    assert set(start) == {address}, "the recording starts with a file at rest"
    disk = Disk()
    with disk.beneath(monkeypatch, checkpoint=checkpoint):
        connection.open_books(address)
        with connection.connection():
            known = [digest()]
            for errand in errands:
                errand()
                disk.done()
                known.append(digest())
    return home, start, disk.ops, known


def replay(address, recorded, sampled, *, torn):
    """Open every crash of a recording; the number of crashes and of different files among them."""
    home, start, ops, known = recorded
    name = Path(address).name
    seen, proofs = {}, {}
    points = 0
    for at, kind, answered, image in crashes(start, ops, torn=torn, **sampled):
        points += 1
        mark = frozenset((path, hash(content)) for path, content in image.items())
        if mark not in seen:
            seen[mark] = state_of(image, home, name, proofs)
        state, problems = seen[mark]
        assert problems == [], (at, kind)
        allowed = known[answered : answered + 2]
        assert state in allowed, f"{kind} after {at} of {len(ops)} ops: neither before nor after the errand"
    return points, len(seen)


def state_of(image, home, name, proofs):
    """The digest of what a crash left, and all that is wrong with it.

    Args:
        proofs: what is wrong by digest: the sums of the same rows are proved once, each file is looked through.
    """
    with room(image, home) as folder:
        connection.open_books(str(folder / name))
        with connection.connection():
            state = digest()
            if state not in proofs:
                proofs[state] = prove().problems
                return state, proofs[state]
            return state, proofs[state] + file_checks.in_use(database.obj.execute_sql)


def a_mix(**more):
    request = MixRequest(parts=(("Harbour Blue", 61_000),), reduce=Fraction(20), job="Tank", **more)
    return book_mix(request, key="one mix")


ERRANDS = {
    "a mix": [a_mix],
    "a delivery": [lambda: deliveries.receive("Harbour Blue", 60_000, count=5, lot="L1", place="Cabinet")],
    "an undo": [a_mix, lambda: undo("mix", a_mix()["mix"])],
    "a day's work": [
        a_mix,
        lambda: counts.count("2", 40_000),
        lambda: handling.open_bottle("4"),
        lambda: deliveries.receive("Slow Thinner", 120_000, count=2),
        lambda: undo("count", 5),
        lambda: handling.discard("1"),
    ],
}


@pytest.mark.parametrize(
    ("name", "checkpoint"),
    [("a mix", 1_000), ("a delivery", 6), ("an undo", 1_000), ("an undo", 6), ("a day's work", 6)],
)
def test_a_crash_at_every_point_of(name, checkpoint, stocked, address, monkeypatch, print_count, sampled):
    recorded = record(monkeypatch, address, ERRANDS[name], checkpoint=checkpoint)
    points, opened = replay(address, recorded, sampled, torn=4)
    print_count(f"{name}, {len(recorded[2])} ops", points, opened)
    assert opened > POINTS


def test_a_disk_that_is_not_waited_for_is_found_out(stocked, address, monkeypatch, sampled):
    """The other tests mean something: without syncs the same replay finds an answered mix lost."""

    def hasty():
        database.execute_sql("PRAGMA synchronous = off")
        a_mix()

    recorded = record(monkeypatch, address, [hasty])
    with pytest.raises(AssertionError, match=r"power cut|torn"):
        replay(address, recorded, sampled, torn=4)


def to_the_next(engine):
    """A step as steps are: a column, and a table made anew, which drops its triggers without a word."""
    engine.execute_sql("ALTER TABLE studio ADD COLUMN motto TEXT")
    made = dict(
        engine.execute_sql("SELECT name, sql FROM sqlite_master WHERE tbl_name = 'pour' AND sql <> ''")
    )
    engine.execute_sql(made["pour"].replace('"pour"', '"pour_new"', 1))
    engine.execute_sql("INSERT INTO pour_new SELECT * FROM pour")
    engine.execute_sql("DROP TABLE pour")
    engine.execute_sql("ALTER TABLE pour_new RENAME TO pour")
    for name, statement in made.items():
        if name != "pour" and name not in triggers.names():
            engine.execute_sql(statement)


@pytest.mark.parametrize("checkpoint", [1_000, 6], ids=["log kept", "log played in often"])
def test_a_crash_at_every_point_of_a_migration(mixed, address, monkeypatch, print_count, checkpoint, sampled):
    """Every result is of the schema before or of the next, whole; opened, it comes to the next with every row in it."""
    before, now, following = digest(skip=(models.Studio,)), migrations.NEWEST, migrations.NEWEST + 1

    def migrate():
        monkeypatch.setattr(migrations, "NEWEST", following)
        monkeypatch.setattr(migrations, "STEPS", {following: to_the_next})
        assert migrations.migrate(database.obj) == [following]

    home, start, ops, _ = record(monkeypatch, address, [migrate], checkpoint=checkpoint)
    name, found, points, seen = Path(address).name, set(), 0, set()
    for _, kind, answered, image in crashes(start, ops, torn=3, **sampled):
        points += 1
        mark = frozenset((path, hash(content)) for path, content in image.items())
        if mark in seen:
            continue
        seen.add(mark)
        with room(image, home) as folder:
            with sqlite3.connect(folder / name) as raw:
                schema = raw.execute("SELECT schema_version FROM studio").fetchone()[0]
                columns = {row[1] for row in raw.execute("PRAGMA table_info(studio)")}
            raw.close()
            assert ("motto" in columns) == (schema == following)
            assert schema == following or not answered, kind
            found.add(schema)
            connection.open_books(str(folder / name))
            with connection.connection():
                assert (migrations.written_schema(database.obj), prove().problems) == (following, [])
                assert digest(skip=(models.Studio,)) == before
            assert len(snapshots.listing(str(folder / name))) == (schema == now)
    assert found == {now, following}
    print_count(f"a migration, {len(ops)} ops", points, len(seen))


class Through:
    """A module of ours or the standard library's with some of its names replaced."""

    def __init__(self, module, **replaced):
        self._module = module
        self.__dict__.update(replaced)

    def __getattr__(self, name):
        return getattr(self._module, name)


def copied_pages(old, new):
    with new.backup("main", old, "main") as copying_pages:
        while not copying_pages.done:
            copying_pages.step(8)


def remember_backups(monkeypatch, disk):
    """Let the copies, renames and syncs of backups go through the disk."""
    import os as real

    monkeypatch.setattr(
        snapshots,
        "sqlite3",
        Through(sqlite3, connect=lambda path: disk.line(str(path))),
    )
    monkeypatch.setattr(
        snapshots,
        "files",
        Through(files, reader=lambda path: disk.line(files.uri(path, "mode=ro")), copy_pages=copied_pages),
    )
    handles = {}

    class Remembering:
        def __getattr__(self, name):
            return getattr(real, name)

        def open(self, path, *args):
            handle = real.open(path, *args)
            handles[handle] = str(path)
            return handle

        def fsync(self, handle):
            disk.ask(Op("sync", handles[handle]) if not Path(handles[handle]).is_dir() else Op("sync-folder"))
            real.fsync(handle)

        def replace(self, old, new):
            disk.ask(Op("name", str(old), to=str(new)))
            real.replace(old, new)

    monkeypatch.setattr(snapshots, "os", Remembering())


def test_a_crash_at_every_point_of_a_backup(mixed, address, monkeypatch, print_count, sampled):
    """At its own name a backup is whole or not there; the books themselves are never touched."""
    known = digest()
    database.close()
    home = Path(address).parent
    start = files_in(home)
    disk = Disk()
    with monkeypatch.context() as patched:
        remember_backups(patched, disk)
        made = snapshots.take(address, "asked")
    disk.done()
    points, whole, seen = 0, 0, set()
    for at, kind, answered, image in crashes(start, disk.ops, torn=6, **sampled):
        points += 1
        mark = frozenset((path, hash(content)) for path, content in image.items())
        if mark in seen:
            continue
        seen.add(mark)
        assert image[address] == start[address]
        with room(image, home) as folder:
            copy = folder / made.relative_to(home)
            listed = snapshots.listing(str(folder / Path(address).name))
            assert [one.path for one in listed] == ([copy] if copy.exists() else [])
            assert copy.exists() or not answered, (at, kind)
            if copy.exists():
                whole += 1
                assert file_checks.problems(copy) == [], (at, kind)
                connection.open_books(str(copy))
                with connection.connection():
                    assert digest() == known
    assert whole >= 1
    print_count(f"a backup, {len(disk.ops)} ops", points, len(seen))


def test_a_crash_at_every_point_of_a_restore(stocked, address, monkeypatch, print_count, sampled):
    """Put back into books in use: they are as before or as in the backup, never between."""
    from stock.exchange import backup, replacing

    made = backup.make(address)
    old = digest()
    a_mix()
    new = digest()
    database.close()
    home = Path(address).parent
    start = {address: Path(address).read_bytes()}
    disk = Disk()
    copy_file = snapshots.copy_file
    with monkeypatch.context() as patched:
        patched.setattr(replacing, "sqlite3", Through(sqlite3, connect=lambda *_, **__: disk.line(address)))
        # The file is held by the disk alone, so that no other line can copy what is kept.
        patched.setattr(snapshots, "copy_file", lambda *to, look=True: copy_file(*to) if look else None)
        backup.restore(made.path, address)
    disk.done()
    points, states, proofs = 0, {}, {}
    for at, kind, answered, image in crashes(start, disk.ops, torn=1, **sampled):
        points += 1
        mark = frozenset((path, hash(content)) for path, content in image.items())
        if mark not in states:
            states[mark] = state_of(image, home, Path(address).name, proofs)
        assert states[mark] in (((old, []),) if answered else ((old, []), (new, []))), (at, kind)
    assert {state for state, _ in states.values()} == {old, new}
    print_count(f"a restore, {len(disk.ops)} ops", points, len(states))


def test_torn_writes_are_what_they_say():
    """The disk's own arithmetic, by hand: ten bytes written over four, of which some reach the platter."""
    ops = [Op("write", "f", 0, b"aaaa"), Op("sync", "f"), Op("write", "f", 2, b"bbbbbbbbbb"), Op("done")]
    images = list(crashes({"f": b""}, ops, torn=20))
    last = [image["f"] for count, kind, _, image in images if count == 4 and kind == "torn"]
    assert all(image[:2] == b"aa" and set(image[2:]) <= set(b"ab") for image in last)
    assert len(set(last)) > 5
    rest = {(kind, image["f"]) for count, kind, _, image in images if count == 4 and kind != "torn"}
    assert rest == {("killed", b"aabbbbbbbbbb"), ("power cut", b"aaaa")}


def test_a_crash_at_every_point_of_an_import(mixed, address, tmp_path, monkeypatch, print_count, sampled):
    """An exported folder taken into a new file: no books are there, or all of them."""
    from stock.errors import BooksUnreachable
    from stock.exchange import folder as exported

    exported.export(address, str(tmp_path / "out"))
    known = digest()
    database.close()
    home = tmp_path / "new"
    home.mkdir()
    target = str(home / "studio.ullage")
    connection.make_room(target)
    start = files_in(home)
    Path(target).unlink()
    disk = Disk()
    with disk.beneath(monkeypatch):
        exported.take_in(str(tmp_path / "out"), target)
    disk.done()
    points, states, proofs = 0, {}, {}
    for at, kind, answered, image in crashes(start, disk.ops, torn=2, **sampled):
        points += 1
        mark = frozenset((path, hash(content)) for path, content in image.items())
        if mark not in states:
            try:
                states[mark] = state_of(image, home, "studio.ullage", proofs)
            except BooksUnreachable as refusal:
                states[mark] = refusal.code
        assert states[mark] == (known, []) or (states[mark] == "no-books" and not answered), (at, kind)
    assert set(map(str, states.values())) == {"no-books", str((known, []))}
    print_count(f"an import, {len(disk.ops)} ops", points, len(states))
