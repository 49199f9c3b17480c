"""Reports of a USB scale: HID Usage Tables, "Scales Page (0x8D)"."""

from pathlib import Path

import pytest

from stock.scale.reading import OVERLOAD, UNDERLOAD
from stock.scale.usb_report import device_files, read_report

NONE = "none that a scale sends"


@pytest.mark.parametrize(
    ("report", "mass_mg", "resolution_mg", "stable"),
    [
        (bytes([3, 4, 2, 0xFF, 0x7B, 0x00]), 12_300, 100, True),  # 123 x 10^-1 g
        (bytes([3, 3, 2, 0xFF, 0x7B, 0x00]), 12_300, 100, False),
        (bytes([3, 2, 2, 0, 0, 0]), 0, 1_000, True),
        (bytes([4, 2, 0, 0x14, 0x00]), 20_000, 1_000, True),  # a device without numbered reports
        (bytes([3, 4, 11, 0xFF, 0x34, 0x19]), 18_291_112, 2_835, True),  # 645.2 oz of 28.349523125 g
        (bytes([3, 5, 2, 0xFF, 5, 0]), -500, 100, False),
        (bytes([3, 4, 3, 0xFD, 0xE8, 0x03]), 1_000_000, 1_000, True),
    ],
)
def test_a_report_with_a_weight(report, mass_mg, resolution_mg, stable):
    reading = read_report(report)
    assert (reading.mass_mg, reading.resolution_mg, reading.stable) == (mass_mg, resolution_mg, stable)


@pytest.mark.parametrize(
    ("report", "why"),
    [
        (bytes([3, 1, 2, 0, 0, 0]), "fault"), (bytes([3, 6, 2, 0, 0, 0]), OVERLOAD),
        (bytes([3, 7, 2, 0, 0, 0]), "calibrated"), (bytes([3, 8, 2, 0, 0, 0]), "zero"),
        (bytes([3, 5, 2, 0, 0, 0]), UNDERLOAD), (bytes([3, 4, 5, 0, 9, 0]), "taels"),
        (bytes([3, 4, 8, 0, 9, 0]), "tons"), (bytes([3, 4, 99, 0, 9, 0]), "unit 99"),
        (bytes([3, 9, 2, 0, 9, 0]), NONE), (bytes([3, 4, 2, 0x60, 9, 0]), NONE),
        (b"\x03\x04", NONE), (bytes(9), NONE),
    ],
)  # fmt: skip
def test_a_report_without_one(report, why):
    reading = read_report(report)
    assert reading.mass_mg is None
    assert why in reading.refused


def test_a_report_of_limits_is_left_alone():
    assert read_report(bytes([5, 0, 0, 0, 0, 0])) is None


def test_the_scale_is_found_by_what_it_says_of_itself(tmp_path: Path):
    for name, descriptor in (
        ("hidraw0", b"\x05\x01\x09\x06"),
        ("hidraw1", b"\x05\x8d\x09\x20"),
        ("hidraw2", None),
    ):
        (tmp_path / name / "device").mkdir(parents=True)
        if descriptor is not None:
            (tmp_path / name / "device" / "report_descriptor").write_bytes(descriptor)
    assert device_files(tmp_path) == ["/dev/hidraw1"]
