"""The copies that are made by the hour while a server runs, of which the last 24 are kept."""

import logging
import os
import sqlite3
import threading
import time
from collections.abc import Callable
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path

import pytest

from advisor.store import Database, SetStore, StoreFault
from advisor.store.file import backup
from advisor.store.file.backup import Rolling, back_up
from advisor.store.file.database import FILE_NAME
from tests.store.kept import add_named, names_in


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "data" / FILE_NAME


@pytest.fixture
def rolling(db: Database) -> Rolling:
    return Rolling(db.path)


@pytest.fixture
def clock(monkeypatch: pytest.MonkeyPatch) -> Callable[[str], None]:
    """Return what sets the time of the wall clock."""

    def put(text: str) -> None:
        class Clock(datetime):
            @classmethod
            def now(cls, tz: object = None) -> datetime:
                return datetime.fromisoformat(text).replace(tzinfo=UTC)

        monkeypatch.setattr(backup, "datetime", Clock)

    return put


class TestRolling:
    def test_a_backup_is_made_when_something_changed(self, rolling: Rolling, sets: SetStore, clock):
        clock("2026-03-01T10:00:00")
        assert (rolling.status().at, rolling.status().count) == (None, 0)
        first = rolling.now()
        assert (first.at, first.count, first.failed) == ("2026-03-01T10:00:00Z", 1, "")
        assert first.path.name == "000001-20260301T100000Z.sqlite"
        assert first.size == first.path.stat().st_size > 0
        clock("2026-03-01T11:00:00")
        assert rolling.now() == first
        add_named(sets, "A")
        second = rolling.now()
        assert (second.at, second.count, second.failed) == ("2026-03-01T11:00:00Z", 2, "")
        assert rolling.status() == second
        assert names_in(second.path) == ["A"]

    def test_backups_are_for_their_owner_only_and_whole(self, rolling: Rolling, sets: SetStore):
        add_named(sets, "A")
        made = rolling.now().path
        assert made.parent.stat().st_mode & 0o777 == 0o700
        assert made.stat().st_mode & 0o777 == 0o600
        assert [p.name for p in made.parent.iterdir()] == [made.name]
        with closing(sqlite3.connect(made)) as conn:
            assert conn.execute("PRAGMA journal_mode").fetchone() == ("delete",)

    def test_nothing_is_made_after_a_restart_without_a_change(self, path: Path):
        for _ in range(3):
            with Database(path):
                status = Rolling(path).now()
        assert status.count == 1

    def test_nothing_is_made_of_a_large_file_without_a_change(self, rolling: Rolling, path: Path):
        """More than is compared at a time."""
        with closing(sqlite3.connect(path)) as conn, conn:
            conn.execute(
                "INSERT INTO once (key, at, who, answer) VALUES ('k', '', '', ?)", ("x" * 3_000_000,)
            )
        assert rolling.now().size > 3_000_000
        assert rolling.now().count == 1
        with closing(sqlite3.connect(path)) as conn, conn:
            conn.execute("UPDATE once SET answer = substr(answer, 1, 2999999) || 'y'")
        assert rolling.now().count == 2

    def test_the_last_ones_are_kept(self, db: Database, sets: SetStore):
        rolling = Rolling(db.path, kept=3)
        for number in range(5):
            add_named(sets, f"S{number}")
            status = rolling.now()
        names = sorted(p.name for p in status.path.parent.iterdir())
        assert [n.partition("-")[0] for n in names] == ["000003", "000004", "000005"]
        assert status.count == 3
        assert Rolling(db.path).status() == status
        assert (backup.KEPT, backup.EVERY) == (24, 3600)

    def test_a_clock_that_goes_back_costs_no_backup(self, db: Database, sets: SetStore, clock):
        rolling = Rolling(db.path, kept=2)
        for at in ("2026-03-02T10:00:00", "2026-03-01T10:00:00", "2026-02-28T10:00:00"):
            clock(at)
            add_named(sets, at)
            status = rolling.now()
        assert status.at == "2026-02-28T10:00:00Z"
        assert names_in(status.path)[-1] == "2026-02-28T10:00:00"
        numbers = sorted(p.name.partition("-")[0] for p in status.path.parent.iterdir())
        assert numbers == ["000002", "000003"]

    def test_other_files_in_the_folder_are_left_alone(self, db: Database, sets: SetStore):
        folder = db.path.parent / backup.FOLDER
        folder.mkdir()
        (folder / "000009-notes.sqlite").write_text("mine")
        (folder / "before the move.sqlite").write_text("mine")
        rolling = Rolling(db.path, kept=1)
        for name in ("A", "B"):
            add_named(sets, name)
            status = rolling.now()
        assert (status.count, status.path.name.partition("-")[0]) == (1, "000002")
        assert len(list(folder.iterdir())) == 3

    def test_a_damaged_last_one_is_made_anew(self, rolling: Rolling, sets: SetStore):
        made = rolling.now().path
        content = bytearray(made.read_bytes())
        content[5000] ^= 255
        made.write_bytes(content)
        assert rolling.now().count == 2

    def test_what_points_at_nothing_is_damage(self, rolling: Rolling, sets: SetStore, path: Path, office):
        """SQLite itself finds such a file in order: only its foreign keys tell."""
        assert rolling.now().failed == ""
        with closing(sqlite3.connect(path)) as conn, conn:
            conn.execute("PRAGMA foreign_keys = OFF")
            conn.execute("DELETE FROM sources")
            assert conn.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        assert "is damaged. Stop the advisor" in rolling.now().failed
        assert rolling.status().count == 1
        with pytest.raises(StoreFault, match="is damaged"):
            back_up(path.parent, path.parent / "copy.sqlite")
        assert not (path.parent / "copy.sqlite").exists()

    def test_a_folder_is_synced_after_a_copy_appeared_in_it(
        self, rolling: Rolling, sets: SetStore, path: Path, monkeypatch
    ):
        seen: list[tuple[Path, list[str]]] = []

        def see(folder: Path) -> None:
            seen.append((folder, sorted(p.name for p in folder.iterdir() if p.suffix != ".part")))

        monkeypatch.setattr(backup, "sync", see)
        made = rolling.now().path
        assert seen == [(path.parent / "backups", [made.name])]
        to = path.parent.parent / "elsewhere"
        to.mkdir()
        back_up(path.parent, to / "copy.sqlite")
        assert seen[1:] == [(to, ["copy.sqlite"])]

    @pytest.mark.skipif(os.name == "nt", reason="a folder cannot be synced there")
    def test_syncing_a_folder_asks_the_disk_and_leaves_nothing_open(self, tmp_path: Path, monkeypatch):
        asked: list[int] = []
        monkeypatch.setattr(os, "fsync", asked.append)
        backup.sync(tmp_path)
        [handle] = asked
        with pytest.raises(OSError, match="Bad file descriptor"):
            os.fstat(handle)

    def test_what_stands_in_the_way_is_named(self):
        full, locked = (
            sqlite3.OperationalError("database or disk is full"),
            sqlite3.OperationalError("locked"),
        )
        full.sqlite_errorcode = sqlite3.SQLITE_FULL
        assert (backup.why(full), backup.why(locked)) == ("the disk is full", "locked")
        assert backup.why(OSError(28, "No space left on device")) == "No space left on device"
        assert backup.why(OSError("gone")) == "gone"

    def test_a_fault_is_told_logged_and_over_when_it_is_over(
        self, rolling: Rolling, sets: SetStore, caplog: pytest.LogCaptureFixture, monkeypatch
    ):
        good = rolling.now()
        add_named(sets, "A")

        def full(*_: object) -> None:
            error = sqlite3.OperationalError("database or disk is full")
            error.sqlite_errorcode = sqlite3.SQLITE_FULL
            raise error

        with monkeypatch.context() as patch, caplog.at_level(logging.ERROR):
            patch.setattr(backup, "draft_copy", full)
            failed = rolling.now()
        assert "the earlier ones are kept: the disk is full. See that there is space" in failed.failed
        assert (failed.at, failed.path, failed.count) == (good.at, good.path, 1)
        assert caplog.messages == [failed.failed]
        assert rolling.now().failed == ""
        assert rolling.status().count == 2

    def test_a_damaged_data_file_makes_no_backup_and_costs_none(self, path: Path):
        with Database(path) as db:
            sets = SetStore(db)
            for number in range(60):
                add_named(sets, f"S{number}")
            good = Rolling(path, kept=1).now()
        content = bytearray(path.read_bytes())
        content[20_000:40_000] = os.urandom(20_000)
        path.write_bytes(content)
        status = Rolling(path, kept=1).now()
        assert f"{path} is damaged" in status.failed
        assert "advisor restore" in status.failed
        assert (status.path, status.count) == (good.path, 1)
        assert len(names_in(good.path)) == 60

    def test_it_runs_by_itself_and_once_more_at_the_stop(self, db: Database, sets: SetStore):
        rolling = Rolling(db.path, every=0.01, first=0.0)
        rolling.start()
        _until(lambda: rolling.status().count == 1)
        add_named(sets, "A")
        _until(lambda: rolling.status().count == 2)
        rolling.stop()
        assert not [t for t in threading.enumerate() if t.name == "backups"]
        add_named(sets, "B")
        rolling.stop()
        assert rolling.status().count == 2, "what was stopped stays so"

        last = Rolling(db.path)
        last.start()
        last.stop()
        assert last.status().count == 3
        assert names_in(last.status().path) == ["A", "B"]

    def test_others_write_while_it_is_made(self, db: Database, sets: SetStore):
        rolling, stop = Rolling(db.path), threading.Event()

        def write() -> None:
            number = 0
            while not stop.is_set():
                add_named(sets, f"S{number}")
                number += 1

        writer = threading.Thread(target=write)
        writer.start()
        try:
            made = []
            for n in range(5):
                _until(lambda n=n: len(sets.list_sets()) > 3 * n)
                made.append(rolling.now())
        finally:
            stop.set()
            writer.join()
        assert [m.failed for m in made] == [""] * 5
        # Each holds what was written up to a moment, and no gap in it.
        for status in made:
            names = names_in(status.path)
            assert names == [f"S{n}" for n in range(len(names))]


def _until(done: Callable[[], bool]) -> None:
    """Wait for what another thread does; it gives up after a minute."""
    end = time.monotonic() + 60
    while not done():
        assert time.monotonic() < end, "it did not come about"
        time.sleep(0.005)
