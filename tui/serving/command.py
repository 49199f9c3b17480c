"""`ullage serve`: the dashboard in a browser.

It listens on this machine only, and the address that it prints has a key that opens one browser once. If other
machines are to reach it (`--host`, `--name`), it requires a password and says to put TLS before it.
"""

import asyncio
import os
import socket
import stat
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from ipaddress import ip_address
from pathlib import Path

from stock.cli.main import parser_for
from stock.cli.screens import HERE, MOST_TABS, PORT
from stock.errors import BadInput, UllageError
from stock.language import _
from stock.remedies import Do, Remedy
from stock.store import paths
from stock.text import plain
from tui.serving.sign_in import HostNames, SignIn

LONGEST_PASSWORD = 10_000
LEAST_LETTERS = 12
"""The least length of a password; common practice, no source."""
EVERYWHERE = ("0.0.0.0", "::")  # noqa: S104 - only compared with what was asked for


@dataclass(frozen=True, slots=True)
class ServeOptions:
    """The options of `ullage serve`.

    Args:
        port: where to listen.
        host: the address to listen on.
        name: the name under which a server with TLS forwards browsers; empty without one.
        proxy: the address of that server, whose X-Forwarded-For is trusted; empty where none is.
        password_file: the file with the password; empty where it is typed.
        most: how many tabs may be open at a time.
    """

    port: int = PORT
    host: str = HERE
    name: str = ""
    proxy: str = ""
    password_file: str = ""
    most: int = MOST_TABS

    @property
    def reachable(self) -> bool:
        """Whether browsers on other machines can reach it."""
        return not self.alone or bool(self.name)

    @property
    def alone(self) -> bool:
        """Whether it listens on this machine only; an unknown host name counts as reachable."""
        try:
            return self.host == "localhost" or ip_address(self.host).is_loopback
        except ValueError:
            return False

    @property
    def at(self) -> str:
        """Host and port as written in a browser."""
        host = socket.gethostname().lower() if self.host in EVERYWHERE else self.host
        return f"[{host}]:{self.port}" if ":" in host else f"{host}:{self.port}"

    @property
    def names(self) -> HostNames:
        """The names by which browsers may address this server."""
        local = {"localhost", HERE, "[::1]"}
        own = {f"[{self.host}]" if ":" in self.host else self.host.lower()}
        every = self.host in EVERYWHERE
        if every:
            own = {socket.gethostname().lower()}
        return HostNames(self.port, frozenset(local | own), frozenset({self.name} - {""}), every)


def read(words: Sequence[str]) -> ServeOptions:
    """Read the words after `serve`.

    Raises:
        BadInput: an unknown option, or a value that can't be read.
    """
    given, unknown = parser_for("serve").parse_known_args(["serve", *words])
    if unknown:  # named without its value, which may be a password
        raise BadInput(
            _("`serve` takes no {partition!r}", partition=plain(unknown[0].partition("=")[0], 40)),
            remedy=Remedy(_("See "), Do("serve", "--help")),
        )
    options = ServeOptions(
        port=given.port,
        host=given.host,
        name=given.name or "",
        proxy=given.proxy or "",
        password_file=given.password_file or "",
        most=given.tabs,
    )
    if options.proxy and not options.reachable:
        raise BadInput(
            _("--proxy is for a server with TLS before this one"),
            remedy=_("Say with --name under which name it hands browsers on"),
        )
    return options


def serve(words: Sequence[str], address: str, *, theme: str, options: Sequence[str]) -> int:
    """Serve the dashboard on these books until Ctrl+C.

    Args:
        words: the words after `serve`.
        address: the books.
        theme: the theme of the page.
        options: the options of each tab's dashboard.
    Raises:
        BadInput: an unknown option, or no acceptable password.
        UllageError: the package for browsers isn't installed, or the port can't be used.
    """
    asked = read(words)
    try:
        import textual_serve  # noqa: F401 - has the terminal that the page uses

        from tui.serving.server import BrowserServer, as_compared
    except ImportError:
        raise UllageError(
            _("the dashboard in a browser needs one more package"),
            remedy=_("Install it: pip install 'ullage[browser]'"),
            code="no-browser",
        ) from None
    password = None
    if asked.reachable:
        password = as_compared(password_of(asked))
        _print_line(warning(asked))
    os.environ.pop("ULLAGE_PASSWORD", None)
    server = BrowserServer(
        SignIn(asked.names, password),
        address,
        options,
        most=asked.most,
        theme=theme,
        proxy=asked.proxy,
        print_line=_print_line,
    )
    try:
        asyncio.run(server.listen(asked.host, asked.port, lambda: _print_line(_where(server.door, asked))))
    except OSError as error:
        raise UllageError(
            _(
                "{host} port {port} can't be used: {error}",
                host=plain(asked.host, 60),
                port=asked.port,
                error=_why(error),
            ),
            remedy=_("Name another with --port or --host"),
        ) from error
    return 0


def warning(options: ServeOptions) -> str:
    """The warning to whoever makes the dashboard reachable."""
    throttle = (
        ""
        if options.proxy
        else _(" Name its address with --proxy, or one guesser's wrong passwords slow everybody down.")
    )
    if options.alone:
        return _(
            "Caution: under {name} others can reach this too. Only a server with TLS may forward it: "
            "without TLS the password and everything that is typed can be read on the way.{throttle}",
            name=options.name,
            throttle=throttle,
        )
    return _(
        "Caution: other machines can reach this ({host}). Put a server with TLS before it: "
        "without TLS the password and everything that is typed can be read on the way.{throttle}",
        host=options.host,
        throttle=throttle if options.name else "",
    )


def password_of(options: ServeOptions) -> str:
    """The password: from its file, from ULLAGE_PASSWORD, or typed; never an option, because others can read those.

    Raises:
        BadInput: there is none, or it is too short, or others may read its file.
    """
    if options.password_file:
        password = _from_file(Path(options.password_file))
    elif "ULLAGE_PASSWORD" in os.environ:
        password = os.environ["ULLAGE_PASSWORD"]
    elif sys.stdin.isatty():
        password = _asked()
    else:
        raise BadInput(
            _("other machines can reach the dashboard only with a password"),
            remedy=_("Put it into a file and name that with --password-file, or into ULLAGE_PASSWORD"),
        )
    if len(password) < LEAST_LETTERS:
        raise BadInput(
            _("the password has {password} letters", password=len(password)),
            remedy=_("Take one of {least_letters} or more", least_letters=LEAST_LETTERS),
        )
    return password


def _from_file(path: Path) -> str:
    try:
        if os.name == "posix" and path.stat().st_mode & (stat.S_IRWXG | stat.S_IRWXO):
            raise BadInput(
                _("others may read {path}", path=plain(str(path))),
                remedy=_("Make it readable for you alone: chmod 600, then start again"),
            )
        with paths.opened(path) as file:
            lines = file.read(LONGEST_PASSWORD).decode("utf-8").splitlines()
    except (OSError, UnicodeDecodeError) as error:
        why = error.strerror if isinstance(error, OSError) else _("it is not text")
        raise BadInput(
            _("the password can't be read from {path}: {why}", path=plain(str(path)), why=why)
        ) from error
    return lines[0] if lines else ""


def _asked() -> str:
    from getpass import getpass  # only where the password is typed

    try:
        password = getpass(_("Password for the browsers: "))
        again = getpass(_("The same again: "))
    except EOFError:
        raise BadInput(_("no password was typed")) from None
    if password != again:
        raise BadInput(_("the two passwords differ"), remedy=_("Start again"))
    return password


def _where(door: SignIn, options: ServeOptions) -> str:
    if door.asks:
        at = f"https://{options.name}/" if options.name else f"http://{options.at}/"
        return _("Ullage is at {at} and asks for the password. Ctrl+C ends it.", at=at)
    return _(
        "Ullage is at http://{at}/?key={key}\nThe key opens one browser once. Ctrl+C ends it.",
        at=options.at,
        key=door.key,
    )


def _why(error: OSError) -> str:
    """The system's own message, without those of the libraries in between."""
    from_system = error.errno is not None and error.errno > 0
    return os.strerror(error.errno) if from_system and error.errno else str(error.strerror or error)


def _print_line(text: str) -> None:
    """Print for whoever started the server, if the terminal is still there; text from strangers is made safe."""
    try:
        sys.stdout.writelines(plain(line, 2_000) + "\n" for line in text.split("\n"))
        sys.stdout.flush()
    except OSError:
        pass
