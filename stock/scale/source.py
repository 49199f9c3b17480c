"""The bytes of a scale: from a serial port, or from the device file of a USB scale."""

import errno
import os
import select
import stat
import sys
import time
from contextlib import suppress
from typing import Any, Protocol

from stock.errors import UllageError
from stock.language import _
from stock.scale.port import ScalePort
from stock.scale.usb_report import device_files

WAIT_S = 0.2
"""Seconds that a reading waits for bytes; a listener may take as long to notice that it should stop."""
GATHER_S = 0.02
"""Seconds that further bytes are waited for, so that a thread doesn't wake for each of them."""
MOST_BYTES = 4_096


class ScaleAway(UllageError):
    """The scale can't be read at present; it may come back."""

    code = "scale-away"


class ScaleSource(Protocol):
    """An opened scale."""

    def read(self) -> bytes:
        """The bytes that came in, after a short wait; empty if none did.

        Raises:
            OSError: the scale is gone.
        """

    def write(self, data: bytes) -> None:
        """Send something to the scale.

        Raises:
            OSError: the scale is gone.
        """

    def close(self) -> None:
        """Close it."""


def opened(port: ScalePort) -> ScaleSource:
    """Open a scale.

    Raises:
        ScaleAway: it is not there, is used by another program, or this account may not read it.
        UllageError: what is needed to read it is not installed, or this system has no such device files.
    """
    return _UsbDevice(port) if port.hid else _SerialPort(port)


def _refuse_files(port: ScalePort, path: str) -> None:
    """Refuse a path that is no device. A file is never opened, because closing it would drop the locks of books in it.

    Raises:
        UllageError: a file or a folder stands there.
    """
    with suppress(OSError):
        kind = os.stat(path).st_mode
        if stat.S_ISREG(kind) or stat.S_ISDIR(kind):
            raise UllageError(
                _("{words} is a file, not a scale", words=port.words),
                remedy=_("Name the port that it is plugged into"),
            )


def _away(port: ScalePort, error: OSError) -> ScaleAway:
    """Why a port can't be opened, from the system's error."""
    number = error.errno
    if number in (errno.EACCES, errno.EPERM):
        return ScaleAway(
            _("this account may not read {words}", words=port.words),
            remedy=_(
                "Add it to the group that owns the device file (often dialout or plugdev), and sign in again"
            ),
        )
    if number in (errno.EBUSY, errno.EWOULDBLOCK, errno.EAGAIN):
        return ScaleAway(_("another program reads {words}", words=port.words), remedy=_("Close that program"))
    if number in (
        None,
        errno.ENOTTY,
        errno.EINVAL,
    ):  # pyserial leaves the number out if it can't set the speed
        return ScaleAway(
            _("{words} is no serial port", words=port.words),
            remedy=_("Name the port that the scale is plugged into"),
        )
    return ScaleAway(_("{words} isn't there", words=port.words), remedy=_("Plug it in and switch it on"))


class _SerialPort:
    """A serial port, read through pyserial."""

    def __init__(self, port: ScalePort) -> None:
        serial = _pyserial()
        _refuse_files(port, port.path)
        try:
            self._serial = serial.Serial(
                port.path, port.speed, bytesize=int(port.bits[0]), parity=port.bits[1].upper(),
                stopbits=int(port.bits[2]), timeout=WAIT_S, write_timeout=WAIT_S, exclusive=True,
            )  # fmt: skip
        except ValueError as error:  # no port can have such a path or such figures
            raise _away(port, OSError(errno.ENOENT, "")) from error
        except OSError as error:  # a SerialException, too
            raise _away(port, error) from error

    def read(self) -> bytes:
        first: bytes = self._serial.read(1)
        if not first:
            return b""
        time.sleep(GATHER_S)
        waiting = min(self._serial.in_waiting, MOST_BYTES)
        return first + (self._serial.read(waiting) if waiting else b"")

    def write(self, data: bytes) -> None:
        self._serial.write(data)

    def close(self) -> None:
        self._serial.close()


def _pyserial() -> Any:
    try:
        import serial  # an extra, only for a scale
    except ImportError:
        raise UllageError(
            _("a scale on a serial port can't be read here"),
            remedy=_("Install what reads it: pip install 'ullage[scale]'"),
            code="not-installed",
        ) from None
    return serial


class _UsbDevice:
    """The device file of a USB scale, which Linux makes; each read is one report."""

    def __init__(self, port: ScalePort) -> None:
        if sys.platform != "linux":
            raise UllageError(
                _("a USB scale is read by its device file, which only Linux has"),
                remedy=_("Use a scale on a serial port, or set this one to it, and name that port"),
                code="no-device-files",
            )
        path = port.path or next(iter(device_files()), "")
        if not path:
            raise _away(port, OSError(errno.ENOENT, ""))
        _refuse_files(port, path)
        try:
            self._file = os.open(path, os.O_RDONLY | os.O_NONBLOCK | os.O_NOCTTY)
        except OSError as error:
            raise _away(port, error) from error

    def read(self) -> bytes:
        ready, _, _ = select.select([self._file], [], [], WAIT_S)
        if not ready:
            return b""
        report = os.read(self._file, 64)
        if not report:
            raise OSError(errno.ENODEV, "gone")
        return report

    def write(self, data: bytes) -> None:
        """Do nothing: a USB scale sends by itself."""

    def close(self) -> None:
        os.close(self._file)
