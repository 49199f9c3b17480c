"""The report of a USB scale: status, unit, exponent and weight, as bytes of a device file.

Source: USB-IF, HID Usage Tables for USB, section "Scales Page (0x8D)": weight units 0x51 to 0x5C, scale status 0x71 to
0x78, data weight and data scaling; first published as HID Point of Sale Usage Tables 1.02. The report holds the
selectors as 1, 2, 3 …: report number 3, status, unit, exponent (a signed byte), weight (16 bits, low byte first). A
device without numbered reports leaves the number out.
"""

from fractions import Fraction
from pathlib import Path

from stock.language import _
from stock.scale.reading import OVERLOAD, UNDERLOAD, ScaleReading, unknown_unit, weighed

USAGE_PAGE = b"\x05\x8d"
"""How a report descriptor begins a usage page of scales: item "usage page" of one byte, and 0x8D."""
DATA_REPORT = 3
UNITS = {1: "mg", 2: "g", 3: "kg", 4: "ct", 6: "gn", 7: "dwt", 10: "ozt", 11: "oz", 12: "lb"}
OTHER_UNITS = {5: "tael", 8: "t", 9: "t"}
FAULT, AT_ZERO, IN_MOTION, STANDS, BELOW_ZERO, OVER_LIMIT, TO_CALIBRATE, TO_ZERO = range(1, 9)
REFUSED = {
    FAULT: _("the scale reports a fault: switch it off and on"),
    OVER_LIMIT: OVERLOAD,
    TO_CALIBRATE: _("the scale has to be calibrated before it weighs"),
    TO_ZERO: _("the scale has to be set to zero again: take everything off and press its zero key"),
}
SMALLEST_EXPONENT, LARGEST_EXPONENT = -8, 4


def read_report(report: bytes) -> ScaleReading | None:
    """Read one report of a USB scale; None for a report of another kind, such as the scale's limits."""
    if len(report) == 6:
        if report[0] != DATA_REPORT:
            return None
        report = report[1:]
    heard = report.hex(" ")
    if len(report) != 5 or not FAULT <= report[0] <= TO_ZERO:
        return ScaleReading(heard, refused=_("the report is none that a scale sends"), noise=True)
    status, unit = report[0], report[1]
    if status in REFUSED:
        return ScaleReading(heard, stable=False, refused=REFUSED[status])
    weight, exponent = (
        int.from_bytes(report[3:5], "little"),
        int.from_bytes(report[2:3], "little", signed=True),
    )
    if status == BELOW_ZERO and not weight:
        return ScaleReading(heard, stable=False, refused=UNDERLOAD)
    if unit not in UNITS:
        return unknown_unit(heard, OTHER_UNITS.get(unit, _("unit {unit}", unit=unit)))
    if not SMALLEST_EXPONENT <= exponent <= LARGEST_EXPONENT:
        return ScaleReading(heard, refused=_("the report is none that a scale sends"), noise=True)
    digit = Fraction(10) ** exponent
    figure = weight * digit * (-1 if status == BELOW_ZERO else 1)
    return weighed(heard, figure, digit, UNITS[unit], stable=status in (AT_ZERO, STANDS))


def device_files(system: Path = Path("/sys/class/hidraw")) -> list[str]:
    """The device files of the USB scales that are plugged in, recognised by their report descriptors."""
    found = []
    for device in sorted(system.glob("hidraw*")):
        try:
            descriptor = (device / "device" / "report_descriptor").read_bytes()
        except OSError:  # it was unplugged a moment ago
            continue
        if USAGE_PAGE in descriptor:
            found.append(f"/dev/{device.name}")
    return found
