"""What a phone needs to trust this laptop: the certificate of its own authority, and where it gets that."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Trust:
    """The certificate (DER) of the laptop's own authority, and its SHA-256 as phones show it.

    At `port` a phone that does not trust it yet gets it, over plain HTTP.
    """

    certificate: bytes
    fingerprint: str
    port: int
