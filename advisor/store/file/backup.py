"""Copies of the data file: on request, and by the hour while the server runs.

A copy is made through SQLite while others write, is checked, and then appears whole or not at all.
"""

import logging
import os
import re
import secrets
import shutil
import sqlite3
import tempfile
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from pathlib import Path

from .database import BUSY_TIMEOUT, FILE_NAME
from .faults import StoreFault
from .migrate import check_origin, draft_copy
from .migrations import MIGRATIONS

FOLDER = "backups"
"""Beside the data file."""
DRAFT = "draft.part"
"""What is to become the next copy there."""
KEPT = 24
EVERY, FIRST = 3600.0, 60.0
"""Between two backups, and from the start to the first one, which is not to slow the first pages. [s]"""
DAMAGED = (sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB)
"""Primary codes of SQLite for a file that is not whole, or no database."""
_NAME = re.compile(r"\d{6,}-\d{8}T\d{6}Z\.sqlite", re.ASCII)
_DRAFT_OF = re.compile(r"\.[0-9a-f]{8}\.part(-journal)?$", re.ASCII)
_WRITTEN = 600.0
"""A draft that was written so long ago is no longer being written. [s]"""
_HEADER = 100
"""SQLite's header, whose counters rise with the copying itself. [byte]"""
_log = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True)
class BackupStatus:
    """How the rolling backups stand: the newest, made `at` (ISO 8601 in UTC) with `size` in bytes.

    `failed` is in words what went wrong at the last attempt; empty where nothing did.
    """

    at: str | None
    path: Path | None
    size: int
    count: int
    failed: str


class Rolling:
    """Backups of the data file `path`, the last `kept` of them, while a server writes to it.

    They are ordered by the number in their names. The time there is for people: where the clock was wrong
    it is too, and nothing else depends on it.
    """

    def __init__(self, path: Path, *, every: float = EVERY, first: float = FIRST, kept: int = KEPT) -> None:
        self._path = path
        self._folder = path.parent / FOLDER
        self._every, self._first, self._kept = every, first, kept
        self._lock = threading.Lock()
        self._stop = threading.Event()
        self._thread: threading.Thread | None = None
        self._status = self._found("")

    def start(self) -> None:
        """Make backups in a thread of their own from now on."""
        self._thread = threading.Thread(target=self._run, name="backups", daemon=True)
        self._thread.start()

    def stop(self) -> None:
        """Make a last backup, and no more; does nothing where none were started."""
        self._stop.set()
        if self._thread is not None:
            self._thread.join()
            self._thread = None
            self.now()

    def now(self) -> BackupStatus:
        """Make a backup if anything changed since the last one; what goes wrong is logged and told."""
        with self._lock:
            failed = ""
            try:
                self._make()
            except (StoreFault, OSError, sqlite3.Error) as error:
                failed = self._words(error)
                _log.error("%s", failed)
            self._status = self._found(failed)
            return self._status

    def status(self) -> BackupStatus:
        """Return how the backups stood after the last attempt."""
        return self._status

    def _run(self) -> None:
        wait = self._first
        while not self._stop.wait(wait):
            self.now()
            wait = self._every

    def _make(self) -> None:
        self._folder.mkdir(mode=0o700, exist_ok=True)
        made = self._all()
        draft = self._folder / DRAFT
        try:
            checked_copy(self._path, draft)
            if made and _same(made[-1], draft):
                return
            number = _number(made[-1]) + 1 if made else 1
            draft.replace(self._folder / f"{number:06d}-{datetime.now(UTC):%Y%m%dT%H%M%SZ}.sqlite")
            sync(self._folder)
        finally:
            draft.unlink(missing_ok=True)
        for old in self._all()[: -self._kept]:
            old.unlink(missing_ok=True)

    def _all(self) -> list[Path]:
        """Return the backups, the newest last; other files in the folder are left alone."""
        found = self._folder.iterdir() if self._folder.is_dir() else ()
        return sorted((p for p in found if _NAME.fullmatch(p.name)), key=_number)

    def _found(self, failed: str) -> BackupStatus:
        status = BackupStatus(at=None, path=None, size=0, count=0, failed=failed)
        with suppress(OSError):
            if made := self._all():
                newest = made[-1]
                size = newest.stat().st_size
                status = replace(status, at=_time(newest), path=newest, size=size, count=len(made))
        return status

    def _words(self, error: StoreFault | OSError | sqlite3.Error) -> str:
        if isinstance(error, StoreFault):
            return f"No backup was made, and the earlier ones are kept. {error}"
        return (
            f"No backup was made in {self._folder}, and the earlier ones are kept: {why(error)}. "
            "See that there is space, and that this user may write there."
        )


def back_up(folder: Path, to: Path) -> None:
    """Copy the data of `folder`, also while a server writes to it, to a new file `to`; raises StoreFault."""
    path = folder / FILE_NAME
    if not path.is_file():
        raise StoreFault(f"There is no data in {folder} to back up. Say with --data where it is.")
    if os.path.lexists(to):
        raise StoreFault(f"{to} is there already, and was left as it is. Give another name.")
    # A name of its own: another backup to the same file may run at this moment.
    draft = to.with_name(f"{to.name}.{secrets.token_hex(4)}.part")
    _clear_old_drafts(to)
    try:
        checked_copy(path, draft)
        if os.path.lexists(to):
            raise StoreFault(
                f"Another backup wrote {to} while this one ran, and was left as it is. Nothing is lost: give "
                "another name for one more."
            )
        draft.replace(to)
        sync(to.parent)
    except (OSError, sqlite3.Error) as error:
        raise StoreFault(
            f"The backup {to} cannot be written: {why(error)}. The data itself is unharmed. "
            "Give a file on another disk or in another folder."
        ) from error
    finally:
        with suppress(OSError):
            draft.unlink(missing_ok=True)


def _clear_old_drafts(to: Path) -> None:
    """Delete what earlier backups to the same file left when they were killed, and nobody writes any more."""
    with suppress(OSError):
        for left in to.parent.iterdir():
            known = left.name.startswith(f"{to.name}.") and _DRAFT_OF.search(left.name)
            if known and abs(time.time() - left.stat().st_mtime) > _WRITTEN:
                left.unlink(missing_ok=True)


def checked_copy(path: Path, draft: Path) -> None:
    """Copy the data file `path` to `draft`; raises StoreFault where it is damaged or not the advisor's."""
    try:
        with _readable(path, draft.parent) as source, opened(source, "rw") as conn:
            check_origin(conn, path, MIGRATIONS)
            draft_copy(conn, draft)
        sound = is_sound(draft)
    except sqlite3.DatabaseError as error:
        if error.sqlite_errorcode & 0xFF not in DAMAGED:
            raise
        sound = False
    if not sound:
        raise StoreFault(
            f"{path} is damaged. Stop the advisor, and put the latest backup in its place with "
            "`advisor restore FILE`."
        )


@contextmanager
def _readable(path: Path, place: Path) -> Iterator[Path]:
    """Give a path at which SQLite can read the data file: it cannot where it may not make its companions.

    On a disk that may not be written nothing changes, so there the file and its log are copied to `place`.
    """
    if os.access(path.parent, os.W_OK):
        yield path
        return
    with tempfile.TemporaryDirectory(dir=place) as folder:
        for end in ("", "-wal"):
            with suppress(FileNotFoundError):
                shutil.copyfile(path.with_name(path.name + end), Path(folder) / f"data{end}")
        yield Path(folder) / "data"


def is_sound(path: Path) -> bool:
    """Return whether SQLite finds nothing wrong in a file, and no row that points at nothing."""
    with opened(path, "ro") as conn:
        said = [str(row[0]) for row in conn.execute("PRAGMA integrity_check")]
        return said == ["ok"] and not conn.execute("PRAGMA foreign_key_check").fetchone()


@contextmanager
def opened(path: Path, mode: str) -> Iterator[sqlite3.Connection]:
    """Give a connection to a file that is there, and close it; `mode` is ``ro`` or ``rw``."""
    conn = sqlite3.connect(
        f"{path.absolute().as_uri()}?mode={mode}", uri=True, timeout=BUSY_TIMEOUT, isolation_level=None
    )
    try:
        yield conn
    finally:
        conn.close()


def why(error: OSError | sqlite3.Error) -> str:
    """Return in a few words what stands in the way."""
    if isinstance(error, OSError):
        return error.strerror or str(error)
    full = getattr(error, "sqlite_errorcode", 0) & 0xFF == sqlite3.SQLITE_FULL
    return "the disk is full" if full else str(error)


def _number(path: Path) -> int:
    return int(path.name.partition("-")[0])


def _time(path: Path) -> str:
    """Return the time in a backup's name as ISO 8601."""
    t = path.stem.partition("-")[2]
    return f"{t[:4]}-{t[4:6]}-{t[6:11]}:{t[11:13]}:{t[13:]}"


def _same(one: Path, other: Path) -> bool:
    if one.stat().st_size != other.stat().st_size:
        return False
    with one.open("rb") as first, other.open("rb") as second:
        first.seek(_HEADER)
        second.seek(_HEADER)
        while chunk := first.read(1 << 20):
            if chunk != second.read(1 << 20):
                return False
    return True


def sync(folder: Path) -> None:
    """Have the disk keep what a folder lists; on Windows a folder cannot be asked for that."""
    if os.name != "nt":
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
