"""The exported folder against the standards it names.

RFC 4180 (CSV: CRLF, quotes around cells with comma, quote or line break, inner quotes doubled), by Python's own
strict reader; Frictionless Data Package and Table Schema, checked by the `frictionless` library 5.21 with types,
constraints, primary and foreign keys.
"""

import csv
import json
from pathlib import Path

import pytest

from stock.exchange import folder
from tests.exchange.busy import be_busy


@pytest.fixture
def written(stocked: str, tmp_path: Path) -> Path:
    be_busy()
    folder.export(stocked, str(tmp_path / "out"))
    return tmp_path / "out"


def test_the_folder_is_a_valid_data_package(written: Path) -> None:
    import frictionless

    report = frictionless.validate(str(written / "datapackage.json"))
    assert report.valid, report.flatten(["title", "rowNumber", "fieldName", "note"])[:5]
    assert report.stats["tasks"] == len(list(written.glob("*.csv")))


def test_the_description_is_one_by_the_library_too(written: Path) -> None:
    import frictionless

    package = frictionless.Package(str(written / "datapackage.json"))
    movement = package.get_resource("movement")
    assert movement.schema.get_field("change_ul").type == "integer"
    assert movement.schema.primary_key == ["id"]
    assert {tuple(key["fields"]) for key in movement.schema.foreign_keys} == {
        ("bottle_id",), ("booking_id",), ("reverses_id",),
    }  # fmt: skip
    rows = movement.read_rows()
    assert sum(row["change_ul"] for row in rows if row["kind"] == "received") > 0


@pytest.mark.sampled(2)
@pytest.mark.parametrize(
    ("file", "old", "new", "fault"),
    [
        ("movement.csv", ",60000,", ",sixty,", "type-error"),
        ("bottle.csv", "\r\n1,", "\r\n999,", "foreign-key"),
        ("movement.csv", "\r\n1,1,", "\r\n1,987,", "foreign-key"),
        ("product.csv", "\r\n2,", "\r\n1,", "primary-key"),
    ],
)
def test_the_library_finds_what_we_would_refuse(
    file: str, old: str, new: str, fault: str, written: Path
) -> None:
    import frictionless

    text = (written / file).read_bytes().decode()
    assert old in text
    (written / file).write_bytes(text.replace(old, new, 1).encode())
    report = frictionless.validate(str(written / "datapackage.json"))
    assert fault in {row[0] for row in report.flatten(["type"])}


def test_every_file_is_rfc_4180(written: Path) -> None:
    package = json.loads((written / "datapackage.json").read_text(encoding="utf-8"))
    for resource in package["resources"]:
        raw = (written / resource["path"]).read_bytes()
        assert raw.endswith(b"\r\n")
        with (written / resource["path"]).open(newline="", encoding="utf-8") as file:
            rows = list(csv.reader(file, strict=True))
        assert {len(row) for row in rows} == {len(resource["schema"]["fields"])}
        assert len(rows) - 1 == resource["rows"]
