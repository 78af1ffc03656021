"""One copy of all data to a file that somebody names, as `advisor backup` makes it."""

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from advisor.store import Database, SetStore, StoreFault
from advisor.store.file.backup import back_up
from advisor.store.file.database import FILE_NAME
from advisor.store.file.restore import restore
from tests.store.kept import add_named, names_in


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "data" / FILE_NAME


def test_a_copy_is_made_while_others_write_and_can_be_put_back(
    path: Path, db: Database, sets: SetStore, tmp_path: Path
):
    add_named(sets, "A")
    back_up(path.parent, tmp_path / "usb.sqlite")
    assert (tmp_path / "usb.sqlite").stat().st_mode & 0o777 == 0o600
    assert sorted(p.name for p in tmp_path.iterdir()) == ["data", "usb.sqlite"]
    add_named(sets, "B")
    db.close()
    aside = restore(path.parent, tmp_path / "usb.sqlite")
    assert names_in(path) == ["A"]
    assert names_in(aside) == ["A", "B"]


def test_a_file_that_is_there_is_kept(path: Path, db: Database, tmp_path: Path):
    (tmp_path / "usb.sqlite").write_text("mine")
    (tmp_path / "link").symlink_to("nowhere")
    for taken in (tmp_path / "usb.sqlite", tmp_path / "link", tmp_path, path):
        with pytest.raises(StoreFault, match=r"is there already.*another name"):
            back_up(path.parent, taken)
    assert (tmp_path / "usb.sqlite").read_text() == "mine"


def test_where_there_is_no_data_nothing_is_made(tmp_path: Path):
    with pytest.raises(StoreFault, match=r"no data in .*none to back up.*--data"):
        back_up(tmp_path / "none", tmp_path / "usb.sqlite")
    assert list(tmp_path.iterdir()) == []


def test_a_folder_that_is_not_there_is_told(path: Path, db: Database, tmp_path: Path):
    with pytest.raises(StoreFault, match=r"cannot be written: No such file.*unharmed.*another folder"):
        back_up(path.parent, tmp_path / "none" / "usb.sqlite")


def test_data_of_another_program_is_told(path: Path, tmp_path: Path):
    path.parent.mkdir()
    with closing(sqlite3.connect(path)) as conn:
        conn.execute("CREATE TABLE recipes (name)")
    with pytest.raises(StoreFault, match="another program's data"):
        back_up(path.parent, tmp_path / "usb.sqlite")
    path.write_text("shopping list " * 100)
    with pytest.raises(StoreFault, match="is damaged"):
        back_up(path.parent, tmp_path / "usb.sqlite")
    assert list(tmp_path.iterdir()) == [path.parent]
