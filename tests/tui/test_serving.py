"""The dashboard in a browser: who may come in, what the line takes, and sessions over real sockets."""

import asyncio
import re
import signal
import socket
import subprocess
import sys
from collections.abc import AsyncIterator
from contextlib import AbstractAsyncContextManager, asynccontextmanager
from pathlib import Path
from typing import Any

import aiohttp
import psutil
import pytest
from hypothesis import given
from hypothesis import strategies as st

from stock.cli.main import below, parser_for
from stock.errors import BadInput
from tests.tui.driving import holds
from tests.tui.served import PATIENCE_S, Served, serving, until
from tests.tui.terminal import terminal as in_a_terminal
from tui.__main__ import main
from tui.serving.browser_tab import BrowserTab, surroundings
from tui.serving.command import ServeOptions, password_of, read, warning
from tui.serving.server import as_compared
from tui.serving.sign_in import FREE_TRIES, LONGEST_WAIT_S, MOST_REMEMBERED, HostNames, PasswordTries, SignIn

HOST = "127.0.0.1:8764"
ORIGIN = f"http://{HOST}"
PASSWORD = "a quay at low tide"
LOCAL = read([]).names
pytestmark = pytest.mark.only("sqlite")


def test_key_opens_once_and_the_next_is_another() -> None:
    door = SignIn(LOCAL)
    first = door.key
    assert len(first) >= 43  # 32 random bytes
    assert door.seat_for_key("guess") is None
    seat = door.seat_for_key(first)
    assert seat is not None
    assert door.knows(seat)
    assert door.seat_for_key(first) is None
    assert door.key != first
    assert door.seat_for_key("") is None


def test_where_a_password_opens_no_key_does() -> None:
    door = SignIn(LOCAL, PASSWORD)
    assert door.seat_for_key("") is None
    assert door.seat_for_key(door.key) is None
    assert not door.knows("")
    seat = door.seat_for_password(PASSWORD, "192.0.2.1", 0.0)
    assert seat is not None
    assert door.knows(seat)
    assert PASSWORD not in repr(vars(door))


@pytest.mark.parametrize(
    ("host", "headers", "acts", "in_"),
    [
        (HOST, {}, False, True),
        (HOST, {"Origin": ORIGIN}, True, True),
        (HOST, {}, True, False),                                   # a socket without an origin is no page's
        (HOST, {"Origin": "http://evil.example"}, True, False),
        (HOST, {"Origin": "http://127.0.0.1:9000"}, True, False),  # another program on this very machine
        (HOST, {"Origin": "null"}, True, False),
        (HOST, {"Origin": "http://evil.example"}, False, False),
        (HOST, {"Sec-Fetch-Site": "same-site", "Sec-Fetch-Mode": "no-cors"}, False, False),
        (HOST, {"Sec-Fetch-Site": "cross-site", "Sec-Fetch-Mode": "navigate"}, False, True),  # a link to it
        ("evil.example:8764", {"Origin": "http://evil.example:8764"}, True, False),  # a name bent to this machine
        ("evil.example:8764", {}, False, False),
    ],
)  # fmt: skip
def test_which_pages_may_ask(host: str, headers: dict[str, str], acts: bool, in_: bool) -> None:
    assert (SignIn(LOCAL).stranger(host, headers, acts=acts) == "") is in_


@pytest.mark.parametrize(
    ("words", "host", "known"),
    [
        ([], "127.0.0.1:8764", True),
        ([], "LOCALHOST:8764", True),
        ([], "[::1]:8764", True),
        ([], "127.0.0.1:8765", False),
        ([], "127.0.0.1", False),                                  # that is port 80
        ([], "127.0.0.1:8764.evil.example", False),
        ([], "evil.example", False),
        ([], "", False),
        ([], "127.0.0.1:8764, evil.example", False),
        (["--host", "192.0.2.7"], "192.0.2.7:8764", True),
        (["--host", "192.0.2.7"], "192.0.2.8:8764", False),
        (["--host", "2001:db8::7"], "[2001:db8::7]:8764", True),
        (["--host", "0.0.0.0"], "192.0.2.8:8764", True),
        (["--host", "0.0.0.0"], "evil.example:8764", False),
        (["--name", "Paint.Example.org"], "paint.example.org", True),
        (["--name", "paint.example.org"], "paint.example.org:8443", True),
        (["--name", "paint.example.org"], "paint.example.org.evil.example", False),
    ],
)  # fmt: skip
def test_only_its_own_names_are_answered(words: list[str], host: str, known: bool) -> None:
    assert read(words).names.know(host) is known


@given(st.text(max_size=60))
def test_no_text_is_taken_for_a_name_of_ours(host: str) -> None:
    known = HostNames(8764, frozenset({"127.0.0.1"})).know(host)
    assert known is (host == HOST)


@given(st.text(max_size=60))
def test_no_text_opens_the_door(text: str) -> None:
    assert SignIn(LOCAL).seat_for_key(text) is None
    door = SignIn(LOCAL, PASSWORD)
    assert not door.knows(text)
    assert (door.seat_for_password(text, "192.0.2.1", 0.0) is None) is (text != PASSWORD)


def test_wrong_passwords_are_slowed_down() -> None:
    door, now = SignIn(LOCAL, PASSWORD), 100.0
    for _ in range(FREE_TRIES):
        assert door.tries.wait_s("192.0.2.1", now) == 0
        assert door.seat_for_password("wrong", "192.0.2.1", now) is None
    assert door.tries.wait_s("192.0.2.1", now) == 2
    assert door.seat_for_password(PASSWORD, "192.0.2.1", now) is None  # it is not even looked at
    assert door.seat_for_password(PASSWORD, "192.0.2.9", now) is not None  # others need not wait
    waits = []
    for _ in range(12):
        now += door.tries.wait_s("192.0.2.1", now)
        assert door.seat_for_password("wrong", "192.0.2.1", now) is None
        waits.append(door.tries.wait_s("192.0.2.1", now))
    assert waits == [4, 8, 16, 32, 64, 128, 256, 512, *[LONGEST_WAIT_S] * 4]
    now += LONGEST_WAIT_S
    assert door.seat_for_password(PASSWORD, "192.0.2.1", now) is not None
    assert door.tries.wait_s("192.0.2.1", now) == 0


def test_a_whole_house_of_ipv6_is_one_sender_and_memory_is_bounded() -> None:
    tries = PasswordTries()
    for number in range(FREE_TRIES):
        tries.missed(f"2001:db8:1:2::{number:x}", 0.0)
    assert tries.wait_s("2001:db8:1:2::ffff", 0.0) > 0
    assert tries.wait_s("2001:db8:1:3::1", 0.0) == 0
    for number in range(2 * MOST_REMEMBERED):
        tries.missed(f"10.0.{number // 256}.{number % 256}", 0.0)
    assert len(tries.wrong) == MOST_REMEMBERED


@pytest.mark.parametrize(
    "words",
    [
        ["--port", "80"], ["--port", "a"], ["--port"], ["--address", "0.0.0.0"], ["--port=9000", "x"],
        ["--password", "a quay at low tide"], ["--tabs", "0"], ["--name", "two words"], ["--name", "a:80"],
    ],
)  # fmt: skip
def test_other_words_are_refused(words: list[str]) -> None:
    with pytest.raises(BadInput):
        read(words)


@pytest.mark.parametrize(
    ("words", "reachable"),
    [
        ([], False), (["--host", "127.0.0.1"], False), (["--host", "::1"], False), (["--host=localhost"], False),
        (["--host", "192.0.2.7"], True), (["--host", "0.0.0.0"], True), (["--host", "::"], True),
        (["--host", "some-name"], True), (["--name", "paint.example.org"], True),
    ],
)  # fmt: skip
def test_what_others_can_reach_wants_a_password_and_is_warned_of(words: list[str], reachable: bool) -> None:
    wish = read(words)
    assert wish.reachable is reachable
    if reachable:
        assert "TLS" in warning(wish)


def test_password_comes_from_a_file_of_ones_own_or_the_environment(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    file = tmp_path / "password"
    file.write_text(PASSWORD + "\n")
    file.chmod(0o644)
    wish = ServeOptions(host="192.0.2.7", password_file=str(file))
    with pytest.raises(BadInput, match="others may read"):
        password_of(wish)
    file.chmod(0o600)
    assert password_of(wish) == PASSWORD
    monkeypatch.setenv("ULLAGE_PASSWORD", "short")
    with pytest.raises(BadInput, match="5 letters") as refused:
        password_of(ServeOptions(host="192.0.2.7"))
    assert "short" not in str(refused.value)
    monkeypatch.delenv("ULLAGE_PASSWORD")
    monkeypatch.setattr(sys.stdin, "isatty", lambda: False, raising=False)
    with pytest.raises(BadInput, match="only with a password"):
        password_of(ServeOptions(host="192.0.2.7"))


def test_password_is_the_same_from_every_keyboard() -> None:
    assert as_compared("cafe\u0301 au quai") == as_compared("caf\u00e9 au quai")


def test_password_on_the_line_is_refused_without_repeating_it() -> None:
    ran = subprocess.run(
        [sys.executable, "-m", "tui", "serve", "--password=hunter-of-quays"], capture_output=True, text=True
    )
    assert ran.returncode == 2
    assert "hunter" not in ran.stdout + ran.stderr
    assert len(ran.stderr.splitlines()) == 1


def test_what_can_not_be_served_is_said_in_a_sentence(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sys.stdin, "isatty", lambda: False, raising=False)
    assert main(["serve", "--host", "0.0.0.0"]) == 2
    assert "only with a password" in capsys.readouterr().err
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        assert main(["serve", "--port", str(port)]) == 2
    assert capsys.readouterr().err == (
        f"ullage: 127.0.0.1 port {port} can't be used: Address already in use. Name another with --port or --host\n"
    )


def test_help_names_every_option(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as left:
        main(["serve", "--help"])
    assert left.value.code == 0
    said = capsys.readouterr().out
    assert all(
        option in said
        for action in below(parser_for(None))["serve"]._actions
        for option in action.option_strings
    )


def test_page_asks_nothing_of_other_hosts() -> None:
    from importlib.resources import files

    for name in ("page.html", "door.html", "page.css", "page.js"):
        text = files("tui.serving").joinpath(name).read_text(encoding="utf-8")
        assert re.findall(r"(?:https?:)?//[a-z0-9]", text) == []


@asynccontextmanager
async def seated(server: Served) -> AsyncIterator[aiohttp.ClientSession]:
    """A browser that was let in."""
    async with aiohttp.ClientSession(cookie_jar=aiohttp.CookieJar(unsafe=True)) as browser:
        assert (await browser.get(server.url)).status == 200
        yield browser


async def test_sessions_over_real_sockets_until_ctrl_c(stocked: str) -> None:
    """Strangers stay outside; tabs are bounded, and the end of one is none of the others'; what is typed is booked."""
    assert holds(1) == 60_000
    async with serving(stocked, "--tabs", "2") as server, seated(server) as browser:
        async with aiohttp.ClientSession() as stranger:
            assert (await stranger.get(f"{server.root}/")).status == 403
            with pytest.raises(aiohttp.WSServerHandshakeError):
                await stranger.ws_connect(f"{server.root}/ws", origin=server.root)
        for origin in ("http://evil.example", "null", None):
            with pytest.raises(aiohttp.WSServerHandshakeError):
                await browser.ws_connect(f"{server.root}/ws", origin=origin)
        await answers_guard_themselves(server, browser)
        assert server.tabs() == []
        async with terminal(browser, server) as first:
            [one] = server.tabs()
            assert b"\x1b[?1000h" in first.seen
            assert first.seen.rfind(b"\x1b[?1003h") > first.seen.rfind(b"\x1b[?1003l")
            async with terminal(browser, server) as second:
                async with browser.ws_connect(f"{server.root}/ws", origin=server.root) as third:
                    assert (await third.receive_json())[1]["how"] == "full"
                assert len(server.tabs()) == 2
                one.kill()
                how = await first.ended()
                assert how["how"] == "broke"
                assert "-9" in how["said"]
                await until(lambda: any("A tab broke" in line for line in server.said))
                await second.type("2")
                await second.until("Harbour Blue")
                await second.type("c")
                await second.until("The books say it holds 60 of 60 ml")
                await second.type("25 ml\r")
                await second.until("Counted: 25 ml")
                assert await became_free(browser, server)
                await until(lambda: len(server.tabs()) == 1)  # a tab ends with its browser
                processes = server.tabs()
                server.process.send_signal(signal.SIGINT)
                assert (await second.ended())["how"] == "over"
                await server.process.wait()
                assert not any(one.is_running() for one in processes)
    assert holds(1) == 25_000
    assert server.process.returncode == 0


async def answers_guard_themselves(server: Served, browser: aiohttp.ClientSession) -> None:
    """What every answer says to the browser of what it may do with it, and how a key is spent."""
    for path in ("/", "/page/page.js", "/page/nothing", "/nowhere"):
        given = await browser.get(server.root + path)
        policy = given.headers["Content-Security-Policy"]
        assert "default-src 'none'" in policy
        assert "frame-ancestors 'none'" in policy
        assert given.headers["Referrer-Policy"] == "same-origin"
        assert given.headers["Cache-Control"] == "no-store"
        assert given.headers["Server"] == "Ullage"
    async with aiohttp.ClientSession() as fresh:
        let_in = await fresh.get(server.url, allow_redirects=False)
        assert let_in.headers["Location"] == "/"  # the key doesn't stay in the address
        cookie = let_in.headers["Set-Cookie"]
        assert "HttpOnly" in cookie
        assert "SameSite=Strict" in cookie
    assert (await browser.get(f"{server.root}/page/../server.py")).status in (403, 404)
    bent = await browser.get(server.url, headers={"Host": f"evil.example:{server.port}"})
    assert bent.status == 403
    head = await browser.head(server.url)  # a preview of the address must not spend its key
    assert head.status == 403
    assert (await browser.get(server.url, allow_redirects=False)).status == 303


async def became_free(browser: Any, server: Any) -> bool:
    """Whether a place becomes free; the server sees the end of a tab a moment after the tab has ended."""
    async with asyncio.timeout(PATIENCE_S):
        while True:
            async with browser.ws_connect(f"{server.root}/ws", origin=server.root) as asked:
                first = await asked.receive()
                if not (first.type.name == "TEXT" and "full" in first.data):
                    return True
            await asyncio.sleep(0.02)


async def test_tab_that_can_not_start_says_why(stocked: str) -> None:
    async with serving(stocked, "--as-of", "never") as server, seated(server) as browser:
        async with browser.ws_connect(f"{server.root}/ws", origin=server.root) as closed:
            how = (await closed.receive_json())[1]
        assert how["how"] == "broke"
        assert "never" in how["said"]


async def test_tab_leaves_when_nobody_is_there_to_type(stocked: str) -> None:
    tab = BrowserTab([], surroundings(stocked, 80, 24))
    await tab.start()
    drawn = tab.drawn()
    await anext(drawn)
    assert tab._process is not None
    assert tab._process.stdin is not None
    tab._process.stdin.close()
    async with asyncio.timeout(PATIENCE_S):
        async for _ in drawn:
            pass
    assert tab.left
    assert await tab.end() == ""


async def test_tab_that_does_not_leave_is_stopped(stocked: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("tui.serving.browser_tab.LEAVES_IN_S", 0.1)
    monkeypatch.setattr("tui.serving.browser_tab.STOPS_IN_S", 0.1)
    tab = BrowserTab([], surroundings(stocked, 80, 24))
    await tab.start()
    drawn = tab.drawn()
    await anext(drawn)
    await drawn.aclose()
    assert tab._process is not None
    process = psutil.Process(tab._process.pid)
    process.suspend()
    assert "-9" in await tab.end()
    assert not process.is_running()


def by_name(address: str, *words: str) -> AbstractAsyncContextManager[Served]:
    """A server that is handed on under a name, and wants a password."""
    return serving(address, "--name", "paint.example.org", *words, ULLAGE_PASSWORD=PASSWORD)


async def test_password_stays_out_of_processes_and_pages(stocked: str) -> None:
    jar = aiohttp.CookieJar(unsafe=True)
    async with by_name(stocked, "--no-mouse") as server, aiohttp.ClientSession(cookie_jar=jar) as browser:
        asked = await browser.get(server.root)
        assert asked.status == 401
        assert 'type="password"' in await asked.text()
        assert (await browser.post(f"{server.root}/enter", data={"password": PASSWORD})).status == 403
        await strangers_words_move_nothing(server)
        ours = {"Origin": server.root}
        for typed in ("wrong", "", PASSWORD[:-1]):
            wrong = await browser.post(f"{server.root}/enter", data={"password": typed}, headers=ours)
            assert wrong.status == 401
        right = await browser.post(f"{server.root}/enter", data={"password": PASSWORD}, headers=ours)
        assert right.status == 200
        async with terminal(browser, server) as shown:
            [tab] = server.tabs()
            assert b"\x1b[?1000h" not in shown.seen  # the mouse is the browser's own
            assert shown.seen.rfind(b"\x1b[?1003h") <= shown.seen.rfind(b"\x1b[?1003l")
            assert PASSWORD not in " ".join(tab.environ().values())
            assert PASSWORD not in " ".join([*tab.cmdline(), *psutil.Process(server.process.pid).cmdline()])
        # Without a named proxy a guesser can't come from elsewhere each time by saying so.
        assert await guessed(server, "192.0.2.1", "192.0.2.2") == 429
    printed = "\n".join(server.said)
    assert "TLS" in printed
    assert PASSWORD not in printed
    assert "?key=" not in printed


async def test_behind_a_named_proxy_a_guesser_keeps_nobody_else_waiting(stocked: str) -> None:
    async with by_name(stocked, "--proxy", "127.0.0.1") as server:
        assert await guessed(server, "192.0.2.1", "192.0.2.2") == 303


async def guessed(server: Served, guesser: str, another: str) -> int:
    """Guess until the right password is answered with a wait; how somebody else's right one is answered."""
    async with aiohttp.ClientSession() as browser:

        async def guess(password: str, sender: str) -> int:
            headers = {"Origin": server.root, "X-Forwarded-For": f"spoofed, {sender}"}
            given = await browser.post(
                f"{server.root}/enter", data={"password": password}, headers=headers, allow_redirects=False
            )
            return given.status

        assert [await guess("wrong", guesser) for _ in range(FREE_TRIES)] == [401] * FREE_TRIES
        assert await guess(PASSWORD, guesser) == 429
        return await guess(PASSWORD, another)


async def strangers_words_move_nothing(server: Served) -> None:
    """What a stranger sends is repeated on the server's terminal without the codes in it."""
    reading, writing = await asyncio.open_connection("127.0.0.1", server.port)
    writing.write(
        f"POST /enter HTTP/1.1\r\nHost: 127.0.0.1:{server.port}\r\nOrigin: {server.root}\r\n"
        "X-Forwarded-For: \x1b]0;mine\x07\r\nContent-Type: application/x-www-form-urlencoded\r\n"
        "Content-Length: 10\r\nConnection: close\r\n\r\npassword=x".encode()
    )
    status = await reading.readline()
    writing.close()
    assert b" 401 " in status or b" 400 " in status
    assert "\x1b" not in "".join(server.said)


def test_password_is_asked_for_and_not_shown(tmp_path: Path) -> None:
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = str(free.getsockname()[1])
    line = ("-m", "tui", "serve", "--port", port, "--name", "paint.example.org")
    with in_a_terminal(*line, ULLAGE_STUDIO=str(tmp_path / "studio.ullage")) as real:
        real.until("Password for the browsers:")
        real.type(PASSWORD + "\r")
        real.until("The same again:")
        real.type(PASSWORD + "\r")
        real.until("Ullage is at https://paint.example.org/")
        assert PASSWORD not in real.words
        real.type("\x03")
        assert real.end() == 0
        assert "Traceback" not in real.words


class Terminal:
    """The far end of a tab's socket."""

    def __init__(self, socket: aiohttp.ClientWebSocketResponse) -> None:
        self.socket = socket
        self.seen = b""

    async def type(self, text: str) -> None:
        await self.socket.send_json(["stdin", text])

    async def until(self, words: str) -> None:
        """Read until these words are drawn; what came before doesn't count."""
        since = len(self.seen)
        async with asyncio.timeout(PATIENCE_S):
            while words.encode() not in re.sub(rb"\x1b\[[0-9;?]*[A-Za-z]", b"", self.seen[since:]):
                message = await self.socket.receive()
                assert message.type in (aiohttp.WSMsgType.BINARY, aiohttp.WSMsgType.TEXT), message
                self.seen += message.data if isinstance(message.data, bytes) else message.data.encode()

    async def ended(self) -> dict[str, str]:
        """What the page is told at the end."""
        ends = []
        async with asyncio.timeout(PATIENCE_S):
            async for message in self.socket:
                if message.type == aiohttp.WSMsgType.TEXT:
                    ends += [message.json()[1]] * (message.json()[0] == "ended")
        [how] = ends
        return how


@asynccontextmanager
async def terminal(browser: aiohttp.ClientSession, server: Served) -> AsyncIterator[Terminal]:
    """A tab whose first screen is drawn."""
    at = f"{server.root}/ws?width=80&height=24"
    async with browser.ws_connect(at, origin=server.root) as socket:
        tab = Terminal(socket)
        await tab.until("Test studio")
        yield tab
