"""The web server of `ullage serve`: a page, its files, the sign-in, and a socket for each tab."""

import asyncio
import contextlib
import html
import os
import signal
import time
import unicodedata
from collections.abc import Awaitable, Callable, Sequence
from importlib.resources import files

from aiohttp import WSCloseCode, WSMsgType, web

from stock.language import _
from tui.drawing.sentences import sentence_for
from tui.serving.browser_tab import BrowserTab, sentence, surroundings
from tui.serving.client_messages import cells, message, password_in
from tui.serving.faults import VISITORS, logged_in_one_line
from tui.serving.sign_in import SignIn, sender
from tui.themes import LAMP, NAMES

Handler = Callable[[web.Request], Awaitable[web.StreamResponse]]
LONGEST_MESSAGE = 262_144
LONGEST_FORM = 4_096
HEARTBEAT_S = 15
"""Seconds between two checks whether a tab's browser is still there; it has half as long to answer."""
IDLE_S = 30
"""Seconds that a connection may stay open without a whole request."""
ANSWERS_IN_S = 60
"""Seconds that reading a request and sending its answer may take."""
KINDS = {"css": "text/css", "js": "text/javascript", "svg": "image/svg+xml"}
GUARDS = {
    "Referrer-Policy": "same-origin",
    "X-Frame-Options": "DENY",
    "X-Content-Type-Options": "nosniff",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Cache-Control": "no-store",
    "Server": "Ullage",
}
FORM = """<form method="post" action="/enter">
        <label for="password">Password</label>
        <input id="password" name="password" type="password" autocomplete="current-password" required autofocus>
        <button type="submit">Come in</button>
      </form>"""
BY_KEY = _("Open the address that `ullage serve` printed. Its key opens one browser once.")
WRONG = _("That is not the password.")
UNREADABLE = _("The request can't be read.")
TOO_SLOW = _("The request was not complete in time.")


class BrowserServer:
    """The dashboard for browsers.

    Args:
        door: decides who is let in.
        address: the books.
        words: the options of each tab's command line.
        most: how many tabs may be open at a time.
        theme: the theme of the page.
        proxy: the address of the server with TLS that forwards browsers; empty without one.
        print_line: prints for whoever started the server.
    """

    def __init__(
        self,
        door: SignIn,
        address: str,
        words: Sequence[str],
        *,
        most: int,
        theme: str,
        proxy: str = "",
        print_line: Callable[[str], None],
    ) -> None:
        self.door = door
        self.most = most
        self.ending = asyncio.Event()
        self._address = address
        self._words = words
        self._proxy = proxy
        self._print_line = print_line
        self._colours = LAMP if theme == "terminal" else NAMES[theme]
        self._open: set[web.WebSocketResponse] = set()
        self._cookie = f"ullage-seat-{door.names.port}"

    async def listen(self, host: str, port: int, ready: Callable[[], None]) -> None:
        """Serve until Ctrl+C, or until a signal ends the program.

        Raises:
            OSError: the port can't be used.
        """
        if os.name == "posix":
            for one in (signal.SIGINT, signal.SIGTERM, signal.SIGHUP):
                asyncio.get_running_loop().add_signal_handler(one, self.ending.set)
        runner = web.AppRunner(self.app(), access_log=None, keepalive_timeout=IDLE_S, auto_decompress=False)
        with logged_in_one_line(self._print_line):
            await runner.setup()
            try:
                await web.TCPSite(runner, host, port).start()
                ready()
                await self.ending.wait()
            finally:
                await runner.cleanup()

    def app(self) -> web.Application:
        """The application with its routes."""
        app = web.Application(middlewares=[self._only_ours], client_max_size=LONGEST_FORM)
        app.add_routes(
            [
                web.get("/", self._page),
                web.post("/enter", self._enter),
                web.get("/ws", self._tab),
                web.get("/page/{name}", self._file),
            ]
        )
        app.on_response_prepare.append(_guard)
        app.on_shutdown.append(self._end)
        return app

    @web.middleware
    async def _only_ours(self, request: web.Request, handler: Handler) -> web.StreamResponse:
        acts = request.path == "/ws" or request.method != "GET"
        text = self.door.stranger(request.host, request.headers, acts=acts)
        if not text and request.path == "/ws" and not self._seated(request):
            text = BY_KEY
        if text:
            return web.Response(status=403, text=text)
        try:
            return await (handler(request) if request.path == "/ws" else _in_time(request, handler))
        except (web.HTTPException, *VISITORS):
            raise
        except Exception as error:
            text = sentence_for(error)
            self._print_line(text)
            return web.Response(status=500, text=text)

    async def _page(self, request: web.Request) -> web.Response:
        if "key" in request.query:
            seat = self.door.seat_for_key(request.query["key"])
            if seat is not None:
                self._print_line(
                    _("Opened. For another browser: {host}", host=self.where_with_key(request.host))
                )
                return self._let_in(request, seat)
        if self._seated(request):
            return _html(_ours("page.html"))
        if self.door.asks:
            return self._door_page(401, _("This studio opens with its password."))
        return self._door_page(403, BY_KEY)

    def where_with_key(self, host: str) -> str:
        """The address with the key that opens one browser once."""
        return f"http://{host}/?key={self.door.key}"

    async def _enter(self, request: web.Request) -> web.Response:
        if not self.door.asks:
            return self._door_page(403, BY_KEY)
        forwarded = request.headers.getall("X-Forwarded-For", [])
        where, now = sender(request.remote or "", forwarded, self._proxy), time.monotonic()
        wait_s = self.door.tries.wait_s(where, now)
        if wait_s > 0:
            return self._door_page(
                429, _("Too many wrong passwords. Try again in {wait_s:.0f} s.", wait_s=wait_s), wait_s
            )
        typed = password_in(await request.read())
        seat = None if typed is None else self.door.seat_for_password(as_compared(typed), where, now)
        if seat is None:
            self._print_line(_("A wrong password came from {where}.", where=where))
            return self._door_page(401, WRONG)
        return self._let_in(request, seat)

    def _let_in(self, request: web.Request, seat: str) -> web.Response:
        answer = web.Response(status=303, headers={"Location": "/"})
        over_tls = request.headers.get("X-Forwarded-Proto") == "https"
        answer.set_cookie(self._cookie, seat, httponly=True, samesite="Strict", path="/", secure=over_tls)
        return answer

    def _seated(self, request: web.Request) -> bool:
        return self.door.knows(request.cookies.get(self._cookie, ""))

    def _door_page(self, status: int, text: str, wait_s: float = 0) -> web.Response:
        page = _ours("door.html").replace("{said}", html.escape(text))
        answer = _html(page.replace("{form}", FORM if self.door.asks else ""), status)
        if wait_s:
            answer.headers["Retry-After"] = f"{wait_s:.0f}"
        return answer

    async def _file(self, request: web.Request) -> web.Response:
        name = request.match_info["name"]
        if name == "page.css":
            names = ("ground", "ink", "quiet", "card", "tape", "tape-ink", "key", "rule", "stop")
            colours = ";".join(f"--{one}:{self._colours[one]}" for one in names)
            text = f":root{{{colours}}}\n{_ours(name)}"
        elif name in ("page.js", "icon.svg"):
            text = _ours(name)
        elif name == "xterm.css":
            text = _theirs("css/xterm.css")
        elif name == "terminal.js":
            text = _theirs("js/textual.js")
        else:
            return web.Response(status=404, text=_("Nothing is served here."))
        return web.Response(text=text, content_type=KINDS[name.rpartition(".")[2]], charset="utf-8")

    async def _tab(self, request: web.Request) -> web.StreamResponse:
        socket = web.WebSocketResponse(timeout=2, heartbeat=HEARTBEAT_S, max_msg_size=LONGEST_MESSAGE)
        full = len(self._open) >= self.most
        if not full:
            self._open.add(socket)  # before the first await, so that two tabs can't both take the last place
        try:
            await socket.prepare(request)
            how, text = (
                ("full", _("At most {most} tabs can be open at a time.", most=self.most))
                if full
                else await self._shown(socket, request)
            )
            await _part(socket, how, text)
        finally:
            self._open.discard(socket)
        return socket

    async def _shown(self, socket: web.WebSocketResponse, request: web.Request) -> tuple[str, str]:
        """Run a tab's dashboard until it or the browser is gone; returns how it ended, and its last message."""
        width, height = cells(request.query.get("width"), 80), cells(request.query.get("height"), 24)
        tab = BrowserTab(self._words, surroundings(self._address, width, height))
        try:
            await tab.start()
        except OSError as error:
            return "broke", _("The dashboard could not be started: {strerror}.", strerror=error.strerror)
        drawing = asyncio.create_task(_draw(tab, socket))
        typing = asyncio.create_task(_type(tab, socket))
        ending = asyncio.create_task(self.ending.wait())
        tasks = (drawing, typing, ending)
        try:
            await asyncio.wait(tasks, return_when=asyncio.FIRST_COMPLETED)
        finally:
            for task in tasks:
                task.cancel()
            await asyncio.gather(*tasks, return_exceptions=True)
            last_words = await asyncio.shield(tab.end())
        if last_words:
            self._print_line(_("A tab broke: {last_words}", last_words=last_words))
            return "broke", sentence(last_words)
        return ("over" if self.ending.is_set() else "left"), ""

    async def _end(self, _: web.Application) -> None:
        """Wait until every tab has ended."""
        self.ending.set()
        while self._open:
            await asyncio.sleep(0.05)


async def _in_time(request: web.Request, handler: Handler) -> web.StreamResponse:
    """Answer a request, unless reading it or sending the answer takes too long."""
    answer: web.StreamResponse | None = None
    try:
        async with asyncio.timeout(ANSWERS_IN_S):
            answer = await handler(request)
            await answer.prepare(request)
            await answer.write_eof()
            return answer
    except web.RequestPayloadError:
        raise web.HTTPBadRequest(text=UNREADABLE) from None
    except TimeoutError:
        if answer is not None and request.transport is not None:
            request.transport.abort()  # the client doesn't read it
        raise web.HTTPRequestTimeout(text=TOO_SLOW) from None


async def _draw(tab: BrowserTab, socket: web.WebSocketResponse) -> None:
    async for letters in tab.drawn():
        await socket.send_bytes(letters)


async def _type(tab: BrowserTab, socket: web.WebSocketResponse) -> None:
    """Forward what the browser sends; what our page can't have sent is ignored."""
    async for received in socket:
        if received.type != WSMsgType.TEXT:
            continue
        match message(received.data):
            case ["stdin", str(text)]:
                await tab.typed(text)
            case ["resize", {"width": int(width), "height": int(height)}]:
                await tab.send(type="resize", width=cells(width, 80), height=cells(height, 24))
            case ["focus" | "blur" as what]:
                await tab.send(type=what)
            case ["ping", str(when)]:
                await socket.send_json(["pong", when[:40]])


async def _part(socket: web.WebSocketResponse, how: str, text: str) -> None:
    """Send the page the reason of the end; it may be gone already."""
    with contextlib.suppress(ConnectionError, RuntimeError):
        if not socket.closed:
            await socket.send_json(["ended", {"how": how, "said": text}])
            await socket.close(code=WSCloseCode.OK)


async def _guard(request: web.Request, response: web.StreamResponse) -> None:
    """Set the headers of every answer: nothing from other hosts, no framing, no caching."""
    own_socket = f"ws://{request.host} wss://{request.host}" if " " not in request.host else ""
    response.headers.update(GUARDS)
    response.headers["Content-Security-Policy"] = (
        "default-src 'none'; script-src 'self'; style-src 'self' 'unsafe-inline'; img-src 'self'; "
        f"connect-src 'self' {own_socket}; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
    )


def as_compared(password: str) -> str:
    """A password in one normal form, however the keyboard composed its letters."""
    return unicodedata.normalize("NFKC", password)


def _html(text: str, status: int = 200) -> web.Response:
    return web.Response(status=status, text=text, content_type="text/html", charset="utf-8")


def _ours(name: str) -> str:
    return files("tui.serving").joinpath(name).read_text(encoding="utf-8")


def _theirs(name: str) -> str:
    return files("textual_serve").joinpath("static").joinpath(name).read_text(encoding="utf-8")
