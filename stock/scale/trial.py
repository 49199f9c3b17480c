"""A trial of a scale: each line that it sends, how it is read, and a remedy if nothing can be read."""

import time
from collections.abc import Iterator
from queue import Empty, SimpleQueue
from typing import Any

from stock.errors import UllageError
from stock.language import _, ngettext
from stock.scale.listening import ScaleListener
from stock.scale.port import ScalePort
from stock.scale.reading import ScaleReading
from stock.units import from_thousandths

LOOK_S = 0.1
LET_GO_S = 2.0
MOST_KEPT = 1_000
"""Readings that wait to be shown; a scale may send faster than a terminal writes."""


class Trial:
    """Listens to a scale and reports what it sends.

    Args:
        port: where it is plugged in.
    """

    def __init__(self, port: ScalePort) -> None:
        self._port = port
        self._events: SimpleQueue[ScaleReading | UllageError] = SimpleQueue()
        self._listener = ScaleListener(port, self._keep)
        self.readings = self.damaged = self.weights = 0
        self._last: ScaleReading | None = None

    def _keep(self, event: ScaleReading | UllageError) -> None:
        if self._events.qsize() < MOST_KEPT:
            self._events.put(event)

    def lines(self, seconds: float | None = None) -> Iterator[str]:
        """The readings, a line each; a reading that equals the one before it is left out.

        Args:
            seconds: how long to listen; without end when None.
        Raises:
            UllageError: the scale can't be opened at all.
        """
        end_s = None if seconds is None else time.monotonic() + seconds
        shown = ""
        self._listener.start()
        while end_s is None or time.monotonic() < end_s:
            try:
                event = self._events.get(timeout=LOOK_S)
            except Empty:
                continue
            if isinstance(event, UllageError):
                if not self.readings:
                    raise event
                line = f"! {event}"
            else:
                line = self._read(event)
            if line != shown:
                shown = line
                yield line

    def _read(self, reading: ScaleReading) -> str:
        self.readings += 1
        self.damaged += reading.noise
        if reading.mass_mg is not None:
            self.weights += 1
            self._last = reading
        stands = {True: _(", stands still"), False: _(", moves"), None: ""}[reading.stable]
        return f"{reading.heard:<24} {'=' if reading.mass_mg is not None else '!'} {reading.words}{stands}"

    def close(self) -> None:
        """Stop listening."""
        self._listener.close(LET_GO_S)

    @property
    def words(self) -> str:
        """A summary of the readings, with a remedy if there was no weight."""
        counted = ngettext(
            "{number} line, {weights} with a weight",
            "{number} lines, {weights} with a weight",
            self.readings,
            weights=self.weights,
        )
        counted += _(", {damaged} damaged", damaged=self.damaged) if self.damaged else ""
        if self.weights:
            return f"{counted}. {self._stability()}"
        if self._port.hid or (self.readings and not self.damaged):
            return _("{counted}. Set the scale to grams and to sending its weight by itself", counted=counted)
        if self.readings:
            return _(
                "{counted}. The speed or the bits may be others: write them behind the port, as ,2400,7e1",
                counted=counted,
            )
        return _(
            "{counted}. Set the scale to sending by itself, press its print key, or write behind the "
            "port what it waits for, as ,ask=W; the speed may be another, as ,2400",
            counted=counted,
        )

    def _stability(self) -> str:
        if self._last is not None and self._last.stable is None:
            return _("It doesn't say whether the weight stands still: three equal readings will")
        return _("It says whether the weight stands still")

    def as_json(self) -> dict[str, Any]:
        """The summary for a script."""
        last = self._last
        return {
            "readings": self.readings,
            "weights": self.weights,
            "damaged": self.damaged,
            "mass_g": None if last is None or last.mass_mg is None else from_thousandths(last.mass_mg),
            "says_stable": last is not None and last.stable is not None,
        }
