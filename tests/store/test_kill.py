"""A program killed while it writes has kept everything that it acknowledged."""

import os
import subprocess
import sys
from pathlib import Path

from advisor.store import Database, SetStore
from tests.store import reading_writer
from tests.store.samples import OFFICE

ROOT = Path(__file__).parents[2]
ROUNDS = int(os.environ.get("ADVISOR_KILL_ROUNDS", "4"))


def _killed_after(path: Path, acknowledgements: int) -> list[int]:
    """Run the writer, kill it once it has acknowledged so many readings, and return all it acknowledged."""
    env = {**os.environ, "PYTHONPATH": str(ROOT)}
    command = [sys.executable, reading_writer.__file__, str(path)]
    with subprocess.Popen(command, env=env, stdout=subprocess.PIPE, text=True) as writer:
        try:
            lines = [writer.stdout.readline() for _ in range(acknowledgements)]
        finally:
            writer.kill()
        lines += writer.stdout.readlines()
        assert writer.wait() == -9
    return [int(line) for line in lines if line.endswith("\n")]


def test_every_acknowledged_reading_is_there_after_a_kill(path: Path):
    with Database(path) as db:
        SetStore(db).create_set(OFFICE)
    acknowledged: list[int] = []
    for number in range(ROUNDS):
        acknowledged += _killed_after(path, 5 + 11 * (number % 9))
        with Database(path) as db:
            sets = SetStore(db)
            kept = sets.readings_of(1)
            with db.read() as conn:
                assert [tuple(r) for r in conn.execute("PRAGMA integrity_check")] == [("ok",)]
                assert conn.execute("PRAGMA foreign_key_check").fetchall() == []
            # Reading, revisions and record stand or fall together.
            assert sets.get_source(1).revision == sets.get_set(1).revision == len(kept)
            assert len([c for c in sets.history(1) if c.what == "reading.added"]) == len(kept) - 1
        assert set(acknowledged) <= {r.id for r in kept}
    assert len(acknowledged) >= 5 * ROUNDS
