"""Where an output may go: never over the books, a backup or a device, whatever the path looks like."""

import os
import shutil
import socket
from pathlib import Path

import pytest

from stock.errors import BadInput
from stock.exchange import backup
from stock.store import outputs
from stock.store.outputs import MARK, Output, WouldOverwrite, write
from stock.store.paths import located

pytestmark = pytest.mark.only("sqlite")
POSIX_ONLY = ("O_NOFOLLOW", "O_DIRECTORY", "O_NONBLOCK", "fchmod", "fchown", "chown", "geteuid", "getuid", "mkfifo",
              "fork", "link", "symlink")  # fmt: skip


def costs(path, errand="costs as CSV"):
    return Output(Path(path), f"one\r\ntwo\r\nWritten by Ullage, {MARK}\r\n", errand)


@pytest.fixture
def around(stocked, tmp_path, monkeypatch):
    """The studio's folder as one works in it, with links, pipes and backups beside the books."""
    backup.make(stocked)
    monkeypatch.chdir(tmp_path)
    books = Path(stocked)
    (kept,) = Path(f"{stocked}.backups").iterdir()
    (tmp_path / "link.csv").symlink_to(books)
    (tmp_path / "links.csv").symlink_to("link.csv")
    (tmp_path / "log.csv").symlink_to(f"{stocked}-journal")
    (tmp_path / "backup.csv").symlink_to(kept)
    (tmp_path / "device.csv").symlink_to("/dev/null")
    (tmp_path / "door").symlink_to(tmp_path, target_is_directory=True)
    os.link(books, tmp_path / "hard.csv")
    os.link(f"{stocked}-wal", tmp_path / "hardlog.csv")
    shutil.copy(kept, tmp_path / "moved.csv")
    shutil.copy(books, tmp_path / "other.ullage")
    os.mkfifo(tmp_path / "pipe")
    (tmp_path / "folder").mkdir()
    with socket.socket(socket.AF_UNIX) as listening:
        listening.bind("socket")
        yield tmp_path


NEVER = (
    "studio.ullage", "./studio.ullage", "folder/../studio.ullage", "door/studio.ullage", "STUDIO.Ullage",
    "studio.ullage ", "studio.ullage.", "studio.ullage-wal", "studio.ullage-shm", "studio.ullage-journal",
    "Studio.ullage-JOURNAL", "studio.ullage.backups/costs.csv", "door/studio.ullage.backups/costs.csv",
    "studio.ullage.backups", "link.csv", "links.csv", "log.csv", "backup.csv", "device.csv", "hard.csv", "hardlog.csv",
    "moved.csv", "other.ullage", "other.ullage-wal", "pipe", "socket", "folder", "/dev/null", "/dev/stdout",
    "/dev/fd/1", "/proc/self/fd/1", "/dev/new-file", "door/device.csv",
)  # fmt: skip


@pytest.mark.parametrize("given", ["absolute", "relative"])
def test_some_places_are_refused_even_when_a_person_insists(around, stocked, given):
    books = stocked if given == "relative" else "studio.ullage"
    before = {path: path.lstat() for path in around.rglob("*")}
    for place in NEVER:
        path = Path(place if given == "relative" else around / place)
        for replace in (False, True):
            with pytest.raises(WouldOverwrite, match="nothing was written") as refusal:
                write([costs(path)], books, replace=replace)
            assert not refusal.value.replaceable, place
            assert (refusal.value.code, refusal.value.exit_status) == ("would-overwrite", 2)
    assert {path: path.lstat().st_mtime_ns for path in around.rglob("*")} == {
        path: state.st_mtime_ns for path, state in before.items()
    }


def test_an_errand_replaces_what_it_left_and_nothing_else(around, stocked):
    path = around / "costs.csv"
    write([costs(path)], stocked)
    assert path.stat().st_mode & 0o777 == 0o600
    path.chmod(0o644)
    write([costs(path)], stocked)
    assert path.stat().st_mode & 0o777 == 0o644
    left = path.read_bytes()
    assert left.startswith(b"one\r\ntwo\r\nWritten by Ullage, mark ")
    for change in (left.replace(b"two", b"2"), left + b"\n", b"", b"\xff", left.replace(b"mark", b"Mark")):
        path.write_bytes(change)
        with pytest.raises(WouldOverwrite, match="not what this wrote") as refusal:
            write([costs(path)], stocked)
        assert refusal.value.replaceable
        assert "--force" in refusal.value.remedy
        assert path.read_bytes() == change
    path.write_bytes(left)
    with pytest.raises(WouldOverwrite):
        write([costs(path, "costs as CSV, of another month")], stocked)
    with pytest.raises(WouldOverwrite):
        write([costs(path)], str(around / "other.ullage"))
    path.chmod(0o444)
    with pytest.raises(WouldOverwrite, match="only be read"):
        write([costs(path)], stocked)
    write([costs(path, "something else")], stocked, replace=True)
    assert path.read_bytes() != left
    assert path.stat().st_mode & 0o777 == 0o444


def test_a_link_to_a_plain_file_is_followed_only_when_asked(around, stocked):
    there = around / "folder" / "there.csv"
    there.write_text("mine")
    link = around / "report.csv"
    link.symlink_to(there)
    with pytest.raises(WouldOverwrite, match="is a link to"):
        write([costs(link)], stocked)
    assert there.read_text() == "mine"
    write([costs(link)], stocked, replace=True)
    assert link.is_symlink()
    assert there.read_text().startswith("one")


def test_several_files_are_written_all_or_none(around, stocked):
    (around / "second.csv").write_text("mine")
    with pytest.raises(WouldOverwrite):
        write([costs("first.csv"), costs("second.csv")], stocked)
    with pytest.raises(BadInput, match="one file"):
        write([costs("first.csv"), costs("door/first.csv", "page")], stocked)
    with pytest.raises(BadInput, match="can't be written"):
        write([costs("first.csv"), costs("missing/second.csv")], stocked)
    assert not (around / "first.csv").exists()
    assert not list(around.rglob("*.new"))


@pytest.mark.parametrize("failing", ["fsync", "replace"])
def test_nothing_is_left_of_a_write_that_fails(around, stocked, monkeypatch, failing):
    def full(*_):
        raise OSError(28, "No space left on device")

    (around / "old.csv").write_text("mine")
    monkeypatch.setattr(os, failing, full)
    with pytest.raises(BadInput, match="No space left"):
        write([costs("old.csv")], stocked, replace=True)
    assert (around / "old.csv").read_text() == "mine"
    assert not list(around.rglob("*.new"))


def test_a_file_that_appears_meanwhile_is_not_replaced(around, stocked, monkeypatch):
    real = outputs._fill

    def and_then(part, end, text):
        real(part, end, text)
        end.write_text("somebody else's")

    monkeypatch.setattr(outputs, "_fill", and_then)
    with pytest.raises(WouldOverwrite):
        write([costs("fresh.csv")], stocked)
    assert (around / "fresh.csv").read_text() == "somebody else's"
    assert not list(around.rglob("*.new"))


@pytest.mark.parametrize("missing", [*POSIX_ONLY, POSIX_ONLY])
def test_a_system_without_posix_names_writes_as_well(around, stocked, monkeypatch, missing):
    for name in [missing] if isinstance(missing, str) else missing:
        monkeypatch.delattr(os, name)
    write([costs("first.csv")], stocked)
    write([costs("first.csv")], stocked)
    (around / "second.csv").write_text("mine")
    with pytest.raises(WouldOverwrite):
        write([costs("second.csv")], stocked)
    write([costs("second.csv")], stocked, replace=True)
    for place in ("studio.ullage", "link.csv", "hard.csv", "pipe", "/dev/null", "moved.csv"):
        with pytest.raises(WouldOverwrite):
            write([costs(place)], stocked, replace=True)


def test_a_path_is_read_as_a_person_writes_it(monkeypatch, tmp_path):
    monkeypatch.setenv("HOME", str(tmp_path))
    assert located("~/a b.csv") == tmp_path / "a b.csv"
    assert located("-") == outputs.STANDARD_OUTPUT
    for text in ("", " ", "a\nb", "a\0b", "x.csv\n", "\x1b[2J", "~nobody-of-that-name/x"):
        with pytest.raises(BadInput):
            located(text)
    with pytest.raises(BadInput, match="standard output"):
        write([costs("-")], "")


def test_odd_names_and_loops_are_refused_or_written(around, stocked):
    (around / "loop.csv").symlink_to("loop.csv")
    for place in ("loop.csv", "x" * 300, "folder/" * 2000 + "x", "studio.ullage/x.csv"):
        with pytest.raises((BadInput, WouldOverwrite)):
            write([costs(place)], stocked)
    for name in ("y" * 255, "\udcff.csv", " x.csv ", "[red]x.csv", "-n"):
        write([costs(name)], stocked)
        assert Path(name).exists()
