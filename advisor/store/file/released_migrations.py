"""The first ten steps of the schema, all released long ago: nothing here changes any more.

What came after them is in `migrations`.
"""

from .migrate import Migration

RELEASED: tuple[Migration, ...] = (
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
)
