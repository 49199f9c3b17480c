"""Every output where a system lacks what only POSIX has: a simulation takes those names and modules away first.

It opens no folder, and settles no file that was opened to be read, as Windows doesn't.
"""

import subprocess
import sys

import pytest

NAMES = (
    "O_NOFOLLOW", "O_DIRECTORY", "O_NONBLOCK", "O_CLOEXEC", "fchmod", "fchown", "chown", "lchown", "geteuid", "getuid",
    "getegid", "getgid", "getpgid", "mkfifo", "mknod", "fork", "forkpty", "openpty", "statvfs", "link", "symlink",
    "sched_getaffinity", "sync", "getpgrp", "setsid", "initgroups",
)  # fmt: skip
MODULES = ("fcntl", "pwd", "grp", "resource", "termios", "tty", "pty")
LINES = (
    "new", "product add Blue --role paint --price 60ml=7.90 --flash-point none", "receive Blue 60ml --count 2 --lot L1",
    "mix Blue=2ml", "cost --csv cost.csv --page cost.html", "cost --csv cost.csv", "cost --csv other.csv --force",
    "emissions --csv voc.csv --page voc.html", "trace --lot L1 --csv lot.csv --page lot.html", "labels labels.svg",
    "forecast --calendar days.ics", "backup", "backup kept.ullage", "copy copy.ullage", "export out",
    "--studio again.ullage import out", "import stock.csv", "restore kept.ullage --yes",
    "today", "check",
)  # fmt: skip
DEMO = "demo --keep demo.ullage"  # it tells the sample studio's whole story
REFUSED = (
    "cost --csv studio.ullage --force",
    "labels kept.ullage --force",
    "copy studio.ullage",
    "backup kept.ullage",
)
PROGRAM = """
import os, shutil, sys
import platformdirs  # on such a system it asks for none of those names
shutil._use_fd_functions = False
open_, fsync, only_read = os.open, os.fsync, set()
def no_folders(path, flags, *more, **options):
    if os.path.isdir(path):
        raise PermissionError(13, "Permission denied", path)
    handle = open_(path, flags, *more, **options)
    (only_read.discard if flags & (os.O_WRONLY | os.O_RDWR) else only_read.add)(handle)
    return handle
def no_reader(handle):
    if handle in only_read:
        raise OSError(9, "Bad file descriptor")
    fsync(handle)
os.open, os.fsync = no_folders, no_reader
for name in {names!r}:
    if hasattr(os, name):
        delattr(os, name)
for name in {modules!r}:
    sys.modules[name] = None
from tui.__main__ import main
for line in {lines!r}:
    status = main(line.split())
    if status:
        sys.exit(f"{{line}}: {{status}}")
for line in {refused!r}:
    if main(line.split()) != 2:
        sys.exit(f"{{line}} was not refused")
"""


@pytest.mark.only("sqlite")
@pytest.mark.deepens
def test_each_output_where_posix_names_are_missing(tmp_path, engine, request):
    (tmp_path / "other.csv").write_text("mine")
    (tmp_path / "stock.csv").write_text("Paint,Size,Left\nBlue,60 ml,41.5 ml\n")
    lines = (*LINES, DEMO) if request.config.getoption("deep") else LINES
    program = PROGRAM.format(names=NAMES, modules=MODULES, lines=lines, refused=REFUSED)
    run = subprocess.run(
        [sys.executable, "-c", program],
        cwd=tmp_path,
        env={
            "ULLAGE_STUDIO": str(tmp_path / "studio.ullage"),
            "PYTHONPATH": ":".join(sys.path),
            "HOME": str(tmp_path),
        },
        capture_output=True,
        text=True,
    )
    assert run.returncode == 0, run.stderr[-2_000:]
    assert "Traceback" not in run.stderr
    assert "itself" not in run.stderr
    assert run.stderr.count("nothing was written") == len(REFUSED)
