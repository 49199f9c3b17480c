"""Pipes, devices, sockets and folders where a file is read: refused with a sentence, and nobody waits for them."""

import os
import shlex
import subprocess
import sys
from pathlib import Path

import pytest

from stock.store.models import database
from tests.content import content
from tests.faults.fuzzing import litter, run

ODD = {"pipe": "a pipe", "device": "a device", "socket": "a socket", "full": "a folder"}
READING = (
    "import {} --kind mixes",
    "restore {} --yes",
    "restore {} --dry-run",
    "shelf --studio {}",
    "new --studio {}",
    "copy {}",
    "serve --host 0.0.0.0 --password-file {}",
)


@pytest.mark.only("sqlite")
def test_what_is_no_file_is_refused_where_one_is_read(
    stocked: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = tmp_path / "work"
    folder.mkdir()
    monkeypatch.chdir(folder)
    monkeypatch.setenv("ULLAGE_STUDIO", stocked)
    database.close()
    litter(folder)
    for name in ODD:
        if name != "full":
            (folder / name).chmod(0o600)
    before, wrong = content(stocked), []
    for line in READING:
        for name, kind in ODD.items():
            if line.startswith("import") and name == "full":
                continue  # an exported folder is read
            ran = run(shlex.split(line.format(name)))
            fine = ran.status in (2, 3) and (kind in ran.err or name == "full")
            if not fine or ran.wrong(as_json=False) or not os.path.lexists(name):
                wrong.append(f"{line.format(name)}: {ran}")
    assert not wrong, "\n".join(wrong)
    assert content(stocked) == before
    # a pipe among the files of an export, and among the backups beside the books
    assert run(["export", "out"]).status == 0
    Path("out/booking.csv").unlink()
    os.mkfifo("out/booking.csv")
    assert run(["import", "out", "--studio", "new.ullage"]).status == 2
    backups = Path(f"{stocked}.backups")
    backups.mkdir(exist_ok=True)
    os.mkfifo(backups / "daily-2026-01-01T000000Z.ullage")
    assert run(["restore"]).status == 0


@pytest.mark.only("sqlite")
def test_standard_input_is_read_where_it_is_a_file_and_refused_where_it_is_a_pipe(
    stocked: str, tmp_path: Path
) -> None:
    database.close()
    sheet = tmp_path / "mixes.csv"
    sheet.write_text("Date,Paint,Amount\n2025-01-01,Harbour Blue,8 ml\n")
    line = [sys.executable, "-m", "tui", "import", "/dev/stdin", "--dry-run", "--studio", stocked]
    with sheet.open() as file:
        assert subprocess.run(line, stdin=file, capture_output=True, timeout=300).returncode == 0
    ran = subprocess.run(line, input=sheet.read_bytes(), capture_output=True, timeout=300)
    assert (ran.returncode, b"/dev/stdin is a pipe" in ran.stderr) == (2, True)
