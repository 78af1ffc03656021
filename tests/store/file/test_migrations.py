import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from advisor.store import Database, StoreFault
from advisor.store.file.migrate import Migration, migrate
from advisor.store.file.migrations import MIGRATIONS

FIRST = Migration(1, "notes", ("CREATE TABLE notes (id INTEGER PRIMARY KEY, text TEXT NOT NULL) STRICT",))
SECOND = Migration(2, "authors", ("ALTER TABLE notes ADD COLUMN author TEXT",))


def _with_a_note(path: Path) -> None:
    with Database(path, [FIRST]) as db, db.write() as conn:
        conn.execute("INSERT INTO notes (text) VALUES ('kept')")


def _rows(path: Path, query: str) -> list[tuple[object, ...]]:
    with closing(sqlite3.connect(path)) as conn:
        return conn.execute(query).fetchall()


def test_the_released_steps_are_numbered_from_one_without_a_gap():
    assert [m.number for m in MIGRATIONS] == list(range(1, len(MIGRATIONS) + 1))


def test_steps_are_recorded_and_run_once(path: Path):
    for _ in range(2):
        with Database(path, [FIRST, SECOND]):
            pass
    found = _rows(path, "SELECT number, name, applied_at LIKE '20__-__-__T%Z' FROM migrations")
    assert found == [(1, "notes", 1), (2, "authors", 1)]


def test_a_new_file_has_nothing_to_copy_aside(path: Path):
    with Database(path, [FIRST, SECOND]):
        pass
    assert [p.name for p in path.parent.iterdir()] == ["advisor.db"]


def test_a_file_in_use_is_copied_aside_before_its_schema_changes(path: Path):
    _with_a_note(path)
    with Database(path, [FIRST, SECOND]):
        pass
    aside = path.with_name("advisor.db.before-2.backup")
    assert aside.stat().st_mode & 0o777 == 0o600
    assert _rows(aside, "SELECT * FROM notes") == [(1, "kept")]
    assert _rows(aside, "SELECT number FROM migrations") == [(1,)]
    assert _rows(aside, "PRAGMA journal_mode") == [("delete",)]
    assert _rows(path, "SELECT * FROM notes") == [(1, "kept", None)]
    assert sorted(p.name for p in path.parent.iterdir()) == ["advisor.db", aside.name]


def test_the_copy_holds_what_a_killed_program_left_in_the_wal(path: Path, tmp_path: Path):
    _with_a_note(path)
    # As a kill leaves it: the commit is in the -wal file only.
    left = tmp_path / "left"
    left.mkdir()
    with Database(path, [FIRST]) as db:
        with db.write() as conn:
            conn.execute("INSERT INTO notes (text) VALUES ('last')")
        for file in path.parent.iterdir():
            (left / file.name).write_bytes(file.read_bytes())
    with Database(left / path.name, [FIRST, SECOND]):
        pass
    aside = left / "advisor.db.before-2.backup"
    assert _rows(aside, "SELECT text FROM notes") == [("kept",), ("last",)]


def test_a_failed_step_leaves_nothing_half_done(path: Path):
    _with_a_note(path)
    failing = Migration(
        2,
        "failing",
        (
            "CREATE TABLE halfway (id INTEGER PRIMARY KEY) STRICT",
            "UPDATE notes SET text = 'gone'",
            "INSERT INTO nowhere VALUES (1)",
        ),
    )
    with pytest.raises(StoreFault, match=r"schema 2 \(failing\) failed.*advisor\.db\.before-2\.backup"):
        Database(path, [FIRST, failing])
    assert _rows(path, "SELECT name FROM sqlite_schema WHERE name = 'halfway'") == []
    assert _rows(path, "SELECT text FROM notes") == [("kept",)]
    assert _rows(path, "SELECT number FROM migrations") == [(1,)]
    with Database(path, [FIRST, SECOND]):
        pass
    assert _rows(path, "SELECT number FROM migrations") == [(1,), (2,)]


def test_steps_before_a_failed_one_stay(path: Path):
    _with_a_note(path)
    failing = Migration(3, "failing", ("DROP TABLE nowhere",))
    with pytest.raises(StoreFault, match="schema 3"):
        Database(path, [FIRST, SECOND, failing])
    assert _rows(path, "SELECT number FROM migrations") == [(1,), (2,)]


def test_a_step_may_rebuild_a_table_that_others_point_at(path: Path):
    rebuilt = Migration(
        2,
        "rebuild",
        (
            "CREATE TABLE fresh (id INTEGER PRIMARY KEY, text TEXT NOT NULL, lines INTEGER) STRICT",
            "INSERT INTO fresh (id, text) SELECT id, text FROM notes",
            "DROP TABLE notes",
            "ALTER TABLE fresh RENAME TO notes",
        ),
    )
    pointing = "CREATE TABLE marks (note INTEGER NOT NULL REFERENCES notes (id)) STRICT"
    first = Migration(1, "notes", (*FIRST.statements, pointing))
    with Database(path, [first]) as db, db.write() as conn:
        conn.execute("INSERT INTO notes VALUES (1, 'kept')")
        conn.execute("INSERT INTO marks VALUES (1)")
    with Database(path, [first, rebuilt]) as db, db.read() as conn:
        assert tuple(conn.execute("SELECT * FROM notes NATURAL JOIN marks").fetchone())[:3] == (
            1,
            "kept",
            None,
        )


def test_a_step_that_would_leave_a_row_pointing_at_nothing_fails(path: Path):
    first = Migration(
        1, "notes", (*FIRST.statements, "CREATE TABLE marks (note INTEGER REFERENCES notes (id)) STRICT")
    )
    with Database(path, [first]) as db, db.write() as conn:
        conn.execute("INSERT INTO notes VALUES (1, 'kept')")
        conn.execute("INSERT INTO marks VALUES (1)")
    with pytest.raises(StoreFault, match="marks points at a row of notes"):
        Database(path, [first, Migration(2, "careless", ("DELETE FROM notes",))])
    assert _rows(path, "SELECT text FROM notes") == [("kept",)]


def test_data_of_a_newer_advisor_is_refused_and_kept(path: Path):
    with Database(path, [FIRST, SECOND]):
        pass
    before = path.read_bytes()
    with pytest.raises(StoreFault, match=r"comes from a newer advisor.*Start the newer advisor"):
        Database(path, [FIRST])
    assert path.read_bytes() == before


def test_data_of_another_program_is_refused_and_kept(tmp_path: Path):
    path = tmp_path / "advisor.db"
    with closing(sqlite3.connect(path)) as conn:
        conn.execute("CREATE TABLE recipes (name)")
    before = path.read_bytes()
    with pytest.raises(StoreFault, match=r"another program's data.*--data"):
        Database(path)
    assert path.read_bytes() == before


def test_a_copy_that_cannot_be_written_stops_the_change(path: Path):
    _with_a_note(path)
    path.with_name("advisor.db.before-2.backup").mkdir()
    with pytest.raises(StoreFault, match=r"a copy is put beside it.*Nothing was changed"):
        Database(path, [FIRST, SECOND])
    assert _rows(path, "SELECT number FROM migrations") == [(1,)]


def test_a_step_that_another_process_took_meanwhile_is_not_taken_twice(path: Path):
    _with_a_note(path)

    def meanwhile() -> str:
        with Database(path, [FIRST, SECOND]):
            return "later"

    with closing(sqlite3.connect(path, isolation_level=None)) as conn:
        migrate(conn, path, [FIRST, SECOND], meanwhile)
    assert _rows(path, "SELECT number FROM migrations WHERE applied_at <> 'later'") == [(1,), (2,)]
