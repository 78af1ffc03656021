"""What a kill leaves: cleared away at the next start, and nobody else's file with it."""

import logging
import os
from pathlib import Path

import pytest

from advisor.store import Database, SetStore, StoreFault
from advisor.store.file import backup
from advisor.store.file.backup import back_up
from advisor.store.file.database import FILE_NAME
from advisor.store.file.left_over import clear
from tests.store.kept import add_named, names_in

LEFT = [
    f"{FILE_NAME}.restored",
    f"{FILE_NAME}.restored-journal",
    f"{FILE_NAME}.before-7.backup.part",
    f"{FILE_NAME}.before-7.backup.part-journal",
    f"{FILE_NAME}.before-restore-20260301T100000Z-2.backup.part",
    "secrets.json.part",
    "backups/draft.part",
    "backups/draft.part-journal",
]
OTHERS = [
    f"{FILE_NAME}-wal",
    f"{FILE_NAME}.before-7.backup",
    f"{FILE_NAME}.before-restore-20260301T100000Z.backup",
    "secrets.json",
    "film.part",
    "backups/000001-20260301T100000Z.sqlite",
    "backups/mine.part",
]


def test_what_was_left_is_cleared_away_and_counted(tmp_path: Path, caplog: pytest.LogCaptureFixture):
    (tmp_path / "backups").mkdir()
    for name in (*LEFT, *OTHERS):
        (tmp_path / name).write_bytes(b"x")
    with caplog.at_level(logging.INFO):
        assert clear(tmp_path) == 8
    assert "8 files of backups, restores or migrations that were cut short were cleared away" in caplog.text
    kept = {p.relative_to(tmp_path).as_posix() for p in tmp_path.rglob("*") if p.is_file()}
    assert kept == set(OTHERS)
    caplog.clear()
    assert clear(tmp_path) == 0
    assert caplog.text == ""


def test_a_folder_that_is_not_there_yet_holds_nothing(tmp_path: Path):
    assert clear(tmp_path / "new") == 0


def test_a_journal_that_a_kill_left_is_not_played_into_the_next_draft(db: Database, sets: SetStore):
    add_named(sets, "A")
    rolling = backup.Rolling(db.path)
    folder = db.path.parent / "backups"
    folder.mkdir()
    (folder / "draft.part-journal").write_bytes(b"\xd9\xd5\x05\xf9\x20\xa1\x63\xd7" + bytes(8000))
    made = rolling.now()
    assert made.failed == ""
    assert [p.name for p in folder.iterdir()] == [made.path.name]
    assert names_in(made.path) == ["A"]


@pytest.fixture
def data(tmp_path: Path) -> Path:
    with Database(tmp_path / "data" / FILE_NAME) as db:
        add_named(SetStore(db), "A")
    return tmp_path / "data"


def test_two_backups_to_one_file_at_a_time_say_so_and_one_is_made(data: Path, monkeypatch):
    to, real = data.parent / "usb.sqlite", backup.checked_copy

    def slow(path: Path, draft: Path) -> None:
        real(path, draft)
        monkeypatch.setattr(backup, "checked_copy", real)
        back_up(data, to)  # the other one

    monkeypatch.setattr(backup, "checked_copy", slow)
    with pytest.raises(StoreFault, match=r"Another backup wrote .*usb.sqlite while this one ran"):
        back_up(data, to)
    assert sorted(p.name for p in data.parent.iterdir()) == ["data", "usb.sqlite"]
    assert names_in(to) == ["A"]


def test_drafts_of_killed_backups_to_the_same_file_go_with_the_next(data: Path):
    place = data.parent
    old, new = place / "usb.sqlite.00aa11bb.part", place / "usb.sqlite.22cc33dd.part"
    other = place / "usb.sqlite.notes.part"
    for file in (old, new, other):
        file.write_bytes(b"x")
    for file in (old, other):
        os.utime(file, (1, 1))
    back_up(data, place / "usb.sqlite")
    assert sorted(p.name for p in place.iterdir()) == ["data", "usb.sqlite", new.name, other.name]
