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

from advisor.model import LightSet, Target
from advisor.store import Database, SetStore, StoreFault, backup
from advisor.store.backup import Rolling, back_up
from advisor.store.database import FILE_NAME
from advisor.store.lock import FolderLock
from advisor.store.migrations import MIGRATIONS
from advisor.store.phones import PhoneStore
from advisor.store.restore import restore
from tests.store.samples import OFFICE


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


def _names(path: Path) -> list[str]:
    with Database(path) as db:
        return [s.name for s in reversed(SetStore(db).list_sets())]


def _add(sets: SetStore, name: str) -> None:
    sets.create_set(LightSet(name=name, target=Target(cct=5600)))


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
        _add(sets, "A")
        second = rolling.now()
        assert (second.at, second.count, second.failed) == ("2026-03-01T11:00:00Z", 2, "")
        assert rolling.status() == second
        assert _names(second.path) == ["A"]

    def test_backups_are_for_their_owner_only_and_whole(self, rolling: Rolling, sets: SetStore):
        _add(sets, "A")
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

    def test_the_last_ones_are_kept(self, db: Database, sets: SetStore):
        rolling = Rolling(db.path, kept=3)
        for number in range(5):
            _add(sets, f"S{number}")
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
            _add(sets, at)
            status = rolling.now()
        assert status.at == "2026-02-28T10:00:00Z"
        assert _names(status.path)[-1] == "2026-02-28T10:00:00"
        numbers = sorted(p.name.partition("-")[0] for p in status.path.parent.iterdir())
        assert numbers == ["000002", "000003"]

    def test_other_files_in_the_folder_are_left_alone(self, db: Database, sets: SetStore):
        folder = db.path.parent / backup.FOLDER
        folder.mkdir()
        (folder / "000009-notes.sqlite").write_text("mine")
        (folder / "before the move.sqlite").write_text("mine")
        rolling = Rolling(db.path, kept=1)
        for name in ("A", "B"):
            _add(sets, name)
            status = rolling.now()
        assert (status.count, status.path.name.partition("-")[0]) == (1, "000002")
        assert len(list(folder.iterdir())) == 3

    def test_a_damaged_last_one_is_made_anew(self, rolling: Rolling, sets: SetStore):
        made = rolling.now().path
        content = bytearray(made.read_bytes())
        content[5000] ^= 255
        made.write_bytes(content)
        assert rolling.now().count == 2

    def test_a_fault_is_told_logged_and_over_when_it_is_over(
        self, rolling: Rolling, sets: SetStore, caplog: pytest.LogCaptureFixture, monkeypatch
    ):
        good = rolling.now()
        _add(sets, "A")

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
                _add(sets, f"S{number}")
            good = Rolling(path, kept=1).now()
        content = bytearray(path.read_bytes())
        content[20_000:40_000] = os.urandom(20_000)
        path.write_bytes(content)
        status = Rolling(path, kept=1).now()
        assert f"{path} is damaged" in status.failed
        assert "advisor restore" in status.failed
        assert (status.path, status.count) == (good.path, 1)
        assert len(_names(good.path)) == 60

    def test_it_runs_by_itself_and_once_more_at_the_stop(self, db: Database, sets: SetStore):
        rolling = Rolling(db.path, every=0.01, first=0.0)
        rolling.start()
        _until(lambda: rolling.status().count == 1)
        _add(sets, "A")
        _until(lambda: rolling.status().count == 2)
        rolling.stop()
        assert not [t for t in threading.enumerate() if t.name == "backups"]
        _add(sets, "B")
        rolling.stop()
        assert rolling.status().count == 2, "what was stopped stays so"

        last = Rolling(db.path)
        last.start()
        last.stop()
        assert last.status().count == 3
        assert _names(last.status().path) == ["A", "B"]

    def test_others_write_while_it_is_made(self, db: Database, sets: SetStore):
        rolling, stop = Rolling(db.path), threading.Event()

        def write() -> None:
            number = 0
            while not stop.is_set():
                _add(sets, f"S{number}")
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
            names = _names(status.path)
            assert names == [f"S{n}" for n in range(len(names))]


class TestCommand:
    def test_a_copy_is_made_while_others_write_and_can_be_put_back(
        self, path: Path, db: Database, sets: SetStore, tmp_path: Path
    ):
        _add(sets, "A")
        back_up(path.parent, tmp_path / "usb.sqlite")
        assert (tmp_path / "usb.sqlite").stat().st_mode & 0o777 == 0o600
        assert sorted(p.name for p in tmp_path.iterdir()) == ["data", "usb.sqlite"]
        _add(sets, "B")
        db.close()
        aside = restore(path.parent, tmp_path / "usb.sqlite")
        assert _names(path) == ["A"]
        assert _names(aside) == ["A", "B"]

    def test_a_file_that_is_there_is_kept(self, path: Path, db: Database, tmp_path: Path):
        (tmp_path / "usb.sqlite").write_text("mine")
        (tmp_path / "link").symlink_to("nowhere")
        for taken in (tmp_path / "usb.sqlite", tmp_path / "link", tmp_path, path):
            with pytest.raises(StoreFault, match=r"is there already.*another name"):
                back_up(path.parent, taken)
        assert (tmp_path / "usb.sqlite").read_text() == "mine"

    def test_where_there_is_no_data_nothing_is_made(self, tmp_path: Path):
        with pytest.raises(StoreFault, match=r"no data in .*none to back up.*--data"):
            back_up(tmp_path / "none", tmp_path / "usb.sqlite")
        assert list(tmp_path.iterdir()) == []

    def test_a_folder_that_is_not_there_is_told(self, path: Path, db: Database, tmp_path: Path):
        with pytest.raises(StoreFault, match=r"cannot be written: No such file.*unharmed.*another folder"):
            back_up(path.parent, tmp_path / "none" / "usb.sqlite")

    def test_data_of_another_program_is_told(self, path: Path, tmp_path: Path):
        path.parent.mkdir()
        with closing(sqlite3.connect(path)) as conn:
            conn.execute("CREATE TABLE recipes (name)")
        with pytest.raises(StoreFault, match="another program's data"):
            back_up(path.parent, tmp_path / "usb.sqlite")
        path.write_text("shopping list " * 100)
        with pytest.raises(StoreFault, match="is damaged"):
            back_up(path.parent, tmp_path / "usb.sqlite")
        assert list(tmp_path.iterdir()) == [path.parent]


class TestRestore:
    @pytest.fixture
    def saved(self, path: Path, db: Database, sets: SetStore, tmp_path: Path) -> Path:
        """Return a backup with a set and a phone; the data has another set since, and is closed."""
        sets.create_set(OFFICE)
        PhoneStore(db).join("a", "Ada", "change")
        back_up(path.parent, tmp_path / "saved.sqlite")
        _add(sets, "Later")
        db.close()
        return tmp_path / "saved.sqlite"

    def test_what_was_there_is_kept_under_a_name_of_its_own(self, path: Path, saved: Path):
        kept = [restore(path.parent, saved) for _ in range(3)]
        assert len({k.name for k in kept}) == 3
        assert [_names(k) for k in kept] == [["Office", "Later"], ["Office"], ["Office"]]
        assert kept[0].stat().st_mode & 0o777 == path.stat().st_mode & 0o777 == 0o600
        left = {p.name for p in path.parent.iterdir()}
        assert left == {path.name, "advisor.lock", *(k.name for k in kept)}

    def test_into_an_empty_folder(self, saved: Path, tmp_path: Path):
        assert restore(tmp_path / "laptop 2", saved) is None
        assert _names(tmp_path / "laptop 2" / FILE_NAME) == ["Office"]

    def test_every_phone_has_to_join_again(self, path: Path, saved: Path):
        restore(path.parent, saved)
        with Database(path) as db:
            phones = PhoneStore(db)
            assert phones.by_token("a") is None
            assert [(p.name, p.revoked_at is None) for p in phones.all()] == [("Ada", False)]

    def test_a_backup_of_an_earlier_schema_is_brought_up_at_the_next_start(self, path: Path, tmp_path: Path):
        with Database(tmp_path / "old" / FILE_NAME, MIGRATIONS[:3]):
            pass
        back_up(tmp_path / "old", tmp_path / "old.sqlite")
        restore(path.parent, tmp_path / "old.sqlite")
        assert _names(path) == []

    def test_not_while_a_server_holds_the_folder(self, path: Path, saved: Path):
        before = path.read_bytes()
        with FolderLock(path.parent), pytest.raises(StoreFault, match="Another advisor uses the data folder"):
            restore(path.parent, saved)
        assert path.read_bytes() == before

    def test_a_newer_one_is_refused(self, path: Path, saved: Path):
        with closing(sqlite3.connect(saved)) as conn, conn:
            conn.execute("INSERT INTO migrations VALUES (99, 'later', '')")
        with pytest.raises(StoreFault, match=r"newer advisor \(schema 99; .*Nothing was changed"):
            restore(path.parent, saved)
        assert _names(path) == ["Office", "Later"]

    @pytest.mark.parametrize("content", [b"", b"shopping list\n" * 100])
    def test_a_file_that_is_no_backup_is_refused(self, path: Path, saved: Path, content: bytes):
        saved.write_bytes(content)
        with pytest.raises(StoreFault, match=r"not a sound backup.*Nothing was changed.*advisor backup"):
            restore(path.parent, saved)
        assert saved.read_bytes() == content
        assert _names(path) == ["Office", "Later"]

    def test_another_programs_file_is_refused(self, path: Path, saved: Path):
        saved.unlink()
        with closing(sqlite3.connect(saved)) as conn:
            conn.execute("CREATE TABLE recipes (name)")
        with pytest.raises(StoreFault, match="not a sound backup"):
            restore(path.parent, saved)
        assert _names(path) == ["Office", "Later"]

    @pytest.mark.parametrize("cut", [1000, 9000, 40_000])
    def test_a_damaged_one_is_refused(self, path: Path, saved: Path, cut: int):
        saved.write_bytes(saved.read_bytes()[:cut])
        with pytest.raises(StoreFault, match="not a sound backup"):
            restore(path.parent, saved)
        assert _names(path) == ["Office", "Later"]

    def test_one_that_is_not_there_or_the_data_itself_is_refused(self, path: Path, saved: Path):
        with pytest.raises(
            StoreFault, match=r"none.sqlite cannot be read: No such file.*Nothing was changed"
        ):
            restore(path.parent, path.with_name("none.sqlite"))
        with pytest.raises(StoreFault, match="cannot be read: Is a directory"):
            restore(path.parent, path.parent)
        with pytest.raises(StoreFault, match="is the data file itself"):
            restore(path.parent, path)
        assert _names(path) == ["Office", "Later"]

    def test_a_damaged_data_file_is_replaced_and_kept_as_it_is(self, path: Path, saved: Path):
        path.write_bytes(b"neither whole nor a database" * 100)
        path.with_name(path.name + "-wal").write_bytes(b"left by a kill")
        aside = restore(path.parent, saved)
        assert _names(path) == ["Office"]
        assert aside.read_bytes() == b"neither whole nor a database" * 100
        assert aside.with_name(aside.name + "-wal").read_bytes() == b"left by a kill"

    def test_commits_that_a_kill_left_beside_the_file_are_kept_and_not_played_in(
        self, path: Path, saved: Path, tmp_path: Path
    ):
        with Database(path) as db:
            _add(SetStore(db), "Last")
            left = {p.name: p.read_bytes() for p in path.parent.iterdir() if p.name.startswith(path.name)}
        for name, content in left.items():
            path.with_name(name).write_bytes(content)
        assert len(left) == 3
        aside = restore(path.parent, saved)
        assert _names(aside) == ["Office", "Later", "Last"]
        assert _names(path) == ["Office"]

    def test_a_fault_on_the_way_keeps_what_was_there(self, path: Path, saved: Path, monkeypatch):
        def full(*_: object) -> None:
            raise OSError(28, "No space left on device")

        monkeypatch.setattr("advisor.store.restore._put_aside", full)
        with pytest.raises(StoreFault, match=r"No space left on device. What was there is kept"):
            restore(path.parent, saved)
        assert {p.name for p in path.parent.iterdir()} == {path.name, "advisor.lock"}
        assert _names(path) == ["Office", "Later"]


def _until(done: Callable[[], bool]) -> None:
    """Wait for what another thread does; it gives up after a minute."""
    end = time.monotonic() + 60
    while not done():
        assert time.monotonic() < end, "it did not come about"
        time.sleep(0.005)
