"""What a server of the dashboard does with visitors who send nonsense, half of something, or nothing any more."""

import asyncio
import random
import socket
import struct
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from dataclasses import dataclass
from urllib.parse import urlencode

import aiohttp
import psutil
import pytest
from hypothesis import given
from hypothesis import strategies as st

from stock.errors import BadInput
from tests.tui.served import PATIENCE_S, free_port, serving, until
from tests.tui.test_serving import seated, terminal
from tui.serving.client_messages import MOST_CELLS, cells, message, password_in
from tui.serving.command import read
from tui.serving.server import BrowserServer
from tui.serving.sign_in import SignIn, sender

pytestmark = pytest.mark.only("sqlite")
FORM = b"Content-Type: application/x-www-form-urlencoded\r\n"
REQUESTS = {
    "zeroes": b"\0" * 100 + b"\r\n\r\n",
    "tls": b"\x16\x03\x01\x02\x00\x01\x00\x01\xfc\x03\x03" + bytes(range(200)),
    "long line": b"GET /" + b"a" * 1_000_000 + b" HTTP/1.1\r\nHost: HOST\r\n\r\n",
    "long header": b"GET / HTTP/1.1\r\nHost: HOST\r\nX: " + b"a" * 500_000 + b"\r\n\r\n",
    "many headers": b"GET / HTTP/1.1\r\nHost: HOST\r\n" + b"X: 1\r\n" * 5_000 + b"\r\n",
    "no host": b"GET / HTTP/1.1\r\n\r\n",
    "two hosts": b"GET / HTTP/1.1\r\nHost: HOST\r\nHost: HOST\r\n\r\n",
    "bent host": b"GET / HTTP/1.1\r\nHost: \xff\xfe[[[\r\n\r\n",
    "bent address": b"GET http://[ HTTP/1.1\r\nHost: HOST\r\n\r\n",
    "half letters": b"GET /page/%ed%a0%80?key=%ff HTTP/1.1\r\nHost: HOST\r\nCookie: \xff=\xfe;;=;\r\n\r\n",
    "version": b"GET / HTTP/9.9\r\nHost: HOST\r\n\r\n",
    "http 2": b"PRI * HTTP/2.0\r\n\r\nSM\r\n\r\n",
    "negative length": b"POST /enter HTTP/1.1\r\nHost: HOST\r\nContent-Length: -5\r\n\r\n",
    "two lengths": b"POST /enter HTTP/1.1\r\nHost: HOST\r\nContent-Length: 5\r\nTransfer-Encoding: chunked\r\n\r\nzz",
    "no chunk": b"POST /enter HTTP/1.1\r\nHost: HOST\r\nOrigin: http://HOST\r\nTransfer-Encoding: chunked\r\n\r\n"
    b"zz\r\n",
    "no gzip": b"POST /enter HTTP/1.1\r\nHost: HOST\r\nOrigin: http://HOST\r\nContent-Encoding: gzip\r\n"
    b"Content-Length: 3\r\n" + FORM + b"\r\nzzz",
    "charset": b"POST /enter HTTP/1.1\r\nHost: HOST\r\nOrigin: http://HOST\r\nContent-Length: 10\r\n"
    b"Content-Type: application/x-www-form-urlencoded; charset=zorp\r\n\r\npassword=\xff",
    "no boundary": b"POST /enter HTTP/1.1\r\nHost: HOST\r\nOrigin: http://HOST\r\nContent-Length: 3\r\n"
    b"Content-Type: multipart/form-data\r\n\r\nabc",
    "too much": b"POST /enter HTTP/1.1\r\nHost: HOST\r\nOrigin: http://HOST\r\nContent-Length: 90000\r\n"
    + FORM + b"\r\n" + b"a" * 90_000,
    "gone": b"POST /enter HTTP/1.1\r\nHost: HOST\r\nOrigin: http://HOST\r\nContent-Length: 900\r\n" + FORM + b"\r\na",
}  # fmt: skip
UNHEARD = [
    '["stdin", "\\ud800"]', "[" * 100_000, '["resize", {"width": ' + "9" * 5_000 + ', "height": 1}]',
    '["resize", {"width": NaN, "height": 1e999}]', '["resize", {"width": -1, "height": 1000000000}]',
    '["resize", {"width": "80", "height": "24"}]', '["resize", {"width": true, "height": null}]',
    '["resize", {"width": 0, "height": 0}]', '["zorp", 1]', '["ping", "\\ud800"]',
    '["stdin", "\\u0000\\u001b[<0;9;9M"]', '["resize", {"width": "x", "height": null}]', '["ping", {}]',
    "{", "[]", '["stdin", ""]', "{}", '["stdin", 5]', '["stdin"]', '["quit"]', '"stdin"', "null",
    "",
]  # fmt: skip
"""Messages that our page never sends; the tab they come to goes on."""


def frame(kind: int, content: bytes, *, first: int = 0x80, length: int | None = None) -> bytes:
    """A frame of a browser (RFC 6455, section 5.2), masked with zeroes, of any stated length."""
    size = len(content) if length is None else length
    head = bytes([first | kind]) + (
        bytes([0x80 | size]) if size < 126 else
        bytes([0x80 | 126]) + struct.pack(">H", size) if size < 65_536 else
        bytes([0x80 | 127]) + struct.pack(">Q", size)
    )  # fmt: skip
    return head + b"\0\0\0\0" + content


BROKEN = {
    "reserved bits": frame(1, b"[]", first=0xF0),
    "not UTF-8": frame(1, b"\xff\xfe"),
    "too long": frame(1, b"x" * 300_000),
    "length of 2^62": frame(1, b"x", length=2**62),
    "unknown kind": frame(5, b"x"),
    "ping in parts": frame(9, b"x", first=0),
    "long ping": frame(9, b"x" * 200),
    "nothing to go on": frame(0, b"x"),
    "bad code": frame(8, struct.pack(">H", 5)),
    "half a code": frame(8, b"\0"),
}
"""Frames that no browser sends; the standard has the connection ended that they come over."""
OFTEN = 1
"""How many of them, by the day's seed, an ordinary run sends: each ends the process of a tab."""


async def knock(port: int, sent: bytes) -> bytes:
    """Send bytes as they are and leave; what came back first."""
    reading, writing = await asyncio.open_connection("127.0.0.1", port)
    try:
        writing.write(sent.replace(b"HOST", f"127.0.0.1:{port}".encode()))
        async with asyncio.timeout(0.3):
            return await reading.read(200)
    except (TimeoutError, ConnectionError):
        return b""
    finally:
        writing.close()


def asking_for_a_tab(port: int, browser: aiohttp.ClientSession) -> bytes:
    """The request with which the page opens its socket."""
    seat = "; ".join(f"{cookie.key}={cookie.value}" for cookie in browser.cookie_jar)
    return (
        (
            f"GET /ws?width=80&height=24 HTTP/1.1\r\nHost: HOST\r\nOrigin: http://HOST\r\nCookie: {seat}\r\n"
            "Connection: Upgrade\r\nUpgrade: websocket\r\nSec-WebSocket-Version: 13\r\n"
            "Sec-WebSocket-Key: dGhlIHNhbXBsZSBub25jZQ==\r\n\r\n"
        )
        .replace("HOST", f"127.0.0.1:{port}")
        .encode()
    )


@pytest.mark.deepens
async def test_nonsense_leaves_no_traceback_and_a_tab_ends_with_its_server_alone(
    stocked: str, request: pytest.FixtureRequest
) -> None:
    """Nobody else's tab ends by what a visitor sends; each does when its server was killed."""
    option = request.config.getoption
    some = random.Random(option("sample_seed")).sample(list(BROKEN), len(BROKEN) if option("deep") else OFTEN)
    async with serving(stocked) as server, seated(server) as browser, terminal(browser, server) as tab:
        said = list(server.said)
        for name, sent in REQUESTS.items():
            answer = await knock(server.port, sent)
            assert b" 500 " not in answer, name
        for text in UNHEARD:
            await tab.socket.send_str(text)
        await tab.socket.send_bytes(b"\x00\xff")
        for name in some:
            reading, writing = await asyncio.open_connection("127.0.0.1", server.port)
            writing.write(asking_for_a_tab(server.port, browser) + BROKEN[name])
            async with asyncio.timeout(PATIENCE_S):
                assert await reading.read(), name  # to its end: the connection was closed
            writing.close()
            await until(lambda: len(server.tabs()) == 1)
        await tab.socket.send_str('["resize", {"width": 80, "height": 24}]')
        await tab.type("2")
        await tab.until("Harbour Blue")
        await until(lambda: len(server.tabs()) == 1)
        assert server.said == said
        tabs = server.tabs()
        server.process.kill()
        await until(lambda: not any(one.is_running() for one in tabs))


@dataclass
class Impatient:
    """A server in this very process whose patience is short."""

    server: BrowserServer
    port: int
    said: list[str]
    others: frozenset[int]

    def tabs(self) -> list[psutil.Process]:
        """Those of the server's children that came since: the worker of the tests has others, such as PostgreSQL."""
        return [
            one
            for one in psutil.Process().children()
            if one.pid not in self.others and one.status() != psutil.STATUS_ZOMBIE
        ]


@asynccontextmanager
async def impatient(address: str, monkeypatch: pytest.MonkeyPatch) -> AsyncIterator[Impatient]:
    for name, seconds in (("HEARTBEAT_S", 0.4), ("IDLE_S", 0.5), ("ANSWERS_IN_S", 0.5)):
        monkeypatch.setattr(f"tui.serving.server.{name}", seconds)
    port, said, up = free_port(), list[str](), asyncio.Event()
    names = read(["--port", str(port)]).names
    server = BrowserServer(SignIn(names), address, [], most=4, theme="lamp", print_line=said.append)
    listening = asyncio.create_task(server.listen("127.0.0.1", port, up.set))
    await up.wait()
    try:
        others = frozenset(one.pid for one in psutil.Process().children())
        yield Impatient(server, port, said, others)
    finally:
        server.ending.set()
        await listening


async def test_half_open_connections_end(stocked: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """A visitor who sends nothing, half a request, half a form, or takes no answer."""
    async with impatient(stocked, monkeypatch) as it:
        halves = {
            "nothing": b"",
            "half a line": b"GET / HT",
            "half the headers": b"GET / HTTP/1.1\r\nHost: HOST\r\n",
            "half a form": REQUESTS["gone"],
            "no answer taken": b"GET /page/terminal.js HTTP/1.1\r\nHost: HOST\r\n\r\n" * 40,
            "no second request": b"GET / HTTP/1.1\r\nHost: HOST\r\n\r\n",
        }
        await asyncio.gather(*(ended(it.port, sent) for sent in halves.values()))
        async with aiohttp.ClientSession() as fresh:
            assert (await fresh.get(f"http://127.0.0.1:{it.port}/")).status == 403
        assert it.said == []


async def ended(port: int, sent: bytes) -> None:
    """Send this, read nothing, and wait until the server has let go of the connection."""
    with socket.socket() as visitor:
        visitor.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 4_096)
        visitor.setblocking(False)
        loop = asyncio.get_running_loop()
        await loop.sock_connect(visitor, ("127.0.0.1", port))
        await loop.sock_sendall(visitor, sent.replace(b"HOST", f"127.0.0.1:{port}".encode()))
        await until(lambda: not connected(port, visitor.getsockname()))


def connected(port: int, visitor: tuple[str, int]) -> bool:
    """Whether this process still holds its end of a visitor's connection."""
    return any(
        one.laddr.port == port and one.raddr == visitor and one.status == psutil.CONN_ESTABLISHED
        for one in psutil.Process().net_connections("tcp")
    )


async def test_tab_of_a_browser_that_vanished_ends(stocked: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Its machine lost the network: it closes nothing, and answers no ping."""
    async with impatient(stocked, monkeypatch) as it:
        # Long enough for the tab to be seen on a busy machine before it ends.
        monkeypatch.setattr("tui.serving.server.HEARTBEAT_S", 3.0)
        async with aiohttp.ClientSession(cookie_jar=aiohttp.CookieJar(unsafe=True)) as browser:
            await browser.get(it.server.where_with_key(f"127.0.0.1:{it.port}"))
            _, writing = await asyncio.open_connection("127.0.0.1", it.port)
            writing.write(asking_for_a_tab(it.port, browser))
            await until(lambda: len(it.tabs()) == 1)
            await until(lambda: it.tabs() == [])
            ours = writing.get_extra_info("sockname")
            await until(lambda: not connected(it.port, ours))
            writing.close()
        assert len(it.said) == 1  # where the next browser comes in


@pytest.mark.parametrize(
    ("peer", "forwarded", "proxy", "counted"),
    [
        ("192.0.2.1", ["198.51.100.7"], "", "192.0.2.1"),
        ("127.0.0.1", ["198.51.100.7"], "", "127.0.0.1"),  # a program on this very machine is nobody special
        ("192.0.2.1", ["198.51.100.7"], "192.0.2.2", "192.0.2.1"),
        ("192.0.2.2", ["198.51.100.7"], "192.0.2.2", "198.51.100.7"),
        (
            "192.0.2.2",
            ["1.1.1.1, 198.51.100.7"],
            "192.0.2.2",
            "198.51.100.7",
        ),  # what stands before it is hearsay
        ("192.0.2.2", ["1.1.1.1", "198.51.100.7"], "192.0.2.2", "198.51.100.7"),
        ("::ffff:192.0.2.2", ["198.51.100.7"], "192.0.2.2", "198.51.100.7"),
        ("192.0.2.2", ["2001:DB8::7"], "192.0.2.2", "2001:db8::7"),
        ("192.0.2.2", [], "192.0.2.2", "192.0.2.2"),
        ("192.0.2.2", ["unknown"], "192.0.2.2", "192.0.2.2"),
        ("192.0.2.2", ["198.51.100.7, "], "192.0.2.2", "192.0.2.2"),
        ("", ["198.51.100.7"], "192.0.2.2", ""),
    ],
)
def test_only_the_named_proxy_says_where_a_request_came_from(
    peer: str, forwarded: list[str], proxy: str, counted: str
) -> None:
    assert sender(peer, forwarded, proxy) == counted


@pytest.mark.parametrize(
    "words",
    [["--proxy", "127.0.0.1"], ["--name", "a.org", "--proxy", "a.org"], ["--name", "a.org", "--proxy", ""]],
)
def test_proxy_is_an_address_and_stands_before_a_reachable_server(words: list[str]) -> None:
    with pytest.raises(BadInput):
        read(words)
    assert read(["--name", "a.org", "--proxy", "127.0.0.1"]).proxy == "127.0.0.1"


@given(st.binary(max_size=60), st.text(max_size=60))
def test_whatever_is_sent_is_read_or_unheard(form: bytes, text: str) -> None:
    password_in(form)
    message(text)
    assert 1 <= cells(text, 80) <= MOST_CELLS


@given(st.text(st.characters(exclude_categories=["Cs"]), min_size=1, max_size=40))
def test_password_is_read_from_the_form_as_it_was_typed(typed: str) -> None:
    assert password_in(urlencode({"password": typed}).encode()) == typed
