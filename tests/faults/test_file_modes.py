"""Whatever a command writes is its owner's alone, even under an umask that would let everybody read it."""

import os
import stat
from pathlib import Path

import pytest

from stock.cli.main import main
from stock.store import snapshots

WRITES = (
    "new --name Alone", "product add Blue --role paint --price 60ml=7.90 --flash-point none",
    "receive Blue 60ml --count 2", "mix Blue=2ml", "backup", "backup {home}/safe/asked.ullage", "export {home}/out",
    "labels {home}/labels.svg", "cost --csv {home}/cost.csv --page {home}/cost.html",
    "emissions --csv {home}/voc.csv --page {home}/voc.html", "forecast --calendar {home}/days.ics",
    "import {home}/stock.csv --make --role paint",
    "trace --lot L1 --csv {home}/lot.csv --page {home}/lot.html", "copy {home}/elsewhere/copy.ullage",
    "restore {home}/safe/asked.ullage --yes",
)  # fmt: skip


@pytest.fixture
def loose(tmp_path):
    """A home that everybody may read, and no umask."""
    before = os.umask(0)
    home = tmp_path / "home"
    home.mkdir()
    (home / "safe").mkdir(mode=0o700)
    (home / "elsewhere").mkdir(mode=0o700)
    (home / "stock.csv").write_text("Product,Size,Lot\nRed,60 ml,L1\n", encoding="utf-8")
    (home / "stock.csv").chmod(0o600)
    for name in (".cost.csv.new", ".labels.svg.new", ".days.ics.new"):
        (home / name).write_text("left behind", encoding="utf-8")
        (home / name).chmod(0o666)
    yield home
    os.umask(before)


def test_every_file_and_folder_that_is_written(loose, monkeypatch, capsys):
    seen, replace = [], os.replace

    def noted(source, target, **more):
        seen.append(stat.S_IMODE(os.stat(source).st_mode))
        replace(source, target, **more)

    monkeypatch.setattr(os, "replace", noted)
    books = loose / "deep" / "er" / "studio.ullage"
    for line in WRITES:
        status = main(["--studio", str(books), *line.format(home=loose).split()])
        assert status == 0, (line, capsys.readouterr().err)
    written = [path for path in loose.rglob("*") if not path.name.endswith(".new")]
    files = {path: stat.S_IMODE(path.stat().st_mode) for path in written if path.is_file()}
    assert {path: oct(mode) for path, mode in files.items() if mode != 0o600} == {}
    folders = {path for path in written if path.is_dir() and path != loose / "deep"}
    assert {path for path in folders if stat.S_IMODE(path.stat().st_mode) != 0o700} == set()
    assert set(seen) == {0o600}
    assert len(files) > 45
    assert Path(snapshots.folder(str(books))) in folders
