"""A disk that remembers: every write, sync, cut and deletion that SQLite asks for, to be played again and cut short.

It stands beneath the real code: the tables are bound to an engine whose file goes through `Disk`. SQLite's
shared memory can't be had through such a layer, so the connection holds the file alone (`locking_mode =
exclusive`); what is written to the file and to its log, and when it is synced, is the same.
"""

import itertools
import random
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

import apsw
from playhouse.apsw_ext import APSWDatabase

from stock.store import connection, files

SECTOR = 512
_names = itertools.count()


@dataclass(frozen=True, slots=True)
class Op:
    """One thing that was asked of the disk: `write`, `cut` (to a length), `sync`, `delete`, `name` (rename), `done`."""

    kind: str
    path: str = ""
    at: int = 0
    data: bytes = b""
    to: str = ""


class Cursor(apsw.Cursor):
    """A cursor that counts the rows it changed and knows the last one's number, as the standard library's do."""

    @property
    def rowcount(self):
        return self.connection.changes()

    @property
    def lastrowid(self):
        return self.connection.last_insert_rowid()


class Engine(APSWDatabase):
    """An engine whose file goes through a disk of ours."""

    def _connect(self):
        line = super()._connect()
        line.cursor_factory = Cursor
        return line

    def rows(self, sql, params=None):
        return self.execute_sql(sql, params).fetchall()

    def know_again(self):
        """Nobody puts other books at the path of a recording."""


class Disk(apsw.VFS):
    """The machine's own disk, with a memory; `fail` may raise before an op is carried out."""

    def __init__(self):
        self.label = f"disk-{next(_names)}"
        self.ops: list[Op] = []
        self.fail = None
        super().__init__(self.label, "")

    def xOpen(self, name, flags):
        return File(self, name, flags)

    def xDelete(self, name, syncdir):
        self.ask(Op("delete", name))
        super().xDelete(name, syncdir)

    def ask(self, op: Op) -> None:
        if self.fail is not None:
            self.fail(op)
        self.ops.append(op)

    def line(self, path: str) -> apsw.Connection:
        """A plain connection to a file on this disk; a URI that only reads goes past it, and is not remembered."""
        if path.startswith("file:"):
            return apsw.Connection(path, flags=apsw.SQLITE_OPEN_READONLY | apsw.SQLITE_OPEN_URI)
        line = apsw.Connection(path, vfs=self.label)
        line.execute("PRAGMA locking_mode = exclusive")
        return line

    def done(self) -> None:
        """Note that the errand so far was answered for: nothing may take it back from here on."""
        self.ops.append(Op("done"))

    @contextmanager
    def beneath(self, monkeypatch, *, checkpoint: int = 1_000) -> Iterator["Disk"]:
        """Let the real code's books be on this disk; the log is played into the file every `checkpoint` pages."""

        def engine(address, *, patient=False):
            pragmas = [("locking_mode", "exclusive"), *files.PRAGMAS, ("wal_autocheckpoint", checkpoint)]
            return Engine(address, pragmas=pragmas, lock_type="IMMEDIATE", autoconnect=False, vfs=self.label)

        with monkeypatch.context() as patched:
            patched.setattr(connection, "engine", engine)
            yield self


class File(apsw.VFSFile):
    """A file of that disk; the temporary files that SQLite makes for itself have no name and are not remembered."""

    def __init__(self, disk, name, flags):
        self.disk = disk
        self.path = name.filename() if isinstance(name, apsw.URIFilename) else name
        super().__init__("", name, flags)

    def xWrite(self, data, offset):
        if self.path:
            self.disk.ask(Op("write", self.path, offset, bytes(data)))
        super().xWrite(data, offset)

    def xTruncate(self, size):
        if self.path:
            self.disk.ask(Op("cut", self.path, size))
        super().xTruncate(size)

    def xSync(self, flags):
        if self.path:
            self.disk.ask(Op("sync", self.path))
        super().xSync(flags)


@dataclass(slots=True)
class Kept:
    """One file: what is safe on the platter, and what was asked since the last sync."""

    safe: bytearray = field(default_factory=bytearray)
    pending: list[Op] = field(default_factory=list)

    def after(self, ops: list[Op]) -> bytes:
        content = bytearray(self.safe)
        for op in ops:
            _carry_out(content, op)
        return bytes(content)


def _carry_out(content: bytearray, op: Op) -> None:
    if op.kind == "cut":
        del content[op.at :]
        return
    content.extend(bytes(max(0, op.at - len(content))))
    content[op.at : op.at + len(op.data)] = op.data


Image = dict[str, bytes]


@dataclass(slots=True)
class Replay:
    """The files after any number of remembered ops, as different kinds of crash leave them."""

    files: dict[str, Kept]
    ghosts: dict[str, Kept] = field(default_factory=dict)
    answered: int = 0

    @classmethod
    def of(cls, start: Image) -> "Replay":
        return cls({path: Kept(bytearray(content)) for path, content in start.items()})

    def take(self, op: Op) -> None:
        match op.kind:
            case "done":
                self.answered += 1
            case "delete":
                gone = self.files.pop(op.path, None)
                if gone is not None:
                    self.ghosts[op.path] = gone
            case "name":
                self.ghosts.pop(op.to, None)
                self.files[op.to] = self.files.pop(op.path)
            case "sync-folder":
                self.ghosts.clear()
            case "sync":
                kept = self.files.setdefault(op.path, Kept())
                kept.safe = bytearray(kept.after(kept.pending))
                kept.pending.clear()
            case _:
                self.ghosts.pop(op.path, None)
                self.files.setdefault(op.path, Kept()).pending.append(op)

    def killed(self) -> Image:
        """The program died; the machine went on and wrote all that was asked."""
        return {path: kept.after(kept.pending) for path, kept in self.files.items()}

    def power_cut(self) -> Image:
        """Nothing unsynced reached the platter, and no deletion did."""
        return {path: bytes(kept.safe) for path, kept in (self.ghosts | self.files).items()}

    def torn(self, chance: random.Random) -> Image:
        """Some of what was unsynced reached the platter, in any choice, and one write only in part."""
        image = {}
        for path, kept in (self.ghosts | self.files).items():
            if path in self.ghosts and chance.random() < 0.5:
                continue
            survived = [op for op in kept.pending if chance.random() < 0.7]
            if survived and survived[-1].kind == "write" and chance.random() < 0.7:
                last = survived[-1]
                whole = len(last.data)
                reached = (
                    chance.randrange(whole) if chance.random() < 0.5 else chance.randrange(0, whole, SECTOR)
                )
                survived[-1] = Op("write", path, last.at, last.data[:reached])
            image[path] = kept.after(survived)
        return image


def crashes(
    start: Image, ops: list[Op], *, torn: int, seed: int = 1, most: int | None = None
) -> Iterator[tuple[int, str, int, Image]]:
    """Every crash of a recording: after each op, killed, with the power cut, and torn in `torn` ways.

    Args:
        start: the files before the first op.
        ops: what was asked of the disk.
        torn: in how many ways each point is torn.
        seed: which writes are torn, and which points are taken.
        most: crash after the first op, the last and so many between; None after every op.

    Yields:
        (ops before the crash, the kind, how many errands had been answered, the files).
    """
    chance = random.Random(seed)
    replay = Replay.of(start)
    points = range(len(ops) + 1)
    if most is not None and most < len(points):
        points = {points[0], points[-1], *chance.sample(points, most)}
    for count in range(len(ops) + 1):
        if count in points:
            yield count, "killed", replay.answered, replay.killed()
            yield count, "power cut", replay.answered, replay.power_cut()
            for _ in range(torn):
                yield count, "torn", replay.answered, replay.torn(chance)
        if count < len(ops):
            replay.take(ops[count])


def files_in(folder: Path) -> Image:
    """The content of every file of a folder, as a recording starts with."""
    return {str(path): path.read_bytes() for path in folder.iterdir() if path.is_file()}
