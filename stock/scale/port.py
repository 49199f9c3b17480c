"""Where a scale is plugged in, as a person writes it: `/dev/ttyUSB0`, `COM3,2400,7e1`, `hid`, `/dev/ttyUSB0,ask=W`."""

import re

from stock.errors import BadInput
from stock.language import _
from stock.named_tuples import NamedTuple
from stock.scale.reading import UNITS
from stock.text import plain

ACCEPTED = _(
    "a serial port such as /dev/ttyUSB0 or COM3, or hid for a USB scale; behind a serial "
    "port may stand its speed, its bits as 8n1, ask=W for a scale that has to be asked, and "
    "unit=g for one that sends no unit: /dev/ttyUSB0,2400,7e1"
)
SPEEDS = (300, 600, 1_200, 2_400, 4_800, 9_600, 19_200, 38_400, 57_600, 115_200)
USUAL_SPEED, USUAL_BITS = 9_600, "8n1"
HID = "hid"
LONGEST_PATH, LONGEST_ASK = 200, 12


class ScalePort(NamedTuple):
    """Where a scale is plugged in.

    Args:
        path: the serial port, or the device file of a USB scale; empty for any USB scale that is plugged in.
        hid: whether it is a USB scale that is read by its device file.
        speed: bits a second of a serial port.
        bits: data bits, parity and stop bits of a serial port, as `8n1`.
        ask: the text that is sent to request a reading; empty for a scale that sends by itself.
        unit: the unit of a figure that the scale sends without one; empty where such a figure is refused.
    """

    path: str
    hid: bool = False
    speed: int = USUAL_SPEED
    bits: str = USUAL_BITS
    ask: str = ""
    unit: str = ""

    @property
    def words(self) -> str:
        """The scale's name in a sentence."""
        return _("the scale at {path}", path=self.path) if self.path else _("the USB scale")


def scale_port(text: str) -> ScalePort:
    """Read where a scale is plugged in.

    Raises:
        BadInput: nothing, a control character, or an option that a port doesn't have; says what is accepted.
    """
    path, *options = (part.strip() for part in text.split(","))
    if not path or len(path) > LONGEST_PATH or plain(path, LONGEST_PATH) != path:
        raise BadInput(
            _("{text!r} names no port of a scale", text=plain(text, 40)),
            remedy=_("Write {accepted}", accepted=ACCEPTED),
        )
    kind, colon, rest = path.partition(":")
    if path.lower() == HID or (kind.lower() == HID and colon):
        port = ScalePort(rest if colon else "", hid=True)
    else:
        port = ScalePort(path, hid="/hidraw" in path)
    for option in options:
        port = _with(port, option)
    return port


def _with(port: ScalePort, option: str) -> ScalePort:
    name, sign, value = option.partition("=")
    if not port.hid:
        if option.isascii() and option.isdigit() and len(option) < 8 and int(option) in SPEEDS:
            return port._replace(speed=int(option))
        if re.fullmatch(r"[78][neo][12]", option.lower()):
            return port._replace(bits=option.lower())
        if (
            name == "ask"
            and sign
            and 0 < len(value) <= LONGEST_ASK
            and value.isascii()
            and value.isprintable()
        ):
            return port._replace(ask=value)
        if name == "unit" and value.lower() in UNITS:
            return port._replace(unit=UNITS[value.lower()])
    raise BadInput(
        _("{option!r} is nothing that can stand behind that port", option=plain(option, 40)),
        remedy=_("Write {accepted}", accepted=ACCEPTED),
    )
