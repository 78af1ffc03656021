"""The local network: at which addresses this machine is reached, and under which names."""

import ipaddress
import socket
import time
from collections.abc import Iterator
from contextlib import suppress

import ifaddr

from .trust import Trust

LOOPBACK = frozenset({"127.0.0.1", "localhost", "[::1]"})
"""The names under which a server on this machine is reached from itself."""
_ELSEWHERE = ((socket.AF_INET, "192.0.2.1"), (socket.AF_INET6, "2001:db8::1"))
"""Addresses for documentation (RFC 5737, RFC 3849): to ask which way out there is, not to send to."""
_FRESH = 5.0
"""How long the addresses found are taken to be right. [s]"""


class Lan:
    """The server as the network sees it: on `port`, over TLS if `secure`, at all addresses or `bind`.

    `trust` is what phones need where the certificate is the laptop's own.
    """

    def __init__(
        self, port: int, *, secure: bool = False, bind: str | None = None, trust: Trust | None = None
    ) -> None:
        self.port = port
        self.secure = secure
        self.trust = trust
        self._bind = bind
        self._found: list[str] = []
        self._found_at = float("-inf")
        self._names: frozenset[str] = frozenset()

    def addresses(self) -> list[str]:
        """Return the addresses as they stand in a URL, the likeliest first; a Wi-Fi may change them."""
        if self._bind is not None:
            return [in_url(self._bind)]
        if time.monotonic() - self._found_at > _FRESH:
            self._found, self._found_at = [in_url(a) for a in own_addresses()], time.monotonic()
        return self._found

    def hosts(self) -> frozenset[str]:
        """Return the names in whose name a request may ask: loopback, the addresses, the machine's own."""
        name = socket.gethostname().lower()
        return LOOPBACK | {*self.addresses(), name, f"{name.partition('.')[0]}.local"}

    def knows(self, name: str) -> bool:
        """Whether a request may ask in this name; looks anew only for one that is not known yet."""
        # To look may take as long as a name server does, so the names that phones use are not looked up.
        if name not in self._names:
            self._names = self.hosts()
        return name in self._names

    def urls(self) -> list[str]:
        """Return where a phone may go, the likeliest first; by the machine's name if by no other."""
        names = self.addresses() or [f"{socket.gethostname().partition('.')[0].lower()}.local"]
        return [self._url(name) for name in names]

    def trust_url(self) -> str:
        """Return where a phone gets the laptop's own certificate; empty where it needs none."""
        if self.trust is None:
            return ""
        name = self.urls()[0].partition("//")[2].removesuffix(f":{self.port}/")
        return f"http://{name}:{self.trust.port}/trust"

    def here(self) -> str:
        """Return where this machine itself goes."""
        return self._url("127.0.0.1")

    def _url(self, name: str) -> str:
        return f"{'https' if self.secure else 'http'}://{name}:{self.port}/"


def in_url(address: str) -> str:
    """Write an address as it stands in a URL: an IPv6 one in brackets."""
    return f"[{address}]" if ":" in address else address


def is_loopback(address: str | None) -> bool:
    """Whether a request comes from this machine itself."""
    with suppress(ValueError):
        found = ipaddress.ip_address(address or "")
        mapped = getattr(found, "ipv4_mapped", None)
        return (mapped or found).is_loopback
    return False


def own_addresses() -> list[str]:
    """Find this machine's addresses without sending anything; the one towards other networks comes first."""
    found = dict.fromkeys([*_outward(), *_of_interfaces()])
    return [address for address in found if _reachable(address)]


def _outward() -> Iterator[str]:
    for family, elsewhere in _ELSEWHERE:
        # To connect a datagram socket only asks the routing table.
        with suppress(OSError), socket.socket(family, socket.SOCK_DGRAM) as probe:
            probe.connect((elsewhere, 9))
            yield probe.getsockname()[0]


def _of_interfaces() -> Iterator[str]:
    # A laptop that is itself the Wi-Fi has no way out to ask about.
    for adapter in ifaddr.get_adapters():
        for found in adapter.ips:
            yield found.ip if isinstance(found.ip, str) else found.ip[0]  # IPv6 comes with flow and zone


def _reachable(address: str) -> bool:
    """Whether a phone's browser can open it: not where a zone has to be named (RFC 4007)."""
    try:
        found = ipaddress.ip_address(address)
    except ValueError:
        return False
    return not (found.is_loopback or found.is_unspecified or (found.version == 6 and found.is_link_local))
