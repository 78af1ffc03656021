import gc
import sqlite3
import threading
from pathlib import Path

import pytest

from advisor.store import Database, StoreFault
from advisor.store.file.database import told


def _names(db: Database) -> list[str]:
    with db.read() as conn:
        return [row["name"] for row in conn.execute("SELECT name FROM sets ORDER BY id")]


def _insert(conn: sqlite3.Connection, name: str) -> None:
    conn.execute(
        """INSERT INTO sets (name, note, target, limits, sample, changed_at)
           VALUES (?, '', '{"cct": 5600}', '{}', 0, '')""",
        (name,),
    )


def test_missing_folders_are_made_for_their_owner_only(path: Path, db: Database):
    assert path.parent.stat().st_mode & 0o777 == 0o700
    assert path.stat().st_mode & 0o777 == 0o600


def test_every_connection_keeps_what_is_committed_and_heeds_foreign_keys(db: Database):
    def settings() -> list[object]:
        names = ("journal_mode", "synchronous", "foreign_keys", "busy_timeout")
        with db.read() as conn:
            return [conn.execute(f"PRAGMA {name}").fetchone()[0] for name in names]

    found = [settings()]
    thread = threading.Thread(target=lambda: found.append(settings()))
    thread.start()
    thread.join()
    assert found == [["wal", 2, 1, 5000]] * 2


def test_a_row_cannot_point_at_nothing(db: Database):
    with pytest.raises(sqlite3.IntegrityError, match="FOREIGN KEY"), db.write() as conn:
        conn.execute("INSERT INTO readings (source_id, reading, taken_at) VALUES (7, '{}', '')")


def test_every_table_is_strict(db: Database):
    _write_one(db)
    with db.read() as conn:
        tables = conn.execute("PRAGMA table_list").fetchall()
    strict = {t["name"]: t["strict"] for t in tables if not t["name"].startswith("sqlite_")}
    ours = (
        *("sets", "sources", "readings", "changes", "gel_tables", "choices"),
        *("phones", "once", "struck", "heads_taken", "migrations", "layouts"),
        *("heads", "head_tests", "head_readings", "head_changes"),
    )
    assert strict == dict.fromkeys(ours, 1)
    with (
        pytest.raises(sqlite3.IntegrityError, match="cannot store TEXT value in INTEGER column"),
        db.write() as conn,
    ):
        conn.execute("UPDATE sets SET revision = 'one'")


def test_an_exception_takes_the_whole_transaction_back(db: Database):
    with pytest.raises(KeyError), db.write() as conn:
        _insert(conn, "A")
        raise KeyError
    with db.write() as conn:
        _insert(conn, "B")
    assert _names(db) == ["B"]


def test_a_read_sees_one_state_throughout(db: Database):
    with db.read() as conn:
        count = conn.execute("SELECT count(*) FROM sets").fetchone()[0]
        writer = threading.Thread(target=_write_one, args=(db,))
        writer.start()
        writer.join()
        assert conn.execute("SELECT count(*) FROM sets").fetchone()[0] == count == 0
    assert _names(db) == ["A"]


def _write_one(db: Database) -> None:
    with db.write() as conn:
        _insert(conn, "A")


def test_a_read_inside_a_write_sees_what_is_being_written(db: Database):
    with db.write() as conn:
        _insert(conn, "A")
        assert _names(db) == ["A"]
        _insert(conn, "B")
    assert _names(db) == ["A", "B"]


def test_a_write_inside_a_write_is_a_fault_of_the_program_not_a_standstill(db: Database):
    with db.write(), pytest.raises(RuntimeError, match="inside a transaction"), db.write():
        pass


def test_threads_have_connections_of_their_own_which_end_with_them(db: Database):
    seen: list[sqlite3.Connection] = []

    def use() -> None:
        with db.read() as conn:
            seen.append(conn)

    use()
    thread = threading.Thread(target=use)
    thread.start()
    thread.join()
    mine, theirs = seen
    assert mine is not theirs
    with pytest.raises(sqlite3.ProgrammingError, match="closed"):
        theirs.execute("SELECT 1")
    mine.execute("SELECT 1")


def test_once_closed_the_file_is_whole_and_out_of_use(path: Path):
    db = Database(path)
    _write_one(db)
    db.close()
    assert [p.name for p in path.parent.iterdir()] == [path.name]
    with pytest.raises(RuntimeError, match="was closed"), db.read():
        pass
    with Database(path) as again:
        assert _names(again) == ["A"]


def test_what_nobody_holds_any_more_is_closed(path: Path):
    db = Database(path)
    _write_one(db)
    del db
    gc.collect()
    assert [p.name for p in path.parent.iterdir()] == [path.name]


def test_a_full_disk_is_told_and_what_was_there_is_kept(db: Database):
    _write_one(db)
    with db.write() as conn:
        pages = conn.execute("PRAGMA page_count").fetchone()[0]
        conn.execute(f"PRAGMA max_page_count = {pages}")
    with pytest.raises(StoreFault, match=r"disk is full.*Free some space"), db.write() as conn:
        _insert(conn, "B" * 100_000)
    with db.write() as conn:
        conn.execute("PRAGMA max_page_count = 100000")
        _insert(conn, "C")
    assert _names(db) == ["A", "C"]


def test_a_read_only_file_is_told_and_can_still_be_read(db: Database):
    _write_one(db)
    with db.read() as conn:
        conn.execute("PRAGMA query_only = ON")
    with pytest.raises(StoreFault, match=r"read-only. Nothing was saved. Make the file"), db.write() as conn:
        _insert(conn, "B")
    assert _names(db) == ["A"]


def test_a_file_that_another_program_locks_is_told(db: Database, path: Path):
    other = sqlite3.connect(path, isolation_level=None)
    try:
        other.execute("BEGIN IMMEDIATE")
        with db.read() as conn:
            conn.execute("PRAGMA busy_timeout = 0")
        with pytest.raises(StoreFault, match=r"Another program.*Close that program"), db.write():
            pass
    finally:
        other.close()
    _write_one(db)
    assert _names(db) == ["A"]


def test_a_folder_in_the_place_of_the_file_is_told(path: Path):
    path.mkdir(parents=True)
    with pytest.raises(StoreFault, match=r"cannot be opened.*--data"):
        Database(path)
    assert path.is_dir()


def test_a_file_in_the_place_of_the_folder_is_told_and_kept(tmp_path: Path):
    (tmp_path / "data").write_text("shopping list")
    with pytest.raises(StoreFault, match=r"folder .*data cannot be used.*--data"):
        Database(tmp_path / "data" / "advisor.db")
    with pytest.raises(StoreFault, match=r"folder .*below cannot be used.*--data"):
        Database(tmp_path / "data" / "below" / "advisor.db")
    assert (tmp_path / "data").read_text() == "shopping list"


def test_a_file_that_is_no_database_is_told_and_kept(tmp_path: Path):
    path = tmp_path / "advisor.db"
    path.write_bytes(b"shopping list\n" * 100)
    with pytest.raises(StoreFault, match=r"not a data file of the advisor.*Move it away"):
        Database(path)
    assert path.read_bytes() == b"shopping list\n" * 100
    assert [p.name for p in tmp_path.iterdir()] == ["advisor.db"]


def test_an_error_that_no_person_can_mend_is_not_dressed_up(db: Database):
    with pytest.raises(sqlite3.OperationalError, match="no such table"), db.read() as conn:
        conn.execute("SELECT * FROM nowhere")


@pytest.mark.parametrize(
    ("code", "words"),
    [
        (sqlite3.SQLITE_IOERR_FSYNC, r"reports a fault at /data/advisor.db.*another disk"),
        (sqlite3.SQLITE_READONLY_DIRECTORY, r"/data/advisor.db is read-only"),
        (sqlite3.SQLITE_CORRUPT_INDEX, r"/data/advisor.db is damaged.*latest backup"),
    ],
)
def test_the_finer_codes_of_sqlite_are_told_by_their_kind(code: int, words: str):
    error = sqlite3.OperationalError("in SQLite's words")
    error.sqlite_errorcode = code
    with pytest.raises(StoreFault, match=words), told(Path("/data/advisor.db")):
        raise error
