"""The laptop's own certificate authority, which phones trust once, and the certificate that it shows them.

The authority may vouch for names of a local network alone (RFC 5280, 4.2.1.10): whoever stole its key could
not pass for a site of the internet. Its key and the laptop's lie in the data folder, for this user's eyes.
"""

import ipaddress
import os
import re
import ssl
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path

from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

from ..listening import certificate
from ..model import Refused

FOLDER = "https"
"""Where in the data folder all this lies."""
AUTHORITY, LAPTOP = "authority", "laptop"
_AUTHORITY_DAYS = 3650
_LAPTOP_DAYS = 397
"""How long a certificate holds: some phones take none that holds longer than 398 days (from memory)."""
_RENEW_DAYS = 30
"""So long before its end a certificate is made anew."""
_CLOCKS = timedelta(days=1)
"""A phone's clock may be so far behind the laptop's."""
_LOCAL = (
    *("127.0.0.0/8", "10.0.0.0/8", "172.16.0.0/12", "192.168.0.0/16", "169.254.0.0/16", "100.64.0.0/10"),
    *("::1/128", "fc00::/7", "fe80::/10"),
)
"""Networks of which no address is one of the internet: RFC 1918, 3927, 6598, 4193, 4291."""
_NAME = re.compile(r"[a-z0-9-]{1,63}(\.[a-z0-9-]{1,63})*")
_Pair = tuple[x509.Certificate, ec.EllipticCurvePrivateKey]
_Address = ipaddress.IPv4Address | ipaddress.IPv6Address


@dataclass(frozen=True, eq=False)
class Authority:
    """A certificate authority with its key; its certificate is what phones trust."""

    certificate: x509.Certificate
    key: ec.EllipticCurvePrivateKey

    @property
    def der(self) -> bytes:
        """The certificate as phones take it."""
        return self.certificate.public_bytes(serialization.Encoding.DER)

    @property
    def fingerprint(self) -> str:
        """The SHA-256 of the certificate, as phones show it: pairs of hexadecimal digits."""
        return self.certificate.fingerprint(hashes.SHA256()).hex(":").upper()

    def covered(self, names: Iterable[str]) -> list[str]:
        """Return those of some names and addresses for which it may vouch, each once, in a fixed order."""
        limits = self.certificate.extensions.get_extension_for_class(x509.NameConstraints).value
        own = {x.value for x in limits.permitted_subtrees or () if isinstance(x, x509.DNSName)}
        nets = [x.value for x in limits.permitted_subtrees or () if isinstance(x, x509.IPAddress)]

        def covers(name: str) -> bool:
            if address := _address(name):
                return any(address in net for net in nets)  # type: ignore[operator]
            return bool(_NAME.fullmatch(name)) and any(name == o or name.endswith(f".{o}") for o in own)

        return sorted({name.strip("[]") for name in names if covers(name.strip("[]"))})

    def issue(self, names: Sequence[str], now: datetime) -> _Pair:
        """Make a certificate with its key for some names and addresses that it covers."""
        key = ec.generate_private_key(ec.SECP256R1())
        shown = [x509.IPAddress(address) if (address := _address(n)) else x509.DNSName(n) for n in names]
        made = (
            _builder("Gel advisor on this laptop", self.certificate.subject, key, now, _LAPTOP_DAYS)
            .add_extension(x509.SubjectAlternativeName(shown), critical=False)
            .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
            .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
            .add_extension(
                x509.AuthorityKeyIdentifier.from_issuer_public_key(self.key.public_key()), critical=False
            )
            .sign(self.key, hashes.SHA256())
        )
        return made, key


def authority_in(data: Path, host: str, now: datetime | None = None) -> Authority:
    """Return the authority that a data folder keeps; makes one for the machine `host` where there is none.

    One that ends within 30 days is made anew, and phones trust it anew. Raises Refused for a damaged one.
    """
    now = now or datetime.now(UTC)
    found = _load(data / FOLDER, AUTHORITY)
    if found is not None and found[0].not_valid_after_utc > now + timedelta(days=_RENEW_DAYS):
        return Authority(*found)
    key = ec.generate_private_key(ec.SECP256R1())
    subject = f"Gel advisor, {host[:30]}, {now:%Y-%m-%d}"
    own = [host] if _NAME.fullmatch(host) else []
    permitted = [
        *(x509.DNSName(name) for name in dict.fromkeys(["localhost", "local", *own])),
        *(x509.IPAddress(ipaddress.ip_network(net)) for net in _LOCAL),
    ]
    use = dict.fromkeys(
        ("digital_signature", "content_commitment", "key_encipherment", "data_encipherment", "key_agreement"),
        False,
    )
    made = (
        _builder(subject, None, key, now, _AUTHORITY_DAYS)
        .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
        .add_extension(
            x509.KeyUsage(**use, key_cert_sign=True, crl_sign=True, encipher_only=False, decipher_only=False),
            critical=True,
        )
        .add_extension(x509.NameConstraints(permitted, None), critical=True)
        .sign(key, hashes.SHA256())
    )
    _keep(data / FOLDER, AUTHORITY, made, key)
    return Authority(made, key)


class LaptopCertificate:
    """The certificate that the server shows, kept in the data folder; `renew` makes it follow the laptop.

    `context` is what a TLS server takes: connections after a renewal are shown the new certificate.
    """

    def __init__(self, data: Path, authority: Authority, names: Iterable[str]) -> None:
        self._folder, self._authority = data / FOLDER, authority
        self._now = _load(self._folder, LAPTOP)
        self.renew(names)
        self.context: ssl.SSLContext = certificate(*self._pair())

    def renew(self, names: Iterable[str], now: datetime | None = None) -> bool:
        """Make a new certificate where these names are not those of the present one, or it soon ends.

        Returns whether it did. Raises OSError where it cannot be kept.
        """
        now, wanted = now or datetime.now(UTC), self._authority.covered(names)
        if self._now is not None and self._serves(self._now[0], wanted, now):
            return False
        self._now = self._authority.issue(wanted, now)
        _keep(self._folder, LAPTOP, *self._now)
        if hasattr(self, "context"):
            self.context.load_cert_chain(*self._pair())
        return True

    def _serves(self, shown: x509.Certificate, wanted: Sequence[str], now: datetime) -> bool:
        said = shown.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
        ours = shown.issuer == self._authority.certificate.subject
        return (
            ours
            and sorted(str(name.value) for name in said) == list(wanted)
            and shown.not_valid_before_utc <= now
            and shown.not_valid_after_utc > now + timedelta(days=_RENEW_DAYS)
        )

    def _pair(self) -> tuple[Path, Path]:
        return self._folder / f"{LAPTOP}.pem", self._folder / f"{LAPTOP}.key"


def _builder(
    subject: str, issuer: x509.Name | None, key: ec.EllipticCurvePrivateKey, now: datetime, days: int
) -> x509.CertificateBuilder:
    name = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, subject)])
    return (
        x509.CertificateBuilder()
        .subject_name(name)
        .issuer_name(issuer or name)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - _CLOCKS)
        .not_valid_after(now - _CLOCKS + timedelta(days=days))
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False)
    )


def _address(name: str) -> _Address | None:
    try:
        return ipaddress.ip_address(name)
    except ValueError:
        return None


def _load(folder: Path, what: str) -> _Pair | None:
    """Read a certificate with its key; None where they are not there. Raises Refused."""
    file, key_file = folder / f"{what}.pem", folder / f"{what}.key"
    try:
        shown = x509.load_pem_x509_certificate(file.read_bytes())
        key = serialization.load_pem_private_key(key_file.read_bytes(), None)
        if not isinstance(key, ec.EllipticCurvePrivateKey) or key.public_key() != shown.public_key():
            raise ValueError("they do not belong together")
    except FileNotFoundError:
        return None
    except (ValueError, TypeError, OSError) as error:
        allowed = f"move {folder} away: new ones are made, and each phone trusts the laptop anew"
        raise Refused.one("--https", f"{file} and its key cannot be used: {error}", allowed) from None
    return shown, key


def _keep(folder: Path, what: str, shown: x509.Certificate, key: ec.EllipticCurvePrivateKey) -> None:
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    secret = key.private_bytes(
        serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8, serialization.NoEncryption()
    )
    # The certificate last: one without its key is no pair, and is made anew.
    _write(folder / f"{what}.key", secret)
    _write(folder / f"{what}.pem", shown.public_bytes(serialization.Encoding.PEM))


def _write(file: Path, data: bytes) -> None:
    part = file.with_name(f"{file.name}.part")
    part.unlink(missing_ok=True)
    with open(os.open(part, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "wb") as out:
        out.write(data)
    part.replace(file)
