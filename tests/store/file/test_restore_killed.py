"""A restore that is killed, wherever that is: the old data or the new are there, whole."""

import os
import shutil
import subprocess
import sys
from pathlib import Path

from tests.store import killed_restore
from tests.store.restored import NEW, OLD, left_by_a_kill, sets_after_a_start

ROOT = Path(__file__).parents[3]


def test_killed_before_any_step_it_leaves_old_or_new_whole(tmp_path: Path):
    folder, saved = left_by_a_kill(tmp_path)
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
            seen.append(sets_after_a_start(place))
            shutil.rmtree(place)
            if ended == "ended 0\n":
                break
            assert ended == "ended -9\n"
        process.stdin.close()
    assert len(seen) > 100
    turn = seen.index(NEW)
    assert seen == [OLD] * turn + [NEW] * (len(seen) - turn)
    assert turn > 50 and len(seen) - turn > 3
