"""The parsers of `demo` and `serve`; the dashboard runs these commands."""

import re
from argparse import ArgumentTypeError, RawDescriptionHelpFormatter
from collections.abc import Callable
from ipaddress import ip_address
from typing import Any

from stock.cli.files import target
from stock.cli.frame import Context, Result
from stock.errors import BadInput
from stock.language import _
from stock.text import plain

HERE = "127.0.0.1"
PORT = 8764
MOST_TABS = 8
HOST = re.compile(r"(?P<name>[a-z0-9]([a-z0-9.-]*[a-z0-9])?|\[[0-9a-f:.]+\])(:(?P<port>[0-9]{1,5}))?")
"""A host's name in lower case, or its address, with or without a port."""
WHAT_SERVE_DOES = _(
    "The dashboard in a browser on this machine. The address that is printed has a key; it "
    "opens one\nbrowser once, and each tab is a dashboard of its own. Ctrl+C ends it."
)
SAFELY = _(
    "With --host or --name a password is needed: from that file, from ULLAGE_PASSWORD, or "
    "typed. Put a server\nwith TLS before it, or anybody on the network between can read the "
    "password and everything that is typed.\n--studio, --as-of, --theme, --scale and "
    "--no-mouse are accepted too."
)


def register(commands: Any) -> None:
    """Add the parsers of the commands that open screens."""
    demo = commands.add_parser(
        "demo",
        help=_("try the dashboard on a throw-away sample studio"),
        description=_("The dashboard on a throw-away sample studio."),
        allow_abbrev=False,
    )
    demo.add_argument("--keep", metavar="PATH", type=target, help=_("leave the sample studio there"))
    serve = commands.add_parser(
        "serve",
        help=_("show the dashboard in a browser"),
        description=WHAT_SERVE_DOES,
        epilog=SAFELY,
        allow_abbrev=False,
        formatter_class=RawDescriptionHelpFormatter,
    )
    _add_serving(serve.add_argument)
    for parser in (demo, serve):
        parser.set_defaults(run=_no_screen)


def _add_serving(add: Callable[..., Any]) -> None:
    port, tabs = _number("--port", 1_024, 65_535), _number("--tabs", 1, 100)
    add("--port", metavar="N", type=port, default=PORT, help=_("where to listen ({port})", port=PORT))
    add(
        "--tabs",
        metavar="N",
        type=tabs,
        default=MOST_TABS,
        help=_("how many tabs may be open at a time ({most_tabs})", most_tabs=MOST_TABS),
    )
    add("--host", metavar="ADDRESS", type=_given, default=HERE,
        help=_("listen there, so that other machines can reach it"))  # fmt: skip
    add("--name", metavar="NAME", type=_name,
        help=_("the name under which a server with TLS forwards browsers to this one"))  # fmt: skip
    add("--proxy", metavar="ADDRESS", type=_address,
        help=_("that server's IP address: its X-Forwarded-For tells where a wrong password came from"))  # fmt: skip
    add("--password-file", metavar="PATH", type=_given,
        help=_("its first line is the password; only you may be able to read it"))  # fmt: skip


def _no_screen(args: Any, context: Context) -> Result:
    del context
    raise BadInput(
        _("`{command}` is run by the dashboard", command=args.command),
        remedy=_("Type it as the first word on the line"),
    )


def _number(option: str, least: int, most: int) -> Callable[[str], int]:
    def read_number(text: str) -> int:
        if not (text.isascii() and text.isdigit() and least <= int(text[:9]) <= most):
            raise BadInput(
                _("{text!r} is not a valid {option}", text=plain(text, 20), option=option),
                remedy=_("Write a number from {least} to {most}", least=least, most=most),
            )
        return int(text)

    return read_number


def _given(text: str) -> str:
    if not text:
        raise ArgumentTypeError(_("expected one argument"))
    return text


def _name(text: str) -> str:
    name = text.lower()
    if HOST.fullmatch(name) is None or ":" in name:
        raise BadInput(
            _("{name!r} is not a host name", name=plain(name, 40)),
            remedy=_("Write it as in paint.example.org"),
        )
    return name


def _address(text: str) -> str:
    try:
        return str(ip_address(text))
    except ValueError:
        raise BadInput(
            _("{text!r} is not an IP address", text=plain(text, 45)),
            remedy=_("Write that of the server with TLS, as in 127.0.0.1"),
        ) from None
