"""The secrets of a data folder: the key that forms are signed with, and the codes that phones join with.

References
----------
OWASP ASVS 5.0: 128 bits for what is guessed without limit, 20 bits or more for what is guessed under one.
"""

import json
import logging
import os
import secrets
import threading
from dataclasses import asdict, dataclass
from hmac import compare_digest
from pathlib import Path

from ...store.file.faults import StoreFault

LETTERS = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"
"""Base 32 without I, L, O (which look like 1, 1 and 0) and U."""
TYPED_LENGTH = 8
"""40 bits, which the limits of `rates` make enough."""
_TWINS = str.maketrans("ILO", "110")
_KEY_BYTES = 32
_SCANNED_BYTES = 16
_LONGEST_TYPED = 16
"""What is longer than this was scanned, not typed. [characters]"""


@dataclass(frozen=True)
class Codes:
    """What lets a phone join: `scanned` is in the QR code (128 bits), `typed` is for a person's fingers."""

    scanned: str
    typed: str

    @property
    def shown(self) -> str:
        """The typed code in two groups: XXXX-XXXX."""
        return f"{self.typed[:4]}-{self.typed[4:]}"

    def fits(self, given: str) -> bool:
        """Whether this is one of the two; takes the same time however much of it is right."""
        scanned = compare_digest(given.strip().encode(), self.scanned.encode())
        typed = compare_digest(_typed(given).encode(), self.typed.encode())
        return scanned or typed


def is_scanned(given: str) -> bool:
    """Whether this is as long as a scanned code, which nobody guesses, so that tries need no limit."""
    return len(given.strip()) > _LONGEST_TYPED


def _typed(given: str) -> str:
    return "".join(c for c in given.upper() if c.isalnum()).translate(_TWINS)


def _new_codes() -> Codes:
    return Codes(
        scanned=secrets.token_urlsafe(_SCANNED_BYTES),
        typed="".join(secrets.choice(LETTERS) for _ in range(TYPED_LENGTH)),
    )


class Secrets:
    """The secrets in `folder`, made where there are none; only their owner may read the file.

    Raises StoreFault where the file is there and cannot be read or understood; it is then left as it is.
    Where it cannot be made, the secrets last as long as the process: what is kept can still be looked at.
    """

    def __init__(self, folder: Path) -> None:
        self._path = folder / "secrets.json"
        self._lock = threading.Lock()
        try:
            loaded = self._load()
        except (ValueError, KeyError, TypeError):
            raise StoreFault(
                f"{self._path} is damaged, and was left as it is. Delete it: new codes are made, and phones "
                "that joined stay."
            ) from None
        except OSError as error:
            raise self._unusable(error) from error
        if loaded is None:
            loaded = secrets.token_bytes(_KEY_BYTES), _new_codes()
            try:
                self._save(*loaded)
            except StoreFault as fault:
                logging.getLogger(__name__).warning("%s", fault)
        self.key, self.codes = loaded

    def renew(self) -> Codes:
        """Make new codes; the old ones are worth nothing at once, and phones that joined stay."""
        with self._lock:
            codes = _new_codes()
            self._save(self.key, codes)
            self.codes = codes
        return codes

    def _load(self) -> tuple[bytes, Codes] | None:
        try:
            kept = json.loads(self._path.read_bytes())
        except FileNotFoundError:
            return None
        if self._path.stat().st_mode & 0o077:
            self._path.chmod(0o600)  # copied here by somebody, it may have become readable for others
        key, codes = bytes.fromhex(kept["key"]), Codes(**kept["codes"])
        if len(key) != _KEY_BYTES or len(codes.typed) != TYPED_LENGTH or not is_scanned(codes.scanned):
            raise ValueError("too short to be secret")
        return key, codes

    def _save(self, key: bytes, codes: Codes) -> None:
        """Write the file anew beside itself, so that it is whole at any moment."""
        draft = self._path.with_name(self._path.name + ".part")
        try:
            draft.unlink(missing_ok=True)
            with os.fdopen(os.open(draft, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600), "w") as file:
                json.dump({"key": key.hex(), "codes": asdict(codes)}, file)
                file.flush()
                os.fsync(file.fileno())
            draft.replace(self._path)
        except OSError as error:
            raise self._unusable(error) from error

    def _unusable(self, error: OSError) -> StoreFault:
        return StoreFault(
            f"{self._path} cannot be used: {error.strerror}. What was there is kept. Free some space, and "
            "let this user read and write in that folder. Or give another one with --data."
        )
