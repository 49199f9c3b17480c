"""A disk that is full, fails, may not be written or isn't there: one clear sentence, and nothing half done."""

import multiprocessing
import os
import resource
import shutil
import signal
import sqlite3
import stat
import tempfile
import time
import traceback
from fractions import Fraction
from pathlib import Path

import apsw
import pytest

from stock.bench.mixing import MixRequest, book_mix
from stock.errors import BooksUnreachable, UllageError
from stock.exchange import backup, copying
from stock.logbook.proof import prove
from stock.shelf import deliveries, products, studio
from stock.store import connection, files, models
from stock.store.models import database
from tests.faults.recorder import Disk

pytestmark = pytest.mark.only("sqlite")
REQUEST = MixRequest(parts=(("Harbour Blue", 100),), reduce=Fraction(20), job="Tank")


def digest():
    return [copying.digest_of(database.obj, table) for table in models.TABLES]


@pytest.fixture
def print_count(capsys):
    def tell(what):
        with capsys.disabled():
            print(f"\n  {what}", end="")

    return tell


HELD_S = float(os.environ.get("ULLAGE_HELD_SECONDS", "0.6"))
SAID = {apsw.FullError: "database or disk is full", apsw.IOError: "disk I/O error"}  # SQLite's own words


class Failing:
    """A disk's temper: from its n-th write or sync on, `lasting` or once, it raises."""

    def __init__(self, at, error, *, lasting):
        self.left, self.error, self.lasting, self.hit = at, error, lasting, 0

    def __call__(self, op):
        if op.kind not in ("write", "sync", "cut"):
            return
        self.left -= 1
        if self.left < 0 and (self.lasting or self.left == -1):
            self.hit += 1
            raise self.error(SAID[self.error])


@pytest.fixture
def step(request):
    """At each of how many writes the disk is tried: at every one with --deep."""
    return 1 if request.config.getoption("deep") else 4


@pytest.mark.deepens
@pytest.mark.parametrize("lasting", [True, False], ids=["from then on", "once"])
@pytest.mark.parametrize(("error", "sentence"), [(apsw.FullError, "full"), (apsw.IOError, "disk failed")])
def test_a_disk_that_says_no_at_every_write(
    stocked, address, monkeypatch, print_count, step, request, error, sentence, lasting
):
    """A mix is refused in one sentence, nothing of it is booked, and when the disk is well again it is booked once.

    Where SQLite had all it needed before the disk failed, the mix may be there already: then the repeat with
    its key gets the first answer.
    """
    database.close()
    at, refused = request.config.option.sample_seed % step, 0
    while True:
        key = f"mix {at}"
        disk = Disk()
        with disk.beneath(monkeypatch, checkpoint=4):
            connection.open_books(address)
            with connection.connection():
                before, mixes = digest(), models.Mix.select().count()
                disk.fail = temper = Failing(at, error, lasting=lasting)
                try:
                    book_mix(REQUEST, key=key)
                except BooksUnreachable as refusal:
                    refused += 1
                    assert sentence in refusal.message
                disk.fail = None
                after = digest()
                booked = models.Mix.select().count() - mixes
                assert booked or after == before
                book_mix(REQUEST, key=key)
                assert models.Mix.select().count() == mixes + 1
                assert prove().problems == []
        at += step
        if not temper.hit:
            break
    assert refused >= 5 // step + 1
    print_count(
        f"a disk that says {sentence!r} {'from then on' if lasting else 'once'}: {at // step} points, "
        f"{refused} refusals"
    )


def child(work, *args):
    """Run `work` in a process of its own, forked from this one, and give back what it answered."""
    context = multiprocessing.get_context("fork")
    here, there = context.Pipe(duplex=False)
    process = context.Process(target=_answer, args=(there, work, args))
    process.start()
    there.close()
    try:
        return here.recv()
    finally:
        process.join()


def _answer(line, work, args):
    try:
        line.send(("fine", work(*args)))
    except UllageError as refusal:
        line.send(("refused", str(refusal)))
    except BaseException as error:
        line.send(("broke", "".join(traceback.format_exception(error))))


def mix_within(address, limits):
    """Mix with files that may not grow beyond each of `limits` bytes: the kernel refuses the write itself."""
    signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
    answers = []
    for number, limit in enumerate(limits):
        resource.setrlimit(resource.RLIMIT_FSIZE, (limit, resource.RLIM_INFINITY))
        try:
            connection.open_books(address)
            with connection.connection():
                book_mix(REQUEST, key=f"limit {number}")
            answers.append("booked")
        except BooksUnreachable as refusal:
            answers.append(refusal.message)
        resource.setrlimit(resource.RLIMIT_FSIZE, (resource.RLIM_INFINITY, resource.RLIM_INFINITY))
        connection.open_books(address)
        with connection.connection():
            assert prove().problems == []
            booked = models.Mix.select().count()
            answers.append(booked)
    return answers


def test_the_kernel_refuses_to_let_the_files_grow(stocked, address, print_count):
    """A real process and the kernel's own refusal, at limits 3,072 bytes apart through a whole mix."""
    database.close()
    limits = list(range(0, 140_000, 3_072))
    kind, answers = child(mix_within, address, limits)
    assert kind == "fine", answers
    outcomes, counts = answers[::2], answers[1::2]
    assert counts == [outcomes[: at + 1].count("booked") for at in range(len(limits))]
    assert outcomes.count("booked") >= 3
    assert len(limits) - outcomes.count("booked") >= 10
    assert {said for said in outcomes if said != "booked"} <= {
        "the disk is full; nothing was booked", "the disk failed; nothing was booked",
        "the disk failed in the moment of booking, and it can't be known whether it was booked",
    }  # fmt: skip
    print_count(f"files that may not grow: {len(limits)} limits, {outcomes.count('booked')} mixes booked")


@pytest.mark.parametrize("left", range(0, 150_000, 9_973))
def test_a_backup_that_has_no_room_leaves_nothing(stocked, address, tmp_path, left):
    database.close()
    target = str(tmp_path / "room" / "b.ullage")
    Path(target).parent.mkdir()
    kind, said = child(back_up_within, address, target, left)
    assert kind == "refused", said
    assert "Check" in said or "Free some room" in said
    assert list(Path(target).parent.iterdir()) == []


def back_up_within(address, target, limit):
    signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
    resource.setrlimit(resource.RLIMIT_FSIZE, (limit, resource.RLIM_INFINITY))
    backup.make(address, target)


NOBODY = 65_534


def as_nobody(work, *args):
    """Without root's rights, which no permission binds; what is loaded late is loaded before they go."""
    with tempfile.TemporaryDirectory() as folder:
        make_one(f"{folder}/s.ullage")
        with connection.connection():
            products.add({"name": "Harbour Blue", "role": "paint"})
        take_in(f"{folder}/s.ullage")
        read_shelf(f"{folder}/s.ullage")
    if os.getuid() == 0:
        os.setgid(NOBODY)
        os.setuid(NOBODY)
    return work(*args)


def read_shelf(address):
    from stock.shelf.bottles import on_shelf

    connection.open_books(address)
    with connection.connection():
        return len(on_shelf())


def take_in(address):
    connection.open_books(address)
    with connection.connection():
        return deliveries.receive("Harbour Blue", 60_000)


@pytest.fixture
def public(stocked, address):
    """Books in a folder that a stranger could reach, were it not for their modes."""
    database.close()
    with tempfile.TemporaryDirectory() as folder:
        os.chmod(folder, 0o755)
        yield Path(shutil.copy(address, folder))
        os.chmod(folder, 0o755)


@pytest.mark.parametrize(
    ("file_mode", "folder_mode", "work", "said"),
    [
        (0o600, 0o755, read_shelf, "can't be read"),
        (0o644, 0o700, read_shelf, "no books|can't be read"),
        (0o444, 0o555, take_in, "can't be (written|opened)"),
        (0o444, 0o777, take_in, "can't be (written|opened)"),
    ],
    ids=["file not ours", "folder not ours", "folder and file read-only", "file read-only"],
)
def test_without_permission_it_is_said(public, file_mode, folder_mode, work, said):
    import re

    public.chmod(file_mode)
    public.parent.chmod(folder_mode)
    before = public.read_bytes()
    kind, answer = child(as_nobody, work, str(public))
    public.parent.chmod(0o755)
    assert kind == "refused", answer
    assert re.search(said, answer), answer
    assert public.read_bytes() == before


def test_a_studio_in_a_folder_that_may_not_be_written(public):
    public.parent.chmod(0o555)
    kind, answer = child(as_nobody, make_one, str(public.parent / "new" / "s.ullage"))
    assert kind == "refused", answer
    assert "can't be made: Permission denied" in answer


def make_one(address):
    studio.make(address, name="S", currency="EUR", time_zone="UTC", measures="metric")


def test_a_folder_that_is_missing_or_a_file(tmp_path):
    with pytest.raises(BooksUnreachable, match="there are no books at"):
        connection.open_books(str(tmp_path / "none" / "s.ullage"))
    (tmp_path / "file").write_text("")
    with pytest.raises(BooksUnreachable, match="can't be made"):
        make_one(str(tmp_path / "file" / "s.ullage"))


def test_a_lock_that_is_held_is_said_and_then_the_mix_is_booked(stocked, address, monkeypatch, print_count):
    """Held for 30 seconds on demand, where three tries wait ten seconds each as they do in earnest."""
    monkeypatch.setattr(files, "PATIENCE_S", HELD_S / 3)
    connection.open_books(address)
    holder = sqlite3.connect(address, isolation_level=None)
    holder.execute("BEGIN IMMEDIATE")
    with connection.connection():
        began, tries = time.monotonic(), 0
        while tries == 0 or time.monotonic() - began < HELD_S:
            tries += 1
            with pytest.raises(BooksUnreachable, match="another program holds the books") as refusal:
                book_mix(REQUEST, key="held")
            assert "nothing was booked" in str(refusal.value)
        print_count(f"a lock held for {time.monotonic() - began:.1f} s, {tries} tries refused")
        assert read_shelf(address) == 4
        holder.execute("ROLLBACK")
        holder.close()
    with connection.connection():
        assert book_mix(REQUEST, key="held")["booked"]


def test_the_books_and_all_that_sqlite_puts_beside_them_are_the_owners(stocked, address):
    book_mix(REQUEST)
    modes = {path.name: oct(stat.S_IMODE(path.stat().st_mode)) for path in Path(address).parent.iterdir()}
    assert set(modes.values()) == {"0o600"}, modes
    assert len(modes) == 3, "the file, its log and its index"
