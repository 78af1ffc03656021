"""The schema, as the numbered steps that lead to it.

A step once released is never edited: a change of the schema is a new step at the end of `MIGRATIONS`.
Each runs in one transaction together with the record that it ran, so a failed one leaves nothing.
"""

import logging
import os
import sqlite3
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

from .faults import StoreFault, words_for

_log = logging.getLogger(__name__)


@dataclass(frozen=True)
class Migration:
    """One step of the schema: single SQL statements, since executescript would commit in between."""

    number: int
    name: str
    statements: tuple[str, ...]


MIGRATIONS: tuple[Migration, ...] = (
    Migration(
        1,
        "sets, sources, readings, changes, gel tables",
        (
            # `target` and `limits` are JSON of the models. Where the target matches a source,
            # target_source_id says which, and the source's present name stands in for the one in JSON.
            """CREATE TABLE sets (
                id INTEGER PRIMARY KEY,
                name TEXT NOT NULL,
                note TEXT NOT NULL,
                target TEXT NOT NULL,
                target_source_id INTEGER REFERENCES sources (id),
                limits TEXT NOT NULL,
                sample INTEGER NOT NULL CHECK (sample IN (0, 1)),
                revision INTEGER NOT NULL DEFAULT 1,
                changed_at TEXT NOT NULL,
                deleted_at TEXT
            ) STRICT""",
            # `name_key` is the name without regard to case, as Python folds it: SQLite folds ASCII only.
            """CREATE TABLE sources (
                id INTEGER PRIMARY KEY,
                set_id INTEGER NOT NULL REFERENCES sets (id),
                position INTEGER NOT NULL,
                name TEXT NOT NULL,
                name_key TEXT NOT NULL,
                kind TEXT NOT NULL,
                note TEXT NOT NULL,
                keep TEXT NOT NULL,
                revision INTEGER NOT NULL DEFAULT 1,
                deleted_at TEXT
            ) STRICT""",
            "CREATE INDEX sources_of_set ON sources (set_id, position)",
            "CREATE UNIQUE INDEX source_names ON sources (set_id, name_key) WHERE deleted_at IS NULL",
            """CREATE TABLE readings (
                id INTEGER PRIMARY KEY,
                source_id INTEGER NOT NULL REFERENCES sources (id),
                reading TEXT NOT NULL,
                taken_at TEXT NOT NULL
            ) STRICT""",
            "CREATE INDEX readings_of_source ON readings (source_id)",
            """CREATE TRIGGER readings_unchanged BEFORE UPDATE ON readings
               BEGIN SELECT RAISE(ABORT, 'readings are only ever added'); END""",
            """CREATE TRIGGER readings_kept BEFORE DELETE ON readings
               BEGIN SELECT RAISE(ABORT, 'readings are only ever added'); END""",
            """CREATE TABLE changes (
                id INTEGER PRIMARY KEY,
                at TEXT NOT NULL,
                set_id INTEGER NOT NULL REFERENCES sets (id),
                source_id INTEGER REFERENCES sources (id),
                what TEXT NOT NULL,
                before TEXT,
                after TEXT
            ) STRICT""",
            "CREATE INDEX changes_of_set ON changes (set_id)",
            """CREATE TABLE gel_tables (
                id INTEGER PRIMARY KEY,
                made_at TEXT NOT NULL,
                why TEXT NOT NULL,
                rows TEXT NOT NULL
            ) STRICT""",
        ),
    ),
    # `aim` is JSON of the model: what is wanted of the source, where that is not to match.
    Migration(2, "aims of sources", ("ALTER TABLE sources ADD COLUMN aim TEXT NOT NULL DEFAULT '{}'",)),
    # `details` is JSON of the model's further fields. `uid` follows a set from laptop to laptop. `who` is
    # the name that a person gave, empty where nobody gave one.
    Migration(
        3,
        "details of sets and sources, who did it, choices",
        (
            "ALTER TABLE sources ADD COLUMN details TEXT NOT NULL DEFAULT '{}'",
            "ALTER TABLE sets ADD COLUMN details TEXT NOT NULL DEFAULT '{}'",
            "ALTER TABLE sets ADD COLUMN uid TEXT NOT NULL DEFAULT ''",
            "UPDATE sets SET uid = lower(hex(randomblob(16)))",
            "CREATE INDEX sets_by_uid ON sets (uid)",
            "ALTER TABLE readings ADD COLUMN who TEXT NOT NULL DEFAULT ''",
            "ALTER TABLE changes ADD COLUMN who TEXT NOT NULL DEFAULT ''",
            """CREATE TABLE choices (
                key TEXT PRIMARY KEY,
                value TEXT NOT NULL,
                changed_at TEXT NOT NULL
            ) STRICT""",
        ),
    ),
    # A phone is known by the hash of the token in its cookie: who reads the file cannot pose as a phone.
    # `once` holds the keys of writes that were done, each with the address that it led to.
    Migration(
        4,
        "phones, writes that are done once",
        (
            """CREATE TABLE phones (
                id INTEGER PRIMARY KEY,
                token_hash TEXT NOT NULL UNIQUE,
                name TEXT NOT NULL,
                role TEXT NOT NULL CHECK (role IN ('change', 'meter', 'look')),
                joined_at TEXT NOT NULL,
                revoked_at TEXT
            ) STRICT""",
            """CREATE TABLE once (
                key TEXT PRIMARY KEY,
                at TEXT NOT NULL,
                who TEXT NOT NULL,
                answer TEXT NOT NULL
            ) STRICT""",
        ),
    ),
    # Each gel's row says how it is known, where its curve, its note or the figures of 0.1.0's shipped table
    # tell; a set's one figure for all gels goes.
    Migration(
        5,
        "how each gel is known",
        (
            """UPDATE gel_tables SET rows = (
                SELECT coalesce(json_group_array(json(
                    CASE
                        WHEN value ->> '$.known' IS NOT NULL THEN value
                        WHEN json_type(value, '$.transmittance') IS NOT NULL
                            THEN json_set(value, '$.known', 'measured')
                        WHEN value ->> '$.note' LIKE 'taught by a pair of readings%'
                            THEN json_set(value, '$.known', 'taught')
                        WHEN value ->> '$.note' LIKE 'nominal: %'
                            AND abs(coalesce(value ->> '$.mired', 0))
                                IN (0, 16.74, 33.48, 66.96, 100.45, 133.93)
                            AND abs(coalesce(value ->> '$.cc', 0)) IN (0, 3.5, 7.5, 15, 22.5, 30)
                            THEN json_set(value, '$.known', 'generic')
                        WHEN value ->> '$.note' LIKE 'passes % of the light'
                            OR value ->> '$.note' LIKE 'softens; loss by common practice%'
                            THEN json_set(value, '$.known', 'generic')
                        ELSE value
                    END)), '[]')
                FROM (SELECT value FROM json_each(gel_tables.rows) ORDER BY key)) WHERE json_valid(rows)""",
            """UPDATE sets SET limits = json_remove(limits, '$.accuracy.gel_percent')
               WHERE json_valid(limits)""",
        ),
    ),
    # SQLite keeps what a column may hold with its table, so the table is made anew.
    Migration(
        6,
        "phones that may give roles",
        (
            """CREATE TABLE phones_anew (
                id INTEGER PRIMARY KEY,
                token_hash TEXT NOT NULL UNIQUE,
                name TEXT NOT NULL,
                role TEXT NOT NULL CHECK (role IN ('host', 'change', 'meter', 'look')),
                joined_at TEXT NOT NULL,
                revoked_at TEXT
            ) STRICT""",
            """INSERT INTO phones_anew (id, token_hash, name, role, joined_at, revoked_at)
               SELECT id, token_hash, name, role, joined_at, revoked_at FROM phones""",
            "DROP TABLE phones",
            "ALTER TABLE phones_anew RENAME TO phones",
        ),
    ),
    # A head keeps its number when others go, since tags are stuck on: those that are there get their present
    # place, removed ones what follows. `last_number` is what the heads of the day before had, at most.
    Migration(
        7,
        "numbers of heads",
        (
            "ALTER TABLE sources RENAME COLUMN position TO number",
            """CREATE TABLE ranked AS SELECT id, row_number() OVER (
                   PARTITION BY set_id ORDER BY deleted_at IS NOT NULL, number, id) AS place FROM sources""",
            "UPDATE sources SET number = (SELECT place FROM ranked WHERE ranked.id = sources.id)",
            "DROP TABLE ranked",
            "DROP INDEX sources_of_set",
            "CREATE UNIQUE INDEX source_numbers ON sources (set_id, number)",
            "ALTER TABLE sets ADD COLUMN last_number INTEGER NOT NULL DEFAULT 0",
        ),
    ),
    # A reading that is struck out stays as it is; it has a row beside it. A change says which reading it
    # struck out or brought back, and which change it undid.
    Migration(
        8,
        "readings struck out, changes undone",
        (
            """CREATE TABLE struck (
                reading_id INTEGER PRIMARY KEY REFERENCES readings (id),
                at TEXT NOT NULL,
                who TEXT NOT NULL
            ) STRICT""",
            "ALTER TABLE changes ADD COLUMN reading_id INTEGER REFERENCES readings (id)",
            "ALTER TABLE changes ADD COLUMN undoes INTEGER REFERENCES changes (id)",
        ),
    ),
    # `sent_at` is when a reading came in; empty where that is when it was taken.
    Migration(
        9,
        "who changed the gel table, when a reading was sent",
        (
            "ALTER TABLE gel_tables ADD COLUMN who TEXT NOT NULL DEFAULT ''",
            "ALTER TABLE readings ADD COLUMN sent_at TEXT NOT NULL DEFAULT ''",
        ),
    ),
    # `filed_at` orders the readings of a source. It is when one was taken, but never runs backwards where the
    # laptop's clock does: what is there already keeps its order.
    Migration(
        10,
        "readings in the order in which they were taken",
        (
            "DROP TRIGGER readings_unchanged",
            "ALTER TABLE readings ADD COLUMN filed_at TEXT NOT NULL DEFAULT ''",
            """UPDATE readings SET filed_at = (SELECT max(taken_at) FROM readings AS own
               WHERE own.source_id = readings.source_id AND own.id <= readings.id)""",
            """CREATE TRIGGER readings_unchanged BEFORE UPDATE ON readings
               BEGIN SELECT RAISE(ABORT, 'readings are only ever added'); END""",
        ),
    ),
    Migration(11, "who chose", ("ALTER TABLE choices ADD COLUMN who TEXT NOT NULL DEFAULT ''",)),
    # What was said about pasted tables: `headings` is JSON of a list, `answers` of an object.
    Migration(
        12,
        "layouts of pasted tables",
        (
            """CREATE TABLE layouts (
                headings TEXT PRIMARY KEY,
                answers TEXT NOT NULL,
                changed_at TEXT NOT NULL,
                who TEXT NOT NULL
            ) STRICT""",
        ),
    ),
    # A reading that was mended is struck out for another one (`by_id`), which is filed in the place of the
    # first that stood there (`first_id`).
    Migration(
        13,
        "readings mended",
        (
            "ALTER TABLE readings ADD COLUMN first_id INTEGER REFERENCES readings (id)",
            "ALTER TABLE struck ADD COLUMN by_id INTEGER REFERENCES readings (id)",
        ),
    ),
    # Heads that are tested once and used on many sets. `head`, `test` and `reading` are JSON of the model.
    # What was removed or struck out stays, with when; a change says to what of the head it was done (`part`).
    Migration(
        14,
        "heads and their tests",
        (
            """CREATE TABLE heads (
                id INTEGER PRIMARY KEY,
                name_key TEXT NOT NULL,
                head TEXT NOT NULL,
                revision INTEGER NOT NULL DEFAULT 1,
                changed_at TEXT NOT NULL,
                deleted_at TEXT
            ) STRICT""",
            "CREATE UNIQUE INDEX head_names ON heads (name_key) WHERE deleted_at IS NULL",
            """CREATE TABLE head_tests (
                id INTEGER PRIMARY KEY,
                head_id INTEGER NOT NULL REFERENCES heads (id),
                test TEXT NOT NULL,
                begun_at TEXT NOT NULL,
                who TEXT NOT NULL,
                deleted_at TEXT
            ) STRICT""",
            "CREATE INDEX tests_of_head ON head_tests (head_id)",
            """CREATE TABLE head_readings (
                id INTEGER PRIMARY KEY,
                test_id INTEGER NOT NULL REFERENCES head_tests (id),
                reading TEXT NOT NULL,
                taken_at TEXT NOT NULL,
                who TEXT NOT NULL,
                struck_at TEXT
            ) STRICT""",
            "CREATE INDEX readings_of_test ON head_readings (test_id)",
            """CREATE TABLE head_changes (
                id INTEGER PRIMARY KEY,
                head_id INTEGER NOT NULL REFERENCES heads (id),
                at TEXT NOT NULL,
                who TEXT NOT NULL,
                what TEXT NOT NULL,
                part INTEGER,
                before TEXT NOT NULL DEFAULT '',
                after TEXT NOT NULL DEFAULT '',
                undoes INTEGER REFERENCES head_changes (id)
            ) STRICT""",
            "CREATE INDEX changes_of_head ON head_changes (head_id)",
            "ALTER TABLE readings ADD COLUMN test_id INTEGER REFERENCES head_tests (id)",
        ),
    ),
    Migration(
        15,
        "when each field of a head changed",
        # A field that has no time in it got its value before there were any: by `changed_at` at the latest.
        ("ALTER TABLE heads ADD COLUMN changed TEXT NOT NULL DEFAULT '{}'",),
    ),
    Migration(
        16,
        "readings kept to a head",
        (
            "ALTER TABLE head_readings ADD COLUMN kept_from INTEGER REFERENCES readings (id)",
            "CREATE INDEX kept_readings ON head_readings (kept_from) WHERE kept_from IS NOT NULL",
        ),
    ),
)


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
    draft.unlink(missing_ok=True)
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
