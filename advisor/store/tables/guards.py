"""What has to hold before something is changed: it is there, and as the writer saw it."""

import sqlite3
from collections.abc import Iterable

from ..file.faults import NotFound
from . import history, rows
from .records import Conflict, StoredSet, StoredSource


def check_revision(revision: int | None, now: StoredSource) -> None:
    """Raise Conflict where the writer saw another revision of a source; None skips the check."""
    if revision is not None and revision != now.revision:
        raise Conflict(now)


def check_fields(
    conn: sqlite3.Connection, revision: int | None, now: StoredSource | StoredSet, paths: Iterable[str]
) -> None:
    """Raise Conflict where what lies at `paths` was changed since the revision that the writer saw.

    What others did to the rest of it is in nobody's way. None skips the check.
    """
    if revision is None or revision == now.revision:
        return
    set_id, source_id = (now.set_id, now.id) if isinstance(now, StoredSource) else (now.id, None)
    by = history.touched(history.changes_since(conn, set_id, source_id, revision), *paths)
    if by is not None or revision > now.revision:
        raise Conflict(now, by)


def require_set(conn: sqlite3.Connection, set_id: int) -> None:
    """Raise NotFound where a set is not there, or was deleted."""
    row = rows.one_row(conn, "SELECT deleted_at FROM sets WHERE id = ?", "set", set_id)
    if row["deleted_at"] is not None:
        raise NotFound("set", set_id, deleted=True)


def require_source(conn: sqlite3.Connection, now: StoredSource) -> None:
    """Raise NotFound where a source or its set was deleted."""
    require_set(conn, now.set_id)
    if now.deleted:
        raise NotFound("source", now.id, deleted=True)
