"""Which scale this bench uses: a setting of the machine, not of the studio, which several benches share."""

from stock import config
from stock.scale.port import ScalePort, scale_port

NONE = "none"
"""Given as a port, this means that no scale is used, whatever the setting says."""


def port_of_bench(given: str | None = None) -> ScalePort | None:
    """The scale to use: the given one, else that of `ULLAGE_SCALE`, else that of the setting; None without one.

    Raises:
        BadInput: the text names no port.
    """
    text = (given or config.value(config.SCALE)).strip()
    return None if not text or text.lower() == NONE else scale_port(text)
