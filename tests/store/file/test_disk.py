"""Disks that are full or may not be written: told in words, what was there is kept, and reads go on."""

import os
import resource
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from advisor.model import LightSet, Reading, Target
from advisor.store import Database, SetStore, StoreFault
from advisor.store.file.backup import Rolling, back_up
from advisor.store.file.database import FILE_NAME
from advisor.store.file.lock import FolderLock
from advisor.store.file.once import once
from advisor.store.file.restore import restore
from tests.store.samples import OFFICE

KEY = "k" * 20
NOBODY = 65534
"""The user who owns nothing."""


@pytest.fixture
def disk(tmp_path: Path) -> Iterator[Path]:
    """A disk of one megabyte, where this user may mount one."""
    place = tmp_path / "disk"
    place.mkdir()
    try:
        _mount("-t", "tmpfs", "-o", "size=1m", "tmpfs", str(place))
    except (OSError, subprocess.CalledProcessError):
        pytest.skip("only root may mount a small disk")
    try:
        yield place
    finally:
        subprocess.run(["umount", "--lazy", str(place)], check=True)


def _mount(*arguments: str) -> None:
    subprocess.run(["mount", *arguments], check=True, capture_output=True)


def _fill(disk: Path) -> Path:
    """Leave no byte free, and return the file to delete for space."""
    ballast = disk / "ballast"
    with ballast.open("wb", buffering=0) as file, pytest.raises(OSError, match="No space left"):
        while True:
            file.write(bytes(4096))
    return ballast


@contextmanager
def _no_file_above(size: int) -> Iterator[None]:
    """Let no file of this process grow beyond a size, as some disks do. [byte]"""
    before = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (size, before[1]))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, before)


def _names(sets: SetStore) -> list[str]:
    return sorted(s.name for s in sets.list_sets())


def _add(sets: SetStore, name: str) -> int:
    return sets.create_set(LightSet(name=name, target=Target(cct=5600)))


def _until_refused(sets: SetStore, words: str) -> list[str]:
    """Add sets until there is no room; return the names of those that were acknowledged."""
    kept = []
    with pytest.raises(StoreFault, match=words):
        for number in range(10_000):
            _add(sets, f"S{number}")
            kept.append(f"S{number}")
    return sorted(kept)


def test_a_disk_that_fills_up_keeps_what_was_acknowledged(disk: Path):
    path = disk / "data" / FILE_NAME
    with Database(path) as db:
        sets = SetStore(db)
        ballast = _fill(disk)
        kept = _until_refused(sets, r"disk is full. Nothing was saved.*Free some space")
        assert _names(sets) == kept
        with pytest.raises(StoreFault, match="disk is full"), once(KEY):
            sets.create_set(OFFICE)
        ballast.unlink()
        with once(KEY):
            office = sets.create_set(OFFICE)
        sets.add_reading(sets.get_set(office).sources[0].id, Reading(cct=3200, duv=0.0))
    with Database(path) as again:
        assert _names(SetStore(again)) == sorted([*kept, "Office"])


def test_a_server_that_starts_on_a_full_disk_shows_what_there_is(disk: Path):
    path = disk / "data" / FILE_NAME
    with Database(path) as db:
        SetStore(db).create_set(OFFICE)
    with FolderLock(path.parent):
        pass
    ballast = _fill(disk)
    try:
        with FolderLock(path.parent), Database(path) as again:
            assert _names(SetStore(again)) == ["Office"]
    except StoreFault as fault:
        # SQLite's index of its log needs a little room, too.
        assert "disk" in str(fault)
    ballast.unlink()
    with Database(path) as again:
        assert _names(SetStore(again)) == ["Office"]


def test_a_backup_that_finds_no_room_leaves_the_earlier_ones_and_goes_on(disk: Path):
    path = disk / "data" / FILE_NAME
    with Database(path) as db:
        sets, rolling = SetStore(db), Rolling(path, kept=1)
        sets.create_set(OFFICE)
        good = rolling.now()
        _add(sets, "Later")
        ballast = _fill(disk)
        failed = rolling.now()
        assert "the disk is full" in failed.failed or "No space left" in failed.failed
        assert (failed.path, failed.count) == (good.path, 1)
        assert list(good.path.parent.iterdir()) == [good.path]
        with pytest.raises(StoreFault, match=r"cannot be written: .*(full|No space).*unharmed"):
            back_up(path.parent, disk / "usb.sqlite")
        assert not list(disk.glob("usb*"))
        ballast.unlink()
        assert rolling.now().failed == ""
        assert rolling.status().path != good.path


def test_a_restore_that_finds_no_room_keeps_what_was_there(disk: Path, tmp_path: Path):
    path = disk / "data" / FILE_NAME
    with Database(path) as db:
        SetStore(db).create_set(OFFICE)
        back_up(path.parent, tmp_path / "saved.sqlite")
        _add(SetStore(db), "Later")
    ballast = _fill(disk)
    with pytest.raises(StoreFault, match=r"(full|No space).*What was there is kept"):
        restore(path.parent, tmp_path / "saved.sqlite")
    ballast.unlink()
    assert {p.name for p in path.parent.iterdir()} <= {path.name, "advisor.lock"}
    with Database(path) as db:
        assert _names(SetStore(db)) == ["Later", "Office"]


def test_a_read_only_disk_is_told_at_the_start_and_left_as_it_is(disk: Path, tmp_path: Path):
    path = disk / "data" / FILE_NAME
    with Database(path) as db:
        SetStore(db).create_set(OFFICE)
    before = path.read_bytes()
    _mount("-o", "remount,ro", str(disk))
    with pytest.raises(StoreFault, match=r"cannot be used: Read-only file system.*may write in with --data"):
        FolderLock(path.parent).take()
    with pytest.raises(StoreFault, match=r"with --data|read-only"):
        Database(path)
    with pytest.raises(StoreFault, match=r"cannot be used: Read-only file system"):
        Database(disk / "other" / FILE_NAME)
    with pytest.raises(StoreFault, match=r"cannot be written: .*Read-only file system.*another disk"):
        back_up(path.parent, disk / "usb.sqlite")
    assert path.read_bytes() == before


def test_a_read_only_disk_can_be_backed_up_with_what_a_kill_left_in_the_log(disk: Path, tmp_path: Path):
    path = disk / "data" / FILE_NAME
    with Database(path) as db:
        SetStore(db).create_set(OFFICE)
        left = {end: path.with_name(path.name + end).read_bytes() for end in ("", "-wal")}
    for end, content in left.items():
        path.with_name(path.name + end).write_bytes(content)
    _mount("-o", "remount,ro", str(disk))
    back_up(path.parent, tmp_path / "usb.sqlite")
    assert sorted(p.name for p in tmp_path.iterdir()) == ["disk", "usb.sqlite"]
    with Database(tmp_path / "usb.sqlite") as copy:
        assert _names(SetStore(copy)) == ["Office"]


def test_a_file_that_may_not_grow_is_told_and_keeps_what_was_acknowledged(path: Path):
    with Database(path) as db:
        sets = SetStore(db)
        sets.create_set(OFFICE)
        with _no_file_above(path.with_name(path.name + "-wal").stat().st_size + 200_000):
            kept = _until_refused(sets, r"disk reports a fault at .*The change was not saved.*another disk")
            assert _names(sets) == ["Office", *kept]
        assert len(kept) > 1
        _add(sets, "Then")
        with db.read() as conn:
            assert conn.execute("PRAGMA integrity_check").fetchone()[0] == "ok"
    with Database(path) as again:
        assert _names(SetStore(again)) == ["Office", *kept, "Then"]


def test_a_folder_that_this_user_may_not_write_in_is_told(tmp_path: Path):
    user = os.geteuid()
    tmp_path.chmod(0o500)
    if user == 0:
        os.seteuid(NOBODY)  # root may write everywhere
    try:
        with pytest.raises(StoreFault, match=r"cannot be used: Permission denied.*--data"):
            FolderLock(tmp_path).take()
    finally:
        os.seteuid(user)
        tmp_path.chmod(0o700)
