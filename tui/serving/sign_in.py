"""The sign-in: who is let in, by which host names, and how often a password may be tried. No socket, no clock."""

import hashlib
import hmac
import re
import secrets
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from ipaddress import IPv4Address, IPv6Address, ip_address

from stock.cli.screens import HOST
from stock.language import _

FREE_TRIES = 5
LONGEST_WAIT_S = 900
MOST_REMEMBERED = 1_000
MOST_SEATS = 64
BARE_ADDRESS = re.compile(r"[0-9.]+|\[[0-9a-f:.]+\]")


@dataclass(frozen=True, slots=True)
class HostNames:
    """The host names a browser may use for this server; a page under another name can't be one of ours.

    Args:
        port: where it listens.
        own: names and addresses of this machine, good with that port only.
        fronted: names of a server with TLS before this one; they are accepted with any port.
        every_address: whether it listens on all addresses of the machine; then a bare address is accepted too,
            because unlike a name it can't be made to point to another machine.
    """

    port: int
    own: frozenset[str]
    fronted: frozenset[str] = frozenset()
    every_address: bool = False

    def know(self, host: str) -> bool:
        """Whether a Host header names this server."""
        read = HOST.fullmatch(host.lower())
        if read is None:
            return False
        name = read["name"]
        if name in self.fronted:
            return True
        ours = name in self.own or (self.every_address and BARE_ADDRESS.fullmatch(name) is not None)
        return ours and int(read["port"] or 80) == self.port


@dataclass(slots=True)
class PasswordTries:
    """Wrong passwords by sender: after a few free tries each doubles the wait."""

    wrong: dict[str, tuple[int, float]] = field(default_factory=dict)

    def wait_s(self, where: str, now: float) -> float:
        """Seconds until another try from there is accepted; 0 for now."""
        times, since = self.wrong.get(self._from(where), (0, now))
        if times < FREE_TRIES:
            return 0.0
        return max(0.0, since + min(LONGEST_WAIT_S, 2.0 ** (times - FREE_TRIES + 1)) - now)

    def missed(self, where: str, now: float) -> None:
        """Note a wrong password; the oldest sender is forgotten where there are too many."""
        where = self._from(where)
        times, _ = self.wrong.pop(where, (0, now))
        self.wrong[where] = (times + 1, now)
        while len(self.wrong) > MOST_REMEMBERED:
            del self.wrong[next(iter(self.wrong))]

    def found(self, where: str) -> None:
        """Note the right password."""
        self.wrong.pop(self._from(where), None)

    @staticmethod
    def _from(where: str) -> str:
        """The sender to count by: a whole /64 of IPv6 counts as one."""
        return ":".join(where.split(":")[:4]) if ":" in where else where


class SignIn:
    """Lets in whoever has the key or the password, and then the browser that got a seat (a cookie's value).

    Args:
        names: the host names that are accepted.
        password: the password; None where a key in the address is used instead.
    """

    def __init__(self, names: HostNames, password: str | None = None) -> None:
        self.names = names
        self.tries = PasswordTries()
        self.key = "" if password is not None else secrets.token_urlsafe(32)
        self._salt = secrets.token_bytes(32)
        self._password = None if password is None else self._digest(password)
        self._seats: dict[str, None] = {}

    @property
    def asks(self) -> bool:
        """Whether a password is asked for, instead of a key."""
        return self._password is not None

    def seat_for_key(self, key: str) -> str | None:
        """A seat for the right key, else None; a used key is replaced by a new one."""
        if self.asks or not hmac.compare_digest(_bytes(key), self.key.encode()):
            return None
        self.key = secrets.token_urlsafe(32)
        return self._seat()

    def seat_for_password(self, password: str, where: str, now: float) -> str | None:
        """A seat for the right password, else None; nothing is checked while `tries` demands a wait.

        Args:
            password: what was typed.
            where: the address it came from.
            now: seconds of a monotonic clock.
        """
        if self._password is None or self.tries.wait_s(where, now) > 0:
            return None
        if not hmac.compare_digest(self._digest(password), self._password):
            self.tries.missed(where, now)
            return None
        self.tries.found(where)
        return self._seat()

    def knows(self, seat: str) -> bool:
        """Whether this browser has been let in."""
        return any([hmac.compare_digest(_bytes(seat), one.encode()) for one in self._seats])  # noqa: C419 - compares all, in constant time

    def stranger(self, host: str, headers: Mapping[str, str], *, acts: bool) -> str:
        """Why a request can't be from a page of ours; empty when it can.

        Args:
            host: its Host header.
            headers: its other headers.
            acts: whether it opens a WebSocket or sends something, which any page may try without permission.
        """
        if not self.names.know(host):
            return _("This address is not served here.")
        origin = headers.get("Origin")
        ours = (f"http://{host}", f"https://{host}")
        if origin not in ours and (acts or origin is not None):
            return _("Requests from other pages are refused.")
        from_elsewhere = headers.get("Sec-Fetch-Site", "none") not in ("none", "same-origin")
        if from_elsewhere and headers.get("Sec-Fetch-Mode") != "navigate":
            return _("Requests from other pages are refused.")
        return ""

    def _seat(self) -> str:
        seat = secrets.token_urlsafe(32)
        self._seats[seat] = None
        while len(self._seats) > MOST_SEATS:
            del self._seats[next(iter(self._seats))]
        return seat

    def _digest(self, password: str) -> bytes:
        """A salted digest of fixed length; the password itself is not kept."""
        return hashlib.blake2b(_bytes(password), key=self._salt).digest()


def sender(peer: str, forwarded: Sequence[str], proxy: str) -> str:
    """The address that a request came from, by which wrong passwords are counted.

    Args:
        peer: the address that opened the connection.
        forwarded: the request's `X-Forwarded-For` headers. Anybody can send these, so they count only if the peer
            is the proxy, and then only the last address, which the proxy itself has added.
        proxy: the address of a server with TLS before this one; empty where there is none.
    """
    if not proxy or _address(peer) != _address(proxy):
        return peer
    named = _address(",".join(forwarded).rpartition(",")[2].strip())
    return peer if named is None else str(named)


def _address(text: str) -> IPv4Address | IPv6Address | None:
    """An IP address, or None; an IPv4 address inside an IPv6 one counts as IPv4."""
    try:
        read = ip_address(text)
    except ValueError:
        return None
    return read.ipv4_mapped or read if isinstance(read, IPv6Address) else read


def _bytes(text: str) -> bytes:
    """The bytes of what a stranger sent, which need not be valid text."""
    return text.encode(errors="replace")
