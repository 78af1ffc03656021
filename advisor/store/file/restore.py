"""A backup, put in the place of the data; what was there is kept beside it.

A kill at any instant leaves the old data or the new, whole. All that the old log holds is first written into
the old file. Then the new one takes its place, by one rename.
"""

import os
import shutil
import sqlite3
from contextlib import suppress
from datetime import UTC, datetime
from pathlib import Path

from .backup import DAMAGED, FOLDER, checked_copy, is_sound, opened, sync, why
from .database import FILE_NAME, utc_now
from .faults import StoreFault
from .lock import FolderLock
from .migrate import COMPANIONS, applied, copy_aside
from .migrations import MIGRATIONS

RESTORED = f"{FILE_NAME}.restored"
"""What is to take the place of the data, while it is made."""


def restore(folder: Path, file: Path) -> Path | None:
    """Put the backup `file` in the place of the data of `folder`; return where that was copied to, if any.

    All phones are revoked in it: one that lost its place after the backup was made must not be back.
    Raises StoreFault, and leaves the data as it is, where `file` is not a sound backup, comes from a newer
    advisor, or a server holds the folder.
    """
    path = folder / FILE_NAME
    try:
        if path.exists() and file.samefile(path):
            raise StoreFault(f"{file} is the data file itself. Give a backup of it.")
        _refuse_unsound(file)
    except (OSError, sqlite3.Error) as error:
        raise StoreFault(f"{file} cannot be read: {why(error)}. Nothing was changed.") from error
    draft = path.with_name(RESTORED)
    with FolderLock(folder):
        try:
            checked_copy(file, draft)
            _revoke_phones(draft)
            aside = _put_aside(path)
            sync(folder)
            if aside:
                _play_in(path)
            draft.replace(path)
            sync(folder)
        except (OSError, sqlite3.Error) as error:
            raise StoreFault(
                f"The backup cannot be put into {folder}: {why(error)}. What was there is kept. "
                "See that there is space, and that this user may write there."
            ) from error
        finally:
            with suppress(OSError):
                for end in ("", *COMPANIONS):
                    draft.with_name(draft.name + end).unlink(missing_ok=True)
    return aside


def _refuse_unsound(file: Path) -> None:
    """Raise StoreFault where a file is not a backup that this advisor can use."""
    file.open("rb").close()  # says why a file cannot be read better than SQLite does
    known = MIGRATIONS[-1].number
    try:
        with opened(file, "ro") as conn:
            number = applied(conn)
        sound = number is not None and is_sound(file)
    except sqlite3.DatabaseError as error:
        if error.sqlite_errorcode & 0xFF not in DAMAGED:
            raise
        number, sound = None, False
    if number is not None and number > known:
        raise StoreFault(
            f"{file} comes from a newer advisor (schema {number}; this one knows {known}). "
            "Nothing was changed. Bring this advisor up to date, then restore again."
        )
    if not sound:
        raise StoreFault(
            f"{file} is not a sound backup of the advisor's data. Nothing was changed. "
            f"Give a file that `advisor backup` made, or one of the folder {FOLDER} beside the data."
        )


def _revoke_phones(draft: Path) -> None:
    with opened(draft, "rw") as conn:
        if conn.execute("SELECT 1 FROM sqlite_schema WHERE name = 'phones'").fetchone():
            conn.execute("UPDATE phones SET revoked_at = ? WHERE revoked_at IS NULL", (utc_now(),))


def _play_in(path: Path) -> None:
    """Bring all that lies beside the data file into it, so that it is whole by itself, and nothing is left.

    What lies there must not be played into the file that takes the place.
    """
    try:
        with opened(path, "rw") as conn:
            busy = conn.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchone()[0]
        if busy:
            raise StoreFault(
                f"Another program reads {path}, so nothing was put in its place. Let it end (it "
                "may be a backup), then restore again."
            )
    except sqlite3.DatabaseError as error:
        if error.sqlite_errorcode & 0xFF not in DAMAGED:
            raise
        # It is not whole, whatever happens next, and was copied as it is.
        for end in COMPANIONS:
            path.with_name(path.name + end).unlink(missing_ok=True)


def _put_aside(path: Path) -> Path | None:
    """Copy the data file beside itself under a name of its own, and return that; None if there is none."""
    if not path.exists():
        return None
    stem = f"{path.name}.before-restore-{datetime.now(UTC):%Y%m%dT%H%M%SZ}"
    aside, again = path.with_name(f"{stem}.backup"), 1
    while os.path.lexists(aside):
        again += 1
        aside = path.with_name(f"{stem}-{again}.backup")
    try:
        # Only to read: SQLite would clear away a companion that it cannot make sense of.
        with opened(path, "ro") as conn:
            copy_aside(conn, aside)
    except sqlite3.DatabaseError as error:
        if error.sqlite_errorcode & 0xFF not in DAMAGED:
            raise
        # Damaged, which may be why it is replaced: all that is there is kept as it is.
        for end in ("", "-wal"):
            with suppress(FileNotFoundError):
                shutil.copy2(path.with_name(path.name + end), aside.with_name(aside.name + end))
    return aside
