"""A simulated scale on a pseudo-terminal, and whatever can happen to it."""

import os
from collections.abc import Iterator
from pathlib import Path

import pytest

from stock.errors import UllageError
from stock.scale import listening, source
from stock.scale.listening import ScaleListener
from stock.scale.port import ScalePort, scale_port
from stock.scale.reading import OVERLOAD
from stock.scale.waiting import weight_on
from tests.scale.simulated import PATIENCE_S, SimulatedScale, until


@pytest.fixture
def scale(tmp_path: Path) -> Iterator[SimulatedScale]:
    one = SimulatedScale(tmp_path)
    yield one
    one.close()


@pytest.fixture
def listener(scale: SimulatedScale) -> Iterator[ScaleListener]:
    one = ScaleListener(ScalePort(scale.path)).start()
    yield one
    assert one.close(PATIENCE_S)


def test_a_bad_day_of_a_scale(scale: SimulatedScale, listener: ScaleListener):
    """One listener through it all: it moves, stands still, is hurt, overloaded, unplugged, plugged in again."""
    scale.keep_sending(b"US,NT,+ 12.30 g\r\n")
    until(listener, lambda heard: heard.reading and heard.reading.mass_mg == 12_300)
    assert listener.heard().weight is None
    scale.keep_sending(b"ST,NT,+ 12.30 g\r\n")
    assert until(listener, lambda heard: heard.weight).weight.mass_mg == 12_300
    scale.send(b"\xff\xfe\x00garbage\x80\r\n")
    until(listener, lambda heard: heard.damaged)
    assert until(listener, lambda heard: heard.weight).weight.mass_mg == 12_300
    scale.keep_sending(b"ST,NT,-  0.50 g\r\n")
    assert until(listener, lambda heard: heard.weight and heard.weight.mass_mg < 0).weight.mass_mg == -500
    scale.keep_sending(b"  OL  \r\n")
    over = until(listener, lambda heard: heard.reading and heard.reading.refused == OVERLOAD)
    assert over.weight is None
    scale.keep_sending(b"ST,NT,+ 1.000 oz\r\n")
    assert until(listener, lambda heard: heard.weight).weight.mass_mg == 28_350

    scale.unplug()
    away = until(listener, lambda heard: heard.trouble)
    assert "isn't there" in str(away.trouble) or "went away" in str(away.trouble)
    assert (away.reading, away.weight) == (None, None)
    scale.plug()
    scale.keep_sending(b"ST,NT,+ 20.00 g\r\n")
    assert until(listener, lambda heard: heard.weight).weight.mass_mg == 20_000


def test_two_programs_never_share_a_scale(scale: SimulatedScale, listener: ScaleListener):
    """Each would get half of the bytes."""
    until(listener, lambda heard: heard.trouble is None)
    with pytest.raises(UllageError, match="another program reads"):
        weight_on(ScalePort(scale.path), 5)


def test_a_scale_that_says_nothing_of_standing_still(scale: SimulatedScale, listener: ScaleListener):
    scale.keep_sending(b"  12.3 g\r\n", every_s=0.1)
    assert until(listener, lambda heard: heard.weight).weight.mass_mg == 12_300


def test_a_hundred_lines_a_second(scale: SimulatedScale, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(listening, "CLEAN_START_S", 0)  # the first line is whole, however soon it comes
    listener = ScaleListener(ScalePort(scale.path)).start()
    lines = b"".join(b"ST,GS,+%8.2f g\r\n" % (at / 100) for at in range(100))
    until(listener, lambda heard: heard.trouble is None)
    for at in range(0, len(lines), 170):
        scale.send(lines[at : at + 170])
        listener.heard()
    heard = until(listener, lambda heard: heard.readings == 100)
    assert (heard.damaged, heard.reading.mass_mg) == (0, 990)
    assert listener.close(PATIENCE_S)


def test_a_scale_that_has_to_be_asked(scale: SimulatedScale):
    port = scale_port(f"{scale.path},ask=W,unit=g")
    listener = ScaleListener(port).start()
    try:
        until(listener, lambda heard: heard.trouble is None)
        for _ in range(4):
            until(listener, lambda _: b"W\r\n" in scale.asked())
            scale.send(b"S 7.5\r\n")
        assert until(listener, lambda heard: heard.weight).weight.mass_mg == 7_500
    finally:
        assert listener.close(PATIENCE_S)


def test_a_usb_scale_by_its_device_file(tmp_path: Path):
    device = tmp_path / "hidraw9"
    os.mkfifo(device)
    listener = ScaleListener(ScalePort(str(device), hid=True)).start()
    pipe = os.open(device, os.O_RDWR)
    try:
        for _ in range(3):
            until(listener, lambda heard: heard.trouble is None)
            before = listener.heard().readings
            os.write(pipe, bytes([3, 4, 2, 0xFF, 0x7B, 0x00]))
            until(listener, lambda heard, before=before: heard.readings > before)
        assert until(listener, lambda heard: heard.weight).weight.mass_mg == 12_300
    finally:
        assert listener.close(PATIENCE_S)
        os.close(pipe)


def test_waiting_for_a_weight(scale: SimulatedScale, tmp_path: Path):
    with pytest.raises(UllageError, match=r"nowhere isn't there"):
        weight_on(ScalePort(str(tmp_path / "nowhere")), 5)
    (tmp_path / "file").write_text("")
    with pytest.raises(UllageError, match="is a file, not a scale"):
        weight_on(ScalePort(str(tmp_path / "file")), 5)
    with pytest.raises(UllageError, match="is no serial port"):
        weight_on(ScalePort("/dev/null"), 5)
    with pytest.raises(UllageError, match=r"sent no weight for 0\.3 s"):
        weight_on(ScalePort(scale.path), 0.3)
    scale.keep_sending(b"US, 12.3 g\n")
    with pytest.raises(UllageError, match=r"didn't stand still for 0\.3 s; it shows 12\.3 g"):
        weight_on(ScalePort(scale.path), 0.3)
    scale.keep_sending(b"12 pcs\n")
    with pytest.raises(UllageError, match="shows pieces"):
        weight_on(ScalePort(scale.path), 0.3)
    scale.keep_sending(b"ST, 12.3 g\n")
    assert weight_on(ScalePort(scale.path)).mass_mg == 12_300


def test_what_is_missing_is_named(monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setitem(__import__("sys").modules, "serial", None)
    with pytest.raises(UllageError, match=r"pip install 'ullage\[scale\]'"):
        source.opened(ScalePort("/dev/nowhere"))
    monkeypatch.setattr(source.sys, "platform", "darwin")
    with pytest.raises(UllageError, match="only Linux has"):
        source.opened(ScalePort("", hid=True))
