"""Where the server listens, and the certificate that it shows."""

import errno
import ipaddress
import socket
import ssl
import sys
from collections.abc import Sequence
from contextlib import suppress
from pathlib import Path

from .model import Refused
from .model.basis.problems import short

HERE = ("127.0.0.1",)
EVERYWHERE = ("0.0.0.0", "::")
"""Every address of this machine, by IPv4 and, where there is any, by IPv6."""
_FOREIGN = (errno.EADDRNOTAVAIL, errno.EAFNOSUPPORT)
"""What the system says of an address that no interface has, and of one of a kind that it does not speak."""


def listen(hosts: Sequence[str], port: int) -> list[socket.socket]:
    """Listen on `port` (0: a free one, the same for all) at `hosts`; those after the first may be missing.

    Raises OSError where the first cannot be listened on.
    """
    sockets = [_listen(hosts[0], port)]
    for host in hosts[1:]:
        with suppress(OSError):
            sockets.append(_listen(host, sockets[0].getsockname()[1]))
    return sockets


def refuse_foreign(address: str, own: Sequence[str]) -> None:
    """Raise Refused where `address`, the one to open, is none of this machine, which has those in `own`."""
    allowed = f"{', '.join(own) or '127.0.0.1'}; left out, it is all of them"
    try:
        ipaddress.ip_address(address)
    except ValueError:
        says = f"{short(address)} is not an IP address"
        raise Refused.one("ADVISOR_BIND", says, allowed) from None
    try:
        _listen(address, 0).close()
    except OSError as error:
        if error.errno not in _FOREIGN:
            raise
        says = f"{address} is not an address of this machine now"
        raise Refused.one("ADVISOR_BIND", says, allowed) from None


def certificate(file: Path, key: Path) -> ssl.SSLContext:
    """Return the context that shows the certificate in `file` (PEM, with its chain); raises Refused."""
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    context.minimum_version = ssl.TLSVersion.TLSv1_2  # some systems leave open what is older and broken
    for path, what in ((file, "certificate"), (key, "key")):
        try:
            path.read_bytes()
        except OSError as error:
            raise Refused.one(
                f"--{what}", f"{path} cannot be read: {error.strerror}", f"a {what} file in PEM"
            ) from None
    try:
        context.load_cert_chain(file, key, password=_no_password)
    except _Locked:
        raise Refused.one("--key", f"{key} is locked with a password", "a key without one") from None
    except (ssl.SSLError, ValueError, OSError) as error:
        if getattr(error, "reason", "") == "KEY_VALUES_MISMATCH":
            says = f"{key} is not the key of the certificate in {file}"
        else:
            says = f"{file} with {key} is no certificate with its key"
        raise Refused.one("--certificate", says, "two files in PEM that belong together") from None
    return context


class _Locked(Exception):
    """A key that asks for a password, which nobody is there to type."""


def _no_password() -> str:
    raise _Locked


def _listen(host: str, port: int) -> socket.socket:
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    made = socket.socket(family, socket.SOCK_STREAM)
    try:
        if sys.platform == "win32":
            made.setsockopt(socket.SOL_SOCKET, socket.SO_EXCLUSIVEADDRUSE, 1)
        else:
            made.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)  # a restart need not wait
        if family == socket.AF_INET6:
            made.setsockopt(socket.IPPROTO_IPV6, socket.IPV6_V6ONLY, 1)
        made.bind((host, port))
        made.listen(1024)
    except OSError:
        made.close()
        raise
    return made
