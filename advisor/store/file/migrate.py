"""How a data file is brought to the schema of this version, step by step, with a copy beside it first.

Each step runs in one transaction together with the record that it ran, so a failed one leaves nothing.
"""

import logging
import os
import sqlite3
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

from .faults import StoreFault, words_for

COMPANIONS = ("-wal", "-shm", "-journal")
"""Files that SQLite may keep beside a database: its log, the index of that, and what rolls a write back."""

_log = logging.getLogger(__name__)


@dataclass(frozen=True)
class Migration:
    """One step of the schema: single SQL statements, since executescript would commit in between."""

    number: int
    name: str
    statements: tuple[str, ...]


def check_origin(conn: sqlite3.Connection, path: Path, migrations: Sequence[Migration]) -> None:
    """Refuse a file that is another program's or a newer advisor's, before anything in it is touched."""
    number = applied(conn)
    if number is None and _has_tables(conn):
        raise StoreFault(
            f"{path} holds another program's data, and was left as it is. Give another folder with --data."
        )
    known = max((m.number for m in migrations), default=0)
    if number is not None and number > known:
        raise StoreFault(
            f"The data in {path} comes from a newer advisor (schema {number}; this one knows {known}), "
            "and was left as it is. Start the newer advisor, or give another folder with --data."
        )


def migrate(
    conn: sqlite3.Connection, path: Path, migrations: Sequence[Migration], now: Callable[[], str]
) -> None:
    """Apply what is pending, in order; copy a file that has tables aside first.

    Foreign keys are off meanwhile, since SQLite rebuilds a table by dropping it, and are checked before
    each commit. Raises StoreFault if a step fails: the file then stands as the step before it left it.
    """
    done = applied(conn) or 0
    pending = [m for m in migrations if m.number > done]
    if not pending:
        return
    aside = None
    if _has_tables(conn):
        aside = path.with_name(f"{path.name}.before-{pending[0].number}.backup")
        try:
            copy_aside(conn, aside)
        except OSError as error:
            raise StoreFault(
                f"Before {path} is brought to a new schema a copy is put beside it, and {aside} cannot be "
                f"written: {error.strerror}. Nothing was changed. Make the folder writable, then start again."
            ) from error
    conn.execute("PRAGMA foreign_keys = OFF")
    for step in pending:
        try:
            _apply(conn, step, now())
        except sqlite3.Error as error:
            if conn.in_transaction:
                conn.execute("ROLLBACK")
            kept = f" A copy from before is {aside}." if aside else ""
            words = words_for(error, path) or f"Start the advisor that wrote it, and report this: {error}."
            raise StoreFault(
                f"Bringing {path} to schema {step.number} ({step.name}) failed, and nothing of that step "
                f"was kept. {words}{kept}"
            ) from error
    if aside:
        _log.info("the data was brought to schema %d; a copy from before is %s", pending[-1].number, aside)


def copy_aside(conn: sqlite3.Connection, to: Path) -> None:
    """Copy the whole database to the file `to`, which appears complete or not at all."""
    draft = to.with_name(to.name + ".part")
    try:
        draft_copy(conn, draft)
        draft.replace(to)
    except BaseException:
        draft.unlink(missing_ok=True)
        raise


def draft_copy(conn: sqlite3.Connection, draft: Path) -> None:
    """Copy the whole database to the file `draft`, for its owner only; what was there is gone."""
    for end in ("", *COMPANIONS):  # a journal that a kill left would be played into the new file
        draft.with_name(draft.name + end).unlink(missing_ok=True)
    os.close(os.open(draft, os.O_CREAT | os.O_EXCL | os.O_RDWR, 0o600))
    copy = sqlite3.connect(draft)
    try:
        conn.backup(copy)
        # Out of WAL, the copy is one file without companions.
        copy.execute("PRAGMA journal_mode = DELETE")
    finally:
        copy.close()


def _apply(conn: sqlite3.Connection, step: Migration, at: str) -> None:
    conn.execute("BEGIN IMMEDIATE")
    conn.execute(
        """CREATE TABLE IF NOT EXISTS migrations (
            number INTEGER PRIMARY KEY, name TEXT NOT NULL, applied_at TEXT NOT NULL
        ) STRICT"""
    )
    if (applied(conn) or 0) >= step.number:
        # Another process came first while this one waited for the file.
        conn.execute("ROLLBACK")
        return
    for statement in step.statements:
        conn.execute(statement)
    conn.execute(
        "INSERT INTO migrations (number, name, applied_at) VALUES (?, ?, ?)", (step.number, step.name, at)
    )
    orphan = conn.execute("PRAGMA foreign_key_check").fetchone()
    if orphan:
        raise sqlite3.IntegrityError(f"a row of {orphan[0]} points at a row of {orphan[2]} that is not there")
    conn.execute("COMMIT")


def applied(conn: sqlite3.Connection) -> int | None:
    """Return the number of the last step applied, or None where the file has no record of steps."""
    found = conn.execute(
        "SELECT 1 FROM sqlite_schema WHERE type = 'table' AND name = 'migrations'"
    ).fetchone()
    if not found:
        return None
    return int(conn.execute("SELECT coalesce(max(number), 0) FROM migrations").fetchone()[0])


def _has_tables(conn: sqlite3.Connection) -> bool:
    found = conn.execute("SELECT 1 FROM sqlite_schema WHERE name NOT LIKE 'sqlite~_%' ESCAPE '~'").fetchone()
    return found is not None
