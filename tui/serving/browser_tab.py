"""One tab of the browser: a dashboard in a process of its own, connected by packets over its pipes.

A packet is one letter (D for what is drawn or typed, M for a message in JSON), four bytes of length, and its
content, as `textual.drivers.web_driver` reads and writes them.
"""

import asyncio
import json
import os
import sys
from asyncio.subprocess import PIPE, Process
from collections.abc import AsyncIterator, Sequence
from contextlib import suppress

from stock.language import _
from stock.text import plain

HELLO = b"__GANGLION__\n"
"""The line with which the driver begins to speak in packets."""
LEAVES_IN_S = 20
"""How long a dashboard may take to leave: it may be making the day's backup, or still be starting on a busy machine."""
STOPS_IN_S = 3
LONGEST_LAST_WORDS = 8_000


def surroundings(address: str, width: int, height: int) -> dict[str, str]:
    """The environment of a tab's process.

    Args:
        address: the books; not on the command line, where others could read a password in it.
        width: columns of the tab.
        height: its rows.
    """
    return {
        **{name: value for name, value in os.environ.items() if name != "ULLAGE_PASSWORD"},
        "ULLAGE_STUDIO": address,
        "TEXTUAL_DRIVER": "tui.serving.driver:TabDriver",
        "TEXTUAL_COLOR_SYSTEM": "truecolor",
        "TEXTUAL_FPS": "60",
        "COLUMNS": str(width),
        "ROWS": str(height),
    }


class BrowserTab:
    """A dashboard in a process of its own.

    Args:
        words: the options of its command line.
        environment: see `surroundings`.
    """

    def __init__(self, words: Sequence[str], environment: dict[str, str]) -> None:
        self._words = words
        self._environment = environment
        self._process: Process | None = None
        self._last_words: asyncio.Task[bytes] | None = None
        self.left = False  # whether it quit by itself

    async def start(self) -> None:
        """Start the process in a session of its own, so that a Ctrl+C at the terminal ends only the server."""
        self._process = await asyncio.create_subprocess_exec(
            sys.executable, "-P", "-m", "ullage", *self._words,
            stdin=PIPE, stdout=PIPE, stderr=PIPE, env=self._environment, start_new_session=True,
        )  # fmt: skip
        self._last_words = asyncio.create_task(self._listen())

    async def drawn(self) -> AsyncIterator[bytes]:
        """What it draws, until it quits or breaks."""
        assert self._process is not None
        assert self._process.stdout is not None
        pipe = self._process.stdout
        with suppress(asyncio.IncompleteReadError, ConnectionResetError):
            while await pipe.readuntil() != HELLO:
                pass
            while True:
                kind = await pipe.readexactly(1)
                content = await pipe.readexactly(int.from_bytes(await pipe.readexactly(4), "big"))
                if kind == b"D":
                    yield content
                elif kind == b"M" and json.loads(content).get("type") == "exit":
                    self.left = True
                    return

    async def typed(self, text: str) -> None:
        """Send keys as a terminal would; lone surrogates are left out."""
        letters = text.encode(errors="ignore")
        if letters:  # an empty packet would end the driver
            await self._send(b"D", letters)

    async def send(self, **what: str | int) -> None:
        """Hand on a message: `type` is `resize`, `focus`, `blur` or `quit`."""
        await self._send(b"M", json.dumps(what).encode())

    async def end(self) -> str:
        """End the process, asking it first; returns its last message if it broke, else nothing."""
        if self._process is None or self._last_words is None:
            return ""
        if not await self._gone_in(LEAVES_IN_S, ask=True):
            with suppress(ProcessLookupError):
                self._process.terminate()
            if not await self._gone_in(STOPS_IN_S):
                with suppress(ProcessLookupError):
                    self._process.kill()
                await self._process.wait()
        last_words = await self._last_words
        if self._process.returncode == 0:
            return ""
        return last_words.decode(errors="replace").strip() or _(
            "its process ended with {returncode}", returncode=self._process.returncode
        )

    async def _gone_in(self, patience_s: float, *, ask: bool = False) -> bool:
        """Whether the process ends in so many seconds; with `ask` it is asked to quit first."""
        try:
            async with asyncio.timeout(patience_s):
                if ask:
                    await self.send(type="quit")  # waits while a full pipe is not read
                await self._drain()
        except TimeoutError:
            return False
        return True

    async def _drain(self) -> None:
        """Read until the process has ended, so that a full pipe doesn't keep it from ending."""
        assert self._process is not None
        assert self._process.stdout is not None
        while await self._process.stdout.read(65_536):
            pass
        await self._process.wait()

    async def _send(self, kind: bytes, content: bytes) -> None:
        assert self._process is not None
        assert self._process.stdin is not None
        with suppress(ConnectionError, RuntimeError):  # it has ended already
            self._process.stdin.write(kind + len(content).to_bytes(4, "big") + content)
            await self._process.stdin.drain()

    async def _listen(self) -> bytes:
        assert self._process is not None
        assert self._process.stderr is not None
        kept = b""
        while more := await self._process.stderr.read(4_096):
            kept = (kept + more)[-LONGEST_LAST_WORDS:]
        return kept


def sentence(last_words: str) -> str:
    """A tab's last message, on one line and short enough for a page."""
    return plain(" ".join(last_words.split()), 600)
