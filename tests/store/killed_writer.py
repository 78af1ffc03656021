"""Writes through the store from three threads until it is killed, and says what was acknowledged.

A process that has everything loaded makes a fresh copy of itself for every line "go PATH SEED" that it
reads, which is far cheaper than a new start. The copy says "pid N", then a line for every write once that
was acknowledged: "key KEY" or "answer KEY ADDRESS". Then "ended STATUS" says how the copy ended.
"""

import os
import random
import sys
import threading

from advisor.model import UNREAD, HeadReading, HeadTest, KnownHead, Reading, Source
from advisor.store import Database, SetStore
from advisor.store.crew.answers import set_answer
from advisor.store.file.once import AlreadyDone, once
from advisor.store.known_heads.heads import HeadStore
from advisor.store.known_heads.kept import OnSet
from advisor.store.tables.writes import ReadingOfTest
from tests.store.samples import OFFICE, WINDOW

THREADS = 3
_UNDONE = ("source.changed", "reading.mended")
MOST = 300
"""Writes of a thread: it is meant to be killed; if nobody does, it ends."""


def say(line: str) -> None:
    """Write a whole line at once: what a killed process has said is said."""
    os.write(1, f"{line}\n".encode())


def write(db: Database, seed: str, thread: int) -> None:
    """Add readings, sources and heads, change, undo, strike out and remove; each change names its key."""
    draw = random.Random(f"{seed}-{thread}")
    set_id = sources = tests = None
    for number in range(MOST):
        key = f"{seed}-{thread}-{number:06d}"
        # Half of the readings come in late, by up to an hour: what is older than its source comes at once.
        sets = SetStore(db, key, draw.choice([0.0, draw.uniform(0.0, 0.1), draw.uniform(0.0, 3600.0)]))
        with once(key, f"thread {thread}"):
            # A set takes a hundred sources, and a source that has many readings is slow to load.
            if set_id is None or number % 50 == 49:
                set_id = sets.create_set(OFFICE.model_copy(update={"sources": [], "name": key}))
                sources = None
            elif draw.random() < 0.3:
                tests = on_heads(db, key, draw, set_id, tests)
            elif sources is None or draw.random() < 0.1:
                sources = [sets.add_source(set_id, WINDOW.model_copy(update={"name": key}))]
            elif draw.random() < 0.4:
                sets.add_reading(sources[-1], Reading(cct=draw.uniform(2000, 9000), duv=0.0))
            elif draw.random() < 0.4:
                known = sets.readings_of(sources[-1])
                reading = draw.choice([r for r in known if not (r.struck and r.struck.by)])
                if reading.struck is None and draw.random() < 0.4:
                    sets.mend(sources[-1], {reading.id: Reading(cct=draw.uniform(2000, 9000), duv=0.0)})
                else:
                    (sets.bring_back if reading.struck else sets.strike)(reading.id)
            elif (last := sets.record.lines(set_id, 1)[0]).stands and last.change.what in _UNDONE:
                sets.undo(last.change.id)
            elif draw.random() < 0.3:
                now = sets.get_source(sources[-1])
                sets.change_source(now.id, {"note": key}, revision=now.revision)
            elif draw.random() < 0.5:
                sets.update_source(sources[-1], WINDOW.model_copy(update={"name": key}))
            else:
                sets.delete_source(sources.pop())
                sources = None
        say(f"key {key}")
        if draw.random() < 0.3:
            set_answer(db, key, f"/sets/{set_id}")
            say(f"answer {key} /sets/{set_id}")
        if draw.random() < 0.2:
            again(db, key)


def on_heads(db: Database, key: str, draw: random.Random, set_id: int, test_id: int | None) -> int | None:
    """Add a head, test it, put it on a set, keep what was read there, or take its last change back."""
    heads, sets = HeadStore(db, key), SetStore(db, key)
    if test_id is None:
        # What this thread of an earlier writer left is gone on with: a kill comes after a few writes.
        thread = key.split("-")[-2]
        own = [h.stored.id for h in heads.list_heads() if h.stored.head.name.split("-")[-2] == thread]
        begun = [t.id for head_id in own for t in heads.tests_of(head_id)[-1:]]
        test_id = draw.choice(begun) if begun else None
    if test_id is None:
        head_id = heads.add_head(KnownHead(name=key))
        return -head_id
    if test_id < 0:
        return heads.begin_test(-test_id, HeadTest(levels=[100]))
    head_id, reading = heads.get_test(test_id).head_id, HeadReading(cct=5600, duv=0.0, level=100)
    kept = [r for s in sets.get_set(set_id).sources for r in sets.readings_of(s.id) if not r.reading.gels]
    taken = [OnSet(r.id, reading, r.taken_at, key) for r in kept if not r.tested]
    taken = [one for one in heads.not_kept(head_id, taken) if draw.random() < 0.5]
    if taken and draw.random() < 0.4:
        heads.keep(head_id, [(HeadTest(levels=[100], on_set="Office"), taken)])
    elif draw.random() < 0.3:
        on_set = reading.on_set.model_copy(update={"tested_at": "2026-01-02T03:04:05.000000Z"})
        from_test = ReadingOfTest(on_set, "2026-01-02T03:04:05.000000Z", key, test_id)
        sets.add_tested(set_id, [(Source(name=key, reading=UNREAD), [from_test])])
    elif (last := heads.changes(head_id)[0]).what in ("reading.taken", "test.kept"):
        heads.undo(last.id)
    else:
        heads.take_reading(test_id, reading)
    return test_id


def again(db: Database, key: str) -> None:
    """Send a write once more, as a phone does that got no answer."""
    try:
        with once(key):
            SetStore(db, key).create_set(OFFICE)
    except AlreadyDone:
        return
    say(f"doubled {key}")


def work(path: str, seed: str) -> None:
    """Write from several threads at once, as a server does."""
    with Database(path) as db:
        threads = [threading.Thread(target=write, args=(db, seed, n)) for n in range(THREADS)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()


if __name__ == "__main__":
    for line in sys.stdin:
        _, path, seed = line.split()
        child = os.fork()
        if child == 0:
            say(f"pid {os.getpid()}")
            work(path, seed)
            os._exit(0)
        say(f"ended {os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])}")
