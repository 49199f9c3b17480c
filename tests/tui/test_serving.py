"""The dashboard in a browser: who may come in, and a whole session over a real socket."""

import asyncio
import os
import re
import socket
import sys
from pathlib import Path

import aiohttp
import pytest

from stock.errors import BadInput
from tests.tui.driving import holds
from tui.serving import Door, _port

HOST = "127.0.0.1:8764"
ORIGIN = f"http://{HOST}"


def test_key_opens_once() -> None:
    door = Door(8764)
    key = door.key
    assert key is not None
    assert not door.takes("guess")
    assert door.takes(key)
    assert not door.takes(key)
    assert not door.takes("")


@pytest.mark.parametrize(
    ("host", "origin", "seated", "is_socket", "in_"),
    [
        (HOST, None, True, False, True),
        (HOST, ORIGIN, True, True, True),
        (HOST, None, True, True, False),                       # a socket without an origin is no browser's page
        (HOST, "http://evil.example", True, True, False),
        (HOST, "null", True, True, False),
        ("evil.example:8764", "http://evil.example:8764", True, True, False),      # a name bent to this machine
        (HOST, ORIGIN, False, True, False),
        (HOST, None, False, False, False),
    ],
)  # fmt: skip
def test_who_may_come_in(host: str, origin: str | None, seated: bool, is_socket: bool, in_: bool) -> None:
    door = Door(8764)
    said = door.why_not(host=host, origin=origin, seat=door.seat if seated else "", socket=is_socket)
    assert (said == "") is in_


@pytest.mark.parametrize(
    "words", [["--port", "80"], ["--port", "a"], ["--address", "0.0.0.0"], ["--port=9000", "x"]]
)
def test_other_words_are_refused(words: list[str]) -> None:
    with pytest.raises(BadInput):
        _port(words)


def test_page_asks_nothing_of_other_hosts() -> None:
    from importlib.resources import files

    assert "http" not in files("tui").joinpath("serving_page.txt").read_text(encoding="utf-8")


async def test_session_over_a_real_socket(tmp_path: Path) -> None:
    from tests.tui import seed

    address = str(tmp_path / "studio.ullage")
    seed.fill(address)
    assert holds(8) == 30_000
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    server = await asyncio.create_subprocess_exec(
        sys.executable, "-m", "tui", "serve", "--port", str(port), "--studio", address,
        stdout=asyncio.subprocess.PIPE, stderr=asyncio.subprocess.DEVNULL, env=os.environ | {"PYTHONUNBUFFERED": "1"},
    )  # fmt: skip
    try:
        assert server.stdout is not None
        line = (await asyncio.wait_for(server.stdout.readline(), 20)).decode()
        url = re.search(r"http://\S+", line)
        assert url is not None
        root = f"http://127.0.0.1:{port}"
        jar = aiohttp.CookieJar(unsafe=True)
        async with aiohttp.ClientSession(cookie_jar=jar) as browser:
            assert (await browser.get(f"{root}/")).status == 403
            assert (await browser.get(url.group())).status == 200
            async with aiohttp.ClientSession() as stranger:
                assert (await stranger.get(url.group())).status == 403  # the key is spent
            with pytest.raises(aiohttp.WSServerHandshakeError):
                await browser.ws_connect(f"{root}/ws", origin="http://evil.example")
            async with browser.ws_connect(f"{root}/ws?width=80&height=24", origin=root) as terminal:
                await _until(terminal, b"Just done")
                await terminal.send_json(["stdin", "2"])
                await _until(terminal, b"Buoy Red")
                await terminal.send_json(["stdin", "c"])
                await _until(terminal, b"The books say it holds 30 of 60 ml")
                await terminal.send_json(["stdin", "25 ml\r"])
                await _until(terminal, b"Counted: 25 ml")
    finally:
        server.terminate()
        await server.wait()
    assert holds(8) == 25_000


async def _until(terminal: aiohttp.ClientWebSocketResponse, words: bytes) -> None:
    seen = b""
    async with asyncio.timeout(30):
        while words not in re.sub(rb"\x1b\[[0-9;?]*[A-Za-z]", b"", seen):
            message = await terminal.receive()
            assert message.type in (aiohttp.WSMsgType.BINARY, aiohttp.WSMsgType.TEXT), message
            seen += message.data if isinstance(message.data, bytes) else message.data.encode()
