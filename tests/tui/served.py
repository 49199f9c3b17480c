"""`ullage serve` as a process of its own, for tests that knock at its door."""

import asyncio
import os
import re
import socket
import sys
from collections.abc import AsyncIterator, Awaitable, Callable, Sequence
from contextlib import asynccontextmanager, suppress
from dataclasses import dataclass, field
from pathlib import Path

import psutil

PATIENCE_S = 180
OURS = (sys.executable, "-m", "tui")


@dataclass
class Served:
    """A running server: where it is, what it has printed, and its tabs' processes."""

    process: asyncio.subprocess.Process
    port: int
    said: list[str] = field(default_factory=list)

    @property
    def root(self) -> str:
        return f"http://127.0.0.1:{self.port}"

    @property
    def url(self) -> str:
        """The newest address with a key."""
        return re.findall(r"http://\S+\?key=\S+", "\n".join(self.said))[-1]

    def tabs(self) -> list[psutil.Process]:
        """The tabs' processes, the oldest first."""
        standing = []
        for one in psutil.Process(self.process.pid).children():
            with suppress(psutil.NoSuchProcess):  # gone meanwhile
                if one.status() != psutil.STATUS_ZOMBIE:
                    standing.append((one.create_time(), one))
        return [one for _, one in sorted(standing, key=lambda pair: pair[0])]


def free_port() -> int:
    """A port that nobody listens at."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        return int(free.getsockname()[1])


@asynccontextmanager
async def serving(
    address: str, *words: str, ullage: Sequence[str] = OURS, folder: Path | None = None, **environment: str
) -> AsyncIterator[Served]:
    """Serve these books on a free port until the block is left.

    Args:
        address: the books.
        words: more of the line.
        ullage: how the command is called.
        folder: where it is called.
        environment: beside the environment of the tests.
    """
    port = free_port()
    process = await asyncio.create_subprocess_exec(
        *ullage, "serve", "--port", str(port), *words, cwd=folder,
        stdin=asyncio.subprocess.DEVNULL, stdout=asyncio.subprocess.PIPE, stderr=asyncio.subprocess.STDOUT,
        env=os.environ | {"ULLAGE_STUDIO": address} | environment,
    )  # fmt: skip
    server = Served(process, port)
    listening = asyncio.create_task(_listen(server))
    try:
        await until(
            lambda: any("Ullage is at" in line for line in server.said) or process.returncode is not None
        )
        assert process.returncode is None, server.said
        yield server
    finally:
        if process.returncode is None:
            process.terminate()
        await asyncio.wait_for(process.wait(), PATIENCE_S)
        await listening


async def _listen(server: Served) -> None:
    assert server.process.stdout is not None
    while line := await server.process.stdout.readline():
        server.said.append(line.decode())


async def until(true: Callable[[], bool | Awaitable[bool]]) -> None:
    """Wait for something to become true, or fail."""
    async with asyncio.timeout(PATIENCE_S):
        while True:
            answer = true()
            if await answer if isinstance(answer, Awaitable) else answer:
                return
            await asyncio.sleep(0.02)
