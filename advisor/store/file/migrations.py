"""The schema, as the numbered steps that lead to it.

A step once released is never edited: a change of the schema is a new step at the end of `MIGRATIONS`.
`migrate` runs them.
"""

from .migrate import Migration
from .released_migrations import RELEASED

MIGRATIONS: tuple[Migration, ...] = (
    *RELEASED,
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
    Migration(
        17,
        "keys of programs beside phones",
        ("ALTER TABLE phones ADD COLUMN program INTEGER NOT NULL DEFAULT 0 CHECK (program IN (0, 1))",),
    ),
    Migration(
        18,
        "when a change that came in late was made",
        # Empty where that is when it came in.
        ("ALTER TABLE changes ADD COLUMN done_at TEXT NOT NULL DEFAULT ''",),
    ),
    # Who is at which head of a work order: `holder` is a phone, or the laptop. It is no part of a set.
    Migration(
        19,
        "heads that somebody is at",
        (
            """CREATE TABLE heads_taken (
                source_id INTEGER PRIMARY KEY REFERENCES sources (id),
                holder TEXT NOT NULL,
                who TEXT NOT NULL,
                at TEXT NOT NULL
            ) STRICT""",
        ),
    ),
    Migration(
        20,
        "readings by source and time",
        (
            "CREATE INDEX readings_by_time ON readings (source_id, taken_at)",
            "CREATE INDEX readings_in_order ON readings (source_id, filed_at)",
            "DROP INDEX readings_of_source",  # which both begin with
        ),
    ),
)
