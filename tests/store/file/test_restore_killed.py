"""A restore that is killed, wherever that is: the old data or the new are there, whole."""

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from advisor.store import Database, SetStore
from advisor.store.file.backup import back_up
from advisor.store.file.database import FILE_NAME
from advisor.store.file.left_over import clear
from tests.store import killed_restore
from tests.store.kept import add_named, names_in

ROOT = Path(__file__).parents[3]
OLD, NEW = ["First", "Later", "Last"], ["First"]


@pytest.fixture
def killed(tmp_path: Path) -> tuple[Path, Path]:
    """Return a folder as a kill of the server left it, its last writes in the log alone, and a backup."""
    path, saved = tmp_path / "served" / FILE_NAME, tmp_path / "saved.sqlite"
    with Database(path) as db:
        sets = SetStore(db)
        add_named(sets, "First")
        back_up(path.parent, saved)
        add_named(sets, "Later")
        add_named(sets, "Last")
        folder = tmp_path / "left"
        folder.mkdir()
        for name in path.parent.glob(f"{FILE_NAME}*"):
            shutil.copy2(name, folder)
    assert (folder / f"{FILE_NAME}-wal").stat().st_size > 0
    return folder, saved


def _seen(folder: Path) -> list[str]:
    """Return the sets that are there after a start, which has to find everything whole and leave no rest."""
    clear(folder)
    names = names_in(folder / FILE_NAME)
    with Database(folder / FILE_NAME) as db, db.read() as conn:
        assert [row[0] for row in conn.execute("PRAGMA integrity_check")] == ["ok"]
    left = {p.name for p in folder.iterdir()} - {FILE_NAME, "advisor.lock"}
    assert all(name.startswith(f"{FILE_NAME}.before-restore-") and name.endswith("Z.backup") for name in left)
    return names


def test_killed_before_any_step_it_leaves_old_or_new_whole(killed: tuple[Path, Path], tmp_path: Path):
    folder, saved = killed
    command, env = [sys.executable, killed_restore.__file__], {**os.environ, "PYTHONPATH": str(ROOT)}
    seen = []
    with subprocess.Popen(
        command, env=env, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, bufsize=1
    ) as process:
        for number in range(1, 1000):
            place = tmp_path / f"{number}"
            shutil.copytree(folder, place)
            process.stdin.write(f"go {place} {saved} {number}\n")
            ended = process.stdout.readline()
            seen.append(_seen(place))
            shutil.rmtree(place)
            if ended == "ended 0\n":
                break
            assert ended == "ended -9\n"
        process.stdin.close()
    assert len(seen) > 100
    turn = seen.index(NEW)
    assert seen == [OLD] * turn + [NEW] * (len(seen) - turn)
    assert turn > 50 and len(seen) - turn > 3
