"""A backup put back in the place of the data, which are kept beside it."""

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from advisor.store import Database, SetStore, StoreFault
from advisor.store.crew.phones import PhoneStore
from advisor.store.file.backup import back_up
from advisor.store.file.database import FILE_NAME
from advisor.store.file.lock import FolderLock
from advisor.store.file.migrations import MIGRATIONS
from advisor.store.file.restore import restore
from tests.store.kept import add_named, names_in
from tests.store.samples import OFFICE


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "data" / FILE_NAME


class TestRestore:
    @pytest.fixture
    def saved(self, path: Path, db: Database, sets: SetStore, tmp_path: Path) -> Path:
        """Return a backup with a set and a phone; the data has another set since, and is closed."""
        sets.create_set(OFFICE)
        PhoneStore(db).join("a", "Ada", "change")
        back_up(path.parent, tmp_path / "saved.sqlite")
        add_named(sets, "Later")
        db.close()
        return tmp_path / "saved.sqlite"

    def test_what_was_there_is_kept_under_a_name_of_its_own(self, path: Path, saved: Path):
        kept = [restore(path.parent, saved) for _ in range(3)]
        assert len({k.name for k in kept}) == 3
        assert [names_in(k) for k in kept] == [["Office", "Later"], ["Office"], ["Office"]]
        assert kept[0].stat().st_mode & 0o777 == path.stat().st_mode & 0o777 == 0o600
        left = {p.name for p in path.parent.iterdir()}
        assert left == {path.name, "advisor.lock", *(k.name for k in kept)}

    def test_into_an_empty_folder(self, saved: Path, tmp_path: Path):
        assert restore(tmp_path / "laptop 2", saved) is None
        assert names_in(tmp_path / "laptop 2" / FILE_NAME) == ["Office"]

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
        assert names_in(path) == []

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
        assert names_in(path) == ["Office", "Later"]

    @pytest.mark.parametrize("content", [b"", b"shopping list\n" * 100])
    def test_a_file_that_is_no_backup_is_refused(self, path: Path, saved: Path, content: bytes):
        saved.write_bytes(content)
        with pytest.raises(StoreFault, match=r"not a sound backup.*Nothing was changed.*advisor backup"):
            restore(path.parent, saved)
        assert saved.read_bytes() == content
        assert names_in(path) == ["Office", "Later"]

    def test_another_programs_file_is_refused(self, path: Path, saved: Path):
        saved.unlink()
        with closing(sqlite3.connect(saved)) as conn:
            conn.execute("CREATE TABLE recipes (name)")
        with pytest.raises(StoreFault, match="not a sound backup"):
            restore(path.parent, saved)
        assert names_in(path) == ["Office", "Later"]

    @pytest.mark.parametrize("cut", [1000, 9000, 40_000])
    def test_a_damaged_one_is_refused(self, path: Path, saved: Path, cut: int):
        saved.write_bytes(saved.read_bytes()[:cut])
        with pytest.raises(StoreFault, match="not a sound backup"):
            restore(path.parent, saved)
        assert names_in(path) == ["Office", "Later"]

    def test_one_that_is_not_there_or_the_data_itself_is_refused(self, path: Path, saved: Path):
        with pytest.raises(
            StoreFault, match=r"none.sqlite cannot be read: No such file.*Nothing was changed"
        ):
            restore(path.parent, path.with_name("none.sqlite"))
        with pytest.raises(StoreFault, match="cannot be read: Is a directory"):
            restore(path.parent, path.parent)
        with pytest.raises(StoreFault, match="is the data file itself"):
            restore(path.parent, path)
        assert names_in(path) == ["Office", "Later"]

    def test_a_damaged_data_file_is_replaced_and_kept_as_it_is(self, path: Path, saved: Path):
        path.write_bytes(b"neither whole nor a database" * 100)
        path.with_name(path.name + "-wal").write_bytes(b"left by a kill")
        aside = restore(path.parent, saved)
        assert names_in(path) == ["Office"]
        assert aside.read_bytes() == b"neither whole nor a database" * 100
        assert aside.with_name(aside.name + "-wal").read_bytes() == b"left by a kill"

    def test_commits_that_a_kill_left_beside_the_file_are_kept_and_not_played_in(
        self, path: Path, saved: Path, tmp_path: Path
    ):
        with Database(path) as db:
            add_named(SetStore(db), "Last")
            left = {p.name: p.read_bytes() for p in path.parent.iterdir() if p.name.startswith(path.name)}
        for name, content in left.items():
            path.with_name(name).write_bytes(content)
        assert len(left) == 3
        aside = restore(path.parent, saved)
        assert names_in(aside) == ["Office", "Later", "Last"]
        assert names_in(path) == ["Office"]

    def test_a_fault_on_the_way_keeps_what_was_there(self, path: Path, saved: Path, monkeypatch):
        def full(*_: object) -> None:
            raise OSError(28, "No space left on device")

        monkeypatch.setattr("advisor.store.file.restore._put_aside", full)
        with pytest.raises(StoreFault, match=r"No space left on device. What was there is kept"):
            restore(path.parent, saved)
        assert {p.name for p in path.parent.iterdir()} == {path.name, "advisor.lock"}
        assert names_in(path) == ["Office", "Later"]
