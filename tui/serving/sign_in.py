"""Who may come in, under which name, and how often a password may be guessed. No socket, no clock."""

import hashlib
import hmac
import re
import secrets
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from ipaddress import IPv4Address, IPv6Address, ip_address

FREE_TRIES = 5
LONGEST_WAIT_S = 900
MOST_REMEMBERED = 1_000
MOST_SEATS = 64
HOST = re.compile(r"(?P<name>[a-z0-9]([a-z0-9.-]*[a-z0-9])?|\[[0-9a-f:.]+\])(:(?P<port>[0-9]{1,5}))?")
BARE_ADDRESS = re.compile(r"[0-9.]+|\[[0-9a-f:.]+\]")


@dataclass(frozen=True, slots=True)
class Names:
    """The names a browser may use for this server; a page under another name can't be one of ours.

    Args:
        port: where it listens.
        own: names and addresses of this machine, good with that port only.
        fronted: names of a server with TLS that stands before this one; it hands on any port.
        every_address: it listens on all addresses of the machine: a bare address is then good too, for it
            can't be bent to another machine as a name can.
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
class Tries:
    """Wrong passwords by where they came from: a few are free, then each doubles the wait."""

    wrong: dict[str, tuple[int, float]] = field(default_factory=dict)

    def wait_s(self, where: str, now: float) -> float:
        """Seconds until another try from there is looked at; 0 when it is now."""
        times, since = self.wrong.get(self._from(where), (0, now))
        if times < FREE_TRIES:
            return 0.0
        return max(0.0, since + min(LONGEST_WAIT_S, 2.0 ** (times - FREE_TRIES + 1)) - now)

    def missed(self, where: str, now: float) -> None:
        """Another wrong one; what is remembered longest is forgotten where there are too many."""
        where = self._from(where)
        times, _ = self.wrong.pop(where, (0, now))
        self.wrong[where] = (times + 1, now)
        while len(self.wrong) > MOST_REMEMBERED:
            del self.wrong[next(iter(self.wrong))]

    def found(self, where: str) -> None:
        """The right one."""
        self.wrong.pop(self._from(where), None)

    @staticmethod
    def _from(where: str) -> str:
        """A whole /64 of IPv6 belongs to one house."""
        return ":".join(where.split(":")[:4]) if ":" in where else where


class SignIn:
    """Lets in the bearer of a key or of the password, and then the browser that got a seat.

    Args:
        names: under which names it may be asked for.
        password: what opens it; None where a key in the address does.
    """

    def __init__(self, names: Names, password: str | None = None) -> None:
        self.names = names
        self.tries = Tries()
        self.key = "" if password is not None else secrets.token_urlsafe(32)
        self._salt = secrets.token_bytes(32)
        self._password = None if password is None else self._digest(password)
        self._seats: dict[str, None] = {}

    @property
    def asks(self) -> bool:
        """Whether a password opens it, and no key."""
        return self._password is not None

    def seat_for_key(self, key: str) -> str | None:
        """A seat for whoever brings the key; the key is spent by that, and the next one is another."""
        if self.asks or not hmac.compare_digest(_bytes(key), self.key.encode()):
            return None
        self.key = secrets.token_urlsafe(32)
        return self._seat()

    def seat_for_password(self, password: str, where: str, now: float) -> str | None:
        """A seat for whoever knows the password, or None; `tries` says first whether it may be looked at.

        Args:
            password: what was typed.
            where: the address it came from.
            now: seconds of a clock that only goes on.
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
        return any([hmac.compare_digest(_bytes(seat), one.encode()) for one in self._seats])  # noqa: C419 - all

    def stranger(self, host: str, headers: Mapping[str, str], *, acts: bool) -> str:
        """Why a request can't be from a page of ours; empty when it can.

        Args:
            host: its Host header.
            headers: its other headers.
            acts: whether it opens a WebSocket or sends something, which any page may try without asking.
        """
        if not self.names.know(host):
            return "This address is not served here."
        origin = headers.get("Origin")
        ours = (f"http://{host}", f"https://{host}")
        if origin not in ours and (acts or origin is not None):
            return "Another page may not come in here."
        from_elsewhere = headers.get("Sec-Fetch-Site", "none") not in ("none", "same-origin")
        if from_elsewhere and headers.get("Sec-Fetch-Mode") != "navigate":
            return "Another page may not come in here."
        return ""

    def _seat(self) -> str:
        seat = secrets.token_urlsafe(32)
        self._seats[seat] = None
        while len(self._seats) > MOST_SEATS:
            del self._seats[next(iter(self._seats))]
        return seat

    def _digest(self, password: str) -> bytes:
        """Of one length whatever was typed, and of no use elsewhere; the password itself is not kept."""
        return hashlib.blake2b(_bytes(password), key=self._salt).digest()


def sender(peer: str, forwarded: Sequence[str], proxy: str) -> str:
    """The address a request came from, by which wrong passwords are counted.

    Args:
        peer: the address that opened the connection.
        forwarded: the request's `X-Forwarded-For` headers. Anybody can send these, so they count only where the
            peer is the proxy, and of them only the last address, which the proxy itself has added.
        proxy: the address of a server with TLS before this one; empty where there is none.
    """
    if not proxy or _address(peer) != _address(proxy):
        return peer
    named = _address(",".join(forwarded).rpartition(",")[2].strip())
    return peer if named is None else str(named)


def _address(text: str) -> IPv4Address | IPv6Address | None:
    """An IP address; one of version 4 inside one of version 6 is that of version 4. None where it is no address."""
    try:
        read = ip_address(text)
    except ValueError:
        return None
    return read.ipv4_mapped or read if isinstance(read, IPv6Address) else read


def _bytes(text: str) -> bytes:
    """Of what a stranger sent; it need not be text."""
    return text.encode(errors="replace")
