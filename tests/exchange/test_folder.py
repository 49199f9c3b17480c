"""The whole studio as a folder of CSV files, and back bit for bit."""

import json
import os
from pathlib import Path

import pytest

from stock.errors import BadInput, UllageError
from stock.exchange import copying, folder
from stock.exchange.badrows import BadRows
from stock.exchange.folder import NotAsWritten
from stock.logbook.proof import prove
from stock.logbook.undo import undo
from stock.shelf import lines, product_view, products
from stock.store import migrations
from stock.store.connection import connection, open_books
from stock.store.models import TABLES, Bottle, Product, database
from tests import templates
from tests.conftest import make_stocked
from tests.exchange.busy import be_busy


@pytest.fixture
def template(
    template: tuple[str, templates.Make], request: pytest.FixtureRequest
) -> tuple[str, templates.Make]:
    """Who asks for what was written begins with a studio that has done some of everything."""
    return ("busy", make_busy) if "written" in request.fixturenames else template


def make_busy(address: str) -> None:
    """Make that studio."""
    make_stocked(address)
    with connection():
        be_busy()


@pytest.fixture
def written(stocked: str, tmp_path: Path) -> Path:
    """The folder of such a studio."""
    folder.export(stocked, str(tmp_path / "out"))
    return tmp_path / "out"


def test_it_comes_back_bit_for_bit_on_either_engine(written: Path, stocked: str, tmp_path: Path) -> None:
    target = str(tmp_path / "back.ullage")
    answer = folder.take_in(str(written), target)
    assert answer.digest == json.loads((written / "datapackage.json").read_text())["digest"]
    with copying.opened(stocked) as old, copying.opened(target) as new:
        for table in TABLES:
            assert copying.digest_of(old, table) == copying.digest_of(new, table)
    again = folder.export(target, str(tmp_path / "again"))
    assert again.digest == answer.digest
    for file in written.glob("*.csv"):
        assert (tmp_path / "again" / file.name).read_bytes() == file.read_bytes()


def test_what_came_back_goes_on(written: Path, address: str, tmp_path: Path) -> None:
    from stock.bench.mixing import MixRequest, book_mix

    database.close()
    target = str(tmp_path / "back.ullage")
    folder.take_in(str(written), target)
    open_books(target)
    with connection():
        assert prove().problems == []
        book_mix(MixRequest(parts=(("Harbour Blue", 1_000),)))
        assert prove().problems == []


def test_it_comes_into_empty_books_of_either_engine(
    stocked: str, tmp_path: Path, request: pytest.FixtureRequest
) -> None:
    from stock.shelf import studio

    out = tmp_path / "out"
    answer = folder.export(stocked, str(out))
    database.close()
    target = f"{stocked}_two" if "://" in stocked else str(tmp_path / "empty.ullage")
    studio.make(target, name="Empty", currency="USD", time_zone="UTC", measures="us")
    try:
        assert folder.take_in(str(out), target).digest == answer.digest
        with connection():
            assert studio.settings().name == "Test studio"
            assert prove().problems == []
        with pytest.raises(UllageError, match="aren't empty"):
            folder.take_in(str(out), target)
    finally:
        if not database.is_closed():
            database.close()
        if "://" in target:
            import psycopg

            with psycopg.connect(
                target.partition("&schema")[0].partition("?schema")[0], autocommit=True
            ) as engine:
                engine.execute(f"DROP SCHEMA IF EXISTS {target.rpartition('=')[2]} CASCADE")


def test_products_follow_their_line_in_the_books_that_came_back(stocked: str, tmp_path: Path) -> None:
    """What each says itself comes along, and a line changed there changes the products that don't."""
    lines.add(
        {"name": "Anchor", "role": "paint", "flash_point": "23C", "price": ["60ml=5"], "density": "1.1"}
    )
    products.add({"name": "Kelp", "line": "Anchor"})
    products.add({"name": "Rust", "line": "Anchor", "density": "1.3", "flash_point": "unknown"})
    answer = {name: product_view.as_json(products.find(name)) for name in ("Kelp", "Rust")}
    folder.export(stocked, str(tmp_path / "out"))
    database.close()
    target = str(tmp_path / "back.ullage")
    folder.take_in(str(tmp_path / "out"), target)
    open_books(target)
    with connection():
        assert {name: product_view.as_json(products.find(name)) for name in answer} == answer
        lines.change("Anchor", {"density": "1.2", "flash_point": "12C"})
        kelp, rust = (product_view.as_json(products.find(name)) for name in answer)
        assert (kelp["density_g_per_ml"], kelp["flash_point_c"]) == (1.2, 12)
        assert (rust["density_g_per_ml"], rust["flash_point_c"]) == (1.3, None)
        assert prove().problems == []


def test_no_cell_can_run_and_files_are_the_owners(written: Path) -> None:
    import csv

    for file in written.glob("*.csv"):
        assert file.stat().st_mode & 0o077 == 0
        with file.open(newline="", encoding="utf-8") as lines:
            rows = list(csv.reader(lines))
        text = [
            at for at, head in enumerate(rows[0]) if not head.endswith(("_ul", "_minor", "_mc", "_id", "id"))
        ]
        assert not [row[at] for row in rows[1:] for at in text if row[at].startswith(("=", "+", "-", "@"))]
        raw = file.read_bytes()
        assert raw.count(b"\r\n") == raw.count(b"\n")
        assert not raw.startswith(b"\xef\xbb\xbf")
    assert written.stat().st_mode & 0o077 == 0


def damage(path: Path, old: str, new: str) -> None:
    text = path.read_bytes().decode()
    assert old in text
    path.write_bytes(text.replace(old, new, 1).encode())


@pytest.mark.parametrize(
    ("file", "old", "new", "reason"),
    [
        ("movement.csv", ",60000,", ",sixty,", "movement.csv line 2: 'sixty' is no whole number"),
        ("movement.csv", ",60000,", ",,", "line 2: change_ul is empty"),
        ("movement.csv", ",60000,", ",99999999999999999999,", "is no whole number"),
        ("movement.csv", ",60000,", ",60000,extra,", "line 2: it has 9 cells, not 8"),
        ("bottle.csv", "-", "/", "is no day"),
        ("product.csv", ",true,", ",yes,", "is neither true nor false"),
        ("booking.csv", "Z,", ",", "is not an instant of the books"),
    ],
)
def test_each_bad_row_is_told_with_its_line_and_nothing_is_booked(
    file: str, old: str, new: str, reason: str, written: Path, tmp_path: Path
) -> None:
    damage(written / file, old, new)
    with pytest.raises(BadRows, match=reason):
        folder.take_in(str(written), str(tmp_path / "back.ullage"))
    assert not (tmp_path / "back.ullage").exists()


def test_bad_rows_of_all_files_are_told_at_once(written: Path, tmp_path: Path) -> None:
    damage(written / "movement.csv", ",60000,", ",sixty,")
    damage(written / "product.csv", ",true,", ",yes,")
    with pytest.raises(BadRows) as refusal:
        folder.take_in(str(written), str(tmp_path / "back.ullage"))
    assert {row.file for row in refusal.value.rows} == {"movement.csv", "product.csv"}


def test_a_figure_that_was_changed_is_found(written: Path, tmp_path: Path) -> None:
    damage(written / "movement.csv", ",60000,", ",60001,")
    with pytest.raises(NotAsWritten, match=r"movement.csv isn't as it was exported"):
        folder.take_in(str(written), str(tmp_path / "back.ullage"))


def test_a_file_cut_short_or_gone_is_found(written: Path, tmp_path: Path) -> None:
    whole = (written / "movement.csv").read_bytes()
    (written / "movement.csv").write_bytes(b"\r\n".join(whole.split(b"\r\n")[:-2]) + b"\r\n")
    with pytest.raises(NotAsWritten):
        folder.take_in(str(written), str(tmp_path / "back.ullage"))
    (written / "movement.csv").unlink()
    with pytest.raises(BadInput, match=r"movement.csv can't be read"):
        folder.take_in(str(written), str(tmp_path / "back.ullage"))
    assert not (tmp_path / "back.ullage").exists()


def test_a_folder_leads_nowhere_outside(written: Path, tmp_path: Path) -> None:
    outside = tmp_path / "outside.csv"
    outside.write_bytes((written / "movement.csv").read_bytes())
    (written / "movement.csv").unlink()
    (written / "movement.csv").symlink_to(outside)
    with pytest.raises(BadInput, match=r"movement.csv can't be read"):
        folder.take_in(str(written), str(tmp_path / "back.ullage"))


def test_a_pipe_or_a_device_in_a_folder_is_not_waited_for(written: Path, tmp_path: Path) -> None:
    for name, refusal in (
        ("movement.csv", r"movement.csv can't be read"),
        ("datapackage.json", "no folder that was"),
    ):
        (written / name).unlink()
        os.mkfifo(written / name)
        with pytest.raises(BadInput, match=refusal):
            folder.take_in(str(written), str(tmp_path / "back.ullage"))


def test_what_is_no_exported_folder_is_said(written: Path, tmp_path: Path) -> None:
    for content in (b"", b"{}", b"[1]", b'{"resources": [{"name": []}]}', b"\xff", b"[" * 100_000):
        (written / "datapackage.json").write_bytes(content)
        with pytest.raises(BadInput, match="is no folder that was exported"):
            folder.take_in(str(written), str(tmp_path / "back.ullage"))
    with pytest.raises(BadInput, match="is no folder that was exported"):
        folder.take_in(str(tmp_path / "nowhere"), str(tmp_path / "back.ullage"))


def test_another_schema_is_refused(written: Path, tmp_path: Path) -> None:
    damage(written / "datapackage.json", f'"schema_version": {migrations.NEWEST}', '"schema_version": 99')
    with pytest.raises(BadInput, match="of schema 99"):
        folder.take_in(str(written), str(tmp_path / "back.ullage"))


def test_a_folder_that_holds_something_is_not_written_into(stocked: str, tmp_path: Path) -> None:
    (tmp_path / "out").mkdir()
    (tmp_path / "out" / "mine.txt").write_text("mine")
    with pytest.raises(BadInput, match="isn't empty"):
        folder.export(stocked, str(tmp_path / "out"))
    assert os.listdir(tmp_path / "out") == ["mine.txt"]
    with pytest.raises(BadInput, match="can't be written"):
        folder.export(stocked, str(tmp_path / "out" / "mine.txt" / "x"))


def test_a_failed_export_leaves_nothing(
    stocked: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(folder, "_resource", full)
    with pytest.raises(BadInput, match="No space left"):
        folder.export(stocked, str(tmp_path / "out"))
    assert not (tmp_path / "out").exists()
    (tmp_path / "empty").mkdir()
    with pytest.raises(BadInput):
        folder.export(stocked, str(tmp_path / "empty"))
    assert os.listdir(tmp_path / "empty") == []


def test_progress_is_told_by_file(stocked: str, tmp_path: Path) -> None:
    calls: list[tuple[str, int, int]] = []
    whole = folder.export(stocked, str(tmp_path / "out"), on_progress=lambda *far: calls.append(far)).total()
    assert [file for file, _, _ in calls].count("product.csv") == 1
    assert [rows for _, rows, _ in calls] == sorted(rows for _, rows, _ in calls)
    assert calls[-1][1:] == (whole, whole)
    calls.clear()
    folder.take_in(
        str(tmp_path / "out"), str(tmp_path / "other.ullage"), on_progress=lambda *far: calls.append(far)
    )
    assert calls[-1][1:] == (whole, whole)


def test_what_is_stopped_leaves_nothing(stocked: str, tmp_path: Path) -> None:
    def stop(file: str, rows: int, of: int) -> None:
        raise BadInput("enough")

    with pytest.raises(BadInput, match="enough"):
        folder.export(stocked, str(tmp_path / "out"), on_progress=stop)
    assert not (tmp_path / "out").exists()
    folder.export(stocked, str(tmp_path / "out"))
    with pytest.raises(BadInput, match="enough"):
        folder.take_in(str(tmp_path / "out"), str(tmp_path / "other.ullage"), on_progress=stop)
    assert not (tmp_path / "other.ullage").exists()


def older_folder(schema: int, target: Path) -> str:
    """A folder that was exported by the Ullage that wrote this schema."""
    target.mkdir()
    kept = json.loads((Path(__file__).parent / "released" / f"folder-{schema}.json").read_text("utf-8"))
    for name, text in kept.items():
        (target / name).write_bytes(text.encode())
    return str(target)


def test_a_folder_of_an_older_schema_comes_in_with_its_later_columns_unknown(
    address: str, tmp_path: Path
) -> None:
    folder.take_in(older_folder(1, tmp_path / "older"), address)
    open_books(address)
    with connection():
        assert migrations.written_schema(database.obj) == migrations.NEWEST
        assert prove().problems == []
        assert Bottle.select().count() == 6
        assert not any(row.no_solvent for row in Product.select())


def test_what_an_undo_took_along_is_worked_out_for_an_older_folder(address: str, tmp_path: Path) -> None:
    """Undo 26 took mix 10 back with its steps and its close, undo 30 an imported file."""
    folder.take_in(older_folder(2, tmp_path / "older"), address)
    open_books(address)
    with connection():
        assert len(undo("undo", 26)["undid"]) == 4
        assert undo("undo", 30)["bookings"] == 4
        assert prove().problems == []
    assert folder.export(address, str(tmp_path / "again")).rows["booking"] > 33
