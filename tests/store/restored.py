"""Data of a server that was killed, and a backup of it from before: what a restore of that leaves."""

import shutil
from pathlib import Path

from advisor.store import Database, SetStore
from advisor.store.file.backup import back_up
from advisor.store.file.database import FILE_NAME
from advisor.store.file.left_over import clear
from tests.store.kept import add_named, names_in

OLD, NEW = ["First", "Later", "Last"], ["First"]
"""The sets of the data, and of the backup."""


def left_by_a_kill(below: Path) -> tuple[Path, Path]:
    """Return a folder as a kill of the server left it, its last writes in the log alone, and a backup."""
    path, saved = below / "served" / FILE_NAME, below / "saved.sqlite"
    with Database(path) as db:
        sets = SetStore(db)
        add_named(sets, "First")
        back_up(path.parent, saved)
        add_named(sets, "Later")
        add_named(sets, "Last")
        folder = below / "left"
        folder.mkdir()
        for name in path.parent.glob(f"{FILE_NAME}*"):
            shutil.copy2(name, folder)
    assert (folder / f"{FILE_NAME}-wal").stat().st_size > 0
    return folder, saved


def sets_after_a_start(folder: Path) -> list[str]:
    """Return the sets that are there after a start, which has to find all whole and leave no rest."""
    clear(folder)
    names = names_in(folder / FILE_NAME)
    with Database(folder / FILE_NAME) as db, db.read() as conn:
        assert [row[0] for row in conn.execute("PRAGMA integrity_check")] == ["ok"]
    left = {p.name for p in folder.iterdir()} - {FILE_NAME, "advisor.lock"}
    assert all(name.startswith(f"{FILE_NAME}.before-restore-") and name.endswith("Z.backup") for name in left)
    return names
