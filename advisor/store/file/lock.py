"""One server to a data folder: a lock of the operating system, which goes when its process goes."""

import json
import os
import sys
from datetime import UTC, datetime
from pathlib import Path
from typing import Any, Self

from .faults import StoreFault

FILE_NAME = "advisor.lock"
_FAR = 1 << 30
"""Windows keeps others from reading locked bytes, so the locked one lies beyond the words. [byte]"""


class FolderLock:
    """Holds the data folder `folder`, made where it is missing, from `take` to `release`.

    The file says who holds it. It stays there afterwards, since a file that is deleted could be locked by
    two at once: only the lock counts, and what a killed server left keeps nobody out.
    """

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._path = folder / FILE_NAME
        self._file: int | None = None

    def take(self, address: str = "") -> None:
        """Hold the folder; raises StoreFault, which says who holds it, or why it cannot be held."""
        try:
            self._folder.mkdir(mode=0o700, parents=True, exist_ok=True)
            file = os.open(self._path, os.O_RDWR | os.O_CREAT, 0o600)
        except OSError as error:
            raise StoreFault(
                f"The data folder {self._folder} cannot be used: {_why(error)}. "
                "Give a folder that this user may write in with --data."
            ) from error
        try:
            _lock(file)
        except (BlockingIOError, PermissionError):
            words = self._holder(_read(file))
            os.close(file)
            raise StoreFault(words) from None
        except OSError as error:
            os.close(file)
            raise StoreFault(
                f"The data folder {self._folder} cannot be kept for one server: {_why(error)}. "
                "Give a folder on a disk of this laptop with --data."
            ) from error
        self._file = file
        self._since = datetime.now(UTC).isoformat(timespec="seconds")
        self.tell(address)

    def tell(self, address: str, **more: object) -> None:
        """Say at which address the holder is, for whoever comes second; and `more`, as JSON has it."""
        if self._file is not None:
            told = {"pid": os.getpid(), "since": self._since, "address": address, **more}
            self._write(json.dumps(told))

    def release(self) -> None:
        """Let the folder go; does nothing where it is not held."""
        if self._file is not None:
            self._write("")
            os.close(self._file)
            self._file = None

    def __enter__(self) -> Self:
        self.take()
        return self

    def __exit__(self, *exc: object) -> None:
        self.release()

    def _write(self, words: str) -> None:
        assert self._file is not None
        try:
            os.ftruncate(self._file, 0)
            os.lseek(self._file, 0, os.SEEK_SET)
            os.write(self._file, words.encode())
        except OSError:
            pass  # a full disk: the lock holds without its words

    def _holder(self, words: bytes) -> str:
        """Say who holds the folder, as far as the file tells."""
        try:
            told = json.loads(words)
            since = datetime.fromisoformat(told["since"]).strftime("%Y-%m-%d %H:%M UTC")
            who = f"process {int(told['pid'])}, since {since}"
            first = f"Open {told['address']} instead" if told["address"] else "Use that one"
        except (ValueError, KeyError, TypeError):
            who, first = "a process that has not said which", "Use that one"
        return (
            f"Another advisor uses the data folder {self._folder}: {who}. "
            f"{first}, or stop that one first; or give another folder with --data."
        )


def told_by_holder(folder: Path) -> dict[str, Any] | None:
    """Return what the process that holds a data folder told of itself; None where none holds it.

    Raises StoreFault where that cannot be found out.
    """
    try:
        file = os.open(folder / FILE_NAME, os.O_RDWR)
    except FileNotFoundError:
        return None
    except OSError as error:
        raise StoreFault(
            f"The data folder {folder} cannot be used: {_why(error)}. "
            "Run this as the user that the advisor runs as, or give another folder with --data."
        ) from error
    try:
        _lock(file)
    except (BlockingIOError, PermissionError):
        try:
            told = json.loads(_read(file))
        except ValueError:
            told = None
        return told if isinstance(told, dict) else {}
    finally:
        os.close(file)  # and with it a lock that was free
    return None


def _why(error: OSError) -> str:
    if isinstance(error, FileExistsError):
        return "it is a file"
    return error.strerror or str(error)


def _read(file: int) -> bytes:
    os.lseek(file, 0, os.SEEK_SET)
    return os.read(file, 4096)


def _lock(file: int) -> None:
    """Lock an open file, or raise BlockingIOError or PermissionError where another one has."""
    if sys.platform == "win32":
        import msvcrt

        os.lseek(file, _FAR, os.SEEK_SET)
        msvcrt.locking(file, msvcrt.LK_NBLCK, 1)
    else:
        import fcntl

        fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
