"""Links that were made at the machine, each for one phone that may then give roles.

A link's code has 128 bits; of it only the hash is kept, as the name of a file in the data folder. A file and
no row, so that the command can make one beside a running server, which alone writes to the database; and no
backup holds one.

References
----------
OWASP ASVS 5.0: secrets for one use end with it, and after a short time.
"""

import hashlib
import json
import os
import re
import secrets
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path

from ...model.basis.base import utc_text
from ..file.backup import sync
from ..file.faults import StoreFault

FOLDER = "invites"
"""In the data folder."""
LIFE = timedelta(minutes=30)
"""How long a link is good for."""
_CODE_BYTES = 16
_NAME = re.compile(r"[0-9a-f]{64}", re.ASCII)


@dataclass(frozen=True, slots=True)
class Invite:
    """A link that nobody has used yet; `name` is the hash of its code, times are ISO 8601 in UTC."""

    name: str
    made_at: str
    until: str


class Invites:
    """The links of the data folder `folder`. May be used by several processes at once."""

    def __init__(self, folder: Path) -> None:
        self._data = folder
        self._folder = folder / FOLDER

    def make(self, now: datetime | None = None) -> str:
        """Make a link, and return its code, which is kept nowhere; raises StoreFault where it cannot be."""
        now = now or datetime.now(UTC)
        code = secrets.token_urlsafe(_CODE_BYTES)
        path = self._path(code)
        draft = path.with_suffix(".part")
        try:
            self._folder.mkdir(mode=0o700, exist_ok=True)
            self._like_data(self._folder)
            with os.fdopen(os.open(draft, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600), "w") as file:
                json.dump({"made_at": utc_text(now), "until": utc_text(now + LIFE)}, file)
                file.flush()
                os.fsync(file.fileno())
            self._like_data(draft)
            draft.replace(path)
            sync(self._folder)
        except OSError as error:
            raise StoreFault(
                f"No link was made, since {self._folder} cannot be written: {error.strerror}. "
                "Free some space, and run this as the user that the advisor runs as."
            ) from error
        return code

    def pending(self) -> list[Invite]:
        """Return the links that can still be used, the oldest first; what ended is cleared away."""
        found = []
        for name in self._names():
            if invite := self._read(self._folder / name):
                found.append(invite)
            else:
                with suppress(StoreFault):
                    self.withdraw(name)
        return sorted(found, key=lambda invite: invite.made_at)

    @contextmanager
    def claim(self, code: str) -> Iterator[bool]:
        """Use a link up, and say whether there was one; what fails meanwhile leaves it as it was."""
        path = self._path(code)
        taken = path.with_suffix(".taken")
        if not (self._read(path) and _renamed(path, taken)):
            yield False
            return
        try:
            yield True
        except BaseException:
            taken.rename(path)
            raise
        taken.unlink(missing_ok=True)

    def withdraw(self, name: str) -> bool:
        """End a link, by its name; return whether there was one."""
        if not _NAME.fullmatch(name):
            return False
        try:
            (self._folder / name).unlink()
        except FileNotFoundError:
            return False
        except OSError as error:
            raise StoreFault(
                f"A link in {self._folder} cannot be withdrawn: {error.strerror}. "
                "Let this user write there, or delete that folder."
            ) from error
        return True

    def _names(self) -> list[str]:
        try:
            return [path.name for path in self._folder.iterdir() if _NAME.fullmatch(path.name)]
        except FileNotFoundError:
            return []
        except OSError as error:
            raise StoreFault(
                f"{self._folder} cannot be read: {error.strerror}. Let this user read there."
            ) from error

    def _path(self, code: str) -> Path:
        return self._folder / hashlib.sha256(code.strip().encode()).hexdigest()

    def _read(self, path: Path) -> Invite | None:
        """Return the link in a file; None where there is none that is good now, or no sense in it."""
        try:
            kept = json.loads(path.read_bytes())
            made, until = (datetime.fromisoformat(kept[key]).astimezone(UTC) for key in ("made_at", "until"))
        except (OSError, ValueError, KeyError, TypeError):
            return None
        # A clock that was set back must not make one last longer.
        good = made <= datetime.now(UTC) < min(until, made + LIFE)
        return Invite(path.name, utc_text(made), utc_text(until)) if good else None

    def _like_data(self, path: Path) -> None:
        """Give what root made to whom the data folder belongs: the server may run as another user."""
        if getattr(os, "geteuid", lambda: 1)() == 0:
            owner = self._data.stat()
            os.chown(path, owner.st_uid, owner.st_gid)


def _renamed(path: Path, to: Path) -> bool:
    """Rename a file; of two who try at once one can."""
    try:
        path.rename(to)
    except OSError:
        return False
    return True
