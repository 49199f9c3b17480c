"""Where a scale is plugged in, and what this bench keeps."""

from pathlib import Path

import pytest

from stock import config
from stock.errors import BadInput
from stock.scale import setting
from stock.scale.port import ScalePort, scale_port
from stock.scale.waiting import read_seconds


@pytest.mark.parametrize(
    ("text", "port"),
    [
        ("/dev/ttyUSB0", ScalePort("/dev/ttyUSB0")),
        ("COM3, 2400, 7E1", ScalePort("COM3", speed=2_400, bits="7e1")),
        ("/dev/ttyS0,ask=W,unit=grams", ScalePort("/dev/ttyS0", ask="W", unit="g")),
        ("hid", ScalePort("", hid=True)),
        ("/dev/hidraw1", ScalePort("/dev/hidraw1", hid=True)),
        ("hid:/dev/other", ScalePort("/dev/other", hid=True)),
    ],
)
def test_a_port(text, port):
    assert scale_port(text) == port


@pytest.mark.parametrize(
    "text",
    [
        "",
        ",",
        "a\x1bb",
        "x" * 300,
        "COM3,99",
        "COM3,ask=",
        "COM3,unit=pcs",
        "hid,2400",
        "COM3,9n1",
        "COM3,ask=\xff",
    ],
)
def test_what_is_no_port(text):
    with pytest.raises(BadInput, match="Write a serial port such as"):
        scale_port(text)


def test_what_this_bench_keeps(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path))
    monkeypatch.delenv(config.VARIABLES[config.SCALE], raising=False)
    assert setting.port_of_bench() is None
    config.change(config.SCALE, "COM3,2400")
    assert setting.port_of_bench() == ScalePort("COM3", speed=2_400)
    monkeypatch.setenv(config.VARIABLES[config.SCALE], "hid")
    assert setting.port_of_bench() == ScalePort("", hid=True)
    assert setting.port_of_bench("COM4") == ScalePort("COM4")
    assert setting.port_of_bench("none") is None


def test_how_long_to_listen():
    assert (read_seconds("5s"), read_seconds("2 min")) == (5, 120)
    for text in ("5", "0s", "11min", "5h", "-1s"):
        with pytest.raises(BadInput):
            read_seconds(text)


@pytest.mark.parametrize(
    ("text", "why"), [("5", "has no unit"), ("5h", "has no known unit"), ("0s", "is nothing")]
)
def test_what_is_no_time_to_listen_is_refused_with_what_is_wrong(text, why):
    with pytest.raises(BadInput, match=why):
        read_seconds(text)
