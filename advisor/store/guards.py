"""What has to hold before something is changed: it is there, and as the writer saw it."""

import sqlite3

from . import history, rows
from .faults import NotFound
from .records import Conflict, StoredSet, StoredSource


def check_revision(revision: int | None, now: StoredSource) -> None:
    """Raise Conflict where the writer saw another revision of a source; None skips the check."""
    if revision is not None and revision != now.revision:
        raise Conflict(now)


def check_set_revision(conn: sqlite3.Connection, revision: int | None, now: StoredSet) -> None:
    """Raise Conflict where a set's own fields changed since the revision that the writer saw.

    Its revision rises with its sources too, readings included; what is done to those is no conflict with
    who changes the set. None skips the check.
    """
    if revision is None or revision == now.revision:
        return
    if revision > now.revision or revision < history.own_revision(conn, now.id):
        raise Conflict(now)


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
