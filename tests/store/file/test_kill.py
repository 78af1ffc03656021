"""A program killed while it writes has kept everything that it acknowledged, and starts again as it is."""

import os
from pathlib import Path

from tests.store.kills import kill

KILLS = int(os.environ.get("ADVISOR_KILLS", "200"))


def test_every_acknowledged_write_is_there_once_after_every_kill(tmp_path: Path):
    seen = kill(tmp_path, KILLS, seed=1)
    assert seen.faults == []
    assert seen.kills == KILLS
    # Kills between writes would prove little: most leave commits in the -wal file only.
    assert seen.in_wal > KILLS / 2
    assert seen.acknowledged >= seen.awaited > 3 * KILLS
