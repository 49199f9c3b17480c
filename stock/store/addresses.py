"""Addresses of books: a file's path, or a PostgreSQL server's URL, taken apart and checked before anything is opened.

A server's address is `postgresql://[user[:password]@]host[:port][,host[:port]...]/database[?schema=NAME&...]`;
each studio has a schema of its own. Several hosts are a primary and its standbys: whichever of them takes bookings
is used. A password is better kept in the environment (PGPASSWORD) or in ~/.pgpass than in the address.
"""

import re
from collections.abc import Iterator
from typing import Any

from stock.errors import BadInput
from stock.language import _
from stock.named_tuples import NamedTuple

PREFIXES = ("postgresql://", "postgres://")
SECRETS = ("password", "sslpassword", "passfile", "user", "options")
SCHEMA = r"[a-z_][a-z0-9_]{0,50}"
RESERVED = r"pg_.*|information_schema"
QUOTING = _("Write signs in a name or password as %XX: @ is %40, / is %2F, # is %23, & is %26")
ACCEPTED = _(
    "Write a server as postgresql://user@host/database?schema=north, in small letters, and a file by its path"
)
LIKE_A_URL = r"""(?ix)
    \s*(?:[a-z][a-z0-9+.-]+:/                  # a scheme of two letters or more; C:/ is a drive of Windows
        | (?:postgres\w*|postgresql|mysql|sqlite|file|https?):   # postgresql:host
        | (?:postg|psql|pg)\w*\W?//)              # postgresql//host"""
NUMBERS = (
    "connect_timeout", "keepalives", "keepalives_idle", "keepalives_interval", "keepalives_count",
    "tcp_user_timeout",
)  # fmt: skip
CHOICES = {
    "sslmode": ("disable", "allow", "prefer", "require", "verify-ca", "verify-full"),
    "sslnegotiation": ("postgres", "direct"),
    "channel_binding": ("disable", "prefer", "require"),
    "gssencmode": ("disable", "prefer", "require"),
    "target_session_attrs": ("any", "read-write", "read-only", "primary", "standby", "prefer-standby"),
    "load_balance_hosts": ("disable", "random"),
}
TEXTS = (
    "host", "hostaddr", "port", "user", "password", "passfile", "application_name", "sslrootcert", "sslcert",
    "sslkey", "sslpassword", "sslcrl", "krbsrvname", "require_auth",
)  # fmt: skip
KNOWN = ("schema", *NUMBERS, *CHOICES, *TEXTS)
LARGEST = 2_000_000
HIGHEST_PORT = 65_535


class ServerAddress(NamedTuple):
    """A server's URL taken apart.

    `parameters` are handed to the driver under the names that libpq has for them.
    """

    database: str
    schema: str
    parameters: dict[str, Any]


def is_server(address: str) -> bool:
    """Whether the address names a PostgreSQL server rather than a file.

    Raises:
        BadInput: it looks like a URL, but not like one of a PostgreSQL server; a file has no such name.
    """
    if ":" not in address and "//" not in address:  # no URL, whatever it was meant to be
        return False
    if address.startswith(PREFIXES):
        return True
    if re.match(LIKE_A_URL, address):
        scheme = re.split(r"[:/]", address.strip(), maxsplit=1)[0][:20]
        raise BadInput(
            _("an address that begins with {scheme!r} is not one of books", scheme=scheme), remedy=ACCEPTED
        )
    return False


def require(address: str) -> None:
    """Refuse an address that can't be one of books, before anything is opened.

    Raises:
        BadInput: as `is_server` and `parsed`.
    """
    if is_server(address):
        parsed(address)


def parsed(address: str) -> ServerAddress:
    """The parts of a server's URL, read here so that no error of the driver repeats the address.

    Raises:
        BadInput: a part of it can't be read; the sentence holds no user and no password.
    """
    body = address.partition("://")[2]
    authority, tail = re.match(r"([^/?#]*)(.*)", body, re.DOTALL).groups()  # type: ignore[union-attr]
    if any(sign in tail for sign in "@#") or re.search(r"[\x00-\x1f\x7f]", address):
        raise BadInput(_("the address has a sign in it that must be quoted"), remedy=QUOTING)
    path, __, query = tail.partition("?")
    database = _unquoted(path.removeprefix("/"))
    if not database or "/" in path[1:]:
        raise BadInput(_("the address names no database"), remedy=_("Write it as postgresql://host/database"))
    given = dict(_authority(authority))
    asked = _query(query)
    twice = sorted(given.keys() & asked.keys())
    if twice:
        raise BadInput(
            _("the address names {twice} twice", twice=twice[0]), remedy=_("Leave one of them out")
        )
    schema = _schema(asked.pop("schema", "public"))
    parameters = given | asked
    if "port" in parameters:
        _require_ports(parameters["port"])
    hosts = parameters.get("host", "").split(",")
    ports = parameters.get("port", "").split(",")
    if len(ports) not in (1, len(hosts)):
        raise BadInput(
            _("the address has {hosts} hosts and {ports} ports", hosts=len(hosts), ports=len(ports)),
            remedy=_("Write host:port for each"),
        )
    if len(hosts) > 1:
        parameters.setdefault("target_session_attrs", "read-write")
    return ServerAddress(database, schema, parameters)


def _authority(authority: str) -> Iterator[tuple[str, str]]:
    """The user, the password, the hosts and the ports, which stand before the database's name."""
    person, __, places = authority.rpartition("@")
    user, colon, password = person.partition(":")
    if user:
        yield "user", _unquoted(user)
    if colon and password:
        yield "password", _unquoted(password)
    if not places:
        return
    hosts, ports = [], []
    for place in places.split(","):
        found = re.fullmatch(r"(?:\[([^\]\s]*)\]|([^:\[\]\s]*))(?::([^:]*))?", place)
        if found is None:
            raise BadInput(
                _("a host in the address can't be read"),
                remedy=_("Write it as host:port. {quoting}", quoting=QUOTING),
            )
        hosts.append(_unquoted(found[1] or found[2] or ""))
        ports.append(found[3] or "")
    if len(hosts) > 1 and not all(hosts):
        raise BadInput(
            _("one of the hosts in the address is empty"), remedy=_("Write it as host:port,host:port")
        )
    if any(hosts):
        yield "host", ",".join(hosts)
    if any(ports):
        yield "port", ",".join(ports)


def _query(query: str) -> dict[str, str]:
    """The parameters behind the question mark; repeated names and impossible values are refused."""
    _unquoted(query)
    from urllib.parse import parse_qsl  # only for a server

    asked: dict[str, str] = {}
    for name, value in parse_qsl(query, keep_blank_values=True):
        _require_known(name, value)
        if name in asked:
            raise BadInput(_("the address names {name} twice", name=name), remedy=_("Leave one of them out"))
        asked[name] = value
    return asked


def _require_known(name: str, value: str) -> None:
    if name in NUMBERS:
        if not (value.isascii() and value.isdigit() and int(value[:10]) <= LARGEST):
            raise BadInput(
                _("{name} in the address is no whole number", name=name),
                remedy=_("Write it as {name}=10", name=name),
            )
    elif name in CHOICES:
        if value not in CHOICES[name]:
            raise BadInput(
                _("{name} in the address has a value that there isn't", name=name),
                remedy=_("Write one of {choices}", choices=", ".join(CHOICES[name])),
            )
    elif name not in (*TEXTS, "schema"):
        # The name is not shown: a password with an unquoted & in it would stand here.
        from difflib import get_close_matches  # only for the refusal

        close = get_close_matches(name, KNOWN, n=1)
        hint = _("Did you mean {close}? It", close=close[0]) if close else _("It")
        raise BadInput(
            _("the address has a parameter that Ullage does not know"),
            remedy=_("{hint} knows {known}", hint=hint, known=", ".join(KNOWN)),
        )


def _schema(schema: str) -> str:
    if not re.fullmatch(SCHEMA, schema):
        raise BadInput(
            _("the schema in the address has signs other than a-z, 0-9 and _, or is empty or too long"),
            remedy=_("Write it as ?schema=north"),
        )
    if re.fullmatch(RESERVED, schema):
        raise BadInput(
            _("the schema {schema} is the server's own", schema=schema), remedy=_("Write it as ?schema=north")
        )
    return schema


def _require_ports(ports: str) -> None:
    for port in ports.split(","):
        if port and not (port.isascii() and port.isdigit() and 1 <= int(port[:6]) <= HIGHEST_PORT):
            raise BadInput(
                _("the port in the address is no number from 1 to {highest_port}", highest_port=HIGHEST_PORT),
                remedy=_("Write it as host:5432. {quoting}", quoting=QUOTING),
            )


def _unquoted(text: str) -> str:
    from urllib.parse import unquote  # only for a server

    try:
        unquoted = unquote(text, errors="strict")
    except UnicodeDecodeError:
        raise BadInput(_("the address has %XX signs that are no text in UTF-8"), remedy=QUOTING) from None
    if "\0" in unquoted:
        raise BadInput(_("the address has a sign that can't be in it"), remedy=QUOTING)
    return unquoted


def schema_of(address: str) -> str:
    """The schema that holds the studio; `public` when the address names none.

    Raises:
        BadInput: as `parsed`.
    """
    return parsed(address).schema


def with_schema(address: str, schema: str) -> str:
    """The address of another studio on the same server."""
    front, _, query = address.partition("?")
    kept = [word for word in query.split("&") if word and not word.startswith("schema=")]
    return f"{front}?{'&'.join([*kept, f'schema={schema}'])}"


def shown(address: str) -> str:
    """The address for people; without a server's user and password."""
    if not address.startswith(PREFIXES):
        return address
    from urllib.parse import parse_qsl, urlencode, urlsplit  # only for a server

    # Everything before the last @ may be a password with signs in it that should have been quoted.
    parts = urlsplit("//" + address.partition("://")[2].rpartition("@")[2])
    asked = urlencode(
        [(name, value) for name, value in parse_qsl(parts.query) if name not in SECRETS], safe="/"
    )
    return f"postgresql://{parts.netloc}{parts.path}{f'?{asked}' if asked else ''}"


def without_secrets(said: str, address: str) -> str:
    """The message of a server or driver with every password of the address made unreadable."""
    if not address.startswith(PREFIXES):
        return said
    from urllib.parse import parse_qsl, unquote, urlsplit  # only for a server

    password = address.partition("://")[2].rpartition("@")[0].partition(":")[2]
    asked = dict(parse_qsl(urlsplit(address).query))
    secrets = {password, unquote(password), asked.get("password", ""), asked.get("sslpassword", "")}
    # A password with an unquoted sign in it is taken apart by the driver, which then speaks of its pieces.
    pieces = {piece for secret in secrets for piece in re.split(r"[@:/?#&=\s]+", secret) if len(piece) > 2}
    for secret in sorted(secrets | pieces, key=len, reverse=True):
        said = said.replace(secret, "***") if secret else said
    return said
