import json
import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from advisor.store import StoreFault
from advisor.store.file.lock import FILE_NAME, FolderLock, told_by_holder

ROOT = Path(__file__).parents[3]
HOLDER = """
import sys
from pathlib import Path
from advisor.store.file.lock import FolderLock
lock = FolderLock(Path(sys.argv[1]))
lock.take()
lock.tell("http://127.0.0.1:8099/")
print("held", flush=True)
sys.stdin.read()
lock.release()
"""


def _holder(folder: Path) -> subprocess.Popen[str]:
    """Hold the folder in another process until its input ends; it is held once this returns."""
    held = subprocess.Popen(
        [sys.executable, "-c", HOLDER, str(folder)],
        cwd=ROOT,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    )
    assert held.stdout.readline() == "held\n"
    return held


def test_a_second_server_is_told_who_holds_the_folder(tmp_path: Path):
    with _holder(tmp_path) as first:
        try:
            with pytest.raises(StoreFault) as no:
                FolderLock(tmp_path).take()
        finally:
            first.stdin.close()
        assert first.wait() == 0
    told = str(no.value)
    assert f"uses the data folder {tmp_path}: process {first.pid}, since 20" in told
    assert " UTC. Open http://127.0.0.1:8099/ instead, or stop that one first; " in told
    assert told.endswith("or give another folder with --data.")
    with FolderLock(tmp_path):
        pass


def test_what_the_holder_told_is_known_while_it_holds_the_folder(tmp_path: Path):
    assert told_by_holder(tmp_path) is None
    with _holder(tmp_path) as first:
        told = told_by_holder(tmp_path)
        assert (told["pid"], told["address"]) == (first.pid, "http://127.0.0.1:8099/")
        first.send_signal(signal.SIGKILL)
        first.wait()
    assert (tmp_path / FILE_NAME).read_text() != ""
    assert told_by_holder(tmp_path) is None, "it was killed, and what it left counts for nothing"
    with FolderLock(tmp_path) as lock:
        lock.tell("http://127.0.0.1:1/", port=1)
        assert told_by_holder(tmp_path)["port"] == 1
        (tmp_path / FILE_NAME).write_text("[half")
        assert told_by_holder(tmp_path) == {}


def test_what_a_killed_server_left_keeps_nobody_out(tmp_path: Path):
    with _holder(tmp_path) as first:
        first.send_signal(signal.SIGKILL)
        assert first.wait() == -signal.SIGKILL
    assert json.loads((tmp_path / FILE_NAME).read_text())["pid"] == first.pid
    with FolderLock(tmp_path):
        assert json.loads((tmp_path / FILE_NAME).read_text())["pid"] == os.getpid()


def test_the_one_that_came_second_leaves_the_first_ones_words(tmp_path: Path):
    with FolderLock(tmp_path) as lock:
        lock.tell("http://127.0.0.1:1/")
        before = (tmp_path / FILE_NAME).read_bytes()
        for _ in range(2):
            with pytest.raises(StoreFault, match=r"Open http://127.0.0.1:1/ instead"):
                FolderLock(tmp_path).take()
        assert (tmp_path / FILE_NAME).read_bytes() == before


@pytest.mark.parametrize(
    "words", ["", "not JSON", "[]", '{"pid": 1}', '{"pid": "x", "since": "2026-01-01", "address": ""}']
)
def test_a_holder_that_has_not_said_who_it_is_still_holds(tmp_path: Path, words: str):
    with FolderLock(tmp_path):
        (tmp_path / FILE_NAME).write_text(words)
        with pytest.raises(StoreFault, match=r"a process that has not said which. Use that one, or stop"):
            FolderLock(tmp_path).take()


def test_a_released_folder_is_free_and_releasing_again_does_nothing(tmp_path: Path):
    lock = FolderLock(tmp_path)
    lock.release()
    lock.take()
    lock.release()
    lock.release()
    assert (tmp_path / FILE_NAME).read_text() == ""
    with FolderLock(tmp_path):
        pass


def test_the_folder_is_made_for_its_owner_only(tmp_path: Path):
    with FolderLock(tmp_path / "new" / "data"):
        pass
    assert (tmp_path / "new" / "data").stat().st_mode & 0o777 == 0o700
    assert (tmp_path / "new" / "data" / FILE_NAME).stat().st_mode & 0o777 == 0o600


@pytest.mark.parametrize("below", ["", "data"])
def test_a_file_in_the_place_of_the_folder_is_told_and_kept(tmp_path: Path, below: str):
    (tmp_path / "file").write_text("mine")
    with pytest.raises(StoreFault, match=r"cannot be used: .*Give a folder .* with --data"):
        FolderLock(tmp_path / "file" / below).take()
    assert (tmp_path / "file").read_text() == "mine"


def test_a_disk_that_knows_no_locks_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    def unknown(*_: object) -> None:
        raise OSError(95, "Operation not supported")

    monkeypatch.setattr("fcntl.flock", unknown)
    with pytest.raises(
        StoreFault, match=r"kept for one server: Operation not supported.*disk of this laptop"
    ):
        FolderLock(tmp_path).take()
