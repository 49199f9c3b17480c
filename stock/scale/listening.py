"""Listening to a scale in a thread of its own, so that nothing else has to wait for it.

The thread keeps the latest readings; a caller asks `heard` as often as it can show them. A scale that sends
a hundred lines a second therefore costs a screen no more than one that sends two. A scale that goes away is looked
for again every second until the listener is closed.
"""

import threading
import time
from collections import deque
from collections.abc import Callable
from contextlib import suppress

from stock.errors import UllageError
from stock.language import _
from stock.named_tuples import NamedTuple
from stock.scale.line_grammar import LineBuffer, read_line
from stock.scale.port import ScalePort
from stock.scale.reading import ScaleReading
from stock.scale.source import ScaleAway, ScaleSource, opened
from stock.scale.standing_still import SILENT_S, StandingWeight, TimedReading, standing_weight
from stock.scale.usb_report import read_report

LOOK_AGAIN_S = 1.0
OPENING = "scale-opening"
"""The code of the trouble while a scale is not opened yet."""
ASK_EVERY_S = 0.25
CLEAN_START_S = 0.15
"""If nothing comes for so long, the scale was not sending when the port was opened."""
KEPT = 400
"""How many readings are kept: more than three seconds of a scale that sends a hundred a second."""


class HeardScale(NamedTuple):
    """The state of the scale at a moment.

    Args:
        trouble: why it can't be read at present, with a remedy; None while it can be read.
        reading: the latest undamaged reading; None if there is none, or if it is too old.
        weight: the weight that stands still on it, or None.
        readings: how many readings came in all, damaged ones included.
        damaged: how many of them were damaged, or not sent by a scale.
    """

    trouble: UllageError | None
    reading: ScaleReading | None = None
    weight: StandingWeight | None = None
    readings: int = 0
    damaged: int = 0


class ScaleListener:
    """Listens to a scale until it is closed.

    Args:
        port: where it is plugged in.
        notify: called in the thread with each reading and each trouble as it comes, for a trial; may be None.
        open_source: opens the port.
    """

    def __init__(
        self,
        port: ScalePort,
        notify: Callable[[ScaleReading | UllageError], None] | None = None,
        open_source: Callable[[ScalePort], ScaleSource] = opened,
    ) -> None:
        self.port = port
        self._notify = notify or (lambda _: None)
        self._open = open_source
        self._lock = threading.Lock()
        self._kept: deque[TimedReading] = deque(maxlen=KEPT)
        self._trouble: UllageError | None = ScaleAway(
            _("{words} is being opened", words=port.words), code=OPENING
        )
        self._readings = self._damaged = 0
        self._end = threading.Event()
        self._thread = threading.Thread(target=self._run, name="scale", daemon=True)

    def start(self) -> "ScaleListener":
        """Begin to listen, if it hasn't begun; returns itself."""
        if self._thread.ident is None:
            self._thread.start()
        return self

    def close(self, wait_s: float = 0) -> bool:
        """Stop listening; the port is let go of a moment later.

        Args:
            wait_s: how long to wait for that at most, seconds.
        Returns:
            Whether the port was let go of.
        """
        self._end.set()
        if self._thread.ident is not None:
            self._thread.join(wait_s)
        return not self._thread.is_alive()

    def heard(self) -> HeardScale:
        """The state of the scale now."""
        with self._lock:
            if self._trouble is not None:
                return HeardScale(self._trouble, readings=self._readings, damaged=self._damaged)
            kept, counts = list(self._kept), (self._readings, self._damaged)
        now_s = time.monotonic()
        whole = next((each for each in reversed(kept) if not each.reading.noise), None)
        late = whole is None or now_s - whole.at_s > SILENT_S
        reading = None if whole is None or late else whole.reading
        return HeardScale(None, reading, standing_weight(kept, now_s), *counts)

    def _run(self) -> None:
        while not self._end.is_set():
            try:
                source = self._open(self.port)
            except UllageError as error:
                self._note_trouble(error)
                if not isinstance(error, ScaleAway):
                    return
            else:
                self._listen_to(source)
            self._end.wait(LOOK_AGAIN_S)

    def _listen_to(self, source: ScaleSource) -> None:
        """Listen until the scale goes away or the listener is closed."""
        self._note_trouble(None)
        begun_s, buffer, asked_s = time.monotonic(), LineBuffer(), 0.0
        try:
            while not self._end.is_set():
                if self.port.ask and time.monotonic() - asked_s >= ASK_EVERY_S:
                    asked_s = time.monotonic()
                    source.write(f"{self.port.ask}\r\n".encode("ascii"))
                data = source.read()
                if begun_s and (data or time.monotonic() - begun_s >= CLEAN_START_S):
                    if time.monotonic() - begun_s >= CLEAN_START_S:
                        buffer.begin_whole()
                    begun_s = 0.0
                for reading in self._readings_in(data, buffer):
                    self._note(reading)
        except OSError:
            if not self._end.is_set():
                self._note_trouble(
                    ScaleAway(
                        _("{words} went away", words=self.port.words),
                        remedy=_("Plug it in again; it is looked for every second"),
                    )
                )
        finally:
            with suppress(OSError):
                source.close()

    def _readings_in(self, data: bytes, buffer: LineBuffer) -> list[ScaleReading]:
        if self.port.hid:
            found = [read_report(data)] if data else []
        else:
            found = [read_line(line, unit=self.port.unit) for line in buffer.feed(data)]
        return [reading for reading in found if reading is not None]

    def _note(self, reading: ScaleReading) -> None:
        with self._lock:
            self._kept.append(TimedReading(time.monotonic(), reading))
            self._readings += 1
            self._damaged += reading.noise
        self._notify(reading)

    def _note_trouble(self, trouble: UllageError | None) -> None:
        with self._lock:
            same = str(trouble) == str(self._trouble)
            self._trouble = trouble
            if trouble is not None:
                self._kept.clear()
        if trouble is not None and not same:
            self._notify(trouble)
