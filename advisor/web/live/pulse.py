"""Which revision a set is at, what changed last, and who is here: from memory, since phones ask often.

What is in memory is true until something is committed, since no other process writes to the file. After a
commit, the first request reads the store again.
"""

import json
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from hashlib import sha256

from ...store import Database, NotFound
from ...store.sets.latest import Latest, latest

HERE = 10.0
"""How long somebody who asked counts as here. [s]"""
MOST_NAMES = 60
"""Most names that are kept of a set: names are free text, and memory is not."""
_SAID = {
    "source.added": "added {}",
    "source.changed": "changed {}",
    "source.unit": "said which head {} is",
    "source.planned": "planned {}",
    "source.hung": "hung {}",
    "source.confirmed": "confirmed {}",
    "source.out": "marked {}: lamp out",
    "source.lit": "marked {}: lamp burns",
    "source.gone": "marked {}: light gone",
    "source.day": "marked {}: light is back",
    "source.lamp": "marked {}: another lamp",
    "source.deleted": "removed {}",
    "source.restored": "brought back {}",
    "reading.added": "read {}",
    "reading.struck": "struck a reading of {} out",
    "reading.back": "brought a reading of {} back",
    "reading.mended": "fixed a reading of {}",
    "set.adopted": "adopted a plan",
    "set.target": "changed the target to {}",
    "set.wrapped": "wrapped: all comes down",
    "set.begun": "took the wrap back",
    "set.down": "ticked what came down",
    "set.pulled": "ticked the pull list",
    "set.stays": "left what moved as it is",
    "set.added": "made the set",
    "set.restored": "brought the set back",
    "set.imported": "imported the set",
}


@dataclass(frozen=True, slots=True)
class Beat:
    """An answer: `body` is JSON; `etag` is the same for the same body."""

    body: bytes
    etag: str


@dataclass(slots=True)
class _Known:
    """What is known of a set after so many `commits`, and who asked when, by name [s]."""

    commits: int = -1
    latest: Latest | None = None
    seen: dict[str, float] = field(default_factory=dict)
    of: tuple[Latest | None, tuple[str, ...]] | None = None
    """What `beat` says."""
    beat: Beat = Beat(b"", "")


class Pulse:
    """What phones ask of the sets in `db`, from any thread. `clock` gives seconds that never decrease."""

    def __init__(self, db: Database, clock: Callable[[], float] = time.monotonic) -> None:
        self._db = db
        self._clock = clock
        self._lock = threading.Lock()
        self._known: dict[int, _Known] = {}

    def beat(self, set_id: int, who: str) -> Beat:
        """Return the state of a set, and count `who` as here. Raises NotFound, also for a deleted set."""
        commits = self._db.commits
        known = self._known.get(set_id)
        if known is None or known.commits != commits:
            known = self._look(set_id, commits)
        with self._lock:
            return _beat(known, who, self._clock())

    def _look(self, set_id: int, commits: int) -> _Known:
        # A commit during this query is either in its result, or makes the next request read again.
        now = latest(self._db, set_id)
        with self._lock:
            if now is None:
                self._known.pop(set_id, None)
                raise NotFound("set", set_id, deleted=True)
            known = self._known.setdefault(set_id, _Known())
            if commits >= known.commits:
                known.commits, known.latest = commits, now
            return known


def _beat(known: _Known, who: str, now: float) -> Beat:
    if who and (who in known.seen or len(known.seen) < MOST_NAMES):
        known.seen[who] = now
    for name in [name for name, at in known.seen.items() if at <= now - HERE]:
        del known.seen[name]
    of = known.latest, tuple(sorted(known.seen))
    if of != known.of:
        body = _body(*of)
        known.of, known.beat = of, Beat(body, sha256(body).hexdigest()[:32])
    return known.beat


def _body(now: Latest | None, here: tuple[str, ...]) -> bytes:
    assert now is not None, "a set is looked up before its answer is made"
    said = {
        "revision": now.revision,
        "gels": now.gels,
        "at": now.at,
        "what": _SAID.get(now.what, "changed the set").format(now.name),
        "who": now.who,
        "name": now.name,
        "source": now.source,
        "taken": now.taken,
        "here": here,
    }
    return json.dumps(said, ensure_ascii=False).encode()
