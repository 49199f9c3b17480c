"""`ullage export`, `import`, `labels`, as a person types them."""

import json
from pathlib import Path
from typing import Any

import pypdf
import pytest

from stock.cli.main import main
from stock.store.models import database
from tests.cli.answers import answer_of


@pytest.fixture
def run(stocked: str, capsys: pytest.CaptureFixture[str]) -> Any:
    def go(*line: str, expect: int = 0, studio: str = stocked) -> Any:
        status = main([*line, "--studio", studio, "--json"])
        out, err = capsys.readouterr()
        assert status == expect, err
        return answer_of(out) if out else json.loads(err)

    return go


def test_out_and_back(run: Any, tmp_path: Path) -> None:
    out, target = str(tmp_path / "out"), str(tmp_path / "back.ullage")
    written = run("export", out)
    shown = run("import", out, "--dry-run", studio=target)
    assert (shown["booked"], shown["rows"]) == (False, written["rows"])
    assert not Path(target).exists()
    database.close()
    back = run("import", out, studio=target)
    assert (back["digest"], back["booked"]) == (written["digest"], True)
    assert run("check", studio=target)["ok"] is True
    assert run("import", out, studio=target, expect=2)["error"]["code"] == "not-empty"
    assert run("export", out, expect=2)["error"]["code"] == "bad-input"


def test_a_spreadsheet_is_shown_then_booked_then_known(
    run: Any, stocked: str, tmp_path: Path, capsys: Any
) -> None:
    path = tmp_path / "stock.csv"
    path.write_text("Paint,Size,Left,Shade\nHarbour Blue,60,41.5,x\nTram Red,30,,y\n")
    shown = run("import", str(path), "--dry-run", expect=1)
    assert [(one["id"], one["rows"]) for one in shown["questions"]] == [("left-1", [2]), ("unit-1", [2, 3])]
    assert run("import", str(path), "--unit", "ml", expect=2)["error"]["code"] == "bad-rows"
    line = ["import", str(path), "--unit", "ml", "--make", "--role", "paint"]
    assert main([*line, "--dry-run", "--studio", stocked]) == 0
    text = capsys.readouterr().out
    assert "left out: Shade" in text
    assert "Tram Red (paint)" in text
    assert run(*line)["bottles"] == 2
    assert run(*line)["again"] is True
    assert main([*line, "--studio", stocked]) == 0
    assert "was booked before" in capsys.readouterr().out
    assert run("check")["ok"] is True


def test_past_mixes_by_their_own_columns(run: Any, stocked: str, tmp_path: Path, capsys: Any) -> None:
    path = tmp_path / "log.csv"
    path.write_text("When;Colour;How much\n5.1.2025;Harbour Blue;8,5 ml\n")
    line = ["import", str(path), "--kind", "mixes", "--map", "product=Colour", "--map", "amount=How much"]
    assert main([*line, "--studio", stocked]) == 0
    assert "1 past mixes" in capsys.readouterr().out
    assert run("logbook", "--until", "2025-02-01")["entries"][0]["what"] == "Harbour Blue 8.5 ml"


def test_labels_for_all_or_some(run: Any, tmp_path: Path) -> None:
    file = tmp_path / "labels.svg"
    assert run("labels", str(file))["labels"] == 4
    assert file.stat().st_mode & 0o077 == 0
    small = run(
        "labels", str(file), "--bottle", "B0002", "--bottle", "3", "--label", "150x150", "--page", "letter"
    )
    assert small == {"labels": 2, "files": [str(file), str(tmp_path / "labels-2.svg")]}
    pdf = tmp_path / "labels.pdf"
    for _ in range(2):
        assert run("labels", str(pdf), "--label", "150x150") == {"labels": 4, "files": [str(pdf)]}
    assert pdf.read_bytes().startswith(b"%PDF-")
    assert len(pypdf.PdfReader(pdf).pages) == 4
    pdf.write_bytes(pdf.read_bytes() + b"mine")
    assert run("labels", str(pdf), expect=2)["error"]["code"] == "would-overwrite"
    assert run("labels", str(file), "--bottle", "99", expect=2)["error"]["code"] == "not-found"


def test_a_bar_says_how_far_an_import_has_come(
    stocked: str, tmp_path: Path, capsys: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    from stock.exchange import progress

    path = tmp_path / "log.csv"
    path.write_text("Date,Paint,Amount\n" + "2025-01-05,Harbour Blue,1 ml\n" * 40)
    monkeypatch.setattr(progress, "EVERY", 10)
    monkeypatch.setattr("sys.stderr.isatty", lambda: True, raising=False)
    assert main(["import", str(path), "--studio", stocked]) == 0
    shown = [line for line in capsys.readouterr().err.split("\r\x1b[K") if line]
    assert len(shown) == 8
    assert shown[3] == f"looked at [{'#' * 23} ]  98% 40 rows"
    assert shown[5] == f"booked [{'#' * 12}{' ' * 12}]  50% 20 rows"
    assert shown[7] == f"booked [{'#' * 24}] 100% 40 rows"
