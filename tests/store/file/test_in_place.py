"""A data file that goes away while it is open: nothing is acknowledged that nobody will find."""

import os
import shutil
import threading
from collections.abc import Callable
from pathlib import Path

import pytest

from advisor.store import Database, SetStore, StoreFault
from advisor.store.file.once import AlreadyDone, once
from tests.store.kept import add_named, names_in


def delete(path: Path) -> None:
    path.unlink()


def rename(path: Path) -> None:
    path.rename(path.with_name("elsewhere"))


def delete_folder(path: Path) -> None:
    shutil.rmtree(path.parent)


def rename_folder(path: Path) -> None:
    path.parent.rename(path.parent.with_name("elsewhere"))


def delete_log(path: Path) -> None:
    path.with_name(path.name + "-wal").unlink()


def replace(path: Path) -> None:
    with Database(path.with_name("other")) as other:
        add_named(SetStore(other), "Other")
    path.with_name("other").replace(path)


def replace_folder(path: Path) -> None:
    rename_folder(path)
    with Database(path) as other:
        add_named(SetStore(other), "Other")


def truncate(path: Path) -> None:
    os.truncate(path, 0)


def truncate_a_little(path: Path) -> None:
    os.truncate(path, path.stat().st_size - 4096)


def truncate_log(path: Path) -> None:
    os.truncate(path.with_name(path.name + "-wal"), 0)


GOES = [
    (delete, "no longer there: it, or its folder, was deleted or renamed"),
    (rename, "no longer there: it, or its folder, was deleted or renamed"),
    (delete_folder, "no longer there"),
    (rename_folder, "no longer there"),
    (delete_log, "no longer there"),
    (replace, "Another file was put at .*start it again to go on with what is there now"),
    (replace_folder, "Another file was put at"),
    (truncate, "was cut short by another program.*advisor restore FILE"),
    (truncate_a_little, "was cut short by another program"),
    (truncate_log, "was cut short by another program"),
]
ways = pytest.mark.parametrize(("go", "says"), GOES, ids=[go.__name__ for go, _ in GOES])


@ways
def test_nothing_is_written_or_read_once_it_went(db: Database, sets: SetStore, go, says):
    add_named(sets, "Before")
    go(db.path)
    commits, left = db.commits, sorted(db.path.parent.glob("*"))
    for _ in range(2):
        with pytest.raises(StoreFault, match=says):
            add_named(sets, "After")
        with pytest.raises(StoreFault, match=says):
            sets.list_sets()
    assert db.commits == commits
    assert sorted(db.path.parent.glob("*")) == left


@ways
def test_a_thread_that_comes_later_makes_no_file_in_its_place(db: Database, sets: SetStore, go, says):
    add_named(sets, "Before")
    go(db.path)
    left, said = sorted(db.path.parent.glob("*")), []

    def late() -> None:
        with pytest.raises(StoreFault, match=says) as fault:
            sets.list_sets()
        said.append(fault)

    thread = threading.Thread(target=late)
    thread.start()
    thread.join()
    assert len(said) == 1
    assert sorted(db.path.parent.glob("*")) == left


@ways
def test_what_goes_inside_a_transaction_is_not_acknowledged(db: Database, sets: SetStore, go, says):
    add_named(sets, "Before")
    with pytest.raises(StoreFault, match=says), db.write() as conn:
        go(db.path)
        conn.execute("UPDATE sets SET name = 'After'")


@pytest.mark.parametrize(("go", "back"), [(rename, "elsewhere"), (rename_folder, "../elsewhere")])
def test_put_back_it_goes_on_where_it_was(
    db: Database, sets: SetStore, go: Callable[[Path], None], back: str
):
    add_named(sets, "Before")
    go(db.path)
    with pytest.raises(StoreFault):
        add_named(sets, "Lost")
    if back == "elsewhere":
        db.path.with_name(back).rename(db.path)
    else:
        db.path.parent.with_name("elsewhere").rename(db.path.parent)
    add_named(sets, "After")
    assert names_in(db.path) == ["Before", "After"]


def test_a_write_that_was_kept_and_not_acknowledged_is_done_once_when_it_is_sent_again(
    db: Database, sets: SetStore, monkeypatch: pytest.MonkeyPatch
):
    """The file goes in the moment after the commit, which is looked at too."""
    add_named(sets, "Before")
    real, looks = db._in_place.check, []

    def check() -> None:
        looks.append(1)
        if len(looks) == 3:
            rename(db.path)
        real()

    monkeypatch.setattr(db._in_place, "check", check)
    with pytest.raises(StoreFault), once("k" * 20), db.write() as conn:
        conn.execute("UPDATE sets SET name = name || '+'")
    db.path.with_name("elsewhere").rename(db.path)
    with pytest.raises(AlreadyDone), once("k" * 20), db.write() as conn:
        conn.execute("UPDATE sets SET name = name || '+'")
    assert names_in(db.path) == ["Before+"]


def test_what_was_put_in_its_place_is_left_as_it_is_at_the_end(path: Path):
    with Database(path) as db:
        add_named(SetStore(db), "Before")
        replace_folder(path)
        with pytest.raises(StoreFault):
            add_named(SetStore(db), "After")
    assert names_in(path) == ["Other"]


def test_a_file_that_grows_and_a_log_that_starts_over_are_no_fault(db: Database, sets: SetStore):
    sizes = set()
    for number in range(300):
        add_named(sets, f"{number:04d}" * 20)
        sizes.add(db.path.stat().st_size)
    assert len(sizes) > 1  # the log was played in, and written over from its start
    assert len(sets.list_sets()) == 300
