"""What can stand between a person and the store, told in words for that person."""

import sqlite3
from pathlib import Path


class StoreFault(Exception):
    """The data file cannot be used as asked; what is in it is kept. The text says what to do."""


class NotFound(Exception):
    """There is no such set, source or version; `deleted` says that it is there but deleted."""

    def __init__(self, what: str, number: int, *, deleted: bool = False) -> None:
        super().__init__(f"{what} {number} was deleted" if deleted else f"there is no {what} {number}")
        self.what = what
        self.number = number
        self.deleted = deleted


class NotReadYet(Exception):
    """So much of a set would have to be read from the file first that whoever asked would wait for long."""

    def __init__(self, set_id: int) -> None:
        super().__init__(f"set {set_id} is not read yet")
        self.set_id = set_id


_WORDS = {
    sqlite3.SQLITE_FULL: "The disk is full. Nothing was saved, and what was saved before is kept. "
    "Free some space on the disk of {path}, then save again.",
    sqlite3.SQLITE_READONLY: "The data file {path} is read-only. Nothing was saved. "
    "Make the file and its folder writable for this user, then save again.",
    sqlite3.SQLITE_CANTOPEN: "The data file {path} cannot be opened. Check that it is a file, and that this "
    "user may read and write in its folder; or give another folder with --data.",
    sqlite3.SQLITE_PERM: "This user may not use the data file {path}. Change who may read and write it, "
    "or give another folder with --data.",
    sqlite3.SQLITE_NOTADB: "{path} is not a data file of the advisor, and was left as it is. "
    "Move it away, or give another folder with --data.",
    sqlite3.SQLITE_CORRUPT: "The data file {path} is damaged, and was left as it is. "
    "Stop the advisor, move the file away, and put the latest backup in its place.",
    sqlite3.SQLITE_IOERR: "The disk reports a fault at {path}. The change was not saved. "
    "Copy the data file to another disk, and give its folder with --data.",
    sqlite3.SQLITE_BUSY: "Another program keeps the data file {path} locked. Nothing was saved. "
    "Close that program, then save again.",
    sqlite3.SQLITE_LOCKED: "The data file {path} is locked. Nothing was saved. Save again in a moment.",
}


def words_for(error: sqlite3.Error, path: Path) -> str | None:
    """Return what to tell a person, or None where the error is a fault of the program."""
    code = getattr(error, "sqlite_errorcode", None)
    # The low byte is the primary code; the rest only tells how it came about.
    words = None if code is None else _WORDS.get(code & 0xFF)
    return words.format(path=path) if words else None
