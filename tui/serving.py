"""`ullage serve`: the dashboard in a browser on this machine.

It listens on this machine alone. The address it prints carries a key that opens one browser once; after that
the browser is known by a cookie. A request under another host's name, or a socket opened by another page, is
refused. Each tab is a process of its own. The page asks nothing of other hosts.
"""

import asyncio
import hmac
import os
import secrets
import shlex
import sys
from collections.abc import Awaitable, Callable, Sequence
from importlib.resources import files
from typing import TYPE_CHECKING, Any

from stock.errors import BadInput, UllageError

if TYPE_CHECKING:
    from aiohttp import web

HERE = "127.0.0.1"
PORT = 8764
COOKIE = "ullage-seat"
Handler = Callable[["web.Request"], Awaitable["web.StreamResponse"]]


class Door:
    """Who may come in: the bearer of the key, once, and then the browser that got the seat."""

    def __init__(self, port: int) -> None:
        self.key: str | None = secrets.token_urlsafe(32)
        self.seat = secrets.token_urlsafe(32)
        self.hosts = (f"{HERE}:{port}", f"localhost:{port}")

    def takes(self, key: str) -> bool:
        """Whether this is the key; it is spent by that."""
        right = self.key is not None and hmac.compare_digest(key.encode(), self.key.encode())
        if right:
            self.key = None
        return right

    def knows(self, seat: str) -> bool:
        """Whether this browser has been let in."""
        return hmac.compare_digest(seat.encode(), self.seat.encode())

    def why_not(self, *, host: str, origin: str | None, seat: str, socket: bool) -> str:
        """Why a request is refused; empty when it isn't.

        Args:
            host: its Host header.
            origin: its Origin header, if it has one.
            seat: what its cookie says.
            socket: whether it opens a WebSocket, which any page may try without asking.
        """
        if host not in self.hosts:
            return "This address is not served here."
        if origin not in ({f"http://{host}"} if socket else {None, f"http://{host}"}):
            return "Another page may not come in here."
        return (
            ""
            if self.knows(seat)
            else "Open the address that `ullage serve` printed; its key opens one browser once."
        )


def serve(words: Sequence[str], address: str) -> int:
    """Serve the dashboard on these books until Ctrl+C.

    Args:
        words: what follows `serve` on the line; `--port N` is all it takes.
        address: the books.
    Raises:
        BadInput: something else on the line.
        UllageError: the package for browsers isn't installed.
    """
    port = _port(words)
    try:
        server = _server(port, Door(port))
    except ImportError:
        raise UllageError(
            "the dashboard in a browser needs one more package",
            remedy="Install ullage[browser]",
            code="no-browser",
        ) from None
    os.environ["ULLAGE_STUDIO"] = (
        address  # not on the line of the process, where others could read a password
    )
    try:
        asyncio.run(server.listening())
    except KeyboardInterrupt:
        return 0
    except OSError as error:
        raise UllageError(
            f"port {port} can't be used: {error.strerror}", remedy="Name another with --port"
        ) from error
    return 0


def _port(words: Sequence[str]) -> int:
    if not words:
        return PORT
    option, sign, value = words[0].partition("=")
    text = value if sign else (words[1] if len(words) > 1 else "")
    if option != "--port" or len(words) > (1 if sign else 2):
        raise BadInput("`serve` takes only --port N", remedy="It listens on this machine alone")
    if not (text.isascii() and text.isdigit() and 1024 <= int(text) <= 65_535):
        raise BadInput(f"{text[:20]!r} is no port", remedy="Write a number from 1024 to 65535")
    return int(text)


def _server(port: int, door: Door) -> Any:
    """The server behind that door."""
    import aiohttp_jinja2  # noqa: PLC0415 - only where it is served
    import jinja2  # noqa: PLC0415
    from aiohttp import web  # noqa: PLC0415
    from textual_serve.server import Server  # noqa: PLC0415

    page = files("tui").joinpath("serving_page.txt").read_text(encoding="utf-8")

    @web.middleware
    async def watched(request: web.Request, handler: Handler) -> web.StreamResponse:
        if request.path == "/" and door.takes(request.query.get("key", "")) and request.host in door.hosts:
            let_in = web.Response(status=303, headers={"Location": "/"})
            let_in.set_cookie(COOKIE, door.seat, httponly=True, samesite="Strict", path="/")
            return let_in
        said = door.why_not(
            host=request.host,
            origin=request.headers.get("Origin"),
            seat=request.cookies.get(COOKIE, ""),
            socket=request.path == "/ws",
        )
        if said:
            return web.Response(status=403, text=said)
        given = await handler(request)
        if not given.prepared:
            given.headers["Referrer-Policy"] = "no-referrer"
            given.headers["X-Frame-Options"] = "DENY"
        return given

    class Behind(Server):  # type: ignore[misc]  # the library has no types
        async def _make_app(self) -> web.Application:
            app = await super()._make_app()
            app.middlewares.append(watched)
            aiohttp_jinja2.setup(app, loader=jinja2.DictLoader({"app_index.html": page}))
            return app

        async def on_startup(self, app: web.Application) -> None:
            """What the library says at the start is said by `listening`, once it is true."""

        async def listening(self) -> None:
            """Listen, say where, and go on until the program is told to end."""
            runner = web.AppRunner(await self._make_app())
            await runner.setup()
            try:
                await web.TCPSite(runner, HERE, port).start()
                sys.stdout.write(
                    f"Ullage is at http://{HERE}:{port}/?key={door.key}\n"
                    "The key opens one browser once. Ctrl+C ends it.\n"
                )
                sys.stdout.flush()
                await asyncio.Event().wait()
            finally:
                await runner.cleanup()

    command = f"{shlex.quote(sys.executable)} -m tui"
    return Behind(command, host=HERE, port=port, title="Ullage", public_url=f"http://{HERE}:{port}")
