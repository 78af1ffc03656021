"""Kills a writer after a random number of writes, and looks after each what is left."""

import json
import os
import random
import signal
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

from advisor.store import Database
from tests.store import killed_writer

ROOT = Path(__file__).parents[2]
A_FILE = 50
"""Kills of one data file, before a new one is begun: it is read whole after each. [kills]"""
MOST_WRITES = 12
"""Acknowledged before the kill, at most; on any machine, other threads are at any point of a write then."""


@dataclass
class Tally:
    """What was seen over all kills; `faults` says in words what must not be."""

    kills: int = 0
    awaited: int = 0
    acknowledged: int = 0
    in_wal: int = 0
    faults: list[str] = field(default_factory=list)


def kill(folder: Path, kills: int, seed: int) -> Tally:
    """Kill a writer so many times, below `folder`, and return what was seen."""
    draw, tally = random.Random(seed), Tally()
    with _nursery() as nursery:
        for number in range(kills):
            path = folder / f"{number // A_FILE}" / "advisor.sqlite"
            with Database(path):
                pass
            writes = draw.randint(1, MOST_WRITES)
            said = _one(nursery, path, f"seed{seed:04d}-{number:05d}", writes)
            tally.kills += 1
            tally.awaited += writes
            wal = path.with_name(path.name + "-wal")
            tally.in_wal += wal.exists() and wal.stat().st_size > 0
            tally.acknowledged += sum(line.startswith("key ") for line in said)
            tally.faults += [f"kill {number}: {fault}" for fault in _faults(path, said)]
    return tally


@contextmanager
def _nursery() -> Iterator[subprocess.Popen[str]]:
    command = [sys.executable, killed_writer.__file__]
    env = {**os.environ, "PYTHONPATH": str(ROOT)}
    with subprocess.Popen(
        command, env=env, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, bufsize=1
    ) as process:
        yield process
        process.stdin.close()
        assert process.wait() == 0


def _one(nursery: subprocess.Popen[str], path: Path, seed: str, writes: int) -> list[str]:
    """Have a writer write, kill it once it acknowledged so many writes, and return what it said."""
    nursery.stdin.write(f"go {path} {seed}\n")
    child = int(nursery.stdout.readline().removeprefix("pid "))
    said = [nursery.stdout.readline()]
    while sum(line.startswith("key ") for line in said) < writes:
        assert not said[-1].startswith("ended"), said
        said.append(nursery.stdout.readline())
    os.kill(child, signal.SIGKILL)
    while not said[-1].startswith("ended"):
        said.append(nursery.stdout.readline())
    assert said.pop() == "ended -9\n", "it wrote all that it had before it was killed"
    return said


def _faults(path: Path, said: list[str]) -> Iterator[str]:
    """Say what is wrong with a file after a kill; it is opened as at any start."""
    with Database(path) as db, db.read() as conn:
        found = [row[0] for row in conn.execute("PRAGMA integrity_check")]
        if found != ["ok"]:
            yield f"integrity: {found}"
        if conn.execute("PRAGMA foreign_key_check").fetchone():
            yield "a row points at nothing"
        kept = {row["key"]: row["answer"] for row in conn.execute("SELECT key, answer FROM once")}
        tables = "SELECT who FROM changes UNION ALL SELECT who FROM head_changes"
        recorded = [row["who"] for row in conn.execute(tables)]
        tables = "SELECT who FROM readings UNION ALL SELECT who FROM head_readings"
        read = [row["who"] for row in conn.execute(tables)]
        doubled = conn.execute(
            """SELECT r.kept_from FROM head_readings r JOIN head_tests t ON t.id = r.test_id
               WHERE r.kept_from IS NOT NULL AND r.struck_at IS NULL AND t.deleted_at IS NULL
               GROUP BY t.head_id, r.kept_from HAVING count(*) > 1"""
        ).fetchall()
        empty = conn.execute(
            """SELECT part FROM head_changes WHERE what = 'test.kept'
               AND part NOT IN (SELECT test_id FROM head_readings)"""
        ).fetchall()
        misfiled = conn.execute(
            """SELECT count(*) FROM readings WHERE filed_at = '' OR (sent_at != '' AND sent_at < taken_at)"""
        ).fetchone()[0]
        struck = {row["reading_id"]: row["who"] for row in conn.execute("SELECT * FROM struck")}
        last = conn.execute(
            """SELECT reading_id, what, who, json_extract(after, '$.mended') AS mended FROM changes
               WHERE reading_id IS NOT NULL OR what = 'reading.mended' ORDER BY id"""
        ).fetchall()
    if misfiled:
        yield f"{misfiled} readings without their time"
    if doubled or empty:
        yield f"readings were kept to a head twice, or in part: {doubled}, {empty}"
    if len(recorded) != len(set(recorded)):
        yield "a key was written twice"
    if set(recorded) != set(kept):
        yield f"keys without their write or writes without their key: {set(recorded) ^ set(kept)}"
    told: dict[int, str] = {}
    for row in last:
        for old, new in json.loads(row["mended"] or "[]"):
            told[old] = row["who"]
            told.pop(new, None)
        if row["what"] == "reading.struck":
            told[row["reading_id"]] = row["who"]
        told.pop(row["reading_id"] if row["what"] == "reading.back" else None, None)
    if struck != told:
        yield f"struck out otherwise than the record says: {struck}"
    if not set(read) <= set(kept):
        yield f"readings without their key: {set(read) - set(kept)}"
    for line in said:
        what, key, *answer = line.split()
        if key not in kept:
            yield f"{key} was acknowledged and is lost"
        elif what == "answer" and kept[key] != answer[0]:
            yield f"the answer of {key} was acknowledged and is {kept[key]!r}"
        elif what == "doubled":
            yield f"{key} was done again"
